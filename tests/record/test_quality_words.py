"""Columns of words or letters that say how good the readings beside them are; columns of text that are left out are named."""

import pytest

from tests.record.writing import Write
from wattwright.core.quality import Quality
from wattwright.core.quantity import Direction
from wattwright.record.read import read_record, read_records

ZONE = "UTC"
DAY = [f"2025-05-01 {hour:02d}:00" for hour in range(24)]
VALID, LINEAR, MISSING, DOUBT = (Quality.VALID, Quality.ESTIMATED_LINEAR, Quality.MISSING, Quality.QUESTIONABLE)


def table(head: str, row: str, words: list[str]) -> str:
    """A day of hours of 1.5 kWh; the word for the quality of each hour goes round."""
    return "\n".join([head, *(row.format(at, words[i % len(words)]) for i, at in enumerate(DAY))]) + "\n"


# The kinds of quality are those of NAESB REQ.21; that these words mean them is common practice, no source.
@pytest.mark.parametrize(
    ("head", "row", "words", "codes"),
    [
        ("Time,kWh,Status", "{},1.5,{}", ["Actual", "Estimated"], [VALID, LINEAR]),
        ("Time,kWh,Note", "{},1.5,{}", ["measured", "estimated", "questionable"], [VALID, LINEAR, DOUBT]),
        ("Time,kWh,Quality", "{},1.5,{}", ["A", "E"], [VALID, LINEAR]),
        ("Time,Value,Unit,Quality", "{},1.5,kWh,{}", ["A", "E"], [VALID, LINEAR]),
        ("Time,Quality,kWh", "{},{1},1.5", ["A", "E"], [VALID, LINEAR]),
        ("Zeit,kWh,Kennzeichen", "{},1.5,{}", ["gemessen", "Ersatzwert"], [VALID, LINEAR]),
        ("Time,kWh,Estimated", "{},1.5,{}", ["no", "yes"], [VALID, LINEAR]),
        ("Time,kWh,Status", "{},1.5,{}", ["Actual", ""], [VALID, VALID]),
        ("Time,kWh,Status", "{},1.5,{}", ["Actual", "K7"], [VALID, DOUBT]),
    ],
)
def test_words_are_the_quality(write: Write, head: str, row: str, words: list[str], codes: list[int]) -> None:
    """Words, and letters in a column called so, are the quality of the readings beside them and no meter."""
    record = read_record(write(table(head, row.replace("{},{1}", "{0},{1}"), words)), ZONE)
    assert [channel.series.quality.tolist() for channel in record.channels] == [(codes * 24)[:24]]
    assert record.layout.unread_columns == ()
    assert [f.data["column"] for f in record.findings if f.code == "record.quality-words"] == [
        name for name in head.split(",") if name in ("Status", "Note", "Quality", "Kennzeichen", "Estimated")
    ]


def test_a_reading_said_to_be_missing_is_none(write: Write) -> None:
    """A nought beside the word missing is no reading, and stays in what was read."""
    rows = table("Time,kWh,Status", "{},0.5,{}", ["Actual", "Actual", "Missing"])
    series = read_record(write(rows), ZONE).channels[0].series
    assert series.quality.tolist() == [VALID, VALID, MISSING] * 8
    assert series.present.tolist() == [True, True, False] * 8
    assert series.raw.tolist() == [0.5] * 24


def test_quality_of_each_quantity_of_a_long_table(write: Write) -> None:
    """Below one another, each reading keeps its own quality."""
    rows = ["Meter,Flow,Unit,Time,Value,Quality"]
    for i, at in enumerate(DAY):
        rows += [f"A7,Import,kWh,{at},1.5,{'AE'[i % 2]}", f"A7,Export,kWh,{at},0.5,A"]
    record = read_record(write("\n".join(rows) + "\n"), ZONE)
    assert [c.meaning.direction for c in record.channels] == [Direction.IMPORT, Direction.EXPORT]
    assert [c.series.quality.tolist() for c in record.channels] == [[VALID, LINEAR] * 12, [VALID] * 24]
    assert record.layout.unread_columns == ("Meter",)


@pytest.mark.parametrize(("flow", "direction"), [("Import", Direction.IMPORT), ("Export", Direction.EXPORT)])
def test_one_direction_in_a_column_of_its_own(write: Write, flow: str, direction: Direction) -> None:
    """A direction that is the same in all rows still holds, however many columns of text stand before the readings."""
    row = f"Mill Lane,A7,{flow},kWh,{{}},1.5,{{}}"
    record = read_record(write(table("Site,Meter,Direction,Unit,Time,Value,Quality", row, ["A"])), ZONE)
    assert [c.meaning.direction for c in record.channels] == [direction]
    assert record.layout.unread_columns == ("Site", "Meter")


@pytest.mark.parametrize("words", [["cold", "Actual"], ["A", "E"], ["x" * 40, "y"], [str(i) + "th" for i in range(24)]])
def test_other_text_is_named(write: Write, words: list[str]) -> None:
    """Text that does not speak of quality is left out by name, and letters alone mean nothing under another name."""
    record = read_record(write(table("Time,kWh,Remark", "{},1.5,{}", words)), ZONE)
    assert record.layout.unread_columns == ("Remark",)
    assert [f.data["found"] for f in record.findings if f.code == "record.column-text"] == [f'"{words[0]}"']
    assert record.channels[0].series.quality.tolist() == [VALID] * 24


def test_meters_below_one_another_with_many_labels(write: Write) -> None:
    """Three columns of text and two meters: each meter has its own readings."""
    rows = ["Meter;Quantity;Unit;Time;Value"]
    rows += [f"{meter};Import;kWh;{at};{value}" for at in DAY for meter, value in (("M1", "1.5"), ("M2", "0.5"))]
    records = read_records(write("\n".join(rows) + "\n"), ZONE)
    assert [(r.channels[0].meter, float(r.channels[0].series.values.sum())) for r in records] == [("M1", 36e3), ("M2", 12e3)]
