"""The workbook: every table of the report with its numbers, and the record reading by reading with quality and raw value.

Text is written as text and never as a formula, whatever it begins with.
"""

import datetime as dt
import io
import re
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any

import numpy as np
import xlsxwriter

from wattwright.charts.table import Cell, Column, Marked, Table
from wattwright.core.clock import SiteClock
from wattwright.core.progress import SILENT, Progress
from wattwright.core.quality import Quality
from wattwright.core.quantity import Quantity
from wattwright.handover.paper import KeyFigures, Paper, PictureBlock, TableBlock
from wattwright.record.record import Channel, Record

ROWS_PER_SHEET = 1_000_000
"""A sheet holds 1,048,576 rows at most; a longer record goes on in the next one."""

_SERIAL_OF_1970 = 25_569
_DAY_S = 86_400
_REPORT_EVERY = 50_000


def workbook(paper: Paper, record: Record, progress: Progress = SILENT, beside: Sequence[Table] = ()) -> bytes:
    """Return the workbook as XLSX bytes: a sheet per table of ``paper`` and ``beside``, then all readings on the site's clock."""
    held = io.BytesIO()
    day = dt.date.fromisoformat(paper.title_block.date)
    book = xlsxwriter.Workbook(held, {"constant_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    # The papers' own date stands in the file, so that the same job gives the same bytes.
    title = f"{paper.title_block.job}: {paper.title_block.sheet}"
    book.set_properties({"title": title, "created": dt.datetime(day.year, day.month, day.day)})
    style = _Styles(book)
    names: set[str] = set()
    _about(book, paper, style, names)
    for table in (*_tables(paper), *beside):
        _table_sheet(book, table, style, names)
    _readings(book, record, style, names, progress)
    book.close()
    return held.getvalue()


class _Styles:
    """The few cell formats, made once."""

    def __init__(self, book: Any) -> None:
        self._book = book
        self.head = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "bottom"})
        self.title = book.add_format({"bold": True, "font_size": 14})
        self.quiet = book.add_format({"font_color": "#5A625D"})
        self.stamp = book.add_format({"num_format": "yyyy-mm-dd hh:mm:ss"})
        self.raised = book.add_format({"font_script": 1, "font_color": "#5A625D"})
        self._numbers: dict[str, Any] = {}

    def number(self, decimals: int) -> Any:
        pattern = "#,##0" + ("." + "0" * decimals if decimals else "")
        if pattern not in self._numbers:
            self._numbers[pattern] = self._book.add_format({"num_format": pattern})
        return self._numbers[pattern]


def _about(book: Any, paper: Paper, style: _Styles, names: set[str]) -> None:
    sheet = book.add_worksheet(_sheet_name("About", names))
    block = paper.title_block
    sheet.write_string(0, 0, f"{block.job}: {block.sheet}", style.title)
    rows = [("Place", block.place), ("Date", block.date), ("Revision", block.revision), ("Readings", block.basis)]
    if block.invented:
        rows.append(("Invented", paper.words.invented))
    figures = [
        one for section in paper.sections for block in section.blocks if isinstance(block, KeyFigures) for one in block.figures
    ]
    if any(one.doubt for one in figures):
        # The sheets of figures follow: who opens them has read the doubt first.
        rows.append(("In doubt", str(paper.sections[0].lead)))
    rows += [(f"mark {entry.basis.value}", entry.meaning) for entry in paper.basis_legend]
    for index, (label, text) in enumerate(rows, 2):
        sheet.write_string(index, 0, label, style.quiet)
        sheet.write_string(index, 1, text)
    sheet.set_column(0, 0, 14)
    sheet.set_column(1, 1, 60)


def _tables(paper: Paper) -> Iterator[Table]:
    """Yield each table once, in the order of the paper, those of pictures included."""
    seen: set[int] = set()
    for section in paper.sections:
        for block in section.blocks:
            table = block.table if isinstance(block, TableBlock) else None
            table = block.picture.table if isinstance(block, PictureBlock) else table
            if table is not None and id(table) not in seen:
                seen.add(id(table))
                yield table


def _sheet_name(wanted: str, names: set[str]) -> str:
    """Return a name a workbook accepts: short, without special signs, not used before whatever its case."""
    plain = re.sub(r"[\[\]:*?/\\']", " ", wanted).strip()[:31] or "Table"
    name, number = plain, 2
    while name.lower() in names:
        name = f"{plain[:27]} {number}"
        number += 1
    names.add(name.lower())
    return name


