"""One step holds the whole file: what goes over to another one, lies beside it or scatters about it; worked out by hand."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from tests.record.writing import Write
from wattwright.core.errors import Fault, RecordError
from wattwright.record.read import read_record
from wattwright.record.spec import LayoutSpec

START = datetime(2025, 6, 1)


def file_of(minutes: list[float]) -> str:
    """A reading of 1.5 kW at each of the minutes from 1 June 2025."""
    stamps = [START + timedelta(minutes=m) for m in minutes]
    return "\n".join(["time,kW", *(f"{s:%Y-%m-%d %H:%M:%S},1.5" for s in stamps), ""])


def fault_of(write: Write, minutes: list[float]) -> Fault:
    with pytest.raises(RecordError) as caught:
        read_record(write(file_of(minutes)), "UTC")
    return caught.value.faults[0]


QUARTERS = [15.0 * i for i in range(192)]


@pytest.mark.parametrize(
    ("minutes", "row", "before", "after"),
    [
        # 192 quarters fill rows 2 to 193; the reading of the third midnight, in row 194, is the first followed by an hour.
        ([*QUARTERS, *(2880.0 + 60 * i for i in range(48))], 194, "900 s", "3,600 s"),
        # The hours that come first fill rows 2 to 49; the quarters begin in row 50.
        ([*(60.0 * i for i in range(48)), *(2880 + m for m in QUARTERS)], 50, "3,600 s", "900 s"),
        # Mostly hours, and then quarters: 96 hours fill rows 2 to 97.
        ([*(60.0 * i for i in range(96)), *(5760.0 + 15 * i for i in range(40))], 98, "3,600 s", "900 s"),
        # Twenty minutes are no multiple of a quarter.
        ([*QUARTERS, *(2880.0 + 20 * i for i in range(48))], 194, "900 s", "1,200 s"),
        # Of 3,000 quarters a day of hours is less than a twentieth; its 25 readings still last.
        ([*(15.0 * i for i in range(3000)), *(45000.0 + 60 * i for i in range(25))], 3002, "900 s", "3,600 s"),
    ],
)
def test_step_that_changes(write: Write, minutes: list[float], row: int, before: str, after: str) -> None:
    """A file that goes over to another step is refused at the first row that keeps the new one."""
    fault = fault_of(write, minutes)
    assert (fault.code, fault.place.line) == ("record.step-changes", row)
    assert fault.found == f"from this row on a reading every {after}, before it every {before}"


def test_hours_that_scatter_about_their_step(write: Write) -> None:
    """Hours 30 s early and late in turn are hours all the same."""
    hours = [2880.0 + 60 * i + 0.5 * (i % 2) for i in range(48)]
    assert fault_of(write, [*QUARTERS, *hours]).code == "record.step-changes"


def test_gaps_are_no_other_step(write: Write) -> None:
    """Every other quarter lost for an hour and a half, and single hours lost, are gaps: 192 intervals, 10 of them missing."""
    lost = {41, 43, 45, 47, 49, 51, 100, 101, 102, 103}
    record = read_record(write(file_of([m for i, m in enumerate(QUARTERS) if i not in lost])), "UTC")
    assert len(record.channels[0].series) == 192
    assert sum(gap.intervals for gap in record.gaps) == 10


def test_one_stamp_aside_is_moved(write: Write) -> None:
    """Of 192 stamps 1 % is 1.92, so one that lies six minutes aside is moved onto the step and told."""
    minutes = [m + 6 * (i == 10) for i, m in enumerate(QUARTERS)]
    record = read_record(write(file_of(minutes)), "UTC")
    (told,) = [f for f in record.findings if f.code == "record.jitter"]
    assert (told.data["count"], told.data["most"], len(record.channels[0].series)) == (1, 360, 192)


@pytest.mark.parametrize("aside", [2, 5, 9])
def test_more_than_one_in_a_hundred_aside_is_refused(write: Write, aside: int) -> None:
    """Two of 192 are above 1 %: refused at the first of them, the eleventh reading in row 12."""
    minutes = [m + 6 * (i % 20 == 10 and i // 20 < aside) for i, m in enumerate(QUARTERS)]
    fault = fault_of(write, minutes)
    assert (fault.code, fault.place.line) == ("record.irregular", 12)
    assert fault.found.startswith(f"{aside} of 192 stamps off")


@pytest.mark.parametrize(("first", "count"), [(80, 92), (100, 92), (80, 112)])
def test_row_at_which_the_stamps_step_aside(write: Write, first: int, count: int) -> None:
    """From reading `first` on the stamps lie 7 min late, also where these are the most: that row is named, never row 2."""
    minutes = [m + 7 * (i >= first) for i, m in enumerate(QUARTERS[: first + count])]
    fault = fault_of(write, minutes)
    assert (fault.code, fault.place.line) == ("record.irregular", first + 2)


def test_grid_lies_where_most_stamps_lie(write: Write) -> None:
    """The first stamp a minute late moves itself onto the step of the other 191, not those onto its own."""
    minutes = [m + (i == 0) for i, m in enumerate(QUARTERS)]
    record = read_record(write(file_of(minutes)), "UTC")
    assert record.channels[0].series.start_s == 1_748_736_000
    assert [f.data["count"] for f in record.findings if f.code == "record.jitter"] == [1]


def test_grid_of_a_late_logger(write: Write) -> None:
    """A logger that writes at 3 min past each quarter, its first reading a minute later still, keeps the 3 min."""
    minutes = [m + 3 + (i == 0) for i, m in enumerate(QUARTERS)]
    assert read_record(write(file_of(minutes)), "UTC").channels[0].series.start_s == 1_748_736_000 + 180


def test_grid_of_stamps_that_scatter(write: Write) -> None:
    """Where stamps come 8, 20, 8, 45 and 31 s late in turn, no remainder is most stamps', so the clock's quarters hold."""
    minutes = [m + (8, 20, 8, 45, 31)[i % 5] / 60 for i, m in enumerate(QUARTERS)]
    record = read_record(write(file_of(minutes)), "UTC")
    assert (record.channels[0].series.start_s, len(record.channels[0].series)) == (1_748_736_000, 192)
    assert [f.data["most"] for f in record.findings if f.code == "record.jitter"] == [45]


@pytest.mark.parametrize(("ends", "step_s"), [("{h:02d}:59", 3600), ("{h:02d}:59:59", 3600)])
def test_end_written_as_the_last_minute_that_still_belongs(write: Write, ends: str, step_s: int) -> None:
    """24 h from 00:00 to 00:59 each are whole hours: 24 x 0.5 kWh at 500 W, with a note and no word of a drifting clock."""
    rows = [f"2025-03-13 {h:02d}:00,2025-03-13 {ends.format(h=h)},0.5" for h in range(24)]
    record = read_record(write("\n".join(["start,end,kWh", *rows, ""])), "UTC")
    series = record.channels[0].series
    assert (series.step_s, series.values.tolist()) == (step_s, [500.0] * 24)
    assert "record.inclusive-end" in {finding.code for finding in record.findings}


def test_twelve_hour_clock_with_inclusive_ends_over_a_day_of_23_hours(write: Write) -> None:
    """Three days in New York, the clock put forward on the second: 71 hours of 1 kWh without a gap."""
    start = datetime.fromisoformat("2025-03-08T00:00-05:00").astimezone(ZoneInfo("America/New_York"))
    told = [(start.astimezone(UTC) + timedelta(hours=i)).astimezone(start.tzinfo) for i in range(71)]
    rows = [f"{t:%m/%d/%Y %I:%M %p},{t:%m/%d/%Y %I}:59 {t:%p},1" for t in told]
    text = "\n".join(["START,END,USAGE (kWh)", *rows, ""])
    record = read_record(write(text), "America/New_York", LayoutSpec(date_order="month first"))
    assert (record.channels[0].series.values.tolist(), record.gaps) == ([1000.0] * 71, ())


def test_ends_that_meet_the_next_start_need_no_note(write: Write) -> None:
    """From 00:00 to 01:00 is an hour."""
    rows = [f"2025-03-13 {h:02d}:00,2025-03-13 {h + 1:02d}:00,0.5" for h in range(23)]
    record = read_record(write("\n".join(["start,end,kWh", *rows, ""])), "UTC")
    assert "record.inclusive-end" not in {finding.code for finding in record.findings}
    assert record.channels[0].series.step_s == 3600


def test_twelve_hours_without_their_half_of_the_day(write: Write) -> None:
    """12, 1, ..., 11 twice a day: the refusal names the lacking AM and PM, at the first hour that comes again (row 14)."""
    rows = [f"2025-03-{d:02d} {(h + 11) % 12 + 1:02d}:00,0.{h + 10}" for d in (3, 4) for h in range(24)]
    with pytest.raises(RecordError) as caught:
        read_record(write("\n".join(["time,kWh", *rows, ""])), "UTC")
    (fault,) = caught.value.faults
    assert (fault.code, fault.place.line, "AM or PM" in fault.wanted) == ("record.half-days", 14, True)


def test_a_morning_twice_is_no_clock_of_twelve_hours(write: Write) -> None:
    """Rows from 1 to 12 o'clock, each once a day, are a file of mornings; with their halves they are whole days."""
    rows = [f"2025-03-{d:02d} {h:02d}:00,0.5" for d in (3, 4, 5) for h in range(1, 13)]
    assert read_record(write("\n".join(["time,kW", *rows, ""])), "UTC").rows == 36
    rows = [f"2025-03-{d:02d} {(h + 11) % 12 + 1:02d}:00 {'AP'[h // 12]}M,0.5" for d in (3, 4) for h in range(24)]
    assert len(read_record(write("\n".join(["time,kW", *rows, ""])), "UTC", LayoutSpec(stamps="start")).channels[0].series) == 48
