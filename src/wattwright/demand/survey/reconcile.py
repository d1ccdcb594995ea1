"""A survey of loads held against the record, hour by hour: what it explains, what it over-explains, and what is missing.

For every hour, with m the energy measured and e what the survey adds up to: explained = min(m, e), unexplained = m - explained,
over-explained = e - explained. So measured = explained + unexplained exactly, where m is not below nought.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from wattwright.core.calendar import DAY_TYPES, Days
from wattwright.core.clock import SiteClock
from wattwright.core.findings import Finding
from wattwright.core.series import Floats, Series, clock_windows
from wattwright.demand.survey import kinds

HOUR_S: Final = 3600
_CONFIDENCE: Final = 0.90
_FEWEST_H: Final = 7 * 24
_MISTAKES: Final = (0.5, 2.0)
"""Mistakes often made: a rating or a quantity twice too high, or half of what it is."""
_BELIEVED, _BLURRED, _ROUNDS = 0.5, 0.7, 5
"""How far a factor may lie from 1, and from which share of that on it cannot be told; common practice, no source."""
_ROUGH, _LEAST = 0.05, 0.02
"""How rough a survey is at best: 5 % of what it says of an hour, and 2 % of the mean; common practice, no source."""
_NEARLY = (0.5, 2.0)
"""No load is named where the survey adds up to less or more than this share of the energy: too much else is wrong."""
_BETTER, _SURE, _RIVAL = 0.3, 8.0, 0.2
"""What share of the misfit must go before a load is named, and how much of it (chi-squared); rivals so near are named too."""
_SEEN: Final = 0.03
"""A load of less than this share of the energy cannot be judged; common practice, no source."""


@dataclass(frozen=True, slots=True, eq=False)
class Expected:
    """What the survey says of one load: mean power in W for every hour of the local day by day type and season.

    ``power_w`` has shape (day types, seasons, 24), all of nought where no hours are written (``stated`` false);
    ``rating_w`` is that of all its pieces.
    """

    name: str
    rating_w: float
    power_w: Floats
    stated: bool = True


@dataclass(frozen=True, slots=True)
class Share:
    """Energy in kWh of a part of the record: measured, explained, unexplained, over-explained."""

    name: str
    measured_kwh: float
    explained_kwh: float
    unexplained_kwh: float
    over_kwh: float

    @property
    def explained_share(self) -> float:
        """Return what is explained as a share of what was measured, 0 where nothing was."""
        return self.explained_kwh / self.measured_kwh if self.measured_kwh > 0 else 0.0


@dataclass(frozen=True, slots=True)
class Judged:
    """One load against the record: its energy by the survey in kWh, and by what factor the record goes with its hours.

    The factor is NaN where the record cannot tell it from the other loads.
    """

    name: str
    surveyed_kwh: float
    factor: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Suspect:
    """The load that is most likely written wrong: by what factor, what share of the squared misfit goes, and like rivals."""

    name: str
    factor: float
    better: float
    beside: str


@dataclass(frozen=True, slots=True, eq=False)
class Reconciled:
    """A survey held against a record, hour by hour (``start_s`` UTC seconds, energies in kWh, each shape (n,)) and in sums.

    ``coincident_w`` is the highest hour the survey adds up to, ``measured_w`` the highest hour measured, ``installed_w`` the sum
    of all ratings.
    """

    start_s: NDArray[np.int64]
    measured_kwh: Floats
    expected_kwh: Floats
    whole: Share
    by_hour: tuple[Share, ...]
    by_day_type: tuple[Share, ...]
    by_month: tuple[Share, ...]
    loads: tuple[Judged, ...]
    suspect: Suspect | None
    coincident_w: float
    measured_w: float
    installed_w: float
    findings: tuple[Finding, ...]

    @property
    def explained_kwh(self) -> Floats:
        """Return what the survey explains of each hour, shape (n,)."""
        return np.clip(self.expected_kwh, 0.0, np.maximum(self.measured_kwh, 0.0))

    @property
    def unexplained_kwh(self) -> Floats:
        """Return what is measured and not explained in each hour, shape (n,)."""
        return self.measured_kwh - self.explained_kwh

    @property
    def coincidence(self) -> float:
        """Return the highest hour measured over the sum of all ratings: the site's own coincidence factor.

        NaN where that hour lies above all ratings together: the survey does not hold all that runs, and no factor is above one.
        """
        return self.measured_w / self.installed_w if self.installed_w >= self.measured_w > 0 else float("nan")


def reconcile(power: Series, clock: SiteClock, days: Days, loads: Sequence[Expected]) -> Reconciled:
    """Return ``loads`` held against ``power`` (W, what was read), over hours read throughout (steps, where they are longer)."""
    windows = clock_windows(power.read_only(), HOUR_S, clock)
    held = windows.full
    starts, hours = windows.starts_s[:-1][held], np.diff(windows.starts_s)[held] / HOUR_S
    measured = windows.mean[held] / 1000 * hours
    place = _Places(starts, clock, days)
    each = (
        np.stack([one.power_w[place.day_type, place.season, place.hour] for one in loads])
        if loads
        else np.zeros((0, len(starts)))
    )
    expected = each.sum(axis=0) / 1000 * hours
    judged = _judged(measured, each / 1000 * hours, loads, place)
    explained = np.clip(expected, 0.0, np.maximum(measured, 0.0))

    def share(name: str, rows: NDArray[np.bool_]) -> Share:
        told = (measured[rows], explained[rows], (measured - explained)[rows], (expected - explained)[rows])
        return Share(name, *(float(one.sum()) for one in told))

    every = np.ones(len(starts), np.bool_)
    result = Reconciled(
        start_s=starts,
        measured_kwh=measured,
        expected_kwh=expected,
        whole=share("whole record", every),
        by_hour=tuple(share(f"{hour:02d}:00", place.hour == hour) for hour in np.unique(place.hour).tolist()),
        by_day_type=tuple(share(DAY_TYPES[one].value, place.day_type == one) for one in np.unique(place.day_type).tolist()),
        by_month=tuple(
            share(f"{one // 12:04d}-{one % 12 + 1:02d}", place.month == one) for one in np.unique(place.month).tolist()
        ),
        loads=judged,
        suspect=_suspect(measured - expected, each / 1000 * hours, place.cell, loads, float(np.maximum(measured, 0).sum())),
        coincident_w=float(each.sum(axis=0).max(initial=0.0)),
        measured_w=float((measured / hours).max(initial=0.0)) * 1000,
        installed_w=sum(one.rating_w for one in loads),
        findings=(),
    )
    return _with_findings(result, loads, place)


class _Places:
    """Where each hour lies: its hour of the local day, day type, season and month (year times twelve), each shape (n,)."""

    def __init__(self, starts_s: NDArray[np.int64], clock: SiteClock, days: Days) -> None:
        parts = clock.parts(starts_s)
        day = np.clip(days.index_of(starts_s), 0, len(days) - 1)
        self.hour = parts.minute // 60
        self.day_type = days.day_type[day].astype(np.int64)
        self.season = days.season[day].astype(np.int64)
        self.month = parts.year.astype(np.int64) * 12 + parts.month - 1
        self.cell = self.day_type * 24 + self.hour


def _judged(measured: Floats, each: Floats, loads: Sequence[Expected], place: _Places) -> tuple[Judged, ...]:
    """Return for each load by what factor the record goes with its hours, beside a rest that is the same in all hours."""
    total = float(np.maximum(measured, 0.0).sum())
    energy = each.sum(axis=1)
    factor, low, high = (np.full(len(loads), np.nan) for _ in range(3))
    seen = [at for at in range(len(loads)) if energy[at] > _SEEN * total]
    if seen and len(measured) >= _FEWEST_H:
        columns = np.column_stack([each[seen].T, np.ones(len(measured))])
        factor[seen], width = _least_squares(columns, measured, len(seen))
        low[seen], high[seen] = factor[seen] - width, factor[seen] + width
    return tuple(
        Judged(one.name, float(energy[at]), float(factor[at]), float(low[at]), float(high[at])) for at, one in enumerate(loads)
    )


def _suspect(miss: Floats, each: Floats, cell: NDArray[np.int64], loads: Sequence[Expected], total: float) -> Suspect | None:
    """Return the one load whose doubling or halving brings the survey nearest to the record, None where none helps much.

    ``miss`` is measured less expected, shape (n,), ``each`` the hours of each load, shape (loads, n), both in kWh; ``cell`` the
    hour of the day and day type of each hour. They are held together by their means in each cell, weighed by how sure these
    are: what comes and goes by chance then counts little. Loads that run at the same hours cannot be told apart by their hours,
    but by how much is wrong: a mistake is a factor of two.
    """
    if len(miss) < _FEWEST_H or not len(each):
        return None
    _, which, count = np.unique(cell, return_inverse=True, return_counts=True)
    mean = np.bincount(which, miss) / count
    scatter = np.bincount(which, (miss - mean[which]) ** 2) / np.maximum(count - 1, 1)
    courses = np.stack([np.bincount(which, one) / count for one in each])
    expected = courses.sum(axis=0)
    weight = 1 / (scatter / count + (_ROUGH * expected) ** 2 + (_LEAST * total / len(miss)) ** 2 + 1e-12)
    before = float(weight @ mean**2)
    nearly = _NEARLY[0] * total <= float(each.sum()) <= _NEARLY[1] * total
    if before <= 0 or not nearly:
        return None
    ranked = []
    for load, hours, course in zip(loads, each, courses, strict=True):
        for factor in _MISTAKES:
            if hours.sum() * max(factor, 1.0) > _SEEN * total:
                gone = before - float(weight @ (mean - (factor - 1) * course) ** 2)
                ranked.append((gone / before, load.name, factor))
    ranked.sort(reverse=True)
    if not ranked or ranked[0][0] < _BETTER or ranked[0][0] * before < _SURE:
        return None
    better, name, factor = ranked[0]
    rivals = [other for share, other, _ in ranked[1:] if share > (1 - _RIVAL) * better and share >= _BETTER and other != name]
    return Suspect(name, factor, better, ", ".join(dict.fromkeys(rivals)))


def _least_squares(columns: Floats, measured: Floats, count: int) -> tuple[Floats, Floats]:
    """Return the first ``count`` factors and the half widths of their intervals, NaN where they cannot be told.

    What is written is taken for right within a factor that scatters by _BELIEVED (ridge towards 1), so that loads at the same
    hours do not play against each other; one whose scatter hardly shrinks cannot be told. Residuals of which neighbours are
    alike count for less.
    """
    from scipy.stats import norm

    belief = np.zeros(columns.shape[1])
    belief[:count] = 1 / _BELIEVED**2
    right = np.concatenate([np.ones(count), np.zeros(columns.shape[1] - count)])
    spread = float(np.var(measured)) + 1e-12
    for _ in range(_ROUNDS):
        precision = columns.T @ columns / spread + np.diag(belief + 1e-12)
        solved = np.linalg.solve(precision, columns.T @ measured / spread + belief * right)
        residual = measured - columns @ solved
        alike = float(np.clip(residual[1:] @ residual[:-1] / max(float(residual @ residual), 1e-300), 0.0, 0.98))
        spread = float(residual @ residual) / len(measured) * (1 + alike) / (1 - alike) + 1e-12
    scatter = np.sqrt(np.diag(np.linalg.inv(precision)))[:count]
    factor = np.where(scatter > _BLURRED * _BELIEVED, np.nan, solved[:count])
    width = float(norm.ppf(0.5 + _CONFIDENCE / 2)) * np.where(np.isnan(factor), np.nan, scatter)
    return factor, width


def _with_findings(given: Reconciled, loads: Sequence[Expected], place: _Places) -> Reconciled:
    from dataclasses import replace

    found: list[Finding] = []
    without = [one.name for one in loads if not one.stated]
    if without:
        found.append(kinds.NO_HOURS.at(without[0], count=len(without), names=", ".join(without)))
    whole = given.whole
    if whole.measured_kwh > 0 and whole.unexplained_kwh > 0.1 * whole.measured_kwh:
        found.append(_where_to_look(given, place))
    if whole.measured_kwh > 0 and whole.over_kwh > 0.05 * whole.measured_kwh:
        found.append(kinds.OVER.at("survey", over=whole.over_kwh, share=whole.over_kwh / whole.measured_kwh))
    if given.suspect is not None:
        one = given.suspect
        beside = one.beside or "none"
        found.append(kinds.WRONG_RATING.at(one.name, name=one.name, factor=one.factor, better=one.better, beside=beside))
    apart = [one.name for one in given.loads if one.factor != one.factor and one.surveyed_kwh > 0]
    if apart:
        found.append(kinds.TOGETHER.at("survey", count=len(apart), names=", ".join(apart)))
    return replace(given, findings=tuple(found))


def _where_to_look(given: Reconciled, place: _Places) -> Finding:
    """Return the finding on what is unexplained, with the day type and the six hours that hold most of it for each hour."""
    unexplained, whole = given.unexplained_kwh, given.whole
    best = (-np.inf, 0, 0)
    for day_type in np.unique(place.day_type).tolist():
        course = np.array([_mean(unexplained[(place.day_type == day_type) & (place.hour == hour)]) for hour in range(24)])
        around = np.convolve(np.concatenate([course, course[:5]]), np.ones(6) / 6, "valid")
        first = int(np.argmax(around))
        best = max(best, (float(around[first]), day_type, first))
    power, day_type, first = best
    return kinds.UNEXPLAINED.at(
        "survey",
        explained=whole.explained_share,
        unexplained=whole.unexplained_kwh,
        day=DAY_TYPES[day_type].value,
        begins=f"{first:02d}:00",
        ends=f"{(first + 6) % 24:02d}:00",
        power=1000 * power,
    )


def _mean(values: Floats) -> float:
    return float(values.mean()) if len(values) else 0.0
