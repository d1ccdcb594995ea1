"""Parquet and Arrow files, whose columns know what they hold."""

import io

import polars as pl

from wattwright.core.errors import Place, RecordError
from wattwright.record.readers.cells import table_of
from wattwright.record.readers.opening import Unpacked
from wattwright.record.readers.source import Packing, Piece

PARQUET, ARROW, ARROW_STREAM = b"PAR1", b"ARROW1", b"\xff\xff\xff\xff"
_MOST_ROWS = 20_000_000
_MOST_CELLS = 100_000_000


def is_columnar(content: bytes) -> bool:
    """Return whether ``content`` is a Parquet file or an Arrow file or stream."""
    return content.startswith((PARQUET, ARROW, ARROW_STREAM))


def read_columnar(file: Unpacked) -> list[Piece]:
    """Return the table in a Parquet or Arrow file; raises RecordError where it is damaged or holds too many rows."""
    content, kind = file.content, "Parquet" if file.content.startswith(PARQUET) else "Arrow"
    try:
        if kind == "Parquet":
            _refuse_many(file.name, pl.scan_parquet(io.BytesIO(content)))
            frame = pl.read_parquet(io.BytesIO(content))
        elif content.startswith(ARROW):
            _refuse_many(file.name, pl.scan_ipc(io.BytesIO(content)))
            frame = pl.read_ipc(io.BytesIO(content))
        else:
            frame = pl.read_ipc_stream(io.BytesIO(content))
    except (pl.exceptions.PolarsError, pl.exceptions.PanicException, OSError, ValueError) as error:
        raise _refused(file.name, f"a file that breaks off or is damaged, though it begins like {kind}", kind) from error
    columns = {name: frame[name] for name in frame.columns}
    return [Piece(table_of(columns, file.name, "row"), Packing(kind, file.compression, "columns of their own"))]


def _refuse_many(name: str, lazy: pl.LazyFrame) -> None:
    rows = int(lazy.select(pl.len()).collect().item())
    if rows > _MOST_ROWS or rows * max(1, lazy.collect_schema().len()) > _MOST_CELLS:
        raise _refused(name, f"{rows:,} rows", "")


def _refused(name: str, found: str, kind: str) -> RecordError:
    return RecordError.one(
        "record.columnar" if kind else "record.too-large",
        Place(name),
        found=found,
        wanted=f"a sound {kind} file" if kind else f"at most {_MOST_ROWS:,} rows and {_MOST_CELLS:,} numbers",
        next_step="Copy the file again from where it came." if kind else "Cut the file into years.",
    )
