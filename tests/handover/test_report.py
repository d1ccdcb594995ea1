"""The report says what the record, the tariff and the survey say, in words a client understands."""

import io
import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import openpyxl
import pytest

from tests.handover.conftest import GAP, JOB, write_job
from tests.handover.kit import cells, sentences, tables
from wattwright.core.errors import JobError
from wattwright.core.findings import Severity, define
from wattwright.core.show import THIN, Show
from wattwright.demand.within.peak_bands import peak_bands
from wattwright.handover.context import Context
from wattwright.handover.evidence import survey
from wattwright.handover.hidden import hidden
from wattwright.handover.opening import opening
from wattwright.handover.page import page
from wattwright.handover.paper import KeyFigures, MarginNote, Paper, PictureBlock, Section, Steps
from wattwright.handover.report import context_of, readings_of, report
from wattwright.handover.simulated import limits_of
from wattwright.handover.wide import short_months
from wattwright.handover.workbook import workbook
from wattwright.job.assessment import Assessment, job_of_file
from wattwright.job.file import load_job
from wattwright.job.peaks import limit_w
from wattwright.record.spec import LayoutSpec

# By hand, from the invented load: 13 days of 24 h and one of 23 h (30 March), 335 h at 0.4 kW; two hours of 3 kW on each of
# 14 days; 5 kW for a quarter hour. The gap is quarter hours 100 to 105 of the record, 01:00 to 02:30 of the second day.
ENERGY_KWH = 335 * 0.4 + 14 * 2 * 3.0 + 5.0 * 0.25 - len(GAP) * 0.25 * 0.4


@pytest.fixture(scope="module")
def context(terrace: Assessment) -> Context:
    """The results behind the report."""
    return context_of(terrace)


@pytest.fixture(scope="module")
def paper(terrace: Assessment) -> Paper:
    """The report itself."""
    return report(terrace)


def section(paper: Paper, title: str) -> Section:
    """The section of that title."""
    return next(one for one in paper.sections if one.title == title)


def test_order_of_sections(paper: Paper) -> None:
    """The client's answers come first, what was assumed last."""
    assert [one.title for one in paper.sections] == [
        "What you want to know",
        "When power is used",
        "Month by month",
        "How high it gets",
        "What hides behind the means",
        "What it costs",
        "What is on site",
        "What was measured, and how far to trust it",
        "What was assumed, and what this report is not",
    ]


def test_first_page_has_the_figures(paper: Paper, context: Context) -> None:
    """Energy, cost, highest demand and base load stand on the first page with unit and basis, as worked out by hand."""
    figures = next(block for block in section(paper, "What you want to know").blocks if isinstance(block, KeyFigures)).figures
    energy, cost, peak, base = figures
    assert (energy.value, energy.unit, energy.basis.value) == (f"{ENERGY_KWH:.2f}", "kWh", "m")
    # Night is 22:00 to 06:00 at 0.4 kW: eight hours a night, seven on the night the clock is put forward, less the gap.
    night = 0.4 * (14 * 8 - 1) - len(GAP) * 0.25 * 0.4
    bill = round(14 * 0.50, 2) + round((ENERGY_KWH - night) * 0.30, 2) + round(night * 0.10, 2)
    assert float(cost.value) == round(bill)
    assert abs(float(context.costs.tariffs[0].total) - bill) <= 0.02  # month by month, each line rounded to the cent
    assert (peak.value, peak.unit) == ("5.40", "kW")
    assert (base.value, base.unit) == ("400", "W")
    assert all(one.basis is not None for one in figures)


def test_plain_words(paper: Paper) -> None:
    """The sentences name what counts: base load, peak with its time, the main protection in amps where amps were read."""
    text = sentences(section(paper, "What you want to know"))
    assert "Everything in this report is invented" in text
    assert "In all but 5 % of the hours 400 W or more is drawn" in text
    assert "5.400 kW, on 2025-04-05 19:30" in text
    assert "23.5 A, on 2025-04-05 19:30" in text  # 5.4 kW over 0.23 kV
    assert "93.9 % of the 25 A" in text
    # 3.4 kW from six to eight on all days; 0.4 kW at all other hours but one, so the first of them is the least.
    assert "most was drawn in the hour from 06:00, least in the hour from 00:00" in text
    # At 15 cents for each kWh the second tariff costs less than 50 cents a day and mostly 30 cents.
    assert "One price (invented) is the cheapest" in text


