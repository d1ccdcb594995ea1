"""The options of a quote: the site as it is first, each in words, none paying for gear it does not use."""

from dataclasses import replace
from datetime import time

import pytest

from tests.plan.cases import tariff
from tests.supply.sizing.sites import asking, scenario, way
from wattwright.control.rules import Control
from wattwright.core.clock import SiteClock
from wattwright.core.show import Show
from wattwright.simulate.supply import Generator
from wattwright.supply.sizing.json_form import quote_json
from wattwright.supply.sizing.options import (
    chosen_of,
    marked_lines,
    money_line,
    more_told,
    option_lines,
    option_rows,
    options,
)
from wattwright.supply.sizing.outages import on_one_set
from wattwright.supply.sizing.quote import quote
from wattwright.supply.sizing.seek import seeker
from wattwright.supply.sizing.sizes import NOTHING, Size
from wattwright.supply.sizing.spec import MoneySpec
from wattwright.supply.sizing.table import as_quoted, battery_told, energy_told, inverter_told, pv_told, share_told, worth_rows
from wattwright.supply.sizing.way import Way, reference
from wattwright.tariff.bill import bill
from wattwright.tariff.usage import Usage

PRICES = {"fixed": "300", "pv_kw": "900", "inverter_kw": "200", "battery_kwh": "300", "held_off_load": "120"}
PAID = tariff()
SHOW = Show("en_GB", "SI", "UTC")
BACKUP = "carries the site in outages"


def price(import_w):
    return float(bill(PAID, Usage(imported=import_w), SiteClock("UTC")).total)


def asked(purpose="beside the grid", outage_s=None, prices=PRICES, **spec):
    return asking(purpose, outage_s=outage_s, prices=prices, tariff=PAID, price=price, steps=6, **spec)


def test_leaving_it_as_it_is_costs_todays_bills_and_stays_dark():
    """Nothing to buy, all unserved in outages, and over the years the bill of today's switching and no more."""
    ask = asked(BACKUP, 2 * 3600.0)
    made = quote(ask, way(), way(("tank", "pump")))
    as_is = made.as_is
    assert as_is.found.size == NOTHING
    assert (as_is.bought, as_is.least) == (0.0, pytest.approx(1.0, abs=1e-12))  # a share of two sums of minutes
    a_year = seeker(asked(), way()).ask(NOTHING).bill * 8760.0 / (7 * 24)
    # By hand: the bill of a year at the end of each of 20 years at 3 %: (1 - 1.03**-20) / 0.03 = 14.8775. No bill fades.
    assert as_is.owned == pytest.approx(14.8775 * a_year, rel=1e-5)
    name, told = option_lines(made, made.plan, SHOW)[0]
    assert name == "Leave it as it is"
    assert told == "nothing is bought. Every outage leaves it dark."


