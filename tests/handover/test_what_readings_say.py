"""Sections of the desk made of readings alone: kinds of days, a year, voltage, loads found, and whether the survey adds up."""

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from tests.handover.kit import PLAIN, assessment_of, captioned, cells, hours, sentences
from wattwright.core.show import THIN
from wattwright.demand.habits.change_points import Shape
from wattwright.handover.adds_up import adds_up
from wattwright.handover.context import Context
from wattwright.handover.evidence import survey
from wattwright.handover.found import found_loads
from wattwright.handover.habits import days_alike
from wattwright.handover.opening import notes_beside
from wattwright.handover.paper import Caution, MarginNote, Section, Steps, TableBlock
from wattwright.handover.quality import quality
from wattwright.handover.report import readings_of
from wattwright.handover.whole_year import whole_year
from wattwright.job.assessment import Assessment
from wattwright.job.refused import without_refused

STEP_S, DAYS = 600, 70
SITE = (
    PLAIN
    + """
[supply]
system = "single-phase"
voltage = "230 V"
main_protection = "40 A"
[[loads]]
id = "heater"
name = "Water heater"
kind = "water heater"
rating = "2 kW"
hours = [{ from = "06:00", until = "10:00", duty = "100 %" }]
[[loads]]
id = "bottle"
name = "Bottle warmer"
kind = "other"
rating = "500 W"
[[not_loads]]
level = "2 kW"
reason = "the bakery next door, seen by its owner"
"""
)


