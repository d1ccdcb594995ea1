"""The verb that simulates a job, called as a person calls it."""

import json

import pytest

from tests.job.simulated import HEATER, PUMP, SUPPLY, TIMES, question

TARIFF = '[tariff]\nfiles = ["tariff.toml"]\npaid = "one"\n'


@pytest.fixture
def small(place):
    """The folder to work in, with a small job of three days beside."""
    folder = place / "small"
    folder.mkdir()
    question(folder, SUPPLY, HEATER, PUMP, TIMES, TARIFF)
    (folder / "tariff.toml").write_text((place / "tariff.toml").read_text())
    (place / "trial.toml").write_text(TIMES.replace("10:00:00", "02:00:00").replace("12:00:00", "04:00:00"))
    return folder


def test_it_says_who_switched_what_when_and_why(wattwright, small):
    """Energy, peaks, currents, money, each load, strips, and the table of switchings."""
    done = wattwright("simulate", "small", "--from", "2025-01-07")
    assert done.code == 0
    assert "simulated under today's rules: the site uses 38.00" in done.out.replace("\u202f", " ").replace("\n", " ")
    assert "10:00:00" not in done.out
    assert [line.split()[1:] for line in done.out.splitlines() if "rule pump-times" in line] == [
        ["10:00", "pump", "contact", "closes", "rule", "pump-times"],
        ["12:00", "pump", "contact", "opens", "rule", "pump-times"],
    ]
    assert "conductor L1" in done.out
    assert "these days would cost" in done.out
    assert "█" in done.out
    assert max(map(len, done.out.splitlines())) <= 80


def test_other_rules_are_held_beside_today_and_drawn(wattwright, small):
    """With rules to try the bill of today stands beside; the picture is written where it is asked for."""
    done = wattwright("simulate", "small", "--from", "2025-01-07", "--control", "trial.toml", "--picture", "day.svg", "--own")
    assert done.code == 0
    assert "under the rules in trial.toml" in done.out.replace("\n", " ")
    assert "under today's rules" in done.out
    assert "its own controller" in done.out
    assert (small.parent / "day.svg").read_text().startswith("<svg")
    assert wattwright("simulate", "small", "--picture", "day.png", "--json").code == 0
    assert (small.parent / "day.png").read_bytes().startswith(b"\x89PNG")


def test_programs_get_plain_data(wattwright, small):
    """The JSON names its schema, the picture and both bills."""
    done = wattwright("simulate", "small", "--from", "2025-01-07", "--to", "2025-01-08", "--control", "trial.toml", "--json")
    told = json.loads(done.out)
    assert told["schema"] == "wattwright.simulation/1"
    assert told["picture"] is None
    assert told["to"] == "2025-01-09T00:00:00+02:00"
    assert float(told["bill"]) == float(told["bill_today"])  # a flat price does not mind when the pump runs
    assert {one["id"] for one in told["loads"]} == {"heater", "pump"}


def test_nothing_switched_is_said(wattwright, place):
    """A job with a heater and no rule has no switching to list."""
    (place / "bare").mkdir()
    question(place / "bare", SUPPLY, HEATER)
    done = wattwright("simulate", "bare")
    assert "No contact was switched." in done.out
    assert "these days would cost" not in done.out


def test_a_site_without_a_grid_imports_nothing(wattwright, place):
    """A stand-alone inverter: no line tells a highest import, which is nought by its nature."""
    (place / "hut").mkdir()
    own = '[inverter]\nrating = "6 kVA"\nrole = "stand-alone"\n[battery]\ncapacity = "90 kWh"\n'
    question(place / "hut", SUPPLY, own, 'charge_power = "3 kW"\ndischarge_power = "5 kW"\n', PUMP, TIMES)
    done = wattwright("simulate", "hut", "--from", "2025-01-07")
    assert "site at any moment" in done.out
    assert "import over" not in done.out


@pytest.mark.parametrize(
    ("given", "code", "sentence"),
    [
        (("small", "--from", "7.1.2025"), 2, 'found "7.1.2025"; expected a day such as'),
        (("small", "--picture", "day.pdf"), 2, "ends in .svg or .png"),
        (("small", "--picture", "nowhere/day.png"), 2, "there is no folder nowhere"),
        (("small", "--from", "9999-12-31"), 1, "days of the record"),
        (("small", "--from", "0001-01-01"), 1, "days of the record"),
        (("readings.csv",), 2, "A meter file alone has no loads"),
        (("small", "--from", "2030-01-01"), 1, "days of the record"),
        (("small", "--control", "none.toml"), 1, "none.toml"),
    ],
)
def test_wrong_calls_are_told(wattwright, small, given, code, sentence):
    """Each in one sentence, with what was expected."""
    done = wattwright("simulate", *given)
    assert done.code == code
    assert sentence in " ".join(done.err.split())


def test_a_tariff_that_needs_more_is_a_note(wattwright, small):
    """Where the tariff prices apparent power, which is not billed from a simulation, the bill is left out and that is said."""
    demand = '[[tariff.demand]]\nlabel = "Demand"\nprice = "2.00"\nquantity = "kVA"\n'
    text = (small / "tariff.toml").read_text()
    (small / "tariff.toml").write_text(text.replace('[[tariff]]\nid = "two"', f'{demand}\n[[tariff]]\nid = "two"'))
    done = wattwright("simulate", "small", "--from", "2025-01-07")
    assert done.code == 0, done.err
    assert "cannot be billed under one" in " ".join(done.out.split())


def test_figures_of_supply_shedding_and_stores(wattwright, place):
    """How long shedding takes with its working, apparent power beside its rating, what stores are worth; a long table is cut."""
    folder = place / "weak"
    folder.mkdir()
    shed = (
        '[control.shedding]\npick_up = "3 kW"\nrestore = "2 kW"\norder = ["pump", "heater"]\ndelay = "5 s"\nnext_after = "2 s"\n'
    )
    question(folder, SUPPLY, HEATER, PUMP, TIMES, shed, TARIFF)
    (folder / "tariff.toml").write_text((place / "tariff.toml").read_text())
    told = " ".join(wattwright("simulate", "weak", "--from", "2025-01-07").out.split()).replace("\u202f", " ")
    assert "up to 7 s, to the last of its order, Water heater: delay 5 s + 1 load before it 2 s" in told
    assert "connection rated 4.6 kVA" in told
    assert "the price at the end" in told
    assert "more; --json lists them all." in told
