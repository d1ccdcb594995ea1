"""What models are fitted to: hours, days and months of a series on the site's clock."""

from datetime import date, timedelta

import numpy as np
import pytest

from tests.proof.invented import BEGIN_S, CLOCK, Grain, site
from wattwright.core.clock import SiteClock
from wattwright.core.series import of_values
from wattwright.proof.models.bases import kelvins
from wattwright.proof.models.record import beside_midnight_s, between, first_and_last, tells, use_record


@pytest.mark.parametrize("grain", list(Grain))
def test_no_energy_is_lost(grain):
    """Hours, days and months of whole months add up to the energy of the series."""
    power, outside = site(89)  # 2 January to 31 March
    told = use_record(power, CLOCK, grain, outside)
    assert told.energy_kwh.sum() == pytest.approx(power.values.sum() / 1000, rel=1e-3)
    assert (np.diff(told.starts_s) > 0).all()


def test_days_have_their_true_length_and_hours():
    """The day on which the clock goes forward has 23 hours, of which each counts in its mean temperature."""
    power, outside = site(120)
    told = use_record(power, CLOCK, Grain.DAY, outside)
    short = np.flatnonzero(told.days < 1)
    assert [CLOCK.day_of(int(told.starts_s[one])) for one in short] == [date(2023, 3, 26)]
    assert told.days[short[0]] == pytest.approx(23 / 24)
    begin = (told.starts_s[short[0]] - BEGIN_S) // 3600
    assert told.mean_c[short[0]] == pytest.approx(outside.values[begin : begin + 23].mean())


def test_places_of_the_week_begin_on_monday():
    """The series begins on Monday at midnight; hour 33 is Tuesday at nine; holidays count as Sundays."""
    power, _ = site(14)
    hours = use_record(power, CLOCK, Grain.HOUR, holidays=frozenset({date(2023, 1, 3)}))
    assert hours.week_place[:3].tolist() == [0, 1, 2]
    assert hours.week_place[33] == 33
    assert hours.week_place[168] == 0
    assert hours.day_type[[0, 33, 168]].tolist() == [0, 2, 0]
    assert (hours.week[0], hours.week[167]) == (hours.week[1], hours.week[168] - 1)
    assert not hours.has_temperature


def test_months_hold_their_days():
    """Degree-days of a month need the mean of each of its days."""
    power, outside = site(90)
    told = use_record(power, CLOCK, Grain.MONTH, outside)
    assert told.parts_c.shape == (3, 31)
    assert np.isnan(told.parts_c[1]).sum() == 3  # February
    assert told.parts_c[1, 0] == pytest.approx(outside.values[30 * 24 : 31 * 24].mean())


def test_what_was_hardly_read_is_left_out():
    """A day with a gap of three hours, without temperature, or without a driver, is no day of the record."""
    power, outside = site(20)
    values, warm, made = power.values.copy(), outside.values.copy(), np.ones(480)
    values[24:27] = warm[48:96] = made[120:130] = np.nan
    told = use_record(
        of_values(BEGIN_S, 3600, values),
        CLOCK,
        Grain.DAY,
        of_values(BEGIN_S, 3600, warm),
        drivers={"units": of_values(BEGIN_S, 3600, made)},
    )
    assert len(told) == 16
    assert told.driver_names == ("units",)
    assert told.span_days == pytest.approx(20)


def test_hours_of_a_zone_half_an_hour_off():
    """Where the clock is five and a half hours ahead of UTC, hours begin at its own full hours."""
    clock = SiteClock("Asia/Kolkata")
    start = int(clock.midnights_s(date(2023, 1, 2), 1)[0])
    told = use_record(of_values(start, 1800, np.arange(96.0)), clock, Grain.HOUR)
    assert told.starts_s[0] == start
    assert told.energy_kwh[0] == pytest.approx(0.0005)


def test_readings_longer_than_the_grain_are_refused():
    """A day's reading says nothing about hours."""
    with pytest.raises(ValueError, match="do not tell"):
        use_record(of_values(BEGIN_S, 86_400, np.ones(30)), CLOCK, Grain.HOUR)


