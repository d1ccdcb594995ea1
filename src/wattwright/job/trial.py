"""Rules to try in place of a job's own: a TOML file with the same [control] tables."""

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


def load_trial(path: Path, job: Job) -> Control:
    """Return the rules in the file at ``path``; their loads are those of ``job``.

    Raises FileError when there is none and JobError with every wrong entry and its line.
    """
    source = read_text(path, JobError)
    loads = [{"id": one.id} for one in job.spec.loads]
    crossed = cross.faults(SpecText(source.name, source.text, {"loads": loads, **source.data}, source.lines))
    try:
        trial = validated(source, Trial, JobError)
    except JobError as error:
        raise JobError(in_order((*error.faults, *crossed))) from error
    if crossed:
        raise JobError(in_order(crossed))
    return trial.control
