"""The sheets for whoever mounts: every load by its number, settings of plan or rules, hostile names as mere text."""

import io
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest
from pypdf import PdfReader

from tests.job.test_gearing import FREEZER, HEAD, HEATER, PUMP, RULES
from wattwright.charts.table import Marked
from wattwright.control.rules import Shedding
from wattwright.core.show import Show
from wattwright.handover.drawings.of_job import job_drawings
from wattwright.handover.fitted import fitted
from wattwright.handover.gear_tables import bill_table, mounted_table, numbered, settings_table, workbook_tables
from wattwright.handover.paper import Caution, Steps, TableBlock
from wattwright.handover.pdf import pdf
from wattwright.handover.report import context_of
from wattwright.handover.sheets import sheets
from wattwright.handover.switching import sheds
from wattwright.handover.workbook import workbook
from wattwright.job.equipping import Equipped, Ruled
from wattwright.job.file import load_job
from wattwright.job.gearing import site_gear
from wattwright.plan.settings import Setting

SHOW = Show("en_GB")
HOSTILE = "<b>&amp; #set page() $x^2$ @a *b* _c_ =1+1 \\\\ " + "Supercalifragilistic" * 2


def equipped(folder: Path, text: str, switchings=None, **ruled):
    """The equipment of a job of this text, its rules, and its spec."""
    (folder / "job.toml").write_text(text)
    job = load_job(folder)
    by = Ruled(job.spec.control, "job", **ruled)
    return Equipped(by, site_gear(job, by.control, switchings or {}, 30.0, 3.0)), job.spec


def section(paper, title):
    """The section of this title."""
    return next(one for one in paper.sections if one.title == title)


def table(paper, caption):
    """The table of this caption."""
    blocks = [block for one in paper.sections for block in one.blocks if isinstance(block, TableBlock)]
    return next(one.table for one in blocks if one.table.caption == caption)


def words(made):
    """All text of a table's cells."""
    return " | ".join(cell.text if isinstance(cell, Marked) else cell for row in made.rows for cell in row)


def test_loads_are_told_by_numbers(tmp_path):
    """Runs are joined, every one of several is all, and what is no load keeps its name."""
    made, _ = equipped(tmp_path, HEAD + HEATER + PUMP + FREEZER)
    heater, pump, freezer = (one.load.name for one in made.gear.loads)
    assert numbered([heater, pump], made.gear) == "1, 2"
    assert numbered([freezer, heater], made.gear) == "1, 3"
    assert numbered([heater, pump, freezer], made.gear) == "all"
    assert numbered([heater, "the board"], made.gear) == "1, the board"
    assert numbered([heater, pump, freezer, "the board"], made.gear) == "all, the board"
    more = equipped(
        tmp_path, HEAD + HEATER + PUMP + FREEZER + HEATER.replace('"heater"', '"h2"').replace('"Water', '"Second water')
    )
    assert numbered([heater, pump, freezer], more[0].gear) == "1 to 3"


def test_what_is_mounted_and_ordered(tmp_path):
    """Each load once with way, protection and cable; what is open says so; quantities are numbers; no empty columns of prices."""
    made, _ = equipped(tmp_path, HEAD + HEATER + FREEZER)
    heater, freezer = mounted_table(made.gear, SHOW).rows
    assert heater[:3] == ("1", "Water heater", "in line")
    assert heater[4:6] == ("breaker B 16 A", "1.5 mm², 20 m")
    # 1.5 mm2 carries 19.5 A by method C (IEC 60364-5-52 table B.52.4); the drop by annex G of the same, 0.0225 ohm mm2/m.
    assert heater[6].value == pytest.approx(100 * 2 * 0.0225 * 20 / 1.5 * (3000 / 230) / 230, rel=1e-3)
    assert freezer[4:] == ("open", "open", "")
    bill = bill_table(made.gear, SHOW)
    assert [one.head for one in bill.columns] == ["What", "Quantity", "Unit", "For load"]
    cable = next(row for row in bill.rows if "cable" in row[0])
    assert (cable[1].value, cable[2], cable[3]) == (20.0, "m", "1")


