"""The job file on disk: read with every fault and its line, changed without losing a comment, made new with comments."""

import errno
import json
from collections.abc import Mapping, MutableMapping
from dataclasses import dataclass
from datetime import date
from importlib.resources import files
from pathlib import Path
from typing import Any

import tomlkit

from wattwright.core.clock import SiteClock
from wattwright.core.errors import FileError, JobError, Place, quoted
from wattwright.core.files import write_text
from wattwright.core.specfile import SpecText, dotted, in_order, parse_text, read_text, validated
from wattwright.job import cross
from wattwright.job.document import document_of
from wattwright.job.spec import JobSpec
from wattwright.job.upgrade import brought_up

FILE_NAME = "job.toml"


@dataclass(frozen=True, slots=True)
class Job:
    """A job: what the person wrote, the folder its paths start from, and the file it stands in.

    ``zone_given`` is false only for a bare meter file whose zone nobody named. Where it is ``confined`` no path leads out of the
    folder, whoever named it: what is kept in a store may come from anybody.
    """

    spec: JobSpec
    folder: Path
    path: Path
    zone_given: bool = True
    confined: bool = False

    @property
    def clock(self) -> SiteClock:
        """Return the site's clock."""
        return SiteClock(self.spec.site.zone)

    def place(self, *path: str | int) -> Place:
        """Return where an entry stands in the job file; for a bare meter file, which has none, the entry's name."""
        if self.path.suffix != ".toml":
            return Place(field=dotted(path))
        return read_text(self.path, JobError).place(path)

    def inside(self, relative: str) -> Path:
        """Return a path the job file names, from its own folder.

        Raises JobError where that leads out of a confined job, and for what cannot be the name of a file at all.
        """
        path = self.folder / relative
        if not _can_be(path):
            step = "Write the plain name of a file, such as readings.csv."
            raise JobError.one(
                "job.no-name", Place(FILE_NAME), found=quoted(relative), wanted="the name of a file", next_step=step
            )
        if self.confined and not path.resolve().is_relative_to(self.folder.resolve()):
            found, wanted = quoted(relative), "the name of a file in the job's own folder"
            raise JobError.one("job.outside", Place(FILE_NAME), found=found, wanted=wanted, next_step="Name a file of the job.")
        return path


def _can_be(path: Path) -> bool:
    """Return whether a file may have this path: no letter of it is none, no name too long, and no link leads round to itself."""
    try:
        path.stat()
    except ValueError:
        return False
    except OSError as error:
        return error.errno not in (errno.ENAMETOOLONG, errno.ELOOP)
    return True


def load_job(path: Path, *, confined: bool = False) -> Job:
    """Return the job at ``path``, a job.toml or the folder that holds one; ``confined`` as a job of a store is.

    Raises FileError when there is none and JobError with every wrong entry, its line and a suggestion.
    """
    file = path / FILE_NAME if path.is_dir() else path
    first = read_text(file, JobError)
    text = brought_up(first.text, str(file))
    source = first if text == first.text else parse_text(text, str(file), JobError)
    return Job(parsed(source), file.parent, file, confined=confined)


def parsed(source: SpecText) -> JobSpec:
    """Return the job in ``source``; raises JobError with every wrong entry."""
    crossed = cross.faults(source)
    try:
        spec = validated(source, JobSpec, JobError)
    except JobError as error:
        raise JobError(in_order((*error.faults, *crossed))) from error
    if crossed:
        raise JobError(in_order(crossed))
    return spec


def changed(text: str, name: str, changes: Mapping[str, Any]) -> str:
    """Return the job file ``text`` with entries set, comments and order kept.

    ``changes`` maps a dotted field ("site.zone", "files.0.path") to its new value as TOML writes it. The result is checked:
    raises JobError when the changed file would be wrong or the field's table does not exist.
    """
    document = document_of(text, name, JobError)
    for entry, value in changes.items():
        *tables, last = entry.split(".")
        at: Any = document
        for step in tables:
            at = _inside(at, step, name, entry)
        if not isinstance(at, MutableMapping):
            raise _no_table(name, entry, last)
        at[last] = value
    new = tomlkit.dumps(document)
    parsed(parse_text(new, name, JobError))
    return new


def _inside(at: Any, step: str, name: str, entry: str) -> Any:
    try:
        return at[int(step)] if isinstance(at, list) else at[step]
    except (KeyError, IndexError, ValueError, TypeError) as error:
        raise _no_table(name, entry, step) from error


def _no_table(name: str, entry: str, step: str) -> JobError:
    return JobError.one("job.no-table", Place(name, field=entry), found=f'no table "{step}"', wanted="an entry of the job file")


def change_job(path: Path, changes: Mapping[str, Any]) -> Job:
    """Set entries of the job file at ``path`` and return the job as it is now; a wrong change leaves the file as it was."""
    file = path / FILE_NAME if path.is_dir() else path
    source = read_text(file, JobError)
    write_text(file, changed(source.text, str(file), changes))
    return load_job(file)


def new_job(folder: Path, name: str, zone: str, today: date, meter_file: str = "") -> Path:
    """Write a commented job file for a new job into ``folder`` and return its path.

    Raises FileError when there is one already: a job is never written over.
    """
    path = folder / FILE_NAME
    if path.exists():
        raise FileError.one(
            "job.exists",
            Place(str(path)),
            found="a job file",
            wanted="a folder without one",
            next_step="Choose another folder, or edit that file.",
        )
    template = files("wattwright.job").joinpath("new_job.toml").read_text(encoding="utf-8")
    document = tomlkit.parse(template)
    values: dict[str, Any] = {"name": name, "site.zone": zone, "papers.date": today}
    text = changed(tomlkit.dumps(document), str(path), values)
    if meter_file:
        text = changed(_with_file(text), str(path), {"files.0.path": meter_file})
    return write_text(path, text)


def _with_file(text: str) -> str:
    """Return the template with its commented-out meter file made an entry."""
    lines = text.splitlines(keepends=True)
    begin = lines.index("# [[files]]\n")
    for index in range(begin, begin + 4):
        lines[index] = lines[index].removeprefix("# ")
    return "".join(lines)


def job_schema() -> str:
    """Return the JSON Schema of a job file, as text."""
    return json.dumps(JobSpec.model_json_schema(by_alias=True), indent=2, ensure_ascii=False)
