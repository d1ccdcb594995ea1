"""Hours of found loads: what the survey says of them adds up to the energy that was found.

Energies are added up here step by step from the lines as they are written, with the clock of the standard library: nothing of
ours but the lines. How near they must come, 3 %, and 5 % for a real house, was set before any was worked out; no source.
"""

import datetime as dt
from dataclasses import replace
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from tests.job.hand import write_job
from wattwright.core.calendar import days_between
from wattwright.core.clock import SiteClock
from wattwright.core.series import of_values
from wattwright.demand.analyse import analyse
from wattwright.demand.site import site_power
from wattwright.demand.survey.reconcile import reconcile
from wattwright.demand.switched.analyse import SwitchedLoad, what_switches
from wattwright.demand.switched.times import times_on
from wattwright.job.file import load_job
from wattwright.job.found import accept_load, proposed, taken_as
from wattwright.job.found_hours import hours_of
from wattwright.job.surveyed import expected_loads
from wattwright.record.read import read_record

MONDAY = dt.date(2025, 1, 20)
LEVEL_W = 1500.0
TYPES = (*["working day"] * 5, "Saturday", "Sunday or holiday")
SEASONS = ("winter", "winter", *["spring"] * 3, *["summer"] * 3, *["autumn"] * 3, "winter")
WEEK = 7 * 96


def made(share: np.ndarray, zone: str = "UTC", first: dt.date = MONDAY, step_s: int = 900, drawn: np.ndarray | float = 1.0):
    """A load that was on for these shares of each step and drew so much of its level, with the days and the clock."""
    clock = SiteClock(zone)
    start_s = int(dt.datetime.combine(first, dt.time(), ZoneInfo(zone)).timestamp())
    series = of_values(start_s, step_s, LEVEL_W * share * drawn)
    energy_kwh = float(np.nansum(series.values)) * step_s / 3.6e6
    times = times_on(share, start_s, step_s, clock, is_exact=True)
    load = SwitchedLoad("found-1", LEVEL_W, share, series, energy_kwh, 0.1, float(np.nanmean(share)), times, 1.0, 0.0)
    return load, days_between(clock, start_s, start_s + step_s * len(share)), clock


