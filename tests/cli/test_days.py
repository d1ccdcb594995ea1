"""The verb demand with --days and --weather."""

from datetime import datetime, timedelta

import numpy as np

from tests.cli.test_verbs import told


def write(place, name, unit, values):
    """A file of hours from 6 January 2025."""
    first = datetime(2025, 1, 6)
    rows = [f"{first + timedelta(hours=k):%Y-%m-%d %H:%M},{value:.3f}" for k, value in enumerate(values)]
    (place / name).write_text("\n".join([f"when,{unit}", *rows]) + "\n")


def heated(place):
    """Sixty days that heat below 15 degC, and their weather in a file beside."""
    draws = np.random.default_rng(1)
    air = np.repeat(draws.uniform(0, 22, 60), 24)
    write(place, "hours.csv", "P kW", 0.4 + 0.08 * np.maximum(15 - air, 0))
    write(place, "air.csv", "temperature [degC]", air)
    return ("hours.csv", "--zone", "Europe/Athens", "--stamps", "start")


def test_days_as_text_and_json(wattwright, place):
    """Without a weather file it says so; with one, the slope is 0.08 x 24 = 1.92 kWh a day and kelvin."""
    source = heated(place)
    words = " ".join(wattwright("demand", *source, "--days").out.split())
    assert "Days:" in words
    assert "No outdoor temperature" in words
    demand = told(wattwright("demand", *source, "--weather", "air.csv", "--json"))
    assert demand["temperature_response"]["shape"] == "3P heating"
    assert abs(demand["temperature_response"]["parameters"]["heating"]["value"] - 1.92) < 0.01
    shown = " ".join(wattwright("demand", *source, "--weather", "air.csv").out.split())
    assert "follows the outdoor temperature (3P heating)" in shown


def test_a_weather_file_that_is_not_there(wattwright, place):
    """A sentence names the file."""
    done = wattwright("demand", *heated(place), "--weather", "nowhere.csv")
    assert done.code != 0
    assert "nowhere.csv" in done.err
