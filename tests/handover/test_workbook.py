"""The workbook holds the report's tables as numbers and the record reading by reading, and never a formula."""

import io
from dataclasses import replace
from datetime import datetime, timedelta

import openpyxl
import pytest

from tests.handover.conftest import GAP, quarter_kw
from wattwright.handover import workbook as module
from wattwright.handover.report import report
from wattwright.handover.workbook import workbook
from wattwright.job.assessment import Assessment


@pytest.fixture(scope="module")
def content(terrace: Assessment) -> bytes:
    """The workbook's bytes."""
    return workbook(report(terrace), terrace.record())


@pytest.fixture(scope="module")
def book(content: bytes) -> openpyxl.Workbook:
    """The workbook as another library reads it."""
    return openpyxl.load_workbook(io.BytesIO(content))


def test_same_bytes(content: bytes, terrace: Assessment) -> None:
    """The same job gives the same bytes."""
    assert workbook(report(terrace), terrace.record()) == content


def test_sheets(book: openpyxl.Workbook) -> None:
    """There is a sheet about the paper, one for each table, and the readings last."""
    assert book.sheetnames[0] == "About"
    assert book.sheetnames[-1] == "Readings"
    assert {"The bill, line by line", "The highest peaks", "Loads found on site"} <= set(book.sheetnames)


def test_readings_round_trip(book: openpyxl.Workbook) -> None:
    """Every interval stands with local time, value, raw reading and quality, as it was written into the meter file."""
    rows = list(book["Readings"].iter_rows(min_row=2, values_only=True))
    assert len(rows) == 1340
    for index, row in enumerate(rows):
        stamp, offset, power, raw, quality = row[:5]
        local = (datetime(2025, 3, 23, 22) + timedelta(minutes=15 * index)) + timedelta(hours=offset)
        assert abs(stamp - local) < timedelta(seconds=1)
        if index in GAP:
            assert (power, raw, quality) == (None, None, "missing")
        else:
            assert power == pytest.approx(quarter_kw(local), abs=1e-9)
            assert raw == pytest.approx(power)
            assert quality is None


def test_offset_follows_the_clock(book: openpyxl.Workbook) -> None:
    """The offset column goes from two hours to three on the day the clock is put forward."""
    offsets = [row[1] for row in book["Readings"].iter_rows(min_row=2, values_only=True)]
    # 30 March 03:00 is 147 local hours after the record's first instant: 588 quarter hours.
    assert set(offsets[:588]) == {2}
    assert set(offsets[588:]) == {3}


def test_numbers_are_numbers(book: openpyxl.Workbook) -> None:
    """Amounts are numbers in a format with their decimals, not text."""
    sheet = book["The bill, line by line"]
    amounts = [cell for cell in sheet["E"][3:] if cell.value is not None]
    assert all(isinstance(cell.value, int | float) for cell in amounts)
    assert amounts[-1].number_format == "#,##0.00"


def test_text_never_becomes_a_formula(book: openpyxl.Workbook) -> None:
    """A name that begins with an equals sign is text."""
    cell = book["Loads found on site"]["A4"]
    assert cell.value == "=1+1 water heater"
    assert cell.data_type == "s"


def test_says_that_it_is_invented(book: openpyxl.Workbook) -> None:
    """A demonstration says so, and the basis marks are explained."""
    texts = [cell.value for row in book["About"].iter_rows() for cell in row if cell.value]
    assert "Invented example, no real property" in texts
    assert "measured" in texts


def test_long_record_goes_on_in_another_sheet(terrace: Assessment, monkeypatch: pytest.MonkeyPatch) -> None:
    """A record longer than a sheet is continued, without losing or doubling a reading."""
    monkeypatch.setattr(module, "ROWS_PER_SHEET", 1000)
    book = openpyxl.load_workbook(io.BytesIO(workbook(report(terrace), terrace.record())))
    sheets = [book[name] for name in book.sheetnames if name.startswith("Readings")]
    assert [sheet.max_row - 1 for sheet in sheets] == [1000, 340]


def test_real_property_has_no_note(terrace: Assessment) -> None:
    """A real job's workbook does not call itself invented."""
    paper = report(terrace)
    real = replace(paper, title_block=replace(paper.title_block, invented=False))
    book = openpyxl.load_workbook(io.BytesIO(workbook(real, terrace.record())))
    assert "Invented" not in str([cell.value for row in book["About"].iter_rows() for cell in row])
