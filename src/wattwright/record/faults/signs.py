"""Small measures that several checks share: spread over the hours of a day, resolution, evenly taken readings."""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.series import Floats, Series

QUIET_HOURS = 6
_QUIET_SHARE = 0.02
_ONE_HUMP = 0.5


def by_hour(series: Series, index: NDArray[np.int64], shift_s: int = 0) -> Floats:
    """Return how many of the intervals ``index`` begin in each hour of the day, shifted by ``shift_s``; shape (24,)."""
    hours = (series.start_s + shift_s + series.step_s * index) // 3600 % 24
    return np.bincount(hours, minlength=24).astype(np.float64)


def is_one_hump(counts: Floats) -> bool:
    """Return whether hours of the day (24,) keep six quiet ones together and crowd about one hour: so does the sun."""
    total = float(counts.sum())
    if total <= 0:
        return False
    around = np.concatenate([counts, counts[: QUIET_HOURS - 1]])
    quiet = float(np.convolve(around, np.ones(QUIET_HOURS), "valid").min())
    crowd = abs(np.sum(counts * np.exp(2j * np.pi * np.arange(24) / 24))) / total
    return quiet <= _QUIET_SHARE * total and bool(crowd >= _ONE_HUMP)


def evenly(values: Floats, most: int = 4000) -> Floats:
    """Return at most about ``most`` readings in runs of a few taken evenly over the record: (n,) to (k,)."""
    if len(values) <= most:
        return values
    run = 8
    starts = np.linspace(0, len(values) - run, most // run).astype(np.int64)
    taken: Floats = values[(starts[:, None] + np.arange(run)).ravel()]
    return taken


def resolution(values: Floats) -> float:
    """Return the smallest step between two different readings, or 0 where all are alike; judged on a sample."""
    some = np.unique(evenly(values[~np.isnan(values)], 20_000))
    steps = np.diff(some)
    steps = steps[steps > 1e-9 * max(1.0, float(np.max(np.abs(some), initial=0.0)))]
    return float(steps.min()) if len(steps) else 0.0
