"""What shows that a logger's clock is wrong: hours twice or skipped, changes not followed, drift, and the sun."""

from dataclasses import replace

import numpy as np
import pytest

from tests.record.plant import ATHENS, DAY, HOUR, MONDAY_S, bell, channel, codes, gap, house, seen
from tests.record.writing import Write
from wattwright.core.clock import SiteClock
from wattwright.core.errors import RecordError
from wattwright.core.files import SourceFile
from wattwright.core.quantity import Direction, Quantity
from wattwright.core.show import Show
from wattwright.record.faults.clocks import clock_shift, hour_skipped
from wattwright.record.faults.stated import stated_step, total_row
from wattwright.record.faults.steady import steady
from wattwright.record.faults.sun import against_the_sun, generated
from wattwright.record.read import read_record
from wattwright.record.record import Record

TOKYO = SiteClock("Asia/Tokyo")


def minutes(first: str, count: int, step_min: int = 15):
    start = np.datetime64(first, "m")
    return [str(start + np.timedelta64(step_min * i, "m")).replace("T", " ") for i in range(count)]


def text(stamps, header="start,kW"):
    return "\n".join([header, *(f"{s},{0.2 + i * 7 % 31 / 10:.1f}" for i, s in enumerate(stamps)), ""])


def told(path, zone, code):
    return [f for f in read_record(path, zone).findings if f.code == code]


def test_hour_twice(write: Write):
    """Five days of quarter hours whose clock goes back from 04:00 to 03:00 on 4 March, where no clock changes."""
    stamps = minutes("2025-03-03 00:00", 112) + minutes("2025-03-04 03:00", 360)
    (found,) = told(write(text(stamps)), "Asia/Tokyo", "record.hour-twice")
    assert TOKYO.text(found.data["start"]) == "2025-03-04 03:00"
    assert found.data["zone"] == ""
    (open_,) = told(write(text(stamps)), "", "record.hour-twice")
    assert "no zone was given" in open_.says(Show())


@pytest.mark.parametrize("hour", ["2025-03-15 12:00", "2025-10-26 03:00"])
def test_one_row_twice_may_be_either(write: Write, hour: str):
    """A single hourly row that stands twice may be a clock put back or two exports joined: it is told as both, and as no more."""
    day = str(np.datetime64(hour[:10]) - np.timedelta64(2, "D"))
    stamps = minutes(f"{day} 00:00", 120, 60)
    stamps.insert(stamps.index(hour) + 1, hour)
    (found,) = told(write(text(stamps)), "Asia/Tokyo", "record.hour-twice")
    assert "may have been put back there, or two exports were joined" in found.says(Show())


def test_hour_sent_again_is_no_second_hour(write: Write):
    """Rows that repeat an hour word by word were only sent again, and an autumn hour of the site's own clock is in order."""
    lines = text(minutes("2025-03-03 00:00", 480)).splitlines()
    again = "\n".join([*lines[:100], *lines[96:], ""])
    assert told(write(again), "Asia/Tokyo", "record.hour-twice") == []
    autumn = minutes("2025-10-24 00:00", 2 * 96 + 16) + minutes("2025-10-26 03:00", 200)
    assert told(write(text(autumn)), "Europe/Athens", "record.hour-twice") == []


def test_skipped_hour():
    """02:00 to 03:00 missing on Sunday 30 March in Tokyo: the clock of another zone. In Athens it would be the site's own."""
    start = int(TOKYO.resolve(np.array([np.datetime64("2025-03-30T02:00", "s").astype(np.int64)])).first_s[0])
    hole = replace(gap(0, 1), start_s=start, end_s=start + HOUR)
    power = channel(house())
    (found,) = hour_skipped(seen(power, gaps=[hole], clock=TOKYO))
    assert found.data["start"] == start
    other_day = replace(hole, start_s=start + 86_400, end_s=start + 86_400 + HOUR)
    two_hours = replace(hole, end_s=start + 2 * HOUR)
    at_noon = replace(hole, start_s=start + 10 * HOUR, end_s=start + 11 * HOUR)
    assert hour_skipped(seen(power, gaps=[other_day, two_hours, at_noon], clock=TOKYO)) == []
    own = int(ATHENS.resolve(np.array([np.datetime64("2025-03-30T02:00", "s").astype(np.int64)])).first_s[0])
    assert hour_skipped(seen(power, gaps=[replace(hole, start_s=own, end_s=own + HOUR)])) == []
    assert hour_skipped(seen(power, gaps=[hole] * 51, clock=TOKYO)) == []
    assert hour_skipped(seen(channel(np.ones(30), step_s=86_400), gaps=[hole], clock=TOKYO)) == []
    assert hour_skipped(seen()) == []


