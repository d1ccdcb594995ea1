"""Negative import: export first to be ruled out, else a current transformer clamped the wrong way round."""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S
from wattwright.core.findings import Finding
from wattwright.core.quantity import Direction, Quantity
from wattwright.record import kinds as readers
from wattwright.record.faults import kinds
from wattwright.record.faults.backwards import Backwards, told_of, total_of_conductors
from wattwright.record.faults.seen import Seen
from wattwright.record.faults.signs import QUIET_HOURS, by_hour, is_one_hump
from wattwright.record.record import Channel

Mask = NDArray[np.bool_]
_NEARLY_ALL = 0.95
_LEAST_READINGS = 24
_LEAST_DAYS = 3
_OFFSET, _OFFSET_ENERGY = 0.005, 0.001
_WEEKEND = (0.12, 0.5)
_NOON_H = (8.5, 16.5)


def flow(seen: Seen) -> list[Finding]:
    """Return what the negative readings of import channels are: export, an offset, a reversed transformer, or undecided."""
    notes: list[Finding] = []
    reversed_: list[Backwards] = []
    open_: list[Channel] = []
    total = total_of_conductors(seen)
    # A total that only adds the conductors up says no more than they do, so it comes last.
    for channel in sorted(seen.of(Quantity.ACTIVE_POWER), key=lambda one: one is total):
        if channel.meaning.direction is Direction.EXPORT or not (channel.series.values < 0).any():
            continue
        if channel is total and 0 < len(reversed_) < len(seen.conductors(Quantity.ACTIVE_POWER)):
            names = " and ".join(one.channel.column for one in reversed_)
            return [*notes, *told_of(reversed_, seen), *_undecided(open_), _in_total(total, names)]
        found, told = _judged(channel, seen)
        notes += told
        if found is not None:
            reversed_.append(found)
        elif not told:
            open_.append(channel)
    return [*notes, *told_of(reversed_, seen), *_undecided(open_)]


def _in_total(total: Channel, names: str) -> Finding:
    return kinds.IN_TOTAL.at("columns", column=total.column, reversed=names)


def _judged(channel: Channel, seen: Seen) -> tuple[Backwards | None, list[Finding]]:
    """Return that the channel runs backwards, or a note that explains its negative readings, or neither."""
    series, values = channel.series, channel.series.values
    highest = float(np.nanmax(np.abs(values)))
    small = _OFFSET * highest
    back, ahead = values < -small, values > small
    lost = -float(values[values < 0].sum())
    if lost <= _OFFSET_ENERGY * float(np.nansum(np.abs(values))) and not back.any():
        lowest = float(np.nanmin(values))
        count = int((values < 0).sum())
        return None, [kinds.OFFSET.at("columns", column=channel.column, lowest=abs(lowest), count=count)]
    mirror = _mirror(seen, channel, back)
    if mirror:
        return None, [_export(channel, lost, f"{mirror} rises at the same time")]
    moving = int(back.sum()) + int(ahead.sum())
    if moving < _LEAST_READINGS or len(series) * series.step_s < _LEAST_DAYS * DAY_S:
        return None, []
    share = float(back.sum()) / moving
    if is_sun(seen, channel, back):
        return None, [] if channel.meaning.direction is Direction.NET else [_export(channel, lost, _why_sun(share))]
    if share >= _NEARLY_ALL or _is_reversed_generation(seen, channel, back, ahead):
        return Backwards(channel, 0, len(series), share), []
    return _part(channel, back, ahead), []


def _why_sun(share: float) -> str:
    part = "all of them lie" if share < _NEARLY_ALL else "the column counts generation backwards: all readings lie"
    return f"{part} in the middle of the day, none at night, weekends like other days"


def _export(channel: Channel, watt_steps: float, why: str) -> Finding:
    energy = watt_steps * channel.series.step_s / 3.6e6
    return kinds.EXPORT.at("columns", column=channel.column, energy=energy, why=why)


