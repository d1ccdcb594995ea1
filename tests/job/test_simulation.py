"""A job simulated over days of its record: what comes out is worked out by hand from the record and the rules."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import numpy as np
import pytest

from tests.job.pv import PV, PV_METER, meter_of_the_house, sunny
from tests.job.simulated import HEATER, PUMP, SUPPLY, TIMES, hourly, question
from wattwright.core.clock import SiteClock
from wattwright.core.errors import InputError, JobError, WeatherError
from wattwright.core.money import Money
from wattwright.core.show import Show
from wattwright.job.happenings import apparent, did, happenings, highest
from wattwright.job.simulation import Question
from wattwright.job.simulation_json import simulation_json
from wattwright.job.stores import stores_kwh
from wattwright.job.trial import load_trial

DAY = date(2025, 1, 7)
ATHENS = SiteClock("Europe/Athens")


def codes(made):
    """Codes of what there is to say."""
    return [one.code for one in made.findings]


def test_today_simulated_is_the_record_again(tmp_path):
    """Under today's rules the loads and the rest of the site draw together what the meter read, day by day: 38 kWh."""
    made = question(tmp_path, SUPPLY, HEATER, PUMP, TIMES).simulate(DAY, DAY)
    assert made.run.site_w.sum() * 60 / 3.6e6 == pytest.approx(24 * 1.5 + 2.0, rel=1e-9)
    assert made.rest.short_kwh == 0.0
    heater, pump = did(made)
    assert pump.outcome.energy_kwh == pytest.approx(2.0)
    assert (pump.outcome.running_h, pump.outcome.starts, pump.switchings) == (2.0, 1, 2)
    # 100 l from 12 to 40 degC and the standing loss of a class C tank of 120 l at 40 K, give or take what the tank holds more.
    assert heater.outcome.energy_kwh == pytest.approx(100 * 28 * 1.163e-3 + 1.68, abs=0.7)
    assert heater.outcome.comfort.amount == 0.0


def test_it_says_who_switched_what_when_and_why(tmp_path):
    """The pump's contact closes at ten and opens at noon by its rule; the heater's starts are its own."""
    made = question(tmp_path, SUPPLY, HEATER, PUMP, TIMES).simulate(DAY, DAY)
    pump = [(Show(zone="Europe/Athens").time(int(one.at_s)), one.what, one.why) for one in happenings(made) if one.load == "pump"]
    assert pump == [
        ("2025-01-07 10:00", "contact closes", "rule pump-times"),
        ("2025-01-07 12:00", "contact opens", "rule pump-times"),
    ]
    assert {one.own for one in happenings(made) if one.load == "heater"} == {True}
    assert did(made)[1].fed == ((36000.0, 43200.0),)
    peak = highest(made)
    assert peak.power_w == pytest.approx(made.run.site_w.max())
    assert ATHENS.day_of(peak.at_s) == DAY


def test_stores_stand_as_after_a_day_before(tmp_path):
    """Where the record has the day before, the tank does not begin at its set point; on the first day it does."""
    ask = question(tmp_path, SUPPLY, HEATER, PUMP, TIMES)
    first, later = (did(ask.simulate(day, day))[0].values[0] for day in (DAY - timedelta(days=1), DAY))
    assert first == pytest.approx(60.0, abs=0.1)
    assert later < 59.9
    assert did(ask.simulate(DAY, DAY))[0].outcome.starts <= 3


def test_days_are_those_of_the_site(tmp_path):
    """Two days are 2,880 steps from local midnight; without days it is that of the highest reading."""
    ask = question(tmp_path, SUPPLY, PUMP, TIMES, readings=hourly().replace("2025-01-08 10:00,2.500", "2025-01-08 10:00,2.700"))
    made = ask.simulate(DAY, DAY + timedelta(days=1))
    assert len(made.run.site_w) == 2880
    assert ATHENS.at(made.scenario.span.start_s).isoformat() == "2025-01-07T00:00:00+02:00"
    assert ask.busiest() == date(2025, 1, 8)


def test_other_rules_change_what_is_switched_and_not_the_rest(tmp_path):
    """Moved to the night the pump's 2 kWh go there; the rest of the site stays as it was."""
    ask = question(tmp_path, SUPPLY, PUMP, TIMES)
    (tmp_path / "trial.toml").write_text(TIMES.replace("10:00:00", "02:00:00").replace("12:00:00", "04:00:00"))
    moved = ask.simulate(DAY, DAY, load_trial(tmp_path / "trial.toml", ask.job))
    assert did(moved)[0].fed == ((7200.0, 14400.0),)
    assert (moved.rest.rest_w == ask.simulate(DAY, DAY).rest.rest_w).all()
    assert moved.run.site_w[:120] == pytest.approx(np.full(120, 1500.0))
    assert moved.run.site_w[120:240] == pytest.approx(np.full(120, 2500.0))


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        (TIMES.replace("pump-times", "Pump"), "text of the form"),
        (TIMES.replace('load = "pump"', 'load = "pmup"'), "Did you mean pump"),
        (TIMES.replace("on =", "onn ="), "Did you mean"),
        ("x = 1\n" + TIMES, "the entry"),
    ],
)
def test_rules_to_try_are_checked_as_the_job_is(tmp_path, text, wanted):
    """Every wrong entry of the file is told with its line."""
    ask = question(tmp_path, SUPPLY, PUMP, TIMES)
    (tmp_path / "trial.toml").write_text(text)
    with pytest.raises(JobError, match=wanted) as refused:
        load_trial(tmp_path / "trial.toml", ask.job)
    assert refused.value.faults[0].place.line


