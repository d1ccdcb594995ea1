"""What is there already: PV that is measured, battery and inverter that stay, a generator with its fuel, and what is bought."""

from dataclasses import fields, replace
from decimal import Decimal

import numpy as np
import pytest

from tests.plan.cases import tariff
from tests.supply.sizing.sites import DAYS, asking, sun, way
from wattwright.core.clock import SiteClock
from wattwright.core.fields import Held
from wattwright.core.show import Show
from wattwright.simulate.results import Balance
from wattwright.simulate.supply import Generator, Inverter
from wattwright.supply.money.spec import Loan
from wattwright.supply.sizing.columns import Z_IDLE_W
from wattwright.supply.sizing.costing import Costing
from wattwright.supply.sizing.json_form import quote_json
from wattwright.supply.sizing.quote import _given_kwh, _of_draw, of_recorded, quote
from wattwright.supply.sizing.roofs import no_pv
from wattwright.supply.sizing.screen import swept
from wattwright.supply.sizing.seek import seeker
from wattwright.supply.sizing.sizes import Size, Sizes, one_of
from wattwright.supply.sizing.spec import MoneySpec, Prices
from wattwright.supply.sizing.table import bought_rows, worth_rows
from wattwright.tariff.bill import bill
from wattwright.tariff.usage import Usage

PRICES = {"fixed": "300", "pv_kw": "900", "inverter_kw": "200", "battery_kwh": "300", "held_off_load": "120", "fuel_kwh": "0.5"}
PAID = tariff()
SHOW = Show("en_GB", "SI", "UTC")
OWN_W = 3000.0


def price(import_w):
    return float(bill(PAID, Usage(imported=import_w), SiteClock("UTC")).total)


def sunny(watts=OWN_W):
    """The site with PV of its own that is measured."""
    made = way()
    drivers = replace(made.scenario.drivers, beside_w=watts * sun(DAYS))
    return replace(made, scenario=replace(made.scenario, drivers=drivers))


def codes(made):
    return {one.code for one in made.findings}


def test_pv_that_is_there_gives_beside_the_grid_and_is_not_paid_for():
    """With nothing bought it lowers the import by what it gives at once; by engine and screen alike, and in no outage."""
    site = seeker(asking(prices=PRICES, tariff=PAID, price=price), sunny())
    bare, plain = site.ask(Size(0.0, 0.0, 0.0)), seeker(asking(), way()).ask(Size(0.0, 0.0, 0.0))
    gives = OWN_W * sun(DAYS)
    assert bare.balance.pv == pytest.approx(gives.sum() / 60_000.0)
    site_w = site.free_w
    assert bare.balance.imported == pytest.approx(np.maximum(site_w - gives, 0.0).sum() / 60_000.0)
    assert bare.balance.exported == pytest.approx(np.maximum(gives - site_w, 0.0).sum() / 60_000.0)
    assert bare.balance.site == plain.balance.site
    sizes = one_of(Size(2000.0, 6000.0, 5000.0))
    screen = swept(site.course, sizes, site.plant.store, alone=False)
    engine = site.ask(Size(2000.0, 6000.0, 5000.0))
    # The screen knows means of a quarter of an hour only.
    assert screen.import_kwh[0] == pytest.approx(engine.balance.imported, rel=0.06)
    gone = replace(site, grid=np.zeros_like(site.grid))
    assert gone.ask(Size(2000.0, 6000.0, 5000.0)).balance.pv == pytest.approx(2000.0 * sun(DAYS).sum() / 60_000.0)


def test_a_battery_beside_pv_that_is_there_is_charged_from_it():
    """Through its inverter, up to its rating: what it saves is what it took of that surplus, less losses."""
    site = seeker(asking(prices=PRICES), sunny())
    bare, found = site.ask(Size(0.0, 0.0, 0.0)), site.ask(Size(0.0, 5000.0, 3000.0))
    assert found.balance.pv == pytest.approx(bare.balance.pv)
    assert found.balance.charge > 5.0
    assert bare.balance.exported - found.balance.exported == pytest.approx(found.balance.charge, rel=1e-6)
    assert bare.balance.imported - found.balance.imported == pytest.approx(found.balance.discharge, rel=1e-6)


