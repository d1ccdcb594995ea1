"""Equipment on the command line: the quick answer for one load, a whole job, the drawings."""

import json
import re

import pytest

from tests.job.pv import ARRAY, STRINGS
from tests.job.simulated import PUMP, SUPPLY, TIMES, question
from tests.job.test_gearing import FREEZER, HEAD, HEATER, PUMP as IRRIGATION, RULES
from tests.job.test_planning import MAY_HEATER, MAY_PUMP

HOT = ("gear", "--load", "water heater", "--power", "3 kW", "--voltage", "230 V")


def flat(text):
    """Text as one line, whatever the terminal's width."""
    return re.sub(r"\s+", " ", text)


def job_in(place, text):
    """A job folder of this text, without readings."""
    (place / "site").mkdir(exist_ok=True)
    (place / "site" / "job.toml").write_text(text)


def test_a_water_heater_by_telephone(wattwright):
    """13.04 A for hours: a 20 A device in its line, 16 A refused and why; what else would do, questions and cautions."""
    told = flat(wattwright(*HOT).out)
    assert told.startswith("Switch the water heater in its own line: in-line switch with meter and radio, 20 A resistive")
    assert "13.04 A" in told
    assert "What else would do" in told
    assert "Refused" in told
    assert "continuous load" in told
    assert "To be asked on site" in told
    assert "Mains work can kill" in told


def test_the_same_as_json(wattwright):
    """selected, refused with rule, clause and margin."""
    told = json.loads(wattwright(*HOT, "--json").out)
    assert told["schema"].startswith("wattwright.gear/")
    assert told["selected"]["parts"][0]["id"] == "in-line-20"
    refused = next(one for one in told["refused"] if one["id"] == "in-line-16")
    assert (refused["rule"], refused["clause"] != "", refused["margin"] < 0) == ("continuous load", True, True)


def test_a_motor_on_three_phases_by_a_contactor(wattwright):
    """7.5 kW of shaft on 400 V: a contactor, its coil damped."""
    plate = (
        "--power",
        "7.5 kW",
        "--voltage",
        "400 V",
        "--system",
        "three-phase",
        "--efficiency",
        "87 %",
        "--power-factor",
        "83 %",
    )
    told = flat(wattwright("gear", "--load", "irrigation pump", *plate, "--a-day", "3", "--coil", "230 V").out)
    assert told.startswith("Switch the irrigation pump by a contactor")
    assert "across its coil" in told


def test_two_lines_go_by_the_nec(wattwright):
    """4.5 kW on 240 V is refused for 20 A: 18.75 A x 125 % = 23.4 A; the rule set follows the system, or what is asked."""
    heater = ("gear", "--load", "water heater", "--power", "4.5 kW", "--voltage", "240 V", "--system", "split-phase", "--json")
    told = json.loads(wattwright(*heater).out)
    assert told["running_a"] == pytest.approx(18.75)
    assert not any("-20" in one["id"] for one in told["selected"]["parts"])
    assert any("NEC 210.20" in one["clause"] for one in told["refused"])
    told = json.loads(wattwright(*heater, "--rules", "iec").out)
    assert not any("NEC" in one["clause"] for one in told["refused"])


def test_a_probe_is_chosen_where_it_is_asked_for(wattwright):
    """A tank is felt by a probe; a kettle is not switched by one."""
    assert "Probe: " in flat(wattwright(*HOT, "--senses").out)
    done = wattwright("gear", "--load", "pool pump", "--power", "1 kW", "--senses")
    assert done.code == 2
    assert "not switched by a probe" in flat(done.err)


def test_nothing_in_the_range(wattwright, place):
    """An own range that has only one small device: nothing switches it, and the refusal says by which rule."""
    done = wattwright("gear", "--load", "water heater", "--power", "90 kW", "--voltage", "400 V", "--system", "three-phase")
    assert flat(done.out).startswith("Nothing in the range switches this water heater")
    assert done.code == 0


