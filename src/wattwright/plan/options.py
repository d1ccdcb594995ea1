"""The options put side by side: as today, the simplest rule, the best with few controllers, and the best of all."""

from collections.abc import Sequence
from dataclasses import dataclass

from wattwright.catalogue.schema import Gear
from wattwright.control.rules import Day
from wattwright.core.findings import Finding, gravest_first
from wattwright.core.labour import IN_TURN, Labour
from wattwright.core.progress import SILENT, Progress
from wattwright.core.seeds import Streams
from wattwright.loads.columns import TANK
from wattwright.plan import kinds
from wattwright.plan.bound.bound import Bound, bound
from wattwright.plan.case import Case
from wattwright.plan.families.plan import TODAY, Plan
from wattwright.plan.families.set_points import SetTo
from wattwright.plan.families.times import DAYS, Times
from wattwright.plan.gap import Gap, gap
from wattwright.plan.robust import Band, Changed, HeldOut, changed, drawn_years, on_held_out
from wattwright.plan.score import Scorer
from wattwright.plan.search import Effort, Found, Search, Tried

_HELD_OUT_LOSS = 0.15
_LEAST_SAVING = 0.002
"""Share of what today comes to below which a plan saves nothing that anybody would notice."""
_REACHED = 0.8
_HOT_C = 60.0
"""Stored water is to be kept at this or above: HSE HSG274 Part 2 (2014)."""
_CONTACT_LIFE = 100_000
"""Switchings of a contactor under its rated load: common practice, no source."""


@dataclass(frozen=True, slots=True, eq=False)
class Option:
    """One alternative: its name, plan and figures.

    ``saving`` is today's value less its own and ``gap_share`` the share of what the bound leaves to save; ``worth`` is what each
    of its single rules is worth, by leaving it out; ``held_out``, ``band`` and ``changes`` say how far it may be trusted.
    ``moves_a_day`` is of the contact that moves most, ``contact_years`` how long a contactor lasts at that.
    """

    name: str
    tried: Tried
    saving: float
    gap_share: float
    controllers: tuple[tuple[Gear, tuple[str, ...]], ...]
    worth: tuple[float, ...]
    held_out: HeldOut | None
    band: Band | None
    changes: tuple[Changed, ...]
    moves_a_day: float
    contact_years: float | None


@dataclass(frozen=True, slots=True, eq=False)
class Planned:
    """The options of a case, today's first, the bound that none can pass, what separates the best from it, and what to know."""

    case: Case
    bound: Bound
    options: tuple[Option, ...]
    found: Found
    findings: tuple[Finding, ...]
    gap: Gap | None

    @property
    def best(self) -> Option:
        """Return the best option: today's where nothing is better."""
        return self.options[-1]


@dataclass(frozen=True, slots=True)
class Asking:
    """How a plan is asked for: the most controllers of the middle option, how long to search, and from which seed."""

    controllers: int
    effort: Effort
    seed: int = 0
    mark: str = ""


def plan_for(case: Case, gear: Sequence[Gear], asking: Asking, labour: Labour = IN_TURN, progress: Progress = SILENT) -> Planned:
    """Return the options for a case. Raises TariffError where its tariff cannot be compiled, Cancelled when told to stop."""
    progress.at("the bound that no plan can pass", 0, 1)
    best_known, scorer, streams = bound(case), Scorer(case), Streams(asking.seed)
    search = Search(scorer, tuple(gear), best_known, streams, labour, asking.mark)
    found = search.run(asking.effort, progress)
    picked = chosen(found, asking.controllers, untried(case))
    worth = search.worth([one.plan for _, one in picked], progress)
    others = changed(case, tuple(one.plan for _, one in picked), labour, progress)
    today_run = scorer.run(case.today)
    options = [_today(case, found)]
    for (name, tried), each, more in zip(picked, worth, others, strict=True):
        band = drawn_years(scorer, today_run, scorer.run(tried.plan.control(case.today)), streams)
        options.append(
            _option(
                case, name, tried, found, best_known, (each, on_held_out(scorer, found.today.figures, tried.figures), band, more)
            )
        )
    findings = gravest_first(tuple(_findings(case, tuple(options), best_known, found)))
    run = scorer.run(options[-1].tried.plan.control(case.today))
    apart = gap(scorer, found.today.figures, options[-1].tried.plan, run, best_known, labour, progress)
    return Planned(case, best_known, tuple(options), found, findings, apart)


