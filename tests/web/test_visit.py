"""What is taken along on the visit: the paper on the desk, of a job that says next to nothing."""

import io
from collections.abc import Iterator
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.web.conftest import Asked

BARE = 'version = 2\nname = "Early"\n[site]\nzone = "UTC"\n[papers]\ndate = 2025-11-03\n'


@pytest.fixture
def ask(tmp_path: Path) -> Iterator[Asked]:
    """A desk with a job that has a name and a clock."""
    folder = tmp_path / "job"
    folder.mkdir()
    (folder / "job.toml").write_text(BARE)
    made = Asked(folder)
    yield made
    made.desk.close()


def test_paper_of_an_early_job(ask: Asked) -> None:
    """The Survey sheet leads to the paper, the paper to its file; no other file is there."""
    sheet = ask("/survey").text
    assert f"/jobs/{ask.job}/preview/visit" in sheet
    assert "All papers as one zip file" not in sheet
    page = ask("/preview/visit")
    assert (page.status_code, "not known yet" in page.text) == (200, True)
    assert f'href="/jobs/{ask.job}/visit/survey.pdf?revision=1" download="survey.pdf"' in page.text
    given = ask(f"/jobs/{ask.job}/visit/survey.pdf")
    assert given.headers["content-type"] == "application/pdf"
    assert "Logging plan" in PdfReader(io.BytesIO(given.content)).pages[0].extract_text()
    assert ask(f"/jobs/{ask.job}/visit/report.pdf").status_code == 404


def test_own_range_that_is_gone_is_told(ask: Asked) -> None:
    """What keeps the paper from being made is told, on the page and in place of the file."""
    ask.post("/do/text", {"text": BARE + '[gear]\ncatalogue = ["gone.toml"]\n'})
    assert "gone.toml" in ask("/preview/visit").text
    refused = ask(f"/jobs/{ask.job}/visit/survey.pdf")
    assert (refused.status_code, "gone.toml" in refused.text) == (422, True)


def test_still_being_made(ask: Asked) -> None:
    """Where it takes longer than a request, the page says so and the file is asked for later."""
    ask.desk.making._patience_s = 0.0
    ask.desk.making._ends = True  # nobody works at it
    assert "ready" in ask("/preview/visit").text
    assert ask(f"/jobs/{ask.job}/visit/survey.pdf").status_code == 503
