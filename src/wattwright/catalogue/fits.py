"""Whether gear can hold the settings of a rule, and which is the nearest that it can.

Settings come as plain data, so that this room knows nothing of rules: whoever composes the two lists what a rule asks for.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from wattwright.catalogue import kinds
from wattwright.catalogue.schema import Function, Gear, Grid, Seen
from wattwright.core.findings import Finding, gravest_first

Ability = Literal["sun", "holidays", "months"]


@dataclass(frozen=True, slots=True)
class Asked:
    """What a rule asks of gear, in the units we hold.

    ``quantity`` is what it looks at, if anything, and ``thresholds`` and ``differential`` its values by name; ``times_s`` are
    switching times in seconds of the day; ``delays_s``, ``minimum_s`` and ``cycle_s`` times by name. ``interval_s``, ``report_s``
    and ``link_s`` are what the plan counts on; None where it leaves them to the gear.
    """

    function: Function
    quantity: Seen | None = None
    entries: int = 1
    loads: int = 1
    abilities: frozenset[Ability] = frozenset()
    thresholds: Mapping[str, float] = field(default_factory=dict)
    differential: float | None = None
    times_s: Sequence[float] = ()
    delays_s: Mapping[str, float] = field(default_factory=dict)
    minimum_s: Mapping[str, float] = field(default_factory=dict)
    cycle_s: Mapping[str, float] = field(default_factory=dict)
    interval_s: float | None = None
    report_s: float | None = None
    link_s: float | None = None


def fits(asked: Asked, gear: Gear) -> tuple[Finding, ...]:
    """Return what of a rule a class of gear cannot hold, gravest first; empty where it fits."""
    return gravest_first((*_cannot(asked, gear), *_too_many(asked, gear), *_settings(asked, gear), *_too_quick(asked, gear)))


_ABLE: Mapping[Ability, str] = {
    "sun": "line by the sun", "holidays": "line by public holidays", "months": "rule that rests in some months",
}  # fmt: skip


def _cannot(asked: Asked, gear: Gear) -> Iterator[Finding]:
    lacking: list[str] = [] if asked.function in gear.functions else [f"rule of the kind {asked.function}"]
    if asked.quantity is not None and asked.quantity not in gear.sees:
        lacking.append(f"rule on {asked.quantity}")
    able: Mapping[Ability, bool] = {"sun": gear.sun, "holidays": gear.holidays, "months": gear.months}
    lacking += [_ABLE[one] for one in sorted(asked.abilities) if not able[one]]
    if asked.cycle_s and gear.cycle is None:
        lacking.append("cycle")
    for what in lacking:
        yield kinds.CANNOT.at(gear.id, gear=gear.name, what=what)


def _too_many(asked: Asked, gear: Gear) -> Iterator[Finding]:
    for what, wanted, most in (("entries", asked.entries, gear.entries), ("loads", asked.loads, gear.loads)):
        if wanted > most:
            yield kinds.TOO_MANY.at(gear.id, gear=gear.name, what=what, most=most, wanted=wanted)


def _settings(asked: Asked, gear: Gear) -> Iterator[Finding]:
    threshold = gear.thresholds.get(asked.quantity) if asked.quantity is not None else None
    unit = _UNITS.get(asked.quantity or "load value", "")
    day = Grid(least=0.0, most=86_400.0, step=gear.time_step_s)
    settings: list[tuple[str, float, Grid | None, str]] = [
        *((what, value, threshold, unit) for what, value in asked.thresholds.items()),
        *(("a switching time", value, day, "s of the day") for value in asked.times_s),
        *((what, value, gear.delay, "s") for what, value in asked.delays_s.items()),
        *((what, value, gear.minimum, "s") for what, value in asked.minimum_s.items()),
        *((what, value, gear.cycle, "s") for what, value in asked.cycle_s.items()),
    ]
    if asked.differential is not None:
        settings.append(("the differential", asked.differential, gear.differential, unit))
    for what, value, grid, held_in in settings:
        if grid is not None and not grid.holds(value):
            nearest = grid.nearest(value)
            yield kinds.CANNOT_HOLD.at(gear.id, gear=gear.name, what=what, wanted=value, unit=held_in, nearest=nearest)


_UNITS: Mapping[str, str] = {
    "site power": "W", "export power": "W", "current": "A", "voltage": "V", "state of charge": "of 1",
    "outdoor temperature": "°C", "grid voltage": "V",
}  # fmt: skip


def _too_quick(asked: Asked, gear: Gear) -> Iterator[Finding]:
    waits = (
        ("a measuring interval", asked.interval_s, gear.interval_s),
        ("a report", asked.report_s, gear.report_s),
        ("a command", asked.link_s, gear.link_s + gear.contactor_s),
    )
    for what, wanted, least in waits:
        if wanted is not None and wanted < least:
            yield kinds.TOO_QUICK.at(gear.id, gear=gear.name, what=what, wanted=wanted, least=least)
