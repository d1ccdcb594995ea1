"""IEC 62056-21 data lines: repeated telegrams whose OBIS codes give date, time and registers."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl

from wattwright.core.errors import Fault, Place, RecordError, quoted
from wattwright.record.readers.opening import Opened
from wattwright.record.readers.rows import Rows
from wattwright.record.readers.shape import Header
from wattwright.record.readers.source import Packing, Piece
from wattwright.record.readers.table import MOST_FAULTS, Table

_LINE = re.compile(
    r"(?:[01]-\d{1,3}:)?((?:\d{1,2}|[CFLP])\.(?:\d{1,2}|[CFLP])(?:\.\d{1,2})?)(?:[*&](\d{1,3}))?\(([^()]*)\)(?:\([^()]*\))*"
)
_VALUE = re.compile(r"([+-]?\d+(?:\.\d+)?)(?:\*([A-Za-z°]+))?")
_DAY = re.compile(r"(\d{2,4})[-.]?(\d{2})[-.]?(\d{2})")
_TIME = re.compile(r"(\d{2}):?(\d{2})(?::?(\d{2}))?")
_STAMP = re.compile(r"(\d{2})(\d{2})(\d{2})(\d{2})(\d{2})(\d{2})[SW]?")
_TIME_CODE, _DAY_CODE, _STAMP_CODE, _SERIAL = "0.9.1", "0.9.2", "1.0.0", "0.0.0"
_HEAD_LINES = 60

# OBIS codes of electricity (IEC 62056-6-1) as names that the columns' own judgement understands.
_NAMES: Mapping[str, str] = {
    "1.8": "import energy register", "2.8": "export energy register", "3.8": "reactive energy register",
    "15.8": "energy register", "16.8": "net energy register",
    "1.7": "import power", "2.7": "export power", "16.7": "net power", "3.7": "reactive power", "9.7": "apparent power",
    "21.7": "import power L1", "41.7": "import power L2", "61.7": "import power L3",
    "22.7": "export power L1", "42.7": "export power L2", "62.7": "export power L3",
    "31.7": "current L1", "51.7": "current L2", "71.7": "current L3", "91.7": "current neutral",
    "32.7": "voltage L1", "52.7": "voltage L2", "72.7": "voltage L3", "13.7": "power factor", "14.7": "frequency",
}  # fmt: skip


@dataclass(slots=True)
class _Telegram:
    """One reading out: the line it begins in, day and time of day as text, the meter's number, numbers by code."""

    line: int
    day: str = ""
    clock: str = ""
    serial: str = ""
    values: dict[str, str] | None = None


def is_telegram(content: bytes) -> bool:
    """Return whether text consists of data lines: most of its first lines are a code with a value in brackets."""
    lines = [line.strip("\x02\x03 ") for line in content[:8192].decode(errors="replace").splitlines() if line.strip()][
        :_HEAD_LINES
    ]
    coded = sum(_LINE.fullmatch(line) is not None for line in lines)
    return coded >= 1 and coded >= sum(not line.startswith(("/", "!")) for line in lines) / 2


def read_telegrams(opened: Opened) -> list[Piece]:
    """Return a table of the telegrams, a row for each, one table for each meter number.

    Raises RecordError where a telegram has no date and time, a value is none, or there is but one telegram.
    """
    telegrams = list(_telegrams(opened))
    faults = [_undated(opened.name, one) for one in telegrams if not (one.day and one.clock)]
    if faults:
        raise RecordError(faults[:MOST_FAULTS])
    by_meter: dict[str, list[_Telegram]] = {}
    for one in telegrams:
        by_meter.setdefault(one.serial, []).append(one)
    if all(len(held) == 1 for held in by_meter.values()):
        raise RecordError.one(
            "record.one-reading",
            Place(opened.name, telegrams[0].line if telegrams else None),
            found="a single telegram" if telegrams else "no telegram",
            wanted="telegrams of one meter that follow one another; one reading of a register makes no record",
            next_step="Read the meter out at a fixed step and keep the telegrams in one file.",
        )
    packing = Packing(opened.encoding, opened.compression, "data lines of IEC 62056-21")
    several = len(by_meter) > 1
    return [Piece(_table(held, opened.name), packing, serial if several else "") for serial, held in by_meter.items()]


