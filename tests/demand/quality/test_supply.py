"""The quality of a supply: weeks of ten-minute means, lowest and highest, unbalance, power factor, proposed limits."""

from dataclasses import replace
from math import sqrt

import numpy as np
import pytest
from hypothesis import given, strategies as st

from tests.demand.hand import channel, record_of, second
from wattwright.core.clock import SiteClock
from wattwright.core.quantity import Phase, Quantity
from wattwright.core.series import of_values
from wattwright.core.show import Show
from wattwright.demand.quality.json_form import quality_json
from wattwright.demand.quality.supply import Ratings, supply_quality
from wattwright.demand.quality.voltage import deviation, nominal_for, ten_minutes
from wattwright.record.record import Form

ZONE = "Europe/Athens"
CLOCK = SiteClock(ZONE)
START_S = second("2025-01-06 00:00")
WEEK = 1008
"""Ten-minute means in a week: 7 x 24 x 6."""
THREE = (Phase.L1, Phase.L2, Phase.L3)


def volts(values, step_s=600, phase=Phase.TOTAL, name="volts", start_s=START_S):
    """A channel of voltage."""
    return channel(of_values(start_s, step_s, np.asarray(values, float)), name, Quantity.VOLTAGE, phase)


def amps(values, phase=Phase.TOTAL, name="amps", step_s=600):
    """A channel of current."""
    return channel(of_values(START_S, step_s, np.asarray(values, float)), name, Quantity.CURRENT, phase)


def told(*channels, **known):
    """What a record of these channels says of the supply."""
    return supply_quality(record_of(*channels), CLOCK, Ratings(**known))


def codes(quality):
    """The codes of its findings."""
    return [one.code for one in quality.findings]


@pytest.mark.parametrize(("outside", "passes"), [(0, True), (50, True), (51, False)])
def test_95_percent_of_a_week(outside, passes):
    """EN 50160: 95 % of 1008 means lie within 10 %, so 50 outside pass (4.96 %) and 51 (5.06 %) do not."""
    values = np.full(WEEK, 230.0)
    values[:outside] = 206.9
    quality = told(volts(values), voltage_v=230.0)
    (week,) = quality.voltages[0].weeks
    assert (week.means, week.read, week.outside, week.beyond) == (WEEK, WEEK, outside, 0)
    assert (week.passes_most, week.passes_all) == (passes, True)
    assert ("demand.voltage-outside" in codes(quality)) == (not passes)
    assert quality.voltages[0].share == pytest.approx(1 - outside / WEEK)


@pytest.mark.parametrize(
    ("value", "outside", "beyond"),
    [(253.0, 0, 0), (253.1, 1, 1), (207.0, 0, 0), (206.9, 1, 0), (195.5, 1, 0), (195.4, 1, 1)],
)
def test_edges_of_the_bands(value, outside, beyond):
    """EN 50160 at 230 V: 207 V to 253 V, and all means within 195.5 V to 253 V, the edges inside."""
    values = np.full(WEEK, 230.0)
    values[17] = value
    quality = told(volts(values))
    week = quality.voltages[0].weeks[0]
    assert (week.outside, week.beyond) == (outside, beyond)
    assert ("demand.voltage-beyond" in codes(quality)) == bool(beyond)


def test_weeks_follow_the_local_day():
    """Fifteen days from noon on hold two weeks from midnight on; that of the spring change lacks an hour: 1002 means."""
    quality = told(volts(np.full(15 * 144, 231.0), start_s=second("2025-03-17 12:00")))
    first, second_week = quality.voltages[0].weeks
    assert (first.first.isoformat(), first.means) == ("2025-03-18", WEEK)
    # From Tuesday 25 March to Monday 31 March; the clock goes forward on the 30th.
    assert (second_week.first.isoformat(), second_week.means, second_week.read) == ("2025-03-25", WEEK - 6, WEEK - 6)


def test_too_little_for_a_week():
    """Six days and a half, or a week of which less than nine tenths was read, are not judged, and a finding says so."""
    few = told(volts(np.full(6 * 144 + 72, 230.0)))
    assert few.voltages[0].weeks == ()
    assert "demand.voltage-week" in codes(few)
    values = np.full(WEEK, 230.0)
    values[:101] = np.nan
    holed = told(volts(values))
    assert not holed.voltages[0].weeks[0].judged
    assert "demand.voltage-week" in codes(holed)
    entry = quality_json(holed, Show(zone=ZONE))["supply_quality"]["voltages"][0]["weeks"][0]
    assert (entry["read"], entry["passes_95_percent_check"]) == (907, None)
    values[100] = 230.0
    assert told(volts(values)).voltages[0].weeks[0].judged


def test_ten_minute_means_are_root_mean_squares():
    """Five minutes of 200 V and five of 240 V are sqrt((200^2 + 240^2) / 2) = 220.907 V; one missing minute leaves none."""
    values = np.array([200.0] * 5 + [240.0] * 5 + [230.0] * 9 + [np.nan])
    means = ten_minutes(of_values(START_S, 60, values), CLOCK).values
    assert means[0] == pytest.approx(sqrt((200**2 + 240**2) / 2))
    assert np.isnan(means[1])


