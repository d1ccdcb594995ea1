"""What the engine says of one size under one set of rules: minute by minute, with every trip and every switching."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.core.series import Series
from wattwright.simulate.columns import X_INVERTER_OVER_S, X_TRIPS
from wattwright.simulate.outcome import outcome
from wattwright.simulate.results import Balance
from wattwright.simulate.run import simulate
from wattwright.simulate.scenario import Scenario
from wattwright.simulate.supply import Connection, Generator, Inverter, Supply
from wattwright.supply.sizing.course import Course
from wattwright.supply.sizing.sizes import Size, Store
from wattwright.supply.sizing.spec import Purpose
from wattwright.supply.sizing.way import Way
from wattwright.supply.wear.ageing import ageing
from wattwright.supply.wear.spec import Wear

Floats = NDArray[np.float64]
Price = Callable[[Series], float | None]
"""What an import costs, its export set against it as the tariff does; None where no tariff can say."""
PEAK_S = 900
_J_KWH = 3.6e6
_ROUNDING_J = 1.0


def unpriced(import_w: Series) -> float | None:
    """Return that there is no tariff."""
    return None


@dataclass(frozen=True, slots=True, eq=False)
class Plant:
    """What is there beside the size: connection, what kind of inverter, generator, battery's manner, and PV per W by minutes.

    With ``wear`` it is told how long the battery of each size lasts.
    """

    purpose: Purpose
    connection: Connection
    like: Inverter
    generator: Generator | None
    store: Store
    pv_share: Floats
    wear: Wear | None = None

    def supply(self, size: Size) -> Supply:
        """Return all that feeds the site with a size."""
        if size.is_nothing:
            carries = self.purpose != "beside the grid"
            return Supply(connection=self.connection, generator=self.generator if carries else None)
        # The engine adds the share of its data sheet itself.
        idle_w = max(0.0, self.store.own_w(size.inverter_va) - self.like.losses[0] * size.inverter_va)
        told = {"rating_va": size.inverter_va, "role": self.purpose, "idle_w": idle_w}
        inverter = self.like.model_copy(update=told)
        return Supply(connection=self.connection, battery=self.store.battery(size), inverter=inverter, generator=self.generator)

    def bare_way(self, way: Way) -> Scenario:
        """Return the site with neither PV nor battery: what may be held off is where a generator carries it alone."""
        if self.generator is None or self.purpose == "beside the grid":
            return replace(way, order=()).under(0.0)
        return way.under(self.generator.rating_w)


@dataclass(frozen=True, slots=True, eq=False)
class Confirmed:
    """What the engine found of a size over the whole stretch: energies in kWh, the highest import of 15 min in W.

    ``unserved_kwh`` is of what the site takes under the same rules where nothing limits it; ``lpsp`` its share of what was wanted
    without the grid, 0 where the grid was always there. ``above_s`` is the time above the inverter's rating; ``bill`` that of
    the import, None where no tariff can say; ``autonomy_days`` is how long a full battery carries the mean day and the inverter's
    own draw without sun; ``lacks`` what each load failed to give, by its id, in the unit a person knows;
    ``life_years`` is how long the battery lasts by its charge, None where that was not asked; ``runs_h`` how long each load
    ran of which no service is known, by its id.
    """

    size: Size
    trips: int
    above_s: float
    unserved_kwh: float
    lpsp: float
    dark_s: float
    peak_w: float
    balance: Balance
    bill: float | None
    autonomy_days: float
    lacks: tuple[tuple[str, float, str], ...]
    life_years: float | None = None
    runs_h: tuple[tuple[str, float], ...] = ()

    @property
    def own_share(self) -> float:
        """Return the share of what the site took that did not come from the grid."""
        return 1.0 - self.balance.imported / self.balance.site if self.balance.site > 0.0 else 0.0


def confirmed(
    plant: Plant, way: Way, free_w: Floats, size: Size, grid: NDArray[np.bool_], price: Price = unpriced
) -> Confirmed:  # fmt: skip
    """Return what the engine says of a size; ``free_w`` (n,) is what the site takes where nothing limits it, ``grid`` (n,)."""
    scenario = _asked(plant, way, size, grid)
    run = simulate(scenario)
    made = outcome(scenario, run)
    # Parts of a step add up to one but for rounding.
    dark_j = float((np.maximum(1.0 - run.supplied, 0.0) * free_w).sum()) * scenario.step_s
    dark_j = dark_j if dark_j > _ROUNDING_J else 0.0
    wanted_j = float(free_w[~grid].sum()) * scenario.step_s
    peak_w = max((one.power_w for one in made.peaks if one.window_s == PEAK_S), default=float(run.grid_w.max(initial=0.0)))
    lacks = tuple((one.id, one.comfort.amount, one.comfort.unit) for one in made.loads if one.comfort is not None)
    runs_h = tuple((one.id, one.running_h) for one in made.loads if one.comfort is None)
    return Confirmed(
        size, int(run.supply[X_TRIPS]), float(run.supply[X_INVERTER_OVER_S]), dark_j / _J_KWH,
        dark_j / wanted_j if wanted_j > 0.0 else 0.0, made.balance.dark_s, peak_w, made.balance, price(made.import_w),
        _autonomy_days(plant.store, size, float(free_w.mean())),
        lacks, _life_years(plant.wear, size, np.asarray(run.charge_share), scenario.step_s), runs_h,
    )  # fmt: skip


def _life_years(wear: Wear | None, size: Size, charge_share: Floats, step_s: float) -> float | None:
    if wear is None or size.battery_wh <= 0.0:
        return None
    return ageing(wear, charge_share, step_s, 1).life_years


def _autonomy_days(store: Store, size: Size, mean_w: float) -> float:
    usable_wh = size.battery_wh * (1.0 - store.floor) * store.comes
    # Its inverter draws on it too, whatever runs.
    drawn_w = mean_w + store.own_w(size.inverter_va)
    return usable_wh / (24.0 * drawn_w) if drawn_w > 0.0 else 0.0


def charge_of(plant: Plant, way: Way, size: Size, grid: NDArray[np.bool_]) -> Floats:
    """Return how full the battery of a size is at the end of each step, (n,)."""
    return np.asarray(simulate(_asked(plant, way, size, grid)).charge_share)


def minutes(course: Course, steps: int, step_s: float) -> NDArray[np.bool_]:
    """Return whether the grid is there in each step of the engine, (steps,); beyond the course it is as at its end."""
    each = round(course.step_s / step_s)
    there = np.repeat(course.grid > 0.0, each)[:steps]
    return np.concatenate((there, np.full(steps - len(there), bool(there[-1]))))


def _asked(plant: Plant, way: Way, size: Size, grid: NDArray[np.bool_]) -> Scenario:
    scenario = way.under(size.inverter_va) if not size.is_nothing else plant.bare_way(way)
    drivers = replace(scenario.drivers, grid=grid, pv_w=plant.pv_share * size.pv_w)
    return replace(scenario, supply=plant.supply(size), drivers=drivers)