def untried(case: Case) -> frozenset[Day]:
    """Return the days of the week of which a stretch holds none."""
    step_s, span = int(case.scenario.step_s), case.scenario.span
    return frozenset(DAYS) - {DAYS[one] for one in span.clock.parts(span.start_s + step_s * case.days[:-1]).weekday}


def chosen(found: Found, controllers: int, off: frozenset[Day] = frozenset()) -> list[tuple[str, Tried]]:
    """Return the plans that are put side by side, the worst first; each once, and only those that save something.

    ``off`` are days of which nobody knows what they ask: a programme that leaves a load without power on one is not offered.
    """
    least = found.today.figures.fitted - _LEAST_SAVING * abs(found.today.figures.fitted)
    # What saves by the weeks looked at, but not by them all, is no offer to a client.
    most = found.today.figures.value
    good = [
        one for one in found.tried
        if not one.breaches and one.plan != TODAY and one.figures.fitted < least and one.figures.value < most
        and all(off <= {day for line in gene.lines for day in line.days} for gene in one.plan.genes if isinstance(gene, Times))
    ]  # fmt: skip
    wanted = (
        ("the simplest rule", [one for one in good if len(one.plan) == 1]),
        (
            f"best with {controllers} controllers" if controllers > 1 else "best with 1 controller",
            [one for one in good if len(one.plan.devices()) <= controllers],
        ),
        ("the best found", good),
    )
    kept: dict[Plan, tuple[str, Tried]] = {}
    for name, ones in wanted:
        if ones:
            kept[ones[0].plan] = (name, ones[0])
    return list(kept.values())


def _today(case: Case, found: Found) -> Option:
    moves, years = _wear(case, found.today)
    return Option("as today", found.today, 0.0, 0.0, (), (), None, None, (), moves, years)


def _option(
    case: Case, name: str, tried: Tried, found: Found, best_known: Bound,
    judged: tuple[tuple[float, ...], HeldOut | None, Band | None, tuple[Changed, ...]],
) -> Option:  # fmt: skip
    today = found.today.figures.value
    saving, most = today - tried.figures.value, today - best_known.value
    moves, years = _wear(case, tried)
    return Option(name, tried, saving, saving / most if most > 0.0 else 0.0, tried.plan.devices(), *judged, moves, years)


def _wear(case: Case, tried: Tried) -> tuple[float, float | None]:
    """Return the moves a day of the contact that moves most, and how many years it lasts."""
    moves = max(tried.figures.moves, default=0) / case.length_days
    return moves, _CONTACT_LIFE / (moves * 365.0 / 2.0) if moves > 0.0 else None


def _findings(case: Case, options: tuple[Option, ...], best_known: Bound, found: Found) -> list[Finding]:
    best, most, unit = options[-1], found.today.figures.value - best_known.value, case.unit
    plans = [one.tried.plan for one in options]
    made = [] if case.is_a_year else [kinds.NOT_A_YEAR.at("plan", days=round(case.length_days))]
    if len(options) == 1:
        return [*made, kinds.NOTHING_PAYS.at("plan", tried=found.evaluations, most=max(most, 0.0), unit=unit)]
    if best.held_out is None:
        made.append(kinds.NOT_HELD_OUT.at("plan"))
    elif best.held_out.lost > _HELD_OUT_LOSS:
        made.append(kinds.HELD_OUT_LOSS.at("plan", lost=best.held_out.lost))
    if best.gap_share < _REACHED:
        made.append(kinds.FAR_FROM_BOUND.at("plan", reached=best.gap_share, most=most, saving=best.saving, unit=unit))
    if best.band is not None and best.band.low <= 0.0:
        made.append(kinds.NOT_SURE.at("plan", low=best.band.low, high=best.band.high, unit=unit))
    made += [kinds.NOT_KEPT.at("plan", change=one.change) for one in best.changes if not one.kept]
    made += [kinds.LUKEWARM.at("plan", load=name, set=set_c) for name, set_c in lukewarm(case, plans).items()]
    return made if found.finished else [*made, kinds.CUT_SHORT.at("plan", tried=found.evaluations)]


def lukewarm(case: Case, plans: Sequence[Plan]) -> dict[str, float]:
    """Return the coolest set point under 60 degC that plans give a tank, by its name."""
    found = dict[str, float]()
    for gene in (gene for one in plans for gene in one.genes if isinstance(gene, SetTo)):
        if case.scenario.loads[case.ids.index(gene.load)].load.kind == TANK and gene.set_point < _HOT_C:
            name = case.names.get(gene.load, gene.load)
            found[name] = min(gene.set_point, found.get(name, _HOT_C))
    return found