def billed(folder: Path, *bills: str) -> Assessment:
    """The invented job with paid bills of its days, each "from until energy"."""
    entry = '[[bills]]\nfrom = {}\nuntil = {}\nenergy = "{} kWh"\n'
    text = "".join(entry.format(*one.split()) for one in bills)
    return Assessment(load_job(write_job(folder, JOB.replace("[[loads]]", f"{text}[[loads]]", 1))), keep=False)


# By the invented load: eleven days of 15.6 kWh; the second day's gap as its rest, 15 / 22.5 x 24 = 16; 15.2 on the day of 23
# hours; 16.85 with the quarter hour of 5 kW.
BILLED_KWH = 11 * 15.6 + 16 + 15.2 + 16.85


def test_paid_bills_come_first(tmp_path: Path, context: Context) -> None:
    """Bills that agree are the first sentence, each is a row of a table; without bills nothing is said of them."""
    made = report(billed(tmp_path, f"2025-03-24 2025-04-07 {BILLED_KWH}", "2024-03-24 2024-04-07 400"))
    text = sentences(made.sections[0])
    assert 0 <= text.find("Of the 14 days that were both read and billed, the record has 219.6") < text.find("In all but 5 %")
    rows = next(one for one in tables(section(made, "What was measured, and how far to trust it")) if "paid bills" in one.caption)
    assert cells(rows)[0] == ["2025-03-24", "2025-04-07", "220", "14", "219.6", "219.6", "1.00"]
    assert cells(rows)[1][3:] == ["0", "", "", ""]
    assert "paid bills" not in sentences(opening(context))


def test_bills_of_twice_the_energy_bring_all_into_doubt(tmp_path: Path) -> None:
    """A ratio of a half names its mistake once beside the first page, and every figure there is in doubt, costs too."""
    assessment = billed(tmp_path, f"2025-03-24 2025-04-07 {2 * BILLED_KWH}")
    made = report(assessment)
    first = made.sections[0]
    notes = [one.code for one in first.blocks if isinstance(one, MarginNote)]
    assert notes.count("demand.bills-suggest") == 1
    assert "or what was billed" in sentences(first)
    figures = next(block for block in first.blocks if isinstance(block, KeyFigures)).figures
    assert {one.doubt for one in figures if one.unit == "kWh"} == {"In doubt: see the notes"}
    assert section(made, "What it costs").lead.startswith("In doubt")
    evidence = section(made, "What was measured, and how far to trust it")
    assert [one.code for one in evidence.blocks if isinstance(one, MarginNote)].count("demand.bills-suggest") == 1
    assert "demand.bills-suggest" in {one.code for one in assessment.findings()}


def test_says_stop_above_the_protection(tmp_path: Path) -> None:
    """A reading above the main protection's rating is said, with what to do."""
    small = JOB.replace('main_protection = "25 A"', 'main_protection = "20 A"')
    text = sentences(opening(context_of(Assessment(load_job(write_job(tmp_path, small)), keep=False))))
    assert "117 % of the 20 A" in text
    assert "above its rating. Have a licensed electrician look" in text


def test_kilowatts_where_no_amps_were_read(context: Context) -> None:
    """Without a channel of current the limit is said in kW, at the supply's power factor."""
    without = replace(context, record=replace(context.record, channels=context.record.channels[:1]))
    text = sentences(opening(without))
    # 5.4 kW of 25 A x 230 V x 0.95 = 5.4625 kW, of which the even digit is shown
    assert "carries about 5.462 kW at 230 V with a power factor of 0.95" in text
    assert "98.9 % of that" in text


def test_no_supply_no_claim(context: Context) -> None:
    """Where the main protection is not known nothing is said about it, in words or as a line in a picture."""
    bare = replace(context, spec=context.spec.model_copy(update={"supply": None}))
    assert "main protection" not in sentences(opening(bare))
    assert bare.limit_w is None


def test_three_phase_limit(context: Context) -> None:
    """A three-phase supply carries three times what one conductor does."""
    supply = context.spec.supply.model_copy(update={"system": "three-phase"})
    three = replace(context, spec=context.spec.model_copy(update={"supply": supply}))
    assert three.limit_w == pytest.approx(3 * 25 * 230 * 0.95)


