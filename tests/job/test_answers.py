"""Answers written into a job file: entries where somebody said so, comments where nobody did, everything else untouched."""

import pytest

from tests.job.hand import JOB, write_job
from wattwright.core.errors import JobError
from wattwright.job.answers import job_of, lines_of, said_entries, write_answers
from wattwright.job.file import load_job
from wattwright.job.questions import Choice
from wattwright.record.spec import ColumnSpec, LayoutSpec

COLUMN = {"column": "P1", "quantity": "active power", "form": "mean", "unit": "W"}


@pytest.fixture
def job(tmp_path):
    write_job(tmp_path)
    return tmp_path / "job.toml"


def layout(job, number=0) -> LayoutSpec:
    return load_job(job).spec.files[number].layout


def test_what_was_said_becomes_entries(job) -> None:
    """Only what differs from the usual is said, under the file's layout."""
    said = LayoutSpec(date_order="day first", columns=(ColumnSpec(column="P1", quantity="voltage"),))
    entries = said_entries(said)
    assert entries["layout.date_order"] == "day first"
    assert [one["column"] for one in entries["layout.columns"]] == ["P1"]
    assert entries.keys() == {"layout.date_order", "layout.columns"}


def test_entries_stand_in_the_file_and_the_rest_stays(job) -> None:
    """The order is read back, the zone is changed, and the comments are where they were."""
    write_answers(job, "sub-readings", {"layout.date_order": "day first", "site.zone": "Europe/Rome"})
    assert layout(job, 1).date_order == "day first"
    assert layout(job, 0).date_order == ""
    assert load_job(job).spec.site.zone == "Europe/Rome"
    text = job.read_text(encoding="utf-8")
    assert "# nobody lives here" in text
    assert len(text.splitlines()) == len(JOB.splitlines()) + 1


def test_a_file_without_layout_gets_one(job) -> None:
    """The table is made where there is none."""
    job.write_text(JOB.replace('[files.layout]\nstamps = "start"\n', ""), encoding="utf-8")
    write_answers(job, "main-readings", {"layout.stamps": "end", "layout.columns": [COLUMN]})
    assert layout(job).stamps == "end"
    assert [(one.column, one.unit) for one in layout(job).columns] == [("P1", "W")]


def test_a_column_answered_again_replaces_its_own_entry(job) -> None:
    """The second answer about P1 wins, the one about another column stays."""
    write_answers(job, "main-readings", {"layout.columns": [COLUMN, {**COLUMN, "column": "P2"}]})
    write_answers(job, "main-readings", {"layout.columns": [{**COLUMN, "unit": "kW"}]})
    assert sorted((one.column, one.unit) for one in layout(job).columns) == [("P1", "kW"), ("P2", "W")]


def test_an_assumption_is_left_as_a_comment_once(job) -> None:
    """Nobody said that dates are day first: the line stands there to be uncommented, and a second time it is not repeated."""
    choice = Choice("day first", {"layout.date_order": "day first"}, "")
    for _ in range(2):
        write_answers(job, "main-readings", {}, [choice])
    assert layout(job).date_order == ""
    assert job.read_text(encoding="utf-8").count('# date_order = "day first"  # assumed') == 1


def test_a_wrong_answer_leaves_the_file_as_it_was(job) -> None:
    """What would make the job file wrong is refused with its place, and nothing is written."""
    with pytest.raises(JobError, match="day last"):
        write_answers(job, "main-readings", {"layout.date_order": "day last"})
    assert job.read_text(encoding="utf-8") == JOB


def test_a_file_the_job_does_not_name_is_refused(job) -> None:
    """There is no entry to write to."""
    with pytest.raises(JobError, match='no entry with id = "other"'):
        write_answers(job, "other", {"layout.stamps": "end"})


def test_the_job_of_a_meter_file_is_found_above_it(job, tmp_path) -> None:
    """The job file beside the meter file or a folder above names it by its path; a file it does not name has no job."""
    inside = tmp_path / "meter" / "deep"
    inside.mkdir(parents=True)
    job.write_text(JOB.replace('path = "readings.csv"', 'path = "meter/deep/r.csv"'), encoding="utf-8")
    assert job_of(inside / "r.csv") == job
    assert job_of(tmp_path / "readings.csv") is None
    assert job_of(tmp_path.parent / "x.csv") is None


def test_lines_name_their_tables() -> None:
    """Every entry stands under the head of its table, as it would be written."""
    entries = {"site.zone": "Europe/Rome", "channel": "p-kw", "layout.stamps": "end", "layout.columns": [COLUMN]}
    assert lines_of(entries) == [
        "[site]", 'zone = "Europe/Rome"', "[[files]]", 'channel = "p-kw"', "[files.layout]", 'stamps = "end"',
        "[[files.layout.columns]]", 'column = "P1"', 'quantity = "active power"', 'form = "mean"', 'unit = "W"',
    ]  # fmt: skip


def test_each_file_has_its_own_remark(job) -> None:
    """Two files that leave the same open have a comment each."""
    choice = Choice("end", {"layout.stamps": "end"}, "")
    for file_id in ("main-readings", "sub-readings"):
        write_answers(job, file_id, {}, [choice])
    assert job.read_text(encoding="utf-8").count('# stamps = "end"') == 2


def test_a_remark_about_a_column_is_an_entry_once_uncommented(job) -> None:
    """The whole column stands in one line, and the file reads with it; what is no part of the layout leaves no remark."""
    write_answers(job, "main-readings", {}, [Choice("W", {"layout.columns": [COLUMN]}, ""), Choice("A", {"channel": "a"}, "")])
    text = job.read_text(encoding="utf-8")
    assert "# channel" not in text
    job.write_text(text.replace("# columns = ", "columns = "), encoding="utf-8")
    assert [(one.column, one.unit) for one in layout(job).columns] == [("P1", "W")]