def test_minutes_are_brought_to_ten():
    """A minute at 180 V among 230 V does not leave the band of ten-minute means, but is the lowest reading, at its time."""
    values = np.full(WEEK * 10, 230.0)
    values[1234] = 180.0
    one = told(volts(values, 60)).voltages[0]
    assert (one.step_s, one.weeks[0].outside) == (600, 0)
    assert (one.lowest.value, one.lowest.start_s) == (180.0, START_S + 1234 * 60)


def test_long_steps_are_not_judged():
    """Quarter hours, and steps that do not divide ten minutes, get no check, and a finding says so; the share is told."""
    for step_s in (900, 240):
        quality = told(volts(np.full(2000, 230.0), step_s))
        assert quality.voltages[0].weeks == ()
        assert quality.voltages[0].share == 1.0
        assert "demand.voltage-step" in codes(quality)
        assert "demand.voltage-week" not in codes(quality)
        assert not quality_json(quality, Show(zone=ZONE))["supply_quality"]["voltages"][0]["ten_minute_checks"]


def test_interruptions_are_left_out():
    """Twenty minutes without voltage are told as interrupted, with the time, and are in no mean that is judged."""
    values = np.full(WEEK, 230.0)
    values[30:32] = 1.0
    quality = told(volts(values))
    one = quality.voltages[0]
    assert (one.interrupted_s, one.interrupted_from_s) == (1200, START_S + 30 * 600)
    assert (one.weeks[0].read, one.weeks[0].beyond) == (WEEK - 2, 0)
    assert "demand.voltage-interrupted" in codes(quality)


@pytest.mark.parametrize(
    ("median", "said", "nominal"),
    [
        (236.0, None, 230.0),
        (121.0, None, 120.0),
        (404.0, None, 400.0),
        (241.0, 120.0, 240.0),
        (401.0, 230.0, 230.0 * sqrt(3)),
        (242.0, 240.0, 240.0),
        (57.7, None, float("nan")),
        (57.7, 230.0, float("nan")),
    ],
)
def test_nominal_voltage(median, said, nominal):
    """IEC 60038: 120/240, 230/400; what a person said holds; a reading far from any (a transformer's secondary) fits none."""
    assert nominal_for(median, said) == pytest.approx(nominal, nan_ok=True)


def test_no_nominal_no_checks():
    """A voltage near no nominal one gets lowest and highest alone, and neither band nor limits."""
    quality = told(volts(np.full(WEEK, 57.7)))
    assert quality.limits == ()
    assert quality.voltages[0].weeks == ()
    assert "demand.no-nominal-voltage" in codes(quality)
    entry = quality_json(quality, Show(zone=ZONE))["supply_quality"]["voltages"][0]
    assert (entry["nominal_v"], entry["share_within_10_percent"]) == (None, None)


def test_extremes_within_intervals():
    """Where the meter logs the lowest and highest within each interval, these count; a column of them that is empty does not."""
    plain = volts(np.full(WEEK, 230.0))
    low, high, none = (
        replace(one, meaning=replace(one.meaning, form=form))
        for one, form in (
            (volts(np.where(np.arange(WEEK) == 5, 188.0, 229.0), name="low"), Form.LOWEST),
            (volts(np.where(np.arange(WEEK) == 9, 261.0, 231.0), name="high"), Form.HIGHEST),
            (volts(np.full(WEEK, np.nan), name="none"), Form.HIGHEST),
        )
    )
    one = told(plain, low, high, none).voltages[0]
    assert (one.lowest.value, one.lowest.start_s) == (188.0, START_S + 5 * 600)
    assert (one.highest.value, one.highest.start_s) == (261.0, START_S + 9 * 600)


def test_unbalance_by_hand():
    """230, 240 and 220 V: mean 230, largest deviation 10, so 10/230 = 4.35 %; currents 10, 6 and 2 A: 4/6."""
    channels = [volts(np.full(WEEK, v), phase=p, name=p.value) for p, v in zip(THREE, (230.0, 240.0, 220.0), strict=True)]
    flows = [amps(np.full(WEEK, a), p, f"I {p.value}") for p, a in zip(THREE, (10.0, 6.0, 2.0), strict=True)]
    quality = told(*channels, *flows)
    of_volts, of_amps = quality.unbalances
    assert of_volts.usual == of_volts.high == pytest.approx(10 / 230)
    assert (of_amps.usual, of_amps.high) == pytest.approx((4 / 6, 4 / 6))
    assert "demand.unbalance" in codes(quality)
    shown = quality_json(quality, Show(zone=ZONE))["supply_quality"]["unbalance"]
    assert [sorted(one)[-2:] for one in shown] == [["of", "p95"], ["of", "of_means"]]


def test_three_that_were_never_read_together():
    """Three conductors of which one was read only when the others were not have no unbalance."""
    first, rest = np.full(WEEK, 230.0), np.full(WEEK, 230.0)
    first[500:], rest[:500] = np.nan, np.nan
    voltages = [volts(v, 900, phase=p, name=p.value) for p, v in zip(THREE, (first, rest, rest), strict=True)]
    currents = [amps(v, p, f"I {p.value}", 900) for p, v in zip(THREE, (first, rest, rest), strict=True)]
    assert told(*voltages, *currents).unbalances == ()


