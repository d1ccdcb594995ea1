"""Stamps as ranges, with the offset in a column of its own, with the letters of a zone, and hours with a letter."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from tests.record.writing import Write
from wattwright.core.errors import RecordError
from wattwright.record.read import read_record
from wattwright.record.record import StampsMark
from wattwright.record.spec import LayoutSpec

ATHENS = ZoneInfo("Europe/Athens")
# Three days of half hours about 26 October 2025, when the clocks of Athens show 03:00 to 04:00 twice (IANA database).
FIRST = datetime(2025, 10, 24, 21, tzinfo=UTC)
STARTS = [FIRST + timedelta(minutes=30 * n) for n in range(146)]
SECONDS = [int(one.timestamp()) for one in STARTS]


def stamps_of(write: Write, head: str, rows: list[str], zone: str = "Europe/Athens") -> list[int]:
    """The starts of a file of 0.5 and 0.7 kWh in turn; nothing repeated, nothing missing."""
    lines = [f"{row},{0.5 + 0.2 * (i % 2):.1f}" for i, row in enumerate(rows)]
    series = read_record(write("\n".join([f"{head},kWh", *lines]) + "\n"), zone).channels[0].series
    assert series.quality.tolist() == [0] * len(rows)
    return series.times_s.tolist()


def local(sign: str) -> list[str]:
    """The local times, with the offset or the letters of the zone where ``sign`` is their format."""
    return [one.astimezone(ATHENS).strftime(f"%Y-%m-%d %H:%M{sign}") for one in STARTS]


@pytest.mark.parametrize(
    ("head", "sign"),
    [("Time,Offset", ",%z"), ("Time,UTC offset", ",%:z"), ("Time", " %Z"), ("Time", "%z"), ("Time", " %z")],
)
def test_offsets_wherever_they_stand(write: Write, head: str, sign: str) -> None:
    """Offsets apart from the time, or as letters, tell the two runs of the repeated hour apart, in whatever zone."""
    rows = [one.replace("%:z", "") for one in local(sign.replace("%:z", "%z"))]
    if "%:z" in sign:
        rows = [f"{row[:-2]}:{row[-2:]}" for row in rows]
    assert stamps_of(write, head, rows) == SECONDS
    assert stamps_of(write, head, rows, "Asia/Tokyo") == SECONDS


def test_offset_in_hours_beside_numbers(write: Write) -> None:
    """Offsets written as 3 and 2 are hours."""
    rows = [f"{row[:-5]}{int(row[-5:]) // 100}" for row in local(",%z")]
    assert stamps_of(write, "Time,Offset", rows) == SECONDS


@pytest.mark.parametrize("values", ["0.5", "7", "999999", "abc", "+0317"])
def test_another_column_called_offset_is_none(write: Write, values: str) -> None:
    """What holds no offset from UTC is left as it was: the local times stand alone."""
    rows = [f"2025-05-01 {hour:02d}:00,{values if hour else values + '1'}" for hour in range(24)]
    first = int(datetime(2025, 5, 1, tzinfo=ATHENS).timestamp())
    found = read_record(
        write("Time,Offset,kWh\n" + "".join(f"{row},{1 + i % 3}\n" for i, row in enumerate(rows))), "Europe/Athens"
    )
    assert found.channels[-1].series.start_s == first


def test_an_offset_is_not_counted_twice(write: Write) -> None:
    """Where the stamps carry their offset, the column beside them says nothing new."""
    assert stamps_of(write, "Time,Offset", [f"{row},+0300" for row in local("%z")]) == SECONDS


LETTERED = "Time,kWh\n" + "".join(f"2025-05-01 {hour:02d}:00 CST,0.5\n" for hour in range(24))
MIDNIGHT_UTC = 1_746_057_600
"""1 May 2025 in UTC: 20,209 days after 1970."""


@pytest.mark.parametrize("zone", ["", "Europe/Athens"])
def test_letters_that_mean_several_zones_are_asked(write: Write, zone: str) -> None:
    """CST is the time of Chicago, of China and of Cuba: the sentence shows the stamp, and how to say which clock it is."""
    with pytest.raises(RecordError, match="2025-05-01 00:00 CST") as caught:
        read_record(write(LETTERED), zone)
    (fault,) = caught.value.faults
    assert (fault.code, fault.data["field"]) == ("record.zone-letters", "clock")
    assert "CST stands for several" in fault.wanted


@pytest.mark.parametrize(("zone", "behind_h"), [("America/Chicago", 6), ("Asia/Shanghai", -8)])
def test_letters_of_the_site_itself(write: Write, zone: str, behind_h: int) -> None:
    """Where the site's own clock has these letters they mean that one: CST is 6 h behind UTC there and 8 h ahead here."""
    series = read_record(write(LETTERED), zone).channels[0].series
    assert (series.start_s, len(series)) == (MIDNIGHT_UTC + 3600 * behind_h, 24)


@pytest.mark.parametrize(("clock", "behind_h"), [("UTC", 0), ("site", -3), ("standard time", -2)])
def test_letters_taken_off_as_said(write: Write, clock: str, behind_h: int) -> None:
    """Whoever says which clock it is has the letters taken off: midnight in Athens in May is 21:00 UTC."""
    series = read_record(write(LETTERED), "Europe/Athens", LayoutSpec.model_validate({"clock": clock})).channels[0].series
    assert series.start_s == MIDNIGHT_UTC + 3600 * behind_h


