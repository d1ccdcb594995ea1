"""Pool, irrigation and greenhouse of the invented property."""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.seeds import Streams
from wattwright.demo.pulses import mean_power, pulses
from wattwright.demo.survey import surveyed
from wattwright.demo.thermostat import Thermostat, thermostat_pulses
from wattwright.demo.weather import DemoWeather
from wattwright.demo.year import BLOCK_MINUTES, DemoYear

Watts = NDArray[np.float64]

POOL_ON_MIN, POOL_OFF_MIN = 600, 1080
MORNING_WATERING = (0, 1, 3, 5)
"""Weekdays watered in the morning: Monday, Tuesday, Thursday, Saturday."""
WATERING_MIN_BY_MONTH = (0, 0, 0, 30, 38, 48, 60, 58, 42, 30, 0, 0)
BENCH = Thermostat(17.0, 19.0, 20.0, 120.0)


def pool_pump(year: DemoYear) -> Watts:
    """Return the pool pump, W, (minutes,): May to October by its time switch; the filter clogs over two weeks."""
    days = np.flatnonzero((year.month >= 5) & (year.month <= 10))
    clogging = 1.0 - 0.04 * ((days - days[0]) % 14) / 13.0
    start = year.position(days, POOL_ON_MIN)
    length = year.position(days, POOL_OFF_MIN) - start
    return mean_power(pulses(start, length, clogging * surveyed("pool_pump").total_w), year.minutes)


def irrigation_pump(seed: int, year: DemoYear) -> Watts:
    """Return the irrigation pump, W, (minutes,): the season's mornings and evenings, longer in high summer."""
    generator = Streams(seed).stream("demo.irrigation")
    rating = surveyed("irrigation_pump").total_w
    days = np.arange(year.days)
    season = (days >= 104) & (days < 288)
    minutes = np.array(WATERING_MIN_BY_MONTH)[year.month - 1] * generator.uniform(0.9, 1.1, year.days)
    level = rating * generator.uniform(0.95, 1.0, year.days)
    morning = season & np.isin(year.weekday, MORNING_WATERING)
    evening = season & (year.weekday != 6)
    early = pulses(year.position(days, 390)[morning], minutes[morning], level[morning])
    late = pulses(year.position(days, 1200)[evening], 0.5 * minutes[evening], level[evening])
    return mean_power(early, year.minutes) + mean_power(late, year.minutes)


def greenhouse_c(year: DemoYear, weather: DemoWeather) -> NDArray[np.float64]:
    """Return the greenhouse air per quarter hour, C, (blocks,): outside air, a little warmer, much warmer in the sun."""
    shade = np.where((year.month >= 5) & (year.month <= 9), 6.0, 13.0)[year.day][::BLOCK_MINUTES]
    return np.asarray(year.blocks(weather.air_c) + 2.0 + shade * year.blocks(weather.sun))


def propagation_bench(year: DemoYear, weather: DemoWeather) -> Watts:
    """Return the heat mats, W, (minutes,): thermostat on cold nights from late October to late April."""
    day, minute = year.day[::BLOCK_MINUTES], year.minute[::BLOCK_MINUTES]
    night = (minute >= 1020) | (minute < 540)
    season = (day >= 292) | (day < 115)
    rating = surveyed("propagation_bench").total_w
    return mean_power(thermostat_pulses(BENCH, greenhouse_c(year, weather), rating, night & season), year.minutes)


def greenhouse_fans(year: DemoYear, weather: DemoWeather) -> Watts:
    """Return the two fans, W, (minutes,): ten minutes in every hour, and throughout above 27 C inside."""
    hot = np.repeat(greenhouse_c(year, weather) > 27.0, BLOCK_MINUTES)
    return np.where(hot | (year.minute % 60 < 10), surveyed("greenhouse_fans").total_w, 0.0)
