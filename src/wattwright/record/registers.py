"""Registers: numbers that count upwards, told from energies per interval, and what was used between two readings."""

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
_MOST_GARBLED = 3


def counts_up(found: Floats) -> str:
    """Return what shows that the numbers ``found`` (shape (n,), in the order of time) are a register, or an empty text.

    A register falls when it is reset, or where a reading is garbled; its rises are small against its level.
    """
    steps = np.diff(found)
    falls, rises = int((steps < 0).sum()), int((steps > 0).sum())
    if len(steps) < 10 or rises < _FEWEST_RISES:
        return ""
    if not falls:
        return "its numbers never fall"
    if falls > _MOST_FALLS * len(steps) or rises < _RISES_A_FALL * falls:
        return ""
    # A day counted from nought in hours steps by a twelfth of its middle level; a few readings must tell more clearly.
    share = 0.25 if len(steps) >= _LONG else 0.01
    small = float(np.median(steps[steps > 0])) <= share * float(np.median(np.abs(found)))
    return f"its numbers fall in only {falls:,} of {len(steps):,} steps and rise by little" if small else ""


def used_between(raw: Floats) -> tuple[Floats, Ints]:
    """Return what each reading of the register ``raw`` (shape (n,), NaN where there is none) rises to the next, and its falls.

    The uses have shape (n - 1,), NaN where the register runs back or a reading is out of line; the falls are their indices.
    """
    sound, falls = sound_readings(raw)
    used = np.diff(sound)
    return np.where(used < 0, np.nan, used), falls


def sound_readings(raw: Floats) -> tuple[Floats, Ints]:
    """Return the readings of the register ``raw`` (n,) with those out of line taken out (NaN), and the indices of its falls."""
    falls = np.flatnonzero(np.diff(raw) < 0)
    sound = raw.copy()
    for fall in falls.tolist():
        low, high = _garbled(raw, fall)
        sound[low:high] = np.nan
    return sound, falls


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