def test_the_plan_alone_stands_beside_leaving_it_as_it_is():
    """A client may take the plan and buy nothing: its bills over the years, dark in outages, and no relay is paid for."""
    shorter = Control.model_validate(
        {"rule": [{"id": "less", "load": "pump", "kind": "time programme", "times": [{"on": time(10), "off": time(11)}]}]}
    )
    plan = Way(reference(scenario(control=shorter)), shorter, ("pump",))
    ask = asked(BACKUP, 2 * 3600.0)
    made = quote(ask, way(), plan)
    alone = made.plan_alone
    assert (alone.found.size, alone.bought, alone.least) == (NOTHING, 0.0, pytest.approx(1.0, abs=1e-12))
    # By hand as above: no bill fades, and the pump that runs one hour a day in place of four is billed for less.
    assert alone.owned == pytest.approx(14.8775 * seeker(asked(), plan).ask(NOTHING).bill * 8760.0 / (7 * 24), rel=1e-5)
    assert made.as_is.owned - alone.owned == pytest.approx(made.plan_saves)
    assert made.plan_saves > 0.0
    every = options(made, made.plan, SHOW)
    assert [one.name for one in every if one.bought == 0.0] == ["The plan alone"]
    rows = option_rows(made, made.plan, SHOW)
    assert [one[0] for one in rows[1:3]] == ["Leave it as it is", "The plan alone"]
    saved = SHOW.fixed(made.plan_saves, 0)
    assert rows[2][1:] == ("none", "none", "none", "100\u202f%", "0", "0", SHOW.fixed(alone.owned, 0), f"{saved} less")
    told = dict(marked_lines(made, made.plan, SHOW))["The plan alone"]
    assert told.startswith("nothing is bought; the plan only switches what is there. Every outage leaves it dark.")
    assert f"{saved} EUR less than leaving it as it is" in told
    same = replace(made, plan_alone=replace(alone, owned=made.as_is.owned + 0.2))
    assert "it costs as much as leaving it as it is" in dict(marked_lines(same, made.plan, SHOW))["The plan alone"]
    # Once, where the front has it too; not at all without a plan, and not where there is no grid: it is as dark there.
    again = replace(made.plan, front=(*made.plan.front, alone))
    assert [one.name for one in options(replace(made, plan=again), again, SHOW)].count("The plan alone") == 1
    assert quote(ask, way(), None).plan_alone is None
    stands = quote(asked("stand-alone", unserved="30 %"), way(), replace(plan, alone=True))
    assert (stands.plan_alone, quote_json(stands, SHOW)["plan_alone"]) == (None, None)
    assert quote_json(made, SHOW)["plan_alone"]["owned"] == round(alone.owned, 2)


@pytest.mark.parametrize("sun", ["of the day", "dark days"])
def test_the_plan_alone_is_judged_by_the_outages_of_its_neighbours(sun):
    """The same rules with nothing bought leave the same undone, though relays of a plan choose other worst hours."""
    there, ordered = Size(1000.0, 3000.0, 5000.0), way(("tank", "pump"))
    ask = asking(BACKUP, outage_s=4 * 3600.0, steps=4, outage_sun=sun)
    ask = replace(ask, costing=replace(ask.costing, kept=there))
    assert (seeker(ask, way()).grid != seeker(ask, ordered).grid).any()
    made = quote(ask, way(), ordered)
    assert made.as_is.found.size == made.plan_alone.found.size == there
    assert 0.0 < made.as_is.least < 1.0
    assert made.plan_alone.least == made.as_is.least
    assert made.plan_alone.found.dark_s == made.as_is.found.dark_s
    # They are the outages, and the sun, of the sizes in the rows below.
    shared = on_one_set(ask, [way(), ordered])
    assert made.as_is.least == seeker(shared, way()).ask(there).lpsp
    assert (seeker(shared, way()).grid == seeker(shared, ordered).grid).all()
    told = dict(marked_lines(made, made.plan, SHOW))["The plan alone"]
    assert told.startswith("nothing is bought; the plan only switches what is there, and holds nothing off in outages. ")


def test_rows_of_options_hold_what_is_known_of_them():
    """Without prices no money, beside the grid no trips; each row is as long as its head."""
    grid = quote(asking(peak="2.8 kW", steps=8), way(), None)
    rows = option_rows(grid, grid.today, SHOW)
    assert rows[0] == ("Option", "inverter", "battery", "PV", "highest\n15 min")
    assert all(len(one) == len(rows[0]) for one in rows)
    assert rows[1][4].endswith("kW")
    more = replace(grid.as_is, owned=0.3)
    assert more_told(more.owned, SHOW) == "0"
    assert [more_told(one, SHOW) for one in (12.0, -12.0)] == ["12 more", "12 less"]