WRONG = [
    (("gear",), "Say which load"),
    (("gear", "--load", "unicorn", "--power", "1 kW"), "unicorn"),
    ((*HOT, "--rules", "bs"), "--rules"),
    ((*HOT, "--place", "moon"), "--place"),
    ((*HOT, "--a-day", "-1"), "--a-day"),
    ((*HOT, "--ambient", "warm"), "--ambient"),
    ((*HOT[:4], "-3 kW", *HOT[5:]), "power"),
    (("gear", "--load", "water heater", "--power", "3 kW", "--voltage", "900 V"), "voltage"),
    ((*HOT, "--catalogue", "none.toml"), "none.toml"),
    (("gear", "readings.csv"), "A meter file alone has no loads"),
    (("drawings", "readings.csv"), "A meter file alone has no loads"),
    (("gear", "site", "--control", "none.toml"), "none.toml"),
    (("drawings", "site", "--size", "A0"), "--size"),
]


@pytest.mark.parametrize(("given", "words"), WRONG, ids=[" ".join(given) for given, _ in WRONG])
def test_wrong_calls_get_a_sentence(wattwright, place, given, words):
    """Each names what was found or wanted, on standard error, and nothing is written."""
    job_in(place, HEAD + HEATER)
    done = wattwright(*given)
    assert done.code in (1, 2)
    assert words in flat(re.sub("[│╭╮╰╯─]", " ", done.err))
    assert not (place / "drawings").exists()


def test_a_job_is_equipped(wattwright, place):
    """Each load with switch and circuit, the meter, the board, the bill, what to ask once, and by whose rules."""
    job_in(place, HEAD + HEATER + IRRIGATION + FREEZER + RULES)
    told = flat(wattwright("gear", "site").out)
    assert told.startswith("3 of 3 loads have a switch, 2 a designed circuit (IEC). Equipped for the job's own rules.")
    for one in ("Meter of the supply: ", "Enclosure: ", "Bill of materials", "To be asked on site", "(every load)", "open"):
        assert one in told
    assert "in all" not in told


def test_a_bill_with_prices_adds_up(wattwright, place, monkeypatch):
    """The total, and how many have no price."""
    monkeypatch.setenv("COLUMNS", "200")
    (place / "site").mkdir()
    (place / "site" / "prices.csv").write_text("like;article;price;currency\nin-line-20;4711;62,40;EUR\n")
    job_in(place, HEAD.replace("[gear]", '[gear]\ncatalogue = ["prices.csv"]') + HEATER)
    told = flat(wattwright("gear", "site").out)
    assert "62.40 EUR" in told
    assert "that have no price" in told
    everything = '[gear]\nonly = true\ncatalogue = ["prices.csv"]'
    job_in(place, HEAD.replace("[gear]", everything) + HEATER)
    told = flat(wattwright("gear", "site").out)
    assert "1 of 1 loads have a switch" in told
    assert "nothing in the range" not in told.partition("Bill")[0]


def test_a_load_that_nothing_switches_is_shown(wattwright, place):
    """It stays in the table, with what to do."""
    huge = IRRIGATION.replace('"9 kW"', '"95 kW"').replace('shaft = "7.5 kW"', 'shaft = "90 kW"')
    job_in(place, HEAD.replace('"40 A"', '"400 A"') + huge)
    told = flat(wattwright("gear", "site").out)
    assert "0 of 1 loads have a switch, 0 a designed circuit" in told
    assert "nothing in the range" in told


def test_rules_of_a_file_are_equipped_for(wattwright, place):
    """--control goes before the job's own; told in text and JSON."""
    question(place, SUPPLY, MAY_HEATER, MAY_PUMP, TIMES)
    (place / "other.toml").write_text(TIMES.replace("12:00:00", "13:00:00"))
    assert "Equipped for the rules of the file given." in flat(wattwright("gear", "job.toml", "--control", "other.toml").out)
    told = json.loads(wattwright("gear", "job.toml", "--control", "other.toml", "--json").out)
    assert told["by"] == "file"
    assert [one["load"] for one in told["loads"]] == ["heater", "pump"]