def _mirror(seen: Seen, channel: Channel, back: Mask) -> str:
    """Return the export column that holds the same flow as the negative readings, or an empty text."""
    for other in seen.channels:
        meaning = other.meaning
        if meaning.quantity is not Quantity.ACTIVE_POWER or meaning.direction is not Direction.EXPORT or not back.any():
            continue
        theirs, ours = other.series.values[back], -channel.series.values[back]
        if (np.abs(theirs - ours) <= 0.1 * ours).mean() >= 0.9:
            return f'"{other.column}"'
    return ""


def is_sun(seen: Seen, channel: Channel, back: Mask) -> bool:
    """Return whether readings crowd about one hour of the day, about noon where the zone is known, on every day of the week."""
    where = np.flatnonzero(back)
    series = channel.series
    if not len(where):
        return False
    shift = int(seen.clock.offsets_s(np.array([series.start_s]))[0])
    counts = by_hour(series, where, shift)
    if not is_one_hump(counts):
        return False
    if seen.zoned:
        middle = np.angle(np.sum(counts * np.exp(2j * np.pi * (np.arange(24) + 0.5) / 24))) * 12 / np.pi % 24
        if not _NOON_H[0] <= middle <= _NOON_H[1]:
            return False
    if len(series) * series.step_s < 14 * DAY_S:
        return True
    days = (series.start_s + shift + series.step_s * where) // DAY_S
    weekend = float(((days + 3) % 7 >= 5).mean())
    return _WEEKEND[0] <= weekend <= _WEEKEND[1]


def _is_reversed_generation(seen: Seen, channel: Channel, back: Mask, ahead: Mask) -> bool:
    """Return whether only the generation of the day runs forwards, and what is used at night backwards."""
    if not ahead.any() or not is_sun(seen, channel, ahead):
        return False
    counts, used = (by_hour(channel.series, np.flatnonzero(mask)) for mask in (ahead, back))
    around = np.concatenate([counts, counts[: QUIET_HOURS - 1]])
    first = int(np.argmin(np.convolve(around, np.ones(QUIET_HOURS), "valid")))
    quiet = [(first + i) % 24 for i in range(QUIET_HOURS)]
    asleep = float(used[quiet].sum()) / (len(channel.series) * QUIET_HOURS / 24)
    return asleep >= 0.5


def _part(channel: Channel, back: Mask, ahead: Mask) -> Backwards | None:
    """Return the one stretch of whole days that runs backwards while all other days run forwards, or None."""
    series = channel.series
    per_day = max(1, DAY_S // series.step_s)
    count = len(series) // per_day
    if count < 4:
        return None
    daily_back = back[: count * per_day].reshape(count, per_day).sum(axis=1)
    daily_moving = daily_back + ahead[: count * per_day].reshape(count, per_day).sum(axis=1)
    told = daily_moving > 0
    share = np.where(told, daily_back / np.maximum(daily_moving, 1), np.nan)[told]
    days = np.flatnonzero(told)
    turned = np.flatnonzero(share >= _NEARLY_ALL)
    if len(turned) < 2 or len(turned) != turned[-1] - turned[0] + 1:
        return None
    # The days at either end of the stretch may be turned in part.
    others = np.delete(share, np.arange(max(turned[0] - 1, 0), min(turned[-1] + 2, len(share))))
    if not len(others) or (others > 1 - _NEARLY_ALL).any():
        return None
    first, last = int(days[turned[0]]) * per_day, (int(days[turned[-1]]) + 1) * per_day
    before, after = np.flatnonzero(ahead[:first]), np.flatnonzero(ahead[last:])
    first = int(before[-1]) + 1 if len(before) else 0
    last = last + int(after[0]) if len(after) else len(series)
    return Backwards(channel, first, last, float(share[turned].mean()))


def _undecided(channels: list[Channel]) -> list[Finding]:
    """Return a finding for each import channel whose negative readings are not explained."""
    notes: list[Finding] = []
    for channel in channels:
        if channel.meaning.direction is Direction.IMPORT:
            below = np.flatnonzero(channel.series.values < 0)
            start = int(channel.series.start_s + channel.series.step_s * below[0])
            notes.append(readers.NEGATIVE.at("columns", count=len(below), column=channel.column, start=start))
    return notes