def test_one_limit_in_kilowatts(context: Context) -> None:
    """First page, lines in pictures, hidden peaks and simulation hold the peaks against one and the same figure."""
    (fuse,) = limits_of(context.spec, context.spec.control, context.show)
    assert context.limit_w == fuse.power_w == limit_w(context.spec, "job.toml") == pytest.approx(25 * 230 * 0.95)
    bands = peak_bands(context.power.series, context.clock, limit_w=limit_w(context.spec, "job.toml"))
    told = str(hidden(replace(context, peaks=bands)))
    assert "5.46" in told
    assert "(the main protection of 25 A)" in told


def test_agreed_apparent_power(context: Context) -> None:
    """Agreed kVA are kVA, and kW only at the power factor: 6 kVA are 5.7 kW, of which 5.4 kW are 94.7 %."""
    supply = context.spec.supply.model_copy(update={"agreed_va": 6000.0, "agreed_w": None})
    text = sentences(opening(replace(context, spec=context.spec.model_copy(update={"supply": supply}))))
    assert "Of the 6 kVA agreed with the grid operator, 5.700 kW with a power factor of 0.95" in text
    assert "took 94.7 %" in text


def test_gap_is_shown(paper: Paper) -> None:
    """The gap stands in the evidence with its length, the share read is rounded down, and the finding is a margin note."""
    evidence = section(paper, "What was measured, and how far to trust it")
    gaps = next(table for table in tables(evidence) if table.caption == "Gaps in the record")
    assert [[text.replace(THIN, " ") for text in row] for row in cells(gaps)] == [
        ["2025-03-25 01:00", "1 h 30 min", "left as it is", "", "", ""]
    ]
    # 6 of 1340 quarter hours: 99.55 %
    assert "99.5 % complete: 1,334 of 1,340 intervals" in sentences(evidence)
    assert "record.gaps" in {block.code for block in evidence.blocks if isinstance(block, MarginNote)}


def test_bill_in_the_report(paper: Paper, context: Context) -> None:
    """The bill's lines stand in a table whose last row is the total, and they add up to it."""
    bill = next(table for table in tables(section(paper, "What it costs")) if table.caption == "The bill, line by line")
    *lines, total = [float(row[-1].value) for row in bill.rows]
    assert total == pytest.approx(float(context.costs.tariffs[0].total))
    assert sum(lines) == pytest.approx(total)


def test_survey_and_rules(paper: Paper) -> None:
    """Loads stand with rating and basis, rules with their times."""
    loads, rules = tables(section(paper, "What is on site"))
    # 3 kW at 230 V draw 13.0 A, 2 kW 8.7 A.
    assert cells(loads)[0][:6] == ["=1+1 water heater", "1", "3.00", "13.0", "unknown", "mains"]
    assert cells(loads)[1][:6] == ["Oven", "1", "2.00", "8.7", "unknown", "not at all"]
    assert loads.rows[0][2].basis.value == "a"
    assert loads.rows[1][2].basis.value == "p"
    assert "06:00 to 08:00" in cells(rules)[0][2]
    assert cells(rules)[1][2].replace(THIN, " ") == "on for 15 min, off for 45 min"
    assert cells(rules)[1][3] == "6, 7"


def test_no_survey_no_section(context: Context) -> None:
    """A job without loads has no section about them."""
    assert survey(replace(context, spec=context.spec.model_copy(update={"loads": ()}))) is None


def test_cautions_and_assumptions(paper: Paper) -> None:
    """What was assumed is listed, hot water brings its caution, and the report never says safe or compliant of itself."""
    last = section(paper, "What was assumed, and what this report is not")
    steps = next(block for block in last.blocks if isinstance(block, Steps))
    assert any("=1+1 water heater: 3.00" in str(item) for item in steps.items)
    assert not any("Oven" in str(item) for item in steps.items)
    words = str(last.blocks)
    assert "Legionella" in words
    assert "prove dead" in words
    assert re.search(r"[0-9a-f]{64}", words)


def test_every_picture_has_words_and_basis(paper: Paper) -> None:
    """Each picture carries a title, a text alternative and a source with its basis."""
    pictures = [block.picture for one in paper.sections for block in one.blocks if isinstance(block, PictureBlock)]
    assert len(pictures) == 9
    for picture in pictures:
        assert picture.title
        assert len(picture.alt) > 30
        assert "readings.csv, measured" in picture.source


