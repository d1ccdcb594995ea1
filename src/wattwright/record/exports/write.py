"""The one way out: a record into a file of the format that its name ends with."""

from collections.abc import Callable, Sequence
from pathlib import Path

from wattwright.core.errors import UsageError
from wattwright.core.files import replacing
from wattwright.record.exports.book import write_book
from wattwright.record.exports.columns import Exported, exported
from wattwright.record.exports.espi import left_out, write_espi
from wattwright.record.exports.tables import write_csv, write_json_lines, write_parquet
from wattwright.record.record import Record

_WRITERS: dict[str, Callable[[Exported, Path], None]] = {
    ".csv": write_csv, ".xlsx": write_book, ".parquet": write_parquet, ".jsonl": write_json_lines, ".xml": write_espi,
}  # fmt: skip


def export(
    record: Record, path: Path, step_s: int | None = None, channels: Sequence[str] = (), *, local: bool = False
) -> tuple[str, ...]:
    """Write ``record`` to ``path`` as its ending says (.csv, .xlsx, .parquet, .jsonl, .xml for ESPI); return the ids left out.

    ``step_s`` is a multiple of the record's step; ``channels`` are ids or columns, all that were read where there are none;
    ``local`` writes stamps on the site's clock with their offset rather than in UTC (ESPI counts in UTC). The file is written
    whole beside its place and then moved there. Raises UsageError for what cannot be written so, FileError for the place.
    """
    writer = _WRITERS.get(path.suffix.lower())
    if writer is None:
        raise UsageError(f'"{path.name}" ends like no format that can be written. End it with one of: {", ".join(_WRITERS)}.')
    given = exported(record, step_s, channels, local=local)
    with replacing(path) as part:
        writer(given, part)
    return tuple(one.channel.id for one in given.columns if writer is write_espi and left_out(one))