def test_relays_are_paid_for_only_where_something_carries_the_site():
    """An option without hardware has no relay in its price; one with hardware has one for each load that is kept off."""
    ask = asked(BACKUP, 2 * 3600.0)
    site = seeker(ask, way(("tank", "pump")))
    assert site.held_off(NOTHING) == 0
    assert site.bought(NOTHING) == 0.0
    # By hand: 300 fixed, 5 kVA at 200, 6 kWh at 300, two relays at 120.
    assert site.bought(Size(0.0, 6000.0, 5000.0)) == pytest.approx(300.0 + 1000.0 + 1800.0 + 240.0)
    # Modules without a battery carry nothing: no relay, and an inverter of their own size.
    assert site.held_off(Size(4000.0, 0.0, 5000.0)) == 0
    made = quote(ask, way(), way(("tank", "pump")))
    for one in made.plan.front:
        if one.found.size.battery_wh == 0.0 and one.found.size.pv_w > 0.0:
            assert one.found.size.inverter_va == min(v for v in ask.ratings_va if v >= one.found.size.pv_w)
    bare = site.point(site.ask(NOTHING))
    assert bare.owned == pytest.approx(14.8775 * site.usual.ask(NOTHING).bill * 8760.0 / (7 * 24), rel=1e-5)


def test_only_what_hardware_saves_fades():
    """A plan has no modules that age: what it saves stays over the years, and what hardware saves loses half a percent."""
    shorter = Control.model_validate(
        {"rule": [{"id": "less", "load": "pump", "kind": "time programme", "times": [{"on": time(10), "off": time(11)}]}]}
    )
    plan = Way(reference(scenario(control=shorter)), shorter)
    ask = asked(prices={**PRICES, "pv_kw": "90", "battery_years": 20})
    made = quote(ask, way(), plan)
    without, with_it = (seeker(ask, one).ask(NOTHING).bill * 8760.0 / (7 * 24) for one in (way(), plan))
    assert with_it < without
    # By hand: at 3 % over 20 years 14.8775 for what stays; the sum of 0.995^(n-1) / 1.03^n is (1 - (0.995 / 1.03)^20) / 0.035.
    assert made.plan_saves == pytest.approx(14.8775 * (without - with_it), rel=1e-4)
    mine = next(one for one in options(made, made.plan, SHOW) if one.is_quoted).point
    size, usual = mine.found.size, mine.found.bill * 8760.0 / (7 * 24)
    fading = (1.0 - (0.995 / 1.03) ** 20) / 0.035
    # An inverter of 12 years is bought twice in 20.
    bought = 300.0 + (90.0 * size.pv_w + 300.0 * size.battery_wh + 200.0 * size.inverter_va * (1.0 + 1.03**-12)) / 1000.0
    bills = 14.8775 * with_it - fading * (with_it - usual)
    assert mine.owned == pytest.approx(bought + bills, rel=1e-4)


def test_other_ways_of_prices_are_told_beside_the_worth():
    """The one that is as was said is the worth itself; a rise is worth the difference of both yearly rows, worked out by hand."""
    scenarios = [{"name": "as said", "change": "0 %"}, {"name": "dearer", "change": "4 %"}]
    money = MoneySpec.model_validate({"scenarios": scenarios})
    made = quote(asked(BACKUP, 2 * 3600.0, money=money), way(), None)
    same, dearer = made.scenarios
    assert same.npv == pytest.approx(made.worth.npv, abs=0.01)
    saved = made.saved_a_year
    rows = [sum(saved * (rise * 0.995) ** (n - 1) / 1.03**n for n in range(1, 21)) for rise in (1.0, 1.04)]
    assert dearer.npv - same.npv == pytest.approx(rows[1] - rows[0], abs=0.05)
    told = dict(worth_rows(made, SHOW))
    assert "4\u202f%" in told["net present value, dearer"]
    assert [one["name"] for one in quote_json(made, SHOW)["scenarios"]] == ["as said", "dearer"]


