"""A job of sources alone, with nothing to switch: its diagram, its sheets, and nothing about gear that there is not."""

import csv
import io

from tests.handover.test_sheets import SHOW, equipped, section, table, words
from tests.job.pv import ARRAY, STRINGS
from tests.job.simulated import SUPPLY, question
from tests.job.test_gearing import HEAD, HEATER
from wattwright.cli.site_gear import job_gear
from wattwright.core.findings import Severity
from wattwright.handover.drawings.of_job import job_drawings, usual_size
from wattwright.handover.gear_tables import workbook_tables
from wattwright.handover.paper import Caution
from wattwright.handover.papers import DRAWINGS, OF_GEAR, SHEETS, write_papers
from wattwright.handover.report import report
from wattwright.handover.sheets import sheets
from wattwright.job.array_wiring import array_wirings, of_strings
from wattwright.job.assessment import Assessment
from wattwright.job.equipping import can_equip, gear_of
from wattwright.job.file import load_job
from wattwright.job.gearing import site_gear
from wattwright.job.guarding import failing_guards, of_guards
from wattwright.job.island import job_island

INVERTER = '[inverter]\nrating = "5 kVA"\nrole = "carries the site in outages"\n'
BATTERY = '[battery]\ncapacity = "10 kWh"\ncharge_power = "4 kW"\ndischarge_power = "4 kW"\n'
LONG = STRINGS.replace('isolator = "roof hatch"', 'isolator = "roof hatch"\nlength = "20 m"')
ARRAY_SHEET = "Strings of PV modules and their conductors"


def test_sources_alone_have_the_sheets_of_sources_and_no_other(tmp_path):
    """Strings first, on the first page, then running without the grid; no gear is spoken of."""
    made, spec = equipped(tmp_path, HEAD + INVERTER + BATTERY + ARRAY + LONG)
    assert (made.gear.loads, made.gear.measuring, made.gear.bill.rows) == ((), None, ())
    paper = sheets(made, spec, SHOW)
    assert [one.title for one in paper.sections] == [ARRAY_SHEET, "Running without the grid"]
    assert [one.new_page for one in paper.sections] == [False, True]
    assert sum(isinstance(one, Caution) for one in section(paper, ARRAY_SHEET).blocks) == 3
    volts = words(table(paper, "Strings and their voltages")).replace("\u202f", " ")
    # By hand: 10 x 50 V x (1 + 0.003 x 35) cold; 10 x 40 V x (1 - 0.0035 x 45) hot.
    assert "2 x at most 10: ask how many | 552 V at -10 °C | 337 V at 40 °C | 19 A" in volts
    wires = words(table(paper, "Conductors of the array, each way")).replace("\u202f", " ")
    # 1.25 x 10 A, the fuse of 15 A; 49 A x 0.58 x 0.80 of 4 mm2; 2 x 0.0225 x 20 / 4 ohm x 9.5 A of 400 V; both strings 25 A.
    assert "of a string | 12.5 A, and the fuse of 15 A | 4 mm² | 22.74 A | 70 °C | 0.53 %" in wires
    assert "all joined | 25 A | 4 mm² | 28.42 A" in wires
    assert workbook_tables(made, spec, SHOW) == ()
    drawn = job_drawings(made, spec, usual_size(spec))
    assert [name for name in drawn if name.endswith(".svg")] == ["sheet-01.svg"]
    assert len(list(csv.reader(io.StringIO(drawn["cables.csv"].decode())))) == 1  # the head alone


def test_strings_that_cannot_be_known_are_asked(tmp_path):
    """No coefficient and no row of the table: no voltage, no conductor; one string without a fuse has one row."""
    unknown = STRINGS.replace('open_per_k = "-0.3 %"\n', "").replace("-10 degC", "-12 degC")
    made, spec = equipped(tmp_path, HEAD + ARRAY + unknown)
    assert "to be asked" in words(table(sheets(made, spec, SHOW), "Strings and their voltages"))
    assert table(sheets(made, spec, SHOW), "Conductors of the array, each way").rows == ()
    single = STRINGS.replace("parallel = 2", "parallel = 1").replace('string_fuse = "15 A"\n', "").replace("40 degC", "58 degC")
    made, spec = equipped(tmp_path, HEAD + ARRAY + single)
    (wired,) = array_wirings(spec)
    assert (wired.a_string, wired.drop_share) == (None, None)  # 58 + 30 degC lie beyond the table
    (row,) = table(sheets(made, spec, SHOW), "Conductors of the array, each way").rows
    assert row[3:5] == ("to be asked: beyond the tables", "\N{EN DASH}")


