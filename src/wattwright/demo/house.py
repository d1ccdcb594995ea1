"""Loads that follow the weather and the clock indoors: standing loads, cold stores, room units, lighting."""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.seeds import Streams
from wattwright.demo.guests import DemoGuests
from wattwright.demo.pulses import Pulses, mean_power, pulses
from wattwright.demo.survey import surveyed
from wattwright.demo.thermostat import Thermostat, thermostat_pulses
from wattwright.demo.weather import DemoWeather, wander
from wattwright.demo.year import BLOCK_MINUTES, DemoYear

Watts = NDArray[np.float64]

COLD_STORES = {
    "fridge_kitchen": Thermostat(4.0, 7.0, -45.0, 250.0),
    "fridge_bar": Thermostat(4.5, 7.5, -42.0, 230.0),
    "freezer": Thermostat(-21.0, -18.0, -75.0, 400.0),
    "cold_room": Thermostat(3.0, 6.0, -40.0, 200.0),
}
COOLING = Thermostat(24.2, 25.8, -14.0, 150.0)
HEATING = Thermostat(19.5, 21.0, 15.0, 150.0)


def standing(seed: int, year: DemoYear, guests: DemoGuests) -> Watts:
    """Return the standing loads, W, (minutes,): a floor, an evening rise with people, and slow wandering."""
    evening = np.clip(1.0 - np.abs(year.minute - 1260) / 240.0, 0.0, 1.0)
    people_w = (20.0 + 8.0 * guests.tonight)[year.day] * evening
    noise_w = wander(Streams(seed).stream("demo.standing"), year.minutes, 0.97, 9.0)
    return np.asarray(np.clip(205.0 + people_w + noise_w, 90.0, surveyed("base").total_w))


def cold_stores(year: DemoYear, weather: DemoWeather) -> dict[str, Watts]:
    """Return the power of the cold stores, W, each (minutes,); their surroundings follow the outside air damped."""
    indoors = 21.0 + 0.35 * (year.blocks(weather.air_c) - 17.5)
    outhouse = 18.0 + 0.65 * (year.blocks(weather.air_c) - 17.5)
    around = {"fridge_kitchen": indoors, "fridge_bar": indoors, "freezer": outhouse, "cold_room": outhouse}
    return {
        name: mean_power(thermostat_pulses(store, around[name], surveyed(name).total_w), year.minutes)
        for name, store in COLD_STORES.items()
    }


def room_units(seed: int, year: DemoYear, weather: DemoWeather, guests: DemoGuests) -> Watts:
    """Return the reversible room units together, W, (minutes,): each on its own thermostat when somebody is in."""
    unit_w = surveyed("room_units").rating_w
    month = year.month[year.day][::BLOCK_MINUTES]
    air = year.blocks(weather.air_c)
    sun = year.blocks(weather.sun)
    total = np.zeros(year.minutes)
    for room, inside in enumerate(_somebody_in(seed, year, guests)):
        # Walls delay and damp the outside air; rooms differ a little in how they lie to the sun.
        around = air + 2.6 + 0.3 * room + (1.0 + 0.5 * room) * sun
        cooling = thermostat_pulses(COOLING, around, unit_w, inside & (month >= 6) & (month <= 9))
        heating = thermostat_pulses(HEATING, around, unit_w, inside & ((month >= 11) | (month <= 3)))
        total += mean_power(cooling, year.minutes) + mean_power(heating, year.minutes)
    return total


def _somebody_in(seed: int, year: DemoYear, guests: DemoGuests) -> list[NDArray[np.bool_]]:
    """Return per room, and last for the owners' flat, in which quarter hours (blocks,) somebody is in."""
    day, minute = year.day[::BLOCK_MINUTES], year.minute[::BLOCK_MINUTES]
    generator = Streams(seed).stream("demo.rooms")
    taken = guests.people > 0
    rooms = []
    for room in range(len(taken)):
        stays_in = generator.random(year.days) < 0.3
        evening = taken[room][day] & (minute >= 990)
        morning = np.concatenate(([False], taken[room][:-1]))[day] & (minute < 600)
        midday = taken[room][day] & stays_in[day] & (minute >= 600) & (minute < 990)
        rooms.append(evening | morning | midday)
    flat = (minute < 480) | ((minute >= 780) & (minute < 960)) | (minute >= 1110)
    return [*rooms, flat]


def lighting(seed: int, year: DemoYear, weather: DemoWeather, guests: DemoGuests) -> Watts:
    """Return the lighting, W, (minutes,): house from sunset to half past eleven, garden until sunrise."""
    rating = surveyed("lighting").total_w
    generator = Streams(seed).stream("demo.lighting")
    days = np.arange(year.days)
    level = np.minimum(0.3 + 0.03 * guests.tonight + generator.uniform(0.0, 0.1, year.days), 0.75)
    # Sunset is known on standard time, in which the year's minutes run evenly.
    sunset = days * 1440.0 + weather.sunset_min
    until = year.position(days, 1410.0 + generator.uniform(-25.0, 25.0, year.days))
    house = pulses(sunset, until - sunset, level * rating)
    garden = pulses(sunset + 10.0, 1440.0 - weather.sunset_min + weather.sunrise_min - 30.0, 0.12 * rating)
    # The year begins in the middle of a night.
    first = Pulses(np.zeros(1), weather.sunrise_min[:1] - 20.0, np.array([0.12 * rating]))
    return mean_power(house, year.minutes) + mean_power(garden, year.minutes) + mean_power(first, year.minutes)
