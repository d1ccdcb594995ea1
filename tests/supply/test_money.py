"""An investment over the years against published figures, a general library and arithmetic by hand."""

from decimal import Decimal
from itertools import pairwise
from math import isclose

import numpy as np
import numpy_financial as npf
import pytest
from hypothesis import assume, given, settings, strategies as st
from pydantic import ValidationError

from wattwright.core.fields import Held
from wattwright.core.show import Show
from wattwright.supply.money.flows import carried, flows, written_off
from wattwright.supply.money.loan import payments
from wattwright.supply.money.measures import irrs, levelised, npv, payback, present
from wattwright.supply.money.plan import plan_of
from wattwright.supply.money.spec import Investment, Loan, Tax
from wattwright.supply.money.terms import nominal_rate, real_rate
from wattwright.supply.money.worth import worth

NOTHING_LENT_OR_TAXED = {"lent", "interest", "principal", "tax", "grants", "replacements", "residual", "operation"}


def part(**changed) -> dict:
    """A part as a person writes it."""
    return {"name": "array", "cost": "10000", "life_years": 25, **changed}


def spec(**changed) -> Investment:
    """An investment as a person writes it; what is not said is as in the plain case."""
    plain = {
        "name": "invented roof", "currency": "EUR", "years": 25, "terms": "nominal", "inflation": "2 %", "rate": "5 %",
        "parts": [part()], "saving": {"first_year": "1200", "change": "2 %", "fade": "0.5 %"},
    }  # fmt: skip
    return Investment.model_validate({**plain, **changed})


def loan(amount="10000", rate="5 %", years=10) -> Loan:
    return Loan.model_validate({"amount": amount, "rate": rate, "years": years})


@pytest.mark.parametrize(("given", "is_told"), [(0.001, False), (0.99, False), (1.0, True)])
def test_a_yield_next_to_nothing_has_no_cost_of_energy(given, is_told) -> None:
    """10 000 shared among a watt-hour a year is no price of energy: it is told that there is none."""
    found = worth(spec(yield_kwh=given))
    assert (found.energy_cost is not None) == is_told
    assert ("supply.no-yield" in [one.code for one in found.findings]) != is_told


def test_a_roof_by_closed_form() -> None:
    """10 000, then 1200 growing 2 % and fading 0.5 % a year: NPV by a geometric row, IRR by a library."""
    found = worth(spec())
    ratio = 1.02 * 0.995
    assert found.npv == pytest.approx(1200 * (1 - (ratio / 1.05) ** 25) / (1.05 - ratio) - 10_000, abs=1e-6)
    amounts = np.concatenate(([-10_000.0], 1200 * ratio ** np.arange(25)))
    assert found.total == pytest.approx(amounts)
    assert found.irr == pytest.approx(npf.irr(amounts), abs=1e-9)
    assert (found.payback_years < found.discounted_years, found.findings) == (True, ())
    assert {name for name in NOTHING_LENT_OR_TAXED if np.any(getattr(found.flows, name))} == set()


@pytest.mark.parametrize(
    ("yearly", "irr", "why"),
    [
        # 10 000 paid; by hand: two yearly amounts of a, the rate r with a/(1+r) + a/(1+r)^2 = 10 000.
        (["11000", "0"], 0.1, ""),
        (["5000", "5000"], 0.0, ""),
        (["4000", "4000"], None, "does not come back"),  # a root at -13.7 % a year is there, and no money earns it
        (["-100", "-100"], None, "does not come back"),
        (["23000", "-13200"], None, "several"),  # 10 % and 20 %, as of (-100, 230, -132)
    ],
)
def test_a_rate_is_quoted_only_of_money_that_comes_back(yearly, irr, why) -> None:
    """At the rate the present value is nought (ASTM E1057, from memory); a rate below nought earns nothing, and is not quoted."""
    found = worth(spec(years=2, parts=[part(cost="10000", life_years=25)], saving={"yearly": yearly}))
    assert found.irr == (None if irr is None else pytest.approx(irr, abs=1e-9))
    assert found.no_irr == why


# Documented examples of numpy-financial, whose values its documentation prints.
@pytest.mark.parametrize(
    ("amounts", "rate"), [([-100, 39, 59, 55, 20], 0.280948), ([-100, 100, 0, 7], 0.062058), ([-5, 10.5, 1, -8, 1], 0.0886)]
)
def test_rates_of_a_library(amounts, rate) -> None:
    """The rate that the library prints is among ours, and each of ours brings the net present value to nought."""
    found = irrs(np.array(amounts, np.float64))
    assert any(isclose(one, rate, abs_tol=5e-5) for one in found)
    assert [npv(np.array(amounts, np.float64), one) for one in found] == pytest.approx([0.0] * len(found), abs=1e-6)


