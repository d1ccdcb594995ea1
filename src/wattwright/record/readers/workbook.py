"""Spreadsheets (Office Open XML and OpenDocument): every sheet looked at, those with readings taken and the others told."""

import io
import logging
import re
import zipfile
from collections.abc import Sequence

import fastexcel
import polars as pl

from wattwright.core.errors import Place, RecordError, quoted
from wattwright.record import kinds
from wattwright.record.readers.archive import DAMAGED
from wattwright.record.readers.opening import LARGEST_BYTES, Opened, Unpacked
from wattwright.record.readers.sheet import Kind, Sheet, named_by_all_rows, text_of_cells, with_numbers
from wattwright.record.readers.source import Packing, Piece
from wattwright.record.readers.table import Table, read_table

_MOST_CELLS = 60_000_000
_WIDEST = 2_000
_MOST_ROWS = 1_048_576
"""Rows of a sheet in Office Open XML (ISO/IEC 29500), as programs hold them."""
_SPARSE_ROWS, _SPARSE = 200_000, 0.1
"""A long sheet whose rows are hardly ever filled is damaged, or made to fill the memory: common practice, no source."""
_SQUEEZED, _SQUEEZED_BYTES = 100, 1 << 26
"""Sheets of readings shrink to a tenth; what shrinks to a hundredth and is large was made to fill the memory."""
_LOCKED = "EncryptedPackage".encode("utf-16-le")
_OLD = b"\xd0\xcf\x11\xe0"
_PLACE = re.compile(rb"[A-Z]{1,3}\d{1,7}")
_CELL = re.compile(rb'\br="([A-Z]{1,3})(\d{1,7})"')
_REFERENCE = re.compile(rb'<(?:\w+:)?c\b[^>]*?\br="([^"]*)"')
_ROW = re.compile(rb'<(?:\w+:)?row\b[^>]*?\br="(\d{1,12})"')
_REPEATED = re.compile(rb'number-(?:rows|columns)-repeated="(\d{4,})"[^>]*(?:>\s*<table:table-cell[^>]*)?office:value')

# What the library and its parser have to say goes to nobody: each cell is judged here, and damage is told in our words.
for _logger in (logging.getLogger("fastexcel"), logging.getLogger("calamine")):
    _logger.addHandler(logging.NullHandler())
    _logger.propagate = False


def is_locked(content: bytes) -> bool:
    """Return whether ``content`` is a workbook that is locked with a password (MS-OFFCRYPTO's compound file)."""
    return content.startswith(_OLD) and _LOCKED in content


def refuse_locked(name: str) -> None:
    """Raise the error for a workbook that is locked with a password."""
    raise _refused(name, "a workbook that is locked with a password", "a workbook without a password")


def read_workbook(file: Unpacked, part: str = "") -> list[Piece]:
    """Return the tables of readings in a workbook: the sheets of one layout that hold the most rows, or the sheet ``part``.

    Raises RecordError where it is damaged, locked or too large, and where no sheet holds readings.
    """
    epoch = _inspected(file)
    try:
        reader = fastexcel.read_excel(file.content)
        names = reader.sheet_names
        wanted = [name for number, name in enumerate(names, 1) if part in ("", name, str(number))]
        tables, faults = _tables([_loaded(reader, name, epoch) for name in wanted or names], file.name)
    except fastexcel.FastExcelError as error:
        raise _refused(file.name, "a workbook that breaks off or is damaged", "a sound workbook") from error
    if not tables:
        told = [fault for error in faults for fault in error.faults]
        raise RecordError(told) if told else _refused(file.name, "a workbook without cells", "a sheet with readings")
    chosen = _chosen(tables)
    left = [name for name in names if name not in chosen]
    notes = [kinds.SHEETS.at("sheets", sheets=_listed(list(chosen)))]
    notes += [kinds.SHEETS_LEFT.at("sheets", sheets=_listed(left))] if left else []
    packing = Packing("workbook", file.compression, "cells")
    return [Piece(table, packing, part if wanted and part else "", tuple(notes)) for table in chosen.values()]


def _listed(names: Sequence[str]) -> str:
    return ", ".join(quoted(name) for name in names[:12])