def test_a_bill_with_prices_has_articles_totals_and_what_lacks_a_price(tmp_path):
    """62.40 for one switch; the total stands apart, in numbers."""
    (tmp_path / "prices.csv").write_text("like;article;price;currency;stock\nin-line-20;4711;62,40;EUR;12\n")
    made, spec = equipped(tmp_path, HEAD.replace("[gear]", '[gear]\ncatalogue = ["prices.csv"]') + HEATER)
    bill = bill_table(made.gear, SHOW)
    switch = next(row for row in bill.rows if row[4] == "4711")
    assert [cell.value for cell in switch[5:7]] == [62.4, 62.4]
    assert switch[7] == "EUR"
    assert bill.totals == 1
    assert (bill.rows[-1][0], bill.rows[-1][6].value) == ("In all", 62.4)
    assert "have no price" in section(sheets(made, spec, SHOW), "Bill of materials").lead


def test_a_price_without_article(tmp_path):
    """Then there is no column of articles."""
    (tmp_path / "prices.csv").write_text("like;price;currency\nin-line-20;62,40;EUR\n")
    made, _ = equipped(tmp_path, HEAD.replace("[gear]", '[gear]\ncatalogue = ["prices.csv"]') + HEATER)
    assert "Article" not in [one.head for one in bill_table(made.gear, SHOW).columns]


RICH = """
[[control.rule]]
id = "heater-times"
load = "heater"
kind = "time programme"
times = [{ on = 04:00:00, off = 07:30:00 }]
months = [11, 12, 1]
other_months = "open"
holidays = "as Sunday"
[[control.rule]]
id = "heater-limit"
load = "heater"
kind = "limit"
quantity = "site power"
pick_up = "8 kW"
drop_out = "7 kW"
on_delay = "5 s"
measured_every = "10 s"
reported_after = "2 s"
beside = true
months = [7]
[[control.rule]]
id = "oven-cycle"
load = "oven"
kind = "repeat-cycle timer"
on_for = "15 min"
off_for = "45 min"
[[control.actuator]]
load = "heater"
min_off = "3 min"
fail_safe = "closed"
[control.shedding]
pick_up = "12 kW"
restore = "9 kW"
order = ["heater"]
delay = "5 s"
next_after = "15 s"
back_after = "5 min"
measured_every = "1 s"
"""
OVEN = '[[loads]]\nid = "oven"\nname = "Oven"\nkind = "cooking"\nrating = "2 kW"\n'


def test_settings_of_rules_say_all_that_is_entered(tmp_path):
    """Months, holidays, delays, measuring, the shed order with its times, contacts, and how to test each."""
    text = HEAD + HEATER + OVEN + RICH
    made, spec = equipped(tmp_path, text)
    made = replace(made, ruled=replace(made.ruled, control=made.ruled.control.model_copy(update={"stagger_s": 15.0})))
    told = words(settings_table(made, spec, SHOW))
    for one in (
        "04:00 to 07:30; acts Nov to Jan; in the other months it opens its contact; public holidays as Sunday",
        "opens when the site power is above 8 kW, closes again at 7 kW, on-delay 5 s; acts Jul; in the other months other rules "
        "decide",
        "measured every 10 s; seen 2 s later; its contact lies beside the others and calls by itself",
        "site power at or above 12 kW for 5 s: off in this order: Water heater; the next after 15 s; back at or below 9 kW for "
        "5 min, the last one gone first; measured every 1 s",
        "shortest off 3 min; after an outage as it was; without the link closed",
        "the next load comes back 15 s after the one before",
        "-K1, ",
    ):
        assert one in told.replace("\u202f", " ").replace("\u00a0", " ").replace("\u2009", " "), one
    oven = next(row for row in settings_table(made, spec, SHOW).rows if row[0] == "Oven")
    assert oven[1] == "–"
    assert "Threshold" in words(table(sheets(made, spec, SHOW), "Commissioning"))
    short = Shedding.model_validate({"pick_up": "2 kW", "restore": "1 kW", "order": ["x"]})
    assert sheds(short, {}, SHOW).startswith("site power at or above 2 kW: off in this order: x; the next after 1")


