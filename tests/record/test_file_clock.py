"""The clock that a file states itself: in a name, in a line above the readings, beside them in JSON, or in a column."""

import json
from datetime import UTC, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest

from tests.record.writing import Write
from wattwright.job.questions import of_record
from wattwright.record.read import read_record
from wattwright.record.spec import LayoutSpec

SITE = "Europe/Athens"
# Two summer days of quarter hours; Athens is three hours ahead of UTC then and two in winter (IANA database).
FIRST = datetime(2025, 6, 17, 21, tzinfo=UTC)
STARTS = [FIRST + timedelta(minutes=15 * n) for n in range(192)]
SECONDS = [int(one.timestamp()) for one in STARTS]


def rows(hours: float, pattern: str = "%Y-%m-%d %H:%M", starts: list[datetime] = STARTS) -> str:
    """The stamps by a clock so many hours ahead of UTC, each with a reading."""
    clock = timezone(timedelta(hours=hours))
    return "".join(f"{one.astimezone(clock).strftime(pattern)};{0.5 + i % 3}\n" for i, one in enumerate(starts))


def told(write: Write, text: str, zone: str = SITE, layout: LayoutSpec | None = None) -> tuple[list[int], set[str]]:
    """The starts of the intervals and the codes of the findings about them."""
    record = read_record(write(text), zone, layout)
    return record.channels[0].series.times_s.tolist(), {one.code for one in record.findings}


@pytest.mark.parametrize(
    ("head", "hours"),
    [
        ("Time (UTC)", 0), ("time_utc", 0), ("Time GMT", 0), ("Time (UTC+01:00)", 1), ("Timestamp GMT-5", -5),
        ("Time UTC+0530", 5.5), ("Zeit (MEZ)", 1), ("Time [EST]", -5), ("Time (UTC \N{MINUS SIGN}3)", -3),
    ],
)  # fmt: skip
def test_the_name_of_the_stamps_tells_their_clock(write: Write, head: str, hours: float) -> None:
    """UTC, an offset from it, or the letters of a standard time in the name of the column are its clock."""
    starts, codes = told(write, f"{head};kW\n{rows(hours)}")
    assert starts == SECONDS
    assert "record.clock-open" not in codes


def test_date_and_time_apart_in_utc(write: Write) -> None:
    """It is enough that one of two columns says so."""
    for head in ("Date (UTC);Time (UTC)", "Date;Time UTC", "Date UTC;Time"):
        assert told(write, f"{head};kW\n{rows(0, '%Y-%m-%d;%H:%M')}")[0] == SECONDS


@pytest.mark.parametrize(
    ("line", "hours"),
    [
        ("All times in UTC", 0), ("Time zone;UTC+01:00", 1), ("Zeitzone: UTC-3", -3), ("Timestamps are GMT", 0),
        ("Time zone: UTC offset +04:00", 4), ("Time zone: Asia/Kolkata", 5.5), ("Timezone: Etc/GMT-4", 4),
    ],
)  # fmt: skip
def test_a_line_above_the_readings_tells_their_clock(write: Write, line: str, hours: float) -> None:
    """A line that speaks of the time and names a clock is about the stamps."""
    assert told(write, f"Invented site\n{line}\nTime;kW\n{rows(hours)}")[0] == SECONDS


@pytest.mark.parametrize(
    "line",
    [
        "Time of export: 2025-06-20 08:15 UTC", "Unit GMT7", "Local time, UTC+2 in winter", "Times as UTC+2 or UTC+3",
        "Time of a meter UTC+99", "Time UTC+02:17", "Time zone: Middle/Earth", "Time zones Europe/Paris and Asia/Tokyo",
    ],
)  # fmt: skip
def test_other_lines_leave_the_sites_clock(write: Write, line: str) -> None:
    """The time of an export, a local clock, several clocks or one that is none leave the stamps by the site's clock."""
    assert told(write, f"{line}\nTime;kW\n{rows(3)}")[0] == SECONDS


def test_a_person_knows_better(write: Write) -> None:
    """What is said of the clock goes before what the file states."""
    text = f"Times in UTC\nTime;kW\n{rows(3)}"
    assert told(write, text, layout=LayoutSpec(clock="site"))[0] == SECONDS