def test_a_bare_job_gets_its_papers(tmp_path, capsys):
    """A meter file, a supply and sources: report, workbook, sheets and drawings; the verb for gear says there is none."""
    question(tmp_path, SUPPLY, INVERTER, BATTERY, ARRAY, STRINGS)
    assessment = Assessment(load_job(tmp_path), keep=False)
    assert can_equip(assessment)
    assert "What is fitted" not in [one.title for one in report(assessment, gear_of(assessment)).sections]
    made = write_papers(assessment, tmp_path / "papers")
    assert {SHEETS, DRAWINGS} <= set(made.made)
    assert [one.name for one in made.gear] == list(OF_GEAR)
    job_gear(tmp_path, None, json=False)
    assert "No load may be switched" in capsys.readouterr().out


# 13 x 50 V x (1 + 0.003 x 35) = 718.25 V on a cold morning, on an inverter that bears 600 V (IEC 62548).
COLD = STRINGS.replace("parallel = 2", "parallel = 2\nseries = 13")


def test_refused_strings_are_marked_on_every_paper(tmp_path):
    """On the roofer's sheet above the cautions and in its row, in the diagram, and as a stop in the report."""
    made, spec = equipped(tmp_path, HEAD + ARRAY + COLD)
    paper = sheets(made, spec, SHOW)
    first = section(paper, ARRAY_SHEET).blocks[0]
    assert isinstance(first, Caution)
    assert isinstance(first.words, str)
    assert first.words.startswith("strings 1, not to be built so: cold voltage at the inverter: 718")
    assert "1, array 1: refused, see above | 2 x 13" in words(table(paper, "Strings and their voltages"))
    drawn = job_drawings(made, spec, usual_size(spec))["sheet-01.svg"].decode()
    assert all(f">{one}<" in drawn for one in ("REFUSED", "2 x 13 modules", "cold Voc 718 V"))
    with_loads, spec = equipped(tmp_path, HEAD + HEATER + ARRAY + COLD)
    assert [one.where for one in with_loads.gear.findings if one.code == "generation.string-fails"] == ["strings 1"]


def test_refused_strings_stop_the_report(tmp_path):
    """As a section of its own where no equipment is chosen; none where nothing is refused."""
    question(tmp_path, SUPPLY, ARRAY, COLD)
    assessment = Assessment(load_job(tmp_path), keep=False)
    (stopped,) = [one for one in report(assessment).sections if one.title == "Not to be built so"]
    assert "strings 1" in stopped.lead
    assert [one.severity for one in stopped.blocks] == [Severity.STOP]
    question(tmp_path, SUPPLY, ARRAY, STRINGS)
    assert "Not to be built so" not in [one.title for one in report(Assessment(load_job(tmp_path), keep=False)).sections]


GUARD = '[[island.protection]]\nsource = "{}"\nrating = "{}"\n'
# By hand: 5 kVA over three lines of 230 V are 7.25 A, and the array's 8 kW by its tracker are 11.6 A.
WEAK = GUARD.format("inverter", "6 A") + GUARD.format("PV array", "10 A")


