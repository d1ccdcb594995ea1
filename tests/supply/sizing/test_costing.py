"""What sizes cost over the years: the same in real and in nominal terms, and as worked by hand."""

import pytest
from hypothesis import given, strategies as st

from wattwright.core.fields import Held
from wattwright.supply.money.life import life_cost
from wattwright.supply.money.worth import worth
from wattwright.supply.sizing.costing import Costing
from wattwright.supply.sizing.sizes import Size, one_of
from wattwright.supply.sizing.spec import MoneySpec, Prices

PRICES = Prices.model_validate(
    {
        "fixed": "500", "pv_kw": "900", "inverter_kw": "200", "battery_kwh": "300", "upkeep": "60", "fuel_kwh": "0.6",
        "inverter_years": 9, "battery_years": 7,
    }
)  # fmt: skip
SIZE = Size(5000.0, 10_000.0, 4000.0)
ONE = Prices.model_validate({"pv_kw": "1000", "inverter_kw": "0", "battery_kwh": "0", "upkeep": "10", "pv_years": 1})
"""A part that is bought anew each year, so that each year's price can be seen."""
FISHER = "(1 + real) (1 + inflation) = 1 + nominal: Fisher's equation"


def costing(prices=PRICES, **money):
    """Prices with money of so many years; shares as plain numbers."""
    held = {name: Held(one) if isinstance(one, float) else one for name, one in money.items()}
    return Costing(prices, MoneySpec.model_validate(held), "EUR")


@given(
    rate=st.floats(-0.02, 0.12), inflation=st.floats(-0.03, 0.12), change=st.floats(-0.05, 0.08),
    years=st.integers(1, 30), residual=st.sampled_from(["none", "unused life"]), is_lent=st.booleans(),
)  # fmt: skip
def test_real_and_nominal_terms_come_to_the_same(rate, inflation, change, years, residual, is_lent):
    """Every figure in money of today agrees, by Fisher's equation alone; a loan and a tax are nominal in both."""
    both = (1.0 + inflation) * (1.0 + rate) - 1.0, (1.0 + inflation) * (1.0 + change) - 1.0
    more = {"inflation": inflation, "years": years, "residual": residual}
    if is_lent:
        more["loan"] = {"amount": "4000", "rate": "5 %", "years": min(years, 8)}
        more["tax"] = {"rate": "20 %", "write_off": ["50 %", "50 %"], "losses": "carried forward"}
    real = costing(terms="real", rate=rate, change=change, **more)
    nominal = costing(terms="nominal", rate=both[0], change=both[1], **more)
    figures = []
    for one in (real, nominal):
        site = life_cost(one.carrying(SIZE, 800.0, 7, 2), 3000.0)
        figures.append(
            [
                worth(one.investment(SIZE, 812.34, 5000.0, 7, 2)).npv, site.present, site.fuel, site.upkeep, site.replacements,
                site.left, one.part_factor(4), one.bill_factor(), one.saving_factor(), float(one.owned(one_of(SIZE))[0]),
            ]
        )  # fmt: skip
    assert figures[1] == pytest.approx(figures[0], rel=1e-9, abs=1e-6)


def test_a_quote_in_nominal_terms_by_hand():
    """A part of 1000 each year, 10 of upkeep, 100 saved at prices of today, inflation 10 %, energy 20 % a year, three years.

    Worked by hand: bought at 1000, 1100 and 1210; upkeep 11, 12.10 and 13.31; saved 110, 132 and 158.40.
    """
    one = costing(ONE, terms="nominal", rate=0.0, inflation=0.1, change=0.2, fade=0.0, years=3)
    made = worth(one.investment(Size(1000.0, 0.0, 0.0), 100.0, None, 1))
    flows = made.flows
    assert flows.investment == pytest.approx([-1000.0, 0.0, 0.0, 0.0])
    assert flows.replacements == pytest.approx([0.0, -1100.0, -1210.0, 0.0])
    assert flows.operation == pytest.approx([0.0, -11.0, -12.1, -13.31])
    assert flows.saving == pytest.approx([0.0, 110.0, 132.0, 158.4])
    assert made.npv == pytest.approx(110.0 + 132.0 + 158.4 - 3310.0 - 36.41)
    assert one.owned(one_of(Size(1000.0, 0.0, 0.0)))[0] == pytest.approx(3310.0 + 36.41)
    assert one.bill_factor() == pytest.approx(1.1 + 1.32 + 1.584)


def test_a_quote_in_real_terms_by_hand():
    """The same in real terms: what is bought, kept up and saved stays at prices of today, but for what energy changes beyond."""
    one = costing(ONE, terms="real", rate=0.0, inflation=0.1, change=0.2, fade=0.0, years=3)
    made = worth(one.investment(Size(1000.0, 0.0, 0.0), 100.0, None, 1))
    assert made.total == pytest.approx([-1000.0, -910.0, -890.0, 134.0])
