"""The verb that draws: the wiring of each load, the single-line diagram, the schedules."""

from pathlib import Path

from wattwright.cli.site_gear import made_for
from wattwright.cli.verbs import say
from wattwright.core.envelope import to_json
from wattwright.core.errors import UsageError
from wattwright.core.files import write_bytes
from wattwright.handover.drawings.files import drawing_files
from wattwright.handover.drawings.sheet import SIZES_MM, Size, Title
from wattwright.job.wirings import single_line, wirings

SCHEMA = "wattwright.drawings/1"


def draw_job(job: Path, into: Path, control: Path | None, size: str, json: bool) -> None:
    """Draw the equipment of a job into a folder. Raises FileError, RecordError, JobError, InputError, UsageError."""
    assessment, equipped = made_for(job, control, quiet=json)
    made = equipped.gear
    spec = assessment.job.spec
    usual: Size = "Letter" if spec.papers.paper == "Letter" else "A4"
    chosen = next((one for one in SIZES_MM if one.lower() == (size or usual).lower()), None)
    if chosen is None:
        raise UsageError(f'--size: found "{size}"; expected one of {", ".join(SIZES_MM)}.')
    basis = f"survey and rules of the job, {'NEC' if made.rules == 'nec' else 'IEC'}"
    title = Title(spec.name, spec.place, "", spec.papers.date.isoformat(), spec.papers.revision, spec.papers.prepared_by, basis)
    files = drawing_files(single_line(made, spec), wirings(made), made.rules, title, chosen, spec.papers.date)
    for name, content in files.items():
        write_bytes(into / name, content)
    told = [str(into / name) for name in files]
    if json:
        say(to_json(SCHEMA, {"by": equipped.ruled.by, "files": told}))
        return
    say("\n".join((f"Drawn for {equipped.ruled.says}.", *told)))
