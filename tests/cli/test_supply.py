"""The verb that sizes, called as a person calls it."""

import json
from itertools import pairwise

import pytest

from tests.job.simulated import SUPPLY, TIMES, hourly, question
from tests.job.test_planning import MAY_HEATER, MAY_PUMP, PRICES, TARIFF

QUOTE = """[quote]
steps = 12
[[quote.pv]]
peak = "4 kW"
tilt_deg = 25
azimuth_deg = 180
[quote.prices]
pv_kw = "700"
inverter_kw = "150"
battery_kwh = "250"
[quote.money.spread]
prices = { low = "-1 %", likely = "0 %", high = "2 %" }
"""


@pytest.fixture
def small(place):
    """The folder to work in, with a small job of three days beside."""
    folder = place / "small"
    folder.mkdir()
    question(folder, SUPPLY, MAY_HEATER, MAY_PUMP, TIMES, TARIFF, QUOTE)
    (folder / "tariff.toml").write_text(PRICES)
    return folder


def test_sizes_are_shown_with_what_the_plan_is_worth(wattwright, small):
    """The line, sizes, cases, options, findings and the caution, none wider than a terminal; a plan is sought if none is kept."""
    done = wattwright("supply", "small", "--backup", "2h", "--plans", "30", "--processes", "1")
    assert done.code == 0, done.err
    told = " ".join(done.out.split())
    # Three days stop the quote: that is read first, then what was worked out so far with its price, what can be chosen, sums.
    assert told.startswith("Nothing may be quoted before this is settled: stop")
    assert "Worked out so far: an inverter of" in told.partition("Option")[0]
    assert "EUR. The plan" in told.partition("Option")[0]
    assert "Quote an inverter" not in told
    assert told.count("do not show them to a client") == 1
    order = [told.index(one) for one in ("do not show them to a client", "Option", "Leave it", "The plan alone", "link lost")]
    assert order == sorted(order)
    assert "today's switching" in told
    assert "link lost" in told
    assert "Control is not protection" in told
    assert max(map(len, done.out.splitlines())) <= 80


def test_what_nothing_stops_is_told_to_be_quoted_at_once(wattwright, small):
    """Of four weeks no finding stops the quote: what to quote, and its price, are the first words."""
    text = (small / "job.toml").read_text().replace("controllable = true\n", "").replace("steps = 12", "steps = 4")
    roof = text[text.index("[[quote.pv]]") : text.index("[quote.prices]")]
    # Without a roof nothing rests on a sun that nobody knows, which stops a quote too.
    (small / "job.toml").write_text(text.replace(roof, ""))
    (small / "readings.csv").write_text(hourly(days=28))
    done = wattwright("supply", "small", "--backup", "1h", "--processes", "1")
    assert done.code == 0, done.err
    told = " ".join(done.out.split())
    assert told.startswith("Quote an inverter of")
    assert "EUR" in told.partition("Option")[0]
    assert "may be quoted before" not in told
    assert "so far" not in told


def test_readings_in_doubt_withhold_the_quote_from_people_and_programs(wattwright, small):
    """A unit that the program guessed is a doubt in the readings, not in the sizes: on paper it withholds the quote too."""
    text = (small / "job.toml").read_text().replace("controllable = true\n", "").replace("steps = 12", "steps = 4")
    roof = text[text.index("[[quote.pv]]") : text.index("[quote.prices]")]
    (small / "job.toml").write_text(text.replace(roof, ""))
    (small / "readings.csv").write_text(hourly(days=28, column="power"))
    done = wattwright("supply", "small", "--backup", "1h", "--processes", "1")
    assert done.code == 0, done.err
    told = " ".join(done.out.split())
    assert told.startswith("Nothing may be quoted before this is settled:")
    assert "Worked out so far: an inverter of" in told
    assert "Quote an inverter" not in told
    made = json.loads(wattwright("supply", "small", "--backup", "1h", "--processes", "1", "--json").out)
    assert made["stopped_by"] == ["record.unit-guessed"]


def test_programs_get_plain_data(wattwright, small):
    """The JSON names its schema and holds sizes both ways, cases, front, share unserved and money; sizes are on offer."""
    made = json.loads(wattwright("supply", "small", "--backup", "2h", "--plans", "30", "--processes", "1", "--json").out)
    assert made["schema"] == "wattwright.supply/1"
    assert set(made["sizes"]) == {"inverter_kw", "battery_kwh", "pv_kwp"}
    assert made["purpose"] == "carries the site in outages"
    assert made["outage_h"] == 2.0
    assert made["lpsp"] == 0.0
    for which in ("without_plan", "with_plan"):
        assert made[which]["reached"]
        assert made[which]["trips"] == 0
    assert [one["case"] for one in made["cases"]][:2] == ["plan working", "link lost"]
    for front in (made["front"], made["front_today"]):
        points = [(one["owned"], one["least"]) for one in front]
        assert points == sorted(points)
        assert all(a[1] > b[1] for a, b in pairwise(points))
    assert made["money"]["currency"] == "EUR"
    assert made["money"]["bands"]["low"] <= made["money"]["bands"]["high"]
    assert made["battery"]["life_years"] > 1.0
    # Beside the grid the same job asks for no outage, and the peak that was asked is reached or not offered.
    grid = json.loads(wattwright("supply", "small", "--processes", "1", "--json").out)
    assert grid["purpose"] == "beside the grid"
    assert grid["front_by"] == "share from the grid"


@pytest.mark.parametrize(
    ("given", "code", "words"),
    [
        (("readings.csv",), 2, "Give a job"),
        (("small", "--backup", "soon"), 1, "--backup"),
        (("small", "--backup", "-2 h"), 2, "above nought"),
    ],
)
def test_wrong_calls_end_with_a_sentence(wattwright, small, given, code, words):
    """A bare meter file, a time that is none, and one below nought are refused, and nothing is written."""
    done = wattwright("supply", *given)
    assert done.code == code
    assert words in " ".join(done.err.split())


def test_a_site_without_a_grid_has_none_to_lose(wattwright, small):
    """An outage asked of a stand-alone job is refused with a next step; without it the job is sized alone."""
    text = (small / "job.toml").read_text()
    (small / "job.toml").write_text(text.replace("[quote]\n", '[quote]\npurpose = "stand-alone"\nunserved = "5 %"\n'))
    done = wattwright("supply", "small", "--backup", "2h", "--plans", "20", "--processes", "1")
    assert done.code == 1
    assert "Leave --backup out" in " ".join(done.err.split())
    alone = wattwright("supply", "small", "--plans", "20", "--processes", "1")
    assert alone.code == 0, alone.err


def test_a_job_in_which_nothing_may_be_switched_is_sized_as_it_is(wattwright, small):
    """Without a tariff and without a load to switch there is no plan and no money, and both are said."""
    text = (small / "job.toml").read_text().replace("controllable = true\n", "").replace(TARIFF, "")
    (small / "job.toml").write_text(text)
    made = json.loads(wattwright("supply", "small", "--backup", "1h", "--processes", "1", "--json").out)
    assert made["with_plan"] is None
    assert made["money"] is None
    assert {"supply.no-plan"} <= {one["code"] for one in made["findings"]}
