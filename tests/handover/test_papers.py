"""Papers are made once for the same inputs, made again when anything changed, and never left half-written."""

import json
from pathlib import Path

import pytest
from pypdf import PdfReader

from wattwright.core.errors import Cancelled, FileError, JobError
from wattwright.core.progress import Reporting
from wattwright.handover import papers as module
from wattwright.handover.papers import (
    CABLES,
    DRAWINGS,
    MANIFEST,
    OF_EACH,
    OF_GEAR,
    PAGE,
    PDF,
    SHEETS,
    TERMINALS,
    WORKBOOK,
    write_papers,
)
from wattwright.job.assessment import Assessment
from wattwright.job.file import change_job, load_job

ALL = (*OF_EACH, *OF_GEAR)


@pytest.fixture(autouse=True)
def uncounted(monkeypatch: pytest.MonkeyPatch) -> None:
    """How often loads are switched is a matter of tests/job: simulating it as plain Python takes long."""
    monkeypatch.setattr(Assessment, "switchings", lambda *_: {})


def made(folder: Path) -> tuple[str, ...]:
    """Write the papers of the job in a folder and return the names of those that were made."""
    return write_papers(Assessment(load_job(folder)), folder / "papers").made


def test_made_once_then_again_when_something_changed(folder: Path) -> None:
    """A second run makes nothing; a touched paper alone is made again; a changed job makes all again."""
    assert made(folder) == ALL
    first = {name: (folder / "papers" / name).read_bytes() for name in (PDF, PAGE, WORKBOOK)}
    assert first[PDF].startswith(b"%PDF")
    assert made(folder) == ()
    (folder / "papers" / PAGE).write_text("spoiled")
    assert made(folder) == (PAGE,)
    assert (folder / "papers" / PAGE).read_bytes() == first[PAGE]
    (folder / "papers" / WORKBOOK).unlink()
    assert made(folder) == (WORKBOOK,)
    change_job(folder, {"papers.revision": "B"})
    assert made(folder) == ALL
    assert (folder / "papers" / PDF).read_bytes() != first[PDF]


def test_damaged_manifest_is_made_again(folder: Path) -> None:
    """A manifest that cannot be read, or holds something else, only means more work."""
    made(folder)
    for text in ("{", "[]", '{"report.pdf": 3}'):
        (folder / "papers" / MANIFEST).write_text(text)
        assert PDF in made(folder)
    assert set(json.loads((folder / "papers" / MANIFEST).read_text())) == set(ALL)


def test_failure_leaves_the_good_paper(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where making a paper fails, the one that lay there stays as it was, and no part of another is left."""
    made(folder)
    good = (folder / "papers" / PDF).read_bytes()
    change_job(folder, {"papers.revision": "B"})

    def broken(*_: object) -> bytes:
        raise RuntimeError("the last of the papers failed")

    # The workbook is made last: the PDF made before it must not be put in place alone.
    monkeypatch.setattr(module, "workbook", broken)
    with pytest.raises(RuntimeError):
        made(folder)
    assert (folder / "papers" / PDF).read_bytes() == good
    assert sorted(path.name for path in (folder / "papers").iterdir()) == sorted((MANIFEST, *ALL))


def test_stopped_in_the_middle(folder: Path) -> None:
    """A person who stops the work finds the old papers."""
    made(folder)
    good = {name: (folder / "papers" / name).read_bytes() for name in (PDF, PAGE, WORKBOOK)}
    change_job(folder, {"papers.revision": "B"})
    seen: list[str] = []
    progress = Reporting(lambda what, _done, _total: seen.append(what), lambda: "making report.html" in seen)
    with pytest.raises(Cancelled):
        write_papers(Assessment(load_job(folder)), folder / "papers", progress)
    assert (folder / "papers" / WORKBOOK).read_bytes() == good[WORKBOOK]


def test_letter_paper(folder: Path) -> None:
    """A job on Letter gets Letter sheets: 612 by 792 points."""
    change_job(folder, {"papers.paper": "Letter"})
    made(folder)
    box = PdfReader(folder / "papers" / PDF).pages[0].mediabox
    assert (float(box.width), float(box.height)) == (612, 792)


def test_folder_that_is_a_file(folder: Path) -> None:
    """Papers cannot go where a file stands; the sentence says so and the file stays."""
    (folder / "papers").write_text("mine")
    with pytest.raises(FileError, match="What stood there is as it was"):
        made(folder)
    assert (folder / "papers").read_text() == "mine"


def test_wrong_job_writes_nothing(folder: Path) -> None:
    """A job with a wrong entry makes no paper."""
    job = (folder / "job.toml").read_text()
    (folder / "job.toml").write_text(job.replace('zone = "Europe/Athens"', 'zone = "Europe/Atlantis"'))
    with pytest.raises(JobError):
        made(folder)
    assert not (folder / "papers").exists()


def test_papers_of_gear_go_with_the_gear(folder: Path) -> None:
    """Sheets, drawings and schedules are there where something may be switched, and go with it; one changed by hand stays."""
    assert set(OF_GEAR) <= set(made(folder))
    papers = folder / "papers"
    assert all((papers / name).read_bytes().startswith(b"%PDF") for name in (SHEETS, DRAWINGS))
    assert (papers / TERMINALS).read_text().startswith("Load,Terminal,Wire")
    assert "Sheets for mounting" in PdfReader(papers / SHEETS).pages[0].extract_text()
    (papers / TERMINALS).write_text("mine")
    change_job(folder, {"loads.0.controllable": False})
    assert made(folder) == OF_EACH
    assert sorted(path.name for path in papers.iterdir() if path.name in OF_GEAR) == [TERMINALS]
    assert set(json.loads((papers / MANIFEST).read_text())) == set(OF_EACH)
    assert write_papers(Assessment(load_job(folder)), papers).gear == ()


def test_an_own_range_belongs_to_the_papers(folder: Path) -> None:
    """A new price makes all papers again; a range that is gone is told, and the old papers stay."""
    prices = folder / "prices.csv"
    prices.write_text("like;price;currency\nin-line-20;62,40;EUR\n")
    with (folder / "job.toml").open("a") as job:
        job.write('[gear]\ncatalogue = ["prices.csv"]\n')
    assert made(folder) == ALL
    assert made(folder) == ()
    prices.write_text("like;price;currency\nin-line-20;64,00;EUR\n")
    assert made(folder) == ALL
    before = (folder / "papers" / SHEETS).read_bytes()
    prices.unlink()
    with pytest.raises(FileError):
        made(folder)
    assert (folder / "papers" / SHEETS).read_bytes() == before
    assert (folder / "papers" / CABLES).exists()


def test_one_drawing_missing_is_made_alone(folder: Path) -> None:
    """The drawings are laid out once however many of their files are asked for."""
    made(folder)
    (folder / "papers" / CABLES).unlink()
    assert made(folder) == (CABLES,)


def test_a_weather_file_that_is_gone_does_not_hold_the_papers_up(folder: Path) -> None:
    """How often loads are switched is then open; once the file lies there, the papers are made again."""
    with (folder / "job.toml").open("a") as job:
        job.write('[weather]\nfile = "year.csv"\n')
    assert made(folder) == ALL
    assert made(folder) == ()
    (folder / "year.csv").write_text("some weather\n")
    assert made(folder) == ALL
