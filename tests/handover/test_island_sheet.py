"""The sheet about running without the grid: cautions first, what nobody answered is asked, tests for each source."""

from tests.handover.test_sheets import SHOW, equipped, section, table, words
from tests.job.pv import ARRAY, STRINGS
from tests.job.test_gearing import HEAD, HEATER
from wattwright.handover.island_sheet import without_grid
from wattwright.handover.paper import Caution, Steps
from wattwright.handover.sheets import sheets
from wattwright.job.island import job_island
from wattwright.supply.island.judge import CAUTIONS

INVERTER = '[inverter]\nrating = "9 kVA"\nrole = "carries the site in outages"\n'
BATTERY = '[battery]\ncapacity = "10 kWh"\ncharge_power = "4 kW"\ndischarge_power = "4 kW"\n'
GENERATOR = '[generator]\nrating = "6 kW"\n'
ISLAND = """[island.inverter]
fault_ratio = 2
fault_lasts = "0.2 s"
off_after = "0.2 s"
loop_impedance = "1 ohm"
bond = "closes when it feeds alone"
parts = "lines and neutral"
interlock = "electrical"
"""


def test_a_site_with_the_grid_alone_has_no_such_sheet(tmp_path):
    """Nothing else keeps it live."""
    made, spec = equipped(tmp_path, HEAD + HEATER)
    assert job_island(made.gear, spec) is None
    assert "Running without the grid" not in [one.title for one in sheets(made, spec, SHOW).sections]
    assert job_island(made.gear, spec.model_copy(update={"supply": None})) is None


def test_the_sheet_of_an_inverter_that_carries_the_site(tmp_path):
    """Cautions before all else; B 16 needs 80 A, 9 kVA over three lines give 2 x 13.0 = 26.1 A: the source shuts itself off."""
    made, spec = equipped(tmp_path, HEAD + HEATER + INVERTER + BATTERY + ISLAND)
    paper = sheets(made, spec, SHOW)
    given = section(paper, "Running without the grid")
    assert [one.words for one in given.blocks[:3]] == list(CAUTIONS)
    assert all(isinstance(one, Caution) for one in given.blocks[:3])
    ended = table(paper, "What ends a fault without the grid; in brackets what flows, of what trips at once")
    assert [row[:3] for row in ended.rows] == [
        ("inverter", "short circuit", "the source shuts itself off"),
        ("inverter", "fault to earth", "the source shuts itself off"),
    ]
    assert "26.09 A of 80 A" in ended.rows[0][3]
    (steps,) = (one for one in given.blocks if isinstance(one, Steps))
    assert len(steps.items) == 3
    told = words(table(paper, "Settings of sources and shedding"))
    assert "reserve kept for outages" in told
    assert "none: nothing is shed" in told
    tests = words(table(paper, "Set and tested on the day"))
    assert "Changeover to the inverter" in tests
    assert "Export limit" in tests
    asked = table(paper, "Open questions")
    assert any("surge protection" in row[1] for row in asked.rows)
    assert all(row[2] == "" for row in asked.rows)  # answers are written by hand


def test_nothing_that_was_not_answered_holds(tmp_path):
    """With no word under [island] no point of it is said to hold but the network's own bond, and faults are not known."""
    made, spec = equipped(tmp_path, HEAD + HEATER + INVERTER + BATTERY + GENERATOR)
    told = without_grid(job_island(made.gear, spec), (), SHOW)
    points = next(one.table for one in told.blocks if getattr(getattr(one, "table", None), "caption", "") == "What must hold")
    assert {row[3] for row in points.rows} == {"ask"}
    ended = next(one.table for one in told.blocks if getattr(getattr(one, "table", None), "caption", "").startswith("What ends"))
    assert {row[2] for row in ended.rows} == {"not known: ask"}
    asked = next(one.table for one in told.blocks if getattr(getattr(one, "table", None), "caption", "") == "Open questions")
    assert f"Questions that are open: {len(asked.rows)}; points that fail: 0." in told.lead