def test_what_is_left_of_parts_counts_only_where_that_is_said():
    """By hand: a part of 12 years is bought twice in 20, and 4 of 12 years are left; of one of 25 years 5 are left, at 3 %."""
    plain, counted = MoneySpec.model_validate({}), MoneySpec.model_validate({"residual": "unused life"})
    none, left = (asking(prices=PRICES, money=one).costing for one in (plain, counted))
    assert none.part_factor(12) == pytest.approx(1.0 + 1.03**-12)
    assert none.part_factor(25) == pytest.approx(1.0)
    assert left.part_factor(12) == pytest.approx(1.0 + 1.03**-12 - 4 / 12 * 1.03**-20)
    assert left.part_factor(25) == pytest.approx(1.0 - 5 / 25 * 1.03**-20)
    ask = asked(BACKUP, 2 * 3600.0, {**PRICES, "battery_years": 15}, money=counted, inverters=["8 kVA"])
    made = quote(ask, way(), None)
    life = {"PV": 5 / 25, "inverter": 4 / 12, "battery": 10 / 15}
    by_hand = sum(float(one.cost) * life.get(one.name, 0.0) for one in made.parts) / 1.03**20
    assert made.worth.left == pytest.approx(by_hand, abs=0.05)
    assert SHOW.fixed(made.worth.left, 0) in dict(worth_rows(made, SHOW))["left at the end"]
    assert quote_json(made, SHOW)["money"]["left_at_end"] == round(made.worth.left, 2)
    # One view of what is left in ranking and in money.
    mine = next(one for one in options(made, made.today, SHOW) if one.is_quoted)
    assert made.as_is.owned - mine.owned == pytest.approx(made.worth.npv, abs=0.5)
    bare = quote(asked(BACKUP, 2 * 3600.0, {**PRICES, "battery_years": 15}, inverters=["8 kVA"]), way(), None)
    assert (bare.worth.left, "left at the end" in dict(worth_rows(bare, SHOW))) == (0.0, False)
    assert float(bare.worth.flows.residual.sum()) == 0.0


@pytest.mark.parametrize("purpose", ["beside the grid", BACKUP])
@pytest.mark.parametrize("cycles", [400.0, 2000.0])
def test_sizes_are_ranked_with_the_life_that_their_charge_leaves_the_battery(purpose, cycles):
    """What the quoted option costs beside leaving it as it is is its net present value: one life in ranking and in money."""
    sheet = {"depth": [(1.0, cycles)], "calendar_years": 18.0}
    cheap = {**PRICES, "battery_kwh": "60"}
    made = quote(asked(purpose, 2 * 3600.0 if purpose == BACKUP else None, cheap, wear=sheet), way(), None)
    assert made.ageing is not None
    mine = next(one for one in options(made, made.today, SHOW) if one.is_quoted)
    assert made.as_is.owned - mine.owned == pytest.approx(made.worth.npv, abs=0.5)
    assert "supply.ranked-by-usual-life" not in {one.code for one in made.findings}


def test_a_battery_that_wears_out_sooner_is_bought_smaller_or_not_at_all():
    """With 100 cycles until worn out none pays; with many one does; a stated life is taken as it stands."""
    cheap = {**PRICES, "battery_kwh": "100", "pv_kw": "200"}
    few, many = (quote(asked(prices=cheap, wear={"depth": [(1.0, one)]}), way(), None) for one in (100.0, 20_000.0))
    assert few.size.battery_wh < many.size.battery_wh
    stated = quote(asked(prices={**cheap, "battery_years": 15}, wear={"depth": [(1.0, 100.0)]}), way(), None)
    assert stated.size.battery_wh == pytest.approx(many.size.battery_wh, rel=0.5)


_PAYS, _DOES_NOT = "Over 20 years the hardware by itself saves", "The hardware does not pay for itself"