def test_what_stays_is_not_bought_again():
    """Sizes begin at what is there, only what goes beyond costs, and the saving is told beside the site as it is."""
    kept = Size(0.0, 4000.0, 3000.0)
    money = MoneySpec.model_validate({})
    costing = Costing(Prices.model_validate(PRICES), money, "EUR", kept)
    assert costing.bought(one_of(kept))[0] == 0.0
    assert costing.owned(one_of(kept))[0] == 0.0
    # Worked out by hand: 2 kW at 900, a new inverter of 4 kVA at 200, 1 kWh at 300, and the fixed 300.
    assert costing.bought(one_of(Size(2000.0, 5000.0, 4000.0)))[0] == pytest.approx(1800.0 + 800.0 + 300.0 + 300.0)
    assert costing.bought(one_of(Size(2000.0, 4000.0, 3000.0)))[0] == pytest.approx(1800.0 + 300.0)
    ask = replace(asking(prices=PRICES, tariff=PAID, price=price), costing=costing)
    site = seeker(ask, sunny())
    sizes = ask.sizes(site.grid_wh, ask.ratings_va)
    assert sizes.battery_wh.min() == 4000.0
    assert sizes.inverter_va.min() == 3000.0
    assert sizes.at(0) == kept
    assert len({sizes.at(k) for k in range(len(sizes))}) == len(sizes)
    made = quote(ask, sunny(), None)
    assert made.bare.size == kept
    assert made.size.battery_wh >= 4000.0
    assert made.bought == pytest.approx(sum(float(one.cost) for one in made.parts))


def test_a_battery_alone_has_no_cost_of_its_energy():
    """Only PV that is bought gives energy to share the cost among; a residue of rounding is none."""
    money = MoneySpec.model_validate({})
    costing = Costing(Prices.model_validate({**PRICES, "battery_kwh": "20"}), money, "EUR", Size(0.0, 3000.0, 3000.0))
    ask = replace(asking(prices=PRICES, tariff=PAID, price=price), costing=costing)
    made = quote(ask.on(no_pv(len(ask.gone))), sunny(), None)
    assert made.size.battery_wh > 3000.0
    assert made.worth is not None
    assert made.worth.energy_cost is None
    assert quote_json(made, SHOW)["money"]["energy_cost"] is None
    assert "cost of its energy" not in dict(worth_rows(made, SHOW))


@pytest.mark.parametrize(("pv", "spilled", "told"), [(60.0, 10.0, 30.0), (20.0 + 9e-5, 0.0, None), (20.0 + 2e-4, 0.0, 2e-4)])
def test_what_bought_pv_gives_is_told_above_rounding_only(pv, spilled, told):
    """By hand: beside 20 kWh of PV that is there, and 100 kWh that the site takes, a ten-thousandth of a kWh is the bound."""
    plain = dict.fromkeys((one.name for one in fields(Balance)), 0.0)
    found = _given_kwh(Balance(**{**plain, "pv": pv, "spilled": spilled, "site": 100.0}), Balance(**{**plain, "pv": 20.0}))
    assert found == (None if told is None else pytest.approx(told, rel=1e-6))


@pytest.mark.parametrize(
    ("kept_wh", "modelled", "is_told"), [(3000.0, 89.0, True), (3000.0, 111.0, True), (3000.0, 91.0, False), (0.0, 50.0, False)]
)
def test_a_record_that_may_lie_behind_what_is_kept_is_asked_for(kept_wh, modelled, is_told):
    """Beside 100 of bills by the readings a tenth is the bound, either way, and only where a battery is kept."""
    told = [*of_recorded(Size(0.0, kept_wh, 3000.0), 100.0, modelled)]
    assert bool(told) is is_told
    if is_told:
        words = told[0].says(SHOW).replace("\u202f", " ")
        assert words.startswith(f"The bill by the readings is 100, with what is kept simulated beside them {modelled:.0f}: 11")


def test_without_a_bill_nobody_asks_what_the_record_holds():
    """No tariff tells a bill of the readings, or none of the simulation; or the readings cost nothing, as the simulation does."""
    kept = Size(0.0, 3000.0, 3000.0)
    assert not [*of_recorded(kept, None, 50.0), *of_recorded(kept, 50.0, None), *of_recorded(kept, 0.0, 0.0)]


def test_without_money_or_a_wish_half_of_the_largest_share_is_quoted():
    """Nothing at all is no answer then: by the engine about half of what the most could bring is its own."""
    ask = asking(steps=12)
    made = quote(ask, way(), None)
    assert not made.size.is_nothing
    site = seeker(ask, way())
    sizes = ask.sizes(site.grid_wh, ask.ratings_va)
    most = float(swept(site.course, sizes, site.plant.store, alone=False).own_share.max())
    assert 0.47 * most <= made.quoted.own_share <= 0.65 * most