def test_the_clock_beside_readings_in_json(write: Write) -> None:
    """What an object says beside its list counts as a line above it, also one level down."""
    readings = [{"time": one.strftime("%Y-%m-%d %H:%M"), "kW": 0.5 + i % 3} for i, one in enumerate(STARTS)]
    for said in ({"timezone": "UTC"}, {"site": {"name": "invented", "time zone": "UTC"}}):
        assert told(write, json.dumps({**said, "data": readings}))[0] == SECONDS
    layout = read_record(write(json.dumps({"timezone": "UTC", "data": readings})), SITE).layout
    assert (layout.preamble_rows, layout.clock_why) == (0, 'UTC, since a line above the readings says "timezone: UTC"')


def test_a_column_of_one_zone(write: Write) -> None:
    """A column called so that names one clock throughout is the clock; one that changes or names none is not."""
    for zone, hours in (("UTC", 0), ("Asia/Kolkata", 5.5)):
        text = rows(hours).replace(";", f";{zone};")
        assert told(write, f"Time;Zone;kW\n{text}")[0] == SECONDS
    assert told(write, "Time;Zone;kW\n" + rows(3).replace(";", ";Kitchen;"))[0] == SECONDS


def test_days_in_a_row_by_utc(write: Write) -> None:
    """A row for each day goes by the clock that the name of its dates tells."""
    first = datetime(2025, 6, 18, tzinfo=UTC)
    days = "".join(f"2025-06-{18 + d};" + ";".join(f"{0.5 + (h + d) % 3}" for h in range(24)) + "\n" for d in range(3))
    head = "Date (UTC);" + ";".join(f"{h:02d}:00" for h in range(24))
    starts, _ = told(write, f"Energy kWh\n{head}\n{days}")
    assert starts == [int(first.timestamp()) + 3600 * n for n in range(72)]


def test_another_zone_is_told(write: Write) -> None:
    """A zone that keeps the site's clock needs no word; another one is told, and so is one where no zone was given."""
    assert told(write, f"Time zone: Europe/Helsinki\nTime;kW\n{rows(3)}") == told(write, f"Time;kW\n{rows(3)}")
    assert "record.file-zone" in told(write, f"Time zone: Europe/Berlin\nTime;kW\n{rows(2)}")[1]
    starts, codes = told(write, f"Time zone: Europe/Berlin\nTime;kW\n{rows(2)}", zone="")
    assert starts == SECONDS
    assert "record.file-zone" in codes
    assert "record.zone-unknown" not in codes


def test_the_standard_offset_of_the_site_is_asked_about(write: Write) -> None:
    """In summer UTC+2 is either Athens all year on standard time, as it says, or the site's own clock: both are offered."""
    path = write(f"Time (UTC+02:00);kW\n{rows(2)}")
    record = read_record(path, SITE)
    assert record.channels[0].series.times_s.tolist() == SECONDS
    asked = next(one for one in of_record(record) if one.about.code == "record.clock-open")
    assert [choice.entries for choice in asked.choices] == [{"layout.clock": "standard time"}, {"layout.clock": "site"}]
    assert told(write, f"Time (UTC+02:00);kW\n{rows(2)}", "Asia/Kolkata")[0] == SECONDS


def test_the_stamps_show_what_a_standard_offset_means(write: Write) -> None:
    """The hour that stands twice in autumn shows the site's clock; stamps in the hour that spring skips show one that stays."""
    autumn = [datetime(2025, 10, 25, 21, tzinfo=UTC) + timedelta(minutes=15 * n) for n in range(100)]
    athens = ZoneInfo(SITE)
    text = "".join(f"{one.astimezone(athens):%Y-%m-%d %H:%M};{0.5 + i % 3}\n" for i, one in enumerate(autumn))
    starts, codes = told(write, f"Time (UTC+02:00);kW\n{text}")
    assert starts == [int(one.timestamp()) for one in autumn]
    assert "record.clock-open" not in codes
    spring = [datetime(2025, 3, 29, 22, tzinfo=UTC) + timedelta(minutes=15 * n) for n in range(96)]
    starts, codes = told(write, f"Time (UTC+02:00);kW\n{rows(2, starts=spring)}")
    assert starts == [int(one.timestamp()) for one in spring]
    assert "record.clock-open" not in codes


def test_in_winter_the_standard_offset_is_the_sites_clock(write: Write) -> None:
    """Where both come to the same there is nothing to ask."""
    winter = [datetime(2025, 1, 17, 22, tzinfo=UTC) + timedelta(minutes=15 * n) for n in range(96)]
    starts, codes = told(write, f"Time (UTC+02:00);kW\n{rows(2, starts=winter)}")
    assert starts == [int(one.timestamp()) for one in winter]
    assert "record.clock-open" not in codes