@pytest.mark.parametrize(
    ("prices", "begins", "cheapest"),
    [
        ({"pv_kw": "90", "battery_kwh": "1500"}, _PAYS, "PV alone"),
        ({"pv_kw": "90000", "battery_kwh": "9000"}, _DOES_NOT, "leaving it as it is"),
    ],
)
def test_whether_it_pays_is_said_plainly(prices, begins, cheapest):
    """Net present value is said in words with its amount, and what power in outages costs beside the cheapest without."""
    made = quote(asked(BACKUP, 2 * 3600.0, {**PRICES, **prices}), way(), None)
    told = money_line(made, SHOW)
    assert told.startswith(begins)
    assert SHOW.fixed(abs(made.worth.npv), 0) in told
    # Worked out by hand from what stands beside each option: what is quoted less the cheapest of those that are dark.
    every = options(made, made.today, SHOW)
    mine = next(one.owned for one in every if one.is_quoted)
    dark = {"leaving it as it is": made.as_is.owned, **{one.name: one.point.owned for one in every if one.point.least == 1.0}}
    assert dark[cheapest] == min(dark.values())
    named = f'does without power in outages is "{cheapest}", by {SHOW.fixed(mine - dark[cheapest], 0)} EUR: that is its price.'
    assert told.endswith(named)
    # What carries the site for less is no price of carrying it, and the plan may be the cheapest by itself.
    for_less = replace(made.as_is, least=0.0, owned=0.0)
    assert "leaving" not in money_line(replace(made, as_is=for_less), SHOW)
    planned = replace(made, plan=made.today, plan_alone=replace(made.as_is, owned=0.0))
    assert f'"The plan alone", by {SHOW.fixed(mine, 0)} EUR' in money_line(planned, SHOW)
    assert "price" not in money_line(replace(made, today=replace(made.today, reached=False)), SHOW)
    assert money_line(quote(asking(BACKUP, outage_s=3600.0, steps=4), way(), None), SHOW) == ""


def test_each_option_stands_with_what_it_leaves_and_what_it_costs_beside_the_rest():
    """One line for each; money is told beside leaving it as it is; what only repeats that is left out."""
    made = quote(asked(), way(), None)
    lines, rest = option_lines(made, made.today, SHOW), options(made, made.today, SHOW)
    assert [name for name, _ in lines[1:]] == [one.called for one in rest]
    assert [one.mark.startswith(as_quoted(made)) for one in rest if one.is_quoted] == [True]
    assert not any(one.size == NOTHING for one in rest if not one.is_quoted)
    for (_, words), one in zip(lines[1:], rest, strict=True):
        more = one.owned - made.as_is.owned
        assert f"{SHOW.fixed(abs(more), 0)} EUR {'more' if more > 0 else 'less'}" in words
        assert "of its energy is bought" in words
    shaved = quote(asking(peak="2.8 kW", steps=8), way(), None)
    assert all("highest 15 min" in words for _, words in option_lines(shaved, shaved.today, SHOW))
    alone = quote(asking("stand-alone", steps=6, unserved="30 %"), way(), None)
    told = [words for _, words in option_lines(alone, alone.today, SHOW)]
    assert "dark all the time" in told[0]
    assert any("is not there" in one or "is there" in one for one in told[1:])


def named(made, *sizes, kept=NOTHING):
    """The names of options of these sizes, none of them quoted, beside what is kept."""
    as_is = replace(made.as_is, found=replace(made.as_is.found, size=kept))
    points = tuple(replace(made.as_is, found=replace(made.as_is.found, size=one), bought=1.0) for one in sizes)
    told = replace(made.today, front=points, offered=None)
    return [one.called for one in options(replace(made, as_is=as_is, today=told, size=Size(1.0, 1.0, 1.0)), told, SHOW)]


def test_each_option_is_named_by_what_it_is():
    """A client chooses among names that say what is bought; sizes stand in a name only where two would be called alike."""
    made = quote(asked(BACKUP, 2 * 3600.0), way(), None)
    assert named(made, Size(8000.0, 0.0, 8000.0), Size(0.0, 5000.0, 5000.0), Size(8000.0, 5000.0, 5000.0), NOTHING) == [
        "PV alone", "Battery alone", "Battery and PV", "Nothing bought",
    ]  # fmt: skip
    alike = named(made, Size(8000.0, 5500.0, 3600.0), Size(8000.0, 7000.0, 3600.0), Size(0.0, 7000.0, 3600.0))
    assert alike == ["Battery and PV, 5.5\u202fkWh", "Battery and PV, 7\u202fkWh", "Battery alone"]
    assert named(replace(made, plan=made.today), NOTHING) == ["The plan alone"]
    there = Size(0.0, 5000.0, 5000.0)
    assert named(made, Size(0.0, 5000.0, 8000.0), Size(2000.0, 5000.0, 5000.0), there, kept=there) == [
        "Larger inverter beside what is there", "PV beside what is there", "What is there already",
    ]  # fmt: skip
    fed = made.supply.model_copy(update={"generator": Generator.model_validate({"rating": "5 kW"})})
    with_it = replace(made, supply=fed)
    assert named(with_it, NOTHING, there, Size(2000.0, 5000.0, 5000.0)) == [
        "Generator alone", "Battery and generator", "Battery, PV and generator",
    ]  # fmt: skip


