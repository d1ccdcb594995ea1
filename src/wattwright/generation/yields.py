"""What an array yields over its weather, loss by loss, and in each year of its life."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.generation.array import Array, Chain, chain
from wattwright.generation.inverter import direct_limit_w, given_w
from wattwright.sky.weather import Element, Weather, WeatherPlace

Floats = NDArray[np.float64]
_J_KWH = 3.6e6


@dataclass(frozen=True, slots=True)
class Step:
    """One loss on the way: its name, what it takes, and what share that is of what had come so far; a gain is negative."""

    name: str
    loss_kwh: float
    share: float


@dataclass(frozen=True, slots=True, eq=False)
class Yield:
    """What an array yields over the stretch of its weather; intervals that lack something count as nothing, ``missing`` of them.

    ``level_kwh_m2`` falls on level ground and ``plane_kwh_m2`` on the slope behind its horizon. From ``cold_kwh``, what the
    modules would give at 25 degC, each of ``steps`` takes its part, and ``given_kwh`` is left. ``per_kwp`` is that over the peak
    power, in kWh/kWp. ``years_kwh`` (years,) is what it gives in each year in which such weather comes again.
    """

    level_kwh_m2: float
    plane_kwh_m2: float
    shaded_kwh_m2: float
    cold_kwh: float
    steps: tuple[Step, ...]
    given_kwh: float
    per_kwp: float
    years_kwh: Floats
    missing: int

    @property
    def lost_share(self) -> float:
        """Return which share of ``cold_kwh`` is lost in all."""
        return 1.0 - self.given_kwh / self.cold_kwh if self.cold_kwh else 0.0


def array_yield(array: Array, weather: Weather, place: WeatherPlace, years: int = 1) -> Yield:
    """Return what an array yields over the weather, loss by loss, and in each of so many years.

    Raises WeatherError where the weather lacks a quantity that the array needs. Source: the models of ``generation.array``.
    """
    made = chain(array, weather, place)
    whole = ~np.isnan(made.given_w)

    def kwh(power_w: Floats) -> float:
        return float(power_w[whole].sum()) * weather.step_s / _J_KWH

    before_age_w, limit_w = made.direct_w, array.ac_limit_w()
    years_kwh = [
        kwh(given_w(before_age_w * array.faded_share(year), limit_w, array.efficiency, array.curve))
        for year in range(1, years + 1)
    ]
    ways = _ways(array, made)
    stations = [kwh(power_w) for _, power_w in ways]
    steps = tuple(
        Step(name, before - after, (before - after) / before if before else 0.0)
        for (name, _), before, after in zip(ways[1:], stations[:-1], stations[1:], strict=True)
    )
    light = made.light
    return Yield(
        kwh(weather.values[Element.GHI]),
        kwh(light.plane_w_m2),
        kwh(light.shaded),
        stations[0],
        steps,
        stations[-1],
        stations[-1] / (array.peak_w / 1000.0),
        np.array(years_kwh),
        int((~whole).sum()),
    )


def _ways(array: Array, made: Chain) -> list[tuple[str, Floats]]:
    """Return the power after each step, from the cold modules to the site's bus; losses that take nothing are left out."""
    ways, left = [("modules at 25 degC", made.cold_w), ("temperature", made.module_w)], made.module_w
    for name, share in array.losses.items:
        left = left * (1.0 - share)
        if share:
            ways.append((name, left))
    taken_w = np.minimum(made.direct_w, direct_limit_w(array.ac_limit_w(), array.efficiency, array.curve))
    return [*ways, ("beyond the inverter's limit", taken_w), ("inverter", made.given_w)]
