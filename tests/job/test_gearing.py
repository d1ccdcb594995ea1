"""A job's equipment: what is chosen for each load under its rules, what the board holds, what must be asked."""

import json
from pathlib import Path

import pytest

from wattwright.core.envelope import plain
from wattwright.core.errors import InputError, JobError
from wattwright.core.show import Show
from wattwright.gear.wiring.single_line import RAIL
from wattwright.job.file import load_job
from wattwright.job.gear_json import gear_json
from wattwright.job.gearing import site_gear
from wattwright.job.wirings import OPEN, single_line, wirings

HEAD = """
version = 2
name = "Almond terrace (invented)"
invented = true
[site]
zone = "Europe/Athens"
[papers]
date = 2026-01-12
[supply]
system = "three-phase"
voltage = "230 V"
main_protection = "40 A"
[gear]
earthing = "TN"
loop_impedance = "0.6 ohm"
prospective_current = "1.5 kA"
upstream_drop = "0.5 %"
supply_mm = 9
"""
HEATER = """
[[loads]]
id = "heater"
name = "Water heater"
kind = "water heater"
rating = "3 kW"
volume = "300 l"
phase = "L2"
controllable = true
interrupt = "mains"
wiring = { length = "20 m", method = "C", circuits = 1, ambient = "30 degC" }
"""
PUMP = """
[[loads]]
id = "pump"
name = "Irrigation pump"
kind = "irrigation pump"
rating = "9 kW"
power_factor = 0.83
phase = "total"
controllable = true
interrupt = "mains"
[loads.wiring]
length = "60 m"
method = "C"
circuits = 1
ambient = "30 degC"
shaft = "7.5 kW"
efficiency = "87 %"
start_ratio = 7.0
switchings_a_day = 3
"""
FREEZER = """
[[loads]]
id = "freezer"
name = "Freezer"
kind = "freezer"
rating = "200 W"
power_factor = 0.8
phase = "L1"
controllable = true
interrupt = "control circuit"
"""
RULES = """
[[control.rule]]
id = "heater-times"
load = "heater"
kind = "time programme"
times = [{ on = 04:00:00, off = 07:30:00 }]
[control.shedding]
pick_up = "12 kW"
restore = "9 kW"
order = ["heater"]
"""


def made_of(tmp_path: Path, text: str, **given):
    """The equipment of a job of this text."""
    (tmp_path / "job.toml").write_text(text)
    job = load_job(tmp_path)
    asked = {"switchings": {}, "peak_a": 30.0, "base_a": 3.0, **given}
    return site_gear(job, job.spec.control, asked["switchings"], asked["peak_a"], asked["base_a"]), job


def test_each_load_gets_what_its_way_asks_for(tmp_path):
    """A heater in its line, three phases by a contactor, a freezer by its own input; numbers in the order of the survey."""
    made, _ = made_of(tmp_path, HEAD + HEATER + PUMP + FREEZER, switchings={"heater": 1000.0})
    heater, pump, freezer = made.loads
    assert [one.answer.choice.selected.way for one in made.loads] == ["in line", "contactor", "control input"]
    assert [one.number for one in made.loads] == [1, 2, 3]
    assert heater.answer.choice.need.running_a == pytest.approx(3000 / 230)
    assert heater.answer.choice.need.switchings_a_year == 1000.0
    assert pump.answer.choice.need.between_v == 398.0
    assert pump.answer.choice.need.switchings_a_year == 3 * 365
    assert freezer.circuit is None
    assert "not known yet" in freezer.not_designed
    assert heater.circuit.chosen.protection.rated_a == 16.0
    assert heater.answer.choice.need.protected_a == 16.0
    assert made.rules == "iec"
    assert {one.code for one in made.findings} >= {"job.no-circuit"}


def test_the_meter_covers_protection_and_peak(tmp_path):
    """Three conductors behind 40 A; a peak of 60 A asks for the next size."""
    assert made_of(tmp_path, HEAD + HEATER)[0].measuring.selected.id == "ct-meter-50-3"
    assert made_of(tmp_path, HEAD + HEATER, peak_a=60.0)[0].measuring.selected.id == "ct-meter-100-3"


def test_rules_ask_for_classes_of_gear(tmp_path):
    """A time programme is held by a clock; to be shed, a load must only be told."""
    made, _ = made_of(tmp_path, HEAD + HEATER + RULES)
    assert "radio-switch" in made.loads[0].answer.choice.need.classes
    assert "pulse-relay" not in made.loads[0].answer.choice.need.classes