SHED = """[control.shedding]
pick_up = "2.2 kW"
restore = "1.6 kW"
order = ["pump"]
back_after = "10 min"
"""


def test_a_shed_order_acts_on_the_whole_site(tmp_path):
    """With 1.5 kW of the rest the pump would bring 2.5 kW: it is shed at once and comes back each ten minutes."""
    ask = question(tmp_path, SUPPLY, PUMP, TIMES)
    (tmp_path / "trial.toml").write_text(TIMES + SHED)
    made = ask.simulate(DAY, DAY, load_trial(tmp_path / "trial.toml", ask.job))
    assert "shed" in {one.why for one in happenings(made)}
    assert made.run.site_w.max() < 1600.0
    assert did(made)[0].switchings > 10
    # Today's own shed order sees the rest of the site as well.
    today = question(tmp_path, SUPPLY, PUMP, TIMES, SHED.replace("2.2 kW", "2.6 kW")).simulate(DAY, DAY)
    assert [one.why for one in happenings(today)] == ["rule pump-times"] * 2


def test_an_outage_is_simulated_and_is_no_part_of_the_record(tmp_path):
    """In the two hours without grid nothing is drawn, and the rest outside them is what it was without."""
    outage = "[[outages]]\nbegins = 2025-01-07T10:30:00\nends = 2025-01-07T12:30:00\n"
    ask = question(tmp_path, SUPPLY, PUMP, TIMES, outage)
    made = ask.simulate(DAY, DAY)
    assert made.run.site_w[630:750].max() == 0.0
    assert made.run.site_w[600:630] == pytest.approx(np.full(30, 2500.0))
    assert [one.what for one in happenings(made) if not one.load] == ["supply lost", "supply back"]
    assert did(made)[0].outcome.energy_kwh == pytest.approx(0.5)


def test_a_sub_meter_is_taken_for_what_it_measures(tmp_path):
    """Where a meter measured the simulated load alone, its reading leaves the record and not the model's."""
    pump = PUMP + 'meter = "sub"\n'
    sub = '[[files]]\nid = "sub"\npath = "sub.csv"\nmeter = "sub"\n[files.layout]\nstamps = "start"\n'
    night = hourly(0.0).replace(" 02:00,0.000", " 02:00,0.700")
    ask = question(tmp_path, SUPPLY, sub, pump, TIMES, sub=night)
    made = ask.simulate(DAY, DAY)
    assert made.rest.rest_w[120:180] == pytest.approx(np.full(60, 800.0))
    assert made.rest.rest_w[600:720] == pytest.approx(np.full(120, 1500.0))
    # A meter that measures another load beside it cannot stand for the pump.
    bare = HEATER.partition("[loads.model]")[0] + 'meter = "sub"\n'
    both = question(tmp_path, SUPPLY, sub, pump, bare, TIMES, sub=night)
    assert both.simulate(DAY, DAY).rest.rest_w[120:180] == pytest.approx(np.full(60, 1500.0))


@pytest.mark.parametrize(
    ("parts", "readings", "days", "code"),
    [
        ((SUPPLY, HEATER.partition("[loads.model]")[0], TIMES.replace('"pump"', '"heater"')), "", (DAY, DAY), "job.no-model"),
        ((SUPPLY, PUMP), "", (DAY, DAY), "job.nothing-to-simulate"),
        ((PUMP, TIMES), "", (DAY, DAY), "job.no-supply"),
        ((SUPPLY, PUMP, TIMES), "", (DAY, DAY - timedelta(days=1)), "job.days"),
        ((SUPPLY, PUMP, TIMES), "", (date(2025, 3, 1), date(2025, 3, 2)), "job.days"),
        ((SUPPLY, PUMP, TIMES), hourly(gap=30), (DAY, DAY), "job.gap-in-days"),
    ],
)
def test_what_cannot_be_simulated_is_said(tmp_path, parts, readings, days, code):
    """Each lack has its own sentence, with what was wanted and what to do."""
    with pytest.raises(InputError) as refused:
        question(tmp_path, *parts, readings=readings).simulate(*days)
    (fault,) = refused.value.faults
    assert fault.code == code
    assert fault.next_step or code == "job.days"


ALONE = """[inverter]
rating = "8 kVA"
role = "stand-alone"
[battery]
capacity = "10 kWh"
charge_power = "5 kW"
discharge_power = "5 kW"
"""


