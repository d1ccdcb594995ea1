"""Where a logger is clamped: the conductors of the supply, and the loads worth a channel of their own; each with what fits it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from wattwright.catalogue.equipment.items import CurrentTransformer
from wattwright.catalogue.equipment.range import Range, load_range
from wattwright.core.quantity import Phase
from wattwright.gear.select.transformer import Measured, choose_transformer
from wattwright.job.file import Job
from wattwright.job.gearing import system_of
from wattwright.job.loads import LoadSpec
from wattwright.job.spec import SupplySpec
from wattwright.simulate.supply import PHASES

_NAMES: Final = {Phase.L1: "L1", Phase.L2: "L2", Phase.L3: "L3", Phase.LEG_A: "leg A", Phase.LEG_B: "leg B"}
_MOST_LOADS: Final = 8
"""More channels than a logger usually has: common practice, no source."""
_LEAST_W: Final = 1000.0
"""A load that nobody may switch is worth a channel from here on: common practice, no source."""


@dataclass(frozen=True, slots=True)
class ClampPoint:
    """A place for one clamp on each of its `conductors`.

    `load` is the id of the load, empty for the supply; `channels` are the names that our readers know the columns by. `carries_a`
    is the current that the clamp has to take, by the protection before it or else by the plate, None where neither is known;
    `primary_a` and `window_mm` are of the transformer of the range that takes it, None where none does or the current is open;
    `opens` says that it goes around a conductor that stays connected.
    """

    load: str
    name: str
    conductors: tuple[str, ...]
    channels: tuple[str, ...]
    carries_a: float | None
    primary_a: float | None = None
    window_mm: float | None = None
    opens: bool = True


def clamp_points(job: Job) -> tuple[ClampPoint, ...]:
    """Return where to clamp, the supply first; none while the supply is not known. Raises FileError, InputError."""
    range_ = load_range([job.inside(one) for one in job.spec.gear.catalogue], only=job.spec.gear.only)
    return tuple(_points(job, range_))


def _points(job: Job, range_: Range) -> Iterator[ClampPoint]:
    supply = job.spec.supply
    if supply is None:
        return
    lines = tuple(_NAMES[one] for one in PHASES[supply.system])
    of_supply = tuple(f"P {one} [kW]" for one in lines)
    yield _sized(ClampPoint("", "", lines, of_supply, supply.main_protection_a), job.spec.gear.supply_mm, range_)
    for load in worth_a_channel(job.spec.loads):
        system = system_of(load, supply)
        conductors = lines if system != "single-phase" else (_NAMES.get(load.phase, ""),)
        many = len(conductors) > 1
        channels = tuple(f"{load.id} {one} [kW]" if many else f"{load.id} [kW]" for one in conductors)
        yield _sized(
            ClampPoint(load.id, load.name, conductors, channels, _current_a(load, supply, len(conductors))), None, range_
        )


def worth_a_channel(loads: tuple[LoadSpec, ...]) -> list[LoadSpec]:
    """Return the loads worth a channel of their own: what may be switched, then what draws most; a few of them."""
    wanted = [one for one in loads if one.controllable or one.rating_w * one.quantity >= _LEAST_W]
    return sorted(wanted, key=lambda one: (not one.controllable, -one.rating_w * one.quantity))[:_MOST_LOADS]


def _current_a(load: LoadSpec, supply: SupplySpec, conductors: int) -> float:
    """Return the current that a clamp of a load has to take, A: what its protection lets through, or its plate."""
    if load.wiring.rated_a is not None:
        return load.wiring.rated_a
    return load.wiring.plate_a or load.rating_w / (conductors * supply.voltage_v * load.power_factor)


def _sized(point: ClampPoint, cable_mm: float | None, range_: Range) -> ClampPoint:
    if point.carries_a is None:
        return point
    found = choose_transformer(Measured(None, None, point.carries_a, len(point.conductors), cable_mm), range_).selected
    item = None if found is None else range_.get(found.id)
    if not isinstance(item, CurrentTransformer):
        return point
    return replace(point, primary_a=item.primary_a, window_mm=item.window_mm, opens=item.split)
