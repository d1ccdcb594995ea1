"""Invented workbooks: Office Open XML by openpyxl, OpenDocument written here by hand."""

import datetime as dt
import io
import zipfile
from collections.abc import Mapping, Sequence
from typing import Any
from xml.sax.saxutils import escape

import openpyxl
from openpyxl.utils.datetime import CALENDAR_MAC_1904

Rows = Sequence[Sequence[Any]]


def xlsx(
    sheets: Mapping[str, Rows], *, merged: Sequence[str] = (), formats: Mapping[str, str] | None = None, mac: bool = False
) -> bytes:
    """The rows by sheet; ``merged`` ranges of the first sheet, ``formats`` by column letter, the 1904 count of days."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    if mac:
        book.epoch = CALENDAR_MAC_1904
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
        for letter, form in (formats or {}).items():
            for cell in sheet[letter]:
                cell.number_format = form
    for one in merged:
        book.worksheets[0].merge_cells(one)
    held = io.BytesIO()
    book.save(held)
    return held.getvalue()


def ods(sheets: Mapping[str, Rows], *, locked: bool = False) -> bytes:
    """The rows by sheet as OpenDocument (ISO/IEC 26300): floats, dates and text with their value types."""
    tables = "".join(
        f'<table:table table:name="{escape(name)}">{"".join(f"<table:table-row>{_cells(row)}</table:table-row>" for row in rows)}'
        "</table:table>"
        for name, rows in sheets.items()
    )
    names = {"office": "office:1.0", "table": "table:1.0", "text": "text:1.0"}
    spaces = " ".join(f'xmlns:{key}="urn:oasis:names:tc:opendocument:xmlns:{urn}"' for key, urn in names.items())
    content = (
        f'<?xml version="1.0" encoding="UTF-8"?><office:document-content {spaces} office:version="1.3"><office:body>'
        f"<office:spreadsheet>{tables}</office:spreadsheet></office:body></office:document-content>"
    )
    space = "urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"
    lock = "<manifest:encryption-data/>" if locked else ""
    manifest = (
        f'<manifest:manifest xmlns:manifest="{space}"><manifest:file-entry manifest:full-path="/">{lock}</manifest:file-entry>'
    )
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", content)
        archive.writestr("META-INF/manifest.xml", manifest + "</manifest:manifest>")
    return held.getvalue()


def _cells(row: Sequence[Any]) -> str:
    return "".join(_cell(value) for value in row)


def _cell(value: Any) -> str:
    if value is None:
        return "<table:table-cell/>"
    if isinstance(value, dt.datetime):
        return f'<table:table-cell office:value-type="date" office:date-value="{value.isoformat()}"/>'
    if isinstance(value, int | float):
        return f'<table:table-cell office:value-type="float" office:value="{value!r}"><text:p>{value}</text:p></table:table-cell>'
    return f'<table:table-cell office:value-type="string"><text:p>{escape(str(value))}</text:p></table:table-cell>'
