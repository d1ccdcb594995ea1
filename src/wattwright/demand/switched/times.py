"""When a load that was found is usually on: hours of the day, runs, months, and whether a clock seems to switch it."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S, SiteClock

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
SLOT_S = 900
_SMOOTH = 2
"""Slots on either side over which the share of the day's hours is averaged."""
_CLOCK_SHARE, _CLOCK_SLOTS = 0.7, 2
"""A clock switches a load when so much of its starts lies within so many slots of the commonest times of day."""
_MOST_TIMES = 4
_CYCLE_STARTS, _CYCLE_SPREAD = 6.0, 0.5
"""A thermostat or timer cycles it when it starts so often a day and the middle half of its pauses differ by so little."""


class Pattern(StrEnum):
    """What seems to switch a load."""

    CLOCK = "by the clock"
    CYCLES = "cycles"
    IRREGULAR = "at irregular times"
    UNKNOWN = "not told at this step"


@dataclass(frozen=True, slots=True)
class Window:
    """A part of the local day, seconds from midnight, and the share of it for which the load is on.

    It goes over midnight where it ends before it begins.
    """

    begins_s: int
    ends_s: int
    share: float


@dataclass(frozen=True, slots=True, eq=False)
class Times:
    """When a load is on.

    ``by_slot`` (96,): share of each quarter hour of the local day; ``by_month`` (12,): of each month of the year, NaN where the
    record has none; ``run_s``: lower quartile, middle and upper quartile of its runs; ``days_share``: of the days it ran on.
    """

    by_slot: Floats
    by_month: Floats
    windows: tuple[Window, ...]
    run_s: tuple[float, float, float]
    starts: int
    days_share: float
    pattern: Pattern


def times_on(share: Floats, start_s: int, step_s: int, clock: SiteClock, *, is_exact: bool) -> Times:
    """Return when a load is on by its share of each interval (n,), NaN in gaps; ``is_exact``: single switchings are told."""
    at = start_s + step_s * np.arange(len(share), dtype=np.int64)
    parts, known = clock.parts(at), ~np.isnan(share)
    slot = (parts.minute * 60 // SLOT_S).astype(np.int64)
    # An hour is four quarter hours alike.
    wide = max(1, step_s // SLOT_S)
    slots = (slot[known][:, None] + np.arange(wide)).ravel() % (DAY_S // SLOT_S)
    by_slot = _means(slots, np.repeat(share[known], wide), DAY_S // SLOT_S)
    by_month = _means(parts.month[known].astype(np.int64) - 1, share[known], 12)
    days = np.unique(parts.day_number[known])
    on_days = np.unique(parts.day_number[known][share[known] >= 0.5])
    begins, ends = _edges(np.nan_to_num(share) >= 0.5)
    runs = (ends - begins) * float(step_s)
    low, middle, high = (float(np.quantile(runs, q)) if len(runs) else float("nan") for q in (0.25, 0.5, 0.75))
    pattern = _pattern(slot[begins], begins, ends, len(days)) if is_exact else Pattern.UNKNOWN
    return Times(
        by_slot, by_month, _windows(by_slot), (low, middle, high), len(begins), len(on_days) / max(1, len(days)), pattern
    )


def _means(place: NDArray[np.int64], values: Floats, size: int) -> Floats:
    count = np.bincount(place, minlength=size)
    with np.errstate(invalid="ignore"):
        return np.asarray(np.where(count > 0, np.bincount(place, weights=values, minlength=size) / np.maximum(count, 1), np.nan))


def _edges(on: Bools) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return where runs begin and where the interval behind them begins."""
    change = np.diff(np.concatenate([[False], on, [False]]).astype(np.int8))
    return np.flatnonzero(change == 1), np.flatnonzero(change == -1)


def _windows(by_slot: Floats) -> tuple[Window, ...]:
    """Return the parts of the day in which a load is on at least half as often as at its busiest."""
    filled = np.nan_to_num(by_slot)
    ring = np.concatenate([filled[-_SMOOTH:], filled, filled[:_SMOOTH]])
    smooth = np.convolve(ring, np.full(2 * _SMOOTH + 1, 1 / (2 * _SMOOTH + 1)), "valid")
    busy = smooth >= 0.5 * smooth.max()
    if busy.all() or not smooth.max() > 0.0:
        return (Window(0, DAY_S, float(filled.mean())),) if smooth.max() > 0.0 else ()
    # Begin behind a quiet slot, so that a window over midnight stays whole.
    first = int(np.flatnonzero(~busy)[0])
    begins, ends = _edges(np.roll(busy, -first))
    size = len(busy)
    return tuple(
        Window(
            int((b + first) % size) * SLOT_S,
            int((e + first - 1) % size + 1) * SLOT_S,
            float(filled[(np.arange(b, e) + first) % size].mean()),
        )
        for b, e in zip(begins, ends, strict=True)
    )


def _pattern(start_slot: NDArray[np.int64], begins: NDArray[np.int64], ends: NDArray[np.int64], days: int) -> Pattern:
    """Return what seems to switch a load, by its starts' times of day and by how even its pauses are."""
    if len(begins) < 2:
        return Pattern.IRREGULAR
    left, clocked, times = start_slot.copy(), 0, 0
    # Twice a day at most times a day: a load that starts all the time meets any time of day.
    while len(left) and times < min(_MOST_TIMES, max(1, round(len(begins) / max(1, days)))):
        near = [(np.abs((left - one + 48) % 96 - 48) <= _CLOCK_SLOTS // 2) for one in range(96)]
        best = max(near, key=lambda hit: int(hit.sum()))
        clocked, left, times = clocked + int(best.sum()), left[~best], times + 1
    if clocked >= _CLOCK_SHARE * len(begins) and len(begins) >= 5:
        return Pattern.CLOCK
    pauses = (begins[1:] - ends[:-1]).astype(np.float64)
    low, middle, high = np.quantile(pauses, (0.25, 0.5, 0.75))
    even = high - low <= _CYCLE_SPREAD * max(middle, 1.0)
    return Pattern.CYCLES if even and len(begins) >= _CYCLE_STARTS * max(1, days) else Pattern.IRREGULAR
