"""The section on what to quote: what it says, from which kept result, and that a quote of another job is not shown."""

import io
import json
from dataclasses import replace
from datetime import date

import pytest
from pypdf import PdfReader

from tests.job.simulated import SUPPLY, TIMES, question
from tests.job.test_planning import MAY_HEATER, MAY_PUMP, PRICES, TARIFF
from wattwright.core.basis import Basis
from wattwright.core.findings import Severity
from wattwright.core.frozen import pack, unpack
from wattwright.core.show import Show
from wattwright.generation.yields import Yield
from wattwright.handover.opening import opening
from wattwright.handover.page import page
from wattwright.handover.paper import Caution, Emphasis, Paper, PictureBlock, Raised, Section, TableBlock, Text, TitleBlock
from wattwright.handover.pdf import pdf
from wattwright.handover.quoted import quoted
from wattwright.handover.report import context_of, report, title_block
from wattwright.job.assessment import Assessment
from wattwright.job.file import load_job
from wattwright.job.quoting import quote_case
from wattwright.record.kinds import TOO_MUCH
from wattwright.supply.sizing.answer import Laid, Quote
from wattwright.supply.sizing.json_form import quote_json
from wattwright.supply.sizing.kinds import BESIDE
from wattwright.supply.sizing.losses import loss_rows, lost_on
from wattwright.supply.sizing.options import option_rows
from wattwright.supply.sizing.sizes import Size
from wattwright.supply.sizing.table import front_rows

