"""How many decimals of a bill a person reads; the figures themselves stay exact."""

from decimal import Decimal

import pytest

from wattwright.core.basis import Basis
from wattwright.tariff.lines import Group, Line, decimals_of


@pytest.mark.parametrize(
    ("quantity", "unit", "decimals"),
    [
        # 23 of 31 days, and three months, as a share of a month.
        ("3.741935484", "month", 3), ("3", "month", 0), ("0.5", "year", 1), ("11412.182", "kWh", 3),
        # Money has the decimals of its currency, by the CLDR table.
        ("123.456789", "EUR", 2), ("123.4", "JPY", 0), ("1.23456", "TND", 3),
    ],
)  # fmt: skip
def test_a_quantity_has_the_decimals_that_a_person_reads(quantity, unit, decimals):
    """No share of a month to the billionth, and no money beyond its smallest coin."""
    exact = Decimal(quantity)
    line = Line("Standing charge", Group.FIXED, "", "2025-01", exact, unit, Decimal(1), exact, Basis.ASSUMED)
    assert line.quantity_decimals == decimals


@pytest.mark.parametrize(("currency", "decimals"), [("EUR", 2), ("JPY", 0), ("TND", 3)])
def test_money_has_the_decimals_of_its_currency(currency, decimals):
    """ISO 4217 exponents, from memory."""
    assert decimals_of(currency) == decimals
