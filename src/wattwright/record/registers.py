"""Registers: numbers that count upwards, told from energies per interval, and what was used between two readings."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
_FEWEST_RISES = 6
"""Ten steps or more without a fall, six of them rises, make a register: no load behaves so by chance (no source)."""
_MOST_FALLS = 0.1
_RISES_A_FALL = 5
"""A load that goes up must come down: what rises five times as often as it falls is counted (no source)."""
_LONG = 48
_FEWEST_BEGUN, _FEWEST_CALLED = 7, 2
"""Days after which a count that begins anew is known as such: by itself, and where its name says so (no source)."""
_FEWEST_RISES_A_DAY, _DAY_OFF = 3, 0.05
"""A count of the day rises so often at least, and is so near to a day: common practice, no source."""
_HALF_OF = 0.5
_FAR_ABOVE, _ABOVE, _HUNDREDS = 1_000.0, 20.0, 200
"""Levels against steps, and rises in a row, that no load shows: common practice, no source."""
_MOST_GARBLED = 3
MOST_W = 1e6
"""A low-voltage supply of 1,000 A at 400 V carries some 0.7 MW: common practice, no source."""
_MANY = 10.0
"""A use across a roll-over is at most ten times the usual large one: common practice, no source."""
_LEAST_TURNOVER = 1_000
"""No register has fewer than three digits before its decimals: common practice, no source."""


def counts_up(values: Floats, day: float = 0.0, *, daily: bool = False) -> str:
    """Return what shows that the numbers ``values`` (shape (n,), NaN at steps without one) are a register, or an empty text.

    A register falls when it is reset, or where a reading is garbled; its rises are small against its level. ``day`` is
    how many readings a day has, 0 where that is open; ``daily`` tells that it is called a count of the day.
    """
    found = present(values)
    steps = np.diff(found)
    falls, rises = int((steps < 0).sum()), int((steps > 0).sum())
    if len(steps) < 10 or rises < _FEWEST_RISES:
        return ""
    if not falls:
        return "its numbers never fall"
    # A load falls far more often than once a day; what shows that needs no memory of its own.
    once_a_day = day > 0 and falls <= 2 * len(steps) / day
    if once_a_day and len(begins_anew(values, day)) >= (_FEWEST_CALLED if daily else _FEWEST_BEGUN):
        return "its numbers rise and begin again from nought every day"
    if falls > _MOST_FALLS * len(steps) or rises < _RISES_A_FALL * falls:
        return ""
    # A day counted from nought in hours steps by a twelfth of its middle level; a few readings must tell more clearly.
    share = 0.25 if len(steps) >= _LONG else 0.01
    small = float(np.median(steps[steps > 0])) <= share * float(np.median(np.abs(found)))
    return f"its numbers fall in only {falls:,} of {len(steps):,} steps and rise by little" if small else ""


def present(values: Floats) -> Floats:
    """Return the values that are numbers; the array itself where all are, since a copy of a long one needs much memory."""
    nothing = np.isnan(values)
    return values[~nothing] if nothing.any() else values


def begins_anew(values: Floats, day: float) -> Ints:
    """Return where ``values`` (n,), NaN where none was read, fall to about nought once a day of ``day`` steps; else none.

    Falls inside a gap do not show. A day of 23 or 25 hours moves one of ten of them at most, and half of the days show theirs.
    A load that comes once a day is none: a count rises on.
    """
    steps = np.diff(values)
    falls, rises = np.flatnonzero(steps < 0), steps[steps > 0]
    none = np.zeros(0, np.int64)
    if not day or len(falls) < _FEWEST_CALLED or len(rises) < _FEWEST_RISES_A_DAY * len(falls):
        return none
    days = np.diff(falls) / day
    apart = (np.abs(days - np.rint(days)) <= _DAY_OFF) & (days > _HALF_OF)
    if apart.mean() < 1 - _MOST_FALLS or len(falls) - 1 < _HALF_OF * float(days.sum()):
        return none
    after, before = values[falls + 1], values[falls]
    # Nought, or what a step uses; a counter that has hardly begun to count shows nothing.
    down = (after <= rises.max()) & (after >= 0) & (after < 0.5 * before)
    return falls if down.all() else none


def is_surely_counted(found: Floats) -> bool:
    """Return whether the numbers ``found`` (n,), which count up, can be nothing but a register.

    A load may rise for a morning. It does not rise hundreds of times without a fall from far above its steps, and never step
    by step by less than a thousandth of its size.
    """
    steps = np.diff(found)
    level, rises = float(np.median(np.abs(found))), steps[steps > 0]
    if level >= _FAR_ABOVE * float(np.quantile(rises, 0.9)):
        return True
    return not (steps < 0).any() and len(rises) >= _HUNDREDS and level >= _ABOVE * float(rises.max())


class Turn(StrEnum):
    """Why a register does not simply count on from one reading to the next."""

    OVER = "rolled over"
    DAILY = "begins again every day"
    NOUGHT = "set to nought"
    REPLACED = "the meter was replaced"
    GARBLED = "a reading was garbled"


@dataclass(frozen=True, slots=True)
class Turned:
    """A turn between the readings ``index`` and ``index`` + 1."""

    index: int
    how: Turn


def used_between(raw: Floats, most: "float | Floats" = np.inf, day: float = 0.0) -> tuple[Floats, list[Turned]]:
    """Return what each reading of the register ``raw`` (shape (n,), NaN where there is none) rises to the next, and its turns.

    The uses have shape (n - 1,): across a roll-over they go on counting; where the register was set to nought, replaced or
    garbled they are NaN. Where it begins anew every day, a use is what it shows after that if it counted all of the step, else
    NaN. No use can be above ``most``, one for all or one for each; ``day`` is how many readings a day has, 0 where that is open.
    """
    sound, falls = sound_readings(raw)
    steps, turns, over = np.diff(raw), [], {}
    rises = steps[(steps > 0) & (steps <= most)]
    usual = _MANY * float(np.quantile(rises, 0.99)) if len(rises) else 0.0
    begun = begins_anew(raw, day)
    daily = set(falls.tolist()) if len(begun) >= max(_FEWEST_CALLED, len(falls)) else set()
    fresh = _counted_anew(raw, falls) if daily else {}
    sound = raw if daily else sound
    for fall in falls.tolist():
        if fall in daily:
            turns.append(Turned(fall, Turn.DAILY))
            continue
        garbled = bool(np.isnan(sound[fall : fall + 2]).any())
        how = Turn.GARBLED if garbled else _turn(float(raw[fall]), float(raw[fall + 1]), usual)
        if how is Turn.OVER:
            over[fall] = raw[fall + 1] + _turnover(float(raw[fall])) - raw[fall]
        turns.append(Turned(fall, how))
    used = np.diff(sound)
    turns += [Turned(jump, Turn.REPLACED) for jump in np.flatnonzero(used > most).tolist()]
    used = np.where((used < 0) | (used > most), np.nan, used)
    for fall, energy in (*over.items(), *fresh.items()):
        used[fall] = energy
    return used, turns


def _counted_anew(raw: Floats, falls: Ints) -> dict[int, float]:
    """Return what was used in the steps in which a register of the day begins anew, where it counted all of the step.

    It did where it then shows about what the next step uses: it was set to nought with the reading before. Where nothing was used
    in the steps on either side, nothing was in this one. Else the reading before is too old to tell, and nothing is returned.
    """
    inner = falls[(falls > 0) & (falls < len(raw) - 2)]
    before, after, later = raw[inner] - raw[inner - 1], raw[inner + 1], raw[inner + 2] - raw[inner + 1]
    if len(inner) and float(np.nanmedian(after)) >= 0.5 * float(np.nanmedian(later)) > 0:
        return dict(zip(inner.tolist(), after.tolist(), strict=True))
    idle = (before == 0) & (after == 0) & (later == 0)
    return dict.fromkeys(inner[idle].tolist(), 0.0)


def sound_readings(raw: Floats) -> tuple[Floats, Ints]:
    """Return the readings of the register ``raw`` (n,) with those out of line taken out (NaN), and the indices of its falls."""
    falls = np.flatnonzero(np.diff(raw) < 0)
    sound = raw.copy()
    for fall in falls.tolist():
        low, high = _garbled(raw, fall)
        sound[low:high] = np.nan
    return sound, falls


def _turnover(before: float) -> float:
    """Return the power of ten at which a register that shows ``before`` begins again from nought."""
    return float(10 ** len(str(int(before))))


def _turn(before: float, after: float, usual: float) -> Turn:
    """Return why a register falls from ``before`` to ``after``; ``usual`` is about what it rises by at most."""
    end = _turnover(before)
    if end >= _LEAST_TURNOVER and after >= 0 and after + end - before <= usual:
        return Turn.OVER
    return Turn.NOUGHT if after <= usual else Turn.REPLACED


def _garbled(raw: Floats, fall: int) -> tuple[int, int]:
    """Return the readings [low, high) about a fall that are out of line with those beside them; none where it is a reset."""
    before, at = raw[fall], raw[fall + 1]
    later = raw[fall + 2 : fall + 2 + _MOST_GARBLED]
    back = np.flatnonzero(later >= before)
    if len(back):
        # The register goes on from where it was, so what lies between was misread.
        return fall + 1, fall + 2 + int(back[0])
    if fall and raw[fall - 1] <= at:
        return fall, fall + 1
    return fall, fall
