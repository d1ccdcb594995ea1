"""What is said about hidden peaks: bands for every interval, day and month and for the whole, and what they rest on."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from wattwright.core.findings import Finding
from wattwright.core.series import Floats
from wattwright.demand.within.courses import Ints


class Rests(StrEnum):
    """What a band rests on, the firmest first."""

    READ = "readings"
    FINER = "a finer stretch of the same meter"
    SURVEY = "the survey's ratings"
    USUAL = "usual loads"
    NOTHING = "nothing: the step is too long"


@dataclass(frozen=True, slots=True)
class Band:
    """A maximum demand in W: its low, middle and high estimate; all the same where it was read."""

    low_w: float
    median_w: float
    high_w: float


@dataclass(frozen=True, slots=True, eq=False)
class Bands:
    """Bands of many spans of time: ``start_s`` UTC seconds, the rest in W, each shape (n,)."""

    start_s: Ints
    low_w: Floats
    median_w: Floats
    high_w: Floats

    def __len__(self) -> int:
        """Return the number of spans."""
        return len(self.start_s)

    def at(self, index: int) -> Band:
        """Return one of them."""
        return Band(float(self.low_w[index]), float(self.median_w[index]), float(self.high_w[index]))

    @property
    def width_w(self) -> Floats:
        """Return high less low in W, shape (n,)."""
        return self.high_w - self.low_w


@dataclass(frozen=True, slots=True, eq=False)
class WindowBands:
    """The maximum demand over windows of ``window_s`` seconds, clock-aligned.

    ``intervals`` lie on the record's own step, or the shortest longer one into which whole windows go; ``days`` are local days
    with a reading; ``months`` are keyed by year and month; ``days_guarantee`` is the share in which the bands of new days like
    those of the finer stretch hold, 0 where there is none.
    """

    window_s: int
    rests: Rests
    whole: Band
    months: tuple[tuple[int, int, Band], ...]
    days: Bands
    intervals: Bands
    days_guarantee: float = 0.0


@dataclass(frozen=True, slots=True)
class Narrowing:
    """By how many W knowing the rating of one load narrows the mean band of the shortest window."""

    name: str
    narrower_w: float
    mean_width_w: float


@dataclass(frozen=True, slots=True)
class Passing:
    """How a limit in W is passed within the record: minutes in all, times, and the longest time, each low, middle and high."""

    limit_w: float
    minutes: tuple[float, float, float]
    times: tuple[float, float, float]
    longest_min: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Stretch:
    """The finer readings that calibrate the bands: where they lie (UTC seconds), their step, whole days, intervals used.

    ``far_share`` is the share of the record's intervals that are unlike any in it, ``unlike_days`` that of its days whose mean
    lies below or above that of every whole day in it.
    """

    name: str
    start_s: int
    end_s: int
    step_s: int
    days: int
    intervals: int
    far_share: float
    unlike_days: float


@dataclass(frozen=True, slots=True, eq=False)
class PeakBands:
    """The peaks behind the means: bands by window, shortest first, with what they rest on.

    ``ceiling_w`` is what the survey's ratings add up to at the highest voltage with an allowance, NaN without a survey;
    ``start_a`` the current of the largest motor's start, which comes on top and lasts seconds, and ``starter`` its name.
    """

    nominal: float
    step_s: int
    windows: tuple[WindowBands, ...]
    stretch: Stretch | None
    ceiling_w: float
    starter: str
    start_a: float
    narrowing: tuple[Narrowing, ...]
    passing: Passing | None
    findings: tuple[Finding, ...]

    @property
    def shortest(self) -> WindowBands:
        """Return the bands of the shortest window."""
        return self.windows[0]


def hull(parts: list[Floats]) -> Floats:
    """Return the lowest low, the mean middle and the highest high of several bands, each of shape (3, n)."""
    stacked = np.stack(parts)
    return np.stack([stacked[:, 0].min(axis=0), stacked[:, 1].mean(axis=0), stacked[:, 2].max(axis=0)])