@pytest.mark.parametrize("parts", [(ALONE,), ('[quote]\npurpose = "stand-alone"\n',)])
def test_a_site_without_a_grid_is_not_asked_for_one(tmp_path, parts):
    """What kind of conductors its own source feeds is wanted all the same, and no main protection of a grid."""
    with pytest.raises(InputError) as refused:
        question(tmp_path, PUMP, TIMES, *parts).simulate(DAY, DAY)
    (fault,) = refused.value.faults
    assert (fault.code, fault.wanted) == ("job.no-supply", "the conductors that the inverter or generator feeds")
    assert fault.next_step == "Add a [supply] table with system and voltage; no main_protection where there is no grid."


@pytest.mark.parametrize(
    ("days", "field", "found"),
    [
        ((date(2027, 6, 14), DAY), "--from", "2027-06-14"),
        ((DAY, date(2024, 6, 14)), "--to", "2024-06-14"),
        ((DAY, DAY - timedelta(days=1)), "--from, --to", f"{DAY} to {DAY - timedelta(days=1)}"),
    ],
)
def test_a_day_that_the_record_does_not_hold_is_told_where_it_was_given(tmp_path, days, field, found):
    """Only the one that lies beyond the record is at fault; the other may be the record's own end."""
    with pytest.raises(InputError) as refused:
        question(tmp_path, SUPPLY, PUMP, TIMES).simulate(*days)
    (fault,) = refused.value.faults
    assert (fault.place.field, fault.found) == (field, found)


def test_a_gap_before_the_days_only_spares_the_warm_up(tmp_path):
    """The day before has a gap: the tank then begins at its set point, and nothing is refused."""
    made = question(tmp_path, SUPPLY, HEATER, PUMP, TIMES, readings=hourly(gap=5)).simulate(DAY, DAY)
    assert did(made)[0].values[0] == pytest.approx(60.0, abs=0.1)


THREE = SUPPLY.replace("single-phase", "three-phase")


def test_what_is_not_known_of_conductors_is_said(tmp_path):
    """Unknown phases are taken where they are worst, an undivided record evenly, a missing power factor from the job."""
    loads = PUMP.replace('phase = "L1"\n', "")
    made = question(tmp_path, THREE, loads, TIMES).simulate(DAY, DAY)
    assert {"job.unknown-phase", "job.evenly", "job.power-factor", "job.coarse"} <= set(codes(made))
    third_va = 500.0 / 0.95
    amps = np.hypot(500 + 1000, np.sqrt(third_va**2 - 500**2) + 750.0) / 230
    assert made.run.peak_a[650] == pytest.approx(amps, rel=1e-6)


def test_conductors_and_currents_of_the_record_are_used(tmp_path):
    """A record of three conductors with their reactive power puts each part where it was read."""
    rows = ["time,P L1 [kW],P L2 [kW],P L3 [kW],Q L1 [kvar],Q L2 [kvar],Q L3 [kvar],U L1 [V]"]
    rows += [
        f"2025-01-{6 + h // 24:02d} {h % 24:02d}:00,{2.2 if h % 24 in (10, 11) else 1.2},0.3,0,0.9,0,0,231" for h in range(72)
    ]
    made = question(tmp_path, THREE, PUMP, TIMES, readings="\n".join(rows) + "\n").simulate(DAY, DAY)
    assert "job.evenly" not in codes(made)
    assert "job.power-factor" not in codes(made)
    assert made.scenario.drivers.rest_w[0] == pytest.approx([1200.0, 300.0, 0.0])
    assert made.scenario.drivers.volts[0] == pytest.approx([231.0, 230.0, 230.0])


def test_current_and_voltage_give_the_reactive_power(tmp_path):
    """1 kW at 5 A and 230 V leaves sqrt(1150^2 - 1000^2) var, all of it the rest's while nothing simulated runs."""
    rows = ["time,P [kW],I [A],U [V]", *(f"2025-01-{6 + h // 24:02d} {h % 24:02d}:00,1.0,5.0,230" for h in range(72))]
    made = question(tmp_path, SUPPLY, PUMP, TIMES, readings="\n".join(rows) + "\n").simulate(DAY, DAY)
    assert made.scenario.drivers.rest_var[0, 0] == pytest.approx(np.sqrt(1150.0**2 - 1000.0**2))


def test_a_model_of_another_site_is_told(tmp_path):
    """A heater that draws more than the record holds, or at other times, is a finding with its figures."""
    big = HEATER.replace("100 l", "900 l")
    made = question(tmp_path, SUPPLY, big, readings=hourly(0.4)).simulate(DAY, DAY)
    assert "job.rest-short" in codes(made)
    assert made.rest.short_kwh > 1.0


ROOM = """[[loads]]
id = "room"
name = "Room"
kind = "room heating"
rating = "1.5 kW"
phase = "L1"
interrupt = "mains"
[loads.model]
heat_kwh_per_k = 1.0
loss_w_per_k = 60.0
sunlit_area = "2 m2"
"""


def weather_csv(hours: int = 72, last: str = "") -> str:
    """Hourly weather of the days of the record."""
    rows = ["time,air temperature [degC],relative humidity [%],global irradiance [W/m2],wind speed [m/s]"]
    for hour in range(hours):
        day, of_day = divmod(hour, 24)
        sun = 400 if 9 <= of_day <= 15 else 0
        rows.append(f"2025-01-{6 + day:02d} {of_day:02d}:00,{5 + day},70,{sun},2")
    return "\n".join(rows) + last + "\n"


