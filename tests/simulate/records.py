"""Invented records for the tests of fitting: written plainly, without the package's own loads."""

import numpy as np

from wattwright.core.clock import SiteClock
from wattwright.core.series import Series, of_values

MONDAY_S = 1_709_510_400  # 4 March 2024, 00:00 UTC
UTC = SiteClock("UTC")
DAY = 1440
WATER = 4186.8  # J/(l K), 1.163 Wh/(l K)


def minutes(values, step_s: int = 60) -> Series:
    return of_values(MONDAY_S, step_s, np.asarray(values, float))


def share_on(edges, count: int, step: float = 60.0):
    """Share of each step between pairs of (on, off) in s, by going through every step of every pair."""
    share = np.zeros(count)
    for on, off in edges:
        for k in range(int(on // step), min(count, int(off // step) + 1)):
            share[k] += max(0.0, min(off, (k + 1) * step) - max(on, k * step)) / step
    return share


def thermostat(days: int, power: float, litres: float, loss: float, set_c: float, differential: float, draws, room=20.0):
    """(on, off) pairs in s of a mixed store, by small steps of 6 s; draws(second) gives heat drawn in W."""
    heat, temperature, runs, edges, step = litres * WATER, set_c, False, [], 6.0
    for k in range(int(days * 86_400 / step)):
        temperature += step / heat * ((power if runs else 0.0) - loss * (temperature - room) - draws(k * step))
        if runs and temperature >= set_c:
            runs = False
            edges[-1].append((k + 1) * step)
        elif not runs and temperature <= set_c - differential:
            runs = True
            edges.append([(k + 1) * step])
    return [tuple(pair) for pair in edges if len(pair) == 2]