def test_overcurrent_devices_that_fail_are_marked_and_stop(tmp_path):
    """In the diagram, as stops of the equipment, and in the report with and without it; what holds is drawn plainly."""
    on_three = WEAK.replace("source", "conductors = 3\nsource")
    made, spec = equipped(tmp_path, HEAD + HEATER + INVERTER + BATTERY + ARRAY + STRINGS + on_three)
    drawn = job_drawings(made, spec, usual_size(spec))["sheet-01.svg"].decode()
    assert all(f">REFUSED, {one} A<" in drawn for one in (6, 10))
    stops = [one for one in made.gear.findings if one.code == "supply.island-fails"]
    assert [(one.where, one.severity) for one in stops] == [("PV array", Severity.STOP), ("inverter", Severity.STOP)]
    assert "10 A; at least 11.6 A" in stops[0].says(SHOW).replace("\u202f", " ")
    question(tmp_path, SUPPLY, INVERTER, BATTERY, ARRAY, STRINGS, WEAK)
    assessment = Assessment(load_job(tmp_path), keep=False)
    (stopped,) = [one for one in report(assessment).sections if one.title == "Not to be built so"]
    assert stopped.lead.startswith("Rules refuse what was told of PV array, inverter: ")
    assert [one.severity for one in stopped.blocks] == [Severity.STOP, Severity.STOP]
    # What is above what its cable carries fails as well; between the two it holds.
    for rating, carries, fails in (("16 A", "15 A", True), ("16 A", "20 A", False)):
        told = GUARD.format("PV array", rating) + f'cable_carries = "{carries}"\n'
        made, spec = equipped(tmp_path, HEAD + ARRAY + STRINGS + told)
        assert bool(failing_guards(spec)) == fails
        assert ("REFUSED" in job_drawings(made, spec, usual_size(spec))["sheet-01.svg"].decode()) == fails
    # A second array whose strings nobody told may be the stronger.
    spec = equipped(tmp_path, HEAD + ARRAY + ARRAY + STRINGS + GUARD.format("PV array", "10 A"))[1]
    assert failing_guards(spec) == ()


def test_an_overcurrent_device_of_a_source_that_is_not_there_is_told(tmp_path):
    """Drawn nowhere, it must not be lost without a word; a job without a supply has no feeder at all."""
    told = GUARD.format("generator", "20 A") + GUARD.format("inverter", "20 A")
    made, spec = equipped(tmp_path, HEAD + ARRAY + STRINGS + told)
    assert [one.where for one in of_guards(spec)] == ["generator", "inverter"]
    assert {one.code for one in of_guards(spec)} == {"supply.island-guards-nothing"}
    assert [one.code for one in job_island(made.gear, spec).findings].count("supply.island-guards-nothing") == 2
    assert "the feeder of the generator, which the job lacks" in of_guards(spec)[0].says(SHOW)
    assert of_guards(spec.model_copy(update={"supply": None})) == ()


def test_strings_of_another_power_than_their_array_are_told(tmp_path):
    """By hand: 2 x 9 x 400 W are 7.2 kW of the 8 kW of [[pv]]; 2 x 10 are all of it. What nobody counted is not judged."""
    for series, apart in (("series = 9", True), ("series = 10", False), ("", False)):
        strings = STRINGS.replace("parallel = 2", f"parallel = 2\n{series}")
        question(tmp_path, SUPPLY, ARRAY, strings)
        job = load_job(tmp_path)
        told = [one.says(SHOW) for one in of_strings(job.spec)]
        assert told == (["PV array 1 has 8.00\u202fkW under [[pv]], and its [[strings]] come to 7.20\u202fkW."] if apart else [])
        made = site_gear(job, job.spec.control, {}, None, None)
        assert ("job.strings-apart" in [one.code for one in made.findings]) == apart
        assert ("job.strings-apart" in [one.code for one in job_island(made, job.spec).findings]) == apart
    # A second array without strings is nobody's, and one of 8.1 kW is near enough.
    near = ARRAY.replace("8 kW", "8.1 kW")
    question(tmp_path, SUPPLY, near, ARRAY, STRINGS.replace("parallel = 2", "parallel = 2\nseries = 10"))
    assert of_strings(load_job(tmp_path).spec) == ()


def test_a_long_route_of_strings_is_told_with_its_drop(tmp_path):
    """By hand: 2 x 0.0225 x 900 / 4 ohm x 9.5 A are 96.2 V of 400 V; 20 m are 0.53 %. Advice: 3 and 5 % (IEC 60364-5-52, G)."""
    for length, told in (
        ("900 m", "Over its route of 900 m a string loses 24.0\u202f% of its voltage at full sun."),
        ("20 m", ""),
    ):
        strings = LONG.replace('length = "20 m"', f'length = "{length}"').replace("parallel = 2", "parallel = 2\nseries = 10")
        question(tmp_path, SUPPLY, ARRAY, strings)
        job = load_job(tmp_path)
        assert [one.says(SHOW) for one in of_strings(job.spec)] == ([told] if told else [])
        made = site_gear(job, job.spec.control, {}, None, None)
        assert ("job.string-drop" in [one.code for one in job_island(made, job.spec).findings]) == bool(told)
