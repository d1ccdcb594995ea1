"""Intervals whose course inside is known: read by a finer meter, or invented from the loads a site may have."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.series import Floats, Series
from wattwright.demand.within.course_kernels import draw_courses
from wattwright.demand.within.listed import Listed, columns

Ints = NDArray[np.int64]
SLOT_S = 60
"""A course is known by the means over this many seconds, the shortest window a peak is told for."""
_AROUND = 6
"""Intervals in an invented course: one before and one after those that are used."""


@dataclass(frozen=True, slots=True, eq=False)
class Courses:
    """What power did inside intervals of one length, and what the intervals beside them were.

    ``power_w`` has shape (n, slots): the mean over each slot of ``slot_s`` seconds; ``before_w`` and ``after_w``, shape (n,): the
    means of the intervals on either side; ``start_s``, shape (n,): UTC seconds, -1 where the course was invented; ``of_day_s``,
    shape (n,): second of the local day, NaN where it has none; ``day``, shape (n,): number of the day it was read on.
    """

    slot_s: int
    power_w: Floats
    before_w: Floats
    after_w: Floats
    start_s: Ints
    of_day_s: Floats
    day: Ints

    def __len__(self) -> int:
        """Return the number of courses."""
        return len(self.power_w)

    @property
    def mean_w(self) -> Floats:
        """Return the mean of each course in W, shape (n,)."""
        mean: Floats = self.power_w.mean(axis=1)
        return mean

    def excess_w(self, window_s: int) -> Floats:
        """Return how far the highest window of ``window_s`` seconds lies above each course's mean, in W, shape (n,)."""
        wide = max(1, window_s // self.slot_s)
        highest: Floats = self.power_w.reshape(len(self), -1, wide).mean(axis=2).max(axis=1)
        return np.maximum(highest - self.mean_w, 0.0)

    def joined(self, other: "Courses") -> "Courses":
        """Return the courses of both in slots of this one's length, those of ``other``, whose slots go into them, last."""
        return Courses(
            self.slot_s,
            np.concatenate([self.power_w, other.power_w.reshape(len(other), self.power_w.shape[1], -1).mean(axis=2)]),
            np.concatenate([self.before_w, other.before_w]),
            np.concatenate([self.after_w, other.after_w]),
            np.concatenate([self.start_s, other.start_s]),
            np.concatenate([self.of_day_s, other.of_day_s]),
            np.concatenate([self.day, other.day]),
        )


def beside(mean_w: Floats) -> tuple[Floats, Floats]:
    """Return the means of the intervals before and after each of ``mean_w``; its own where there is none. Shapes (n,)."""
    before = np.concatenate([mean_w[:1], mean_w[:-1]])
    after = np.concatenate([mean_w[1:], mean_w[-1:]])
    return np.where(np.isnan(before), mean_w, before), np.where(np.isnan(after), mean_w, after)


def measured_courses(fine: Series, start_s: int, step_s: int, clock: SiteClock) -> Courses:
    """Return the courses inside intervals of ``step_s`` on the grid of ``start_s`` that ``fine`` was read throughout.

    ``fine`` has a step that goes into ``step_s``; steps that go into a minute are averaged to minutes.
    """
    slot_s = max(SLOT_S, fine.step_s)
    shift = (start_s - fine.start_s) % step_s
    skip, rest = divmod(shift, fine.step_s)
    held = fine.values[skip:] if not rest else np.zeros(0)
    each = step_s // fine.step_s
    count = len(held) // each
    blocks = held[: count * each].reshape(count, each)
    power = blocks.reshape(count, step_s // slot_s, -1).mean(axis=2)
    starts = fine.start_s + skip * fine.step_s + step_s * np.arange(count, dtype=np.int64)
    before, after = beside(blocks.mean(axis=1))
    whole = ~np.isnan(power).any(axis=1)
    local = clock.local_s(starts)
    return Courses(
        slot_s,
        power[whole],
        before[whole],
        after[whole],
        starts[whole],
        (local % DAY_S)[whole].astype(np.float64),
        (local // DAY_S)[whole],
    )


def invented_courses(
    loads: Sequence[Listed], base_w: float, step_s: int, draws: np.random.Generator, *, longer: float, use: float, count: int
) -> Courses:
    """Return courses inside intervals of ``step_s``, invented from ``loads`` above a base load.

    ``longer`` multiplies how long each load stays on, ``use`` is the mean chance that one is in use, ``count`` the number of
    stretches of six intervals that are drawn, of which the inner four are returned.
    """
    rating_w, on_s, spread = columns(loads)
    slots = step_s // SLOT_S
    drawn = draw_courses(
        draws, rating_w, on_s * longer, spread, max(base_w, 1.0), use, count, _AROUND * slots, float(SLOT_S)
    ).reshape(count, _AROUND, slots)
    mean = drawn.mean(axis=2)
    inner = drawn[:, 1:-1].reshape(-1, slots)
    none = np.full(len(inner), -1, np.int64)
    return Courses(SLOT_S, inner, mean[:, :-2].ravel(), mean[:, 2:].ravel(), none, np.full(len(inner), np.nan), none)
