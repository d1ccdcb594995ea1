"""An investment as plain numbers, all nominal: what the flows are made of, and what a draw of chance changes."""

from dataclasses import dataclass

import numpy as np

from wattwright.supply.money.loan import payments
from wattwright.supply.money.spec import Investment, Saving, Tax
from wattwright.supply.money.terms import Floats, growth, nominal_rate


@dataclass(frozen=True, slots=True, eq=False)
class Bought:
    """A part: its price in each year it might be bought, shape (years + 1,), its life, and whether unused life has a worth."""

    name: str
    price: Floats
    life: int
    residual: bool


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """An investment in nominal money; every array has shape (years + 1,), year 0 first.

    ``grants`` is all incentives, ``taxed_grants`` those that count as income; ``interest`` and ``principal`` are of the loan.
    """

    years: int
    rate: float
    parts: tuple[Bought, ...]
    saving: Floats
    operation: Floats
    grants: Floats
    taxed_grants: Floats
    lent: float
    interest: Floats
    principal: Floats
    tax: Tax | None


def plan_of(spec: Investment) -> Plan:
    """Return an investment as plain numbers, every amount and rate in nominal terms by Fisher's equation where it was real."""
    years = spec.years
    prices = growth(nominal_rate(0.0, spec.inflation, spec.terms), years)
    loan = () if spec.loan is None else payments(spec.loan, spec.currency)
    return Plan(
        years,
        nominal_rate(spec.rate, spec.inflation, spec.terms),
        tuple(_bought(spec, place) for place in range(len(spec.parts))),
        _saved(spec.saving, years) * prices,
        _from_first(float(spec.operation), spec.operation_change, years) * prices,
        _granted(spec, taxed_only=False),
        _granted(spec, taxed_only=True),
        0.0 if spec.loan is None else float(spec.loan.amount),
        _after_start([float(one.interest) for one in loan], years),
        _after_start([float(one.principal) for one in loan], years),
        spec.tax,
    )


def faded(first: float, fade: float, years: int) -> Floats:
    """Return an amount of year 1 that loses the share ``fade`` each year, nought in year 0, shape (years + 1,)."""
    return _from_first(first, -fade, years)


def _bought(spec: Investment, place: int) -> Bought:
    part = spec.parts[place]
    again = float(part.cost if part.again is None else part.again)
    price = again * growth(nominal_rate(part.change, spec.inflation, spec.terms), spec.years)
    price[0] = float(part.cost)
    return Bought(part.name, price, part.life_years, part.residual == "unused life")


def _saved(saving: Saving, years: int) -> Floats:
    if saving.first_year is None:
        return _after_start([float(one) for one in saving.yearly], years)
    return _from_first(float(saving.first_year), (1.0 + saving.change) * (1.0 - saving.fade) - 1.0, years)


def _from_first(first: float, change: float, years: int) -> Floats:
    amounts = first * growth(change, years) / (1.0 + change)
    amounts[0] = 0.0
    return amounts


def _after_start(amounts: list[float], years: int) -> Floats:
    return np.pad(np.asarray(amounts, np.float64), (1, years - len(amounts)))


def _granted(spec: Investment, *, taxed_only: bool) -> Floats:
    grants = np.zeros(spec.years + 1)
    for one in spec.incentives:
        if one.taxed or not taxed_only:
            grants[one.year] += float(one.amount)
    return grants
