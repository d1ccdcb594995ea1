"""What an investment is worth: its measures, in the terms it was stated in, and what a person should know about them."""

from dataclasses import dataclass, replace

import numpy as np

from wattwright.core.findings import Finding
from wattwright.supply import kinds
from wattwright.supply.money.flows import Flows, flows
from wattwright.supply.money.measures import irrs, levelised, npv, payback, present
from wattwright.supply.money.plan import faded, plan_of
from wattwright.supply.money.spec import Investment
from wattwright.supply.money.terms import Floats, Terms, growth

_LEAST_YIELD_KWH = 1.0
"""In a year: what gives less is no source of energy, and its cost shared among so few kWh says nothing; common practice."""


@dataclass(frozen=True, slots=True, eq=False)
class Worth:
    """The measures of an investment.

    ``flows`` are nominal, ``total`` is their sum in ``terms``. ``npv`` is money of year 0, the same in either terms. ``irrs`` are
    rates in ``terms``: none, one, or several. ``payback_years`` and ``discounted_years`` are None where it never comes back.
    ``energy_cost`` is per kWh in ``terms``, None where no yield was stated, or next to none. ``left``
    is what parts are worth at the end, in money of year 0, before tax.
    """

    currency: str
    terms: Terms
    rate: float
    flows: Flows
    total: Floats
    npv: float
    irrs: tuple[float, ...]
    payback_years: float | None
    discounted_years: float | None
    energy_cost: float | None
    left: float
    findings: tuple[Finding, ...]

    @property
    def irr(self) -> float | None:
        """Return the internal rate of return where there is exactly one, and the money comes back; of several none is right."""
        return self.irrs[0] if len(self.irrs) == 1 and not self.no_irr else None

    @property
    def no_irr(self) -> str:
        """Return in words why no internal rate of return is quoted; empty where one is.

        A rate below nought only says that the money does not come back within the years: nothing earns it.
        """
        if len(self.irrs) > 1:
            return "several"
        if self.payback_years is None:
            return "does not come back"
        return "" if self.irrs else "none"


def worth(spec: Investment) -> Worth:
    """Return what an investment is worth, in its own terms.

    Flows are worked out in nominal money and then brought into the terms of the spec: nothing real meets anything nominal.
    """
    made = flows(plan_of(spec))
    prices = growth(spec.inflation if spec.terms == "real" else 0.0, spec.years)
    total = made.total / prices
    rates = irrs(np.round(total, 9))  # what is smaller is noise of floats, and would count as a change of sign
    energy_cost = None
    if spec.yield_kwh is not None and spec.yield_kwh >= _LEAST_YIELD_KWH:
        energy_cost = levelised(made.cost / prices, faded(spec.yield_kwh, spec.saving.fade, spec.years), spec.rate)
    found = Worth(
        spec.currency,
        spec.terms,
        spec.rate,
        made,
        total,
        npv(total, spec.rate),
        rates,
        payback(total),
        payback(present(total, spec.rate)),
        energy_cost,
        npv(made.residual / prices, spec.rate),
        (),
    )
    told = _told(spec.name, found)
    if spec.yield_kwh is not None and energy_cost is None:
        told += (kinds.NO_YIELD.at(spec.name, given=spec.yield_kwh),)
    return replace(found, findings=told)


def _told(name: str, found: Worth) -> tuple[Finding, ...]:
    told = []
    if found.npv < 0:
        told.append(
            kinds.LOSES.at(name, lost=-found.npv, currency=found.currency, rate=round(100.0 * found.rate, 2), terms=found.terms)
        )
    if found.payback_years is None:
        told.append(kinds.NEVER_BACK.at(name, years=len(found.total) - 1))
    if not found.irrs:
        told.append(kinds.NO_RATE.at(name))
    if len(found.irrs) > 1:
        told.append(
            kinds.SEVERAL_RATES.at(
                name, count=len(found.irrs), low=round(100.0 * found.irrs[0], 1), high=round(100.0 * found.irrs[-1], 1)
            )
        )
    return tuple(told)