def _loaded(reader: "fastexcel.ExcelReader", name: str, epoch: str) -> Sheet:
    def load(kind: Kind, skip: int) -> pl.DataFrame:
        return reader.load_sheet(name, header_row=None, skip_rows=skip, dtypes=kind, schema_sample_rows=None).to_polars()

    return Sheet(name, load, epoch)


def _tables(sheets: Sequence[Sheet], file: str) -> tuple[dict[str, Table], list[RecordError]]:
    """Return the tables by sheet, and the errors of sheets that hold none."""
    tables: dict[str, Table] = {}
    faults: list[RecordError] = []
    for sheet in sheets:
        name = f"{file}, sheet {sheet.name}"
        cells = sheet.load("string", 0)
        if cells.height * cells.width == 0:
            continue
        try:
            table = read_table(Opened(name, text_of_cells(sheet, cells, name), "", ""), "tab")
        except RecordError as error:
            faults.append(error)
            continue
        tables[sheet.name] = named_by_all_rows(with_numbers(table, sheet), cells)
    return tables, faults


def _chosen(tables: dict[str, Table]) -> dict[str, Table]:
    """Return the sheets of the layout that holds the most rows."""
    groups: dict[tuple[str, ...], dict[str, Table]] = {}
    for name, table in tables.items():
        groups.setdefault(table.names, {})[name] = table
    return max(groups.values(), key=lambda group: sum(table.body.height for table in group.values()))


def _inspected(file: Unpacked) -> str:
    """Return the first day of the workbook's count of days; raises RecordError for one that must not be opened."""
    try:
        with zipfile.ZipFile(io.BytesIO(file.content)) as archive:
            unpacked = sum(one.file_size for one in archive.infolist())
            if unpacked > LARGEST_BYTES or unpacked > max(_SQUEEZED_BYTES, _SQUEEZED * len(file.content)):
                found = f"a workbook of {len(file.content) >> 10:,} KiB that unpacks to {unpacked >> 20:,} MiB"
                raise _refused(file.name, found, f"at most {LARGEST_BYTES >> 20} MiB, and no more than readings shrink by")
            names = archive.namelist()
            for name in names:
                if re.fullmatch(r"xl/worksheets/[^/]+\.xml|content\.xml", name):
                    _refuse_wide(file.name, archive.read(name))
            manifest = archive.read("META-INF/manifest.xml") if "META-INF/manifest.xml" in names else b""
            book = archive.read("xl/workbook.xml") if "xl/workbook.xml" in names else b""
    except DAMAGED as error:
        raise _refused(file.name, "a workbook that breaks off or is damaged", "a sound workbook") from error
    if b"encryption-data" in manifest:
        refuse_locked(file.name)
    return "1904-01-01" if re.search(rb'date1904="(?:1|true)"', book) else "1899-12-30"


def _refuse_wide(name: str, content: bytes) -> None:
    """Raise RecordError where few cells span a sheet so large that it could not be held."""
    odd = next((one for one in _REFERENCE.findall(content) if not _PLACE.fullmatch(one)), None)
    if odd is not None:
        raise _refused(
            name, f"a cell called {quoted(odd.decode(errors='replace'))}", "cells called by column and row, such as B12"
        )
    columns, cells = set(), 0
    last = max((int(row) for row in _ROW.findall(content)), default=0)
    for match in _CELL.finditer(content):
        columns.add(match[1])
        last, cells = max(last, int(match[2])), cells + 1
    if last > _MOST_ROWS or (last > _SPARSE_ROWS and cells < _SPARSE * last):
        raise _refused(
            name, f"a sheet of {last:,} rows with {cells:,} cells", f"at most {_MOST_ROWS:,} rows, most of them filled"
        )
    widest = max((_number(letters) for letters in columns), default=0)
    repeated = max((int(count) for count in _REPEATED.findall(content)), default=0)
    if widest > _WIDEST or widest * last > _MOST_CELLS or repeated > 100_000:
        raise _refused(name, f"a sheet of {widest:,} columns and {last:,} rows", f"at most {_WIDEST:,} columns")


def _number(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = 26 * number + letter - 64
    return number


def _refused(name: str, found: str, wanted: str) -> RecordError:
    return RecordError.one(
        "record.workbook",
        Place(name),
        found=found,
        wanted=wanted,
        next_step="Open it in a spreadsheet program and save the readings as CSV.",
    )