def test_settings_of_a_plan_come_first_and_only_other_rules_follow(tmp_path):
    """Entries, reason, room and test of the plan; its rule is not told twice, nor its shed order."""
    one = Setting("weekly time switch", "Water heater", "time programme", ("on 01:00, off 05:00, every day", "acts Nov to Apr"),
                  "without it the plan would save 9.00 EUR less", "0.0 litre short", "Watch the contact.")  # fmt: skip
    order = replace(one, controller="priority relay", load="Water heater, Oven", family="shed order", entries=("first to go",))
    made, spec = equipped(tmp_path, HEAD + HEATER + OVEN + RICH, classes=(("heater", ("wall-timer",)),), settings=(one, order))
    made = replace(made, ruled=replace(made.ruled, by="plan"))
    rows = settings_table(made, spec, SHOW).rows
    assert rows[0][2] == "on 01:00, off 05:00, every day; acts Nov to Apr"
    assert rows[0][3] == "Without it the plan would save 9.00 EUR less; 0.0 litre short. Test: Watch the contact."
    assert rows[0][1].startswith("-K1, ")
    assert rows[1][1] == "priority relay"
    assert [row[0] for row in rows[2:]] == ["Oven", "Water heater"]
    assert "the plan sought last" in section(sheets(made, spec, SHOW), "Settings").lead


def test_without_rules_the_sheet_says_so(tmp_path):
    """No table of settings is printed empty."""
    made, spec = equipped(tmp_path, HEAD + HEATER)
    empty = section(sheets(made, spec, SHOW), "Settings")
    assert empty.blocks == ()
    assert "no rules" in empty.lead


def test_cautions_steps_and_tests_follow_what_is_there(tmp_path):
    """Water, cold and two lines bring their cautions; a motor its relay; a probe its test; what is not there brings none."""
    made, spec = equipped(tmp_path, HEAD + PUMP)
    paper = sheets(made, spec, SHOW)
    cautions = " ".join(one.words for one in paper.sections[0].blocks if isinstance(one, Caution))
    assert "Legionella" not in cautions
    assert "freezers" not in cautions
    steps = next(one for one in section(paper, "Mounting and isolating").blocks if isinstance(one, Steps)).items
    assert any("overload relay" in one for one in steps)
    assert any("damping part" in one for one in steps)
    assert not any("Connect the switch in the line" in one for one in steps)
    assert "Motor of Irrigation pump" in words(table(paper, "Commissioning"))
    two = HEAD.replace('"three-phase"', '"split-phase"').replace('voltage = "230 V"', 'voltage = "120 V"')
    heater = HEATER.replace('phase = "L2"', 'phase = "total"').replace('method = "C"', 'method = "cable"')
    made, spec = equipped(tmp_path, two + heater + FREEZER.replace('"L1"', '"A"'))
    paper = sheets(made, spec, SHOW)
    cautions = " ".join(one.words for one in paper.sections[0].blocks if isinstance(one, Caution))
    for one in ("Legionella", "freezers", "two lines"):
        assert one in cautions
    # The freezer is told by its own input: its motor is not ours to set or test.
    assert "Motor of Freezer" not in words(table(paper, "Commissioning"))
    assert paper.title_block.basis.endswith("NEC")


def test_a_contact_that_wears_out_is_in_the_maintenance_plan(tmp_path):
    """100,000 switchings of life at 9,000 a year: after about eleven years; at 100 a year other reasons come first."""
    worn = table(sheets(*equipped(tmp_path, HEAD + HEATER, {"heater": 9000.0}), SHOW), "Maintenance plan")
    assert "Contact of Water heater" in words(worn)
    assert "Contact of" not in words(
        table(sheets(*equipped(tmp_path, HEAD + HEATER, {"heater": 100.0}), SHOW), "Maintenance plan")
    )


def test_what_is_asked_and_refused_stands_once(tmp_path):
    """A question of two loads is one row with both numbers."""
    paper = sheets(*equipped(tmp_path, HEAD + HEATER + HEATER.replace('"heater"', '"h2"')), SHOW)
    asked = table(paper, "What is to be asked on site")
    assert len({row[0] for row in asked.rows}) == len(asked.rows)
    assert any(row[1] == "all" for row in asked.rows)
    refused = table(paper, "What was refused next to them")
    assert len({row[1:] for row in refused.rows}) == len(refused.rows)


