"""The section on a plan: what it says and from which kept result, and that a plan of another job is not shown."""

from dataclasses import replace
from datetime import date

import pytest

from tests.job.simulated import SUPPLY, TIMES, question
from tests.job.test_planning import MAY_HEATER, MAY_PUMP, PRICES, TARIFF
from wattwright.core.frozen import pack, unpack
from wattwright.handover.paper import Caution, MarginNote, PictureBlock, TableBlock, Text
from wattwright.handover.papers import write_papers
from wattwright.handover.planned import planned
from wattwright.handover.report import context_of, report
from wattwright.job.assessment import Assessment
from wattwright.job.file import load_job
from wattwright.job.planned import KeptPlan, kept_plan
from wattwright.job.planning import plan_case
from wattwright.job.shed import shed_of
from wattwright.plan.gap import Gap
from wattwright.plan.options import Asking, plan_for
from wattwright.plan.search import Effort

SMALL = SUPPLY.replace("20 A", "16 A")
SHED = '[control.shedding]\npick_up = "3.2 kW"\nrestore = "2 kW"\norder = ["pump"]\ndelay = "2 s"\n'
TITLE = "What to switch, and what it is worth"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A small job of three days with two prices, in a folder of its own."""
    folder = tmp_path_factory.mktemp("planned")
    question(folder, SMALL, MAY_HEATER, MAY_PUMP, TIMES, TARIFF, SHED)
    (folder / "tariff.toml").write_text(PRICES)
    return folder


@pytest.fixture(scope="module")
def plan(folder):
    """A plan sought for it."""
    asked = plan_case(Assessment(load_job(folder)).question(), date(2025, 1, 6), date(2025, 1, 8), None)
    made = plan_for(asked.case, asked.gear, Asking(2, Effort(60), 1))
    spec = load_job(folder).spec
    return kept_plan(asked, made, shed_of(asked, made.best.tried.plan.control(asked.case.today), spec))


def section(folder, plan):
    """The section of a report that holds this plan."""
    return planned(replace(context_of(Assessment(load_job(folder))), plan=plan))


def table_of(made, beginning):
    """The table whose caption begins with these words."""
    tables = [one.table for one in made.blocks if isinstance(one, TableBlock)]
    return next(one for one in tables if one.caption.startswith(beginning))


def captions(made):
    return [one.table.caption for one in made.blocks if isinstance(one, TableBlock)]


def test_a_plan_is_kept_beside_its_job_and_goes_into_its_papers(folder, plan, tmp_path):
    """Kept, read back equal, in report and workbook; the papers are made anew for it, and it is gone once the job is another."""
    # Compared as bytes: a time that is not known is no number, and equals nothing.
    assert pack(unpack(pack(plan), KeptPlan)) == pack(plan)
    job = Assessment(load_job(folder))
    assert (job.plan(), job.plan_print()) == (None, "")
    assert TITLE not in [one.title for one in report(job).sections]
    assert len(write_papers(job, tmp_path).made) == 8
    job.keep_plan(plan)
    assert pack(Assessment(load_job(folder)).plan()) == pack(plan)
    assert TITLE in [one.title for one in report(job).sections]
    assert len(write_papers(job, tmp_path).made) == 8
    assert write_papers(Assessment(load_job(folder)), tmp_path).made == ()
    text = (folder / "job.toml").read_text()
    (folder / "job.toml").write_text(text.replace('rating = "2 kW"', 'rating = "2.2 kW"'))
    assert Assessment(load_job(folder)).plan() is None
    (folder / "job.toml").write_text(text + '[weather]\nfile = "gone.csv"\n')
    assert Assessment(load_job(folder)).plan() is None
    (folder / "job.toml").write_text(text)


def test_the_section_says_the_result_first(folder, plan):
    """What the best plan saves of what, and of at most how much; the options, their settings, the supply, the cautions."""
    made = section(folder, plan)
    assert made.title == TITLE
    assert f"saves {plan.best.saving:.2f} EUR of the {plan.options[0].value:.2f} EUR" in made.lead
    assert f"more than {plan.options[0].value - plan.bound:.2f} EUR" in made.lead
    (picture,) = [one.picture for one in made.blocks if isinstance(one, PictureBlock)]
    assert picture.title == "What each option saves, and the most anyone could"
    options, settings, *_ = [one.table for one in made.blocks if isinstance(one, TableBlock)]
    assert [row[0] for row in options.rows] == [one.name for one in plan.options]
    assert [row[4].value for row in options.rows] == [one.saving for one in plan.options]
    assert len(settings.rows) == len(plan.best.settings)
    assert captions(made)[-2:] == [
        "Supply, as planned and failing",
        "What comes back together",
    ]
    assert any(isinstance(one, Caution) for one in made.blocks)
    notes = [one for one in made.blocks if isinstance(one, MarginNote)]
    assert {one.code for one in notes} >= {"plan.not-a-year"}


def test_no_percent_of_trips_where_words_say_it(folder, plan):
    """An event that trips whenever it comes does so "every time"; one that never does, "never"."""
    trips = [row[-1] for row in table_of(section(folder, plan), "Supply, as planned").rows]
    assert trips
    assert all(one in ("every time", "never") or one.endswith("of the times") for one in trips)
    assert not any("100" in one for one in trips)


def test_where_nothing_pays_it_says_so(folder, plan):
    """Only today's option: the lead says that nothing is worth switching, and there are neither bars nor settings."""
    none = replace(plan, options=plan.options[:1], shed=replace(plan.shed, limits=(), comings=()))
    made = section(folder, none)
    assert "is worth switching" in made.lead
    assert captions(made) == ["Options side by side"]
    assert not any(isinstance(one, PictureBlock) for one in made.blocks)


def test_parts_of_the_gap_and_where_there_are_none(folder, plan):
    """Parts add up to the last row; what is cheaper is worded as such; without parts a sentence says why."""
    parts = Gap(comfort=1.0, demand=2.0, energy=5.0, own=0.5, hours=-1.5, grid=0.1)
    made = section(folder, replace(plan, gap=parts))
    table = table_of(made, "Between the best")
    assert [row[1].value for row in table.rows] == [5.0, 0.5, -1.5, 2.0, 6.0]
    assert "cheaper hours" in table.rows[2][0]
    dearer = section(folder, replace(plan, gap=replace(parts, hours=1.5, own=0.0)))
    table = table_of(dearer, "Between the best")
    assert "dearer hours" in table.rows[1][0]
    words = [one.words for one in section(folder, replace(plan, gap=None)).blocks if isinstance(one, Text)]
    assert any("cannot be told in parts" in one for one in words)


def test_an_option_without_money_or_moves(folder, plan):
    """Without a tariff the value stands in place of the cost, and a contact that never moves lasts as long as it may."""
    bare = tuple(replace(one, cost=None, contact_years=None, held_out=None, band=None, lacks=()) for one in plan.options)
    made = section(folder, replace(plan, options=bare, currency="", unit="kW"))
    options = next(one.table for one in made.blocks if isinstance(one, TableBlock))
    assert options.columns[3].head == "Value"
    assert {row[-1] for row in options.rows} == {"–"}
    worn = tuple(replace(one, contact_years=12.3) for one in plan.options)
    options = next(one.table for one in section(folder, replace(plan, options=worn)).blocks if isinstance(one, TableBlock))
    assert {row[-1] for row in options.rows} == {"12 years"}
