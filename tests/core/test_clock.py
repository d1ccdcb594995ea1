"""The site's clock against Python's own zoneinfo, instant by instant."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, strategies as st

from wattwright.core.clock import SiteClock
from wattwright.core.errors import InputError

ZONES = (
    "Europe/Athens",
    "Europe/Paris",
    "Australia/Lord_Howe",  # half an hour of daylight saving
    "Asia/Kathmandu",  # +05:45
    "Antarctica/Troll",  # two hours
    "Africa/Casablanca",  # turned back for Ramadan
    "America/Santiago",  # southern hemisphere, changes at midnight
    "America/Sao_Paulo",
    "Pacific/Apia",  # left out 2011-12-30
    "Asia/Beirut",
    "America/St_Johns",  # half hours, and changes at one minute past midnight until 2011
    "America/Toronto",
    "UTC",
)
EARLY = int(datetime(1875, 1, 1, tzinfo=UTC).timestamp())  # local mean time in most zones
LATE = int(datetime(2060, 1, 1, tzinfo=UTC).timestamp())
instants = st.integers(EARLY, LATE)


def utc(text: str, zone: str = "UTC", fold: int = 0) -> int:
    """UTC second of wall-clock digits, by zoneinfo."""
    return int(datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(zone), fold=fold).timestamp())


def offset(zone: str, time_s: int) -> int:
    return int(datetime.fromtimestamp(time_s, ZoneInfo(zone)).utcoffset().total_seconds())


@given(st.sampled_from(ZONES), st.lists(instants, min_size=1, max_size=8))
def test_offsets_are_those_of_zoneinfo(zone, times):
    """Each instant's offset is the one zoneinfo gives, whatever other instants stand in the same array."""
    assert SiteClock(zone).offsets_s(times).tolist() == [offset(zone, one) for one in times]


@pytest.mark.parametrize("zone", ZONES)
def test_every_change_of_two_years_is_found_to_the_second(zone):
    """Second by second around each change of 2010 to 2025 the offset switches when zoneinfo's does."""
    clock = SiteClock(zone)
    hours = np.arange(utc("2010-01-01"), utc("2026-01-01"), 86_400)
    plain = np.array([offset(zone, int(one)) for one in hours])
    for at in np.flatnonzero(np.diff(plain)):
        low, high = int(hours[at]), int(hours[at + 1])
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (middle, high) if offset(zone, middle) == plain[at] else (low, middle)
        assert clock.offsets_s([high - 1, high]).tolist() == [plain[at], plain[at + 1]]


@given(st.sampled_from(ZONES), instants)
def test_parts_are_the_digits_of_the_wall_clock(zone, time_s):
    """Year, month, day, weekday, minute and day number are those of the aware datetime at that instant."""
    local = datetime.fromtimestamp(time_s, ZoneInfo(zone))
    parts = SiteClock(zone).parts([time_s])
    told = [int(one[0]) for one in (parts.year, parts.month, parts.day, parts.weekday, parts.minute, parts.day_number)]
    number = (local.date() - date(1970, 1, 1)).days
    assert told == [local.year, local.month, local.day, local.weekday(), local.hour * 60 + local.minute, number]


@given(st.sampled_from(ZONES), instants)
def test_local_digits_lead_back_to_the_instant(zone, time_s):
    """What a clock showed at an instant resolves to that instant, as the first or the last that showed it; it is not absent."""
    clock = SiteClock(zone)
    found = clock.resolve(clock.local_s([time_s]))
    assert time_s in (found.first_s[0], found.last_s[0])
    assert not found.absent[0]
    assert bool(found.ambiguous[0]) == (found.first_s[0] != found.last_s[0])


@given(st.sampled_from(ZONES), instants)
def test_repeated_and_skipped_digits_are_told_as_zoneinfo_tells_them(zone, seconds):
    """Digits are absent where zoneinfo's datetime does not survive the way to UTC and back, ambiguous where its folds differ."""
    naive = datetime(1970, 1, 1) + timedelta(seconds=seconds)
    first, last = (naive.replace(tzinfo=ZoneInfo(zone), fold=fold) for fold in (0, 1))
    survives = first.astimezone(UTC).astimezone(ZoneInfo(zone)).replace(tzinfo=None) == naive
    found = SiteClock(zone).resolve([seconds])
    assert bool(found.absent[0]) is not survives
    if survives:
        assert [int(found.first_s[0]), int(found.last_s[0])] == [int(first.timestamp()), int(last.timestamp())]