def test_a_rule_on_a_value_brings_its_probe(tmp_path):
    """A set point is kept by a probe in the tank."""
    rule = RULES.replace('kind = "time programme"\ntimes = [{ on = 04:00:00, off = 07:30:00 }]', 'kind = "set point"\n'
                         'quantity = "load value"\nset_point = 60\ndifferential = 5\ncalls = "below"')  # fmt: skip
    made, _ = made_of(tmp_path, HEAD + HEATER.replace("circuits = 1", 'circuits = 1, probe_way = "3 m"') + rule)
    assert made.loads[0].answer.probing.selected.id == "probe-pt1000"
    assert any(row.name.startswith("Pt1000") for row in made.bill.rows)


def test_a_load_that_must_never_be_interrupted_gets_no_switch(tmp_path):
    """Neither by the survey nor by its actuator."""
    alarm = FREEZER.replace('interrupt = "control circuit"', 'interrupt = "never"')
    made, _ = made_of(tmp_path, HEAD + HEATER + alarm)
    assert [one.load.id for one in made.loads] == ["heater"]
    medical = '[[control.actuator]]\nload = "heater"\npurpose = "medical"\n'
    made, _ = made_of(tmp_path, HEAD + HEATER + PUMP + medical)
    assert [one.load.id for one in made.loads] == ["pump"]


def test_without_supply_or_loads_there_is_nothing_to_choose(tmp_path):
    """Each is told as an entry to fill in."""
    bare = HEAD.partition("[supply]")[0]
    for text, field in ((bare + HEATER, "supply"), (HEAD, "loads")):
        with pytest.raises(JobError) as caught:
            made_of(tmp_path, text)
        assert caught.value.faults[0].place.field == field


def test_a_split_phase_supply_goes_by_the_nec(tmp_path):
    """Two lines for a load of both, 240 V between them, the NEC's table of breakers."""
    text = HEAD.replace('"three-phase"', '"split-phase"').replace('voltage = "230 V"', 'voltage = "120 V"') + HEATER
    text = (
        text.replace('phase = "L2"', 'phase = "total"').replace('method = "C"', 'method = "cable"').replace('"3 kW"', '"4.5 kW"')
    )
    made, job = made_of(tmp_path, text)
    one = made.loads[0]
    assert made.rules == "nec"
    assert one.answer.appliance.system == "split-phase"
    assert one.answer.appliance.voltage_v == 240.0
    assert one.circuit.chosen.protection.rated_a == 25.0
    assert one.circuit.chosen.cable.size == "10 AWG"
    assert any("10 AWG" in row.name and row.item is None for row in made.bill.rows)
    assert wirings(made)[0].faults() == ()
    assert "90 °C" in wirings(made)[0].cables[0].says  # PVC and XLPE are words of the other rule set
    assert single_line(made, job.spec).incoming.system == "split-phase"


def test_what_is_refused_by_a_table_is_told_and_the_rest_goes_on(tmp_path):
    """A load no listed breaker carries leaves its circuit open."""
    huge = PUMP.replace('"9 kW"', '"95 kW"').replace('shaft = "7.5 kW"', 'shaft = "90 kW"')
    made, _ = made_of(tmp_path, HEAD + HEATER + huge)
    assert made.loads[1].circuit is None
    assert made.loads[1].not_designed
    assert made.loads[1].answer.choice.selected is None
    assert {"job.no-switch", "job.no-circuit"} <= {one.code for one in made.findings}
    assert len(wirings(made)) == 1


def test_own_ranges_come_from_the_folder_of_the_job(tmp_path):
    """With prices the bill has a total; a wrong one is a sentence."""
    (tmp_path / "prices.csv").write_text("like;article;price;currency;stock\nin-line-20;4711;62,40;EUR;12\n")
    text = HEAD.replace("[gear]", '[gear]\ncatalogue = ["prices.csv"]') + HEATER
    made, _ = made_of(tmp_path, text)
    assert str(made.bill.totals["EUR"]) == "62.40"
    assert made.bill.unpriced == len(made.bill.rows) - 1
    (tmp_path / "prices.csv").write_text("like;price;currency\nnothing;1;EUR\n")
    with pytest.raises(InputError):
        made_of(tmp_path, text)


def test_wirings_and_single_line_say_what_is_open(tmp_path):
    """Whatever is not designed yet says so in the drawing."""
    made, job = made_of(tmp_path, HEAD + HEATER + PUMP + FREEZER)
    drawn = wirings(made)
    assert [one.faults() for one in drawn] == [(), (), ()]
    assert any(OPEN in part.says for part in drawn[2].parts)
    feeders = single_line(made, job.spec).feeders
    assert [one.way for one in feeders] == ["in line", "contactor", "control input"]
    assert feeders[0].breaker == "breaker B 16 A"
    assert feeders[0].cable.endswith("20 m")