def test_weather_moves_what_it_moves(tmp_path):
    """Without a file the air stays and that is told; with one the room sees it, and evapotranspiration comes with it."""
    still = question(tmp_path, SUPPLY, ROOM).simulate(DAY, DAY)
    assert "job.no-weather" in codes(still)
    weather = '[weather]\nfile = "weather.csv"\ncold_water = "9 degC"\n'
    made = question(tmp_path, SUPPLY, weather, ROOM, weather=weather_csv()).simulate(DAY, DAY)
    rows = made.scenario.drivers.weather
    assert rows[0, :3] == pytest.approx([6.0, 9.0, 0.0])
    assert rows[720, 2] == pytest.approx(400.0)
    assert rows[720, 4] > rows[0, 4] == 0.0
    assert "job.weather-lacks" in codes(made)
    assert did(made)[0].outcome.energy_kwh > did(still)[0].outcome.energy_kwh


def test_weather_that_does_not_reach_is_refused(tmp_path):
    """A file of one day cannot stand for another."""
    weather = '[weather]\nfile = "weather.csv"\n'
    with pytest.raises(WeatherError, match="do not reach"):
        question(tmp_path, SUPPLY, weather, ROOM, weather=weather_csv(24)).simulate(DAY, DAY)


def test_pv_and_battery_are_simulated_beside_the_record(tmp_path):
    """A sunny noon feeds the site from its own array and fills the battery; the rest of the site is what it was without."""
    parts = ["time,air temperature [degC],direct normal irradiance [W/m2],diffuse horizontal irradiance [W/m2]"]
    parts[0] += ",global irradiance [W/m2],wind speed [m/s],relative humidity [%]"
    for hour in range(72):
        sun = 10 <= hour % 24 <= 14
        rows = (8, 700 if sun else 0, 80 if sun else 0, 420 if sun else 0, 2, 70)
        parts.append(f"2025-01-{6 + hour // 24:02d} {hour % 24:02d}:00," + ",".join(map(str, rows)))
    battery = '[battery]\ncapacity = "4 kWh"\ncharge_power = "2 kW"\ndischarge_power = "2 kW"\n[inverter]\nrating = "3 kVA"\n'
    weather = '[weather]\nfile = "weather.csv"\n'
    with_pv = question(tmp_path, SUPPLY, weather, PV, battery, PUMP, TIMES, readings=hourly(0.3), weather="\n".join(parts) + "\n")
    made = with_pv.simulate(DAY, DAY)
    assert made.rest.rest_w == pytest.approx(np.full(1440, 300.0))
    assert 1000.0 < made.scenario.drivers.pv_w.max() < 2000.0
    assert made.run.grid_w[750:800].max() <= 0.0
    assert made.run.charge_share.max() > 0.5


def test_pv_without_a_weather_file_has_a_sun_of_monthly_values(tmp_path):
    """Without a file PV shines by clearness, and that is told: gravely where nothing at all is known; without a place never."""
    months = "[weather.sun]\ndaily_kwh_m2 = [2.2, 3.0, 4.2, 5.4, 6.4, 7.2, 7.3, 6.6, 5.2, 3.6, 2.4, 1.9]\n"
    told = {name: question(tmp_path, SUPPLY, PV, PUMP, TIMES, given) for name, given in (("known", months), ("not", ""))}
    made = {name: one.simulate(DAY, DAY) for name, one in told.items()}
    assert {name: sorted(code for code in codes(one) if code.startswith("sky.")) for name, one in made.items()} == {
        "known": ["sky.made-of-months"],
        "not": ["sky.made-of-nothing"],
    }
    for one in made.values():
        pv_w = one.scenario.drivers.pv_w
        assert 50.0 < pv_w.max() < 2000.0
        # The sun of 7 January in Athens is up from about half past seven to a quarter past five.
        assert not pv_w[:400].any()
        assert not pv_w[1080:].any()
    nowhere = tmp_path / "nowhere"
    nowhere.mkdir()
    bare = question(nowhere, SUPPLY, PV, PUMP, TIMES)
    spec = bare.job.spec
    job = replace(bare.job, spec=spec.model_copy(update={"site": spec.site.model_copy(update={"longitude_deg": None})}))
    with pytest.raises(WeatherError, match="no longitude"):
        Question(job, bare._record, bare._power, {}, {}).simulate(DAY, DAY)


@pytest.mark.parametrize(("apart", "sign", "night_w"), [(True, 1.0, 0.0), (False, 1.0, 8.0), (True, -1.0, 8.0)])
def test_measured_pv_stands_in_place_of_a_model(tmp_path, apart, sign, night_w):
    """With a meter on the array the use behind it is told without weather, and today's import and export come out as read."""
    array = PV + 'meter = "roof"\n'
    ask = question(
        tmp_path, SUPPLY, PV_METER, array, PUMP, TIMES, readings=meter_of_the_house(apart), roof=sunny(sign, night_w)
    )  # fmt: skip
    made = ask.simulate(DAY, DAY)
    assert made.rest.rest_w == pytest.approx(np.full(1440, 500.0))
    assert made.scenario.drivers.pv_w[[0, 700]] == pytest.approx([0.0, 2000.0])
    assert made.run.grid_w[[100, 660, 780]] == pytest.approx([500.0, -500.0, -1500.0], abs=1.0)
    assert not set(codes(made)) & {"job.export-cut", "sky.made-of-nothing"}


