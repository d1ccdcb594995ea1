"""A bare meter file goes the way of a job, so nothing about its name may be held against it."""

from datetime import date
from pathlib import Path

import pytest

from wattwright.core.errors import InputError
from wattwright.job.assessment import job_of_file
from wattwright.record.spec import LayoutSpec


def test_a_long_file_name_is_no_fault() -> None:
    """Exports are often called by serial number and dates: 120 signs are taken, the job is named by the first 80."""
    path = Path("m" * 116 + ".csv")
    job = job_of_file(path, "Europe/Athens", LayoutSpec(), "", date(2025, 11, 3))
    assert (job.spec.name, job.spec.files[0].path) == ("m" * 80, path.name)


def test_a_zone_that_does_not_exist_is_bad_input() -> None:
    """A misspelt zone is the person's to mend (exit code 1), with the nearest one named, and no fault of the program."""
    with pytest.raises(InputError, match=r"Did you mean Europe/Athens\?") as told:
        job_of_file(Path("readings.csv"), "Europe/Athen", LayoutSpec(), "", date(2025, 11, 3))
    assert told.value.exit_code == 1
