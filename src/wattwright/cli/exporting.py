"""The verb that writes readings in an open format."""

from collections.abc import Sequence
from pathlib import Path

from wattwright.cli.options import Reading
from wattwright.cli.verbs import assess, say
from wattwright.cli.watching import watching
from wattwright.core.envelope import to_json
from wattwright.core.errors import UsageError
from wattwright.core.units import parse
from wattwright.record.exports.write import export


def export_record(reading: Reading, to: Path, step: str | None, channels: Sequence[str], local: bool, json: bool) -> None:
    """Write the record of a job's main file, or of one file, to ``to`` and say so. Raises FileError, RecordError, UsageError."""
    seconds = parse(step, "s", "--step") if step is not None else None
    if seconds is not None and (seconds < 1 or seconds % 1):
        raise UsageError(f'--step: found "{step}"; expected whole seconds, such as "15 min".')
    with watching(quiet=json) as progress:
        assessment = assess(reading, progress)
        originals = [assessment.job.inside(one.path) for one in assessment.job.spec.files] + [assessment.job.path]
        record = assessment.record()
        left = export(record, to, None if seconds is None else int(seconds), channels, local=local, originals=originals)
    if json:
        say(to_json("wattwright.export/1", {"path": str(to), "left_out": list(left)}))
        return
    say(str(to))
    if left:
        say(f"Left out, since the format has no code for them: {', '.join(left)}.")
