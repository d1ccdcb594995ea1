"""The door: whatever stands at a path is opened by its content, never by its name."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from wattwright.core.files import SourceFile
from wattwright.core.findings import Finding
from wattwright.record.readers.espi import is_espi, read_espi
from wattwright.record.readers.opening import Unpacked, open_bytes, text_of
from wattwright.record.readers.source import Packing, Piece
from wattwright.record.readers.table import read_table
from wattwright.record.spec import LayoutSpec


@dataclass(frozen=True, slots=True)
class Found:
    """Everything found at a path: the pieces, the original they came from, and what was left out of it."""

    pieces: Sequence[Piece]
    source: SourceFile
    findings: tuple[Finding, ...] = ()


def open_path(path: Path, said: LayoutSpec) -> Found:
    """Return what stands at ``path``, by its content; raises FileError and RecordError."""
    file, source = open_bytes(path)
    return Found(pieces_of(file, said), source)


def pieces_of(file: Unpacked, said: LayoutSpec) -> list[Piece]:
    """Return the tables or meters in one file; raises RecordError."""
    if is_espi(file.content):
        return read_espi(file)
    opened = text_of(file)
    return [Piece(read_table(opened, said.delimiter), Packing(opened.encoding, opened.compression))]