def test_repeated_hour_gives_both_instants():
    """On 26 October 2025 in Athens 03:30 came twice: at 00:30 and at 01:30 UTC."""
    clock = SiteClock("Europe/Athens")
    found = clock.resolve([utc("2025-10-26 03:30")])
    assert found.ambiguous.all()
    assert [clock.at(int(one)).isoformat() for one in (found.first_s[0], found.last_s[0])] == [
        "2025-10-26T03:30:00+03:00",
        "2025-10-26T03:30:00+02:00",
    ]


def test_skipped_hour_is_absent():
    """On 30 March 2025 in Athens 03:30 never came; without the change it would have been 01:30 UTC."""
    found = SiteClock("Europe/Athens").resolve([utc("2025-03-30 03:30"), utc("2025-03-30 04:00")])
    assert found.absent.tolist() == [True, False]
    assert found.first_s.tolist() == [utc("2025-03-30 01:30"), utc("2025-03-30 01:00")]


@pytest.mark.parametrize(
    ("zone", "day", "begins", "hours"),
    [
        # IANA: the clock went from 00:00 to 01:00 (UTC-3 to UTC-2), so the day began at 03:00 UTC and had 23 hours.
        ("America/Sao_Paulo", date(2017, 10, 15), "2017-10-15 03:00", 23),
        # IANA: 00:00 to 01:00 (UTC+2 to UTC+3) on 26 March 2017.
        ("Asia/Beirut", date(2017, 3, 26), "2017-03-25 22:00", 23),
        # IANA: 23:30 on 30 March 1919 to 00:30 on the 31st (UTC-5 to UTC-4): the day began at 04:30 UTC and had 23.5 h.
        ("America/Toronto", date(1919, 3, 31), "1919-03-31 04:30", 23.5),
        ("Europe/Athens", date(2025, 10, 26), "2025-10-25 21:00", 25),
        ("Australia/Lord_Howe", date(2025, 4, 6), "2025-04-05 13:00", 24.5),
        # Samoa's calendar had no 30 December 2011: it began and ended at the change, 10:00 UTC.
        ("Pacific/Apia", date(2011, 12, 30), "2011-12-30 10:00", 0),
    ],
)
def test_days_begin_at_midnight_or_at_the_jump(zone, day, begins, hours):
    """A local day begins at the first instant of its date; a day the clock jumps into begins at the jump."""
    start, end = SiteClock(zone).midnights_s(day, 1)
    assert start == utc(begins)
    assert (end - start) / 3600 == hours


@given(st.sampled_from(ZONES), st.dates(date(1975, 1, 1), date(2037, 1, 1)), st.integers(1, 40))
def test_midnights_are_the_first_instants_of_their_dates(zone, first, days):
    """Just before each beginning zoneinfo shows an earlier date; at it the date, or a later one if skipped."""
    for number, start in enumerate(SiteClock(zone).midnights_s(first, days)):
        day = first + timedelta(days=number)
        info = ZoneInfo(zone)
        assert datetime.fromtimestamp(int(start) - 1, info).date() < day <= datetime.fromtimestamp(int(start), info).date()


@given(
    st.sampled_from(ZONES), st.integers(utc("1975-01-01"), utc("2037-01-01")), st.sampled_from([60, 420, 900, 1800, 3600, 21_600])
)
def test_windows_hold_their_instant_and_begin_on_the_clock(zone, time_s, window_s):
    """A window begins at or before its instant, on a multiple of the window since midnight or at a jump."""
    clock = SiteClock(zone)
    start = int(clock.window_starts_s([time_s], window_s)[0])
    local = datetime.fromtimestamp(start, ZoneInfo(zone))
    since_midnight = local.hour * 3600 + local.minute * 60 + local.second
    jumped = offset(zone, start - 1) != offset(zone, start)
    assert start <= time_s < start + window_s + 7200  # two hours: the widest repeated stretch, at Troll
    assert since_midnight % window_s == 0 or jumped
    assert clock.window_starts_s([start], window_s)[0] == start


@given(st.sampled_from(ZONES), st.integers(utc("1975-01-01"), utc("2037-01-01")), st.sampled_from([900, 1800, 3600, 21_600]))
def test_windows_follow_one_another(zone, time_s, window_s):
    """Over two days, later instants never fall into earlier windows: windows do not overlap."""
    starts = SiteClock(zone).window_starts_s(time_s + 300 * np.arange(576), window_s)
    assert (np.diff(starts) >= 0).all()