def test_a_gap_in_what_pv_gave_is_told(tmp_path):
    """A missing hour of the array's meter or of the export is no hour without sun: other days must be chosen."""
    array = PV + 'meter = "roof"\n'
    holed = sunny().replace("2025-01-07 11:00,2.000", "2025-01-07 11:00,")
    with pytest.raises(JobError, match="gap in what PV gave"):
        question(
            tmp_path, SUPPLY, PV_METER, array, PUMP, TIMES, readings=meter_of_the_house(True), roof=holed
        ).simulate(DAY, DAY)  # fmt: skip
    lacks = meter_of_the_house(True).replace("2025-01-07 12:00,0.000,1.500", "2025-01-07 12:00,0.000,")
    with pytest.raises(JobError, match="gap in what was given back"):
        question(tmp_path, SUPPLY, PV_METER, array, PUMP, TIMES, readings=lacks, roof=sunny()).simulate(DAY, DAY)


def test_a_meter_of_pv_without_readings_is_refused(tmp_path):
    """A meter that has no file, and one that is not there, are told with what to do."""
    array = PV + 'meter = "sub"\n'
    with pytest.raises(JobError, match="readings of what the array gives"):
        question(tmp_path, SUPPLY, array, PUMP, TIMES).simulate(DAY, DAY)
    with pytest.raises(JobError, match="the id of a meter"):
        question(tmp_path, SUPPLY, PV + 'meter = "attic"\n', PUMP, TIMES)


def test_it_all_stands_in_plain_data(tmp_path):
    """The JSON form holds totals, loads, switchings with causes, and every step."""
    made = question(tmp_path, SUPPLY, HEATER, PUMP, TIMES).simulate(DAY, DAY)
    told = simulation_json(made, ATHENS, Show())
    assert told["from"] == "2025-01-07T00:00:00+02:00"
    assert told["energy_kwh"] == pytest.approx(38.0)
    assert [one["id"] for one in told["loads"]] == ["heater", "pump"]
    assert {
        "at": "2025-01-07T10:00:00+02:00",
        "load": "pump",
        "what": "contact closes",
        "why": "rule pump-times",
        "own": False,
    } in (told["switchings"])
    assert len(told["site_kw"]) == 1440


def test_a_load_that_people_start_needs_a_model(tmp_path):
    """A rule on an oven is refused: nobody can say when it would be used."""
    oven = PUMP.replace('"pool pump"', '"cooking"')
    with pytest.raises(JobError, match="no model of"):
        question(tmp_path, SUPPLY, oven, TIMES).simulate(DAY, DAY)


def test_a_load_that_the_tried_rules_forget_is_told(tmp_path):
    """Rules to try stand in place of all of today's: a pump that they do not name runs all day, and that is said."""
    ask = question(tmp_path, SUPPLY, HEATER, PUMP, TIMES)
    (tmp_path / "trial.toml").write_text(TIMES.replace('"pump"', '"heater"'))
    made = ask.simulate(DAY, DAY, load_trial(tmp_path / "trial.toml", ask.job))
    assert "job.left-alone" in codes(made)
    assert did(made)[1].outcome.running_h == pytest.approx(24.0)


def test_a_power_factor_of_the_plate_goes_with_a_model(tmp_path):
    """A pump with its power factor in the survey and a model beside draws its reactive power."""
    model = PUMP + '[loads.model]\npool = "30 m3"\nflow_m3_h = 10.0\nturnovers_per_day = 1.0\n[loads.use]\nmonths = [1]\n'
    made = question(tmp_path, SUPPLY, model, TIMES).simulate(DAY, DAY)
    assert made.scenario.loads[0].load.params[2] == 0.8
    # Two hours of 10 m3/h of the 30 m3 wanted.
    assert did(made)[0].outcome.comfort.amount == pytest.approx(10.0)


def test_care_of_hot_water_is_told(tmp_path):
    """Lukewarm, scalding and a heating-through that never comes are findings; what is entered against them is heard."""
    cold = question(tmp_path, SUPPLY, HEATER.replace("60 degC", "45 degC")).simulate(DAY, DAY)
    assert "loads.heater-lukewarm" in codes(cold)
    heat_up = 'mixing_valve = true\nheat_up = { to = "65 degC", from = 02:00:00, until = 05:00:00 }\n'
    assert "loads.scald" not in codes(question(tmp_path, SUPPLY, HEATER, heat_up).simulate(DAY, DAY))
    assert "job.heating-through-missed" not in codes(question(tmp_path, SUPPLY, HEATER, heat_up).simulate(DAY, DAY))
    noon = TIMES.replace('"pump"', '"heater"')
    assert "job.heating-through-missed" in codes(question(tmp_path, SUPPLY, HEATER, heat_up, noon).simulate(DAY, DAY))


