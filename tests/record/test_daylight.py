"""Both days on which the clock changes, in every step, start and end stamped, and for loggers whose clock never changes."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from tests.record.writing import Write
from wattwright.record.read import read_record
from wattwright.record.record import Record
from wattwright.record.spec import LayoutSpec

CHANGES = [
    ("Europe/Athens", "2025-03-30"),
    ("Europe/Athens", "2025-10-26"),
    ("America/Toronto", "2025-03-09"),
    ("America/Toronto", "2025-11-02"),
    ("Australia/Adelaide", "2025-10-05"),
    ("Australia/Adelaide", "2025-04-06"),
]


def starts_of(zone: str, day: str, step_s: int, days: int = 2) -> list[int]:
    """UTC seconds of the intervals from the local midnight that begins ``day``, worked out by the standard library alone."""
    first = datetime.fromisoformat(day)
    low, high = (int(t.replace(tzinfo=ZoneInfo(zone)).timestamp()) for t in (first, first + timedelta(days=days)))
    return list(range(low, high, step_s))


def shown(zone: str, instant: int) -> datetime:
    return datetime.fromtimestamp(instant, UTC).astimezone(ZoneInfo(zone)).replace(tzinfo=None)


def file_of(stamps: list[datetime]) -> str:
    return "\n".join(["Stamp,kW", *(f"{stamp:%Y-%m-%d %H:%M},{i % 9}.25" for i, stamp in enumerate(stamps)), ""])


def codes(record: Record) -> set[str]:
    return {finding.code for finding in record.findings}


@pytest.mark.parametrize("mark", ["start", "end"])
@pytest.mark.parametrize("step_s", [60, 900, 1800, 3600])
@pytest.mark.parametrize(("zone", "day"), CHANGES)
def test_local_stamps_on_the_day_of_the_change(write: Write, zone: str, day: str, step_s: int, mark: str) -> None:
    """Every instant is found again, in order, none missing, none twice; 23 or 25 hours are 23 or 25 hours."""
    starts = starts_of(zone, day, step_s)
    stamps = [shown(zone, s + (step_s if mark == "end" else 0)) for s in starts]
    record = read_record(write(file_of(stamps)), zone, LayoutSpec(stamps=mark))
    assert record.channels[0].series.times_s.tolist() == starts
    assert (record.gaps, record.duplicates) == ((), ())
    assert not codes(record) & {"record.repeated-hour-once", "record.standard-time"}


@pytest.mark.parametrize("step_s", [900, 1800, 3600])
@pytest.mark.parametrize(("zone", "day"), CHANGES)
def test_end_written_as_start_plus_step(write: Write, zone: str, day: str, step_s: int) -> None:
    """Where a logger adds the step to the start's digits, the ends fall into the skipped hour; the starts are found."""
    starts = starts_of(zone, day, step_s)
    stamps = [shown(zone, s) + timedelta(seconds=step_s) for s in starts]
    record = read_record(write(file_of(stamps)), zone, LayoutSpec(stamps="end"))
    assert record.channels[0].series.times_s.tolist() == starts


@pytest.mark.parametrize("step_s", [900, 3600])
@pytest.mark.parametrize("day", ["2025-03-30", "2025-10-26"])
def test_logger_that_keeps_standard_time(write: Write, day: str, step_s: int) -> None:
    """In spring the stamps of the skipped hour give it away; in autumn it must be said, and is then read exactly."""
    starts = starts_of("Europe/Athens", day, step_s)
    stamps = [datetime.fromtimestamp(s + 7200, UTC).replace(tzinfo=None) for s in starts]
    spring = day == "2025-03-30"
    record = read_record(write(file_of(stamps)), "Europe/Athens", LayoutSpec(clock="" if spring else "standard time"))
    assert record.channels[0].series.times_s.tolist() == starts
    assert ("record.standard-time" in codes(record)) == spring


def test_repeated_hour_that_stands_once(write: Write) -> None:
    """An hour that stands once is taken as the first, the second is a gap, and both are told."""
    starts = starts_of("Europe/Athens", "2025-10-26", 3600)
    stamps = list(dict.fromkeys(shown("Europe/Athens", s) for s in starts))
    record = read_record(write(file_of(stamps)), "Europe/Athens")
    assert "record.repeated-hour-once" in codes(record)
    assert [(gap.start_s, gap.intervals) for gap in record.gaps] == [(starts[4], 1)]


