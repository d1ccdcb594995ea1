"""What sizes cost: to buy, and over the years; without prices by what parts usually cost beside one another."""

from dataclasses import dataclass
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from wattwright.core.fields import Held
from wattwright.supply.money.spec import LONGEST_YEARS, Investment, Part, Saving
from wattwright.supply.money.worth import worth
from wattwright.supply.sizing.sizes import NOTHING, Size, Sizes, beyond, one_of
from wattwright.supply.sizing.spec import MoneySpec, Prices

Floats = NDArray[np.float64]
USUAL = Prices.model_validate({"pv_kw": 4, "inverter_kw": 1, "battery_kwh": 2, "fuel_kwh": "0.002"})
"""A kW of PV costs about four times a kVA of inverter, a kWh of battery twice, 500 kWh from a generator as much: common practice,
no source."""
USUAL_BATTERY_YEARS = 12
"""Common practice, no source, of a battery whose charge was not simulated."""
_NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True)
class Bought:
    """Something that is bought: its name, how much of it in its unit, and what all of it costs."""

    name: str
    amount: float
    unit: str
    cost: Decimal
    life_years: int


@dataclass(frozen=True, slots=True)
class Costing:
    """Prices and terms; ``currency`` is empty where there are no prices, and what is told then are no amounts of money.

    ``kept`` is there already: what a size has beyond it is bought, and only that costs. ``generator_w`` is a generator that is
    bought with any size; of one that is there already it is nought.
    """

    prices: Prices
    money: MoneySpec
    currency: str
    kept: Size = NOTHING
    generator_w: float = 0.0

    @property
    def battery_years(self) -> int:
        """Return the life of a battery of which nothing else is known: as stated, or the usual."""
        return self.prices.battery_years or USUAL_BATTERY_YEARS

    def bought(self, sizes: Sizes) -> Floats:
        """Return what each size costs to buy, (m,); nothing at all costs nothing but a generator that is bought."""
        return self._sum(sizes, 1.0, 1.0, 1.0, 1.0) + self.generator_cost

    def owned(self, sizes: Sizes, battery_years: Floats | None = None) -> Floats:
        """Return what each size costs over the years, replacements and upkeep included, in money of today, (m,).

        ``battery_years`` (m,) is how long the battery of each lasts, cut to whole years; as stated, or the usual, if left out.
        Loan, tax and incentives are left out: for ranking sizes; the few that matter are worked out in full.
        """
        made = self._sum(
            sizes, self.part_factor(self.money.years), self.part_factor(self.prices.pv_years),
            self.part_factor(self.prices.inverter_years), self._battery_factor(battery_years),
        )  # fmt: skip
        made = made + self.generator_cost * self.part_factor(self.prices.generator_years)
        return made + float(self.prices.upkeep) * self.yearly_factor(self._rise) * (made > 0.0)

    def _battery_factor(self, battery_years: Floats | None) -> Floats | float:
        if battery_years is None or self.prices.battery_years:
            return self.part_factor(self.battery_years)
        lives, which = np.unique(np.clip(battery_years, 1.0, LONGEST_YEARS).astype(np.int64), return_inverse=True)
        return np.array([self.part_factor(int(one)) for one in lives])[which]

    @property
    def _rise(self) -> float:
        """Return how the general prices of parts and upkeep rise a year, in the terms of the money: in real terms they do not."""
        return self.money.inflation if self.money.terms == "nominal" else 0.0

    def _in_first_year(self, amount: Decimal) -> Decimal:
        """Return an amount a year at prices of today as year 1 has it, in the terms of the money."""
        return amount * (1 + _exact(self._rise))

    @property
    def generator_cost(self) -> float:
        """Return what the generator costs to buy; nothing where it is there already."""
        return float(self.prices.generator or 0) * self.generator_w / 1000.0

    def part_factor(self, life_years: int) -> float:
        """Return what a part of price 1 costs over the years in money of today, less what is left of it if that counts."""
        return -worth(self._of((self._part("part", Decimal(1), life_years),), _NOTHING, _NOTHING)).npv

    def yearly_factor(self, change: float) -> float:
        """Return what 1 a year at prices of today, changing so much each year after the first, is worth in money of today."""
        years = np.arange(1, self.money.years + 1)
        rate, terms = self.money.rate, (1.0 + self._rise) * (1.0 + change) ** (years - 1)
        return float((terms / (1.0 + rate) ** years).sum())

    def bill_factor(self) -> float:
        """Return what a yearly bill of 1 at prices of today comes to over the years in money of today; it never fades."""
        return self.yearly_factor(self.money.change)

    def saving_factor(self) -> float:
        """Return what hardware is worth over the years in money of today that saves 1 a year at prices of today: it fades."""
        return self.yearly_factor((1.0 + self.money.change) * (1.0 - self.money.fade) - 1.0)

    def fuel(self, kwh_a_year: Floats) -> Floats:
        """Return what a generator that gives so much a year costs over the years in money of today; nothing without a price."""
        return float(self.prices.fuel or 0) * self.yearly_factor(self.money.change) * kwh_a_year

    def held_off(self, loads: int) -> float:
        """Return what keeping so many loads off without the grid costs to buy."""
        return float(self.prices.held_off * loads)

    def parts(self, size: Size, held_off: int, battery_years: int) -> tuple[Bought, ...]:
        """Return what is bought of a size, and to keep so many loads off, with its life: what is none of it is left out."""
        prices, new = self.prices, beyond(one_of(size), self.kept).at(0)
        kw = (new.pv_w / 1000.0, new.inverter_va / 1000.0, new.battery_wh / 1000.0)
        each = (
            Bought("PV", kw[0], "kWp", prices.pv * _exact(kw[0]), prices.pv_years),
            Bought("inverter", kw[1], "kVA", prices.inverter * _exact(kw[1]), prices.inverter_years),
            Bought("battery", kw[2], "kWh", prices.battery * _exact(kw[2]), battery_years),
            Bought("generator", self.generator_w / 1000.0, "kW", _exact(self.generator_cost), prices.generator_years),
            Bought("relay and contactor of a load kept off", held_off, "pcs", prices.held_off * held_off, self.money.years),
        )
        fixed = Bought("planning, board and permission", 1.0, "pcs", prices.fixed, self.money.years)
        made = tuple(one for one in each if one.amount > 0.0)
        return (fixed, *made) if new != NOTHING and prices.fixed else made

    def is_loan_too_large(self, bought: Decimal) -> bool:
        """Return whether more is lent than is bought."""
        return self.money.loan is not None and self.money.loan.amount > bought

    def investment(self, size: Size, saving: float, yield_kwh: float | None, battery_years: int, held_off: int = 0) -> Investment:
        """Return what is bought of a size, and to hold loads off, as an investment that saves so much a year at prices of today.

        In nominal terms that has risen by inflation once by the end of the first year, as upkeep has; parts that are bought
        again rise with it too. So real and nominal terms come to the same. ``yield_kwh`` is what PV of it gives in a year, None
        where none is bought.
        """
        prices, bought = self.prices, self.parts(size, held_off, battery_years)
        parts = tuple(self._part(one.name, _cents(one.cost), one.life_years) for one in bought if one.cost > 0)
        nothing = (Part(name="nothing", cost=_NOTHING, life_years=1),)
        made = self._of(parts or nothing, _cents(_exact(saving)), prices.upkeep if parts else _NOTHING)
        money = self.money
        loan = None if self.is_loan_too_large(sum((one.cost for one in parts), _NOTHING)) else money.loan
        return made.model_copy(
            update={
                "loan": loan, "tax": money.tax, "incentives": money.incentives, "yield_kwh": yield_kwh,
            }
        )  # fmt: skip

    def carrying(self, size: Size, generator_kwh: float, battery_years: int, held_off: int = 0) -> Investment:
        """Return what is bought of a size for a site without a grid; what its generator burns in a year is a saving below 0."""
        made = self.investment(size, 0.0, None, battery_years, held_off)
        burnt = _cents(_exact(-float(self.prices.fuel or 0) * generator_kwh))
        fuel = Saving(first_year=self._in_first_year(burnt), change=Held(self.money.change))
        return made.model_copy(update={"saving": fuel})

    def _part(self, name: str, cost: Decimal, life_years: int) -> Part:
        return Part(name=name, cost=cost, life_years=life_years, change=Held(self._rise), residual=self.money.residual)

    def _of(self, parts: tuple[Part, ...], saving: Decimal, upkeep: Decimal) -> Investment:
        money = self.money
        # Any currency will do where there is none: such amounts rank sizes and are never shown.
        return Investment(
            name="inverter, battery and PV", currency=self.currency or "EUR", years=money.years, terms=money.terms,
            inflation=Held(money.inflation), rate=Held(money.rate), parts=parts,
            operation=self._in_first_year(upkeep), operation_change=Held(self._rise),
            saving=Saving(first_year=self._in_first_year(saving), change=Held(money.change), fade=Held(money.fade)),
        )  # fmt: skip

    def _sum(self, sizes: Sizes, fixed: float, pv: float, inverter: float, battery: Floats | float) -> Floats:
        prices, sizes = self.prices, beyond(sizes, self.kept)
        made = float(prices.pv) * pv * sizes.pv_w + float(prices.inverter) * inverter * sizes.inverter_va
        made = (made + float(prices.battery) * battery * sizes.battery_wh) / 1000.0
        return made + float(prices.fixed) * fixed * ((sizes.pv_w > 0.0) | (sizes.battery_wh > 0.0) | (sizes.inverter_va > 0.0))


def _exact(value: float) -> Decimal:
    return Decimal(repr(value))


def _cents(value: Decimal) -> Decimal:
    return value.quantize(Decimal("0.01"))