def test_notes_are_grave_ones_first(paper: Paper) -> None:
    """On the first page only what must be looked at stands as a margin note."""
    notes = [block for block in section(paper, "What you want to know").blocks if isinstance(block, MarginNote)]
    assert notes
    assert all(note.severity is not Severity.NOTE for note in notes)


def test_four_notes_at_most_the_gravest_among_them(context: Context) -> None:
    """Of six that press only four stand on the first page, what stops first, whatever the order they were found in."""
    kinds = [
        define(f"test.urgent-{n}", s, says="A.", why="B.", do="C.", source="none")
        for n, s in enumerate([Severity.LOOK] * 5 + [Severity.STOP])
    ]
    found = tuple(kind.at("somewhere") for kind in kinds)
    many = replace(context, demand=replace(context.demand, findings=found))
    notes = [block for block in opening(many).blocks if isinstance(block, MarginNote)]
    assert [note.code for note in notes] == ["test.urgent-5", "test.urgent-0", "test.urgent-1", "test.urgent-2"]


def test_no_tariff(tmp_path: Path) -> None:
    """Without a tariff the report says so, and shows no money."""
    bare = re.sub(r"\[tariff\]\nfiles.*\npaid.*\ncompare.*\n", "", JOB)
    paper = report(Assessment(load_job(write_job(tmp_path, bare)), keep=False))
    assert "nothing can be said about money" in str(section(paper, "What it costs").lead)
    first = next(block for block in section(paper, "What you want to know").blocks if isinstance(block, KeyFigures))
    assert [figure.unit for figure in first.figures] == ["kWh", "kW", "W"]


def test_cheapest_is_today(tmp_path: Path) -> None:
    """Where the tariff paid is the cheapest of those compared, the report says that."""
    turned = JOB.replace('paid = "two-price"\ncompare = ["one-price"]', 'paid = "one-price"\ncompare = ["two-price"]')
    paper = report(Assessment(load_job(write_job(tmp_path, turned)), keep=False))
    assert "the one paid today is the cheapest" in sentences(section(paper, "What you want to know"))


def test_job_without_readings(tmp_path: Path) -> None:
    """A job without meter file ends in a sentence that names the entry to add."""
    bare = JOB.replace('[[files]]\nid = "readings"\npath = "readings.csv"\nmeter = "main"\n', "")
    with pytest.raises(JobError, match=r"Add a \[\[files\]\] entry"):
        report(Assessment(load_job(write_job(tmp_path, bare)), keep=False))


def test_months_under_pictures() -> None:
    """Months are named in letters; the year stands only where there are two, at the first month of each."""
    assert short_months(["2025-01", "2025-02"], Show()) == ["Jan", "Feb"]
    assert short_months(["2024-12", "2025-01", "2025-02"], Show()) == ["Dec 24", "Jan 25", "Feb"]


def test_filled_gap_is_marked_everywhere(tmp_path: Path) -> None:
    """With gaps filled the energy is marked estimated and holds them, the gap names its rule, and no peak is an estimate."""
    filled = JOB.replace("[tariff]", '[repair]\ngaps = "estimate"\n[tariff]')
    assessment = Assessment(load_job(write_job(tmp_path, filled)), keep=False)
    paper = report(assessment)
    energy = next(b for b in section(paper, "What you want to know").blocks if isinstance(b, KeyFigures)).figures[0]
    # The gap lies in the small hours, where every day reads 0.4 kW: 1.5 h at 0.4 kW are added.
    assert (energy.value, energy.basis.value) == (f"{ENERGY_KWH + 0.6:.2f}", "e")
    # Two weeks try too few like stretches for a band.
    assert "estimates add 0.600 kWh, how far off is not known" in energy.note.replace(THIN, " ")
    evidence = section(paper, "What was measured, and how far to trust it")
    gap = next(cells(table) for table in tables(evidence) if table.caption == "Gaps in the record")[0]
    assert gap[2:4] == ["the average of like days", "0.600"]
    assert "1,334 of 1,340 intervals" in sentences(evidence)
    assert assessment.demand().summary.estimated == len(GAP)
    assert float(assessment.costs().tariffs[0].bill.energy_kwh) == pytest.approx(ENERGY_KWH + 0.6, abs=0.002)


