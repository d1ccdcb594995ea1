"""The quote: what is asked is reached by the engine, bills are today's where nothing is bought, control is never relied on."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from tests.plan.cases import tariff
from tests.supply.sizing.sites import asking, way
from wattwright.core.clock import SiteClock
from wattwright.core.errors import Cancelled
from wattwright.core.findings import Severity
from wattwright.core.progress import Reporting
from wattwright.core.show import Show
from wattwright.simulate.supply import Inverter
from wattwright.supply.sizing import seek
from wattwright.supply.sizing.course import course_of, energy_of_outage_kwh, longest_outage_s, with_outages
from wattwright.supply.sizing.json_form import quote_json
from wattwright.supply.sizing.options import beyond_line, option_lines, option_rows, options
from wattwright.supply.sizing.quote import quote
from wattwright.supply.sizing.roofs import no_pv
from wattwright.supply.sizing.seek import seeker
from wattwright.supply.sizing.sizes import Size
from wattwright.supply.sizing.spec import MoneySpec, QuoteSpec
from wattwright.supply.sizing.table import (
    bought_rows,
    case_rows,
    front_rows,
    is_quoted,
    size_rows,
    tornado_rows,
    working_rows,
    worth_line,
    worth_rows,
)
from wattwright.tariff.bill import bill
from wattwright.tariff.usage import Usage

PRICES = {"fixed": "300", "pv_kw": "900", "inverter_kw": "200", "battery_kwh": "300", "upkeep": "20"}
PAID = tariff()
MONEY = MoneySpec.model_validate(
    {
        "spread": {
            "demand": {"low": "90 %", "likely": "100 %", "high": "110 %"},
            "prices": {"low": "-1 %", "likely": "0 %", "high": "2 %"},
        }
    }
)
SHOW = Show("en_GB", "SI", "UTC")
BACKUP = "carries the site in outages"


def price(import_w):
    return float(bill(PAID, Usage(imported=import_w), SiteClock("UTC")).total)


def told(made):
    """Everything that is shown of a quote, so that all of it can be made."""
    rows = [
        size_rows(made, {"tank": "Tank"}, SHOW),
        case_rows(made, {"tank": "Tank", "pump": "Pump"}, SHOW),
        worth_rows(made, SHOW),
    ]
    rows += [working_rows(made, SHOW), bought_rows(made, {}, SHOW), tornado_rows(made, SHOW)]
    rows += [front_rows(made, one, SHOW) for one in (made.today, made.plan) if one is not None]
    return worth_line(made, SHOW), rows, quote_json(made, SHOW)


def sound_of(made):
    """The same quote with nothing that stops it."""
    return replace(made, findings=tuple(one for one in made.findings if one.severity is not Severity.STOP))


def test_a_backup_is_carried_and_control_is_worth_hardware_that_no_rating_relies_on():
    """By the engine nothing is unserved and nothing trips; the plan needs less; the rating quoted is that without it."""
    ask = asking(BACKUP, outage_s=4 * 3600.0, steps=20)
    made = quote(ask, way(), way(("tank", "pump")))
    assert made.today.reached
    assert made.plan is not None
    assert made.plan.reached
    for found in (made.today.found, made.plan.found, made.quoted):
        assert found.trips == 0
        assert found.lpsp == 0.0
    assert made.plan.bought < made.today.bought
    assert made.plan.size.inverter_va < made.today.size.inverter_va
    assert made.size.inverter_va == made.today.size.inverter_va
    assert not made.relies
    line, rows, plain = told(made)
    # A week alone stops the quote: its sizes are worked out, and nobody is told to quote them.
    assert line.startswith("Worked out so far: an inverter of ")
    assert ". The plan is worth " in line
    assert plain["stopped_by"] == ["supply.few-days"]
    sound = sound_of(made)
    assert told(sound)[0].startswith("Quote an inverter of ")
    assert quote_json(sound, SHOW)["stopped_by"] == []
    assert worth_line(replace(sound, is_withheld=True), SHOW) == line
    # One word for it in every table and line: what may not be quoted is called quoted nowhere.
    for one, word in ((made, "would be quoted"), (sound, "quoted"), (replace(sound, is_withheld=True), "would be quoted")):
        offered = one.plan or one.today
        heads = [
            size_rows(one, {}, SHOW)[0][-1],
            *(each.mark.split(", ")[0] for each in options(one, offered, SHOW) if each.is_quoted),
        ]
        assert set(heads) == {word}
        assert case_rows(one, {}, SHOW)[0][0] == f"What {is_quoted(one)}, with"
        assert beyond_line(one, SHOW) == "" or f"carries it {is_quoted(one)}: " in beyond_line(one, SHOW)
    working = next(one for one in rows if one[0][0] == "How it comes about")
    assert [one[0] for one in working[1:]] == [
        "most that an outage takes", "highest power for a moment", "battery that gives it",
        "the largest that trips", "the least that does not", "least in all: inverter", "and battery", "usable in it", "and PV",
    ]  # fmt: skip
    assert plain["plan_is_worth"]["inverter_kw"] > 0
    assert [one.name for one in made.cases][:2] == ["plan working", "link lost"]
    # A contact that is welded leaves its load on, and more is taken from the battery than the plan's holds.
    assert made.cases[2].found.unserved_kwh > 0.0
    codes = {one.code for one in made.findings}
    assert {"supply.no-prices", "supply.control-fails", "supply.few-days"} <= codes


def test_a_battery_gives_what_hides_behind_the_means_too():
    """Two kilowatts that the record hides come out of the battery for a moment as all else does: it must be as much stronger."""
    plain, hiding = (quote(replace(asking(BACKUP, outage_s=600.0, steps=20), hidden_va=va), way(), None) for va in (0.0, 2000.0))
    assert hiding.today.highest_w == pytest.approx(plain.today.highest_w + 2000.0)
    hours = plain.today.gives_wh / plain.today.highest_w
    assert hiding.size.battery_wh >= hours * hiding.today.highest_w - 1e-6


def test_an_accepted_control_system_may_be_relied_on_and_that_is_said():
    """Only then is the smaller rating quoted."""
    ask = replace(
        asking(BACKUP, outage_s=2 * 3600.0, steps=12, inverters=["3 kVA", "3.5 kVA", "4 kVA", "5 kVA", "8 kVA"]), accepted=True
    )
    made = quote(ask, way(), way(("tank", "pump")))
    assert made.plan is not None
    assert made.plan.size.inverter_va < made.today.size.inverter_va
    assert made.size.inverter_va == made.plan.size.inverter_va
    assert made.relies
    assert "supply.relies" in {one.code for one in made.findings}
    refused = quote(replace(ask, accepted=False), way(), way(("tank", "pump")))
    assert refused.size.inverter_va == refused.today.size.inverter_va
    assert ("supply.not-relied" in {one.code for one in refused.findings}) == (
        made.plan.size.inverter_va < made.today.size.inverter_va
    )


def test_no_pv_and_no_battery_is_todays_bill_to_the_cent():
    """The size that is nothing has the bill of the site as it is, by the engine and by the screen."""
    ask = asking(prices=PRICES, tariff=PAID, price=price, money=MONEY)
    site = seeker(ask, way())
    nothing = site.ask(Size(0.0, 0.0, 0.0))
    from wattwright.core.series import of_values
    from wattwright.supply.sizing.way import run_of

    run = run_of(way())
    series = of_values(way().scenario.span.start_s, 60, run.site_w)
    assert nothing.bill == price(series)
    assert nothing.own_share == 0.0
    from wattwright.supply.sizing.screen import swept

    sizes = ask.sizes(site.grid_wh, (3000.0,))
    made = swept(site.course, sizes, site.plant.store, alone=False, tariff=ask.compiled(site.course))
    assert made.bill[0] == pytest.approx(nothing.bill, abs=0.02)


def test_a_battery_without_sun_feeds_its_inverter_too():
    """An inverter that draws 100 W for itself shortens what a full battery lasts: worked out by hand, for 5 kVA by 20 W of 1."""
    idle = Inverter.model_validate({"rating": "1 kVA", "idle": "20 W"})
    size, days = Size(0.0, 10_000.0, 5000.0), []
    for ask in (asking("stand-alone"), replace(asking("stand-alone"), inverter=idle)):
        site = seeker(ask, way(alone=True))
        days.append(site.ask(size).autonomy_days)
        usable_wh = 10_000.0 * (1.0 - ask.battery.floor) * ask.battery.discharge_efficiency
        assert days[-1] == pytest.approx(usable_wh / (24.0 * (site.free_w.mean() + 5.0 * ask.inverter.idle_w)))
    # 100 W for a day are 2.4 kWh: what one day takes more is just that.
    assert usable_wh / days[1] - usable_wh / days[0] == pytest.approx(2400.0)


def test_beside_the_grid_the_size_that_is_worth_most_is_quoted_with_its_money():
    """It costs no more over the years than any other on its front, its band holds its worth, and flows add up."""
    ask = asking(prices=PRICES, tariff=PAID, price=price, money=MONEY)
    made = quote(ask, way(), way())
    least = min(one.owned for one in made.today.front)
    assert made.ageing is not None
    bare, saved = (8760 / (7 * 24) * one for one in (made.bare.bill, made.bare.bill - made.today.found.bill))
    mine = (
        ask.costing.owned(_row(made.today.size), np.array([made.ageing.life_years]))[0]
        + bare * ask.costing.bill_factor()
        - saved * ask.costing.saving_factor()
    )
    assert mine <= least * 1.002
    assert made.worth is not None
    assert made.risk is not None
    assert made.risk.low < made.worth.npv < made.risk.high
    assert made.worth.npv == pytest.approx(float((made.worth.total / 1.03 ** np.arange(21)).sum()))
    bought = ask.costing.bought(_row(made.size))[0]
    assert -made.worth.total[0] == pytest.approx(bought, abs=0.02)
    line, _, plain = told(made)
    assert line.endswith("The plan saves no hardware: nothing that was asked needs any.")
    assert plain["money"]["bands"]["low"] < plain["money"]["npv"]
    # Each set of rules has a front of its own, in which nothing is beaten by another of it.
    for one in (plain["front"], plain["front_today"]):
        points = [(each["owned"], each["least"]) for each in one]
        assert all(cheap[0] <= dear[0] and cheap[1] > dear[1] for cheap, dear in pairwise(points))
    assert made.cases[0].name == "plan working"
    # A rate stands where the money comes back; else a dash with the reason, and nothing for programs.
    assert plain["money"]["irr"] == round(made.worth.irrs[0], 6)
    assert plain["money"]["no_irr"] is None
    lost = replace(made, worth=replace(made.worth, irrs=(-0.02,), payback_years=None))
    assert dict(worth_rows(lost, SHOW))["internal rate of return"] == "\N{EN DASH} does not come back"
    money = quote_json(lost, SHOW)["money"]
    assert (money["irr"], money["no_irr"]) == (None, "does not come back")


def _row(size):
    from wattwright.supply.sizing.sizes import Sizes

    return Sizes(*(np.array([one]) for one in (size.pv_w, size.battery_wh, size.inverter_va)))


def test_what_costs_too_much_is_not_quoted():
    """Where nothing pays, nothing is quoted, and that is said."""
    dear = {**PRICES, "pv_kw": "90000", "battery_kwh": "90000"}
    made = quote(asking(prices=dear, tariff=PAID, price=price), way(), None)
    assert made.size.is_nothing
    assert made.worth is None
    # It stands once among the options, as leaving the site as it is.
    names = [row[0] for row in option_rows(made, made.today, SHOW)]
    assert names[1] == "Leave it as it is (would be quoted)"
    assert not any("Nothing bought" in one for one in names)
    assert option_lines(made, made.today, SHOW)[0][0] == names[1]
    line, _, plain = told(made)
    assert "nothing" in line
    assert plain["with_plan"] is None
    assert plain["front"] == plain["front_today"]
    assert len(plain["front"]) == len(made.today.front)
    assert plain["sizes"] == {"inverter_kw": 0.0, "battery_kwh": 0.0, "pv_kwp": 0.0}
    assert "supply.no-plan" in {one.code for one in made.findings}


def test_a_share_of_its_own_is_reached_by_the_least_that_will():
    """Without prices what is asked decides: the engine confirms the share, and a smaller PV misses it by the screen."""
    made = quote(asking(own_share="40 %", steps=12), way(), None)
    assert made.today.reached
    assert made.quoted.own_share >= 0.4
    assert made.front_by == "share from the grid"
    told(made)


def test_a_peak_is_shaved():
    """The highest quarter hour of import is kept at what was asked."""
    free = seeker(asking(), way()).ask(Size(0.0, 0.0, 0.0))
    ask = asking(peak="2.8 kW", steps=12)
    made = quote(ask.on(no_pv(len(ask.gone))), way(), None)
    assert free.peak_w > 2800.0
    assert made.today.reached
    assert made.quoted.peak_w <= 2800.0 + 1e-6
    assert made.front_by == "highest import"
    assert "supply.no-pv" in {one.code for one in made.findings}
    told(made)


def test_a_stand_alone_site_lacks_no_more_than_asked():
    """All of it from PV and battery: the share that fails is what the engine says, and loads go while the battery is low."""
    made = quote(asking("stand-alone", steps=12, unserved="5 %"), way(), way(("pump", "tank"), alone=True))
    assert made.today.reached
    assert 0.0 <= made.today.found.lpsp <= 0.05
    assert made.today.found.balance.imported == 0.0
    assert made.worth is None
    assert made.today.size.pv_w > 0.0
    told(made)


def test_what_cannot_be_reached_is_said():
    """With a battery of at most 1 kWh nothing carries four hours; with small inverters nothing carries the site."""
    made = quote(asking(BACKUP, outage_s=4 * 3600.0, battery_most="1 kWh"), way(), None)
    assert not made.today.reached
    assert "supply.not-reached" in {one.code for one in made.findings}
    weak = quote(asking(BACKUP, outage_s=3600.0, inverters=["1 kVA"]), way(), None)
    assert "supply.no-rating" in {one.code for one in weak.findings}
    assert told(weak)[2]["without_plan"]["rating"]["needed_kw"] is None
    assert not weak.today.reached
    assert worth_line(weak, SHOW).startswith("Nothing on offer does what was asked")


def test_a_rating_that_only_outages_not_tried_overload_is_not_reached(monkeypatch):
    """Where no inverter on offer bears the site at any hour nothing is reached, though the outages tried were carried."""
    ask = asking(BACKUP, outage_s=3600.0, inverters=["4 kVA"])
    assert quote(ask, way(), None).today.reached
    rated = seek._rating
    monkeypatch.setattr(seek, "_rating", lambda *told: replace(rated(*told), rating_va=None))
    made = quote(ask, way(), None)
    assert (made.today.found.trips, made.today.found.lpsp, made.today.reached) == (0, 0.0, False)
    codes = {one.code for one in made.findings}
    assert ("supply.no-rating" in codes, "supply.not-reached" in codes) == (True, False)
    assert worth_line(made, SHOW).startswith("Nothing on offer does what was asked")


def test_an_inverter_beyond_what_the_supply_bears_is_told():
    """By hand: 16 A at 230 V bear 3.68 kVA; a larger inverter behind them is told, one behind 63 A is not."""
    ask = asking(BACKUP, outage_s=3600.0, inverters=["5 kVA"])
    small, large = (ask.connection.model_copy(update={"rating_a": one}) for one in (16.0, 63.0))
    made = quote(replace(ask, connection=small), way(), None)
    (one,) = (each for each in made.findings if each.code == "supply.inverter-beyond-supply")
    assert (one.data["supply"], one.data["rating"], one.data["main"]) == (3680.0, 5000.0, 16.0)
    assert made.supply.connection.rating_a == 16.0
    others = [quote(replace(ask, connection=large), way(), None), quote(ask, way(), None)]
    assert not any(each.code == "supply.inverter-beyond-supply" for other in others for each in other.findings)
    assert made.days == ("2025-03-03", "2025-03-09")


def test_an_inverter_by_its_data_sheet_takes_its_own_share():
    """With a draw and losses by power the same outage asks for more battery, and the engine finds it carried all the same."""
    plain = asking(BACKUP, outage_s=4 * 3600.0, steps=40)
    points = ((0.05, 0.7), (0.5, 0.92), (1.0, 0.93))
    lossy = replace(plain, inverter=plain.inverter.model_copy(update={"by_power": points}))
    of_plain, of_lossy = (quote(one, way(), None).today for one in (plain, lossy))
    assert of_lossy.reached
    assert of_lossy.outage_kwh > of_plain.outage_kwh
    assert of_lossy.size.battery_wh >= of_plain.size.battery_wh
    assert of_lossy.found.balance.lost > of_plain.found.balance.lost


def test_long_work_can_be_stopped():
    """Sizing stops between its parts where progress says so."""
    with pytest.raises(Cancelled):
        quote(asking(BACKUP, outage_s=3600.0), way(), None, Reporting(lambda *_: None, lambda: True))


def test_drawing_what_the_money_may_come_to_can_be_stopped():
    """Someone who stops while the draws run gets no quote: sizing itself was through by then."""
    seen = list[str]()
    ask = asking(BACKUP, outage_s=3600.0, prices=PRICES, money=MONEY, tariff=PAID, price=price)
    watched = Reporting(lambda what, *_: seen.append(what), lambda: seen[-1:] == ["drawing what the money may come to"])
    with pytest.raises(Cancelled, match="drawing what the money"):
        quote(ask, way(), None, watched)
    assert "sizes the engine confirms" in seen


def test_outages_are_drawn_one_a_week_and_at_the_worst():
    """Each is as long as asked; the worst window lies in one; the seed decides which."""
    site = way(days=21)
    from wattwright.supply.sizing.way import run_of

    course = course_of(0, 60.0, np.asarray(run_of(site).site_w), *2 * [np.zeros(21 * 1440)])
    made = with_outages(course, 4 * 3600.0, 7)
    assert longest_outage_s(made) == 4 * 3600.0
    lengths = 4 * 4
    assert 2 * lengths <= int((made.grid == 0).sum()) <= 4 * lengths
    sums = np.convolve(course.site_w, np.ones(16), "valid")
    worst = int(np.argmax(sums))
    assert not made.grid[worst : worst + 16].any()
    assert energy_of_outage_kwh(course, 4 * 3600.0, np.zeros(len(course))) == pytest.approx(sums.max() * 0.25 / 1000.0)
    assert np.array_equal(made.grid, with_outages(course, 4 * 3600.0, 7).grid)
    assert not np.array_equal(made.grid, with_outages(course, 4 * 3600.0, 8).grid)
    assert longest_outage_s(course) == 0.0
    # Outages of two days and a half never run into one another: the grid is there for a day between.
    long = with_outages(course, 60 * 3600.0, 7)
    assert longest_outage_s(long) == 60 * 3600.0
    there = np.diff(np.flatnonzero(np.diff(np.concatenate(([0.0], long.grid, [0.0])))))[::2]
    assert min(there[1:-1], default=96) >= 96


def test_the_worst_of_what_is_left_is_tried_too():
    """A load that is held off at noon moves the worst hour to the evening; with PV it moves to the night."""
    hour = np.arange(14 * 96) % 96 / 4.0
    noon, evening = 5000.0 * ((hour >= 11) & (hour < 14)), 3000.0 * ((hour >= 18) & (hour < 22))
    course = course_of(0, 900.0, 500.0 + noon + evening, np.where((hour > 6) & (hour < 20), 0.5, 0.0),
                       np.zeros(14 * 96))  # fmt: skip
    held = with_outages(course, 3 * 3600.0, 1, [course.site_w - noon])
    evening_hours = (hour >= 18) & (hour < 22)
    assert any(not held.grid[k * 96 : (k + 1) * 96][evening_hours[:96]].all() for k in range(14))
    sunny = with_outages(course, 3 * 3600.0, 1, [course.site_w - noon], [(course.pv_share, 8000.0)])
    dark = (hour >= 19) & (hour < 22)
    assert any(int((sunny.grid[k * 96 : (k + 1) * 96][dark[:96]] == 0).sum()) >= 8 for k in range(14))


def test_ratings_on_offer_are_in_order():
    """Anything else is refused with a sentence."""
    with pytest.raises(ValueError, match="smallest first"):
        QuoteSpec.model_validate({"inverters": ["5 kVA", "3 kVA"]})


@pytest.mark.parametrize(("given", "bound"), [("1000000000 kVA", "less than or equal to 1000000"), ("0 kVA", "greater than 0")])
def test_a_rating_that_no_property_has_is_refused(given, bound):
    """A unit in the wrong place, or none of it, is told; 1 MVA is taken."""
    with pytest.raises(ValueError, match=bound):
        QuoteSpec.model_validate({"inverters": [given]})
    assert QuoteSpec.model_validate({"inverters": ["1 MVA"]}).ratings_va == (1e6,)


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"loan": {"amount": "1000", "rate": "5 %", "years": 6}}, "a loan paid back within the 5 years looked at"),
        (
            {"incentives": [{"name": "grant", "amount": "500", "year": 6, "taxed": False}]},
            "incentives within the years",
        ),
    ],
)
def test_money_that_reaches_beyond_the_years_is_refused_in_the_job(told, words):
    """Where nobody refused it the quote ended in a fault of its own; the last year itself is within."""
    with pytest.raises(ValueError, match=words):
        QuoteSpec.model_validate({"money": {"years": 5, **told}})
    assert QuoteSpec.model_validate({"money": {"years": 6, **told}}).money.years == 6
