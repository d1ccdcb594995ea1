"""Exports as a workbook in Office Open XML (ECMA-376), written here since each number must come back to the last bit."""

import zipfile
from collections.abc import Iterator
from pathlib import Path
from xml.sax.saxutils import escape

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S
from wattwright.core.errors import UsageError
from wattwright.record.exports.columns import Exported

MOST_ROWS = 1_048_576
"""Rows of one sheet, the first of them the names (ECMA-376)."""
_SERIAL_OF_1970 = 25_569
_INSTANT, _DAY = 1, 2
"""The styles of cells, by their place in the list of them."""
_DATE = (1980, 1, 1, 0, 0, 0)
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_LINKS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml"
_PARTS = {
    "[Content_Types].xml": f'<Types xmlns="{_PACKAGE}/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    f'<Override PartName="/xl/workbook.xml" ContentType="{_TYPE}.sheet.main+xml"/>'
    f'<Override PartName="/xl/styles.xml" ContentType="{_TYPE}.styles+xml"/>'
    f'<Override PartName="/xl/worksheets/sheet1.xml" ContentType="{_TYPE}.worksheet+xml"/></Types>',
    "_rels/.rels": f'<Relationships xmlns="{_PACKAGE}/relationships">'
    f'<Relationship Id="rId1" Type="{_LINKS}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
    "xl/workbook.xml": f'<workbook xmlns="{_MAIN}" xmlns:r="{_LINKS}"><sheets>'
    '<sheet name="Readings" sheetId="1" r:id="rId1"/></sheets></workbook>',
    "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{_PACKAGE}/relationships">'
    f'<Relationship Id="rId1" Type="{_LINKS}/worksheet" Target="worksheets/sheet1.xml"/>'
    f'<Relationship Id="rId2" Type="{_LINKS}/styles" Target="styles.xml"/></Relationships>',
    "xl/styles.xml": f'<styleSheet xmlns="{_MAIN}"><numFmts count="2">'
    r'<numFmt numFmtId="164" formatCode="yyyy\-mm\-dd\ hh:mm:ss"/><numFmt numFmtId="165" formatCode="yyyy\-mm\-dd"/></numFmts>'
    '<fonts count="1"><font><sz val="11"/></font></fonts><fills count="2"><fill><patternFill patternType="none"/></fill>'
    '<fill><patternFill patternType="gray125"/></fill></fills><borders count="1"><border/></borders>'
    '<cellStyleXfs count="1"><xf numFmtId="0"/></cellStyleXfs><cellXfs count="3"><xf numFmtId="0" xfId="0"/>'
    '<xf numFmtId="164" xfId="0" applyNumberFormat="1"/><xf numFmtId="165" xfId="0" applyNumberFormat="1"/></cellXfs>'
    '<cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles></styleSheet>',
}


def write_book(given: Exported, path: Path) -> None:
    """Write a workbook of one sheet; text stands as text and never as a formula. Raises UsageError for too many rows."""
    if len(given.intervals) >= MOST_ROWS:
        raise UsageError(f"A sheet holds {MOST_ROWS - 1:,} readings at most. Name a longer step, or write CSV or Parquet.")
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as book:
        for name, text in _PARTS.items():
            book.writestr(zipfile.ZipInfo(name, _DATE), _HEAD + text)
        sheet = zipfile.ZipInfo("xl/worksheets/sheet1.xml", _DATE)
        sheet.compress_type = zipfile.ZIP_DEFLATED
        with book.open(sheet, "w", force_zip64=True) as part:
            for text in _sheet(given):
                part.write(text.encode())


def _sheet(given: Exported) -> Iterator[str]:
    stamps = _stamps(given)
    # An instant that is wider than its column would be shown as a row of signs.
    wide = f'<cols><col min="1" max="{len(stamps)}" width="20" customWidth="1"/></cols>'
    yield f'{_HEAD}<worksheet xmlns="{_MAIN}">{wide}<sheetData>'
    names, columns = list(stamps), [list(map(float, held)) for held in stamps.values()]
    for column in given.columns:
        names += [column.name, column.quality_name]
        columns += [column.numbers.tolist(), column.quality.tolist()]
    style = _DAY if given.intervals.days else _INSTANT
    yield f"<row>{''.join(_text(name) for name in names)}</row>"
    for row in zip(*columns, strict=True):
        first = "".join(f'<c s="{style}"><v>{one!r}</v></c>' for one in row[: len(stamps)])
        yield f"<row>{first}{''.join(_number(one) for one in row[len(stamps) :])}</row>"
    yield "</sheetData></worksheet>"


def _stamps(given: Exported) -> dict[str, NDArray[np.float64]]:
    """Return the columns of instants, counted in days as the format has it; on the site's clock they stand in UTC as well.

    An instant of a sheet has no zone, so the name of its column says which clock it is.
    """
    starts = given.intervals.starts_s
    utc, local = starts / DAY_S + _SERIAL_OF_1970, (starts + given.clock.offsets_s(starts)) / DAY_S + _SERIAL_OF_1970
    if given.intervals.days:
        return {given.stamp_name: np.floor(local)}
    return {f"start ({given.record.zone})": local, "start (UTC)": utc} if given.local else {given.stamp_name: utc}


def _text(text: str) -> str:
    return f'<c t="inlineStr"><is><t>{escape(text)}</t></is></c>'


def _number(value: float) -> str:
    return "<c/>" if np.isnan(value) else f"<c><v>{value!r}</v></c>"
