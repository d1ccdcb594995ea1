"""What the check looks at: the loads with their currents, the rest of the site, the supply's limits, and what the meter sees."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from wattwright.control.rules import Control, Quantity, in_unit
from wattwright.core.errors import InputError, Place
from wattwright.loads.columns import P_MOST_W, P_START_S
from wattwright.plan.shed.withstand import Stepwise, Withstand
from wattwright.simulate.scenario import Scenario
from wattwright.simulate.supply import PHASES, Supply

Floats = NDArray[np.float64]
_HOURS = 24


@dataclass(frozen=True, slots=True, eq=False)
class ShedLoad:
    """One load while it runs, in each of c conductors: active and reactive power, and what its start takes on top for a time."""

    id: str
    name: str
    power_w: Floats
    power_var: Floats
    start_va: Floats
    lasts_s: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Limit:
    """What carries the site: its name, what each of c conductors carries at its rating, VA, and how long it bears more.

    ``rating`` and ``unit`` are as on its plate: A of each conductor, or VA of all.
    """

    name: str
    rating: float
    unit: str
    conductor_va: float
    withstand: Withstand

    def ratio(self, power_va: Floats) -> Floats:
        """Return the ratio to the rating, (...), of apparent powers (..., c): that of the busiest conductor."""
        return np.asarray(power_va.max(axis=-1) / self.conductor_va)


@dataclass(frozen=True, slots=True, eq=False)
class ShedSite:
    """A site with c conductors: ``loads``; ``rest_w``, ``rest_var`` (c,) of all else at its highest; control and supply.

    ``rest_hours_w`` (24, c) is the highest of the rest in each hour of the local day, where it is known.
    """

    loads: tuple[ShedLoad, ...]
    rest_w: Floats
    rest_var: Floats
    control: Control
    supply: Supply
    rest_hours_w: Floats | None = None

    def from_minute(self, minute: int) -> "ShedSite":
        """Return the site with its rest at its highest in the hour of a minute of the day and in the next one."""
        if self.rest_hours_w is None:
            return self
        hour = minute // 60 % _HOURS
        rest_w = np.maximum(self.rest_hours_w[hour], self.rest_hours_w[(hour + 1) % _HOURS])
        share = np.divide(rest_w, self.rest_w, out=np.zeros_like(rest_w), where=self.rest_w > 0.0)
        return replace(self, rest_w=rest_w, rest_var=self.rest_var * share)

    @property
    def conductors(self) -> tuple[str, ...]:
        """Return the names of the conductors."""
        return tuple(one.value for one in PHASES[self.supply.connection.system])

    def load(self, id_: str) -> ShedLoad:
        """Return the load of that id."""
        return next(one for one in self.loads if one.id == id_)

    def power(self, running: Sequence[ShedLoad]) -> tuple[Floats, Floats]:
        """Return active and reactive power, each (c,), with these loads running beside the rest."""
        watts = self.rest_w + sum((one.power_w for one in running), np.zeros_like(self.rest_w))
        return watts, self.rest_var + sum((one.power_var for one in running), np.zeros_like(self.rest_w))

    def seen(self, power_w: Floats, power_var: Floats) -> Floats:
        """Return what the shedding looks at, (...), of powers (..., c): W of the site, or A of the busiest conductor."""
        shed = self.control.shedding
        if shed is not None and shed.quantity == "current":
            return np.asarray(np.hypot(power_w, power_var).max(axis=-1) / self.supply.connection.voltage_v)
        return np.asarray(power_w.sum(axis=-1))

    @property
    def pick_up(self) -> float:
        """Return the value at which loads are shed, in what ``seen`` gives; inf where nothing is shed."""
        shed = self.control.shedding
        return np.inf if shed is None else _threshold(shed.pick_up, shed.quantity)

    @property
    def order(self) -> tuple[str, ...]:
        """Return the loads that may be shed, in turn; those that may never be interrupted take no part."""
        shed = self.control.shedding
        return () if shed is None else tuple(dict.fromkeys(id_ for id_ in shed.order if not self.control.actuator(id_).never))

    def limits(self, withstands: Mapping[str, Withstand] | None = None) -> tuple[Limit, ...]:
        """Return what can trip: connection, inverter and generator as far as there are; ``withstands`` by name replace theirs."""
        given, supply, count = withstands or {}, self.supply, len(self.conductors)
        found = []
        grid, inverter, generator = supply.connection, supply.inverter, supply.generator
        if grid.rating_a is not None and not supply.stands_alone:
            found.append(Limit("connection", grid.rating_a, "A", grid.rating_a * grid.voltage_v, Stepwise(grid.withstands)))
        if inverter is not None and inverter.role != "beside the grid":
            found.append(
                Limit("inverter", inverter.rating_va, "VA", inverter.rating_va / count, Stepwise(inverter.withstands))
            )  # fmt: skip
        if generator is not None:
            va = generator.apparent_va
            found.append(Limit("generator", va, "VA", va / count, Stepwise(generator.withstands)))
        return tuple(
            Limit(one.name, one.rating, one.unit, one.conductor_va, given.get(one.name, one.withstand)) for one in found
        )  # fmt: skip


@lru_cache(maxsize=256)
def _threshold(written: str, quantity: Quantity) -> float:
    """Return a threshold in its unit; it is asked for once for every way in which loads may run."""
    return in_unit(written, quantity)


def shed_site(
    scenario: Scenario, control: Control, names: Mapping[str, str] | None = None, rest_w: Floats | None = None
) -> ShedSite:
    """Return the site of a scenario for the check.

    ``control`` are its rules as written, ``names`` what people call the loads, and ``rest_w`` (c,) the highest power of the rest
    of the site in each conductor, from bands of peaks for example; where left out, the highest step of the scenario's own, each
    conductor by itself. The highest of each hour stands to it as in the scenario. Raises InputError where ``rest_w`` has another
    number of conductors.
    """
    arrays, named, count = scenario.site(), names or {}, len(scenario.supply.connection.phases)
    most_w = arrays.p[:, P_MOST_W]
    loads = tuple(
        ShedLoad(
            one.load.id, named.get(one.load.id, one.load.id), most_w[i] * arrays.share[i, :count],
            most_w[i] * arrays.tan[i] * arrays.share[i, :count], arrays.start_va[i] * arrays.share[i, :count],
            float(arrays.p[i, P_START_S]) if arrays.start_va[i] > 0.0 else 0.0,
        )
        for i, one in enumerate(scenario.loads)
    )  # fmt: skip
    drivers = scenario.drivers
    own_w = np.max(drivers.rest_w[:, :count], axis=0, initial=0.0)
    rest = own_w if rest_w is None else np.asarray(rest_w, np.float64)
    if rest.shape != (count,):
        raise InputError.one(
            "plan.rest", Place(field="rest_w"), found=f"{rest.size} values", wanted=f"one for each of {count} conductors"
        )  # fmt: skip
    shape = np.divide(_by_hour(scenario, own_w), own_w, out=np.ones((_HOURS, count)), where=own_w > 0.0)
    return ShedSite(
        loads, rest, _reactive(drivers.rest_w[:, :count], drivers.rest_var[:, :count], rest), control, scenario.supply,
        shape * rest,
    )  # fmt: skip


def _by_hour(scenario: Scenario, highest_w: Floats) -> Floats:
    """Return the highest of the rest in each hour of the local day, (24, c); of one that is not simulated the whole highest."""
    span, rest_w = scenario.span, scenario.drivers.rest_w[:, : len(highest_w)]
    times_s = span.start_s + (scenario.step_s * np.arange(len(rest_w))).astype(np.int64)
    hour = span.clock.parts(times_s).minute // 60
    found = np.tile(highest_w, (_HOURS, 1))
    for one in np.unique(hour):
        found[one] = np.max(rest_w[hour == one], axis=0, initial=0.0)
    return found


def _reactive(rest_w: Floats, rest_var: Floats, highest_w: Floats) -> Floats:
    """Return the reactive power beside the highest active power: as much for each W as in the scenario as a whole."""
    active = np.abs(rest_w).sum(axis=0)
    reactive = np.abs(rest_var).sum(axis=0)
    return np.asarray(np.divide(reactive, active, out=np.zeros_like(active), where=active > 0.0) * highest_w)