@pytest.mark.parametrize(
    ("zone", "window_s", "times", "starts"),
    [
        # Lord Howe, 6 April 2025: 02:00 (+11) became 01:30 (+10:30) at 15:00 UTC. Hours: 01:00 to the second 02:00.
        ("Australia/Lord_Howe", 3600, ["14:15", "15:15", "15:45"], ["14:00", "14:00", "15:30"]),
        # Lord Howe, 5 October 2025 (below): 02:00 (+10:30) became 02:30 (+11) at 15:30 UTC; that hour lasted half an hour.
        ("Europe/Athens", 3600, ["00:30", "01:30"], ["00:00", "01:00"]),
        # Kathmandu keeps +05:45: its clock hours begin at a quarter past in UTC.
        ("Asia/Kathmandu", 3600, ["00:10", "00:20"], ["-00:45", "00:15"]),
    ],
)
def test_windows_at_odd_offsets_and_changes(zone, window_s, times, starts):
    """Clock hours are told apart where an hour is repeated, and follow quarter-hour offsets."""
    day = {"Australia/Lord_Howe": "2025-04-05", "Europe/Athens": "2025-10-26", "Asia/Kathmandu": "2025-01-10"}[zone]

    def second(text):
        hours, minutes = text.removeprefix("-").split(":")
        return utc(day) + (-1 if text.startswith("-") else 1) * (3600 * int(hours) + 60 * int(minutes))

    found = SiteClock(zone).window_starts_s([second(one) for one in times], window_s)
    assert found.tolist() == [second(one) for one in starts]


def test_window_cut_short_by_a_jump_begins_at_the_jump():
    """On 5 October 2025 Lord Howe's clock went from 02:00 to 02:30 at 15:30 UTC: the hour of 02 begins there."""
    at = utc("2025-10-04 15:30")
    assert SiteClock("Australia/Lord_Howe").window_starts_s([at - 1, at, at + 1799, at + 1800], 3600).tolist() == [
        at - 3600,
        at,
        at,
        at + 1800,
    ]


def test_windows_that_do_not_divide_a_day_begin_anew_at_midnight():
    """Seven-minute windows: 205 whole ones take 23 h 55 min, the next begins at 23:55, and midnight begins another."""
    midnight = utc("2025-01-01")
    found = SiteClock("UTC").window_starts_s(midnight + np.array([86_399, 86_400, 86_400 + 421]), 420)
    assert (found - midnight).tolist() == [205 * 420, 86_400, 86_400 + 420]


def test_empty_arrays_stay_empty():
    """Nothing asked, nothing told, in every direction."""
    clock = SiteClock("Europe/Athens")
    empty = np.zeros(0, np.int64)
    assert clock.offsets_s(empty).size == clock.resolve(empty).first_s.size == clock.window_starts_s(empty, 900).size == 0
    assert clock.parts(empty).year.size == 0


def test_text_shows_seconds_only_where_there_are_any():
    """The text of an instant is the local digits, year first."""
    clock = SiteClock("America/Toronto")
    assert clock.text(utc("2011-11-25 05:00")) == "2011-11-25 00:00"
    assert clock.text(utc("2011-11-25 05:00:07")) == "2011-11-25 00:00:07"
    assert clock.day_of(utc("2011-11-25 04:59")) == date(2011, 11, 24)


def test_clocks_are_equal_by_their_zone():
    """Two clocks of a zone are one value; a clock is not its name."""
    assert SiteClock("UTC") == SiteClock("UTC") != SiteClock("Europe/Athens")
    assert len({SiteClock("UTC"), SiteClock("UTC")}) == 1
    assert SiteClock("UTC") != "UTC"
    assert repr(SiteClock("UTC")) == "SiteClock('UTC')"


@pytest.mark.parametrize(
    ("zone", "step"),
    [("Europe/Athen", "Did you mean Europe/Athens?"), ("+02:00", "Look the name up in the IANA time zone list."), ("", "Look")],
)
def test_unknown_zone_is_refused_with_the_nearest(zone, step):
    """A zone that is not in the IANA list is an error that says what was found and what may have been meant."""
    with pytest.raises(InputError, match="IANA time zone") as refused:
        SiteClock(zone)
    assert refused.value.faults[0].found == f'"{zone}"'
    assert refused.value.faults[0].next_step.startswith(step)
