"""What is taken along on the visit: of any job, however little it says, and what a record lacks."""

import io
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.handover.conftest import JOB, write_job
from tests.handover.kit import cells, tables
from wattwright.core.errors import FileError
from wattwright.core.show import THIN
from wattwright.handover.align import paper_data
from wattwright.handover.paper import Caution, Paper
from wattwright.handover.papers import SURVEY, write_survey
from wattwright.handover.pdf import pdf
from wattwright.handover.visit import visit
from wattwright.job.assessment import Assessment
from wattwright.job.file import load_job

BARE = 'version = 2\nname = "Bare"\n[site]\nzone = "UTC"\n[papers]\ndate = 2025-11-03\n'


def of(folder: Path, text: str) -> Paper:
    """The paper of a job of this text."""
    (folder / "job.toml").write_text(text)
    return visit(Assessment(load_job(folder), keep=False))


def rows(paper: Paper, caption: str) -> list[list[str]]:
    """The cells of a table of the paper."""
    found = next(one for section in paper.sections for one in tables(section) if one.caption == caption)
    return [[cell.replace(THIN, " ") for cell in row] for row in cells(found)]


def words(content: bytes) -> str:
    """All words of a PDF."""
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages).split())


def test_of_a_job_with_a_name_alone(tmp_path: Path) -> None:
    """The supply is asked for, nothing of it is guessed; cautions and empty rows are there."""
    paper = of(tmp_path, BARE)
    plan, points, *_ = paper.sections
    assert [one.heading for one in plan.blocks if isinstance(one, Caution)] == ["Caution"]
    assert "not known yet" in str(points.lead)
    assert tables(points) == []
    assert [row[3:5] for row in rows(paper, "Seasons ahead")] == [["0", "two weeks"]] * 4
    assert {row[5] for row in rows(paper, "Seasons ahead")} == {"country not known"}
    assert {cell for row in rows(paper, "Loads") for cell in row} == {""}
    told = words(pdf(paper))
    for one in ("Logging plan", "the grid operator alone", "prove", "Circuits", "Duty"):
        assert one in told


def test_what_the_job_says_stands_in_the_sheet(tmp_path: Path) -> None:
    """Supply and loads are written in; the operator's part and the clamps are told."""
    hours = '\nhours = [{ from = 06:00:00, until = 08:30:00, days = ["working day"], duty = "40 %" }]\n'
    text = JOB.replace('basis = "published"\n', f'basis = "published"{hours}')
    paper = of(write_job(tmp_path), text.replace('zone = "Europe/Athens"', 'zone = "Europe/Athens"\ncountry = "GR"'))
    assert rows(paper, "Clamp points")[0] == [
        "Supply, behind the main switch", "L1", "P L1 [kW]", "25", "50 A, opening of 10 mm",
    ]  # fmt: skip
    loads = rows(paper, "Loads")
    assert loads[0][:4] == ["=1+1 water heater", "water heater", "1", "3.00 kW"]
    assert loads[0][8] == "yes, mains"
    assert loads[1][4:9] == ["40.0 %", "06:00-08:30", "", "", "no"]
    assert sum(not any(row) for row in loads) >= 6
    about = rows(paper, "The visit")
    assert about[1] == ["System of the supply", "single-phase", "Nominal voltage", "230 V"]
    assert about[2][1] == "25"
    # Orthodox Good Friday and Easter Monday of 2025 and the first of May, by the calendar of Greece.
    assert [one in rows(paper, "Seasons ahead")[0][5] for one in ("21 Apr 2025", "1 May 2025")] == [True, True]


def test_what_the_record_has_is_not_asked_again(tmp_path: Path) -> None:
    """Two weeks of March and April are two weeks of spring; a record that cannot be read counts for nothing."""
    folder = write_job(tmp_path)
    spring = rows(of(folder, JOB), "Seasons ahead")[0]
    assert (spring[0], spring[3], spring[4]) == ("spring", "14", "has enough")
    (folder / "readings.csv").write_text("nothing of use\n")
    assert rows(of(folder, JOB), "Seasons ahead")[0][3] == "0"


def test_a_whole_year_needs_no_more(tmp_path: Path) -> None:
    """Where every season was read, only the peaks are left to log for."""
    from datetime import datetime

    from tests.handover.kit import PLAIN, hours

    (tmp_path / "readings.csv").write_text(hours([1.0 + i % 3 for i in range(365)], 24, datetime(2024, 1, 1)))
    assert "every season" in str(of(tmp_path, PLAIN).sections[0].lead)


@pytest.mark.parametrize(("system", "told"), [("three-phase", "L1, L2, L3"), ("split-phase", "leg A, leg B")])
def test_open_clamps(tmp_path: Path, system: str, told: str) -> None:
    """A rating that nobody read is asked for, one beyond the range told, a ring named as one."""
    supply = f'[supply]\nsystem = "{system}"\nvoltage = "120 V"\nagreed_power = "8 kW"\n'
    paper = of(tmp_path, BARE + supply)
    assert rows(paper, "Clamp points")[0][1] == told
    assert rows(paper, "Clamp points")[0][3:] == ["", "read the rating of the protection first"]
    assert rows(paper, "The visit")[2][3] == "8.00 kW"
    assert rows(of(tmp_path, BARE + supply + 'main_protection = "9 kA"\n'), "Clamp points")[0][4] == "none of the range takes it"
    assert "a ring" in rows(of(tmp_path, BARE + supply + 'main_protection = "590 A"\n'), "Clamp points")[0][4]


def test_a_load_on_its_line(tmp_path: Path) -> None:
    """Of a load whose conductor is open the clamp goes around its line, whichever that is."""
    supply = '[supply]\nsystem = "three-phase"\nvoltage = "230 V"\n'
    load = (
        '[[loads]]\nid = "oven"\nname = "Oven"\nkind = "cooking"\nrating = "2 kW"\nwiring = { conductors = "line and neutral" }\n'
    )
    assert rows(of(tmp_path, BARE + supply + load), "Clamp points")[1][:3] == ["Oven", "its line", "oven [kW]"]


def test_tables_to_write_in_are_ruled(tmp_path: Path) -> None:
    """Tables of the survey sheet are told apart, their columns as broad as somebody writes; others are as before."""
    made = paper_data(of(tmp_path, BARE))["sections"]
    found = {k["caption"]: k for s in made for r in s["rows"] for k in r["blocks"] if k["kind"] == "table"}
    assert found["Loads"]["by_hand"]
    assert all(one["weight"] > 0 for one in found["Loads"]["columns"])
    assert not found["Seasons ahead"]["by_hand"]


def test_written_alone(tmp_path: Path) -> None:
    """The file needs no readings, comes out the same twice, on Letter where the job is; a folder that is a file is told."""
    (tmp_path / "job.toml").write_text(BARE.replace("date =", 'paper = "Letter"\ndate ='))
    assessment = Assessment(load_job(tmp_path), keep=False)
    path = write_survey(assessment, tmp_path / "papers")
    assert path.name == SURVEY
    first = path.read_bytes()
    assert float(PdfReader(path).pages[0].mediabox.width) == 612
    assert write_survey(assessment, tmp_path / "papers").read_bytes() == first
    with pytest.raises(FileError):
        write_survey(assessment, tmp_path / "job.toml")
