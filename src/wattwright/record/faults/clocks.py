"""The logger's clock: an hour twice or skipped, a change that it did not follow, and stamps that slowly move."""

import datetime as dt
from collections.abc import Sequence

import numpy as np

from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.findings import Finding
from wattwright.core.quantity import Quantity
from wattwright.core.series import Floats, Series
from wattwright.record import kinds as readers
from wattwright.record.faults import kinds
from wattwright.record.faults.seen import Seen
from wattwright.record.faults.steady import steady
from wattwright.record.grid import Grid, Ints
from wattwright.record.record import Form, Run

_HOUR = 3600
_WEEKS = 4
_FEWEST_WEEKS = 2
_AGREED = 3
_CLEAR = 0.02
_ALIKE = 0.6
_NIGHT_H = (0, 4)


def hour_twice(laid: Grid, seen: Seen) -> list[Finding]:
    """Return findings about hours whose every interval has two rows that do not agree."""
    notes: list[Finding] = []
    times = laid.start_s + laid.step_s * laid.places if laid.duplicates else np.zeros(0, np.int64)
    for run in laid.duplicates:
        inside = (times >= run.start_s) & (times < run.end_s)
        odd = laid.questionable[inside].mean() if inside.any() else 0.0
        if _is_hour(run, laid.step_s) and odd > 0.5:
            zone = "" if seen.zoned else "; no zone was given, and on such days clocks are put back in many"
            notes.append(kinds.HOUR_TWICE.at("rows", start=run.start_s, zone=zone))
    return notes


def _is_hour(run: Run, step_s: int) -> bool:
    return run.end_s - run.start_s == _HOUR and step_s <= _HOUR


def hour_skipped(seen: Seen) -> list[Finding]:
    """Return findings about single hours without readings on nights on which clocks elsewhere, but not here, go forward."""
    if len(seen.gaps) > 50 or not seen.channels:
        return []
    step_s = seen.channels[0].series.step_s
    if step_s > _HOUR:
        return []
    # A register is read at the two ends of an interval, so that a missing reading takes both sides with it.
    notes = []
    for gap in seen.gaps:
        local = seen.clock.at(gap.start_s)
        if not _is_hour(gap, step_s) or not _NIGHT_H[0] <= local.hour < _NIGHT_H[1] or not _changes_elsewhere(local.date()):
            continue
        offsets = seen.clock.offsets_s(np.array([gap.start_s - DAY_S, gap.end_s + DAY_S]))
        if offsets[0] == offsets[1]:
            notes.append(kinds.HOUR_MISSING.at("rows", start=gap.start_s, zone=seen.clock.zone))
    return notes


def of_another_zone(findings: Sequence[Finding]) -> list[Finding]:
    """Return the findings; standard time that lacks the hour of a change elsewhere is told as another zone."""
    standard = next((f for f in findings if f.code == readers.STANDARD_TIME.code), None)
    skipped = [f for f in findings if f.code == kinds.HOUR_MISSING.code]
    if standard is None or not skipped:
        return list(findings)
    when = standard.data["when"]
    told = [kinds.OTHER_ZONE.at("stamps", when=when, start=f.data["start"], zone=f.data["zone"]) for f in skipped]
    return [*told, *(f for f in findings if f is not standard and f not in skipped)]


def _changes_elsewhere(day: dt.date) -> bool:
    """Return whether clocks go forward on that Sunday in the European Union, North America or Australia."""
    if day.weekday() != 6:
        return False
    last = day.month == 3 and day.day > 24
    second = day.month == 3 and 8 <= day.day <= 14
    return last or second or (day.month == 10 and day.day <= 7)


def clock_shift(seen: Seen) -> list[Finding]:
    """Return findings where the typical day moves by an hour across a change of the site's clock."""
    powers = [c for c in seen.of(Quantity.ACTIVE_POWER) if c.meaning.form is not Form.STATE]
    if not powers or not seen.zoned or powers[0].series.step_s > _HOUR or (powers[0].series.values < 0).any():
        return []
    series = powers[0].series
    notes = []
    for change in _changes(series, seen.clock):
        found = _shift(series, seen.clock, change)
        if found is not None:
            hours, weeks, of = found
            way = "later" if hours > 0 else "earlier"
            text = f"{weeks} of {of}"
            notes.append(kinds.CLOCK_SHIFT.at("intervals", start=change, hours=abs(hours), way=way, weeks=text))
    return notes


