"""The door: whatever stands at a path is opened by its content, never by its name."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from wattwright.core.errors import RecordError
from wattwright.core.files import SourceFile
from wattwright.core.findings import Finding
from wattwright.record import kinds
from wattwright.record.readers.archive import files_in, is_workbook, is_zip, members_of
from wattwright.record.readers.columnar import is_columnar, read_columnar
from wattwright.record.readers.espi import is_espi, read_espi
from wattwright.record.readers.json_rows import is_json, read_json
from wattwright.record.readers.opening import Unpacked, open_bytes, text_of
from wattwright.record.readers.source import Packing, Piece
from wattwright.record.readers.table import read_table
from wattwright.record.readers.together import put_together
from wattwright.record.readers.workbook import is_locked, read_workbook, refuse_locked
from wattwright.record.spec import LayoutSpec

_NO_READINGS = frozenset({"record.not-text", "record.empty", "record.no-table"})
"""Faults of a file that holds no readings at all, such as a picture or a note beside them."""


@dataclass(frozen=True, slots=True)
class Found:
    """Everything found at a path: the pieces, the original they came from, and what is to be said about its files.

    ``several`` tells that the pieces come from several files, which may be parts of one record.
    """

    pieces: Sequence[Piece]
    source: SourceFile
    findings: tuple[Finding, ...] = ()
    several: bool = False


def open_path(path: Path, said: LayoutSpec) -> Found:
    """Return what stands at ``path``, by its content: a file, an archive or a folder; raises FileError and RecordError."""
    if path.is_dir():
        files, source = files_in(path)
        return _of_members(files, source, said)
    file, source = open_bytes(path)
    if is_zip(file.content) and not is_workbook(file.content):
        return _of_members(members_of(file), source, said)
    return Found(pieces_of(file, said), source)


def _of_members(files: Sequence[Unpacked], source: SourceFile, said: LayoutSpec) -> Found:
    """Return the pieces of all members that hold readings; raises RecordError where none does, or where one is faulty."""
    pieces: list[Piece] = []
    left: list[Finding] = []
    faults: list[RecordError] = []
    for file in files:
        try:
            pieces += pieces_of(file, said)
        except RecordError as error:
            if error.faults[0].code not in _NO_READINGS:
                raise
            faults.append(error)
            left.append(kinds.LEFT_OUT.at("files", file=file.name, found=error.faults[0].found))
    if not pieces:
        raise faults[0] if len(faults) == 1 else RecordError(fault for error in faults for fault in error.faults)
    if len(pieces) > 1:
        left.append(kinds.FILES.at("files", count=len(files) - len(faults)))
    return Found(put_together(pieces, source.name), source, tuple(left), several=len(files) > 1)


def pieces_of(file: Unpacked, said: LayoutSpec) -> list[Piece]:
    """Return the tables or meters in one file; raises RecordError."""
    if is_espi(file.content):
        return read_espi(file)
    if is_workbook(file.content):
        return put_together(read_workbook(file, said.part), file.name)
    if is_locked(file.content):
        refuse_locked(file.name)
    if is_columnar(file.content):
        return read_columnar(file)
    opened = text_of(file)
    if is_json(opened.content):
        return read_json(opened)
    return [Piece(read_table(opened, said.delimiter), Packing(opened.encoding, opened.compression))]
