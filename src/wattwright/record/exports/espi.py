"""Exports as ESPI XML (NAESB REQ.21): energies and other readings as whole numbers times a power of ten."""

import uuid
from collections.abc import Iterator
from pathlib import Path
from xml.sax.saxutils import escape

import numpy as np
from numpy.typing import NDArray

from wattwright.core.errors import UsageError
from wattwright.core.quality import Quality
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.record.exports.columns import Column, Exported
from wattwright.record.exports.intervals import Intervals

# uom and kind of NAESB REQ.21; powers are written as the energy of each interval.
_CODES = {
    Quantity.ACTIVE_POWER: (72, 12), Quantity.REACTIVE_POWER: (73, 12), Quantity.APPARENT_POWER: (71, 12),
    Quantity.VOLTAGE: (29, 54), Quantity.CURRENT: (5, 4), Quantity.FREQUENCY: (33, 15), Quantity.POWER_FACTOR: (65, 38),
    Quantity.TEMPERATURE: (23, 46),
}  # fmt: skip
_ENERGIES = (Quantity.ACTIVE_POWER, Quantity.REACTIVE_POWER, Quantity.APPARENT_POWER)
_DIRECTIONS = {Direction.IMPORT: 1, Direction.EXPORT: 19, Direction.NET: 4}
_PHASES = {Phase.TOTAL: 0, Phase.L1: 129, Phase.L2: 65, Phase.L3: 33}
_POWERS = (0, -3, -6, -9, -12)
_MOST = 2**47
"""Values are signed whole numbers of 48 bits (Int48 of the schema)."""


def left_out(column: Column) -> bool:
    """Return whether ESPI has no code for what a column holds, or for the conductor it sees."""
    meaning = column.channel.meaning
    return meaning.quantity not in _CODES or meaning.phase not in _PHASES or meaning.form.is_extreme


def write_espi(given: Exported, path: Path) -> None:
    """Write the channels that ESPI has codes for; raises UsageError where it has none for any, or numbers are too large.

    Each value is the nearest whole number of the finest of 1, 1/1000, ... 1/10^12 of the unit (Wh for powers) that is needed:
    what is written in decimals is kept as it is, anything else to half of the finest that 48 bits can count.
    """
    columns = [one for one in given.columns if not left_out(one)]
    if not columns:
        raise UsageError("ESPI has no code for any of these channels. Write another format.")
    with path.open("w", encoding="utf-8") as file:
        file.writelines(_feed(given, columns))


def _feed(given: Exported, columns: "list[Column]") -> Iterator[str]:
    intervals = given.intervals
    updated = f"{np.datetime64(int(intervals.starts_s[-1] + intervals.lengths_s[-1]), 's')}Z"
    yield '<?xml version="1.0" encoding="UTF-8"?>\n<feed xmlns="http://www.w3.org/2005/Atom" xmlns:e="http://naesb.org/espi">'
    yield f"<id>{_uuid(given, 'feed')}</id><title>{escape(given.record.source.name)}</title><updated>{updated}</updated>\n"
    meter = columns[0].channel.meter or "meter"
    yield from _entry(given, "u/1", "", ["u/1/m"], meter, updated, ["<e:UsagePoint><e:ServiceCategory><e:kind>0</e:kind>"
                      "</e:ServiceCategory></e:UsagePoint>"])  # fmt: skip
    for number, column in enumerate(columns, 1):
        me, type_ = f"u/1/m/{number}", f"rt/{number}"
        power, values = whole(_amounts(column, intervals))
        yield from _entry(given, me, "u/1/m", [f"{me}/b", type_], column.name, updated, ["<e:MeterReading/>"])
        yield from _entry(given, type_, "", [], column.name, updated, [_type(column, power, intervals.step_s)])
        yield from _entry(given, f"{me}/b/1", f"{me}/b", [], "", updated, _block(column, values, intervals))
    yield "</feed>\n"


def _uuid(given: Exported, name: str) -> str:
    return f"urn:uuid:{uuid.uuid5(uuid.NAMESPACE_URL, f'{given.record.source.sha256}/{given.intervals.step_s}/{name}')}"


def _entry(
    given: Exported, me: str, up: str, related: "list[str]", title: str, updated: str, content: "list[str] | Iterator[str]"
) -> Iterator[str]:
    links = [("self", me), *([("up", up)] if up else []), *(("related", one) for one in related)]
    told = "".join(f'<link rel="{rel}" href="{href}"/>' for rel, href in links)
    yield f"<entry><id>{_uuid(given, me)}</id>{told}<title>{escape(title)}</title><updated>{updated}</updated><content>\n"
    yield from content
    yield "</content></entry>\n"


def _amounts(column: Column, intervals: Intervals) -> NDArray[np.float64]:
    return column.means * (intervals.lengths_s / 3600) if column.channel.meaning.quantity in _ENERGIES else column.means


def whole(amounts: NDArray[np.float64]) -> tuple[int, NDArray[np.int64]]:
    """Return the power of ten and the whole numbers nearest to ``amounts`` (n,) over it; 0 stands for NaN. Raises UsageError."""
    held = np.nan_to_num(amounts)
    fitting = [power for power in _POWERS if np.abs(held).max(initial=0.0) * 10.0**-power < _MOST]
    if not fitting:
        raise UsageError("A reading is too large for ESPI, whose numbers have 48 bits. Write another format.")
    for power in fitting:
        scaled = np.rint(held * 10.0**-power)
        if np.allclose(scaled / 10.0**-power, held, rtol=4e-16, atol=0.0):
            break
    return power, scaled.astype(np.int64)


def _type(column: Column, power: int, step_s: int) -> str:
    meaning = column.channel.meaning
    uom, kind = _CODES[meaning.quantity]
    energy = meaning.quantity in _ENERGIES
    codes = {
        "accumulationBehaviour": 4 if energy else 12, "commodity": 1, "dataQualifier": 0 if energy else 2,
        "flowDirection": _DIRECTIONS.get(meaning.direction, 0), "intervalLength": step_s, "kind": kind,
        "phase": _PHASES[meaning.phase], "powerOfTenMultiplier": power, "uom": uom,
    }  # fmt: skip
    return f"<e:ReadingType>{''.join(f'<e:{name}>{code}</e:{name}>' for name, code in codes.items())}</e:ReadingType>"


def _block(column: Column, values: NDArray[np.int64], intervals: Intervals) -> Iterator[str]:
    starts, lengths = intervals.starts_s.tolist(), intervals.lengths_s.tolist()
    yield f"<e:IntervalBlock><e:interval>{_period(starts[0], starts[-1] + lengths[-1] - starts[0])}</e:interval>\n"
    rows = (starts, lengths, values.tolist(), column.quality.tolist(), (~np.isnan(column.means)).tolist())
    for start, length, value, code, there in zip(*rows, strict=True):
        told = code not in (Quality.VALID, Quality.MISSING)
        quality = f"<e:ReadingQuality><e:quality>{code}</e:quality></e:ReadingQuality>" if told else ""
        number = f"<e:value>{value}</e:value>" if there else ""
        time = _period(start, length)
        yield f"<e:IntervalReading>{quality}<e:timePeriod>{time}</e:timePeriod>{number}</e:IntervalReading>\n"
    yield "</e:IntervalBlock>\n"


def _period(start_s: int, duration_s: int) -> str:
    return f"<e:duration>{duration_s}</e:duration><e:start>{start_s}</e:start>"
