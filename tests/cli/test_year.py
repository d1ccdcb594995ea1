"""The verb demand with --year and --bills."""

from datetime import datetime, timedelta

import pytest

from tests.cli.test_verbs import told

SAID = ("--zone", "Europe/Athens", "--stamps", "start")
BILLS = """
[[bills]]
from = 2025-01-06
until = 2025-02-05
energy = "{kwh} kWh"
[[bills]]
from = 2024-06-01
until = 2024-09-01
energy = "1800 kWh"
"""


def written(place, days, kwh):
    """Invented hours of 1 kW from 6 January 2025, and bills of which one is of these days."""
    first = datetime(2025, 1, 6)
    rows = [f"{first + timedelta(hours=k):%Y-%m-%d %H:%M},{1 + k % 24 / 1000}" for k in range(24 * days)]
    (place / "hours.csv").write_text("\n".join(["when,P kW", *rows]) + "\n")
    (place / "bills.toml").write_text(BILLS.format(kwh=kwh))


def test_a_year_and_its_bills(wattwright, place):
    """Text and JSON give the year with its band, where its days come from, and the bills beside the record."""
    written(place, 30, 728)
    words = " ".join(wattwright("demand", "hours.csv", *SAID, "--year", "--bills", "bills.toml").out.split())
    assert "Year 6 Jan 2025 to 5 Jan 2026" in words
    assert "bills of other years 92" in words
    assert "Of the 30 days that were both read and billed, the record has 728.3 kWh and the paid bills 728.0 kWh." in words
    demand = told(wattwright("demand", "hours.csv", *SAID, "--bills", "bills.toml", "--json"))
    assert demand["year"]["days_from"]["read"] == 30
    assert demand["year"]["energy_kwh"]["low"] <= demand["year"]["energy_kwh"]["value"] <= demand["year"]["energy_kwh"]["high"]
    assert [one["days_read"] for one in demand["bills"]] == [0, 30]


def test_bills_of_the_job(wattwright, place):
    """Bills in the job file are held against the record without being asked for, and fill the year when one is asked for."""
    written(place, 30, 364)
    wattwright("new", "hill", "--zone", "Europe/Athens", "--record", "../hours.csv")
    job = place / "hill" / "job.toml"
    job.write_text(job.read_text() + BILLS.format(kwh=364))
    words = " ".join(wattwright("demand", "hill").out.split())
    assert "Paid bills" in words
    assert words.count("near 2") == 1
    assert "Do not rely on that" in words
    plain = told(wattwright("demand", "hill", "--json"))
    assert plain["record_over_bills"] == pytest.approx(30 * 24 * 1.0115 / 364, rel=1e-3)
    assert [one["code"] for one in plain["findings"]].count("demand.bills-suggest") == 1
    assert plain["in_doubt"]["energy_kwh"] == ["demand.bills-suggest"]
    assert told(wattwright("demand", "hill", "--year", "--json"))["bills"] == plain["bills"]
    # Bills named on the command line take the place of the job's.
    (place / "bills.toml").write_text(BILLS.format(kwh=728))
    other = told(wattwright("demand", "hill", "--bills", "bills.toml", "--json"))
    assert other["record_over_bills"] == pytest.approx(1.0, abs=0.01)


def test_a_whole_year_has_no_band(wattwright, place):
    """A year of which every day was read is said as it is."""
    written(place, 366, 700)
    words = " ".join(wattwright("demand", "hours.csv", *SAID, "--year").out.split())
    assert ", all of it read" in words
    assert "90 % between" not in words


def test_a_record_that_is_too_short(wattwright, place):
    """A week makes no year, and says so; without bills there is no table of them."""
    written(place, 7, 100)
    words = " ".join(wattwright("demand", "hours.csv", *SAID, "--year").out.split())
    assert "too short to make one" in words
    assert "bill from" not in words


def test_a_file_of_bills_with_a_fault(wattwright, place):
    """A sentence names the file, the line and what was expected."""
    written(place, 30, 728)
    (place / "bills.toml").write_text("[[bills]]\nfrom = 2025-01-06\nuntil = 2025-01-01\n")
    done = wattwright("demand", "hours.csv", *SAID, "--bills", "bills.toml")
    assert done.code == 1
    assert "bills.toml" in done.err