def test_a_job_without_what_it_takes_is_told(wattwright, place):
    """No load may be switched; no supply."""
    question(place, SUPPLY, PUMP)
    done = wattwright("gear", "job.toml")
    assert done.code == 1
    assert "controllable = true" in flat(done.err)
    question(place, MAY_PUMP)
    assert "[supply]" in flat(wattwright("drawings", "job.toml").err)


def test_refused_strings_stop_the_drawings_in_words(wattwright, place):
    """13 x 50 V x (1 + 0.003 x 35) = 718.25 V on an inverter that bears 600 V: drawn, but said, in JSON and by the gear too."""
    job_in(place, HEAD + ARRAY + STRINGS.replace("parallel = 2", "parallel = 2\nseries = 13"))
    for call, code in ((("drawings", "site", "-o", "out"), 1), (("gear", "site"), 0)):
        done = wattwright(*call)
        assert "strings 1: cold voltage at the inverter: 718" in flat(done.out)
        assert done.code == code
    assert (place / "out" / "drawings.pdf").exists()
    done = wattwright("drawings", "site", "-o", "out", "--json")
    assert done.code == 1
    told = json.loads(done.out)
    # By hand: 2 x 13 x 400 W are 10.4 kW, and the array has 8 kW.
    assert [one["code"] for one in told["findings"]] == ["generation.string-fails", "job.strings-apart"]


def test_an_overcurrent_device_that_fails_stops_the_drawings(wattwright, place):
    """By hand: the array's 8 kW by its tracker are 11.6 A in each of three lines, not 10 A; one of no source is told."""
    told = '[[island.protection]]\nsource = "{}"\nrating = "10 A"\nconductors = 3\n'
    for source, code, word in (("PV array", 1, "10\u202fA; at least 11.6\u202fA"), ("generator", 0, "which the job lacks")):
        job_in(place, HEAD + ARRAY + STRINGS + told.format(source))
        done = wattwright("drawings", "site", "-o", "out")
        assert done.code == code
        assert word.replace("\u202f", " ") in flat(done.out).replace("\u202f", " ")


def test_drawings_ask_how_many_modules_are_in_series(wattwright, place):
    """By hand: 600 V / 55.25 V cold are 10 at most; 150 V / (40 V x (1 - 0.0035 x 45)) hot 5 at least. Told, nothing is asked."""
    for series, asked in (("", True), ("\nseries = 10", False)):
        job_in(place, HEAD + ARRAY + STRINGS.replace("parallel = 2", f"parallel = 2{series}"))
        told = flat(wattwright("drawings", "site", "-o", "out").out)
        assert ("To be asked of strings 1: how many modules are in series; from 5 to 10 fit." in told) == asked
        questions = json.loads(wattwright("drawings", "site", "-o", "out", "--json").out)["asked"]
        assert [one["id"] for one in questions] == (["series.1"] if asked else [])
        drawn = (place / "out" / "sheet-01.svg").read_text()
        # The words stand in two lines beside the array; none of them is cut.
        assert (">2 x to be<" in drawn) == asked
        assert "…" not in drawn


def test_drawings_are_written(wattwright, place):
    """A sheet for the installation and each load, the PDF, the schedules; Tabloid as asked; JSON names the files."""
    job_in(place, HEAD + HEATER + FREEZER)
    done = wattwright("drawings", "site", "-o", "out")
    assert done.out.startswith("Drawn for no rules")
    names = sorted(path.name for path in (place / "out").iterdir())
    assert names == ["cables.csv", "drawings.pdf", "sheet-01.svg", "sheet-02.svg", "sheet-03.svg", "terminals.csv"]
    told = json.loads(wattwright("drawings", "site", "-o", "wide", "--size", "tabloid", "--json").out)
    assert (told["by"], told["findings"]) == ("job", [])
    assert len(told["files"]) == 6
    assert "431.8" in (place / "wide" / "sheet-01.svg").read_text()
