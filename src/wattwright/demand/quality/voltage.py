"""Voltage against the published band: weeks of ten-minute means, lowest and highest values, and unbalance."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from wattwright.core.calendar import days_between
from wattwright.core.clock import SiteClock
from wattwright.core.series import Floats, Series, coarser, of_values
from wattwright.record.record import Channel, Form

TEN_MIN_S = 600
INNER, OUTER = (0.90, 1.10), (0.85, 1.10)
"""Band of 95 % of the ten-minute means of each week, and of all of them, as shares of nominal: EN 50160, low voltage."""
MOST_OUTSIDE = 0.05
_INTERRUPTED = 0.05
_JUDGED = 0.9
STANDARD_V = (120.0, 230.0, 277.0, 347.0, 400.0, 480.0, 690.0)
"""Standard voltages of IEC 60038 between a conductor and neutral, or between two."""
_NEAR = 0.2
_DAYS = 7


@dataclass(frozen=True, slots=True)
class Extreme:
    """The lowest or highest reading of a channel, in its unit, and when its interval began (UTC seconds)."""

    value: float
    start_s: int


@dataclass(frozen=True, slots=True)
class Week:
    """Seven local days of ten-minute means: how many there are in the week and how many were read; how many lay outside.

    ``outside`` counts those beyond 10 % of nominal, ``beyond`` those under 85 % or over 110 %.
    """

    first: date
    means: int
    read: int
    outside: int
    beyond: int

    @property
    def judged(self) -> bool:
        """Return whether enough of the week was read to make the checks."""
        return self.read >= _JUDGED * self.means

    @property
    def passes_most(self) -> bool:
        """Return whether at most 5 % of the means that were read lay outside 10 % of nominal."""
        return self.outside <= MOST_OUTSIDE * self.read

    @property
    def passes_all(self) -> bool:
        """Return whether none of the means that were read lay under 85 % or over 110 % of nominal."""
        return self.beyond == 0


@dataclass(frozen=True, slots=True, eq=False)
class Voltage:
    """One voltage channel: what it is held against (NaN where nothing fits), its lowest and highest, and its weeks.

    ``share`` is the part of all means inside 10 % of nominal, over steps of ``step_s``; ``interrupted_s`` is how long it was
    under 5 % of nominal, from ``interrupted_from_s`` on.
    """

    channel: Channel
    nominal_v: float
    median_v: float
    lowest: Extreme
    highest: Extreme
    step_s: int
    share: float
    weeks: tuple[Week, ...]
    days: int
    interrupted_s: int
    interrupted_from_s: int


@dataclass(frozen=True, slots=True)
class Unbalance:
    """Largest deviation of three conductors from their mean, over the mean: what 5 % of the means pass, and the highest."""

    of: str
    usual: float
    high: float
    highest: Extreme


def nominal_for(median_v: float, said_v: float | None) -> float:
    """Return the nominal voltage a channel is held against, NaN where none lies within a fifth of its median.

    ``said_v`` is the supply's voltage to neutral where a person gave it: then the channel holds that, or the voltage between two
    conductors of a three-phase or a split-phase supply.
    """
    known = STANDARD_V if said_v is None else (said_v, said_v * sqrt(3), said_v * 2)
    best = min(known, key=lambda one: abs(median_v / one - 1))
    return best if abs(median_v / best - 1) <= _NEAR else float("nan")


def voltage(channel: Channel, others: Sequence[Channel], said_v: float | None, clock: SiteClock) -> Voltage:
    """Return what one channel of voltage says; ``others`` are all channels of the record, among them its extremes.

    Ten-minute means are root mean squares of the readings in them (as IEC 61000-4-30 adds up; from memory). A reading under 5 %
    of nominal is an interruption and counts as not read. Raises ValueError for a channel without readings.
    """
    series = channel.series.read_only()
    median = float(np.nanmedian(series.values))
    nominal = nominal_for(median, said_v)
    held, gone = series, np.zeros(len(series), np.bool_)
    if nominal == nominal:
        gone = series.present & (series.values < _INTERRUPTED * nominal)
        held = of_values(series.start_s, series.step_s, np.where(gone, np.nan, series.values))
    fits = series.step_s <= TEN_MIN_S and TEN_MIN_S % series.step_s == 0
    means = ten_minutes(held, clock) if fits else held
    read = means.values[means.present]
    inside = float(np.mean(_within(read, nominal, INNER))) if len(read) and nominal == nominal else float("nan")
    weeks = _weeks(means, nominal, clock) if fits and nominal == nominal else ()
    days = len(days_between(clock, series.start_s, series.end_s))
    low, high = extremes(channel, others)
    first_gone = int(series.times_s[gone][0]) if gone.any() else 0
    lost_s = int(gone.sum()) * series.step_s
    return Voltage(channel, nominal, median, low, high, means.step_s, inside, weeks, days, lost_s, first_gone)


def extremes(channel: Channel, others: Sequence[Channel]) -> tuple[Extreme, Extreme]:
    """Return the lowest and highest of a channel, those within its intervals where the meter logged them (first of equals)."""

    def like(form: Form) -> list[Channel]:
        meant = channel.meaning
        same = (c for c in others if (c.meaning.quantity, c.meaning.phase, c.meaning.form) == (meant.quantity, meant.phase, form))
        return [channel, *(one for one in same if one.series.present.any())]

    lows = [(float(np.nanmin(s.values)), int(s.times_s[np.nanargmin(s.values)])) for s in _series(like(Form.LOWEST))]
    highs = [(float(np.nanmax(s.values)), int(s.times_s[np.nanargmax(s.values)])) for s in _series(like(Form.HIGHEST))]
    return Extreme(*min(lows)), Extreme(*max(highs, key=lambda one: one[0]))


def _series(channels: Sequence[Channel]) -> list[Series]:
    return [one.series.read_only() for one in channels]


def ten_minutes(series: Series, clock: SiteClock) -> Series:
    """Return a voltage as root mean squares of ten minutes on the clock; one of which a reading is missing is missing."""
    squares = of_values(series.start_s, series.step_s, series.values**2)
    means = coarser(squares, TEN_MIN_S, clock)
    return of_values(means.start_s, means.step_s, np.sqrt(means.values))


def unbalance(channels: Sequence[Channel], clock: SiteClock) -> Unbalance | None:
    """Return the unbalance of the voltages of three conductors, None where they were never read together."""
    series = [one.series.read_only() for one in channels]
    fits = series[0].step_s <= TEN_MIN_S and TEN_MIN_S % series[0].step_s == 0
    means = [ten_minutes(one, clock) if fits else one for one in series]
    away = deviation(np.array([one.values for one in means]))
    held = ~np.isnan(away)
    if not held.any():
        return None
    at = int(np.nanargmax(away))
    usual, high = (float(one) for one in np.quantile(away[held], (0.5, 0.95)))
    return Unbalance("voltage", usual, high, Extreme(float(away[at]), int(means[0].times_s[at])))


def deviation(values: Floats) -> Floats:
    """Return the largest deviation from the mean over the mean, of conductors by time (conductors, n), NaN where one is missing.

    The definition of NEMA MG 1, there for line-to-line voltages. It sees no angles, so it is not the ratio of symmetrical
    components that EN 50160 limits.
    """
    mean = values.mean(axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        away: Floats = np.abs(values - mean).max(axis=0) / mean
    return np.where(mean > 0, away, np.nan)


def _within(read: Floats, nominal_v: float, band: tuple[float, float]) -> NDArray[np.bool_]:
    # A reading such as 253.0 V lies on the band's edge, inside; 1.1 times 230 must not miss it by a rounding.
    slack = 1e-9 * nominal_v
    inside: NDArray[np.bool_] = (read >= band[0] * nominal_v - slack) & (read <= band[1] * nominal_v + slack)
    return inside


def _weeks(means: Series, nominal_v: float, clock: SiteClock) -> tuple[Week, ...]:
    """Return the weeks of seven local days that follow one another from the first whole day on."""
    days = days_between(clock, means.start_s, means.end_s)
    first = int(np.searchsorted(days.starts_s, means.start_s))
    found = []
    for at in range(first, len(days) - _DAYS + 1, _DAYS):
        begins, ends = int(days.starts_s[at]), int(days.starts_s[at + _DAYS])
        if ends > means.end_s:
            break
        part = means.part(begins, ends)
        read = part.values[part.present]
        outside, beyond = (int((~_within(read, nominal_v, band)).sum()) for band in (INNER, OUTER))
        found.append(Week(days.date(at), (ends - begins) // TEN_MIN_S, len(read), outside, beyond))
    return tuple(found)
