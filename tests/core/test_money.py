"""Money: minor units by CLDR, rounding by the rule that is named, currencies never mixed."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, strategies as st

from wattwright.core.errors import OwnFault
from wattwright.core.money import Money, is_currency, minor_unit, total

amounts = st.decimals(-(10**9), 10**9, places=6)


@pytest.mark.parametrize(
    ("currency", "unit"), [("JPY", "1"), ("EUR", "0.01"), ("USD", "0.01"), ("TND", "0.001"), ("KWD", "0.001")]
)
def test_minor_units(currency, unit):
    """ISO 4217: the yen has none, euro and dollar two decimals, the dinars of Tunisia and Kuwait three."""
    assert minor_unit(currency) == Decimal(unit)


@pytest.mark.parametrize(
    ("amount", "currency", "rule", "rounded"),
    [
        ("0.125", "EUR", "half up", "0.13"),
        ("0.125", "EUR", "half even", "0.12"),
        ("0.135", "EUR", "half even", "0.14"),
        ("-0.125", "EUR", "half up", "-0.13"),
        ("2.5", "JPY", "half up", "3"),
        ("2.5", "JPY", "half even", "2"),
        ("0.0005", "TND", "half up", "0.001"),
        ("0.0005", "TND", "half even", "0.000"),
        ("1.005", "EUR", "half up", "1.01"),  # which a float would turn into 1.00
    ],
)
def test_rounding_rules(amount, currency, rule, rounded):
    """Halves go away from nought, or to the even neighbour, in the currency's own minor unit."""
    assert str(Money(Decimal(amount), currency).rounded(rule).amount) == rounded


def test_half_up_is_the_usual_rule():
    """Without a rule halves are rounded up; a rule nobody named is a KeyError."""
    assert Money(Decimal("0.125"), "EUR").rounded() == Money(Decimal("0.13"), "EUR")
    with pytest.raises(KeyError):
        Money(Decimal(1), "EUR").rounded("down")


@given(st.lists(amounts, max_size=30))
def test_total_is_exact(given):
    """A total is the exact sum, to the last digit, in any order."""
    exact = sum((Fraction(one) for one in given), Fraction(0))
    assert Fraction(total((Money(one, "EUR") for one in given), "EUR").amount) == exact
    assert Fraction(total((Money(one, "EUR") for one in reversed(given)), "EUR").amount) == exact


@given(amounts, amounts)
def test_difference_undoes_the_sum(one, other):
    """Adding and then taking away leaves the first amount, and an amount and its opposite are nought."""
    a, b = Money(one, "EUR"), Money(other, "EUR")
    assert a + b - b == a
    assert (a + -a).amount == 0


@pytest.mark.parametrize("mix", [lambda a, b: a + b, lambda a, b: a - b, lambda a, b: total([a, b], "EUR")])
def test_currencies_never_meet(mix):
    """Adding or subtracting amounts of two currencies is a fault of ours, never a number."""
    with pytest.raises(OwnFault, match="EUR and JPY"):
        mix(Money(Decimal(1), "EUR"), Money(Decimal(1), "JPY"))


def test_total_of_nothing_is_nought():
    """No amounts add up to nought of the currency asked for."""
    assert total([], "TND") == Money(Decimal(0), "TND")


def test_currency_codes():
    """ISO 4217 codes are known, words are not."""
    assert is_currency("EUR")
    assert is_currency("TND")
    assert not is_currency("EURO")
    assert not is_currency("eur")