def test_sizes_and_shares_have_no_digit_too_many():
    """3 kVA and not 3.00 kVA, 3.6 kVA as it is; nought is nought, and what is less than can be shown is not told as nought."""
    assert inverter_told(Size(0.0, 0.0, 3000.0), SHOW) == "3\u202fkVA"
    assert inverter_told(Size(0.0, 0.0, 3600.0), SHOW) == "3.6\u202fkVA"
    assert inverter_told(Size(0.0, 0.0, 800.0), SHOW) == "800\u202fVA"
    assert battery_told(Size(0.0, 26000.0, 0.0), SHOW) == "26\u202fkWh"
    assert pv_told(Size(8000.0, 0.0, 0.0), SHOW) == "8\u202fkWp"
    shares = [
        (-0.2, "0"),
        (0.0, "0"),
        (4.78e-4, "less than 0.1"),
        (0.00915, "0.92"),
        (0.447, "45"),
        (0.9951, "more than 99"),
        (1.0 - 1e-12, "100"),
        (1.0, "100"),
    ]
    for share, text in shares:
        assert share_told(share, SHOW) == f"{text}\u202f%"
    # A column has signs in place of words: with eight columns a terminal of 80 letters has no room for them.
    assert [share_told(one, SHOW, brief=True) for one in (4.78e-4, 0.9951, 0.447)] == ["< 0.1\u202f%", "> 99\u202f%", "45\u202f%"]
    assert [energy_told(one, SHOW) for one in (0.0, 0.004, 3.617)] == ["none", "under 0.01\u202fkWh", "3.62\u202fkWh"]
    assert Show("de_DE", "SI", "UTC").rating(3600.0, "VA") == "3,6\u202fkVA"


def test_an_inverter_that_is_there_and_too_small_is_told_with_leaving_it():
    """What is there may carry the outages tried and still be less than peaks ask for: that is why more is quoted."""
    made = quote(asked(BACKUP, 2 * 3600.0), way(), None)
    needed_va = made.today.rating.rating_va
    for there_va, told in ((needed_va - 500.0, True), (needed_va, False)):
        found = replace(made.quoted, size=Size(0.0, 5000.0, there_va), trips=0)
        one = replace(made, as_is=replace(made.as_is, found=found, least=0.0))
        words = option_lines(one, made.today, SHOW)[0][1]
        assert (f"is less than the {SHOW.rating(needed_va, 'VA')} that peaks" in words) == told


def test_of_two_ratings_with_the_same_battery_and_pv_the_one_quoted_is_marked():
    """A larger inverter on the front beside it is another option: it keeps its own size, and no row stands twice."""
    made = quote(asking(prices={"pv_kw": "9", "inverter_kw": "2", "battery_kwh": "3"}), way(), None)
    place = chosen_of(made, made.today)
    point = made.today.front[place]
    larger = replace(point, found=replace(point.found, size=replace(made.size, inverter_va=made.size.inverter_va + 500.0)))
    front = (*made.today.front[: place + 1], larger, *made.today.front[place + 1 :])
    sized = replace(made.today, front=front)
    assert chosen_of(replace(made, today=sized), sized) == place
    # Where only another rating stands there, it is the one whose inverter was made larger.
    bare = replace(made.today, front=(larger,))
    assert chosen_of(replace(made, today=bare), bare) == 0
