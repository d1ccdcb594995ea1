"""The invented weather of the year: outside air, cloud and sun, simple but of the right size for 37 degrees north."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.seeds import Streams
from wattwright.demo.place import LATITUDE_DEG, LONGITUDE_DEG
from wattwright.demo.year import DemoYear

ZONE_MERIDIAN_DEG = 30.0
"""Meridian of the zone's standard time (UTC+2)."""


@dataclass(frozen=True, slots=True)
class DemoWeather:
    """Outside air and sun of every minute (n,), and the solar day of every local day (days,)."""

    air_c: NDArray[np.float64]
    sun: NDArray[np.float64]
    """Sunshine from 0 (night) to 1 (clear, sun overhead)."""
    sunrise_min: NDArray[np.float64]
    """Sunrise, minutes after local midnight on standard time."""
    sunset_min: NDArray[np.float64]
    """Sunset, minutes after local midnight on standard time."""


def wander(generator: np.random.Generator, size: int, memory: float, spread: float) -> NDArray[np.float64]:
    """Return a first-order autoregressive series (size,) with the given one-step memory and standard deviation."""
    shocks = generator.standard_normal(size) * spread * np.sqrt(1.0 - memory**2)
    from scipy.signal import lfilter  # a second to load, and the desk loads this module to offer the demo

    return np.asarray(lfilter([1.0], [1.0, -memory], shocks))


def declination_rad(day: NDArray[np.int64]) -> NDArray[np.float64]:
    """Return the sun's declination (days,), radians; Cooper's formula with day 0 for 1 January, from memory."""
    return np.asarray(np.radians(23.45) * np.sin(2.0 * np.pi * (284 + day + 1) / 365.0))


def half_day_min(day: NDArray[np.int64]) -> NDArray[np.float64]:
    """Return half the length of the solar day (days,), minutes, from the sunset hour angle at the site's latitude."""
    hour_angle = np.arccos(-np.tan(np.radians(LATITUDE_DEG)) * np.tan(declination_rad(day)))
    return np.asarray(np.degrees(hour_angle) * 4.0)


def demo_weather(seed: int, year: DemoYear) -> DemoWeather:
    """Return the invented weather of the year."""
    generator = Streams(seed).stream("demo.weather")
    days = np.arange(year.days)
    season = np.cos(2.0 * np.pi * (days - 205) / 365.0)
    clearness = np.clip(0.72 + 0.2 * season + wander(generator, year.days, 0.5, 0.2), 0.15, 1.0)
    noon = 720.0 + (ZONE_MERIDIAN_DEG - LONGITUDE_DEG) * 4.0
    half = half_day_min(days)
    daily_c = 17.5 + 8.8 * season + wander(generator, year.days, 0.75, 2.4)
    swing_c = (3.2 + 1.8 * season) * (0.5 + 0.7 * clearness)
    # The sun does not know of daylight saving: everything here runs on standard time.
    standard = np.arange(year.minutes)
    day, minute = standard // 1440, standard % 1440
    smooth_c = np.interp(standard, days * 1440 + 720, daily_c)
    air_c = smooth_c + swing_c[day] * np.cos(2.0 * np.pi * (minute - 900) / 1440.0)
    air_c += wander(generator, year.minutes, 0.99, 0.4)
    return DemoWeather(air_c, _sun(day, minute, noon, clearness), noon - half, noon + half)


def _sun(day: NDArray[np.int64], minute: NDArray[np.int64], noon: float, clearness: NDArray[np.float64]) -> NDArray[np.float64]:
    latitude = np.radians(LATITUDE_DEG)
    declination = declination_rad(np.arange(len(clearness)))
    level = (np.sin(latitude) * np.sin(declination))[day]
    swing = (np.cos(latitude) * np.cos(declination))[day]
    height = level + swing * np.cos(2.0 * np.pi * (minute - noon) / 1440.0)
    return np.asarray(np.maximum(height, 0.0) * clearness[day])
