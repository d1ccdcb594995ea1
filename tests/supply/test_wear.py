"""How a battery ages: cycles against the standard's own history, models against published points, and what must always hold."""

from datetime import date
from itertools import pairwise
from math import exp, inf, log

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from pydantic import ValidationError

from tests.job.simulated import PUMP, SUPPLY, TIMES, hourly, question
from wattwright.core.errors import InputError
from wattwright.core.fields import Held
from wattwright.core.show import Show
from wattwright.supply.wear.ageing import ageing
from wattwright.supply.wear.cold import lasts_s, peukert_exponent, temperature_factor
from wattwright.supply.wear.cycles import count_cycles
from wattwright.supply.wear.daily import life_years
from wattwright.supply.wear.data_sheet import cycles_until_worn, warmth
from wattwright.supply.wear.spec import Wear
from wattwright.supply.wear.xu_2018 import lost_share, stress_until

SHARES = st.floats(0, 1).map(lambda one: round(one, 4))
COURSES = st.lists(SHARES, min_size=2, max_size=60).map(np.array)
MODELS = st.sampled_from(["data sheet", "Xu 2018"])
DAYS = 365


def wear(**given) -> Wear:
    held = {"cell_c", "end_share"}
    return Wear(**{key: Held(value) if key in held else value for key, value in given.items()})


def days(depth: float, each: int = 1, middle: float = 0.5) -> np.ndarray:
    """A year of hours in which charge goes up and down ``each`` times a day by ``depth`` about ``middle``."""
    half = 12 // each
    one = np.concatenate((np.full(half, middle + depth / 2), np.full(half, middle - depth / 2)))
    return np.tile(one, each * DAYS)


def test_lives_by_what_passes_through_each_day() -> None:
    """By hand from one point of 3,000 full cycles: half a cycle a day lasts twice as long, two last half."""
    spec = wear(depth=((1.0, 3000.0),), calendar_years=30.0)
    lives = life_years(spec, np.array([0.0, 0.01, 0.5, 1.0, 2.0, 4.0, 20.0]))
    # A full cycle and the same energy at half the depth wear alike: 3,000 / 365 years of one a day.
    assert lives == pytest.approx([30.0, 30.0, 6000 / 365, 3000 / 365, 1500 / 365, 750 / 365, 150 / 365], rel=0.01)
    assert (np.diff(lives) <= 1e-9).all()


@pytest.mark.parametrize("model", ["data sheet", "Xu 2018"])
@pytest.mark.parametrize("depth", [0.1, 0.4, 0.77, 1.0])
def test_a_life_by_the_day_is_that_of_the_course(model: str, depth: float) -> None:
    """A year of one cycle a day from full, aged cycle by cycle, lasts as long, but for drawing straight between depths."""
    spec = wear(model=model)
    course = np.tile((1.0, 1.0 - depth), DAYS)
    assert life_years(spec, np.array([depth]))[0] == pytest.approx(ageing(spec, course, 43_200.0, 1).life_years, rel=0.02)


def test_cycles_of_the_standard() -> None:
    """The history of ASTM E1049-85 fig. 6 gives the ranges, means and counts of its text, in their order."""
    found = count_cycles(np.array([-2.0, 1, -3, 5, -1, 3, -4, 4, -2]))
    triples = list(zip(found.depth_share, found.mean_share, found.counts, strict=True))
    assert triples == [
        (3, -0.5, 0.5), (4, -1, 0.5), (4, 1, 1), (8, 1, 0.5), (9, 0.5, 0.5), (8, 0, 0.5), (6, 1, 0.5),
    ]  # fmt: skip


@given(COURSES)
def test_full_cycles_are_half_of_what_moved(course: np.ndarray) -> None:
    """Depth times count adds up to half of all that the charge went up and down, however it went."""
    found = count_cycles(course)
    assert found.full_cycles == pytest.approx(np.abs(np.diff(course)).sum() / 2, abs=1e-12)
    assert (found.first < found.last).all()
    low, high = (np.array([pick(course[a : b + 1]) for a, b in zip(found.first, found.last, strict=True)]) for pick in (min, max))
    assert (found.depth_share <= high - low + 1e-12).all()


@given(COURSES, st.integers(1, 4))
def test_standing_still_is_no_cycle(course: np.ndarray, times: int) -> None:
    """A course in which each value stands for longer has the same cycles."""
    short, long = count_cycles(course), count_cycles(np.repeat(course, times))
    assert np.array_equal(short.depth_share, long.depth_share)
    assert np.array_equal(short.counts, long.counts)


