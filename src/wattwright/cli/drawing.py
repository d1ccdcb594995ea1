"""The verb that draws: the wiring of each load, the single-line diagram, the schedules."""

from pathlib import Path

import typer

from wattwright.cli import tables
from wattwright.cli.site_gear import made_for
from wattwright.cli.verbs import say
from wattwright.core.envelope import to_json
from wattwright.core.errors import InputError, UsageError
from wattwright.core.files import write_bytes
from wattwright.core.findings import Severity
from wattwright.handover.drawings.of_job import job_drawings, usual_size
from wattwright.handover.drawings.sheet import SIZES_MM
from wattwright.job.array_wiring import of_strings, refused_strings
from wattwright.job.guarding import failing_guards, of_guards
from wattwright.job.island import strings_told

SCHEMA = "wattwright.drawings/1"


def draw_job(job: Path, into: Path, control: Path | None, size: str, json: bool) -> None:
    """Draw the equipment of a job into a folder. Raises FileError, RecordError, JobError, InputError, UsageError."""
    wanted = next((one for one in SIZES_MM if one.lower() == size.lower()), None)
    if size and wanted is None:
        raise UsageError(f'--size: found "{size}"; expected one of {", ".join(SIZES_MM)}.')
    assessment, equipped = made_for(job, control, quiet=json)
    spec = assessment.job.spec
    about = (*of_strings(spec), *of_guards(spec))
    stops = tuple(one for one in equipped.gear.findings if one.severity is Severity.STOP or one in about)
    asked = strings_told(spec).asked
    files = job_drawings(equipped, spec, wanted or usual_size(spec))
    for name, content in files.items():
        write_bytes(into / name, content)
    told = [str(into / name) for name in files]
    if json:
        say(
            to_json(
                SCHEMA,
                {
                    "by": equipped.ruled.by,
                    "files": told,
                    "findings": [one.as_json(assessment.show) for one in stops],
                    "asked": [{"id": one.id, "ask": one.ask} for one in asked],
                },
            )
        )
    else:
        questions = (f"To be asked {one.ask}." for one in asked)
        say("\n".join((f"Drawn for {equipped.ruled.says}.", *told, *questions)))
        tables.findings(stops, assessment.show, tables.new_console(), placed=True)
    if refused_strings(spec) or failing_guards(spec):
        # They are drawn, marked as refused; that they are not to be built so a program sees by the code.
        raise typer.Exit(InputError.exit_code)