def _table_sheet(book: Any, table: Table, style: _Styles, names: set[str]) -> None:
    sheet = book.add_worksheet(_sheet_name(table.caption, names))
    sheet.write_string(0, 0, table.caption, style.title)
    for column, one in enumerate(table.columns):
        sheet.write_string(2, column, _head(one), style.head)
        cells = [_text(row[column]) for row in table.rows]
        sheet.set_column(column, column, min(60, max([10, *(len(text) + 2 for text in cells), len(one.head) // 2 + 4])))
    for index, row in enumerate(table.rows, 3):
        for column, cell in enumerate(row):
            _write(sheet, index, column, cell, style)
    if table.source:
        sheet.write_string(len(table.rows) + 4, 0, table.source, style.quiet)
    sheet.freeze_panes(3, 0)


def _head(column: Column) -> str:
    mark = f" [{column.basis.value}]" if column.basis else ""
    return f"{column.head}{mark}" + (f"\n{column.unit}" if column.unit else "")


def _text(cell: Cell) -> str:
    return cell.text if isinstance(cell, Marked) else cell


def _write(sheet: Any, row: int, column: int, cell: Cell, style: _Styles) -> None:
    if isinstance(cell, Marked) and cell.value is not None and np.isfinite(cell.value):
        sheet.write_number(row, column, cell.value, style.number(cell.decimals))
        return
    sheet.write_string(row, column, _text(cell))


def _readings(book: Any, record: Record, style: _Styles, names: set[str], progress: Progress) -> None:
    """Write every channel, one row per interval: local time, offset from UTC, then value, raw reading and quality of each."""
    series = record.channels[0].series
    edges = [*range(0, len(series), ROWS_PER_SHEET), len(series)]
    for first, last in pairwise(edges):
        sheet = book.add_worksheet(_sheet_name("Readings", names))
        _reading_heads(sheet, record, style)
        _reading_rows(sheet, record, slice(first, last), style, progress)
        sheet.freeze_panes(1, 1)


def _reading_heads(sheet: Any, record: Record, style: _Styles) -> None:
    heads = [f"Interval begins\n{record.zone}", "Offset from UTC\nh"]
    for channel in record.channels:
        unit = "kW" if channel.meaning.quantity is Quantity.ACTIVE_POWER else channel.meaning.quantity.unit
        heads += [f"{channel.id}\n{unit}", f"{channel.id}, as read\n{channel.meaning.unit}", f"{channel.id}\nquality"]
    for column, text in enumerate(heads):
        sheet.write_string(0, column, text, style.head)
    sheet.set_column(0, 0, 20)
    sheet.set_column(1, len(heads), 14)


def _reading_rows(sheet: Any, record: Record, part: slice, style: _Styles, progress: Progress) -> None:
    clock = SiteClock(record.zone)
    times = record.channels[0].series.times_s[part]
    offsets = clock.offsets_s(times)
    serial = ((times + offsets) / _DAY_S + _SERIAL_OF_1970).tolist()
    hours = (offsets / 3600).tolist()
    columns = [_channel_columns(channel, part) for channel in record.channels]
    for index, (stamp, hour) in enumerate(zip(serial, hours, strict=True)):
        if index % _REPORT_EVERY == 0:
            progress.at("writing the workbook", index, len(serial))
        row = index + 1
        sheet.write_number(row, 0, stamp, style.stamp)
        sheet.write_number(row, 1, hour)
        for at, (values, raw, quality) in enumerate(columns):
            _reading(sheet, row, 2 + 3 * at, values[index], raw[index], quality[index])


def _reading(sheet: Any, row: int, column: int, value: float, raw: float, quality: str) -> None:
    if value == value:
        sheet.write_number(row, column, value)
    if raw == raw:
        sheet.write_number(row, column + 1, raw)
    if quality:
        sheet.write_string(row, column + 2, quality)


_WORDS = {int(code): code.name.lower().replace("_", " ") for code in Quality}


def _channel_columns(channel: Channel, part: slice) -> tuple[Sequence[float], Sequence[float], Sequence[str]]:
    """Return values in kW (or the quantity's unit), raw readings, and the quality in words where it is not plainly valid."""
    series = channel.series
    per = 1000.0 if channel.meaning.quantity is Quantity.ACTIVE_POWER else 1.0
    words = ["" if code == Quality.VALID else _WORDS.get(code, str(code)) for code in series.quality[part].tolist()]
    return np.round(series.values[part] / per, 9).tolist(), series.raw[part].tolist(), words