def of_days(first, count, beside_h=0):
    """Readings of so many whole days from midnight of standard time on, each its number in kWh."""
    begin_s = int(CLOCK.midnights_s(first, 1)[0]) + 3600 * beside_h
    return of_values(begin_s, 86_400, np.arange(1, count + 1) / 24 * 1000)


@pytest.mark.parametrize("beside_h", [-5, 0, 5])
def test_readings_of_whole_days_count_for_the_day_next_to_them(beside_h):
    """Each reading is the energy of the local day that it mostly covers, in summer too, when days begin an hour before."""
    power = of_days(date(2023, 3, 1), 60, beside_h)
    told = use_record(power, CLOCK, Grain.DAY)
    assert told.energy_kwh == pytest.approx(np.arange(1, 61))
    assert [CLOCK.day_of(int(one)) for one in told.starts_s[[0, 59]]] == [date(2023, 3, 1), date(2023, 4, 29)]
    # In summer a day of standard time begins an hour after midnight.
    assert beside_midnight_s(power, CLOCK) == 3600 * max(abs(beside_h), abs(beside_h + 1))


@pytest.mark.parametrize("beside_h", [-5, 0, 5])
@pytest.mark.parametrize("first", [date(2023, 1, 2), date(2023, 6, 1)])
def test_days_are_cut_by_their_middles(first, beside_h):
    """A cut at a midnight gives each whole day to one side of it, in winter and in summer; none is lost and none comes twice."""
    power = of_days(first, 300, beside_h)
    begin_s, end_s = (int(CLOCK.midnights_s(one, 1)[0]) for one in (date(2023, 1, 1), date(2024, 12, 31)))
    for day in (20, 160, 250):
        at_s = int(CLOCK.midnights_s(first, day + 1)[day])
        before, after = between(power, begin_s, at_s), between(power, at_s, end_s)
        assert (before.values.tolist(), after.values.tolist()) == (power.values[:day].tolist(), power.values[day:].tolist())
        assert first_and_last(before, CLOCK) == (first, CLOCK.day_of(at_s) - timedelta(days=1))


@pytest.mark.parametrize("step_s", [1, 61, 3600])
def test_what_is_cut_at_a_middle_falls_after_it(step_s):
    """Of a reading whose middle lies at the cut, or half a second before, each side has it or not, and never both."""
    series = of_values(0, step_s, np.arange(10.0))
    for cut_s in range(2 * step_s, 3 * step_s + 1, max(step_s // 6, 1)):
        before, after = between(series, 0, cut_s), between(series, cut_s, 10 * step_s)
        assert [*before.values, *after.values] == list(range(10))
        assert (before.times_s + step_s / 2 <= cut_s).all()


def test_a_day_that_was_not_read_is_left_out():
    """A gap in readings of whole days leaves that day out and no other."""
    power = of_days(date(2023, 3, 1), 10)
    power.values[4] = np.nan
    assert use_record(power, CLOCK, Grain.DAY).energy_kwh == pytest.approx([1, 2, 3, 4, 6, 7, 8, 9, 10])


def test_what_readings_tell():
    """Hours tell all; whole days tell days, if they begin within six hours of midnight, and months; a week tells nothing."""
    hours, days, aside = site(3)[0], of_days(date(2023, 1, 2), 10), of_days(date(2023, 1, 2), 10, 7)
    assert [tells(hours, one, CLOCK) for one in Grain] == [True, True, True]
    assert [tells(days, one, CLOCK) for one in Grain] == [False, True, True]
    assert [tells(aside, one, CLOCK) for one in Grain] == [False, False, True]
    week = of_values(BEGIN_S, 7 * 86_400, np.ones(60))
    assert [tells(week, one, CLOCK) for one in Grain] == [False, False, False]
    for series, grain in ((aside, Grain.DAY), (week, Grain.MONTH)):
        with pytest.raises(ValueError, match="do not tell"):
            use_record(series, CLOCK, grain)


def test_no_temperature_has_no_mean():
    """Of a record without temperature neither a mean nor kelvins are told."""
    told = use_record(site(7)[0], CLOCK, Grain.DAY)
    with pytest.raises(ValueError, match="no temperature"):
        _ = told.mean_c
    with pytest.raises(ValueError, match="no temperature"):
        kelvins(told.parts_c, 15.0, float("nan"))