def test_nothing_in_the_range_is_said(tmp_path):
    """A load that nothing switches is told in table, bill and steps; without a meter for it the supply says so."""
    huge = PUMP.replace('"9 kW"', '"95 kW"').replace('shaft = "7.5 kW"', 'shaft = "90 kW"')
    made, spec = equipped(tmp_path, HEAD.replace('"40 A"', '"5000 A"') + huge)
    paper = sheets(made, spec, SHOW)
    assert mounted_table(made.gear, SHOW).rows[0][2:4] == ("not yet", "nothing in the range")
    assert "No meter of the range" in str(paper.sections[0].blocks)
    assert pdf(paper).startswith(b"%PDF")


@pytest.mark.parametrize("name", [HOSTILE, "x" * 120, "Ωμέγα für alle <&>"])
def test_hostile_names_are_mere_text(tmp_path, name):
    """Markup, formulas and very long words stand as written in sheets, drawings and workbook, and break nothing."""
    text = (
        HEAD.replace("Almond terrace (invented)", name[:78]) + HEATER.replace('"Water heater"', f'"{name[:78]}"') + PUMP + RULES
    )
    made, spec = equipped(tmp_path, text)
    pages = PdfReader(io.BytesIO(pdf(sheets(made, spec, SHOW)))).pages
    assert len(pages) > 4
    if name == HOSTILE:
        assert "#set page() $x^2$ @a *b* _c_ =1+1" in " ".join(" ".join(page.extract_text() for page in pages).split())
    files = job_drawings(made, spec, "Letter")
    assert files["drawings.pdf"].startswith(b"%PDF")
    assert name[:20].encode() in files["terminals.csv"]


def test_the_workbook_has_gear_as_numbers(tmp_path, terrace):
    """Sheets for bill, schedules, settings and questions; quantities, cores and drops are numbers."""
    made, spec = equipped(tmp_path, HEAD + HEATER + FREEZER + RULES)
    paper = sheets(made, spec, SHOW)
    content = workbook(replace(paper, sections=()), terrace.record(), beside=workbook_tables(made, spec, SHOW))
    book = openpyxl.load_workbook(io.BytesIO(content))
    names = [
        "What is mounted",
        "Bill of materials",
        "Settings",
        "Terminal schedule",
        "Cable schedule",
        "What is to be asked on site",
    ]
    assert book.sheetnames[1:7] == names
    assert all(isinstance(row[1], int | float) for row in book["Bill of materials"].iter_rows(min_row=4, values_only=True))
    assert {row[6] for row in book["Cable schedule"].iter_rows(min_row=4, values_only=True)} == {3}


def test_the_report_says_what_is_fitted_in_one_section(tmp_path, terrace):
    """Each load in a line, gravest findings, total, what is open, a caution."""
    (tmp_path / "prices.csv").write_text("like;price;currency\nin-line-20;62,40;EUR\n")
    head = HEAD.replace("[gear]", '[gear]\ncatalogue = ["prices.csv"]')
    made, _ = equipped(tmp_path, head + HEATER + FREEZER)
    told = fitted(context_of(terrace), made)
    rows = told.blocks[0].table.rows
    assert rows[0][:2] == ("1", "Water heater")
    assert rows[0][2].startswith("in line: in-line switch")
    assert rows[0][3] == "B 16 A, 1.5 mm², 20 m"
    assert rows[1][3].startswith("to be designed")
    assert "adds up to 62.40 EUR" in str(told.blocks)
    assert "questions are open" in str(told.blocks)
    assert "licensed person" in told.blocks[-1].words
    plain, _ = equipped(tmp_path, HEAD + HEATER)
    closed = replace(plain, gear=replace(plain.gear, loads=tuple(replace(one, asked=()) for one in plain.gear.loads)))
    assert "No question is open" in str(fitted(context_of(terrace), closed).blocks)
    whole = replace(made, gear=replace(made.gear, bill=replace(made.gear.bill, unpriced=0)))
    assert "The equipment adds up to 62.40 EUR" in str(fitted(context_of(terrace), whole).blocks)
    huge = PUMP.replace('"9 kW"', '"95 kW"').replace('shaft = "7.5 kW"', 'shaft = "90 kW"')
    none, _ = equipped(tmp_path, HEAD + huge)
    assert fitted(context_of(terrace), none).blocks[0].table.rows[0][2] == "nothing in the range"
