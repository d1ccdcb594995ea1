"""The door: whatever stands at a path is opened by its content, never by its name."""

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path

from wattwright.core.clock import SiteClock
from wattwright.core.errors import RecordError
from wattwright.core.files import SourceFile, read_bytes, source_of
from wattwright.core.findings import Finding
from wattwright.record import kinds
from wattwright.record.readers.archive import files_in, is_workbook, is_zip, members_of
from wattwright.record.readers.columnar import is_columnar, read_columnar
from wattwright.record.readers.espi import is_espi, read_espi
from wattwright.record.readers.hours import with_hours
from wattwright.record.readers.json_rows import is_json, read_json
from wattwright.record.readers.long import split_long
from wattwright.record.readers.opening import Unpacked, read_packed, text_of
from wattwright.record.readers.plain_stamps import with_plain_stamps
from wattwright.record.readers.source import Metered, Packing, Piece
from wattwright.record.readers.table import Table, read_table
from wattwright.record.readers.telegram import is_telegram, read_telegrams
from wattwright.record.readers.together import put_together
from wattwright.record.readers.wide import unfolded
from wattwright.record.readers.workbook import is_locked, read_workbook, refuse_locked
from wattwright.record.spec import LayoutSpec
from wattwright.record.words import shown

_NO_READINGS = frozenset({"record.not-text", "record.empty", "record.no-table", "record.months"})
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


def source_at(path: Path) -> SourceFile:
    """Return what identifies the file or the folder of files at ``path``; raises FileError and RecordError."""
    return files_in(path)[1] if path.is_dir() else source_of(path, read_bytes(path))


def open_path(path: Path, said: LayoutSpec, clock: SiteClock) -> Found:
    """Return what stands at ``path``, by its content: a file, an archive or a folder; raises FileError and RecordError.

    Tables come with a row for each interval, those of several meters apart; ``clock`` is the site's.
    """
    if path.is_dir():
        files, source = files_in(path)
        return _of_members(files, source, said, clock)
    file, original = read_packed(path)
    with ThreadPoolExecutor(1) as beside:
        # The hash is worked out beside the parsing, which waits for memory more than for the processor.
        hashed = beside.submit(source_of, path, original)
        del original
        if is_zip(file.content) and not is_workbook(file.content):
            return _of_members(members_of(file), hashed.result(), said, clock)
        pieces = put_together(pieces_of(file, said, clock, typed=not said.decimal), file.name)
        return Found(pieces, hashed.result())


def _of_members(files: Sequence[Unpacked], source: SourceFile, said: LayoutSpec, clock: SiteClock) -> Found:
    """Return the pieces of all members that hold readings; raises RecordError where none does, or where one is faulty."""
    pieces: list[Piece] = []
    left: list[Finding] = []
    faults: list[RecordError] = []
    for file in files:
        try:
            pieces += pieces_of(file, said, clock)
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


def pieces_of(file: Unpacked, said: LayoutSpec, clock: SiteClock, *, typed: bool = False) -> list[Piece]:
    """Return the tables or meters in one file; ``typed`` as for a delimited table; raises RecordError."""
    return [part for piece in _opened(file, said, typed=typed) for part in _parts(piece, clock, said)]


def _parts(piece: Piece, clock: SiteClock, said: LayoutSpec) -> list[Piece]:
    if isinstance(piece.data, Metered):
        data = replace(piece.data, meter=shown(piece.data.meter), names=tuple(map(shown, piece.data.names)))
        return [replace(piece, data=data)]
    table = with_plain_stamps(_shown(piece.data), clock.zone, said.clock)
    table, left = unfolded(table, clock, said.date_order)
    parts = split_long(with_hours(table, clock, said.date_order))
    notes = (*piece.notes, *left)
    return [replace(piece, data=_shown(part), meter=shown(meter or piece.meter), notes=notes) for part, meter in parts]


def _shown(table: Table) -> Table:
    """Return the table with names and lines above them that can be shown anywhere."""
    header = table.header
    names, preamble = tuple(map(shown, header.names)), tuple(map(shown, header.preamble))
    return replace(table, header=replace(header, names=names, preamble=preamble))


def _opened(file: Unpacked, said: LayoutSpec, *, typed: bool) -> list[Piece]:
    if is_espi(file.content):
        return read_espi(file)
    if is_workbook(file.content):
        return read_workbook(file, said.part)
    if is_locked(file.content):
        refuse_locked(file.name)
    if is_columnar(file.content):
        return read_columnar(file)
    opened = text_of(file)
    if is_json(opened.content):
        return read_json(opened)
    if is_telegram(opened.content):
        return read_telegrams(opened)
    return [Piece(read_table(opened, said.delimiter, typed=typed), Packing(opened.encoding, opened.compression))]
