"""Readings that no meter gives, that no low-voltage supply carries, or that stand far above all others."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from wattwright.core.errors import RecordError, quoted
from wattwright.core.findings import Finding
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.record import kinds
from wattwright.record.channels import Understood
from wattwright.record.readers.rows import Rows
from wattwright.record.record import Channel, Form, standing_of
from wattwright.record.registers import MOST_W

_BEYOND_METERS = 1e12
"""W, or Wh of a register: a thousand large power stations (common practice, no source)."""
_SPIKE = 1.8
"""Spike check of the California VEE standards, from memory: (highest - third highest) / third highest."""
_A_DAY = 24
_SAME = 0.01
"""What two columns of one power may differ by, since their numbers are rounded: common practice, no source."""
_CHUNK = 1 << 16
"""Readings looked at a time, so that a long record needs little memory beside itself."""


def refuse_absurd(found: Mapping[int, Understood], step_s: int, rows: Rows) -> None:
    """Raise RecordError with row and column where a reading is beyond what any meter can show."""
    for one in found.values():
        meaning = one.meaning
        factor = meaning.factor * (3600 / step_s if meaning.form is Form.ENERGY and step_s > 0 else 1.0)
        factor = abs(factor)
        # Divided rather than multiplied, so that no reading grows beyond all numbers.
        most, values = _BEYOND_METERS / factor, one.numbers.values
        if max(np.fmax.reduce(values, initial=-np.inf), -np.fmin.reduce(values, initial=np.inf)) > most:
            beyond = np.flatnonzero(np.abs(values) > most)
            row = int(beyond[0])
            unit = "" if meaning.unit == "1" else f" {meaning.unit}"
            more = f"; {len(beyond):,} readings are like this" if len(beyond) > 1 else ""
            raise RecordError.one(
                "record.absurd",
                rows.place(row, one.name),
                found=f"{quoted(f'{values[row]:.6g}')}{unit}{more}",
                wanted=f"a reading that a meter can give: below {most:.3g}{unit}",
                next_step="Correct the row or take it out; the reading was damaged, or the column holds something else.",
            )


def unlikely_powers(channel: Channel) -> list[Finding]:
    """Return findings about active power above what a low-voltage supply carries, and about a spike among its readings."""
    if channel.meaning.quantity is not Quantity.ACTIVE_POWER:
        return []
    series = channel.series
    if not len(series) or not series.present.any():
        return []
    top, low = float(np.nanmax(series.values)), float(np.nanmin(series.values))
    value, most = top if top >= -low else low, MOST_W
    start = series.start_s + series.step_s * int(np.argmax(series.values == value))
    notes: list[Finding] = []
    if abs(value) > most:
        count = int((series.values > most).sum() + (series.values < -most).sum())
        notes.append(kinds.TOO_MUCH.at("columns", count=count, column=channel.column, value=value, most=most, start=start))
    # Three readings near the highest leave no room for a spike, and most records have many: no need to put them in order.
    near = int((np.abs(series.values) > abs(value) / (1 + _SPIKE)).sum())
    if near < 3 and np.count_nonzero(series.present) >= _A_DAY:
        third, _, first = _highest(series.values).tolist()
        if third > 0 and (first - third) / third > _SPIKE:
            notes.append(kinds.SPIKE.at("columns", column=channel.column, value=first, third=third, start=start))
    return notes


def _highest(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the sizes of the three largest of at least three values, rising; NaN counts as nought."""
    best = np.zeros(0)
    for low in range(0, len(values), _CHUNK):
        size = np.concatenate([best, np.nan_to_num(np.abs(values[low : low + _CHUNK]))])
        best = np.sort(np.partition(size, -3)[-3:]) if len(size) > 3 else np.sort(size)
    return best


def whole_supplies(channels: tuple[Channel, ...], main: Channel | None) -> list[Finding]:
    """Return a finding where more than one column holds a whole active power, of which only ``main`` stands for the site.

    It says whether the names tell which one that is. A column of the same numbers is no second power.
    """
    others = [
        one
        for one in channels
        if one is not main
        and (main is None or one.id not in main.parts)
        and one.meaning.quantity is Quantity.ACTIVE_POWER
        and one.meaning.phase is Phase.TOTAL
        and one.meaning.direction is not Direction.EXPORT
        # A register beside the intervals it counts is no second supply; whether they agree is told elsewhere.
        and (main is None or (one.meaning.form is Form.REGISTER) == (main.meaning.form is Form.REGISTER))
        and not (main is not None and _is_same(one, main))
    ]
    if main is None or not others or main.meaning.phase is not Phase.TOTAL or main.meaning.direction is Direction.EXPORT:
        return []
    is_open = any(standing_of(one) == standing_of(main) for one in others)
    kind = kinds.SEVERAL_POWERS if is_open else kinds.WHOLE_BY_NAME
    return [kind.at("columns", column=main.column, others=", ".join(quoted(one.column) for one in others[:12]))]


def _is_same(one: Channel, other: Channel) -> bool:
    """Return whether two channels hold the same power wherever both have a reading."""
    ours, theirs = one.series.values, other.series.values
    held = ~(np.isnan(ours) | np.isnan(theirs))
    off = float(np.abs(ours[held] - theirs[held]).sum())
    return bool(held.any()) and off <= _SAME * float(np.abs(theirs[held]).sum())