def test_two_rates_and_none() -> None:
    """-100 + 230 v - 132 v^2 has roots 1/1.1 and 1/1.2; all gains, all losses, -100 + 100 v - 50 v^2: none; touching is one."""
    assert irrs(np.array([-100.0, 230.0, -132.0])) == pytest.approx((0.1, 0.2), abs=1e-12)
    for none in ([1.0, 2.0], [-1.0, -2.0], [-100.0, 100.0, -50.0], [0.0, 0.0], [5.0]):
        assert irrs(np.array(none)) == ()
    assert irrs(np.array([-1.0, 2.2, -1.21])) == pytest.approx((0.1,), abs=1e-6)  # -(1 - 1.1 v)^2
    three = np.polynomial.polynomial.polyfromroots([1 / 1.05, 1 / 1.3, 2.0])
    assert irrs(-three) == pytest.approx((-0.5, 0.05, 0.3), abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(-0.9, 4.0), min_size=1, max_size=5))
def test_no_rate_is_missed(rates) -> None:
    """Of flows made from chosen rates, every rate comes back and no other."""
    wanted = sorted(rates)
    assume(all(b - a > 0.05 for a, b in pairwise(wanted)))
    amounts = np.polynomial.polynomial.polyfromroots([1 / (1 + one) for one in wanted])
    assert irrs(amounts) == pytest.approx(tuple(wanted), rel=1e-5, abs=1e-5)


amounts_of = st.lists(st.integers(-10_000, 10_000), min_size=1, max_size=30)


@settings(max_examples=100, deadline=None)
@given(amounts_of, st.floats(-0.1, 0.5))
def test_npv_is_that_of_the_library(amounts, rate) -> None:
    """Discounting is that of an independent library, and at each rate of return it is nought."""
    row = np.array(amounts, np.float64)
    assert npv(row, rate) == pytest.approx(npf.npv(rate, row), rel=1e-9, abs=1e-6)
    for one in irrs(row):
        assert abs(npv(row, one)) <= 1e-9 * np.abs(present(row, one)).sum()


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 20_000), st.lists(st.integers(1, 3000), min_size=1, max_size=30), st.floats(0, 0.3), st.floats(0.001, 0.3))
def test_npv_falls_with_the_rate(cost, savings, rate, more) -> None:
    """Where only the first year costs, a higher rate is worth less, and there is exactly one rate of return."""
    row = np.array([-cost, *savings], np.float64)
    assert npv(row, rate + more) < npv(row, rate)
    assert len(irrs(row)) == 1


# Simple: 10 000 / 1500. Discounted, by hand at 5 %: 8 years are worth 1500 x 6.463213 = 9694.82, year 9 966.91.
@pytest.mark.parametrize(
    ("amounts", "years"),
    [
        ([-10_000.0, *[1500.0] * 20], 10_000 / 1500),
        ([-100.0, 60.0, 60.0, -50.0, 60.0], 3 + 30 / 60),  # back in year 2, lost again in year 3, back for good in year 4
        ([-100.0, 60.0, 30.0], None),
        ([5.0, 1.0], 0.0),
        ([-1.0, 2.0, -2.0], None),
    ],
)
def test_payback_by_hand(amounts, years) -> None:
    """Payback is when the running sum stays at nought or above, and None where it ends below."""
    assert payback(np.array(amounts)) == (None if years is None else pytest.approx(years))


def test_discounted_payback_by_hand() -> None:
    """10 000 at 1500 a year and 5 %: in year 9, 8 + (10 000 - 9694.82) / 966.91."""
    row = present(np.array([-10_000.0, *[1500.0] * 20]), 0.05)
    assert payback(row) == pytest.approx(8 + (10_000 - 1500 * 6.4632128) / (1500 / 1.05**9), abs=1e-5)


def test_cost_of_a_kwh_by_closed_form() -> None:
    """6000 and 100 a year, 5000 kWh that fade 0.5 % a year, 5 %, 25 years: 0.110217 by the sums of two geometric rows."""
    found = worth(spec(parts=[part(cost="6000")], operation=100, yield_kwh=5000, saving={"first_year": 1, "fade": "0.5 %"}))
    costs = 6000 + 100 * (1 - 1.05**-25) / 0.05
    energy = 5000 * (1 - (0.995 / 1.05) ** 25) / (1.05 - 0.995)
    assert found.energy_cost == pytest.approx(costs / energy, rel=1e-12)
    assert levelised(np.array([6.0, 1.0]), np.array([0.0, 2.1]), 0.05) == pytest.approx((6 + 1 / 1.05) / 2)