def by_the_clock(first: str, days: int, followed: bool, name="clock"):
    """A house whose people keep to the clock of Athens; with ``followed`` false the stamps go on as before the change."""
    start = int(ATHENS.resolve(np.array([np.datetime64(first, "s").astype(np.int64)])).first_s[0])
    times = start + HOUR * np.arange(days * 24)
    local = ATHENS.local_s(times) if followed else times + int(ATHENS.offsets_s(times[:1])[0])
    profile = house(days=2, name=name, base=300)[:24] + np.where(np.isin(np.arange(24), (7, 8, 19)), 1500, 0)
    noise = np.random.default_rng(5).uniform(0.9, 1.1, len(times))
    return channel(profile[local % 86_400 // 3600] * noise, start_s=start)


@pytest.mark.parametrize(("first", "way"), [("2025-03-01", "later"), ("2025-09-28", "earlier")])
def test_change_not_followed(first, way):
    """Habits that move by an hour on the site's clock across its change are told, those that keep to it are not."""
    wrong = by_the_clock(first, 58, followed=False)
    (found,) = clock_shift(seen(wrong))
    assert (found.data["hours"], found.data["way"]) == (1, way)
    assert clock_shift(seen(by_the_clock(first, 58, followed=True))) == []


def test_change_that_shows_nothing():
    """No change within the record, no zone, too little of it, a power that runs back, or no habits at all: nothing is said."""
    wrong = by_the_clock("2025-03-01", 58, followed=False)
    assert clock_shift(seen(wrong, zoned=False)) == []
    assert clock_shift(seen(by_the_clock("2025-06-01", 58, followed=True))) == []
    assert clock_shift(seen(by_the_clock("2025-03-20", 16, followed=False))) == []
    assert clock_shift(seen(channel(wrong.series.values - 1e4, start_s=wrong.series.start_s))) == []
    assert clock_shift(seen(channel(np.full(58 * DAY, 5.0), start_s=wrong.series.start_s))) == []
    assert clock_shift(seen(channel(wrong.series.values, quantity=Quantity.CURRENT, start_s=wrong.series.start_s))) == []
    odd = channel(np.repeat(wrong.series.values, 3)[: 58 * 72], start_s=wrong.series.start_s, step_s=1200)
    assert clock_shift(seen(odd)) == []
    noise = np.random.default_rng(1).uniform(0, 1000, 58 * DAY)
    assert clock_shift(seen(channel(noise, start_s=wrong.series.start_s))) == []
    holed = wrong.series.values.copy()
    holed[30 * DAY :] = np.nan
    assert clock_shift(seen(channel(holed, start_s=wrong.series.start_s))) == []


def test_drift(write: Write):
    """Stamps that come a second later every day over thirty days: told with the rate; stamps that scatter are not."""
    start = np.datetime64("2025-03-03T00:00:00")
    late = [str(start + np.timedelta64(900 * i + i // 96, "s")) for i in range(30 * 96)]
    (found,) = told(write(text(late)), "Asia/Tokyo", "record.clock-drift")
    assert found.data["rate"] == pytest.approx(1, abs=0.01)
    assert "slow" in found.data["way"]
    scattered = [str(start + np.timedelta64(900 * i + i % 2, "s")) for i in range(30 * 96)]
    assert told(write(text(scattered)), "Asia/Tokyo", "record.clock-drift") == []
    early = [str(start + np.timedelta64(900 * i - i // 96, "s")) for i in range(30 * 96)]
    assert "fast" in told(write(text(early)), "Asia/Tokyo", "record.clock-drift")[0].data["way"]


def test_drift_beyond_the_step_is_refused_with_its_cause(write: Write):
    """A logger that loses a minute a day comes off its step; the refusal says that the clock drifts, and how fast."""
    start = np.datetime64("2025-03-03T00:00:00")
    lines = text([str(start + np.timedelta64(900 * i + 60 * i // 96, "s")) for i in range(30 * 96)])
    with pytest.raises(RecordError, match=r"they move [\d.]+ s later every day"):
        read_record(write(lines), "Asia/Tokyo")


def test_steady_needs_time_and_movement():
    """Stamps at one instant, on the step, or moved by less than two seconds in all do not drift."""
    on_step = 900 * np.arange(100, dtype=np.int64)
    assert steady(on_step, 0, 900) is None
    assert steady(np.zeros(3, np.int64), 0, 900) is None
    assert steady(on_step + np.arange(100) // 50, 0, 900) is None


def test_step_that_is_said(write: Write):
    """A column called by 15 min whose stamps lie half an hour apart is told; one that fits, or other numbers, are not."""
    assert told(write(text(minutes("2025-03-03 00:00", 96, 30), "start,kWh per 15 min")), "Asia/Tokyo", "record.stated-step")
    (found,) = stated_step(["kW"], ["Interval: 15 minutes"], 1800)
    assert (found.data["said"], found.data["step"]) == (900, 1800)
    assert stated_step(["kWh / 15 min"], ["Report of 12 h"], 900) == []
    assert stated_step(["P 1h"], [], 3600) == []
    assert stated_step(["U L1 (230 V)", "kW"], ["Created in 2 min"], 900) == []


def row(total, name="kWh"):
    return "\n".join([f"start;{name}", *(f"{s};2,5" for s in minutes("2025-03-03 00:00", 96, 60)), f"Total;{total}", ""])


def test_row_of_totals(write: Write):
    """96 hours of 2.5 kWh are 240 kWh: a last row that says 250 is told, 240 is not, and a remark is no total."""
    (found,) = told(write(row("250,0")), "Asia/Tokyo", "record.total-row")
    assert (found.data["said"], found.data["found"]) == (250, 240)
    assert told(write(row("240,0")), "Asia/Tokyo", "record.total-row") == []
    assert told(write(row("99999,0")), "Asia/Tokyo", "record.total-row") == []
    assert told(write(row("250,0", "kW")), "Asia/Tokyo", "record.total-row") == []
    assert total_row([(9, "end of file; -")], {}, ",") == []


def sunny_record(hours_off, columns, longitude=23.7):
    """A record of columns at half an hour in Athens, where the sun's noon is about 12:25 of winter time, 10:25 UTC."""
    layout = None
    source = SourceFile("pv.csv", 1, "0")
    shift = round(hours_off * HOUR)
    held = tuple(
        channel(values, column, direction=direction, step_s=1800, start_s=MONDAY_S + shift)
        for column, direction, values in columns
    )
    return Record(source, "Europe/Athens", 1, layout, held, (), (), ())


def pv(wide=4.6):
    """Half waves about 10:30 UTC, from 20 minutes or so after sunrise to as long before sunset (January: 05:41 to 15:25 UTC)."""
    return bell(28, 4000, 10.55, 1800, wide)


@pytest.mark.parametrize(("hours_off", "way"), [(1.0, "later"), (-1.0, "earlier"), (2.0, "later"), (0.0, ""), (0.25, "")])
def test_generation_against_the_sun(hours_off, way):
    """Generation an hour off lies in the dark at one end, which nothing explains; within a quarter hour it is the sun's."""
    found = against_the_sun(sunny_record(hours_off, [("Export kW", Direction.EXPORT, pv())]), 38.0, 23.7)
    assert [f.data["way"] for f in found] == ([way] if way else [])
    if way:
        assert found[0].data["hours"] == pytest.approx(abs(hours_off), abs=0.25)
        assert way in found[0].says(Show())


def test_longitude_matters():
    """The same readings, right in Athens, lie hours off the sun of a place 40 degrees further west."""
    record = sunny_record(0, [("Export kW", Direction.EXPORT, pv())])
    (found,) = against_the_sun(record, 38.0, -16.3)
    assert found.data["hours"] == pytest.approx(40 / 15, abs=0.3)


def test_no_longitude_is_said_where_it_matters():
    """Without a longitude a note stands where something generates, and nothing where nothing does."""
    assert codes(against_the_sun(sunny_record(0, [("Export kW", Direction.EXPORT, pv())]), 38.0, None)) == [
        "record.sun-unchecked"
    ]
    assert against_the_sun(sunny_record(0, [("Power kW", Direction.IMPORT, house(28, step_s=1800))]), 38.0, None) == ()


def test_hidden_ends_are_found_by_the_least_taken():
    """Export that begins late and ends early lies in no dark; import less export shows an hour all the same."""
    use = house(28, step_s=1800) + np.where(np.arange(28 * 48) % 48 >= 28, 0, 0)
    evening = np.where((np.arange(28 * 48) % 48 >= 28) & (np.arange(28 * 48) // 48 % 3 > 0), 2500.0, 0.0)
    net = use + evening - pv()
    columns = [("Import kW", Direction.IMPORT, np.maximum(net, 0)), ("Export kW", Direction.EXPORT, np.maximum(-net, 0))]
    (found,) = against_the_sun(sunny_record(1.0, columns), 38.0, 23.7)
    assert found.data["way"] == "later"
    assert against_the_sun(sunny_record(0.0, columns), 38.0, 23.7) == ()


def test_too_little_to_tell():
    """A few days, generation of an hour a day, or a record of another course of the day are not held against the sun."""
    few = [("Export kW", Direction.EXPORT, pv()[: 5 * 48])]
    assert against_the_sun(sunny_record(2, few), 38.0, 23.7) == ()
    short = [("Export kW", Direction.EXPORT, bell(28, 500, 3, 1800, 1.0))]
    assert against_the_sun(sunny_record(0, short), 38.0, 23.7) == ()
    polar = [("Export kW", Direction.EXPORT, pv())]
    assert against_the_sun(sunny_record(0, polar), 80.0, 23.7) == ()


def test_what_counts_as_generation():
    """Export, the negative part of a power that crowds about one hour, and a column called so; not a house, not a current."""
    assert generated(channel(pv(), "Solar kW", step_s=1800)) is not None
    assert generated(channel(-pv(), step_s=1800)) is not None
    assert generated(channel(pv(), step_s=1800)) is None
    assert generated(channel(pv(), direction=Direction.EXPORT, step_s=1800)) is not None
    assert generated(channel(house(), direction=Direction.EXPORT)) is None
    assert generated(channel(house(), quantity=Quantity.CURRENT)) is None
    (found,) = against_the_sun(sunny_record(1, [("Solar kW", Direction.IMPORT, pv())]), 38.0, 23.7)
    assert found.data["column"] == "Solar kW"
    net = house(28, step_s=1800) - 3 * pv()
    (found,) = against_the_sun(sunny_record(1, [("Net kW", Direction.NET, net)]), 38.0, 23.7)
    assert found.data["way"] == "later"


def test_clock_of_another_zone_is_told_once(write: Write):
    """In the spring of Toronto (9 March 2025) an hour is missing, and Athens' own skipped hour (30 March) is there: one finding.

    Dates of the changes: IANA time zone database.
    """
    first, last = (int(np.datetime64(t, "s").astype(np.int64)) for t in ("2025-03-01T00:00", "2025-04-06T00:00"))
    at = [t for t in range(first, last, HOUR) if str(np.datetime64(t, "s")) != "2025-03-09T02:00:00"]
    rows = "".join(f"{str(np.datetime64(t, 's')).replace('T', ' ')},{0.2 + 0.1 * (t // HOUR % 5)}\n" for t in at)
    found = read_record(write("Time,kWh\n" + rows), "Europe/Athens").findings
    codes = [f.code for f in found]
    assert codes.count("record.other-zone") == 1
    assert "record.hour-skipped" not in codes
    assert "record.standard-time" not in codes
    assert "record.hour-skipped" in [f.code for f in read_record(write("Time,kWh\n" + rows), "Asia/Tokyo").findings]