def _telegrams(opened: Opened) -> list[_Telegram]:
    """Return the telegrams of a file: a new one begins with "/", or where a code comes again."""
    out: list[_Telegram] = []
    faults: list[Fault] = []
    now: _Telegram | None = None
    seen: set[str] = set()
    for number, raw in enumerate(opened.content.decode(errors="replace").split("\n"), 1):
        line = raw.strip("\x02\x03\r ")
        match = _LINE.fullmatch(line)
        if match is None:
            if line.startswith(("/", "!")):
                now, seen = None, set()
            elif line:
                faults.append(_odd(opened.name, number, line))
            continue
        code, stored, value = match[1], match[2], match[3]
        if stored not in (None, "255"):
            continue
        if now is None or code in seen:
            now, seen = _Telegram(number, values={}), set()
            out.append(now)
        seen.add(code)
        fault = _taken(now, code, value, Place(opened.name, number, code))
        if fault:
            faults.append(fault)
    if faults:
        raise RecordError(faults[:MOST_FAULTS])
    return out


def _taken(telegram: _Telegram, code: str, value: str, place: Place) -> Fault | None:
    """Put one value into a telegram; return a fault where it is not what its code promises."""
    day, clock, whole = _DAY.fullmatch(value), _TIME.fullmatch(value), _STAMP.fullmatch(value)
    if code == _DAY_CODE and day:
        telegram.day = _date(day[1], day[2], day[3])
    elif code == _TIME_CODE and clock:
        telegram.clock = f"{clock[1]}:{clock[2]}:{clock[3] or '00'}"
    elif code == _STAMP_CODE and whole:
        telegram.day, telegram.clock = _date(whole[1], whole[2], whole[3]), f"{whole[4]}:{whole[5]}:{whole[6]}"
    elif code == _SERIAL:
        telegram.serial = value.strip()[:40]
    elif code in (_DAY_CODE, _TIME_CODE, _STAMP_CODE):
        return Fault("record.stamp", place, quoted(value), "a date or time of day in digits", "Read the meter out again.")
    elif (name := _NAMES.get(code.rpartition(".")[0] if code.count(".") == 2 else code)) and telegram.values is not None:
        match = _VALUE.fullmatch(value.strip())
        if match is None:
            return Fault(
                "record.number", place, quoted(value), "a number with its unit, such as 1234.5*kWh", "Read the meter out again."
            )
        telegram.values[_column(name, code, match[2] or "")] = match[1]
    return None


def _date(year: str, month: str, day: str) -> str:
    return f"{year if len(year) == 4 else '20' + year}-{month}-{day}"


def _column(name: str, code: str, unit: str) -> str:
    """Return the name of a column: what the code means, its tariff where there is one, the code itself and the unit."""
    tariff = code.rpartition(".")[2] if code.count(".") == 2 else "0"
    parts = [name, f"tariff {tariff}" if tariff != "0" else "", code]
    return " ".join(part for part in parts if part) + (f" [{unit}]" if unit else "")


def _odd(name: str, line: int, text: str) -> Fault:
    step = "Look at that line: a telegram may have broken off."
    return Fault("record.data-line", Place(name, line), quoted(text), "a data line such as 1.8.0(001234.567*kWh)", step)


def _undated(name: str, telegram: _Telegram) -> Fault:
    wanted = "its date (0.9.2) and its time (0.9.1)"
    return Fault("record.stamp", Place(name, telegram.line), "a telegram without a stamp", wanted, "Read the clock out too.")


def _table(telegrams: Sequence[_Telegram], name: str) -> Table:
    names = list(dict.fromkeys(column for one in telegrams for column in one.values or {}))
    columns = {"0": [f"{one.day} {one.clock}" for one in telegrams]}
    for number, column in enumerate(names, 1):
        columns[str(number)] = [(one.values or {}).get(column, "") for one in telegrams]
    body = pl.DataFrame(columns)
    floats = [pl.col(str(i)).replace("", None).cast(pl.Float64) for i in range(1, len(names) + 1)]
    header = Header(("stamp", *names), (), None, ())
    rows = Rows(np.array([one.line for one in telegrams], np.int64), (name,))
    return Table(name, "", header, body.with_columns(floats), rows, (), ())
