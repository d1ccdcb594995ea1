"""The verb demand with --quality."""

from datetime import datetime, timedelta

from tests.cli.test_verbs import told

SAID = ("--zone", "Europe/Athens", "--stamps", "start")


def logged(place, name, header, row, minutes=10, days=8):
    """A file of invented readings from 6 January 2025."""
    first = datetime(2025, 1, 6)
    count = days * 1440 // minutes
    rows = [f"{first + timedelta(minutes=minutes * k):%Y-%m-%d %H:%M},{row(k)}" for k in range(count)]
    (place / name).write_text("\n".join([f"when,{header}", *rows]) + "\n")


def test_three_conductors(wattwright, place):
    """Text and JSON tell the week, the unbalance with its definition, the limits with their reasons, and what is not known."""
    header = "P kW,U L1 [V],U L2 [V],U L3 [V],I L1 [A],I L2 [A],I L3 [A]"
    logged(place, "three.csv", header, lambda k: f"5,{229 + k % 3},{238 + k % 3},{231 + k % 3},8,9,7")
    words = " ".join(wattwright("demand", "three.csv", *SAID, "--quality").out.split())
    for part in ("none of them says that the supply complies", "6 Jan 2025", "unbalance of voltage", "over-voltage", "pick-up"):
        assert part in words
    quality = told(wattwright("demand", "three.csv", *SAID, "--quality", "--json"))["supply_quality"]
    assert [one["conductor"] for one in quality["voltages"]] == ["L1", "L2", "L3"]
    assert quality["voltages"][0]["weeks"][0]["passes_95_percent_check"] is True
    assert {one["of"] for one in quality["unbalance"]} == {"voltage", "current"}


def test_current_alone_and_a_voltage_near_nothing(wattwright, place):
    """What cannot be judged is told as findings, and nothing is proposed for it."""
    logged(place, "odd.csv", "P kW,U [V],I [A]", lambda k: f"{1 + k % 2},57.7,{0 if k == 5 else 4}")
    words = " ".join(wattwright("demand", "odd.csv", *SAID, "--quality").out.split())
    assert "near no nominal voltage" in words
    assert "Limits proposed" not in words
    logged(place, "hours.csv", "P kW,I [A]", lambda k: f"{1 + k % 2},{4 + k % 2}", minutes=60)
    words = " ".join(wattwright("demand", "hours.csv", *SAID, "--quality").out.split())
    assert "under-current" in words


def test_power_alone(wattwright, place):
    """A record of energy alone says nothing of the supply, and says that."""
    done = told(wattwright("demand", "readings.csv", *SAID, "--quality", "--json"))
    assert done["supply_quality"]["voltages"] == []
    assert "demand.no-voltage" in {one["code"] for one in done["findings"]}


def test_a_job_gives_voltage_and_rating(wattwright, place):
    """What the job says of its supply is what the readings are held against."""
    done = told(wattwright("demand", "job", "--quality", "--json"))
    assert "supply_quality" in done