def test_a_tank_within_its_differential_is_not_heated_through(tmp_path):
    """Unfed from 02:00 to 05:00 a tank that hangs at 57 or 58 degC has not been heated through to 60; fed, it has."""
    heat_up = 'heat_up = { to = "60 degC", from = 02:00:00, until = 05:00:00 }\n'
    by_day = TIMES.replace('"pump"', '"heater"').replace("10:00:00", "06:00:00").replace("12:00:00", "01:00:00")
    unfed = question(tmp_path, SUPPLY, HEATER, heat_up, by_day).simulate(DAY, DAY)
    assert 56.0 < unfed.run.values[0][120:300].max() < 59.0
    assert "job.heating-through-missed" in codes(unfed)
    fed = question(tmp_path, SUPPLY, HEATER, heat_up).simulate(DAY, DAY)
    assert fed.run.values[0][120:300].max() == pytest.approx(60.0, abs=0.1)
    assert "job.heating-through-missed" not in codes(fed)


def test_what_stores_give_is_no_saving(tmp_path):
    """A heater that is never fed borrows from its tank: the difference is told."""
    ask = question(tmp_path, SUPPLY, HEATER, PUMP, TIMES)
    never = TIMES.replace('"pump"', '"heater"').replace("10:00:00", "23:58:00").replace("12:00:00", "23:59:00")
    (tmp_path / "trial.toml").write_text(never + TIMES.replace("pump-times", "p"))
    made = ask.simulate(DAY, DAY, load_trial(tmp_path / "trial.toml", ask.job))
    assert "job.stores-drawn" in codes(made)
    assert stores_kwh(made.outcome) < -1.0
    assert (made.stores.price, made.stores.worth) == (None, None)
    assert made.stores.electric_kwh == pytest.approx(stores_kwh(made.outcome))


FLAT = """[[tariff]]
id = "one"
name = "Flat (invented)"
currency = "EUR"
[[tariff.energy]]
label = "Energy"
price = "0.20"
[[tariff.levy]]
label = "Tax"
percent = "10"
"""


def test_what_stores_give_is_valued_at_the_price_at_the_end(tmp_path):
    """The same tank under an invented tariff of 0.20 EUR a kWh with a tenth on top: each kWh is worth 0.22 EUR."""
    (tmp_path / "tariff.toml").write_text(FLAT)
    choice = '[tariff]\nfiles = ["tariff.toml"]\npaid = "one"\n'
    made = question(tmp_path, SUPPLY, HEATER, PUMP, TIMES, choice).simulate(DAY, DAY)
    assert made.stores.price == Money(Decimal("0.22"), "EUR")
    assert made.stores.worth.amount == pytest.approx(Decimal(str(round(0.22 * stores_kwh(made.outcome), 2))))


def test_the_response_of_shedding_is_told(tmp_path):
    """Every 10 s, delay 5 s, a link of 2 s: 17 s; one that the survey says is never interrupted takes no part."""
    shed = '[control.shedding]\npick_up = "4 kW"\nrestore = "2 kW"\norder = ["pump"]\nmeasured_every = "10 s"\ndelay = "5 s"\n'
    link = '[[control.actuator]]\nload = "pump"\nlink_delay = "2 s"\n'
    made = question(tmp_path, SUPPLY, PUMP, TIMES, shed, link).simulate(DAY, DAY)
    assert (made.response.load, made.response.total_s) == ("pump", 17.0)
    never = question(tmp_path, SUPPLY, PUMP.replace('"mains"', '"never"'), TIMES, shed).simulate(DAY, DAY)
    assert never.response.load == ""


def test_a_limit_that_is_never_reached_is_told(tmp_path):
    """The highest reading with heater and pump beside it is some kilowatts: 900 kW, a slip of the unit, never sheds anything."""
    shed = '[control.shedding]\npick_up = "900 kW"\nrestore = "2 kW"\norder = ["pump"]\n'
    ask = question(tmp_path, SUPPLY, HEATER, PUMP, TIMES, shed)
    (told,) = [one for one in ask.simulate(DAY, DAY).findings if one.code == "control.never-reached"]
    assert told.data["pick_up"] == 900_000.0
    assert told.data["most"] >= 3000.0  # heater 2 kW and pump 1 kW alone
    assert "control.never-reached" not in codes(question(tmp_path, SUPPLY, HEATER, PUMP, TIMES, SHED).simulate(DAY, DAY))


def test_what_the_record_gives_back_is_told(tmp_path):
    """Six hours of 2 kW given back on each of two days are 24 kWh that are taken at nought, and nothing passes over them."""
    rows = hourly().splitlines()
    sunny = [row.rsplit(",", 1)[0] + ",-2.0" if 12 <= int(row[11:13]) < 18 else row for row in rows[1:]]
    made = question(tmp_path, SUPPLY, PUMP, TIMES, readings="\n".join([rows[0], *sunny]) + "\n").simulate(DAY, DAY)
    (told,) = [one for one in made.findings if one.code == "job.export-cut"]
    assert told.data == pytest.approx({"energy": 24.0, "highest": 2000.0})
    assert "job.export-cut" not in codes(question(tmp_path, SUPPLY, PUMP, TIMES).simulate(DAY, DAY))