def slow_ranges(course: list[float]) -> list[tuple[float, float]]:
    """The rules of E1049-85, 5.4.4, step by step on a plain list of turning points: (range, count), sorted."""
    points = [course[0]]
    for value in course[1:]:
        if len(points) > 1 and (points[-1] - points[-2]) * (value - points[-1]) >= 0:
            points[-1] = value
        elif value != points[-1]:
            points.append(value)
    held: list[float] = []
    out = []
    for value in points:
        held.append(value)
        while len(held) >= 3 and abs(held[-1] - held[-2]) >= abs(held[-2] - held[-3]):
            if len(held) == 3:
                out.append((abs(held[1] - held[0]), 0.5))
                held.pop(0)
            else:
                out.append((abs(held[-2] - held[-3]), 1.0))
                del held[-3:-1]
    return sorted(out + [(abs(b - a), 0.5) for a, b in pairwise(held)])


@given(st.lists(st.integers(0, 9), min_size=2, max_size=40))
def test_cycles_as_a_slow_twin_counts(course: list[int]) -> None:
    """Ranges and counts are those of the standard's rules, written out plainly."""
    found = count_cycles(np.array(course, np.float64))
    moved = [(depth, count) for depth, count in slow_ranges([float(one) for one in course]) if depth]
    assert sorted(zip(found.depth_share, found.counts, strict=True)) == moved


def test_a_battery_that_never_moves_has_no_cycles() -> None:
    """Standing charge wears nothing by cycles: time alone decides, and nothing is said of cycles."""
    for model in ("data sheet", "Xu 2018"):
        found = ageing(
            wear(model=model, depth=((0.8, 5000.0),), calendar_years=12, warm_factor=2.0), np.full(8760, 0.5), 3600.0, 3
        )
        assert (found.full_cycles_per_year, found.cycle_years) == (0.0, inf)
        assert "supply.wear-rests" not in {one.code for one in found.findings}
    assert ageing(wear(calendar_years=12.0), np.full(8760, 0.5), 3600.0, 3).life_years == pytest.approx(12.0)


def test_a_year_of_daily_cycles_by_hand() -> None:
    """365 cycles less half of one at the ends, of 80 % where 5000 such wear it out: 364.5 / 5000 of its life in a year."""
    found = ageing(wear(calendar_years=30.0), days(0.8), 3600.0, 20)
    assert found.life_years == pytest.approx(5000 / 364.5)
    assert found.lost_share[:2] == pytest.approx([0.2 * 364.5 / 5000, 0.4 * 364.5 / 5000])
    assert (found.decides, found.rest_years, found.whole_years(25)) == ("cycles", pytest.approx(30.0), 13)
    assert found.full_cycles_per_year == pytest.approx(0.8 * 364.5)


def test_life_in_whole_years_for_money() -> None:
    """A part lives at least one year and no longer than money looks."""
    assert ageing(wear(depth=((1.0, 100.0),)), days(1.0), 3600.0, 2).whole_years(25) == 1
    assert ageing(wear(calendar_years=60.0), np.full(8760, 0.5), 3600.0, 2).whole_years(25) == 25


def test_lost_capacity_ends_at_nothing() -> None:
    """No more than all of the capacity is ever lost."""
    lost = ageing(wear(depth=((1.0, 100.0),)), days(1.0), 3600.0, 20).lost_share
    assert lost[-1] == 1.0
    assert (np.diff(lost) >= 0).all()


def test_points_of_a_data_sheet_are_met() -> None:
    """Cycles at the depths a data sheet names are those it names; between two points the power law through them holds.

    N = 3000 D^-1.7565 through 3000 at 100 % and 15 000 at 40 %: 4440 at 80 %, 7359 at 60 % (arithmetic by hand).
    """
    points = ((0.4, 15000.0), (0.6, 8000.0), (0.8, 5000.0), (1.0, 3000.0))
    assert cycles_until_worn(points, np.array([0.4, 0.6, 0.8, 1.0])) == pytest.approx([15000, 8000, 5000, 3000])
    assert cycles_until_worn((points[0], points[3]), np.array([0.8, 0.6])) == pytest.approx([4440, 7359], abs=1)
    below = cycles_until_worn(points, np.array([0.2]))[0]
    assert below == pytest.approx(15000 * (8000 / 15000) ** (log(0.2 / 0.4) / log(0.6 / 0.4)))


def test_a_single_point_keeps_its_energy() -> None:
    """From one point of a data sheet as much energy passes through at every depth."""
    assert cycles_until_worn(((0.8, 5000.0),), np.array([0.8, 0.4, 1.0])) == pytest.approx([5000, 10000, 4000])