@given(st.lists(st.floats(1.0, 1000.0), min_size=3, max_size=3), st.floats(0.01, 100.0))
def test_unbalance_of_any_three(three, scale):
    """It lies between nought and two (one conductor carries all), is nought for equal ones, and no unit changes it."""
    values = np.array(three)[:, None]
    away = deviation(values)[0]
    assert 0 <= away <= 2
    assert deviation(values * scale)[0] == pytest.approx(away)
    assert deviation(np.full((3, 1), three[0]))[0] == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize("beside", ["apparent", "reactive", "volts and amps"])
def test_power_factor_by_hand(beside):
    """3 kW beside 4 kvar are 5 kVA (3-4-5), so 0.6, from each of the three sets of columns."""
    active = channel(of_values(START_S, 600, np.full(WEEK, 3000.0)))
    others = {
        "apparent": [channel(of_values(START_S, 600, np.full(WEEK, 5000.0)), "s", Quantity.APPARENT_POWER)],
        "reactive": [channel(of_values(START_S, 600, np.full(WEEK, -4000.0)), "q", Quantity.REACTIVE_POWER)],
        "volts and amps": [volts(np.full(WEEK, 230.0)), amps(np.full(WEEK, 5000 / 230))],
    }
    quality = told(active, *others[beside])
    (one,) = quality.factors
    assert (one.mean, one.low, one.median, one.high) == pytest.approx((0.6, 0.6, 0.6, 0.6))
    assert "demand.poor-power-factor" in codes(quality)


def test_no_power_factor():
    """Power alone, current alone, and powers of which hardly any were read give none."""
    active = channel(of_values(START_S, 600, np.full(WEEK, 3000.0)))
    assert told(active).factors == ()
    assert told(amps(np.full(WEEK, 5.0))).factors == ()
    few = np.full(WEEK, np.nan)
    few[:10] = 4000.0
    assert told(active, channel(of_values(START_S, 600, few), "q", Quantity.REACTIVE_POWER)).factors == ()
    assert codes(told(active)) == ["demand.no-voltage"]


def test_limits_of_voltage():
    """At 230 V over-voltage picks up at 253 V (10 %); under-voltage at 207 V, or at 195.5 V where the record fell below 207 V."""
    values = np.full(WEEK, 230.0)
    over, under = told(volts(values)).limits
    assert (over.pick_up, over.drop_out, under.pick_up, under.drop_out) == pytest.approx((253, 248.4, 207, 211.6))
    values[3:5], values[20], values[30] = 205.0, 260.0, 190.0
    quality = told(volts(values))
    over, under = quality.limits
    assert (over.passed_s, over.stretch_s) == (600, 600)
    assert (under.pick_up, under.passed_s) == (pytest.approx(195.5), 600)
    assert codes(quality).count("demand.limit-would-operate") == 2


def test_limits_of_current():
    """Over-current picks up at the rating, where it is known; under-current at half of the lowest, where that means anything."""
    values = np.full(WEEK, 8.0)
    values[40:43], values[50] = 30.0, 26.0
    unknown = told(amps(values))
    assert [one.name for one in unknown.limits] == ["under-current"]
    assert (unknown.limits[0].pick_up, unknown.limits[0].drop_out) == pytest.approx((4.0, 4.4))
    assert "demand.no-rating-of-supply" in codes(unknown)
    known = told(amps(values), protection_a=25.0)
    over = known.limits[0]
    assert (over.pick_up, over.drop_out, over.passed_s, over.stretch_s) == (25.0, 22.5, 2400, 1800)
    assert "demand.over-rating" in codes(known)
    assert "demand.over-rating" not in codes(told(amps(values), protection_a=63.0))
    values[60] = 0.4
    idle = told(amps(values), protection_a=63.0)
    assert [one.name for one in idle.limits] == ["over-current"]
    assert "demand.no-lowest-current" in codes(idle)


def test_every_limit_has_a_reason_in_words():
    """Each limit says in JSON why it is proposed and where its rule comes from."""
    quality = told(volts(np.full(WEEK, 230.0)), amps(np.full(WEEK, 8.0)), protection_a=25.0)
    limits = quality_json(quality, Show(zone=ZONE))["supply_quality"]["limits"]
    assert [one["name"] for one in limits] == ["over-voltage", "under-voltage", "over-current", "under-current"]
    assert all(one["reason"] and one["source"] for one in limits)


def test_the_real_house(minute):
    """The file holds voltages of 223.49 V to 250.89 V (its own minimum and maximum): eight whole weeks pass both checks."""
    record, _ = minute
    quality = supply_quality(record, SiteClock("Europe/Paris"))
    (one,) = quality.voltages
    assert (one.lowest.value, one.highest.value) == (223.49, 250.89)
    assert len(one.weeks) == 8
    assert all(week.passes_most and week.passes_all for week in one.weeks)
    assert sum(week.read for week in one.weeks) >= 8 * WEEK - 4