@pytest.mark.parametrize(("quantity", "value"), [("state of charge", "50 %"), ("export power", "1 kW")])
def test_a_rule_on_what_is_not_there_is_told(tmp_path, quantity, value):
    """No battery and no PV in the job: a rule that looks at either never acts."""
    rule = f'[[control.rule]]\nid = "x"\nload = "pump"\nkind = "limit"\nquantity = "{quantity}"\n'
    rule += f'pick_up = "{value}"\ndrop_out = "0 {value.split()[1]}"\n'
    assert "control.nothing-there" in codes(question(tmp_path, SUPPLY, PUMP, rule).simulate(DAY, DAY))


def test_shedding_that_hunts_is_told(tmp_path):
    """A rest of 6.9 A and a pump of 5.4 A about limits of 9 and 8 A: it goes and comes each half minute, 116 times an hour."""
    shed = SHED.replace("2.2 kW", "9 A").replace("1.6 kW", "8 A").replace("10 min", "30 s") + 'quantity = "current"\n'
    ask = question(tmp_path, SUPPLY, PUMP, TIMES)
    (tmp_path / "trial.toml").write_text(TIMES + shed)
    made = ask.simulate(DAY, DAY, load_trial(tmp_path / "trial.toml", ask.job))
    (told,) = [one for one in made.findings if one.code == "simulate.shed-often"]
    assert 100 <= told.data["count"] <= 120
    (tmp_path / "calm.toml").write_text(TIMES + SHED)
    assert "simulate.shed-often" not in codes(ask.simulate(DAY, DAY, load_trial(tmp_path / "calm.toml", ask.job)))


def test_a_limit_that_shedding_cannot_keep_is_told(tmp_path):
    """With 3 kW of the rest above a limit of 2.2 kW nothing that can be shed helps."""
    ask = question(tmp_path, SUPPLY, PUMP, TIMES, readings=hourly(3.0))
    (tmp_path / "trial.toml").write_text((TIMES + SHED).replace("control.", "").replace("[control.", "["))
    made = ask.simulate(DAY, DAY, load_trial(tmp_path / "trial.toml", ask.job))
    assert "job.over-limit" in codes(made)


def test_a_battery_begins_as_the_day_before_left_it(tmp_path):
    """Without sun the battery is at its reserve after a day: the day shown has nothing left to give."""
    parts = '[battery]\ncapacity = "5 kWh"\ncharge_power = "2 kW"\ndischarge_power = "2 kW"\n[inverter]\nrating = "3 kVA"\n'
    made = question(tmp_path, SUPPLY, parts, PUMP, TIMES).simulate(DAY, DAY)
    assert made.outcome.balance.battery_rise == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("parts", ['[battery]\ncapacity = "5 kWh"\ncharge_power = "2 kW"\ndischarge_power = "2 kW"\n',
                                   '[inverter]\nrating = "3 kVA"\nrole = "stand-alone"\n'])  # fmt: skip
def test_a_supply_that_lacks_a_part_is_refused_as_written(tmp_path, parts):
    """A battery without inverter and a stand-alone site without a source are faults of the file, with what to add."""
    with pytest.raises(JobError, match="Add a"):
        question(tmp_path, SUPPLY, parts, PUMP, TIMES)


def test_part_of_a_day_is_told(tmp_path):
    """A record that ends at one in the night holds an hour of that day."""
    text = "\n".join(hourly().splitlines()[:50]) + "\n"
    made = question(tmp_path, SUPPLY, PUMP, TIMES, readings=text).simulate(date(2025, 1, 8), date(2025, 1, 8))
    assert "job.part-of-day" in codes(made)
    assert len(made.run.site_w) == 60


def refused(folder, *parts):
    with pytest.raises(JobError) as error:
        question(folder, SUPPLY, *parts)
    return error.value.faults


def test_a_conductor_that_is_not_there_is_refused_with_its_line(tmp_path):
    """A load on L2 and a limit on L3 of a single-phase supply: both are named, where they stand."""
    limit = TIMES + '[[control.rule]]\nid = "x"\nload = "pump"\nkind = "limit"\nquantity = "current"\nphase = "L3"\n'
    found = refused(tmp_path, PUMP.replace('"L1"', '"L2"'), limit + 'pick_up = "16 A"\ndrop_out = "10 A"\n')
    assert [(one.code, one.place.field) for one in found] == [
        ("job.no-such-conductor", "loads[1].phase"), ("job.no-such-conductor", "control.rule[2].phase"),
    ]  # fmt: skip
    lines = (tmp_path / "job.toml").read_text().splitlines()
    assert [lines[one.place.line - 1] for one in found] == ['phase = "L2"', 'phase = "L3"']