def test_warmth_by_arrhenius() -> None:
    """Twice as fast at 35 as at 25 degC is 52.9 kJ/mol; 31.7 kJ/mol is 1.514 (by hand, R = 8.314 J/mol K)."""
    assert warmth(np.array([25.0, 35.0]), 2.0) == pytest.approx([1.0, 2.0])
    assert warmth(np.array([45.0]), 2.0)[0] == pytest.approx(exp(52_949 / 8.314 * (1 / 298.15 - 1 / 318.15)), rel=1e-3)
    assert exp(31_700 / 8.314 * (1 / 298.15 - 1 / 308.15)) == pytest.approx(1.514, abs=5e-4)


def test_the_stress_until_a_loss_is_its_inverse() -> None:
    """The stress found for a loss brings just that loss."""
    for lost in (0.01, 0.05, 0.2, 0.4):
        assert float(lost_share(np.array(stress_until(lost)))) == pytest.approx(lost, abs=1e-12)


@settings(max_examples=60)
@given(MODELS, st.sampled_from([1, 2, 3]), st.floats(0.02, 0.9), st.floats(0, 0.09), st.floats(-20, 50), st.floats(0, 10))
def test_deeper_more_often_and_hotter_never_age_less(
    model: str, each: int, depth: float, more: float, cells: float, hotter: float
) -> None:
    """About the same mean charge, deeper cycles, more of them, or warmer cells never leave more capacity."""

    def lost(depth: float, each: int, cells: float) -> np.ndarray:
        return ageing(wear(model=model, cell_c=cells), days(depth, each), 3600.0, 12).lost_share

    plain = lost(depth, each, cells) - 1e-12
    assert (lost(depth + more, each, cells) >= plain).all()
    assert (lost(depth, each * 2, cells) >= plain).all()
    assert (lost(depth, each, cells + hotter) >= plain).all()


@given(MODELS, COURSES, st.integers(1, 5))
def test_loss_only_grows_and_the_life_is_where_it_says(model: str, course: np.ndarray, years: int) -> None:
    """Capacity never comes back, and the life is the year in which the loss passes that of the end."""
    found = ageing(wear(model=model), course, 86_400.0, years)
    assert (np.diff(found.lost_share) >= 0).all()
    after = np.arange(1, years + 1) >= found.life_years
    assert np.array_equal(found.lost_share >= 0.2 - 1e-9, after | np.isclose(found.lost_share, 0.2, atol=1e-9))
    assert found.life_years <= min(found.cycle_years, found.rest_years) * (1 + 1e-12)


def test_a_summer_of_heat_counts_where_it_is() -> None:
    """Cells warm while the battery works age more than while it rests (Xu 2018); at rest the mean of the factor counts."""
    working = np.concatenate((days(0.8)[:4380], np.full(4380, 0.5)))
    warm = np.where(np.arange(8760) < 4380, 40.0, 20.0)
    spec = wear(model="Xu 2018")
    at_work, at_rest = (ageing(spec, working, 3600.0, 5, cells) for cells in (warm, warm[::-1]))
    assert (at_work.lost_share > at_rest.lost_share).all()
    sheet = wear(calendar_years=10.0, warm_factor=2.0)
    found = ageing(sheet, np.full(2, 0.5), 3600.0, 1, np.array([25.0, 35.0]))
    assert found.rest_years == pytest.approx(10 / 1.5)


def test_what_is_told() -> None:
    """Usual values, short courses, early ends and idle batteries are said, each with the reason and what to do."""
    codes = {one.code for one in ageing(wear(), days(0.3)[: 24 * 40], 3600.0, 5).findings}
    assert codes == {"supply.wear-usual", "supply.wear-short-course", "supply.wear-rests"}
    whole = wear(depth=((0.8, 1000.0),), calendar_years=12, warm_factor=2)
    assert {one.code for one in ageing(whole, days(0.8, 3), 3600.0, 5).findings} == {"supply.wear-soon"}
    found = ageing(wear(chemistry="lead-acid", calendar_years=5.5), days(0.2), 3600.0, 5)
    text = next(one.says(Show()) for one in found.findings if one.code == "supply.wear-usual")
    assert "lead-acid" in text
    assert "cycles by depth, ageing when warm" in text
    assert [one.code for one in ageing(wear(model="Xu 2018"), days(0.3), 3600.0, 5).findings] == ["supply.wear-other-cell"]


@pytest.mark.parametrize(
    "depth",
    [
        ((0.8, 3000.0), (0.5, 5000.0)),
        ((0.5, 3000.0), (0.8, 5000.0)),
        ((0.0, 9.0),),
        ((1.2, 9.0),),
        ((0.5, 0.5),),
        ((0.5, inf),),
        ((0.5, np.nan),),
    ],
)
def test_a_data_sheet_read_wrongly_is_refused(depth) -> None:
    """Depths that do not rise, cycles that do not fall and depths that are none are refused with what to do."""
    with pytest.raises(ValidationError, match="depths rising and cycles falling"):
        wear(depth=depth)