@pytest.mark.parametrize("years", [7, 12, 20, 25])
def test_in_money_of_today_inflation_is_nothing(years) -> None:
    """Amounts and rates that are real come to the same worth at any inflation, replacements and residual worth included."""
    parts = [part(residual="unused life"), part(name="inverter", cost="2000", life_years=12, residual="unused life")]
    told = [
        worth(spec(terms="real", years=years, parts=parts, operation="30", inflation=rise)).npv for rise in ("0 %", "3 %", "9 %")
    ]
    assert told[1:] == pytest.approx([told[0], told[0]], abs=1e-6)


def test_parts_are_replaced_and_worth_their_unused_life() -> None:
    """An inverter of 12 years is bought again in years 12 and 24; after 25 years 11 twelfths of a new one's price are left."""
    parts = [part(), part(name="inverter", cost="2000", again="1500", life_years=12, change="-1 %", residual="unused life")]
    found = flows(plan_of(spec(parts=parts)))
    assert {int(year): -found.replacements[year] for year in np.flatnonzero(found.replacements)} == {
        12: pytest.approx(1500 * 0.99**12), 24: pytest.approx(1500 * 0.99**24),
    }  # fmt: skip
    assert found.residual[-1] == pytest.approx(1500 * 0.99**25 * 11 / 12)
    assert found.investment[0] == -12_000
    even = flows(plan_of(spec(years=24, parts=[parts[1]], saving={"first_year": 1})))
    assert (np.count_nonzero(even.replacements), even.residual[-1]) == (1, 0.0)  # not bought again on the last day


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 10_000_000), st.integers(0, 3000), st.integers(1, 40), st.sampled_from(["EUR", "JPY", "TND"]))
def test_a_loan_is_paid_off_to_the_cent(cents, basis_points, years, currency) -> None:
    """Principal adds up to the sum lent in whole minor units, nothing is owed at the end, and no payment is negative."""
    unit = {"EUR": Decimal("0.01"), "JPY": Decimal(1), "TND": Decimal("0.001")}[currency]
    rows = payments(loan(cents * unit, Held(basis_points / 10_000), years), currency)
    assert sum(one.principal for one in rows) == cents * unit
    assert rows[-1].owed == 0
    assert all(one.interest >= 0 and one.principal >= 0 and one.paid % unit == 0 for one in rows)
    owed = [cents * unit, *(one.owed for one in rows)]
    assert all(before - one.principal == after for before, one, after in zip(owed[:-1], rows, owed[1:], strict=True))


def test_a_loan_against_a_library() -> None:
    """10 000 at 5 % over 10 years costs what the library says, but for rounded cents; without interest, equal parts."""
    rows = payments(loan(), "EUR")
    assert float(rows[0].paid) == pytest.approx(-npf.pmt(0.05, 10, 10_000), abs=0.005)
    assert [float(one.interest) for one in rows] == pytest.approx(-npf.ipmt(0.05, np.arange(1, 11), 10, 10_000), abs=0.05)
    assert {one.paid for one in payments(loan(rate=Held(0.0)), "EUR")} == {Decimal("1000.00")}


def test_a_loan_at_the_discount_rate_changes_nothing() -> None:
    """Money lent at the rate it is discounted with is worth nothing, but for rounded cents."""
    borrowed = spec(loan={"amount": "8000", "rate": "5 %", "years": 10})
    assert worth(borrowed).npv == pytest.approx(worth(spec()).npv, abs=0.05)


TAX = {"rate": "25 %", "write_off": ["60 %", "40 %"], "losses": "set against other income"}


def test_tax_by_hand() -> None:
    """1000 bought, 700 saved twice, 60 and 40 % written off, 25 %: 25 tax on 100, then 75 on 300."""
    bare = {"years": 2, "parts": [part(cost="1000", life_years=2)], "saving": {"yearly": ["700", "700"]}}
    assert flows(plan_of(spec(tax=TAX, **bare))).tax == pytest.approx([0.0, -25.0, -75.0])
    helped = spec(tax=TAX, incentives=[{"name": "grant", "amount": 40, "year": 0, "taxed": True}], **bare)
    assert flows(plan_of(helped)).tax == pytest.approx([-10.0, -25.0, -75.0])
    free = spec(tax=TAX, incentives=[{"name": "grant", "amount": 40, "year": 1, "taxed": False}], **bare)
    assert flows(plan_of(free)).tax == pytest.approx([0.0, -25.0, -75.0])
    assert flows(plan_of(free)).grants == pytest.approx([0.0, 40.0, 0.0])