def test_a_source_feeds_no_more_conductors_than_there_are(tmp_path):
    """Two of a single-phase supply are refused with the line; one, or a word where a number stands, is not this fault."""
    told = '[[island.protection]]\nsource = "{}"\nrating = "16 A"\nconductors = {}\n'
    (fault,) = refused(tmp_path, PUMP, TIMES, told.format("inverter", 1), told.format("PV array", 2))
    assert (fault.code, fault.place.field) == ("job.no-such-conductor", "island.protection[2].conductors")
    assert (tmp_path / "job.toml").read_text().splitlines()[fault.place.line - 1] == "conductors = 2"
    assert fault.wanted == "no more line conductors than the 1 of a single-phase supply"
    (word,) = refused(tmp_path, PUMP, TIMES, told.format("inverter", '"two"'))
    assert word.code != fault.code


def test_a_misspelt_entry_of_a_model_names_those_of_its_kind(tmp_path):
    """Those of a water heater, not those of a cold store."""
    (fault,) = refused(tmp_path, HEATER.replace("set_point", "setpoint"))
    assert "differential" in fault.wanted
    assert not {"carnot", "turnovers_per_day"} & set(fault.wanted.replace(",", "").split())
    assert fault.next_step == "Did you mean set_point?"


def test_a_time_with_an_offset_is_refused_in_our_words(tmp_path):
    """A person's hand goes by the site's clock."""
    hand = '[[control.override]]\nload = "pump"\nstate = "on"\nbegins = 2025-01-07T10:00:00Z\nends = 2025-01-07T12:00:00\n'
    (fault,) = refused(tmp_path, PUMP, TIMES, hand)
    assert fault.wanted == "a time on the site's clock without an offset, such as 2025-07-12T18:00:00"


def test_a_rule_on_a_pump_that_shows_nothing_is_told(tmp_path):
    """A motor has no sensor."""
    point = '[[control.rule]]\nid = "x"\nload = "pump"\nkind = "set point"\nquantity = "load value"\ncalls = "below"\n'
    made = question(tmp_path, SUPPLY, PUMP, point + "set_point = 20.0\ndifferential = 1.0\n").simulate(DAY, DAY)
    assert "control.no-sensor" in codes(made)


OXYGEN = '[[loads]]\nid = "oxygen"\nname = "Oxygen machine"\nkind = "other"\nrating = "400 W"\ninterrupt = "never"\n'


def test_what_may_never_be_interrupted_needs_no_model(tmp_path):
    """It stands in the shed order and has an actuator: told, not switched, part of the rest; the others are shed as before."""
    shed = '[control.shedding]\npick_up = "2.2 kW"\nrestore = "1 kW"\norder = ["oxygen", "pump"]\n'
    medical = '[[control.actuator]]\nload = "oxygen"\npurpose = "medical"\n'
    made = question(tmp_path, SUPPLY, PUMP, OXYGEN, TIMES, shed, medical).simulate(DAY, DAY)
    assert [one.id for one in did(made)] == ["pump"]
    assert "control.never-switched" in codes(made)
    assert did(made)[0].outcome.shed == 1
    with pytest.raises(JobError, match='no model of "oxygen"'):
        question(tmp_path, SUPPLY, PUMP, OXYGEN, TIMES, TIMES.replace('"pump"', '"oxygen"').replace("pump-", "o-")).simulate(
            DAY, DAY
        )


def test_apparent_power_stands_beside_what_carries_it(tmp_path):
    """With the grid beside its connection, 20 A at 230 V; without it beside the generator and the inverter."""
    own = '[inverter]\nrating = "6 kVA"\nrole = "carries the site in outages"\n[generator]\nrating = "4 kW"\n'
    battery = '[battery]\ncapacity = "9 kWh"\ncharge_power = "3 kW"\ndischarge_power = "5 kW"\n'
    outage = "[[outages]]\nbegins = 2025-01-07T20:00:00\nends = 2025-01-07T21:00:00\n"
    made = question(tmp_path, SUPPLY, own, battery, outage, PUMP, TIMES).simulate(DAY, DAY)
    told = {(name, what): rating for name, _, what, rating in apparent(made)}
    assert told == {
        ("apparent power", "connection"): 4600.0, ("without the grid", "generator"): 5000.0,
        ("without the grid", "inverter"): 6000.0,
    }  # fmt: skip
    # 1.5 kW at the usual power factor of 0.95.
    assert [va for name, va, *_ in apparent(made) if name == "without the grid"] == pytest.approx([1500 / 0.95] * 2)


def test_a_site_that_is_always_too_weak_is_closed_and_trips_each_time(tmp_path):
    """Stand-alone with 1 kW of battery for 1.5 kW: each trip has its closing before the next."""
    own = '[inverter]\nrating = "6 kVA"\nrole = "stand-alone"\nrestart_after = "1 h"\n'
    battery = '[battery]\ncapacity = "9 kWh"\ncharge_power = "3 kW"\ndischarge_power = "1 kW"\n'
    made = question(tmp_path, SUPPLY, own, battery, PUMP, TIMES).simulate(DAY, DAY)
    told = [one.what for one in happenings(made) if one.load == "" and one.what != "supply lost"]
    assert told == ["trip", *["closed again", "trip"] * 23]
    assert [name for name, *_ in apparent(made)] == ["without the grid"]