def _changes(series: Series, clock: SiteClock) -> list[int]:
    """Return the days' beginnings (UTC seconds) in whose day the clock changes by an hour."""
    margin = _FEWEST_WEEKS * 7 * DAY_S
    days = np.arange(series.start_s + margin, series.end_s - margin, DAY_S, dtype=np.int64)
    if len(days) < 2:
        return []
    at = np.flatnonzero(np.abs(np.diff(clock.offsets_s(days))) == _HOUR)
    return [int(days[i]) for i in at]


def _shift(series: Series, clock: SiteClock, change_s: int) -> tuple[int, int, int] | None:
    """Return by how many hours the typical day moves, in how many weeks and of how many, or None where it stays."""
    bin_s = max(series.step_s, 1800)
    if _HOUR % bin_s or bin_s % series.step_s:
        return None
    weeks = [_week(series, clock, change_s + DAY_S * (1 if i >= 0 else 0) + 7 * DAY_S * i, bin_s) for i in range(-_WEEKS, _WEEKS)]
    before = [week for week in weeks[:_WEEKS] if week is not None]
    after = [week for week in weeks[_WEEKS:] if week is not None]
    if min(len(before), len(after)) < _FEWEST_WEEKS:
        return None
    usual = np.mean(before, axis=0)
    hour = _HOUR // bin_s
    own = [_moved(week, np.mean([w for w in before if w is not week], axis=0), hour) for week in before]
    moves = [_moved(week, usual, hour) for week in after]
    for hours in (-1, 1):
        agreed, told = sum(move == hours for move in moves), sum(move is not None for move in moves)
        # Where the weeks before wander as well, people keep no hours here.
        steady = own.count(0) >= max(own.count(-1) + own.count(1), 1) and own.count(hours) <= 0.25 * len(own)
        if steady and agreed >= max(0.75 * told, _AGREED) and _moved(np.mean(after, axis=0), usual, hour) == hours:
            return hours, agreed, len(moves)
    return None


def _week(series: Series, clock: SiteClock, start_s: int, bin_s: int) -> Floats | None:
    """Return the mean day of the week from ``start_s`` on, by bins on the site's clock, its mean taken off; None if not whole."""
    part = series.part(start_s, start_s + 7 * DAY_S)
    if len(part) * series.step_s < 6 * DAY_S or part.present.mean() < 0.9:
        return None
    bins = clock.local_s(part.times_s) % DAY_S // bin_s
    held = part.present
    count = np.bincount(bins[held], minlength=DAY_S // bin_s)
    # The root keeps a few large appliances from drowning the habits of every day.
    total = np.bincount(bins[held], np.sqrt(part.values[held]), DAY_S // bin_s)
    if (count == 0).any():
        return None
    mean = total / count
    level: Floats = mean - mean.mean()
    return level


def _moved(week: Floats, usual: Floats, hour: int) -> int | None:
    """Return by how many hours (-1, 0, 1) ``week`` lies behind ``usual``; None where no place is clearly the best."""
    size = float(np.sqrt((week @ week) * (usual @ usual)))
    if not size:
        return None
    alike = {hours: float(week @ np.roll(usual, hours * hour)) / size for hours in (-1, 0, 1)}
    best = max(alike, key=lambda hours: alike[hours])
    second = max(value for hours, value in alike.items() if hours != best)
    return best if alike[best] > _ALIKE and alike[best] - second > _CLEAR else None


def drift(starts_s: Ints, laid: Grid) -> list[Finding]:
    """Return a finding where the stamps ``starts_s`` (n,) move steadily against the step they were laid onto."""
    if len(starts_s) < 24 or all(one.code != readers.JITTER.code for one in laid.findings):
        return []
    found = steady(np.sort(starts_s), laid.start_s, laid.step_s)
    if found is None:
        return []
    rate, total = found
    way = "slow, so that its day is longer than a day" if rate > 0 else "fast"
    return [kinds.DRIFT.at("stamps", rate=abs(rate), step=laid.step_s, total=abs(total), way=way)]
