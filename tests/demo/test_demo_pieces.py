"""The small models behind the demo, each against a plain twin or hand arithmetic."""

import numpy as np
import pytest

from wattwright.demo.place import story
from wattwright.demo.pulses import Pulses, mean_power, pulses, without_overlap
from wattwright.demo.survey import loads_survey, surveyed
from wattwright.demo.thermostat import Thermostat, thermostat_pulses
from wattwright.demo.water import Tank, draw_heat_wh, heat_tank
from wattwright.demo.weather import declination_rad, half_day_min
from wattwright.demo.year import demo_year


def test_minute_means_hold_exactly_the_energy_of_each_pulse():
    """A pulse from 0.5 to 2.25 min at 1000 W gives 500, 1000 and 250 W: shares of the minutes, by hand."""
    assert mean_power(pulses([0.5], [1.75], 1000.0), 4).tolist() == [500.0, 1000.0, 250.0, 0.0]


def test_overlapping_pulses_add_and_what_lies_outside_is_cut_off():
    """Two pulses add where they overlap; one that begins before the year or ends after it counts only inside."""
    both = Pulses(np.array([-1.0, 1.5]), np.array([2.0, 9.0]), np.array([100.0, 40.0]))
    assert mean_power(both, 3).tolist() == [100.0, 120.0, 40.0]


def test_many_pulses_agree_with_a_plain_twin():
    """Random pulses give the means that a loop over minutes and pulses gives."""
    generator = np.random.default_rng(5)
    start, length, level = generator.uniform(0, 90, 40), generator.uniform(0, 9, 40), generator.uniform(1, 3000, 40)
    twin = [
        sum(w * max(0.0, min(s + d, minute + 1) - max(s, minute)) for s, d, w in zip(start, length, level, strict=True))
        for minute in range(100)
    ]
    assert mean_power(pulses(start, length, level), 100) == pytest.approx(twin, abs=1e-5)


def test_one_appliance_never_runs_twice_at_once():
    """The queue in closed form gives what the plain rule start = max(wanted, end of the one before) gives."""
    generator = np.random.default_rng(6)
    wanted, length = np.sort(generator.uniform(0, 300, 60)), generator.uniform(1, 12, 60)
    free, twin = 0.0, []
    for begin, minutes in zip(wanted, length, strict=True):
        twin.append(max(begin, free))
        free = twin[-1] + minutes
    assert without_overlap(wanted, length) == pytest.approx(twin)


@pytest.mark.parametrize("cools", [False, True])
def test_thermostat_agrees_with_a_fine_stepped_twin(cools):
    """Running time within a day agrees with a twin stepping one second at a time, for a heater and for a cooler."""
    device = Thermostat(4.0, 7.0, -45.0, 250.0) if cools else Thermostat(17.0, 19.0, 20.0, 120.0)
    around = (22.0 if cools else 8.0) + 3.0 * np.sin(np.arange(96) / 15.0)
    enabled = np.arange(96) % 40 >= 6
    temperature, on, seconds = 0.5 * (device.low_c + device.high_c), False, 0
    for second in range(86_400):
        block = second // 900
        too_warm, too_cold = temperature >= device.high_c, temperature <= device.low_c
        on = bool(enabled[block]) and ((on and not too_cold) or too_warm if cools else (on and not too_warm) or too_cold)
        seconds += on
        target = around[block] + (device.rise_k if on else 0.0)
        temperature += (target - temperature) / (device.time_constant_min * 60.0)
    runs = thermostat_pulses(device, around, 100.0, enabled)
    assert (runs.end - runs.start).sum() * 60.0 == pytest.approx(seconds, rel=0.01)
    assert set(runs.power_w.tolist()) == {100.0}


def test_thermostat_cycle_has_the_textbook_lengths():
    """In steady surroundings both phases follow tau ln(distance before / distance after) of a first-order body.

    Off: 250 ln((22-4)/(22-7)) = 45.58 min; on, towards 22-45 = -23: 250 ln((7+23)/(4+23)) = 26.34 min (hand arithmetic).
    """
    runs = thermostat_pulses(Thermostat(4.0, 7.0, -45.0, 250.0), np.full(96, 22.0), 130.0)
    assert (runs.end - runs.start)[1:-1] == pytest.approx(26.34, abs=0.01)
    assert (runs.start[1:] - runs.end[:-1])[1:] == pytest.approx(45.58, abs=0.01)


