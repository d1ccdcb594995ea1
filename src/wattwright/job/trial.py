"""Rules to try in place of a job's own: a TOML file with the same tables, under [control] or at its top."""

from pathlib import Path

from pydantic import Field

from wattwright.control.rules import Control
from wattwright.core.errors import JobError
from wattwright.core.fields import Spec
from wattwright.core.specfile import SpecText, in_order, read_text, validated
from wattwright.job import cross
from wattwright.job.file import Job


class Trial(Spec):
    """What switches loads, to be tried."""

    control: Control = Field(description="rules, actuators, shed order, interlocks, overrides: as in job.toml")


def _as_control(source: SpecText) -> SpecText:
    """Return the text with its tables under "control", where a person wrote them at the top of a file of their own."""
    fields = {field.alias or name for name, field in Control.model_fields.items()}
    if "control" in source.data or not fields & set(source.data):
        return source
    lines = {("control", *path): line for path, line in source.lines.items()}
    return SpecText(source.name, source.text, {"control": source.data}, lines)


def load_trial(path: Path, job: Job) -> Control:
    """Return the rules in the file at ``path``; their loads are those of ``job``.

    Raises FileError when there is none and JobError with every wrong entry and its line.
    """
    source = _as_control(read_text(path, JobError))
    loads = [{"id": one.id} for one in job.spec.loads]
    crossed = cross.faults(SpecText(source.name, source.text, {"loads": loads, **source.data}, source.lines))
    try:
        trial = validated(source, Trial, JobError)
    except JobError as error:
        raise JobError(in_order((*error.faults, *crossed))) from error
    if crossed:
        raise JobError(in_order(crossed))
    return trial.control
