"""Readings of any length and of nothing at all: the report says what they can tell, and no more."""

from datetime import date, timedelta
from pathlib import Path

from tests.handover.kit import PLAIN, assessment_of, captioned, cells, context_with, hours, sentences
from wattwright.core.show import THIN
from wattwright.handover.evidence import evidence
from wattwright.handover.heights import heights
from wattwright.handover.opening import opening
from wattwright.handover.paper import KeyFigures
from wattwright.handover.pdf import pdf
from wattwright.handover.report import report
from wattwright.handover.usage import months, when


def daily(days: int) -> str:
    """A file of daily energies: 24 kWh on each day, 48 on the tenth."""
    first = date(2025, 3, 1)
    rows = [f"{first + timedelta(days=i)},{48 if i == 9 else 24}" for i in range(days)]
    return "\n".join(["date,kWh", *rows]) + "\n"


def test_daily_rows_say_nothing_of_hours(tmp_path: Path) -> None:
    """From daily rows there is a report without a typical day, without hours around peaks, and without a time of day."""
    assessment = assessment_of(tmp_path, daily(60))
    paper = report(assessment)
    assert [picture.id for picture in paper.pictures()] == ["months", "duration", "completeness"]
    assert "When power is used" not in [one.title for one in paper.sections]
    first = paper.sections[0]
    text = sentences(first)
    # 59 days of 24 kWh and one of 48: 1464 kWh, a mean of 24.4 a day; 48 kWh over 24 h are 2 kW, the others 1 kW.
    assert "used 1,464 kWh, 24.40 kWh on an average day" in text
    assert "The most drawn over 1 d was 2.000 kW, on 10 Mar 2025." in text
    assert "All but 5 % of the readings show 1.00 kW or more" in text
    assert "hour" not in text
    assert ":00" not in text
    notes = [one.note for block in first.blocks if isinstance(block, KeyFigures) for one in block.figures]
    assert "10 Mar 2025" in notes
    assert pdf(paper).startswith(b"%PDF")


def test_daily_peaks_stand_with_their_day(tmp_path: Path) -> None:
    """The table of peaks names the day alone, and counts readings, not hours."""
    section = heights(context_with(tmp_path, daily(60)))
    table = captioned(section, "The highest peaks")
    assert cells(table)[0][1] == "2025-03-10"
    assert [column.head for column in table.columns][3:5] == [f"1{THIN}d before", f"1{THIN}d after"]
    # Half of 2 kW is 1 kW, and only the tenth day lies above it.
    assert "in 1 of 60 readings" in sentences(section)


def test_two_hour_steps_name_the_right_hours(tmp_path: Path) -> None:
    """5 kW at 18:00 and 0.1 kW at 04:00, 1 kW else, in steps of two hours: these are the hours named, and their length."""
    values = [5.0 if i % 12 == 9 else 0.1 if i % 12 == 2 else 1.0 for i in range(48)]
    context = context_with(tmp_path, hours(values, step_h=2))
    assert "most was drawn in the 2 h from 18:00, least in the 2 h from 04:00" in sentences(opening(context))
    # Per day 5 + 0.1 + 10 kW over two hours each; six hours that hold 18:00: 5 + 1 + 1 of 15.1, from 14:00 the first such.
    assert "46.4 % of the energy was used between 14:00 and 20:00" in sentences(when(context))


def test_nothing_drawn(tmp_path: Path) -> None:
    """Readings of nought make a report that says that nothing was drawn, and divides by nothing."""
    paper = report(assessment_of(tmp_path, hours([0.0] * 48)))
    text = " ".join(sentences(one) for one in paper.sections)
    assert "used 0.000 kWh" in text
    assert text.count("No power was drawn in the time of the record.") == 3
    assert "nan" not in text
    assert "most was drawn" not in text
    assert pdf(paper).startswith(b"%PDF")


def test_one_day_is_that_day(tmp_path: Path) -> None:
    """A record of one day names it once, and speaks of no average day."""
    values = [3.0 if i == 7 else 0.5 if i == 2 else 1.0 for i in range(24)]
    context = context_with(tmp_path, hours(values))
    text = sentences(opening(context))
    # 22 h of 1 kW, one of 3 and one of 0.5.
    assert "On 3 Mar 2025 the property used 25.50 kWh." in text
    assert "On that day most was drawn in the hour from 07:00, least in the hour from 02:00." in text
    assert "verage day" not in text
    assert "The record lies within one month, Mar 2025." in sentences(months(context))
    assert report(assessment_of(tmp_path, hours(values))).title_block.basis == "2025-03-03"


def test_all_hours_alike(tmp_path: Path) -> None:
    """Where every hour is like every other none is called the busiest."""
    assert "hour from" not in sentences(opening(context_with(tmp_path, hours([1.0] * 48))))


def test_another_locale_gives_its_marks_and_no_words(tmp_path: Path) -> None:
    """With a German locale figures have its marks, months stay in the language of the text, and the paper says it is English."""
    job = PLAIN.replace("date = 2025-04-20", 'date = 2025-04-20\nlocale = "de_DE"')
    paper = report(assessment_of(tmp_path, hours([50.0 + i for i in range(31 * 24)]), job))
    # The mean of 50 to 793 is 421.5 kW over 744 h.
    assert "From 3 Mar 2025 to 2 Apr 2025 the property used 313.596 kWh, 10.116 kWh" in sentences(paper.sections[0])
    assert "was Mar 2025" in sentences(paper.sections[2])
    assert (paper.language, paper.decimal_mark) == ("en", ",")
    number = next(one for one in paper.pictures() if one.id == "duration").spec["config"]["locale"]["number"]
    assert (number["decimal"], number["thousands"]) == (",", ".")


def test_notes_stand_beside_the_first_tables(tmp_path: Path) -> None:
    """The notes on the record stand beside the meters and the layout, none after the last table."""
    kinds = [type(block).__name__ for block in evidence(context_with(tmp_path, hours([1.0] * 48))).blocks]
    assert kinds.index("MarginNote") == kinds.index("TableBlock") + 1
    assert kinds[-1] == "TableBlock"
