"""The cash flows of an investment, year by year, in nominal money; what comes in is positive."""

from dataclasses import dataclass, fields

import numpy as np

from wattwright.supply.money.plan import Bought, Plan
from wattwright.supply.money.spec import Tax
from wattwright.supply.money.terms import Floats


@dataclass(frozen=True, slots=True, eq=False)
class Flows:
    """Nominal amounts at the end of each year, each of shape (years + 1,), year 0 first; costs and payments are negative."""

    investment: Floats
    replacements: Floats
    residual: Floats
    operation: Floats
    saving: Floats
    grants: Floats
    lent: Floats
    interest: Floats
    principal: Floats
    tax: Floats

    @property
    def total(self) -> Floats:
        """Return what is left of each year for who invests: the sum of all."""
        return np.asarray(sum(getattr(self, one.name) for one in fields(self)), np.float64)

    @property
    def cost(self) -> Floats:
        """Return what it costs, positive: purchases and upkeep less residual worth and grants, before loan and tax."""
        return -(self.investment + self.replacements + self.residual + self.operation + self.grants)


def flows(plan: Plan) -> Flows:
    """Return the cash flows of a plan.

    A part is bought at year 0 and again whenever its life is over, but not at the end of the last year. With unused life it
    is then worth the share that is left of it of what a new one costs then: as its owner would sell it, and in real terms
    whatever inflation is.
    """
    bought = np.zeros(plan.years + 1)
    residual = np.zeros(plan.years + 1)
    for part in plan.parts:
        years = np.arange(0, plan.years, part.life)
        bought[years] += part.price[years]
        residual[-1] += _left(part, int(years[-1]), plan.years)
    first = np.where(np.arange(plan.years + 1) == 0, bought, 0.0)
    lent = np.zeros(plan.years + 1)
    lent[0] = plan.lent
    return Flows(
        -first,
        first - bought,
        residual,
        -plan.operation,
        plan.saving,
        plan.grants,
        lent,
        -plan.interest,
        -plan.principal,
        -_taxes(plan, bought, residual) if plan.tax is not None else np.zeros(plan.years + 1),
    )


def _left(part: Bought, bought_in: int, years: int) -> float:
    unused = bought_in + part.life - years
    return float(part.price[years]) * unused / part.life if part.residual else 0.0


def _taxes(plan: Plan, bought: Floats, residual: Floats) -> Floats:
    """Return the tax of each year; what is not yet written off at the end is set off then, against the residual worth."""
    assert plan.tax is not None  # asked for only where there is one
    written = written_off(plan.tax, bought)
    profit = plan.saving + plan.taxed_grants + residual - plan.operation - plan.interest - written
    if plan.tax.losses == "carried forward":
        profit = carried(profit)
    return float(plan.tax.rate) * profit


def written_off(tax: Tax, bought: Floats) -> Floats:
    """Return what is set off for purchases in each year, shape as ``bought``; together all that was ever bought."""
    shares = np.asarray(tax.write_off, np.float64)
    # A full convolution is longer than the years by the length of the list: what lies beyond them is set off in the last.
    every = np.convolve(bought, np.concatenate(([0.0], shares)))
    written = every[: len(bought)].copy()
    written[-1] += every[len(bought) :].sum()
    return written


def carried(profit: Floats) -> Floats:
    """Return the profit of each year that is taxed where losses are set off against later profits; a loss at the end is lost."""
    taxed, loss = np.zeros_like(profit), 0.0
    for year, made in enumerate(profit):
        left = loss + float(made)
        taxed[year], loss = max(left, 0.0), min(left, 0.0)
    return taxed