def surveyed_kwh(lines: list[dict], load: SwitchedLoad, zone: str) -> float:
    """What lines of hours add up to over the quarter hours that were read, at the level of the load."""
    series, total = load.power_w, 0.0
    for at in np.flatnonzero(~np.isnan(load.share)):
        for part in range(max(1, series.step_s // 900)):
            when = dt.datetime.fromtimestamp(int(series.start_s + at * series.step_s + part * 900), ZoneInfo(zone))
            duties = [float(one["duty"].removesuffix("%")) / 100 for one in lines if holds(one, when)]
            assert len(duties) <= 1  # no time of day stands in two lines
            total += sum(duties) * LEVEL_W / 1000 * min(series.step_s, 900) / 3600
    return total


def holds(line: dict, when: dt.datetime) -> bool:
    """Whether a time lies in a line of hours: on its types of day, in its seasons, between its beginning and its end."""
    begins, ends, at = line.get("from", dt.time(0)), line.get("until", dt.time(0)), when.time()
    inside = begins <= at < ends if begins < ends else at >= begins or at < ends
    on_days = "days" not in line or TYPES[when.weekday()] in line["days"]
    return inside and on_days and ("seasons" not in line or SEASONS[when.month - 1] in line["seasons"])


@st.composite
def runs(draw):
    """Zone, first day, step and shares of a load: spans at any hour that differ by day and season, and runs at random beside."""
    zone, step_s = draw(st.sampled_from(["UTC", "Europe/Athens", "Asia/Kolkata"])), draw(st.sampled_from([300, 900, 3600]))
    first = MONDAY + dt.timedelta(days=draw(st.integers(0, 364)))
    a_day, weeks = 86400 // step_s, draw(st.integers(1, 4))
    day, at = np.divmod(np.arange(7 * weeks * a_day), a_day)
    generator = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    chance = np.full(len(day), draw(st.sampled_from([0.0, 0.003, 0.03, 0.2])))
    for _ in range(draw(st.integers(0, 4))):
        begins, length = draw(st.integers(0, a_day - 1)), draw(st.integers(1, a_day // 2))
        by_type = np.array(draw(st.tuples(*[st.sampled_from([0.0, 0.1, 0.4, 1.0])] * 3)))
        late = draw(st.sampled_from([1.0, 0.3]))
        now = by_type[np.clip((first.weekday() + day) % 7 - 4, 0, 2)] * np.where(day < 14, 1.0, late)
        chance = np.where((at - begins) % a_day < length, np.maximum(chance, now), chance)
    share = (generator.random(len(day)) < chance) * generator.choice([1.0, 0.5], len(day))
    lost = draw(st.integers(0, len(day) // 5))
    share[lost : lost + draw(st.integers(0, a_day))] = np.nan
    return share, zone, first, step_s


@settings(max_examples=60)
@given(runs())
def test_lines_add_up_to_what_was_found(drawn) -> None:
    """Whatever the hours, on whatever days: no more than six lines, and hours x duty x level are the energy found, to 3 %."""
    share, zone, first, step_s = drawn
    load, days, clock = made(share, zone, first, step_s)
    lines = hours_of(load, days, clock)
    assert len(lines) <= 6
    assert surveyed_kwh(lines, load, zone) == pytest.approx(load.energy_kwh, rel=0.03)


def test_what_ran_outside_its_hours_is_told_too() -> None:
    """Half of the evening from 19 to 23 and four quarter hours of the twenty hours beside: 2 h and 1 h a day."""
    slot = np.arange(4 * WEEK) % 96
    share = np.where((slot >= 76) & (slot < 92), 0.5, np.where(slot % 20 == 0, 1.0, 0.0))
    assert hours_of(*made(share)) == [
        {"from": dt.time(19), "until": dt.time(23), "duty": "50 %"},
        {"from": dt.time(23), "until": dt.time(19), "duty": "5 %"},
    ]


def by_kind(working: tuple[float, float], saturday: tuple[float, float], sunday: tuple[float, float]) -> np.ndarray:
    """Shares of each quarter hour of ten weeks, of winter and of spring: 30 and 20 working days, 5 Saturdays and Sundays each."""
    day = np.arange(10 * WEEK) // 96
    return np.array([*[working] * 5, saturday, sunday])[day % 7, (day >= 40).astype(int)]  # 1 March follows


def test_the_rest_of_the_day_is_told_more_coarsely_first() -> None:
    """From 6 to 12 five shares; the rest in two would be seven lines. Together: (50 x 13 % + 20 x 2 %) / 70 = 9.9 %."""
    slot = np.arange(10 * WEEK) % 96
    span = by_kind((1.0, 0.5), (0.8, 0.55), (0.3, 0.3))
    share = np.where((slot >= 24) & (slot < 48), span, by_kind((0.13, 0.13), (0.02, 0.02), (0.02, 0.02)))
    lines = hours_of(*made(share))
    assert [one["duty"] for one in lines] == ["100 %", "50 %", "80 %", "55 %", "30 %", "9.9 %"]
    assert lines[-1] == {"from": dt.time(12), "until": dt.time(6), "duty": "9.9 %"}


def test_types_of_day_stay_apart_where_seasons_no_longer_do() -> None:
    """Two spans of four shares each are too many; by type of day (30 x 100 % + 20 x 60 %) / 50 and the mean of 50 and 30 %."""
    slot = np.arange(10 * WEEK) % 96
    on = ((slot >= 24) & (slot < 40)) | ((slot >= 64) & (slot < 80))
    span = by_kind((1.0, 0.6), (0.5, 0.3), (0.5, 0.3))
    lines = hours_of(*made(np.where(on, span, by_kind((0.14, 0.14), (0.03, 0.03), (0.03, 0.03)))))
    assert [one["duty"] for one in lines] == ["84 %", "40 %", "11 %", "84 %", "40 %", "11 %"]  # (50 x 14 % + 20 x 3 %) / 70
    assert [one.get("days") for one in lines] == [["working day"], ["Saturday", "Sunday or holiday"], None] * 2


def test_a_stray_run_makes_no_line() -> None:
    """One quarter hour in four weeks beside four hours of every day is no thousandth of it."""
    slot = np.arange(4 * WEEK) % 96
    share = np.where((slot >= 24) & (slot < 40), 1.0, 0.0)
    share[96 * 3 + 70] = 1.0
    assert hours_of(*made(share)) == [{"from": dt.time(6), "until": dt.time(10), "duty": "100 %"}]


def test_energy_is_told_by_the_power_drawn() -> None:
    """On throughout at 3 % below its usual voltage it draws 94 % of its level; 3 % above no more than all is said."""
    share = np.ones(WEEK)
    assert hours_of(*made(share, drawn=0.97**2)) == [{"duty": "94 %"}]
    assert hours_of(*made(share, drawn=1.03**2)) == [{"duty": "100 %"}]


def test_a_share_has_the_digits_that_it_takes() -> None:
    """1.049 % as 1.0 % would be 5 % less than was found; 6.92 % as 6.9 % is near enough."""
    assert hours_of(*made(np.full(WEEK, 0.01049))) == [{"duty": "1.05 %"}]
    assert hours_of(*made(np.full(WEEK, 0.0692))) == [{"duty": "6.9 %"}]


def test_hours_that_nobody_read_are_named() -> None:
    """Five working days of January say nothing of other days and seasons; a year says all. One never on has none to doubt."""
    slot = np.arange(365 * 24) % 24
    share = np.where((slot >= 6) & (slot < 10), 1.0, 0.0)
    short, days, clock = made(share[: 5 * 24], step_s=3600)
    entry = proposed(short, days, clock)
    assert entry["note"].endswith("; not read, and taken to be as the rest: Saturday, Sunday or holiday, spring, summer, autumn")
    assert set(entry["hours"][0]) == {"from", "until", "duty"}
    assert "not read" not in proposed(*made(share, step_s=3600))["note"]
    never = proposed(*made(0 * share[: 5 * 24], step_s=3600))
    assert "hours" not in never
    assert "not read" not in never["note"]


def test_a_small_level_keeps_its_figures() -> None:
    """54.4 W is told to the watt, or its hours would count 8 % less than was found; 1500 W to ten."""
    load, days, clock = made(np.full(WEEK, 0.5))
    assert proposed(replace(load, level_w=54.4), days, clock)["rating"] == "0.054 kW"
    assert proposed(load, days, clock)["rating"] == "1.50 kW"


def test_a_load_that_was_taken_stays_so_when_its_note_goes_on(tmp_path) -> None:
    """What a person writes behind the note it was taken with makes no other load of it; another load of its level is another."""
    load, days, clock = made(np.full(WEEK, 0.5))
    entry = proposed(load, days, clock)
    path = write_job(tmp_path / "job") / "job.toml"
    accept_load(path, {**entry, "note": f"{entry['note']}; plate read: 1.5 kW"})
    loads = load_job(path).spec.loads
    assert taken_as(load, loads) == loads[-1]
    assert taken_as(replace(load, duty=0.7), loads) is None


def test_a_real_house_adds_up_once_what_was_found_is_taken(shared_data, tmp_path) -> None:
    """Each load of the house near Paris (household-minute, UCI), taken with its hours unchanged, is its energy to 5 %."""
    clock = SiteClock("Europe/Paris")
    record = read_record(shared_data / "household-minute.csv.gz", clock.zone)
    power = site_power(record)
    days = analyse(record, clock).days
    loads = what_switches(power, record, clock).loads
    path = write_job(tmp_path / "job") / "job.toml"
    for one in loads:
        entry = proposed(one, days, clock)
        assert len(entry["hours"]) <= 6
        accept_load(path, entry)
    spec = load_job(path).spec
    held = {one.name: one.surveyed_kwh for one in reconcile(power.series, clock, days, expected_loads(spec)).loads}
    taken = {one.id: held[taken_as(one, spec.loads).name] for one in loads}
    assert len(taken) >= 3
    assert taken == {one.id: pytest.approx(one.energy_kwh, rel=0.05) for one in loads}