PARTS = """[quote]
steps = 8
[quote.prices]
pv_kw = "700"
inverter_kw = "150"
battery_kwh = "250"
"""
DAYS = date(2025, 1, 7), date(2025, 1, 8)
TITLE = "What inverter, battery and PV to quote"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A small job of three days with prices."""
    folder = tmp_path_factory.mktemp("quoted")
    question(folder, SUPPLY, MAY_HEATER, MAY_PUMP, TIMES, TARIFF, PARTS)
    (folder / "tariff.toml").write_text(PRICES)
    return folder


def made(folder, outage_s=7200.0, planned=True, days=None):
    """A quote for it, with today's rules standing for the plan's."""
    assessment = Assessment(load_job(folder))
    ask = assessment.question()
    control = ask.site().simulated(ask.job.spec.control) if planned else None
    return quote_case(ask, control, assessment.peaks(), outage_s, days=days).answer()


@pytest.fixture(scope="module")
def backup(folder):
    """What carries it for two hours."""
    return made(folder)


def section(folder, quote):
    """The section of a report that holds this quote."""
    return quoted(replace(context_of(Assessment(load_job(folder))), quote=quote))


def table_of(made, beginning):
    """The table whose caption begins with these words."""
    return next(one.table for one in made.blocks if isinstance(one, TableBlock) and one.table.caption.startswith(beginning))


def test_a_client_finds_the_line_the_options_and_the_cases(folder, backup):
    """The line says what to buy and what it carries; options stand cheapest first, the quoted one named; then cases, caution."""
    told = section(folder, sound_of(backup))
    assert told.title == TITLE
    assert told.lead.startswith("Quote an inverter of")
    assert "outages of 2\u202fh" in told.lead
    options = table_of(told, "Options to choose from")
    names = [row[0] for row in options.rows]
    assert len([one for one in names if "(quoted" in one]) == 1
    assert names[0] == "Leave it as it is"
    assert [cell.value for cell in options.rows[0][1:4]] == [0.0, 0.0, 0.0]
    assert options.rows[0][4].value == pytest.approx(100.0)
    heads = [column.head for column in options.columns]
    beside = heads.index("Beside as it is")
    assert [options.rows[0][heads.index(one)].value for one in ("To buy", "Beside as it is")] == [0.0, 0.0]
    # What is quoted is set off, and where nothing trips no column of noughts says so.
    assert [row[0] for row in options.rows if row[0].startswith("→ ")] == [row[0] for row in options.rows if "(quoted" in row[0]]
    assert "Trips" not in heads
    for row in options.rows[1:]:
        word = "more" if row[beside].value >= 0.5 else "less" if row[beside].value <= -0.5 else "0"
        assert row[beside].text.endswith(word)
    texts = [one.words for one in told.blocks if isinstance(one, Text)]
    as_is, alone, quote = ("".join(getattr(part, "text", part) for part in words) for words in texts[:3])
    # Names stand out, and each thought about all of them has a paragraph of its own.
    assert [words[0] for words in texts[:2]] == [Emphasis("Leave it as it is:"), Emphasis("The plan alone:")]
    (prose,) = [words for words in texts[3:] if "pay for itself" in words]
    assert "worn to" not in prose
    assert any("worn to" in words for words in texts[3:])
    assert as_is == "Leave it as it is: nothing is bought. Every outage leaves it dark."
    assert alone.startswith("The plan alone: nothing is bought")
    assert options.rows[1][0] == "The plan alone"
    assert "(quoted" in quote.partition(":")[0]
    # The line to remember, then the table, then sums, each against its own base.
    assert "The hardware does not pay for itself" in prose
    assert "pay for itself" not in told.lead
    sizes = table_of(told, "Sizes with")
    assert [column.head for column in sizes.columns] == ["With", "Today's switching", "The plan", "Quoted"]
    cases = table_of(told, "What is quoted, with")
    heads = [column.head for column in cases.columns]
    assert heads[1:3] == ["Plan working", "Link lost"]
    assert "Water heater" in heads[3] or "Pump" in heads[3]
    assert any(isinstance(one, Caution) for one in told.blocks)
    # All that is not dark leaves nothing undone: there is nothing to draw.
    assert not any(isinstance(one, PictureBlock) for one in told.blocks)


def sound_of(made):
    """The same quote with nothing that stops it."""
    return replace(made, findings=tuple(one for one in made.findings if one.severity is not Severity.STOP))


def test_what_trips_has_a_column_and_pv_that_stays_is_no_none(folder, backup):
    """One trip of one option brings the column, in all tables; where PV is there and stays a nought would say there is none."""
    as_is = replace(backup.as_is, found=replace(backup.as_is.found, trips=3))
    options = table_of(section(folder, replace(backup, as_is=as_is)), "Options to choose from")
    trips = [column.head for column in options.columns].index("Trips")
    assert [row[trips].value for row in options.rows][:2] == [3.0, 0.0]
    beside = replace(backup, findings=(*backup.findings, BESIDE.at("pv", energy=100.0)))
    own = section(folder, beside)
    assert {row[3] for row in table_of(own, "Options to choose from").rows} == {"there"}
    assert set(next(row for row in table_of(own, "Sizes with").rows if row[0] == "PV")[1:]) == {"there"}
    told = option_rows(beside, beside.plan, Show())
    assert {row[told[0].index("PV")] for row in told[1:]} == {"there"}
    front = front_rows(beside, beside.plan, Show())
    assert front[0][2:4] == ("PV", "unserved share")
    assert {row[2] for row in front[1:]} == {"there"}
    assert "trips" not in front[0]


def first_of(context):
    """The first paragraph of the first page."""
    return plain_of(context)[0]


def plain_of(context):
    """The paragraphs of the first page without the marks in them."""
    every = [one.words for one in opening(context).blocks if isinstance(one, Text)]
    return [one if isinstance(one, str) else "".join(part for part in one if isinstance(part, str)) for one in every]


def test_the_figures_of_a_quote_on_page_one_carry_their_basis(folder, backup):
    """They are simulated: the mark is raised behind them on paper and page; where no figure is told there is no mark."""
    context = replace(context_of(Assessment(load_job(folder))), quote=sound_of(backup))
    first = next(one for one in opening(context).blocks if isinstance(one, Text))
    assert first.words[-1] == Raised(Basis.SIMULATED)
    stopped = next(one for one in opening(replace(context, quote=backup)).blocks if isinstance(one, Text))
    assert isinstance(stopped.words, str)
    title = TitleBlock("Job", "Place", "Report", "2026-01-01", "A", "survey")
    paper = Paper(title, (Section("One", "Two.", (first,)),))
    assert "<sup>s</sup></p>" in page(paper)
    set_ = "".join(PdfReader(io.BytesIO(pdf(paper))).pages[0].extract_text().split())
    assert f"{''.join(first.words[0].split())}s" in set_


def test_page_one_says_what_to_quote_and_what_it_costs(folder, backup):
    """A client who reads the first page alone knows size, price and what the plan is worth; without a quote nothing is said."""
    context = replace(context_of(Assessment(load_job(folder))), quote=sound_of(backup))
    assert first_of(context).startswith("Quote an inverter of")
    assert f"for {context.show.fixed(backup.bought, 0)} EUR. The plan" in first_of(context)
    assert not any("Quote an" in one for one in plain_of(replace(context, quote=None)))
    assert not any(one.heading == "Stop" for one in quoted(context).blocks if isinstance(one, Caution))
    # Of readings that nobody can rely on there is no size and no price on page one.
    much = {"column": "power", "most": 1e6, "count": 1, "value": 2e6, "start": context.record.channels[0].series.start_s}
    doubted = replace(context.record, findings=(*context.record.findings, TOO_MUCH.at("power", **much)))
    told = [one.words for one in opening(replace(context, record=doubted)).blocks if isinstance(one, Text)]
    assert any("rest on these readings and are no quote yet" in one for one in told)
    assert not any("Quote an" in one or "The plan is worth" in one for one in told)
    # Nor does its own section begin with what to buy.
    begun = "Nothing may be quoted before the doubts in these readings, told on the first page, are settled. Worked out so far:"
    assert quoted(replace(context, record=doubted)).lead.startswith(begun)
    assert quoted(context).lead.startswith("Quote an inverter")


def test_what_forbids_to_rely_on_a_quote_stands_in_its_place(folder, backup):
    """Three days alone are no basis: page one says so and tells no size; in its section that stands above the options."""
    (stop,) = [one for one in backup.findings if one.severity is Severity.STOP]
    context = replace(context_of(Assessment(load_job(folder))), quote=backup)
    told = " ".join(one.words for one in opening(context).blocks if isinstance(one, Text))
    assert first_of(context).startswith(f"Sizes were reckoned, but they are no quote yet: {stop.says(context.show)}")
    assert "Quote an inverter" not in told
    assert "EUR. The plan" not in told
    begun = "Nothing may be quoted before what stops it, marked below, is cured. Worked out so far: an inverter of"
    assert quoted(context).lead.startswith(begun)
    above = quoted(context).blocks[0]
    assert (above.heading, above.words) == ("Stop", f"{stop.says(context.show)} {stop.do(context.show)}")


def test_the_picture_of_options_is_not_squashed_by_what_leaves_everything_dark(folder, backup):
    """Beside 100 % unserved all others lie on the ground: what is dark stands in the table, and the axis ends near the rest."""

    def of(*shares, chosen):
        front = backup.plan.front[0]
        points = tuple(
            replace(front, least=share, owned=1000.0 * n, found=replace(front.found, lpsp=share, size=size))
            for n, (share, size) in enumerate(shares)
        )
        plan, today = replace(backup.plan, front=points), replace(backup.today, front=points[:1])
        return replace(backup, plan=plan, today=today, size=chosen)

    nothing, small, large = Size(0.0, 0.0, 0.0), Size(0.0, 4000.0, 3000.0), Size(0.0, 8000.0, 3000.0)
    told = section(folder, of((1.0, nothing), (0.009, small), (0.0, large), chosen=large))
    picture = next(one.picture for one in told.blocks if isinstance(one, PictureBlock))
    assert picture.title.endswith("what leaves everything dark stands in the table alone")
    spec = json.dumps(picture.spec)
    assert '"p": 100.0' not in spec
    assert '"p": 0.9' in spec
    # The filled point is still the one that is quoted.
    assert '"data": {"values": [{"p": 0.0, "s": 2000.0}]}' in spec or '[{"s": 2000.0, "p": 0.0}]' in spec
    dark = section(folder, of((1.0, nothing), (0.0, large), chosen=large))
    assert not any(isinstance(one, PictureBlock) for one in dark.blocks)
    # Two that both leave nothing undone differ in cost alone.
    alike = section(folder, of((1.0, nothing), (0.0, small), (0.0, large), chosen=large))
    assert not any(isinstance(one, PictureBlock) for one in alike.blocks)


def test_a_quote_comes_back_from_disk_as_it_was(folder, backup):
    """Kept beside the job it is found again, and the report shows it; another question about sizes hides it."""
    assert unpack(pack(backup), Quote).size == backup.size
    assessment = Assessment(load_job(folder))
    assert assessment.quote() is None
    assert assessment.quote_print() == ""
    assert quoted(context_of(assessment)) is None
    assessment.keep_quote(backup)
    assert assessment.quote().size == backup.size
    assert assessment.quote_print()
    assert TITLE in [one.title for one in report(assessment).sections]
    text = (folder / "job.toml").read_text()
    try:
        (folder / "job.toml").write_text(text.replace("steps = 8", "steps = 9"))
        assert Assessment(load_job(folder)).quote() is None
    finally:
        (folder / "job.toml").write_text(text)


def test_other_purposes_have_words_of_their_own(folder):
    """Beside the grid, and where a peak is asked, the figures that decide are named; without a plan no case is shown."""
    grid = section(folder, made(folder, None, planned=False))
    assert "The grid stays there" in grid.lead
    assert not any("with the plan working" in one.table.caption for one in grid.blocks if isinstance(one, TableBlock))
    text = (folder / "job.toml").read_text()
    try:
        (folder / "job.toml").write_text(text.replace("steps = 8", 'steps = 8\npeak = "3 kW"'))
        shaved = section(folder, made(folder, None, planned=False))
        assert "Highest 15 min" in [column.head for column in table_of(shaved, "Options").columns]
        bare = text[: text.index("[quote.prices]")]
        bare += '[generator]\nrating = "5 kW"\n'
        (folder / "job.toml").write_text(bare.replace("[quote]", '[quote]\npurpose = "stand-alone"\nunserved = "20 %"'))
        alone = section(folder, made(folder, None))
        assert "There is no grid" in alone.lead
        assert not any(one.table.caption.startswith("What carrying") for one in alone.blocks if isinstance(one, TableBlock))
        assert [column.head for column in table_of(alone, "Ways to carry").columns][1:3] == [
            "Generator alone",
            "Battery and generator",
        ]
    finally:
        (folder / "job.toml").write_text(text)


def test_a_site_without_a_grid_shows_what_it_costs_and_how_sure_that_is(folder):
    """In place of a saving stand cost over the years, its parts and its band, with the currency of the prices themselves."""
    text = (folder / "job.toml").read_text()
    alone = text.replace("[quote]", '[quote]\npurpose = "stand-alone"\nunserved = "20 %"').replace(TARIFF, "")
    alone = alone.replace("[quote.prices]", '[quote.prices]\ncurrency = "CHF"\nfuel_kwh = "0.4"')
    alone += '[quote.money.spread]\ncost = { low = "80 %", likely = "100 %", high = "130 %" }\n'
    try:
        (folder / "job.toml").write_text(alone + '[generator]\nrating = "5 kW"\n')
        quote = made(folder, None, planned=False)
        told = section(folder, quote)
        assert quote.currency == "CHF"
        assert any("CHF in money of today" in one.words for one in told.blocks if isinstance(one, Text))
        rows = dict(table_of(told, "What carrying the site costs").rows)
        assert {"cost over the years", "of it to buy", "fuel", "cost of a kWh served", "how sure"} <= set(rows)
        assert table_of(told, "What moves the cost over the years most")
        assert "Beside as it is" not in [column.head for column in table_of(told, "Options").columns]
        pictures = [one.picture.title for one in told.blocks if isinstance(one, PictureBlock)]
        assert "What moves the cost over the years most: cost" in pictures
        assert not any("bills" in one.words for one in told.blocks if isinstance(one, Text))
    finally:
        (folder / "job.toml").write_text(text)


def test_chosen_days_stand_in_the_basis_box(folder, backup):
    """A quote of other days than the record's names them in the title block and in its lead; one of all of them need not."""
    whole, chosen = (replace(context_of(Assessment(load_job(folder))), quote=one) for one in (backup, made(folder, days=DAYS)))
    assert title_block(whole, "").basis == "2025-01-06 to 2025-01-08"
    assert title_block(chosen, "").basis == "2025-01-06 to 2025-01-08; quote: 2025-01-07 to 2025-01-08"
    assert "Sized on 2025-01-07 to 2025-01-08." in quoted(chosen).lead


