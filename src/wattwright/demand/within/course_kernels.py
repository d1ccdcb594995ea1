"""Invented courses of power: loads that switch on and off at random on top of a wavering rest."""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import kernel

Floats = NDArray[np.float64]


@kernel
def draw_courses(
    draws: np.random.Generator,
    rating_w: Floats,
    on_s: Floats,
    spread: Floats,
    base_w: float,
    use: float,
    count: int,
    slots: int,
    slot_s: float,
) -> Floats:
    """Return ``count`` courses of mean power over ``slots`` slots of ``slot_s`` seconds, W, shape (count, slots).

    Each load is in use during a course or not; in use, it is an alternating renewal process: on for a lognormal time about
    ``on_s``, off for an exponential time or evenly, at a share of time drawn for the course. ``rating_w``,
    ``on_s`` and ``spread`` (the standard deviation of the logarithm of the rating) have shape (loads,); ``use`` is the mean
    chance that a load is in use. Beneath them lies a rest about ``base_w``.
    """
    out = np.empty((count, slots))
    total_s = slots * slot_s
    for at in range(count):
        _lay_rest(draws, out[at], base_w * np.exp(0.3 * draws.standard_normal()))
        busy = 2 * use * draws.random()
        for load in range(len(rating_w)):
            if draws.random() >= busy:
                continue
            power = rating_w[load] * np.exp(spread[load] * draws.standard_normal())
            on = on_s[load] * np.exp(0.5 * draws.standard_normal())
            duty = 0.02 + 0.95 * draws.random() ** 1.5
            off = on * (1 - duty) / duty
            # A thermostat under a steady load cycles evenly; what people switch does not.
            even = draws.random() < 0.5
            # Two cycles before the course begins, so that its beginning is like any other moment.
            time = -2 * draws.random() * (on + off)
            while time < total_s:
                time += off * (np.exp(0.1 * draws.standard_normal()) if even else draws.standard_exponential())
                ends = time + on * np.exp((0.1 if even else 0.5) * draws.standard_normal())
                _add_span(out[at], time, ends, power, slot_s)
                time = ends
    return out


@kernel
def _lay_rest(draws: np.random.Generator, slots: Floats, level_w: float) -> None:
    """Write a rest about a level that wavers by 1 % to 30 % of it, neighbours alike: many small things switch in it."""
    wave = 0.0
    size = 0.01 * 30.0 ** draws.random()
    stays = draws.random()
    for slot in range(len(slots)):
        wave = stays * wave + np.sqrt(1 - stays * stays) * draws.standard_normal()
        slots[slot] = level_w * max(0.1, 1 + size * wave)


@kernel
def _add_span(slots: Floats, begins_s: float, ends_s: float, power_w: float, slot_s: float) -> None:
    first = max(0, int(begins_s / slot_s))
    last = min(len(slots) - 1, int(ends_s / slot_s))
    for slot in range(first, last + 1):
        within = min(ends_s, (slot + 1) * slot_s) - max(begins_s, slot * slot_s)
        if within > 0:
            slots[slot] += power_w * within / slot_s
