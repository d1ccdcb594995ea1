"""The rest of the site: what the record holds beside the loads that are simulated.

A model runs at its own times, not at those of the day that was measured. Where it draws more in a step than the record holds
above the day's base, the real load ran at another time of the same local day: what is lacking is taken there, in stretches of the
load's own power where the record holds it longest, and at last from under the base. So energy is kept day by day, the rest is
never below nought, and what the model cannot explain stays in the rest with its peaks.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
_BASE = 0.05
"""Share of the day's steps at or below which its base is seen: common practice, no source."""
_STRETCHES = 48
"""Stretches in which a load may be looked for in a day; what is then still lacking is taken where the record holds most."""


@dataclass(frozen=True, slots=True, eq=False)
class Remainder:
    """``rest_w`` (n,); the share of the modelled energy that was moved within its day; and what a day did not hold, kWh."""

    rest_w: Floats
    moved: float
    short_kwh: float


def remainder(record_w: Floats, modelled_w: Floats, most_w: Floats, day: NDArray[np.int64], step_s: float) -> Remainder:
    """Return what ``record_w`` (n,) holds beside ``modelled_w`` (m, n), loads that draw at most ``most_w`` (m,) each.

    ``day`` (n,) is the local day of each step. Raises ValueError where a reading is missing or shapes differ.
    """
    shapes = record_w.shape == day.shape == modelled_w.shape[1:] and most_w.shape == modelled_w.shape[:1]
    if not shapes or np.isnan(record_w).any():
        raise ValueError("the rest of a site needs every reading, and for each load one value beside it")
    taken, moved_w, short_w = np.zeros_like(record_w), 0.0, 0.0
    for one in np.unique(day):
        here = day == one
        left = _above_base(record_w[here], modelled_w[:, here].sum(axis=0))
        lacks = np.zeros(len(most_w))
        for k, load_w in enumerate(modelled_w[:, here]):
            drawn = np.minimum(load_w, left)
            taken[here], left, lacks[k] = taken[here] + drawn, left - drawn, float((load_w - drawn).sum())
        for k, load_w in enumerate(modelled_w[:, here]):
            found = _elsewhere(left, lacks[k], max(float(most_w[k]), float(load_w.max())))
            taken[here], left = taken[here] + found, left - found
            lacks[k] -= found.sum()
            moved_w += found.sum()
        # The base was only judged: what is lacking still was under it.
        under = record_w[here] - taken[here]
        share = min(1.0, max(0.0, lacks.sum()) / under.sum()) if under.sum() > 1e-6 else 0.0
        taken[here] += share * under
        moved_w, short_w = moved_w + share * under.sum(), short_w + max(0.0, lacks.sum() - share * under.sum())
    total = modelled_w.sum()
    short_kwh = float(short_w) * step_s / 3.6e6
    short_kwh = short_kwh if short_kwh > 1e-9 else 0.0
    return Remainder(np.maximum(record_w - taken, 0.0), float(moved_w / total) if total > 0 else 0.0, short_kwh)


def _above_base(record_w: Floats, modelled_w: Floats) -> Floats:
    """Return what each step of a day holds above the base that is the rest's whatever the loads do."""
    base = max(0.0, float(np.quantile(record_w, _BASE) - np.quantile(modelled_w, _BASE)))
    return np.maximum(record_w - base, 0.0)


def _elsewhere(left_w: Floats, lacks: float, power_w: float) -> Floats:
    """Return what is taken from each step of a day, (n,), so that it sums to ``lacks`` where the day holds as much."""
    found, room = np.zeros_like(left_w), np.minimum(left_w, power_w)
    for _ in range(_STRETCHES):
        if lacks <= 1e-9 * power_w or power_w <= 0.0:
            return found
        length = min(len(room), max(1, round(lacks / power_w)))
        sums = np.convolve(room, np.ones(length), "valid")
        # Of stretches that fit alike, that in which most is left beside.
        beside = np.convolve(left_w - found, np.ones(length), "valid")
        first = int(np.argmax(sums + 1e-6 * beside))
        taken = room[first : first + length].copy()
        taken *= min(1.0, lacks / taken.sum()) if taken.sum() > 1e-9 * power_w else 0.0
        if taken.sum() <= 1e-9 * power_w:
            return found
        found[first : first + length] += taken
        # A step gives what it has once.
        room[first : first + length] = 0.0
        lacks -= float(taken.sum())
    share = min(1.0, lacks / room.sum()) if room.sum() > 1e-9 * power_w else 0.0
    return found + share * room