def test_what_the_quoted_pv_loses_is_told_step_by_step(folder):
    """From modules at 25 degC to the bus each loss takes its part; the usual ones leave 1 - 14.08 % (NREL/TP-6A20-62641)."""
    text = (folder / "job.toml").read_text()
    roofs = "".join(f'[[quote.pv]]\npeak = "{kw} kW"\ntilt_deg = 25\nazimuth_deg = {way}\n' for kw, way in ((3, 180), (1, 90)))
    try:
        (folder / "job.toml").write_text(text + roofs)
        quote = made(folder, 7200.0, planned=False)
        assert len(quote.losses) == len(quote.laid) > 0
        for one, laid in zip(quote.losses, quote.laid, strict=True):
            assert one.roof == laid.roof
            assert one.cold_kwh - sum(each.loss_kwh for each in one.steps) == pytest.approx(one.given_kwh)
            left = 1.0
            for each in one.steps[1:-2]:  # between temperature and the inverter
                left *= 1.0 - each.share
            assert left == pytest.approx(1.0 - 0.1408, abs=5e-5)
            assert 800.0 < one.given_kwh / laid.pv_w * 1000.0 < 1900.0  # of a year in Attica, on two slopes
        told = table_of(section(folder, quote), "What the PV that would be quoted loses")
        assert {"temperature", "soiling", "wiring", "inverter"} <= {row[0] for row in told.rows}
        shown = quote_json(quote, Show("en_GB", "SI", "UTC"))["pv_losses"]
        assert [one["given_kwh"] for one in shown] == [round(one.given_kwh, 2) for one in quote.losses]
        assert shown[0]["losses"][0]["name"] == "temperature"
        whole = lost_on([Laid("roof", 2000.0)], {"roof": (4000.0, 10.0, Yield(0, 0, 0, 0.0, (), 0.0, 0, None, 0))})
        rows = loss_rows(replace(quote, losses=whole), Show("en_GB", "SI", "UTC"))
        assert rows[1][0].endswith("10 days")
        assert rows[2] == ("left at the site's bus", "0", "0\u202f% lost")
    finally:
        (folder / "job.toml").write_text(text)