def test_a_peak_is_kept_to_from_the_first_step():
    """A record that begins within a peak needs no larger battery than one that begins before it: it starts full."""
    site = way()
    later = replace(site.scenario.drivers, rest_w=np.roll(site.scenario.drivers.rest_w, -1100, axis=0))
    shifted = replace(site, scenario=replace(site.scenario, drivers=later))
    ask = asking(peak="3 kW", steps=12)
    made = quote(ask, shifted, None)
    assert made.today.reached
    assert made.quoted.peak_w <= 3000.0 * (1.0 + 1e-9)


def test_what_is_saved_in_a_year_is_at_prices_of_today():
    """Inflation moves no bill of today: the saving is the difference of both bills over the days of the record."""
    told = []
    for rise in ("0 %", "30 %"):
        money = MoneySpec.model_validate({"inflation": rise})
        made = quote(asking(prices=PRICES, tariff=PAID, price=price, money=money), way(), None)
        assert made.usual is not None
        told.append(made.saved_a_year)
        assert made.saved_a_year == pytest.approx((made.bare.bill - made.usual.bill) * 365.0 / 7.0)
    assert told[0] == pytest.approx(told[1])


def test_fuel_is_weighed_against_battery_and_modules():
    """A stand-alone site with a generator buys less battery while fuel is cheap; what it burns is priced over the years."""
    fossil = Generator.model_validate({"rating": "5 kW"})

    def asked(fuel):
        made = asking("stand-alone", prices={**PRICES, "fuel_kwh": fuel}, unserved="5 %", steps=10)
        return replace(made, generator=fossil)

    cheap, dear = (quote(asked(one), way(), None) for one in ("0.01", "40"))
    assert cheap.quoted.balance.generator > dear.quoted.balance.generator
    assert cheap.bought < dear.bought
    assert cheap.quoted.lpsp <= 0.05
    ask = asked("0.5")
    # By hand: 100 kWh a year at 0.50, paid at the end of each of 20 years at 3 %: 50 times 14.8775.
    assert ask.costing.fuel(np.array([100.0]))[0] == pytest.approx(50.0 * (1.0 - 1.03**-20) / 0.03)
    assert "supply.no-fuel-price" not in codes(cheap)
    unpriced = replace(
        asking("stand-alone", prices={k: v for k, v in PRICES.items() if k != "fuel_kwh"}, steps=6), generator=fossil
    )
    assert "supply.no-fuel-price" in codes(quote(unpriced, way(), None))


def test_relays_of_loads_that_are_kept_off_are_bought():
    """Each load of the order has its relay in what is bought, with the current its contactor must bear: power over voltage."""
    ask = asking("carries the site in outages", outage_s=2 * 3600.0, steps=10, prices=PRICES)
    made = quote(ask, way(), way(("tank", "pump")))
    relays = next(one for one in made.parts if one.name.startswith("relay"))
    assert (relays.amount, relays.cost) == (2, Decimal(240))
    assert [round(one.current_a, 2) for one in made.held] == [round(3000.0 / 230.0, 2), round(1500.0 / 230.0, 2)]
    assert made.bought == pytest.approx(sum(float(one.cost) for one in made.parts))
    rows = bought_rows(made, {"tank": "Tank"}, SHOW)
    # 3000 W / 230 V is 13.04 A and 1500 W / 230 V is 6.522 A: a least is written rounded up, never down.
    assert rows[-2][2] == "each contactor bears at least: Tank 13.1 A, pump 6.53 A"
    assert [one["contactor_a"] for one in quote_json(made, SHOW)["kept_off"]] == [13.05, 6.522]
    assert rows[-1][0] == "together"


@pytest.mark.parametrize(
    ("takes", "bears", "code"),
    [
        (None, None, "supply.take-over-unknown"),
        (0.02, None, "supply.take-over-gap"),
        (0.02, 0.01, "supply.take-over-too-long"),
        (0.02, 0.02, None),
    ],
)
def test_the_time_without_power_is_held_against_what_loads_bear(takes, bears, code):
    """Not known it is asked for; longer than the loads bear it is told; else nothing is said."""
    spec = {} if bears is None else {"bears": f"{bears} s"}
    ask = asking("carries the site in outages", outage_s=3600.0, steps=4, **spec)
    inverter = Inverter(rating_va=Held(1000.0), idle_w=Held(20.0), takes_over_s=None if takes is None else Held(takes))
    told = {one for one in codes(quote(replace(ask, inverter=inverter), way(), None)) if one.startswith("supply.take-over")}
    assert told == ({code} if code else set())


def test_a_loan_of_more_than_is_bought_is_left_out_and_told():
    """The money is then told without it."""
    money = MoneySpec.model_validate({"loan": {"amount": "90000", "rate": "5 %", "years": 10}})
    assert isinstance(money.loan, Loan)
    made = quote(asking(prices=PRICES, tariff=PAID, price=price, money=money), way(), None)
    assert "supply.loan-larger" in codes(made)
    assert made.worth is not None
    assert not made.worth.flows.lent.any()
    assert not made.worth.flows.interest.any()