def test_stop_stands_beside_the_overrun(tmp_path: Path) -> None:
    """A current above the rating is a finding of the gravest kind, with how long it lasted."""
    small = JOB.replace('main_protection = "25 A"', 'main_protection = "20 A"')
    first = opening(context_of(Assessment(load_job(write_job(tmp_path, small)), keep=False)))
    stop = next(block for block in first.blocks if isinstance(block, MarginNote) and block.severity is Severity.STOP)
    # Only the one quarter hour of 5.4 kW (23.5 A) lies above 20 A.
    assert "15 min in all" in stop.sentence.replace(THIN, " ")
    assert "23.5 A" in stop.sentence


def test_agreed_power_client_and_maker(tmp_path: Path) -> None:
    """What was agreed with the grid operator, for whom and by whom the papers are, stand on the first page."""
    told = JOB.replace('main_protection = "25 A"', 'agreed_power = "6 kW"').replace("invented = true", 'client = "C. Lient"')
    told = told.replace("date = 2025-04-20", 'date = 2025-04-20\nprepared_by = "M. Aker"')
    told = told.replace('system = "single-phase"', 'system = "single-phase"\nmain_protection = "25 A"')
    text = sentences(opening(context_of(Assessment(load_job(write_job(tmp_path, told)), keep=False))))
    assert "For C. Lient. Made by M. Aker." in text
    # 5.4 of 6 kW
    assert "Of the 6.00 kW agreed with the grid operator the highest demand over 15 min took 90.0 %" in text


def test_what_is_known_of_a_load(tmp_path: Path) -> None:
    """Content and the meter that measures a load alone stand in its note."""
    more = JOB.replace('rating = "3 kW"', 'rating = "3 kW"\nvolume = "150 l"\nmeter = "main"\nnote = "old"')
    loads, _ = tables(survey(context_of(Assessment(load_job(write_job(tmp_path, more)), keep=False))))
    assert cells(loads)[0][-1].replace(THIN, " ") == "old; 150 l; measured alone by main"


def test_readings_in_doubt_are_said_before_the_figures(tmp_path):
    """A supply clamped the wrong way round has that sentence and the finding before its total, and each figure its doubt.

    Nothing is told of it with confidence. A sound supply has none of these.
    """
    rows = [f"2025-06-{2 + i // 24:02d} {i % 24:02d}:00,{0.4 + 0.3 * (i % 24 > 17) + 0.01 * (i % 7):.2f}" for i in range(24 * 14)]
    told, figures, leads = {}, {}, {}
    for sign in ("", "-"):
        (tmp_path / "r.csv").write_text("\n".join(["start,P kW", *(row.replace(",", f",{sign}") for row in rows), ""]))
        assessment = Assessment(job_of_file(tmp_path / "r.csv", "Europe/Athens", LayoutSpec(), "", date(2025, 7, 1)), keep=False)
        section = opening(readings_of(assessment))
        figures[sign] = [one for block in section.blocks if isinstance(block, KeyFigures) for one in block.figures]
        leads[sign] = str(section.lead)
        told[sign] = ["rely on no total" in str(block) for block in section.blocks], "clamped" in str(section.blocks)
    assert (any(told[""][0]), told[""][1]) == (False, False)
    assert (told["-"][0][0], told["-"][1]) == (True, True)
    assert [bool(one.doubt) for one in figures[""]] == [False] * 3
    assert [bool(one.doubt) for one in figures["-"]] == [True] * len(figures["-"])
    assert {sign: "do not rely on" in lead for sign, lead in leads.items()} == {"": False, "-": True}


def test_every_section_of_figures_says_its_doubt(tmp_path):
    """The sections on times, months and peaks begin with the doubt where the readings are in doubt, and a page shows the mark."""
    rows = [
        f"2025-06-{2 + i // 24:02d} {i % 24:02d}:00,-{0.4 + 0.3 * (i % 24 > 17) + 0.01 * (i % 7):.2f}" for i in range(24 * 14)
    ]
    (tmp_path / "r.csv").write_text("\n".join(["start,P kW", *rows, ""]))
    assessment = Assessment(job_of_file(tmp_path / "r.csv", "Europe/Athens", LayoutSpec(), "", date(2025, 7, 1)), keep=False)
    paper = report(assessment)
    assert [str(one.lead).startswith("In doubt") for one in paper.sections[1:4]] == [True] * 3
    book = openpyxl.load_workbook(io.BytesIO(workbook(paper, assessment.record())))
    assert "do not rely on" in next(row[1].value for row in book["About"].iter_rows() if row[0].value == "In doubt")
    figures = page(paper).split('class="figures"')[1]
    assert figures.count('<strong class="value">?</strong>') == 3
