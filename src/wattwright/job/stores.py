"""What stores hold at the end beyond the beginning, in energy and in money: what is borrowed from the days after is no saving."""

from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from wattwright.core.clock import SiteClock
from wattwright.core.errors import TariffError
from wattwright.core.money import Money
from wattwright.job.days import STEP_S
from wattwright.loads.columns import W_AIR_C
from wattwright.loads.refill import stored_per_electric
from wattwright.simulate.results import Outcome
from wattwright.simulate.scenario import Scenario
from wattwright.tariff.compiled import compile_tariff
from wattwright.tariff.tariff import Tariff


@dataclass(frozen=True, slots=True)
class StoresValue:
    """The difference of all stores, end less beginning: heat, cold and charge in kWh, and the electric energy that it stands for.

    ``price`` is that of one more kWh in the last step, levies included, and ``worth`` what the difference is worth at it: below
    nought where stores end lower, and so must still be paid for. None without a tariff that can say.
    """

    stored_kwh: float
    electric_kwh: float
    price: Money | None = None
    worth: Money | None = None


def stores_kwh(made: Outcome) -> float:
    """Return what all stores hold at the end beyond the beginning, kWh, the battery's included."""
    return sum(one.stored_kwh for one in made.loads) + made.balance.battery_rise


def electric_kwh(scenario: Scenario, made: Outcome) -> float:
    """Return the electric energy that the difference of the stores stands for, kWh, with the weather at the end."""
    outdoor_c = float(scenario.drivers.weather[-1, W_AIR_C])
    loads = zip(scenario.loads, made.loads, strict=True)
    found = sum(one.stored_kwh / stored_per_electric(load.load, outdoor_c) for load, one in loads)
    battery = scenario.supply.battery
    return found + (0.0 if battery is None else made.balance.battery_rise / battery.charge_efficiency)


def valued(scenario: Scenario, made: Outcome, tariff: Tariff | None, clock: SiteClock) -> StoresValue:
    """Return the difference of the stores, valued at ``tariff``'s price of one more kWh in the last step."""
    stored, electric = stores_kwh(made), electric_kwh(scenario, made)
    if tariff is None:
        return StoresValue(stored, electric)
    last_s = np.array([scenario.span.end_s - STEP_S], np.int64)
    try:
        compiled = compile_tariff(tariff, last_s, STEP_S, clock)
    except TariffError:
        # Prices that hang on what cannot be told beforehand: the energy stands by itself then.
        return StoresValue(stored, electric)
    price = Decimal(str(round(float(compiled.import_price[0]), 6)))
    worth = Money(price * Decimal(str(round(electric, 6))), tariff.currency).rounded()
    return StoresValue(stored, electric, Money(price, tariff.currency), worth)