def test_a_larger_battery_than_was_thought_enough_is_looked_at():
    """Where the optimum lies at the edge of what was thought enough, twice as much is tried; a bound that was said is kept."""
    free = {**PRICES, "battery_kwh": "1"}
    wide = quote(asking(prices=free, tariff=PAID, price=price, steps=6), sunny(9000.0), None)
    bound = quote(asking(prices=free, tariff=PAID, price=price, steps=6, battery_most="4 kWh"), sunny(9000.0), None)
    assert bound.size.battery_wh <= 4000.0
    assert "supply.at-edge" in codes(bound)
    assert wide.size.battery_wh > 4000.0
    assert wide.today.found.size.battery_wh < wide.today.battery_most_wh or "supply.at-edge" in codes(wide)


def test_the_own_draw_of_another_rating_is_told_to_have_no_source():
    """20 W of 1 kVA are 2 % of any rating: said where it is taken so, not where a person gives it or the rating is its own."""
    inverter = Inverter(rating_va=Held(1000.0), idle_w=Held(20.0), takes_over_s=Held(0.02))
    ask = replace(asking("stand-alone", steps=4), inverter=inverter)
    made = quote(ask, way(), None)
    (told,) = [one for one in made.findings if one.code == "supply.own-draw-scaled"]
    assert made.size.inverter_va != 1000.0
    assert told.data["draw"] == pytest.approx(0.02 * made.size.inverter_va)
    assert "no source" in told.source
    # By hand: 0.5 % of its rating, whatever the plate of the one that is there says.
    given = replace(ask, spec=ask.spec.model_copy(update={"own_draw": 0.005}))
    assert given.store(0.0).own_w(8000.0) == pytest.approx(40.0)
    assert ask.store(0.0).own_w(8000.0) == pytest.approx(160.0)
    assert not {"supply.own-draw-scaled", "supply.no-own-draw"} & codes(quote(given, way(), None))
    same = replace(ask, spec=ask.spec.model_copy(update={"ratings_va": (1000.0,)}))
    assert not {"supply.own-draw-scaled", "supply.no-own-draw"} & codes(quote(same, way(), None))
    unknown = replace(ask, inverter=inverter.model_copy(update={"idle_w": 0.0}))
    assert "supply.no-own-draw" in codes(quote(unknown, way(), None))


def test_an_inverter_that_stays_keeps_its_own_draw():
    """By hand: 20 W of the plate of 4 kVA that is there; one that is bought in its place draws 0.5 % of its rating."""
    inverter = Inverter(rating_va=Held(4000.0), idle_w=Held(20.0), takes_over_s=Held(0.02))
    ask = replace(asking("stand-alone", steps=4, own_draw="0.5 %"), inverter=inverter)
    ask = replace(ask, costing=replace(ask.costing, kept=Size(0.0, 2000.0, 4000.0)))
    store = ask.store(0.0)
    assert [store.own_w(one) for one in (0.0, 4000.0, 8000.0)] == pytest.approx([0.0, 20.0, 40.0])
    sizes = Sizes(np.zeros(2), np.full(2, 2000.0), np.array([4000.0, 8000.0]))
    assert store.rows(sizes)[Z_IDLE_W] == pytest.approx([20.0, 40.0])
    # What nobody said of one that stays is still said to be unknown; of one that is bought it is known.
    for idle, va, told in ((0.0, 4000.0, True), (0.0, 8000.0, False), (20.0, 4000.0, False)):
        plate = replace(ask, inverter=inverter.model_copy(update={"idle_w": idle}))
        assert bool([*_of_draw(plate, va)]) is told


def test_relays_without_a_price_are_told():
    """A plan that keeps two loads off in outages needs two relays; with a price of them, or without money, nothing is said."""
    prices = {"pv_kw": "900", "inverter_kw": "200", "battery_kwh": "300"}
    for more, told in (({}, [2]), ({"held_off_load": "140"}, [])):
        made = quote(
            asking("carries the site in outages", outage_s=3600.0, steps=4, prices={**prices, **more}),
            way(),
            way(("tank", "pump")),
        )
        assert len(made.held) == 2
        assert [one.data["count"] for one in made.findings if one.code == "supply.relays-no-price"] == told
    made = quote(asking("carries the site in outages", outage_s=3600.0, steps=4), way(), way(("tank", "pump")))
    assert "supply.relays-no-price" not in codes(made)
