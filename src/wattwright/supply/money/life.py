"""What a site without a grid costs over the years: no bill stands against it, so the cost itself is told, and that of a kWh."""

from dataclasses import dataclass, replace

from wattwright.supply.money.flows import flows
from wattwright.supply.money.measures import levelised, npv
from wattwright.supply.money.plan import faded, plan_of
from wattwright.supply.money.risk import Bar, Risk
from wattwright.supply.money.spec import Investment
from wattwright.supply.money.terms import Floats, Terms, growth


@dataclass(frozen=True, slots=True, eq=False)
class LifeCost:
    """Costs over the years in money of year 0, all positive: ``present`` is what they come to together.

    ``capital``, ``replacements``, ``upkeep`` and ``fuel`` less ``left``, what parts are worth at the end, and ``grants``, and
    with ``financing``, what loan and tax add, are ``present``. ``served_kwh`` is what the site is given in a year,
    ``energy_cost`` that of a kWh of it, before loan and tax, in ``terms``. ``yearly`` is what is paid in each year in ``terms``,
    (years + 1,).
    """

    currency: str
    terms: Terms
    rate: float
    yearly: Floats
    present: float
    capital: float
    replacements: float
    upkeep: float
    fuel: float
    left: float
    grants: float
    financing: float
    served_kwh: float
    energy_cost: float


def life_cost(spec: Investment, served_kwh: float) -> LifeCost:
    """Return what an investment costs that saves no bill; its ``saving`` is fuel, below nought; ``served_kwh`` is above nought.

    Source: life-cycle cost as in ASTM E917, from memory; the cost of a kWh as in :func:`levelised`.
    """
    made = flows(plan_of(spec))
    prices = growth(spec.inflation if spec.terms == "real" else 0.0, spec.years)

    def now(amounts: Floats) -> float:
        return npv(amounts / prices, spec.rate)

    before = (made.cost - made.saving) / prices
    energy_cost = levelised(before, faded(served_kwh, 0.0, spec.years), spec.rate)
    financing = -now(made.lent + made.interest + made.principal + made.tax)
    return LifeCost(
        spec.currency, spec.terms, spec.rate, -made.total / prices, -now(made.total), -now(made.investment),
        -now(made.replacements), -now(made.operation), -now(made.saving), now(made.residual), now(made.grants), financing,
        served_kwh, energy_cost,
    )  # fmt: skip


def of_costs(drawn: Risk) -> Risk:
    """Return draws of a net present value as draws of what it costs: the same with their sign turned."""
    bars = tuple(Bar(one.source, -one.high, -one.middle, -one.low) for one in drawn.tornado)
    return replace(
        drawn, npv=-drawn.npv[::-1], mean=-drawn.mean, low=-drawn.high, middle=-drawn.middle, high=-drawn.low, tornado=bars
    )
