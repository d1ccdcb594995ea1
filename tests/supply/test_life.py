"""What a site without a grid costs over the years, held against present values by another library and by hand."""

import numpy_financial as npf
import pytest

from wattwright.core.seeds import Streams
from wattwright.supply.money.life import life_cost, of_costs
from wattwright.supply.money.risk import risk
from wattwright.supply.money.spec import Investment
from wattwright.supply.money.spread import Spread

YEARS, RATE = 20, 0.04


def site(**told):
    """PV of 6000 that lasts, a battery of 9000 for 8 years, upkeep of 120 and fuel of 400 in the first year, 2 % dearer each."""
    given = {
        "name": "a site without a grid", "currency": "EUR", "years": YEARS, "terms": "real", "inflation": "2 %", "rate": "4 %",
        "parts": [{"name": "PV", "cost": "6000", "life_years": 25}, {"name": "battery", "cost": "9000", "life_years": 8}],
        "saving": {"first_year": "-400", "change": "2 %"}, "operation": "120",
    }  # fmt: skip
    return Investment.model_validate({**given, **told})


def test_present_cost_and_its_parts_agree_with_another_library():
    """Life-cycle cost is the sum of present values (ASTM E917, from memory); each part by numpy_financial's npv and pv."""
    made = life_cost(site(), 2500.0)
    assert made.capital == pytest.approx(15000.0)
    again = [0.0] * 8 + [9000.0] + [0.0] * 7 + [9000.0] + [0.0] * 4
    assert made.replacements == pytest.approx(npf.npv(RATE, again))
    assert made.upkeep == pytest.approx(-npf.pv(RATE, YEARS, 120.0))
    fuel = [0.0, *(400.0 * 1.02**n for n in range(YEARS))]
    assert made.fuel == pytest.approx(npf.npv(RATE, fuel))
    assert (made.left, made.grants, made.financing) == (0.0, 0.0, pytest.approx(0.0))
    assert made.present == pytest.approx(made.capital + made.replacements + made.upkeep + made.fuel)
    assert made.present == pytest.approx(npf.npv(RATE, made.yearly))
    # The cost of a kWh that stays the same: what is paid at the end of each year over the kWh of a year.
    assert made.energy_cost == pytest.approx(-npf.pmt(RATE, YEARS, made.present) / 2500.0)


def test_what_is_left_granted_and_lent_is_told_apart():
    """By hand: 5 of 25 years of PV and 4 of 8 of the third battery are left; a grant lowers the cost; a loan shifts it."""
    parts = [
        {"name": "PV", "cost": "6000", "life_years": 25, "residual": "unused life"},
        {"name": "battery", "cost": "9000", "life_years": 8, "residual": "unused life"},
    ]
    grant = [{"name": "premium", "amount": "1000", "year": 0, "taxed": False}]
    made = life_cost(site(parts=parts, incentives=grant), 2500.0)
    assert made.left == pytest.approx((6000.0 * 5 / 25 + 9000.0 * 4 / 8) / 1.04**YEARS)
    assert made.grants == pytest.approx(1000.0)
    known = made.capital + made.replacements + made.upkeep + made.fuel - made.left - made.grants
    assert made.present == pytest.approx(known)
    lent = life_cost(site(loan={"amount": "10000", "rate": "9 %", "years": 10}), 2500.0)
    # The loan is nominal: its equal payments of each year, brought to money of today at 4 % real and 2 % inflation.
    paid = -npf.pmt(0.09, 10, 10000.0)
    nominal = 1.04 * 1.02 - 1.0
    assert lent.financing == pytest.approx(-npf.pv(nominal, 10, paid) - 10000.0, abs=0.05)  # in whole cents
    assert lent.energy_cost == pytest.approx(life_cost(site(), 2500.0).energy_cost)  # before loan and tax


def test_draws_of_a_cost_are_those_of_its_present_value_turned_round():
    """Where only the price is unsure, evenly about what was said, the mean cost is the cost itself; the band lies around it."""
    spec = site()
    drawn = risk(spec, Spread.model_validate({"cost": {"low": "80 %", "likely": "100 %", "high": "120 %"}}), Streams(3).seed)
    made, cost = of_costs(drawn), life_cost(spec, 2500.0).present
    assert made.mean == pytest.approx(cost, abs=4.0 * drawn.mean_error)
    assert 0.0 < made.low < made.middle < made.high
    assert (made.npv[1:] >= made.npv[:-1]).all()
    assert [(one.source, one.low < one.middle < one.high) for one in made.tornado] == [("cost", True)]