def test_thermostat_still_on_at_the_end_runs_to_the_end():
    """A heater that never reaches its upper value runs to the end of the time given."""
    runs = thermostat_pulses(Thermostat(17.0, 19.0, 5.0, 120.0), np.full(8, 0.0), 10.0)
    assert runs.end.tolist() == [120.0]


def test_shower_heat_by_hand():
    """40 l at 40 C from water of 15 C hold 40 x 1.163 x 25 = 1163 Wh."""
    assert draw_heat_wh(np.array([40.0]), np.array([15.0])).tolist() == pytest.approx([1163.0])


def test_tank_answers_one_draw_by_hand():
    """A draw of 1163 Wh at minute 10 from a 2 kW tank without losses heats for 1163/2000 h = 34.89 min, at once."""
    heating = heat_tank(Tank(100.0, 2000.0, 0.0001, 7.0), np.array([10.0]), np.array([1163.0]), 200)
    assert heating.pulses.start.tolist() == [10.0]
    assert heating.pulses.end.tolist() == pytest.approx([44.89], abs=1e-4)
    assert heating.most_owed_wh == pytest.approx(1163.0, abs=1e-3)


def test_tank_cycles_on_its_losses_alone():
    """60 W loss and 100 l x 1.163 x 7 K = 814.1 Wh differential: first heating after 814.1/60 h = 814.1 min."""
    heating = heat_tank(Tank(100.0, 2000.0, 60.0, 7.0), np.array([]), np.array([]), 2000)
    assert heating.pulses.start.tolist() == pytest.approx([814.1, 1653.4], abs=0.1)


def test_tank_still_heating_at_the_end_keeps_its_balance():
    """Heat put in equals heat drawn and lost less what is still owed, also when the year ends during heating."""
    heating = heat_tank(Tank(100.0, 2000.0, 60.0, 7.0), np.array([10.0, 40.0]), np.array([3000.0, 500.0]), 60)
    put_in = 2000.0 * (heating.pulses.end - heating.pulses.start).sum() / 60.0
    assert heating.pulses.end.tolist() == [60.0]
    assert put_in == pytest.approx(heating.drawn_wh + heating.lost_wh - heating.owed_wh)


def test_sun_stands_where_geometry_puts_it():
    """Declination is 23.45 degrees near 21 June; the day there lasts 14.55 h at 37.1 N, and 12 h at the equinox.

    Hand arithmetic: acos(-tan 37.1 tan 23.45) = acos(-0.7563 x 0.4338) = 109.15 deg, twice over 15 deg/h = 14.55 h.
    """
    assert np.degrees(declination_rad(np.array([171]))) == pytest.approx([23.45], abs=0.01)
    assert 2 * half_day_min(np.array([171])) / 60 == pytest.approx([14.55], abs=0.01)
    assert 2 * half_day_min(np.array([80])) / 60 == pytest.approx([12.0], abs=0.05)


def test_year_follows_daylight_saving():
    """30 March has 23 hours and 26 October 25, by the European rule (Directive 2000/84/EC); all others have 24."""
    year = demo_year()
    lengths = np.bincount(year.day)
    assert year.minutes == 525_600
    assert {day: int(n) for day, n in enumerate(lengths) if n != 1440} == {31 + 28 + 29: 1380, 298: 1500}
    assert not year.start_s.flags.writeable


def test_clock_times_find_their_minute():
    """The position of a clock time shows that time again; a doubled time is its first pass, a skipped one goes on."""
    year = demo_year()
    for day, minute in ((0, 0), (88, 179), (88, 240), (180, 600), (298, 239), (298, 240), (364, 1439)):
        found = int(year.position(day, minute))
        assert (year.day[found], year.minute[found]) == (day, minute)
    first_pass = int(year.position(298, 210))
    assert year.minute[first_pass] == year.minute[first_pass + 60] == 210
    assert year.minute[int(year.position(88, 210))] == 270
    assert year.position(180, 600.25) == year.position(180, 600) + 0.25


def test_survey_can_be_taken_and_changed_freely():
    """The survey comes as fresh dicts with unique ids and positive ratings; unknown ids are refused."""
    first = loads_survey()
    first[0]["rating_w"] = -1.0
    again = loads_survey()
    assert len({line["id"] for line in again}) == len(again)
    assert all(line["rating_w"] > 0 and line["phase"] == "L1" for line in again)
    assert all(bool(line["interruption"]) == line["controllable"] for line in again)
    with pytest.raises(KeyError):
        surveyed("charger")


def test_story_says_that_it_is_invented():
    """Whoever reads the story learns first that all of it is invented."""
    assert "Everything here is invented" in story()
