"""A plan as the settings of each controller, in plain words and units: what to set, why, how much room, how to test it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from wattwright.loads.columns import SOIL
from wattwright.plan.case import Case
from wattwright.plan.families.cycles import Cycle
from wattwright.plan.families.limits import Below, Surplus
from wattwright.plan.families.order import Order
from wattwright.plan.families.set_points import SetTo
from wattwright.plan.families.times import ALL_MONTHS, DAYS, WEEKEND, WORKING, Line, Times
from wattwright.plan.options import Option
from wattwright.simulate.comfort import comfort

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True, slots=True)
class Setting:
    """One rule as it is set: the controller, the load, the lines to enter, why, with how much room, and the test on site."""

    controller: str
    load: str
    family: str
    entries: tuple[str, ...]
    reason: str
    margin: str
    test: str


def settings(case: Case, option: Option) -> tuple[Setting, ...]:
    """Return the settings of an option, rule by rule."""
    plan = option.tried.plan
    found = []
    for gene, worth in zip(plan.genes, option.worth, strict=False):
        entries, test = _set_to(gene, case) if isinstance(gene, SetTo) else _told(gene)
        found.append(
            Setting(gene.gear.name, case.names.get(gene.load, gene.load), gene.family, entries, _reason(worth, case.unit),
                    _margin(case, option, gene.load), test)
        )  # fmt: skip
    if plan.order is not None:
        names = ", ".join(case.names.get(one, one) for one in plan.order.loads)
        margins = "; ".join(dict.fromkeys(_margin(case, option, one) for one in plan.order.loads))
        found.append(
            Setting(plan.order.gear.name, names, plan.order.family, _shed(plan.order, case), _reason(option.worth[-1], case.unit),
                    margins, _SHED_TEST)
        )  # fmt: skip
    return tuple(found)


_SHED_TEST = (
    "Switch known loads on until the site draws more than the pick-up value, read at the main meter: the loads must go one after "
    "the other in the order above, and come back in the opposite order."
)


_UNITS = {SOIL: ("mm of depletion", "mm")}
"""Of a set point and of its differential, by kind of load; degrees for all others."""


def _set_to(gene: SetTo, case: Case) -> tuple[tuple[str, ...], str]:
    """Return where a two-point controller closes and opens: it calls from a differential away up to its set point."""
    kind = case.scenario.loads[case.ids.index(gene.load)].load.kind
    unit, step = _UNITS.get(kind, ("°C", "K"))
    begins = gene.set_point + (gene.differential if gene.calls == "above" else -gene.differential)
    entry = (
        f"set point {gene.set_point:g} {unit}, differential {gene.differential:g} {step}: closes {gene.calls} {begins:g}, "
        f"opens at {gene.set_point:g}"
    )
    return (entry,), "Warm or wet the probe past the set point and back: the contact must open and close at the values set."


def _told(gene: Times | Below | Surplus | Cycle) -> tuple[tuple[str, ...], str]:
    """Return the lines to enter and the test on site."""
    if isinstance(gene, Times):
        test = "Set the clock and the day, turn the clock to a minute before a switching, watch the contact, set it right again."
        return (*_lines(gene.lines), *_rests(gene)), test
    if isinstance(gene, Below):
        told = (
            f"opens above {_kw(gene.pick_up_w)} at the main meter for {_time(gene.on_delay_s)}",
            f"closes at or below {_kw(gene.drop_out_w)} for {_time(gene.off_delay_s)}",
        )
        return (
            told,
            "Switch known loads on until the site draws more than the first value: the contact must open, and close again after.",
        )
    if isinstance(gene, Surplus):
        told = (
            f"closes when the site gives back more than {_kw(gene.pick_up_w)} for 1 min",
            f"opens when it gives back less than {_kw(gene.drop_out_w)} for {_time(gene.off_delay_s)}",
        )
        return (
            told,
            "In sunshine, watch the export at the meter: the contact must close above the first value and open below the second.",
        )
    return _cycle(gene)


def _cycle(gene: Cycle) -> tuple[tuple[str, ...], str]:
    return (
        f"on for {_time(gene.on_for_s)}, off for {_time(gene.off_for_s)}, over and over",
    ), "Time one whole cycle with a watch."


def _lines(lines: Sequence[Line]) -> tuple[str, ...]:
    """Return lines in words; two of the same days that meet at both ends are a whole day."""
    told, kept = list[str](), list(lines)
    while kept:
        one = kept.pop(0)
        other = replace(one, on=one.off, off=one.on)
        if other in kept:
            kept.remove(other)
            told.append(f"on all day, {_when(one)}")
        else:
            told.append(_line(one))
    return tuple(told)


def _line(line: Line) -> str:
    return f"on {_clock(line.on)}, off {_clock(line.off)}, {_when(line)}"


def _when(line: Line) -> str:
    days = {DAYS: "every day", WORKING: "Mon to Fri", WEEKEND: "Sat and Sun"}.get(line.days, ", ".join(line.days))
    return f"{days}, {of_year(line.months)}" if line.months else days


def _rests(gene: Times) -> tuple[str, ...]:
    acts = {month for one in gene.lines for month in one.months or gene.months or ALL_MONTHS}
    if len(acts) == len(ALL_MONTHS):
        return ()
    return (f"acts {of_year(sorted(acts))}; in the other months the contact stays {'open' if gene.rests_open else 'closed'}",)


def of_year(months: Sequence[int]) -> str:
    """Return months in words, runs over the turn of the year joined: Nov to Apr."""
    kept = sorted(months)
    first = next((one for one in kept if (one - 2) % 12 + 1 not in kept), kept[0])
    turned = [one for one in (*range(first, 13), *range(1, first)) if one in kept]
    runs: list[list[int]] = []
    for one in turned:
        if runs and (runs[-1][-1] % 12) + 1 == one:
            runs[-1].append(one)
        else:
            runs.append([one])
    return ", ".join(_MONTHS[run[0] - 1] + (f" to {_MONTHS[run[-1] - 1]}" if len(run) > 1 else "") for run in runs)


def _shed(order: Order, case: Case) -> tuple[str, ...]:
    turn = ", then ".join(case.names.get(one, one) for one in order.loads)
    return (
        f"first to go: {turn}",
        f"sheds above {_kw(order.pick_up_w)} for {_time(order.delay_s)}, the next one 15 s later",
        f"brings back at or below {_kw(order.restore_w)} for {_time(order.back_s)}, the last one gone first",
    )


def _reason(worth: float, unit: str) -> str:
    return f"without it the plan would save {abs(worth):.2f} {unit} {'less' if worth >= 0.0 else 'more'}"


def _margin(case: Case, option: Option, load: str) -> str:
    i = case.ids.index(load)
    kind = case.scenario.loads[i].load.kind
    has, most = comfort(kind, option.tried.figures.unmet[i]), comfort(kind, float(case.most_unmet[i]))
    if has is None or most is None:
        return "runs as long in each day as it does today"
    return f"{has.amount:.1f} {has.unit} {has.what}, of {most.amount:.1f} allowed"


def _kw(power_w: float) -> str:
    return f"{power_w / 1000.0:g} kW"


def _time(time_s: float) -> str:
    return f"{time_s / 60.0:g} min" if time_s >= 60.0 else f"{time_s:g} s"


def _clock(minute: int) -> str:
    return f"{minute // 60:02d}:{minute % 60:02d}"