def test_losses_carried_forward_by_hand() -> None:
    """A loss of 100 frees the next 100 of profit; one that is left at the end is lost."""
    assert carried(np.array([-100.0, 60.0, 70.0, -5.0])) == pytest.approx([0.0, 0.0, 30.0, 0.0])
    late = spec(tax={**TAX, "losses": "carried forward"}, years=2, parts=[part(cost="1000", life_years=2)],
                saving={"yearly": ["500", "700"]})  # fmt: skip
    # 500 - 600 is a loss of 100; 700 - 400 - 100 = 200 is taxed
    assert flows(plan_of(late)).tax == pytest.approx([0.0, 0.0, -50.0])


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 30), st.integers(1, 40), st.lists(st.integers(1, 9), min_size=1, max_size=12), st.booleans())
def test_sums_add_up(years, life, shares, left) -> None:
    """Everything bought is written off in the end, taxes are the rate times all profit, and the total holds all parts."""
    write_off = [Held(one / sum(shares)) for one in shares]
    one = spec(
        years=years, parts=[part(life_years=life, residual="unused life" if left else "none")], operation=50,
        saving={"first_year": 900}, tax={**TAX, "write_off": write_off},
        loan={"amount": 5000, "rate": "4 %", "years": min(years, 7)},
    )  # fmt: skip
    found = flows(plan_of(one))
    bought = -(found.investment + found.replacements)
    assert written_off(Tax.model_validate({**TAX, "write_off": write_off}), bought).sum() == pytest.approx(bought.sum())
    profit = (found.saving + found.residual + found.operation + found.interest).sum() - bought.sum()
    assert -found.tax.sum() == pytest.approx(0.25 * profit, abs=1e-6)
    assert found.principal.sum() + found.lent.sum() == pytest.approx(0.0, abs=1e-6)
    assert found.total.sum() == pytest.approx(0.75 * profit, abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(st.floats(-0.02, 0.1), st.floats(0.0, 0.12), st.floats(-0.03, 0.05), st.booleans())
def test_real_and_nominal_tell_the_same(inflation, rate, change, taxed) -> None:
    """The same investment in real and in nominal terms is worth the same; its rates of return differ by Fisher alone."""
    tax = {"tax": TAX} if taxed else {}
    shared = {"inflation": Held(inflation), "loan": {"amount": "4000", "rate": "6 %", "years": 8}, **tax}
    real = worth(spec(terms="real", rate=Held(rate), saving={"first_year": 1000, "change": Held(change)}, **shared))
    first = [str(round(1000 * (1 + change) ** year * (1 + inflation) ** (year + 1), 9)) for year in range(25)]
    stated = {"rate": Held((1 + rate) * (1 + inflation) - 1), "saving": {"yearly": first}}
    nominal = worth(spec(**stated, **shared))
    assert real.npv == pytest.approx(nominal.npv, abs=1e-6)
    assert len(real.irrs) == len(nominal.irrs)
    for ours, theirs in zip(real.irrs, nominal.irrs, strict=True):
        assert (1 + ours) * (1 + inflation) == pytest.approx(1 + theirs, rel=1e-6)
    back = real_rate(nominal_rate(rate, inflation, "real"), inflation, "nominal")
    assert (back, real_rate(rate, inflation, "real"), nominal_rate(rate, inflation, "nominal")) == pytest.approx((rate,) * 3)


@pytest.mark.parametrize(
    ("changed", "codes"),
    [
        ({"saving": {"first_year": 300}}, ["supply.loses", "supply.never-back"]),
        ({"saving": {"first_year": -300}}, ["supply.loses", "supply.never-back", "supply.no-rate"]),
        (
            {"years": 2, "parts": [part(cost="100", life_years=1, again="330")], "saving": {"yearly": ["560", "-132"]}},
            ["supply.loses", "supply.never-back", "supply.several-rates"],
        ),
    ],
)  # fmt: skip
def test_findings(changed, codes) -> None:
    """A loss, money that does not come back, and rates that are none or several are told, in whole sentences."""
    found = worth(spec(**changed))
    assert [one.code for one in found.findings] == codes
    assert found.irr is None or len(found.irrs) == 1
    assert all(one.says(Show()).endswith((".", "earns.")) and "{" not in one.says(Show()) for one in found.findings)


@pytest.mark.parametrize(
    "changed",
    [
        {"saving": {}},
        {"saving": {"first_year": 1, "yearly": ["1"]}},
        {"saving": {"yearly": ["1"] * 25, "change": "1 %"}},
        {"saving": {"yearly": ["1"] * 24}},
        {"loan": {"amount": 10_001, "rate": "5 %", "years": 10}},
        {"loan": {"amount": 1000, "rate": "5 %", "years": 26}},
        {"incentives": [{"name": "grant", "amount": 1, "year": 26, "taxed": False}]},
        {"tax": {**TAX, "write_off": ["50 %", "49 %"]}},
        {"tax": {**TAX, "write_off": ["150 %", "-50 %"]}},
        {"currency": "ABC"},
        {"operation": 1.5},
    ],
)
def test_what_contradicts_itself_is_refused(changed) -> None:
    """Each contradiction says what is wanted and what to do; money as a binary float is refused too."""
    with pytest.raises(ValidationError, match=r"\|"):
        spec(**changed)
