"""Loads started by people: breakfast, oven, laundry, and the hot water they draw."""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.seeds import Streams
from wattwright.demo.guests import DemoGuests
from wattwright.demo.pulses import mean_power, pulses, without_overlap
from wattwright.demo.survey import surveyed
from wattwright.demo.thermostat import Thermostat, thermostat_pulses
from wattwright.demo.water import Heating, Tank, draw_heat_wh, heat_tank
from wattwright.demo.weather import DemoWeather
from wattwright.demo.year import BLOCK_MINUTES, DemoYear

Watts = NDArray[np.float64]

OWNERS = 2
TANKS = {
    "water_heater_guests": Tank(300.0, 3000.0, 95.0, 7.0),
    "water_heater_kitchen": Tank(160.0, 2000.0, 70.0, 7.0),
}
WASH_STEPS = ((0.0, 6.0, 0.07), (6.0, 18.0, 1.0), (24.0, 40.0, 0.10), (64.0, 9.0, 0.22))
"""Parts of a wash: start in minutes, length in minutes, share of the rating."""
CONVECTOR = Thermostat(19.0, 20.5, 14.0, 45.0)


def _times(generator: np.random.Generator, year: DemoYear, count: NDArray[np.int64], about: float, spread: float) -> Watts:
    """Return sorted positions in the year (sum of count,) of `count` (days,) events scattered about a clock time."""
    day = np.repeat(np.arange(year.days), count)
    clock = np.clip(generator.normal(about, spread, len(day)), 0.0, 1439.0)
    return np.sort(year.position(day, clock))


def breakfast(seed: int, year: DemoYear, guests: DemoGuests) -> dict[str, Watts]:
    """Return kettle and toaster, W, each (minutes,): runs in the morning by the number of people at table."""
    generator = Streams(seed).stream("demo.breakfast")
    eating = guests.this_morning + OWNERS
    boils = _times(generator, year, (eating + 2) // 3, 510.0, 32.0)
    teas = _times(generator, year, generator.integers(0, 3, year.days), 1020.0, 60.0)
    toasts = _times(generator, year, (eating + 1) // 2, 515.0, 30.0)
    kettle_at = np.sort(np.concatenate((boils, teas)))
    return {
        "kettle": _runs("kettle", kettle_at, generator.uniform(2.5, 5.0, len(kettle_at)), year),
        "toaster": _runs("toaster", toasts, np.full(len(toasts), 3.0), year),
    }


def _runs(load_id: str, start: NDArray[np.float64], length: NDArray[np.float64], year: DemoYear) -> Watts:
    begin = without_overlap(start, length)
    return mean_power(pulses(begin, length, surveyed(load_id).total_w), year.minutes)


def oven(seed: int, year: DemoYear, guests: DemoGuests) -> Watts:
    """Return the oven, W, (minutes,): 13 min to heat up, then 1.5 min in every 4 for half an hour."""
    generator = Streams(seed).stream("demo.oven")
    mornings = _times(generator, year, (guests.this_morning > 0).astype(np.int64), 475.0, 14.0)
    evenings = _times(generator, year, generator.binomial(1, 0.35, year.days), 1150.0, 35.0)
    start = np.concatenate((mornings, evenings))[:, np.newaxis]
    part_start = np.concatenate(([0.0], 15.5 + 4.0 * np.arange(8)))
    part_length = np.concatenate(([13.0], np.full(8, 1.5)))
    return mean_power(pulses(start + part_start, part_length, surveyed("oven").total_w), year.minutes)


def breakfast_heater(year: DemoYear, weather: DemoWeather, guests: DemoGuests) -> Watts:
    """Return the convector of the breakfast room, W, (minutes,): winter mornings with guests, by thermostat."""
    day, minute = year.day[::BLOCK_MINUTES], year.minute[::BLOCK_MINUTES]
    winter = (year.month >= 11) | (year.month <= 3)
    wanted = (winter & (guests.this_morning > 0))[day] & (minute >= 405) & (minute < 600)
    around = year.blocks(weather.air_c) + 4.0
    return mean_power(thermostat_pulses(CONVECTOR, around, surveyed("breakfast_heater").total_w, wanted), year.minutes)


def laundry(seed: int, year: DemoYear, guests: DemoGuests) -> dict[str, Watts]:
    """Return washer and dryer, W, each (minutes,): one wash for each room left, three a week for the house."""
    generator = Streams(seed).stream("demo.laundry")
    own = np.isin(year.weekday, (0, 2, 4)).astype(np.int64)
    washes = _times(generator, year, guests.departures + own, 690.0, 55.0)
    begin = without_overlap(washes, np.full(len(washes), 80.0))
    offset, length, share = np.array(WASH_STEPS).T
    wash = pulses(begin[:, np.newaxis] + offset, length, share * surveyed("washer").total_w)
    # In the dry half of the year most of the linen dries outside.
    dry_season = np.isin(year.month[year.day[begin.astype(np.int64)]], (5, 6, 7, 8, 9))
    dried = begin[generator.random(len(begin)) < np.where(dry_season, 0.25, 0.8)] + 85.0
    drying = without_overlap(dried, np.full(len(dried), 75.0))[:, np.newaxis]
    # The heater cycles towards the end of a load; the drum alone draws little.
    heat = pulses(drying + np.array([0.0, 45.0, 55.0]), np.array([40.0, 5.0, 5.0]), surveyed("dryer").total_w)
    drum = pulses(drying + np.array([40.0, 50.0]), 5.0, 0.1 * surveyed("dryer").total_w)
    return {
        "washer": mean_power(wash, year.minutes),
        "dryer": mean_power(heat, year.minutes) + mean_power(drum, year.minutes),
    }


def water_heaters(seed: int, year: DemoYear, guests: DemoGuests) -> dict[str, Heating]:
    """Return how both water heaters answer the showers of the guests, and the dishes and the owners."""
    generator = Streams(seed).stream("demo.water")
    late = np.round(0.55 * guests.tonight).astype(np.int64)
    early = np.round(0.6 * guests.this_morning).astype(np.int64)
    showers = np.sort(np.concatenate((_times(generator, year, early, 475.0, 40.0), _times(generator, year, late, 1165.0, 65.0))))
    shower_l = generator.uniform(28.0, 55.0, len(showers))
    small = np.sort(
        np.concatenate(
            (
                _times(generator, year, (guests.this_morning + 5) // 3, 580.0, 35.0),
                _times(generator, year, np.full(year.days, OWNERS), 425.0, 25.0),
                _times(generator, year, np.full(year.days, 2), 1275.0, 40.0),
            )
        )
    )
    small_l = generator.uniform(12.0, 38.0, len(small))
    draws = {"water_heater_guests": (showers, shower_l), "water_heater_kitchen": (small, small_l)}
    return {
        name: heat_tank(TANKS[name], when, draw_heat_wh(mixed_l, _cold_c(when)), year.minutes)
        for name, (when, mixed_l) in draws.items()
    }


def _cold_c(when: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the cold water (k,), C, at positions of the year: 12 C in late February, 22 C in late August."""
    return np.asarray(17.0 - 5.0 * np.cos(2.0 * np.pi * (when / 1440.0 - 55.0) / 365.0))