def test_repeated_hour_interleaved(write: Write) -> None:
    """Sorted by their digits the two runs stand interleaved; each second stamp is the later instant."""
    starts = starts_of("Europe/Athens", "2025-10-26", 900)
    stamps = sorted(shown("Europe/Athens", s) for s in starts)
    record = read_record(write(file_of(stamps)), "Europe/Athens")
    series = record.channels[0].series
    assert series.times_s.tolist() == starts
    first = starts.index(starts[0] + 3 * 3600)
    # Rows 12, 14, 16, 18 are the first run and 13, 15, 17, 19 the second.
    assert series.raw[first : first + 8].tolist() == [i % 9 + 0.25 for i in (12, 14, 16, 18, 13, 15, 17, 19)]


@pytest.mark.parametrize(("said", "hours"), [("UTC", 0), ("standard time", 2), ("site", 3)])
def test_clock_that_is_said(write: Write, said: str, hours: int) -> None:
    """In July 00:00 of the file is 00:00 UTC, 00:00 at UTC+2 or 00:00 at UTC+3, as said."""
    stamps = [datetime(2025, 7, 1) + timedelta(hours=h) for h in range(24)]
    record = read_record(write(file_of(stamps)), "Europe/Athens", LayoutSpec(clock=said))
    assert record.channels[0].series.start_s == int(datetime(2025, 7, 1, tzinfo=UTC).timestamp()) - 3600 * hours


def test_no_zone_is_told(write: Write) -> None:
    """Without a zone the stamps are a clock that never changes, and a finding asks for the zone."""
    stamps = [datetime(2025, 7, 1) + timedelta(hours=h) for h in range(24)]
    record = read_record(write(file_of(stamps)))
    assert "record.zone-unknown" in codes(record)
    assert record.zone == "UTC"


def test_days_keep_their_energy(write: Write) -> None:
    """A year of days is 365 intervals of 24 h whose energies are those of the file, and the short and long day are told."""
    days = [datetime(2025, 1, 1) + timedelta(days=d) for d in range(365)]
    text = "\n".join(["Day,kWh", *(f"{day:%Y-%m-%d},{i % 9}.25" for i, day in enumerate(days)), ""])
    record = read_record(write(text), "Europe/Athens")
    series = record.channels[0].series
    assert (len(series), series.step_s) == (365, 86_400)
    assert series.start_s == int(datetime(2024, 12, 31, 22, tzinfo=UTC).timestamp())
    np.testing.assert_allclose(series.values * 24 / 1000, [i % 9 + 0.25 for i in range(365)])
    assert "record.days" in codes(record)
    assert "record.days" not in codes(read_record(write(text), "UTC"))


@pytest.mark.parametrize("mark", ["start", "end"])
@pytest.mark.parametrize("step_s", [60, 900, 1800, 3600])
@pytest.mark.parametrize(("zone", "day"), CHANGES)
def test_newest_first_on_the_day_of_the_change(write: Write, zone: str, day: str, step_s: int, mark: str) -> None:
    """Written from new to old the later run of a repeated hour stands first; every reading keeps its own instant."""
    starts = starts_of(zone, day, step_s)
    stamps = [shown(zone, s + (step_s if mark == "end" else 0)) for s in starts]
    lines = [f"{stamp:%Y-%m-%d %H:%M},{i % 9}.25" for i, stamp in enumerate(stamps)]
    record = read_record(write("\n".join(["Stamp,kW", *reversed(lines), ""])), zone, LayoutSpec(stamps=mark))
    series = record.channels[0].series
    assert series.times_s.tolist() == starts
    assert series.raw.tolist() == [i % 9 + 0.25 for i in range(len(starts))]
    assert (record.gaps, record.duplicates) == ((), ())


