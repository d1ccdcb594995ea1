"""A loan in equal yearly payments, to the cent as a bank works it out."""

from dataclasses import dataclass
from decimal import Decimal, localcontext

from wattwright.core.money import Money
from wattwright.supply.money.spec import Loan


@dataclass(frozen=True, slots=True)
class Payment:
    """What is paid at the end of one year: interest on what was owed, principal, and what is owed after it."""

    interest: Decimal
    principal: Decimal
    owed: Decimal

    @property
    def paid(self) -> Decimal:
        """Return interest and principal together."""
        return self.interest + self.principal


def payments(loan: Loan, currency: str) -> tuple[Payment, ...]:
    """Return the payment of each year, in whole minor units; the last takes what rounding left, and nothing is owed.

    Equal payments are the sum times i (1 + i)^n / ((1 + i)^n - 1), the capital recovery factor.
    """
    with localcontext() as context:
        context.prec = 40
        rate = Decimal(repr(float(loan.rate)))
        whole = (1 + rate) ** loan.years
        even = loan.amount * rate * whole / (whole - 1) if rate else loan.amount / loan.years
        equal, owed, made = _whole(even, currency), _whole(loan.amount, currency), []
        for year in range(1, loan.years + 1):
            interest = _whole(owed * rate, currency)
            # An odd rounding may pay the last cents a year early; more than is owed is never paid.
            principal = owed if year == loan.years else min(equal - interest, owed)
            owed -= principal
            made.append(Payment(interest, principal, owed))
    return tuple(made)


def _whole(amount: Decimal, currency: str) -> Decimal:
    return Money(amount, currency).rounded().amount
