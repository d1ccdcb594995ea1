"""Which days of a record have readings, as shares of each day."""

import numpy as np

from wattwright.core.calendar import Days
from wattwright.core.series import Floats, Series, over_windows


def daily_shares(series: Series, days: Days) -> tuple[Floats, Floats]:
    """Return which share of each day was estimated and which is missing, shape (days,) each, 0 to 1, together at most 1.

    What lies before the first reading or after the last is neither.
    """
    covered = over_windows(series, days.starts_s).covered_s / days.lengths_s
    spans_s = np.minimum(days.starts_s[1:], series.end_s) - np.maximum(days.starts_s[:-1], series.start_s)
    missing = np.clip(np.clip(spans_s / days.lengths_s, 0, 1) - covered, 0, 1)
    marks = np.where(series.estimated, series.step_s, 0.0)
    day = np.clip(days.index_of(series.times_s), 0, len(days) - 1)
    estimated = np.clip(np.bincount(day, marks, len(days)) / days.lengths_s, 0, 1 - missing)
    return estimated, missing