def test_each_rule_of_strings_stands_with_its_figures(tmp_path):
    """By hand: 10 modules of 50 V x (1 + 0.003 x 35) are 552.5 V cold, of 600 V; two strings of 10 A are 20 A short, of 30 A."""
    made, spec = equipped(tmp_path, HEAD + HEATER + ARRAY + STRINGS)
    rows = table(sheets(made, spec, SHOW), "What must hold").rows
    told = {row[0]: row[2:4] for row in rows if row[1] == "strings 1: 10 modules in series, the most that fit"}
    assert ("552.5 V, at most 600 V", "holds") in told.values()
    assert told["short-circuit current at the inverter"][0].startswith("2")
    # By hand: 150 V of the window over 40 V x (1 - 0.0035 x 45) = 33.7 V are 4.5, so five at least.
    asked = words(table(sheets(made, spec, SHOW), "Open questions"))
    assert "of strings 1: how many modules are in series; from 5 to 10 fit" in asked
    # Another array side is told, not refused: 4 kW of modules too many for the inverter is its maker's to say.
    more = STRINGS.replace("series = 20", "").replace('ac = "8 kW"', 'ac = "3 kW"')
    made, spec = equipped(tmp_path, HEAD + HEATER + ARRAY + more)
    rows = table(sheets(made, spec, SHOW), "What must hold").rows
    assert next(row[3] for row in rows if row[0] == "direct over alternating power") == "ask"


def test_an_isolator_told_with_the_strings_is_not_asked_again(tmp_path):
    """Where it is stands on the sheet; asked is whether it can be locked. An array whose strings tell none is asked for it."""
    made, spec = equipped(tmp_path, HEAD + HEATER + ARRAY + STRINGS)
    paper = sheets(made, spec, SHOW)
    (row,) = [row for row in table(paper, "What must hold").rows if row[0].startswith("every source") and row[1] == "PV array"]
    assert row[2] == "roof hatch; whether it can be locked is not known"
    asked = words(table(paper, "Open questions"))
    assert "whether the isolator of the PV array, roof hatch, can be locked open" in asked
    assert "where the PV array is isolated" not in asked
    for parts in ((ARRAY, ARRAY, STRINGS), (ARRAY, STRINGS, STRINGS.replace('isolator = "roof hatch"\n', ""))):
        made, spec = equipped(tmp_path, HEAD + HEATER + "".join(parts))
        assert "where the PV array is isolated" in words(table(sheets(made, spec, SHOW), "Open questions"))
    own = '[[island.isolation]]\nsource = "PV array"\nwhere = "cellar"\nlockable = true\n'
    made, spec = equipped(tmp_path, HEAD + HEATER + ARRAY + STRINGS + own)
    assert "isolator of the PV array" not in words(table(sheets(made, spec, SHOW), "Open questions"))


def test_strings_that_fail_are_told_on_the_sheet(tmp_path):
    """Modules of 50 V in a string of 20 pass the 600 V of their tracker: which stands with what else was found."""
    made, spec = equipped(tmp_path, HEAD + HEATER + ARRAY + STRINGS.replace("parallel = 2", "parallel = 2\nseries = 20"))
    told = words(table(sheets(made, spec, SHOW), "What to look at before it is connected"))
    assert "cold voltage at the inverter" in told
    unknown = STRINGS.replace('open_per_k = "-0.3 %"\n', "").replace("-10 degC", "-12 degC")
    made, spec = equipped(tmp_path, HEAD + HEATER + ARRAY + unknown)
    assert "change of Voc per kelvin" in words(table(sheets(made, spec, SHOW), "Open questions"))


def test_a_sheet_with_everything_answered_says_so(tmp_path):
    """No open question is left in lead and tables."""
    more = (
        '[island]\nsurge = "fitted"\nlabels = "fitted"\nconsent = "given"\nexport_limit = "0 W"\nexport_held = "by a relay"\n'
        'electrode_resistance = "20 ohm"\n'
    )
    isolated = "".join(
        f'[[island.isolation]]\nsource = "{one}"\nwhere = "board"\nlockable = true\n' for one in ("grid", "battery", "inverter")
    )
    guard = '[[island.protection]]\nsource = "{}"\nrating = "{}"\ncurrent = "{}"\ncable_carries = "{}"\n'
    isolated += guard.format("battery", "125 A", "100 A", "150 A") + guard.format("inverter", "16 A", "13.1 A", "21 A")
    made, spec = equipped(tmp_path, HEAD + HEATER + INVERTER + BATTERY + more + ISLAND + isolated)
    told = without_grid(job_island(made.gear, spec), (), SHOW)
    assert told.lead.startswith("The grid, the battery and the inverter can keep this site live; every point")
    captions = [one.table.caption for one in told.blocks if hasattr(one, "table")]
    assert "Open questions" not in captions
