"""Exports as a workbook in Office Open XML (ECMA-376), written here since each number must come back to the last bit."""

import zipfile
from collections.abc import Iterator
from pathlib import Path
from xml.sax.saxutils import escape

import numpy as np

from wattwright.core.errors import UsageError
from wattwright.record.exports.columns import Exported

MOST_ROWS = 1_048_576
"""Rows of one sheet, the first of them the names (ECMA-376)."""
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
    f'<Override PartName="/xl/worksheets/sheet1.xml" ContentType="{_TYPE}.worksheet+xml"/></Types>',
    "_rels/.rels": f'<Relationships xmlns="{_PACKAGE}/relationships">'
    f'<Relationship Id="rId1" Type="{_LINKS}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
    "xl/workbook.xml": f'<workbook xmlns="{_MAIN}" xmlns:r="{_LINKS}"><sheets>'
    '<sheet name="Readings" sheetId="1" r:id="rId1"/></sheets></workbook>',
    "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{_PACKAGE}/relationships">'
    f'<Relationship Id="rId1" Type="{_LINKS}/worksheet" Target="worksheets/sheet1.xml"/></Relationships>',
}


def write_book(given: Exported, path: Path) -> None:
    """Write a workbook of one sheet; text stands as text and never as a formula. Raises UsageError for too many rows."""
    if len(given.series) >= MOST_ROWS:
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
    yield f'{_HEAD}<worksheet xmlns="{_MAIN}"><sheetData>'
    names = [given.stamp_name]
    columns: list[list[float | int]] = []
    for column in given.columns:
        names += [column.name, column.quality_name]
        columns += [column.series.values.tolist(), column.series.quality.tolist()]
    yield f"<row>{''.join(_text(name) for name in names)}</row>"
    for stamp, *row in zip(given.stamps, *columns, strict=True):
        yield f"<row>{_text(str(stamp))}{''.join(_number(one) for one in row)}</row>"
    yield "</sheetData></worksheet>"


def _text(text: str) -> str:
    return f'<c t="inlineStr"><is><t>{escape(text)}</t></is></c>'


def _number(value: float) -> str:
    return "<c/>" if np.isnan(value) else f"<c><v>{value!r}</v></c>"