def test_a_motor_by_a_contactor_has_a_relay_even_while_its_circuit_is_open(tmp_path):
    """Its setting is open; the place in the wiring is not."""
    open_pump = PUMP.replace('length = "60 m"\n', "")
    drawn = wirings(made_of(tmp_path, HEAD + open_pump)[0])[0]
    assert any(part.symbol == "overload" and OPEN in part.says for part in drawn.parts)
    assert drawn.faults() == ()


def test_sources_of_the_site_are_drawn(tmp_path):
    """PV and inverter feed the rail as well; a generator feeds it in place of the grid."""
    more = (
        '[[pv]]\npeak = "5 kW"\ntilt_deg = 20\nazimuth_deg = 180\n[inverter]\nrating = "5 kVA"\nrole = "beside the grid"\n'
        '[generator]\nrating = "6 kW"\n'
    )
    (tmp_path / "job.toml").write_text(HEAD + HEATER + more)
    job = load_job(tmp_path)
    made = site_gear(job, job.spec.control, {}, None, None)
    incoming = single_line(made, job.spec).incoming
    # The inverter beside the grid is the array's own; a battery has one of its own.
    assert [one.name for one in incoming.sources] == ["PV array 1, 5 kWp", "generator"]
    assert [one.ends == RAIL for one in incoming.sources] == [True, False]
    assert [one.device for one in incoming.elements][-1] == "changeover"
    inverter, battery = (
        '[inverter]\nrating = "5 kVA"\nrole = "beside the grid"\n',
        '[battery]\ncapacity = "8 kWh"\ncharge_power = "4 kW"\ndischarge_power = "4 kW"\n',
    )
    for text, told in ((inverter, "inverter"), (inverter + battery, "battery with its inverter")):
        (tmp_path / "job.toml").write_text(HEAD + HEATER + text)
        assert [one.name for one in single_line(made, load_job(tmp_path).spec).incoming.sources] == [told]


def test_the_json_has_what_programs_need(tmp_path):
    """selected, refused with rule, clause and margin, circuit, bill of materials; and is JSON."""
    made, _ = made_of(tmp_path, HEAD + HEATER + FREEZER)
    told = json.loads(json.dumps(plain(gear_json(made, Show("en_GB")))))
    heater, freezer = told["loads"]
    assert heater["selected"]["parts"][0]["id"] == "in-line-20"
    refused = next(one for one in heater["refused"] if one["id"] == "in-line-16")
    assert refused["rule"] == "continuous load"
    assert refused["clause"]
    assert refused["margin"] < 0
    assert heater["circuit"]["cable"]["area_mm2"] > 0
    assert heater["circuit"]["deciding_rule"]
    assert freezer["circuit"] is None
    assert freezer["not_designed"]
    assert told["meter"]["selected"]["id"] == "ct-meter-50-3"
    assert told["bill_of_materials"]["rows"]
    assert told["enclosure"]["selected"]


ORDERED = ("breaker", "residual", "main contacts", "in-line switch", "controller", "overload", "hand switch", "damping")


def test_the_bill_lists_every_device_that_the_drawings_show(tmp_path):
    """Who orders by the bill has on site what the sheet tells to wire; what no range has is there in words."""
    made, _ = made_of(tmp_path, HEAD + HEATER + PUMP + FREEZER)
    pieces = {}
    for row in made.bill.rows:
        for name in row.used_for:
            pieces.setdefault(name, []).append(row.name)
    for drawn in wirings(made):
        devices = {part.device for part in drawn.parts if part.symbol in ORDERED}
        listed = [name for name in pieces[drawn.load] if not name.startswith("copper")]
        open_one = "to be designed" in " ".join(part.says for part in drawn.parts)
        assert len(listed) >= len(devices) - open_one
    assert any(name.startswith("overload relay set to") for name in pieces["Irrigation pump"])
    assert any(name.startswith("hand switch") for name in pieces["Irrigation pump"])


def test_protection_that_the_range_lacks_is_ordered_in_words(tmp_path):
    """A short-circuit current beyond what any breaker of the range breaks: the bill says what is wanted."""
    strong = HEAD.replace('"1.5 kA"', '"9 kA"')
    made, _ = made_of(tmp_path, strong + HEATER)
    assert any(row.item is None and row.name == "breaker B 16 A" for row in made.bill.rows)


def test_several_alike_take_as_much_room_as_there_are(tmp_path):
    """Three heaters ask for three breakers in the board."""
    one, _ = made_of(tmp_path, HEAD + HEATER)
    three, _ = made_of(tmp_path, HEAD + HEATER.replace('rating = "3 kW"', 'rating = "3 kW"\nquantity = 3'))
    assert three.housing.modules == 3 * one.housing.modules