@pytest.mark.parametrize(
    "rows",
    [
        [f"{month:02d}/2024,{300 + month}" for month in range(1, 13)],
        [f"2024-{month:02d},{300 + month}" for month in range(1, 13)],
        ["Jan 2024,310", "Feb 2024,290", "Mar 2024,280"],
        ["janvier 2024,310", "février 2024,290"],
    ],
)
def test_months_are_refused_by_name(write: Write, rows: list[str]) -> None:
    """Rows of months hold no interval of a day: refused with the month as it stands, and what was expected."""
    with pytest.raises(RecordError, match="a month without a day") as caught:
        read_record(write("\n".join(["month,kWh", *rows, ""])), "Europe/Athens")
    assert caught.value.faults[0].code == "record.months"
    assert str(caught.value.faults[0].place) == "meter.csv, line 2"


@pytest.mark.parametrize(
    ("head", "form"),
    [
        ("Period", "{0:%d.%m.%Y %H:%M} - {1:%H:%M}"),
        ("Period", "{0:%d.%m.%Y %H:%M}-{1:%H:%M}"),
        ("Period", "{0:%Y-%m-%d %H:%M} – {1:%Y-%m-%d %H:%M}"),
        ("Date,Time", "{0:%d.%m.%Y},{0:%H:%M}-{1:%H:%M}"),
        ("Date,Time", "{0:%d.%m.%Y},{0:%H:%M} - {1:%H:%M}"),
    ],
)
def test_ranges_are_read_by_their_start(write: Write, head: str, form: str) -> None:
    """A range as the stamp is one meter's interval, and its first time is the start; the last one ends at midnight."""
    starts = [datetime(2025, 5, 1) + timedelta(minutes=15 * n) for n in range(3 * 96)]
    rows = [form.format(one, one + timedelta(minutes=15)) for one in starts]
    assert stamps_of(write, head, rows, "UTC") == [int(one.replace(tzinfo=UTC).timestamp()) for one in starts]
    text = "\n".join([f"{head},kWh", *(f"{row},{0.5 + i % 2}" for i, row in enumerate(rows))]) + "\n"
    assert read_record(write(text), "UTC").layout.stamps is StampsMark.START


def test_an_offset_behind_the_minus_is_no_range(write: Write) -> None:
    """In ISO 8601, 00:00-05:00 is an offset: it stands in all rows alike."""
    rows = [f"2025-05-01T{hour:02d}:00-05:00" for hour in range(24)]
    first = int(datetime(2025, 5, 1, 5, tzinfo=UTC).timestamp())
    assert stamps_of(write, "Time", rows, "America/Jamaica") == [first + 3600 * n for n in range(24)]


def test_hours_with_letters(write: Write) -> None:
    """On the day of 25 hours, 03A and 03B are the two hours that the clock shows as 3."""
    hours = STARTS[::2]
    rows = []
    for one in hours:
        own = one.astimezone(ATHENS)
        letter = {10800: "A", 7200: "B"}[own.utcoffset().seconds] if own.strftime("%d %H") == "26 03" else ""
        rows.append(f"{own:%d.%m.%Y},{own:%H}{letter}")
    assert stamps_of(write, "Date,Hour", rows) == SECONDS[::2]


@pytest.mark.parametrize(
    ("pattern", "strip"),
    [
        ("%Y%m%d;%H%M", False),
        ("%d.%m.%Y;%H%M", False),
        ("%Y-%m-%d;%H%M%S", False),
        ("%Y-%m-%d;%H%M", True),
        ("%Y-%m-%d;%H%M%S", True),
    ],
)
def test_times_of_bare_digits(write: Write, pattern: str, strip: bool) -> None:
    """0030 beside a date is half past midnight, and so is 30 where the noughts before it were lost."""
    starts = [datetime(2025, 5, 5, tzinfo=UTC) + timedelta(minutes=30 * n) for n in range(96)]
    rows = []
    for i, one in enumerate(starts):
        day, time = one.strftime(pattern).split(";")
        rows.append(f"{day};{int(time) if strip else time};{0.5 + i % 3}")
    for head in ("Date;Time;kW", "Datum;Uhrzeit;kW"):
        series = read_record(write("\n".join([head, *rows]) + "\n"), "UTC").channels[0].series
        assert series.times_s.tolist() == [int(one.timestamp()) for one in starts]
    turned = [row.replace(";", ",") for row in rows]
    assert len(read_record(write("\n".join(["Date,Time,kW", *turned]) + "\n"), "UTC").channels) == 1


@pytest.mark.parametrize("number", ["1075", "2500", "99", "1000000"])
def test_other_digits_are_no_time(write: Write, number: str) -> None:
    """Minutes of 75, hours of 25, seven digits, and one row a day leave a column of numbers as it is."""
    days = [f"2025-05-{d:02d};{number if d % 2 else '1000'};{d % 3}.5" for d in range(1, 29)]
    series = read_record(write("\n".join(["Date;Run time;kWh", *days]) + "\n"), "UTC").channels[0].series
    assert (series.step_s, len(series)) == (86_400, 28)
    twice = [f"2025-05-{1 + i // 2:02d};{number if i % 2 else '1000'};{i % 3}.5" for i in range(56)]
    with pytest.raises(RecordError, match="a stamp that row"):
        read_record(write("\n".join(["Date;Run time;kWh", *twice]) + "\n"), "UTC")
