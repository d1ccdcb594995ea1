"""How far a plan may be trusted: weeks that the search did not see, years drawn anew, and other prices, use and weather."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.core.labour import Labour, Work
from wattwright.core.progress import Progress
from wattwright.core.seeds import Streams
from wattwright.loads.columns import AIR, CHARGER, COLD_STORE, TANK, W_AIR_C
from wattwright.plan.case import Case
from wattwright.plan.families.plan import Plan
from wattwright.plan.score import Figures, Scorer, breaches
from wattwright.plan.trial import tried_by
from wattwright.simulate.columns import X_SPILLED_J
from wattwright.simulate.drivers import Drivers
from wattwright.simulate.run import Run
from wattwright.tariff.compiled import cost
from wattwright.tariff.kernels import CONTINUED, EXPORT, RANGE

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
DRAWS = 200
_WEEK = 7
_ALIKE = 0.85
_USE = {TANK: (0,), COLD_STORE: (0, 1), AIR: (0,), CHARGER: (1,)}
"""The columns of each kind's uses that grow with how much a site is used."""
CHANGES = ("prices + 20 %", "prices - 20 %", "use + 20 %", "use - 20 %", "air + 2 K", "air - 2 K")


@dataclass(frozen=True, slots=True)
class HeldOut:
    """Savings over the whole stretch by the weeks a search looked at and by those held out, in the unit of the objective."""

    seen: float
    unseen: float

    @property
    def lost(self) -> float:
        """Return the share of the saving that is lost on weeks not seen: 0 for none, 1 for all; negative where they save more."""
        return 1.0 - self.unseen / self.seen if self.seen > 0.0 else 0.0


def on_held_out(scorer: Scorer, today: Figures, made: Figures) -> HeldOut | None:
    """Return the savings of a plan by weeks seen and not seen; None for a stretch too short to hold any out."""
    if not scorer.held_out.any():
        return None
    return HeldOut(today.fitted - made.fitted, today.held_out - made.held_out)


@dataclass(frozen=True, slots=True)
class Band:
    """A saving with its band: the mean and the 5 % and 95 % points over years drawn anew."""

    low: float
    mean: float
    high: float


def drawn_years(scorer: Scorer, today: Run, made: Run, streams: Streams, draws: int = DRAWS) -> Band | None:
    """Return the saving over years made of weeks drawn with replacement from those alike; None below 6 weeks.

    ``today`` and ``made`` are the runs under both rules. A week's first hours keep the stores of the week it came
    from; that the weeks beside it were others is left out. A block bootstrap (Kuensch 1989) of weeks within quarters
    and seasons of the tariff.
    """
    starts = scorer.case.days[:-1][::_WEEK]
    steps, own = len(scorer.case.drivers), [(one, scorer.unserved_w(one)) for one in (today, made)]
    weeks = [(int(a), int(b)) for a, b in zip(starts, [*starts[1:], steps], strict=True)]
    if len(weeks) < 6:
        return None
    kinds = _kinds_of_weeks(scorer, weeks)
    chance, found = streams.stream("drawn years"), []
    for _ in range(draws):
        order = _drawn(weeks, kinds, steps, chance)
        before, then = (_value(scorer, run, run.grid_w[order], dark_w[order]) for run, dark_w in own)
        found.append(before - then)
    low, high = np.quantile(found, (0.05, 0.95))
    return Band(float(low), float(np.mean(found)), float(high))


