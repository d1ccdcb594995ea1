"""The one way out: a record into a file of the format that its name ends with."""

from collections.abc import Callable, Sequence
from pathlib import Path

from wattwright.core.errors import FileError, Place, UsageError
from wattwright.core.files import read_bytes, replacing, source_of
from wattwright.record.exports.book import write_book
from wattwright.record.exports.columns import Exported, exported
from wattwright.record.exports.espi import left_out, write_espi
from wattwright.record.exports.tables import write_csv, write_json_lines, write_parquet
from wattwright.record.record import Record

_WRITERS: dict[str, Callable[[Exported, Path], None]] = {
    ".csv": write_csv, ".xlsx": write_book, ".parquet": write_parquet, ".jsonl": write_json_lines, ".xml": write_espi,
}  # fmt: skip


def export(
    record: Record,
    path: Path,
    step_s: int | None = None,
    channels: Sequence[str] = (),
    *,
    local: bool = False,
    originals: Sequence[Path] = (),
) -> tuple[str, ...]:
    """Write ``record`` to ``path`` as its ending says (.csv, .xlsx, .parquet, .jsonl, .xml for ESPI); return the ids left out.

    ``step_s`` is a multiple of the record's step, or a day for those of the site's calendar; ``channels`` are ids or columns, all
    that were read where there are none; ``local`` writes stamps on the site's clock with their offset rather than in UTC (ESPI
    counts in UTC). The file is written whole beside its place and then moved there. Raises UsageError for what cannot be written
    so, also where ``path`` is the file the record was read from or one of ``originals``, and FileError for the place, which must
    be a folder that is there.
    """
    _refuse_original(record, path, originals)
    writer = _WRITERS.get(path.suffix.lower())
    if writer is None:
        raise UsageError(f'"{path.name}" ends like no format that can be written. End it with one of: {", ".join(_WRITERS)}.')
    if not path.parent.is_dir():
        raise FileError.one(
            "export.no-folder",
            Place(str(path.parent)),
            found="no such folder",
            wanted="a folder that is there",
            next_step="Make it, or correct the name behind --to.",
        )
    given = exported(record, step_s, channels, local=local)
    with replacing(path) as part:
        writer(given, part)
    return tuple(one.channel.id for one in given.columns if writer is write_espi and left_out(one))


def _refuse_original(record: Record, path: Path, originals: Sequence[Path]) -> None:
    """Raise UsageError where ``path`` is what a meter gave: an original is never written over, whatever name leads to it."""
    if not path.is_file():
        return
    same = any(one.exists() and one.samefile(path) for one in originals)
    if same or source_of(path, read_bytes(path)).sha256 == record.source.sha256:
        raise UsageError(f'"{path.name}" holds the readings as the meter gave them, and stays as it is. Choose another name.')
