"""The whole truth about the invented year: every load, minute by minute, as later work should recover it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.demo import house, outdoors, people
from wattwright.demo.guests import DemoGuests, demo_guests
from wattwright.demo.pulses import mean_power
from wattwright.demo.survey import SURVEY
from wattwright.demo.water import Heating
from wattwright.demo.weather import DemoWeather, demo_weather
from wattwright.demo.year import DemoYear, demo_year


@dataclass(frozen=True, slots=True)
class Truth:
    """What really happened in the invented year; loads in the order of the survey."""

    seed: int
    year: DemoYear
    weather: DemoWeather
    guests: DemoGuests
    names: tuple[str, ...]
    """Load ids, (loads,)."""
    rating_w: NDArray[np.float64]
    """Rating of all pieces of each load together, (loads,)."""
    power_w: NDArray[np.float64]
    """Mean power of each load in each minute, (loads, minutes)."""
    water: dict[str, Heating]
    """Running times and heat balance of the water heaters."""

    @property
    def total_w(self) -> NDArray[np.float64]:
        """Return the mean power of the whole property in each minute, W, (minutes,)."""
        return np.asarray(self.power_w.sum(axis=0))

    @property
    def energy_kwh(self) -> NDArray[np.float64]:
        """Return the energy of each load over the year, kWh, (loads,)."""
        return np.asarray(self.power_w.sum(axis=1) / 60_000.0)

    def load_w(self, load_id: str) -> NDArray[np.float64]:
        """Return the mean power of one load in each minute, W, (minutes,); ValueError for an unknown id."""
        return np.asarray(self.power_w[self.names.index(load_id)])


def truth(seed: int) -> Truth:
    """Return the truth about the invented year drawn with `seed`; the arrays of power are read-only."""
    year = demo_year()
    weather = demo_weather(seed, year)
    guests = demo_guests(seed, year)
    water = people.water_heaters(seed, year, guests)
    power = {
        "base": house.standing(seed, year, guests),
        **house.cold_stores(year, weather),
        **{name: mean_power(heating.pulses, year.minutes) for name, heating in water.items()},
        "pool_pump": outdoors.pool_pump(year),
        "irrigation_pump": outdoors.irrigation_pump(seed, year),
        "propagation_bench": outdoors.propagation_bench(year, weather),
        "greenhouse_fans": outdoors.greenhouse_fans(year, weather),
        "room_units": house.room_units(seed, year, weather, guests),
        "breakfast_heater": people.breakfast_heater(year, weather, guests),
        **people.breakfast(seed, year, guests),
        "oven": people.oven(seed, year, guests),
        **people.laundry(seed, year, guests),
        "lighting": house.lighting(seed, year, weather, guests),
    }
    names = tuple(load.id for load in SURVEY)
    rating_w = np.array([load.total_w for load in SURVEY])
    power_w = np.stack([power[name] for name in names])
    rating_w.setflags(write=False)
    power_w.setflags(write=False)
    return Truth(seed, year, weather, guests, names, rating_w, power_w, water)