def readings() -> str:
    """Ten weeks in steps of 10 min: a house heated below 16 degC, away on four days, a 2 kW heater from 06:00 to 10:00.

    The voltage lies at 230 V, in a tenth of the second week at 200 V (below 90 %), once at 190 V (below 85 %); the third week has
    a gap of a day.
    """
    draws = np.random.default_rng(5)
    lines = ["time,P [kW],U [V],Outdoor temperature [degC]"]
    first = datetime(2025, 1, 6)  # a Monday
    for i in range(DAYS * 86400 // STEP_S):
        day, slot = divmod(i, 86400 // STEP_S)
        if day == 16:
            continue
        outside = 4.0 + 0.35 * day + draws.normal(0, 0.2)
        kw = 0.3 + 0.1 * max(16.0 - outside, 0.0) + draws.normal(0, 0.01)
        kw = 0.05 if 40 <= day < 44 else kw + (2.0 if 36 <= slot < 60 else 0.0)
        volts = 190.0 if (day, slot) == (9, 0) else 200.0 if day in (7, 8) and slot % 3 == 0 else 230.0
        lines.append(f"{first + timedelta(seconds=STEP_S * i):%Y-%m-%d %H:%M},{kw:.3f},{volts:.1f},{outside:.2f}")
    return "\n".join(lines) + "\n"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Assessment:
    """The job of that house."""
    return assessment_of(tmp_path_factory.mktemp("house"), readings(), SITE)


@pytest.fixture(scope="module")
def context(made: Assessment) -> Context:
    """Its results."""
    return readings_of(made)


def words(section: Section) -> str:
    """What a section says, with thin spaces as blanks."""
    return sentences(section).replace(THIN, " ")


def test_days_fall_into_kinds_with_their_break_and_their_weather(made: Assessment, context: Context) -> None:
    """What was put in comes out: four days away, the change point at 16 degC, 2.4 kWh a day for each kelvin."""
    section = days_alike(context, made.habits())
    assert "explains" in words(section)
    assert [row[:2] for row in cells(captioned(section, "Breaks, in which the site was hardly used"))] == [["15 Feb 2025", "4"]]
    table = cells(captioned(section, "How energy follows the outdoor temperature"))
    fitted = {row[0]: [float(one) for one in row[1:4]] for row in table}
    for name, put_in in (("change", 16.0), ("heating", 2.4)):
        value, low, high = fitted[name]
        assert low <= value <= high
        assert value == pytest.approx(put_in, rel=0.1)
    groups = cells(captioned(section, "Kinds of days"))
    assert sum(int(row[1]) for row in groups) == 69  # the day of the gap is in none
    assert "Standby is" in words(section)


def test_days_that_follow_nothing_or_cannot_be_told(made: Assessment, context: Context) -> None:
    """A flat response is a sentence and no table; no day at all, or one kind alone, is said."""
    given = made.habits()
    flat = replace(given, response=replace(given.response, shape=Shape.FLAT))
    assert "does not follow the outdoor temperature in 69 days" in words(days_alike(context, flat))
    groups = given.groups
    one = replace(groups, of_day=np.zeros_like(groups.of_day), course_w=groups.course_w[:1])
    none = replace(groups, of_day=np.full_like(groups.of_day, -1), course_w=groups.course_w[:0])
    assert "All days are of one kind" in words(days_alike(context, replace(given, groups=one)))
    nothing = replace(given, groups=none, breaks=(), response=None, base=replace(given.base, standby_w=float("nan")))
    told = days_alike(context, nothing)
    assert "No day was read throughout" in words(told)
    assert not any(isinstance(block, TableBlock) for block in told.blocks)


def test_ten_weeks_make_a_year_with_a_band(made: Assessment, context: Context) -> None:
    """The year holds what was read, lies between its bounds, and a year that was read throughout needs no section."""
    given = made.annualised()
    section = whole_year(context, given)
    assert section is not None
    assert "in nine cases of ten between" in words(section)
    assert "of it" in words(section).lower()
    read = replace(given.year, low_kwh=given.year.energy_kwh, high_kwh=given.year.energy_kwh)
    assert whole_year(context, replace(given, year=read)) is None
    short = whole_year(context, replace(given, year=None))
    assert short is not None
    assert "too few to make a year" in words(short)


def test_voltage_is_told_by_week_with_limits_that_protect_nothing(made: Assessment, context: Context) -> None:
    """EN 50160: 95 % of a week's ten-minute means within 10 %, all within 85 to 110 %; here the second week fails both."""
    section = quality(context, made.supply_quality())
    assert section is not None
    assert "8 of 10 whole weeks" in words(section)
    low, high = (
        cells(captioned(section, "Lowest and highest means"))[0][3],
        cells(captioned(section, "Lowest and highest means"))[0][5],
    )
    assert (low, high) == ("190.0", "230.0")
    second, third = cells(captioned(section, "The other weeks of U [V]"))
    # 2 days, each third of 144 means, and the one at 190 V: 97 of 1,008 are 9.6 %.
    assert second == ["13 Jan 2025", "1,008", "1,008", "97", "1", "not passed", "not passed"]
    assert [*third[:3], third[5]] == ["20 Jan 2025", "864", "1,008", "not made"]
    assert any(isinstance(block, Steps) for block in section.blocks)
    assert any(isinstance(block, Caution) and "licensed electrician" in str(block.words) for block in section.blocks)


def test_unbalance_and_a_voltage_of_no_supply_are_told(tmp_path: Path) -> None:
    """230, 230 and 218.5 V: the mean is 226.17 V, 7.67 V from it the largest deviation, 3.39 %; of 77 V no band is known."""
    rows = [f"2025-03-03 {i // 6:02d}:{i % 6}0,6,230,230,218.5,10,10,5,77" for i in range(60)]
    heads = "time,P [kW],U L1 [V],U L2 [V],U L3 [V],I L1 [A],I L2 [A],I L3 [A],U bench [V]"
    made = assessment_of(tmp_path, "\n".join([heads, *rows]) + "\n")
    section = quality(readings_of(made), made.supply_quality())
    assert section is not None
    assert "usually 3.39 %" in words(section)
    # 10, 10 and 5 A: the mean is 8.33 A, 3.33 A from it the largest deviation, 40 %.
    assert "40.0 % of the means" in words(section) or "mean: 40.0 %" in words(section)
    assert "U bench [V]:" not in words(section)


def test_power_alone_says_nothing_of_the_supply(tmp_path: Path) -> None:
    """Without voltage and current there is no such section."""
    alone = assessment_of(tmp_path, hours([1.0, 2.0] * 24))
    assert quality(readings_of(alone), alone.supply_quality()) is None


def test_a_found_load_is_told_or_was_refused(made: Assessment, context: Context) -> None:
    """The heater is found by its level and its hours; the job says what it is instead, so that only the reason is told."""
    given = made.switched()
    row = cells(captioned(found_loads(context, given, ()), "What switches"))[0]
    assert float(row[0]) == pytest.approx(2.0, rel=0.05)
    assert float(row[3]) == pytest.approx(100 * 4 / 24 * 65 / 69, abs=1.0)
    assert "06:00" in row[6]
    assert row[7] == "Water heater"
    kept, refused = without_refused(given, context.spec.not_loads)
    section = found_loads(context, kept, refused)
    assert "the bakery next door, seen by its owner" in words(section)
    assert not any(one.data.get("level") == given.loads[0].level_w for one in kept.findings)
    nothing = found_loads(context, replace(kept, loads=()), ())
    assert "No load can be told from the others" in words(nothing)


def test_runs_are_told_where_single_switchings_are_seen(made: Assessment, context: Context) -> None:
    """In coarse steps no runs can be counted, so none are told; a load at any hour and of no surveyed level says so."""
    given = made.switched()
    of = replace(given.loads[0], level_w=7000.0, times=replace(given.loads[0].times, windows=()))
    coarse, fine = (
        cells(captioned(found_loads(context, replace(given, loads=(of,), is_exact=exact), ()), "What switches"))[0]
        for exact in (False, True)
    )
    assert (coarse[4], fine[4] == str(of.times.starts)) == ("", True)
    assert "at any hour" in coarse[6]
    assert coarse[7] == "none of the survey: see on site"


def test_a_sum_over_three_conductors_is_held_against_no_rating_of_one(tmp_path: Path) -> None:
    """45 A in all over three conductors of 20 A each may well be 15 A in each: nothing is said to be above its rating."""
    rows = [f"2025-03-03 {i // 6:02d}:{i % 6}0,9,45" for i in range(60)]
    text = "\n".join(["time,P [kW],I [A]", *rows]) + "\n"
    supply = '[supply]\nsystem = "{}"\nvoltage = "230 V"\nmain_protection = "20 A"\n'
    for system, is_judged in (("three-phase", False), ("single-phase", True)):
        folder = tmp_path / system
        folder.mkdir()
        made = assessment_of(folder, text, PLAIN + supply.format(system))
        told = {one.code for one in made.supply_quality().findings}
        assert ("demand.over-rating" in told) == is_judged
        assert ("demand.current-of-no-conductor" in told) != is_judged
        assert any(one.name == "over-current" for one in made.supply_quality().limits) == is_judged
        assert ("handover.above-rating" in {one.code for one in notes_beside(readings_of(made))}) == is_judged


def test_a_survey_smaller_than_the_readings_says_so(tmp_path: Path) -> None:
    """A site of 3 kW with one load of 1 kW in its survey has no coincidence factor, and a share above all is no share."""
    one = SITE[SITE.index("[[loads]]") : SITE.index("[[not_loads]]")].replace('"2 kW"', '"600 W"')
    made = assessment_of(tmp_path, hours([1.0, 3.0] * 24), PLAIN + one)
    of = readings_of(made)
    told = words(adds_up(of, made.reconciled(), 5000.0))
    assert "no coincidence factor can be told" in told
    assert "coincidence factor is" not in told
    assert "does not hold yet all that runs" in words(survey(of))
    assert "all at once" not in words(survey(of))
    assert "in no hour does it say too much" in told
    # 3 kW in the busiest hour of 10 kW of ratings.
    assert "The coincidence factor is 0.300." in words(adds_up(of, replace(made.reconciled(), installed_w=10_000.0), 5000.0))
    assert "Only hours that were read" not in told


def test_the_survey_adds_up_exactly(made: Assessment, context: Context) -> None:
    """Measured is explained and unexplained together, in each row; a load that the readings cannot tell has no factor."""
    section = adds_up(context, made.reconciled(), 5000.0)
    for row in cells(captioned(section, "The survey against the readings")):
        measured, explained, unexplained = (float(one.replace(",", "")) for one in row[1:4])
        assert measured == pytest.approx(explained + unexplained, abs=0.11)
    loads = {
        row[0]: row[2:]
        for row in cells(captioned(section, "Each load by the survey and by the readings; empty where they cannot tell it"))
    }
    assert loads["Bottle warmer"] == ["", "", ""]
    assert float(loads["Water heater"][0]) == pytest.approx(1.0, abs=0.15)
    assert "5.000 kW at once" in words(section) or "5.00 kW at once" in words(section)
    assert any(isinstance(block, MarginNote) for block in section.blocks)
