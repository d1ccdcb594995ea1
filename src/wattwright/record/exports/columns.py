"""What an export holds: stamps, and for each channel its values and their quality under names that our own reader understands."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import SiteClock
from wattwright.core.errors import UsageError
from wattwright.core.quality import Quality
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.core.series import Series
from wattwright.record.columns import meaning_of
from wattwright.record.record import Channel, Record

Floats = NDArray[np.float64]
_UNITS = {
    Quantity.ACTIVE_POWER: "W", Quantity.REACTIVE_POWER: "var", Quantity.APPARENT_POWER: "VA", Quantity.VOLTAGE: "V",
    Quantity.CURRENT: "A", Quantity.FREQUENCY: "Hz", Quantity.TEMPERATURE: "degC", Quantity.HUMIDITY: "%RH",
    Quantity.SOIL_MOISTURE: "m3/m3",
}  # fmt: skip
_LEGS = {Phase.LEG_A: "leg A", Phase.LEG_B: "leg B", Phase.NEUTRAL: "neutral"}
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """One channel as it is written: its name with the unit, and its series in the unit held."""

    name: str
    channel: Channel
    series: Series

    @property
    def quality_name(self) -> str:
        """Return the name of the column beside it that holds the quality of each reading."""
        return neutral("quality of " + self.name.partition(" [")[0])


@dataclass(frozen=True, slots=True, eq=False)
class Exported:
    """Columns that share their intervals; ``stamps`` (n,) are the starts as text, ``stamp_name`` the name of their column."""

    record: Record
    columns: tuple[Column, ...]
    stamp_name: str
    stamps: Sequence[str]

    @property
    def series(self) -> Series:
        """Return the series of the first column, whose intervals are those of all."""
        return self.columns[0].series


def exported(record: Record, step_s: int | None, channels: Sequence[str], *, local: bool) -> Exported:
    """Return what is to be written of ``record``: all channels that were read, or those named (id or column).

    ``step_s`` is a multiple of the record's step, which is taken where it is None. Raises UsageError for a channel that is not
    there, a step that is no multiple, and a record without whole intervals of it.
    """
    chosen = [_named(record, name) for name in channels] or list(record.channels)
    clock = SiteClock(record.zone)
    columns: list[Column] = []
    for channel in dict.fromkeys(chosen):
        series = channel.series if step_s is None else longer(channel.series, step_s, clock)
        columns.append(Column(_name(channel, series, {one.name for one in columns}), channel, series))
    starts = columns[0].series.times_s
    if local:
        return Exported(record, tuple(columns), "start", _local_stamps(starts, clock))
    return Exported(record, tuple(columns), "start (UTC)", [f"{one}Z" for one in _digits(starts)])


def _digits(seconds: NDArray[np.int64]) -> list[str]:
    return [str(one) for one in np.datetime_as_string(seconds.astype("datetime64[s]"))]


def _local_stamps(starts: NDArray[np.int64], clock: SiteClock) -> list[str]:
    offsets = clock.offsets_s(starts)
    signs = {int(one): f"{'-' if one < 0 else '+'}{abs(one) // 3600:02d}:{abs(one) // 60 % 60:02d}" for one in np.unique(offsets)}
    return [digits + signs[offset] for digits, offset in zip(_digits(starts + offsets), offsets.tolist(), strict=True)]


def _named(record: Record, name: str) -> Channel:
    found = next((one for one in record.all if name in (one.id, one.column)), None)
    if found is None:
        raise UsageError(f'There is no channel "{name}". Name one of: {", ".join(one.id for one in record.all)}.')
    return found


def _name(channel: Channel, series: Series, taken: "set[str]") -> str:
    """Return a name from which our reader takes the same quantity, conductor and direction, with the channel's id if it may."""
    meaning = channel.meaning
    unit = _UNITS.get(meaning.quantity, "")
    way = meaning.direction.value if meaning.direction in (Direction.EXPORT, Direction.NET) else ""
    phase = "" if meaning.phase in (Phase.TOTAL, Phase.UNKNOWN) else _LEGS.get(meaning.phase, meaning.phase.value)
    words = " ".join(word for word in (meaning.quantity.value, way, phase) if word)
    closing = f" [{unit}]" if unit else ""
    plain = neutral(words + closing)
    for name in (neutral(f"{channel.id}{closing}"), neutral(f"{channel.id} {words}{closing}"), plain):
        read = meaning_of(name, series.values)
        wanted = (meaning.quantity, meaning.phase if phase else Phase.TOTAL, meaning.direction, 1.0)
        if name not in taken and read is not None and (read.quantity, read.phase, read.direction, read.factor) == wanted:
            return name
    number = 2
    while plain in taken:
        plain, number = neutral(f"{words} {number}{closing}"), number + 1
    return plain


def neutral(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula: an apostrophe before a sign that begins one."""
    return f"'{text}" if text.startswith(_FORMULA) else text


def longer(series: Series, step_s: int, clock: SiteClock) -> Series:
    """Return ``series`` as means over ``step_s``, which begin at whole multiples of it on the site's clock.

    An interval without all its readings is missing. One whose readings differ in quality is MIXED. Raises UsageError where the
    step is no multiple of the series', or no whole interval lies in it.
    """
    if step_s == series.step_s:
        return series
    if step_s < series.step_s or step_s % series.step_s:
        raise UsageError(
            f"The readings have a step of {series.step_s:,} s, and {step_s:,} s is no multiple of it. Name one that is."
        )
    first = int(clock.window_starts_s(np.array([series.start_s]), min(step_s, 86_400))[0])
    if (series.start_s - first) % series.step_s or step_s > 86_400:
        first = series.start_s
    each, head = step_s // series.step_s, (series.start_s - first) // series.step_s
    count = -(-(head + len(series)) // each)
    values, quality = np.full(count * each, np.nan), np.full(count * each, np.uint8(Quality.MISSING))
    values[head : head + len(series)], quality[head : head + len(series)] = series.values, series.quality
    means, codes = values.reshape(count, each).mean(axis=1), quality.reshape(count, each)
    alike = (codes == codes[:, :1]).all(axis=1)
    worst = np.where(np.isnan(means), np.uint8(Quality.MISSING), np.where(alike, codes[:, 0], np.uint8(Quality.MIXED)))
    if np.isnan(means).all():
        raise UsageError(f"No interval of {step_s:,} s has all its readings. Name a shorter step.")
    return replace(series, start_s=first, step_s=step_s, values=means, quality=worst.astype(np.uint8), raw=np.full(count, np.nan))
