"""Money: a Decimal amount with its ISO 4217 currency. Never a float."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal

from wattwright.core.errors import OwnFault

ROUNDING = {"half up": ROUND_HALF_UP, "half even": ROUND_HALF_EVEN}
"""Names of the rounding rules a tariff may state, and decimal's own."""


@dataclass(frozen=True, slots=True)
class Money:
    """An amount in one currency; amounts of different currencies never meet."""

    amount: Decimal
    currency: str

    def __add__(self, other: "Money") -> "Money":
        """Return the sum; raises OwnFault when the currencies differ."""
        self._same(other)
        return Money(self.amount + other.amount, self.currency)

    def __sub__(self, other: "Money") -> "Money":
        """Return the difference; raises OwnFault when the currencies differ."""
        self._same(other)
        return Money(self.amount - other.amount, self.currency)

    def __neg__(self) -> "Money":
        """Return the amount with its sign turned."""
        return Money(-self.amount, self.currency)

    def rounded(self, rule: str = "half up") -> "Money":
        """Return the amount in whole minor units of its currency by a rule of ROUNDING."""
        return Money(self.amount.quantize(minor_unit(self.currency), ROUNDING[rule]), self.currency)

    def _same(self, other: "Money") -> None:
        if self.currency != other.currency:
            raise OwnFault(f"amounts in {self.currency} and {other.currency} were added")


def minor_unit(currency: str) -> Decimal:
    """Return the smallest unit of a currency, by the CLDR table (0.01 for most, 1 for JPY, 0.001 for TND)."""
    from babel.numbers import get_currency_precision

    return Decimal(1).scaleb(-get_currency_precision(currency))


def is_currency(code: str) -> bool:
    """Return whether ``code`` is an ISO 4217 currency code known to CLDR."""
    from babel.numbers import list_currencies

    return code in list_currencies()


def total(amounts: Iterable[Money], currency: str) -> Money:
    """Return the sum of ``amounts``, nought of ``currency`` when there are none."""
    result = Money(Decimal(0), currency)
    for amount in amounts:
        result = result + amount
    return result