def test_a_model_of_lithium_is_not_lent_to_lead() -> None:
    """The published model was fitted to lithium cells and says nothing of lead-acid."""
    with pytest.raises(ValidationError, match="lithium cells"):
        wear(model="Xu 2018", chemistry="lead-acid")


@pytest.mark.parametrize(
    ("course", "step_s", "cells"),
    [
        ([0.5], 60.0, None), ([0.5, 1.2], 60.0, None), ([-0.1, 1.0], 60.0, None), ([0.5, np.nan], 60.0, None),
        ([0.1, 0.2], 0.0, None), ([0.1, 0.2], 60.0, np.array([20.0])), ([0.1, 0.2], 60.0, np.array([20.0, np.nan])),
        ([[0.1, 0.2]], 60.0, None),
    ],
)  # fmt: skip
def test_what_is_no_course_is_refused(course, step_s, cells) -> None:
    """Shares outside 0 to 1, missing values and lengths that do not fit are refused."""
    with pytest.raises(InputError, match="simulated year"):
        ageing(wear(), np.array(course), step_s, 1, cells)


def test_cold_factor_between_rows_and_outside() -> None:
    """At 4.0 degC: 1.30 + 0.05 x 0.4 / 2.7 = 1.3074 (by hand, rows from memory); outside the table nothing is guessed."""
    assert temperature_factor(4.0) == pytest.approx(1.30 + 0.05 * 0.4 / 2.7)
    for cell_c in (-4.0, 52.0):
        with pytest.raises(InputError, match="IEEE 485"):
            temperature_factor(cell_c)


@given(st.floats(-3.9, 51.7), st.floats(-3.9, 51.7))
def test_colder_never_needs_less(a: float, b: float) -> None:
    """The factor falls as cells get warmer."""
    assert temperature_factor(min(a, b)) >= temperature_factor(max(a, b))


@given(st.floats(10, 1000), st.floats(1, 500), st.floats(1.0, 1.5))
def test_peukert_at_the_rated_current_and_beyond(charge_ah: float, current_a: float, exponent: float) -> None:
    """At the rated current the rated time; more current gives less charge, less gives more."""
    rated_s = 20 * 3600.0
    assert lasts_s(charge_ah, rated_s, charge_ah / 20, exponent) == pytest.approx(rated_s)
    got_ah = lasts_s(charge_ah, rated_s, current_a, exponent) / 3600 * current_a
    assert (got_ah <= charge_ah * (1 + 1e-12)) if current_a >= charge_ah / 20 else (got_ah >= charge_ah * (1 - 1e-12))


def test_exponent_from_two_ratings() -> None:
    """100 Ah in 20 h and 92 Ah in 8 h: ln(20 / 8) / ln(11.5 / 5) = 1.1001 (by hand); ratings that contradict are refused."""
    assert peukert_exponent(100, 72_000, 92, 28_800) == pytest.approx(log(20 / 8) / log(11.5 / 5))
    with pytest.raises(InputError, match="quicker"):
        peukert_exponent(100, 72_000, 101, 28_800)


def test_cycles_of_a_simulated_battery_are_what_went_through_it(tmp_path) -> None:
    """Of a day simulated with PV and a battery, the full cycles are half of what was kept and taken over what it holds."""
    parts = [
        "time,air temperature [degC],direct normal irradiance [W/m2],diffuse horizontal irradiance [W/m2],ghi [W/m2],wind [m/s]"
    ]
    for hour in range(72):
        sun = 10 <= hour % 24 <= 14
        parts.append(
            f"2025-01-{6 + hour // 24:02d} {hour % 24:02d}:00," + ",".join(["8", "700", "80", "420", "2"] if sun else "80002")
        )
    pv = '[[pv]]\npeak = "2 kW"\ntilt_deg = 30.0\nazimuth_deg = 180.0\n[weather]\nfile = "weather.csv"\n'
    battery = '[battery]\ncapacity = "4 kWh"\ncharge_power = "2 kW"\ndischarge_power = "2 kW"\n[inverter]\nrating = "3 kVA"\n'
    asked = question(tmp_path, SUPPLY, pv, battery, PUMP, TIMES, readings=hourly(0.3), weather="\n".join(parts) + "\n")
    made = asked.simulate(date(2025, 1, 7), date(2025, 1, 7))
    went = made.outcome.balance
    moved = (0.95 * went.charge + went.discharge / 0.95) / 4.0
    course = np.concatenate(([made.run.charge_share[0]], made.run.charge_share))
    found = ageing(wear(), course, 60.0, 1)
    assert found.cycles.full_cycles == pytest.approx(moved / 2, rel=0.02)
    assert moved > 0.5