def _kinds_of_weeks(scorer: Scorer, weeks: list[tuple[int, int]]) -> Ints:
    """Return for each week a number that weeks of the same quarter and of much the same prices share.

    What is switched follows the prices: a week of summer in a week of winter would pay for hours that nobody chose.
    """
    case, kinds, found = scorer.case, list[tuple[int, Floats]](), []
    times_s = case.scenario.span.start_s + int(case.scenario.step_s) * np.array([first for first, _ in weeks], np.int64)
    prices = np.zeros(len(case.drivers)) if scorer.tariff is None else scorer.tariff.import_price
    for quarter, (first, last) in zip(case.scenario.span.clock.parts(times_s).month % 12 // 3, weeks, strict=True):
        mine = prices[first:last]
        alike = (k for k, (other, price) in enumerate(kinds) if other == quarter and _like(mine, price))
        kind = next(alike, len(kinds))
        if kind == len(kinds):
            kinds.append((int(quarter), mine))
        found.append(kind)
    return np.array(found, np.int64)


def _like(one: Floats, other: Floats) -> bool:
    """Return whether prices agree within a quarter nearly all the time: a holiday or a new price list does not part them."""
    both = min(len(one), len(other))
    return float(np.mean(np.isclose(one[:both], other[:both], rtol=0.25))) >= _ALIKE


def _drawn(weeks: list[tuple[int, int]], kinds: Ints, steps: int, chance: np.random.Generator) -> Ints:
    """Return for each step the step that takes its place: whole weeks of the same kind, cut or repeated to the same length."""
    order = np.arange(steps)
    for place, (first, last) in enumerate(weeks):
        same = np.flatnonzero(kinds == kinds[place])
        begin, end = weeks[int(chance.choice(same))]
        order[first:last] = begin + np.arange(last - first) % (end - begin)
    return order


def _value(scorer: Scorer, run: Run, grid_w: Floats, dark_w: Floats) -> float:
    """Return what a year drawn anew comes to by the weights: what stores hold and what is spilled are those of the run itself."""
    weights, value, hours = scorer.case.weights, 0.0, scorer.case.scenario.step_s / 3600.0
    if weights.cost and scorer.tariff is not None:
        value += weights.cost * (cost(scorer.tariff, grid_w).total - scorer.worth(run))
    if weights.peak:
        value += weights.peak * scorer.peak_w(grid_w) / 1000.0
    if weights.pv:
        value += weights.pv * (float(np.maximum(-grid_w, 0.0).sum()) * hours / 1000.0 + float(run.supply[X_SPILLED_J]) / 3.6e6)
    return value + weights.unserved * float(dark_w.sum()) * hours / 1000.0


@dataclass(frozen=True, slots=True)
class Changed:
    """What a plan saves when something is other than it was, and whether it then does something it may not."""

    change: str
    saving: float
    kept: bool


def changed(case: Case, plans: tuple[Plan, ...], labour: Labour, progress: Progress) -> tuple[tuple[Changed, ...], ...]:
    """Return for each plan its savings under every change, both rules simulated anew; prices only where money counts."""
    found: list[list[Changed]] = [[] for _ in plans]
    for change in (one for one in CHANGES if case.weights.cost or not one.startswith("prices")):
        other = _other(case, change)
        scorer = Scorer(other) if not change.startswith("prices") else _priced(Scorer(case), 1.2 if "+" in change else 0.8)
        work = Work(f"under {change}", tried_by, scorer, Figures, "")
        today, *made = labour.map(work, (Plan(), *plans), progress)
        for k, one in enumerate(made):
            kept = not breaches(replace(other, most_unmet=_allowed(other, today)), today, one)
            found[k].append(Changed(change, today.value - one.value, kept))
    return tuple(tuple(one) for one in found)


def _allowed(case: Case, today: Figures) -> Floats:
    """Return what may fail where use or weather are others: as much more than today as the case allows in its own."""
    return np.maximum(case.most_unmet, np.array(today.unmet) * 1.05)


def _priced(scorer: Scorer, times: float) -> Scorer:
    """Return a scorer at other prices of energy; charges on demand and fixed ones stay."""
    if scorer.tariff is None:
        return scorer
    arrays = scorer.tariff.arrays
    price = np.where(np.isin(arrays.kind, (RANGE, CONTINUED, EXPORT)), arrays.price * times, arrays.price)
    # What stores hold at the end is priced as the last import.
    scorer.tariff = replace(
        scorer.tariff, arrays=arrays._replace(price=price), import_price=scorer.tariff.import_price * times
    )  # fmt: skip
    return scorer


def _other(case: Case, change: str) -> Case:
    drivers = case.drivers
    if change.startswith("use"):
        drivers = _used(case, 1.2 if "+" in change else 0.8)
    if change.startswith("air"):
        weather = drivers.weather.copy()
        weather[:, W_AIR_C] += 2.0 if "+" in change else -2.0
        drivers = replace(drivers, weather=weather)
    return replace(case, scenario=replace(case.scenario, drivers=drivers))


def _used(case: Case, times: float) -> Drivers:
    uses = case.drivers.uses.copy()
    for i, one in enumerate(case.scenario.loads):
        for column in _USE.get(one.load.kind, ()):
            uses[i, :, column] *= times
    drivers = case.drivers
    return replace(drivers, uses=uses, rest_w=drivers.rest_w * times, rest_var=drivers.rest_var * times)
