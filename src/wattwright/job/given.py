"""The files beside the baseline that a proof was made from: wherever they lie, a change of one makes another proof.

One that is lost changes nothing of what was found.
"""

import os
from pathlib import Path

from wattwright.core.errors import FileError
from wattwright.job.boundary import identity
from wattwright.job.file import Job
from wattwright.job.proved import Given


def given(job: Job, *after: Path | None) -> tuple[Given, ...]:
    """Return the files ``after`` and those of prices and typical weather that a job names, as they stand."""
    named = [*job.spec.tariff.files, *([job.spec.weather.file] if job.spec.weather.file else [])]
    files = [*(one for one in after if one is not None), *map(job.inside, named)]
    return tuple(Given(os.path.relpath(one.resolve(), job.folder.resolve()), _sha256(one)) for one in files)


def is_changed(job: Job, one: Given) -> bool:
    """Return whether a file says something else than it did; one that is gone or cannot be read says nothing else.

    Raises JobError for one outside the folder of a confined job.
    """
    return _sha256(job.inside(one.path)) not in ("", one.sha256)


def _sha256(path: Path) -> str:
    try:
        return str(identity(path)["sha256"])
    except FileError:
        return ""
