"""Early news: the saving as it adds up week by week, and from when on it could be shown."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.series import Floats
from wattwright.proof.choose import Baseline
from wattwright.proof.models.record import Grain, UseRecord
from wattwright.proof.savings import errors

_WEEK_D, _DAY_S = 7.0, 86_400
_YEAR_D = 365.25
_WHOLE_WEEK_D, _WHOLE_MONTH_D = 6.9, 27.9
"""A week whose clock is put forward has an hour less."""


@dataclass(frozen=True, slots=True, eq=False)
class Running:
    """What was saved from the beginning until ``ends_s``, with its band; in kWh, all of shape (weeks,).

    ``expected_kwh`` and ``used_kwh`` are of each week alone, and ``off_low_kwh``, ``off_high_kwh`` the error of that.
    Of weeks that ``is_whole`` names every day was read.
    """

    ends_s: NDArray[np.int64]
    saved_kwh: Floats
    low_kwh: Floats
    high_kwh: Floats
    expected_kwh: Floats
    used_kwh: Floats
    off_low_kwh: Floats
    off_high_kwh: Floats
    is_whole: NDArray[np.bool_]


def running(found: Baseline, reporting: UseRecord, confidence: float, seed: int = 0) -> Running:
    """Return the saving over ``reporting`` as it stood at the end of each week of it (month, in a record of months).

    Each band is that of one look at that time: of many looks one shows a saving by chance more often than one look does.
    """
    told = found.fitted.predict(reporting)
    _, places = np.unique(reporting.week, return_inverse=True)
    last = np.flatnonzero(np.diff(places, append=places[-1] + 1))
    rows = []
    for number, end in enumerate(last.tolist()):
        so_far, alone = np.arange(len(reporting)) <= end, places == number
        saved = float((told - reporting.energy_kwh)[so_far].sum())
        off = errors(found, reporting.part(so_far), confidence, seed)
        of_week = errors(found, reporting.part(alone), confidence, seed)
        rows.append(
            (saved, saved - off.high_kwh, saved - off.low_kwh, float(told[alone].sum()), float(reporting.energy_kwh[alone].sum()),
             of_week.low_kwh, of_week.high_kwh)
        )  # fmt: skip
    table = np.array(rows)
    ends_s = reporting.starts_s[last] + np.rint(reporting.days[last] * _DAY_S).astype(np.int64)
    length = np.bincount(places, weights=reporting.days)
    is_whole = length >= (_WHOLE_MONTH_D if reporting.grain is Grain.MONTH else _WHOLE_WEEK_D)
    saved, low, high, expected, used, off_low, off_high = np.ascontiguousarray(table.T)
    return Running(ends_s, saved, low, high, expected, used, off_low, off_high, is_whole)


def weeks_until_shown(
    found: Baseline, begins_s: int, saved_a_day_kwh: float, weeks: int, confidence: float, seed: int = 0
) -> int | None:
    """Return after how many weeks from ``begins_s`` on a saving of so much a day has a band that lies above nought.

    The time after is taken to be like the same weeks of the baseline, over and over where that is shorter. None where it takes
    more than ``weeks``.
    """
    ahead = _as_long(one_year(found.record, begins_s), weeks * _WEEK_D)
    passed = np.cumsum(ahead.days)
    for week in range(1, weeks + 1):
        part = passed <= week * _WEEK_D
        if not part.any():
            continue
        off = errors(found, ahead.part(part), confidence, seed)
        if saved_a_day_kwh * float(passed[part][-1]) > off.high_kwh:
            return week
    return None


def least_shown_kwh(found: Baseline, begins_s: int, weeks: int, confidence: float, seed: int = 0) -> float:
    """Return the least saving a day, kWh, whose band lies above nought after so many weeks like those of the baseline."""
    ahead = _as_long(one_year(found.record, begins_s), weeks * _WEEK_D)
    return errors(found, ahead, confidence, seed).high_kwh / float(ahead.days.sum())


def _as_long(record: UseRecord, days: float) -> UseRecord:
    """Return a record over and over until it holds so many days, a stretch at least."""
    times = int(np.ceil(days / float(record.days.sum())))
    again = record.part(np.tile(np.arange(len(record)), max(times, 1)))
    return again.part(np.arange(len(again)) < max(int((np.cumsum(again.days) <= days + 1e-6).sum()), 1))


def one_year(record: UseRecord, begins_s: int) -> UseRecord:
    """Return the stretches of a record in the order in which such days of a year come from ``begins_s`` on, a year at most."""
    of_year = (record.starts_s - begins_s) / _DAY_S % _YEAR_D
    order = np.argsort(of_year, kind="stable")
    first_year = np.cumsum(record.days[order]) <= _YEAR_D
    return record.part(order[first_year])