@pytest.mark.parametrize("swap", [0, 1, 2])
def test_repeated_hour_with_two_rows_exchanged(write: Write, swap: int) -> None:
    """Two neighbours of the first run exchanged make the clock step back twice; still each stamp's second row is the later."""
    starts = starts_of("Europe/Athens", "2025-10-26", 900)
    lines = [f"{shown('Europe/Athens', s):%Y-%m-%d %H:%M},{i % 9}.25" for i, s in enumerate(starts)]
    # Athens repeats the hour from 3: its first run fills the quarters 12 to 15 after midnight.
    lines[12 + swap], lines[13 + swap] = lines[13 + swap], lines[12 + swap]
    record = read_record(write("\n".join(["Stamp,kW", *lines, ""])), "Europe/Athens")
    series = record.channels[0].series
    assert series.times_s.tolist() == starts
    assert series.raw.tolist() == [i % 9 + 0.25 for i in range(len(starts))]


@pytest.mark.parametrize("step_s", [900, 1800, 3600])
@pytest.mark.parametrize("again", ["", "Stamp,kW\n"])
def test_file_appended_to_itself_over_the_repeated_hour(write: Write, step_s: int, again: str) -> None:
    """Each row stands twice: all of them are repeats, and none of the repeated hour disagrees with another."""
    starts = starts_of("Europe/Athens", "2025-10-26", step_s)
    text = file_of([shown("Europe/Athens", one) for one in starts])
    record = read_record(write(text + again + text.partition("\n")[2]), "Europe/Athens")
    assert record.channels[0].series.times_s.tolist() == starts
    told = {one.code: one for one in record.findings}
    assert told["record.repeated-rows"].data["count"] == len(starts)
    assert not set(told) & {"record.rows-disagree", "record.repeated-hour-once"}


SEASONS = [("Season", "S", "W"), ("DST", "1", "0"), ("clock", "summer time", "standard time"), ("mode", "DST", "ST")]


@pytest.mark.parametrize("step_s", [900, 3600])
@pytest.mark.parametrize(("head", "summer", "winter"), SEASONS)
def test_column_of_the_season_settles_the_repeated_hour(write: Write, head: str, summer: str, winter: str, step_s: int) -> None:
    """Rows in any order, or only the second of the two hours: the column says which instant each stamp is."""
    starts = starts_of("Europe/Athens", "2025-10-26", step_s)
    again = starts.index(int(datetime(2025, 10, 26, 1, tzinfo=UTC).timestamp()))
    kept = [one for i, one in enumerate(starts) if not again - 3600 // step_s <= i < again]
    said = {one: summer if datetime.fromtimestamp(one, ZoneInfo("Europe/Athens")).dst() else winter for one in starts}
    for rows in (kept, sorted(starts, key=lambda one: (shown("Europe/Athens", one), -one))):
        lines = [f"{shown('Europe/Athens', one):%Y-%m-%d %H:%M},{said[one]},{one % 7}.25" for one in rows]
        record = read_record(write("\n".join([f"Stamp,{head},kW", *lines, ""])), "Europe/Athens")
        series = record.channels[0].series
        assert series.times_s[series.present].tolist() == sorted(rows)
        assert [round(v) for v in series.values[series.present]] == [round(1000 * (one % 7 + 0.25)) for one in sorted(rows)]
        assert not codes(record) & {"record.repeated-hour-once", "record.column-text", "record.rows-disagree"}
        assert record.layout.stamp_columns == ("Stamp", head)


@pytest.mark.parametrize(
    ("head", "texts"), [("Season", ["summer", "winter"]), ("DST", ["0", "1"]), ("Season", ["S", "x"]), ("Flag", ["S", "W"])]
)
def test_other_seasons_move_nothing(write: Write, head: str, texts: list[str]) -> None:
    """A season of prices, a column the wrong way round, and letters of another meaning leave the stamps as they are."""
    starts = starts_of("Europe/Athens", "2025-06-10", 3600)
    rows = [f"{shown('Europe/Athens', s):%Y-%m-%d %H:%M},{texts[i >= 24]},{i % 9}.25" for i, s in enumerate(starts)]
    record = read_record(write("\n".join([f"Stamp,{head},kW", *rows, ""])), "Europe/Athens")
    assert record.channel("kw").series.times_s.tolist() == starts
    assert record.layout.stamp_columns == ("Stamp",)
