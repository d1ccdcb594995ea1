"""What a person says of what is to be quoted: its purpose, what must be reached, the sizes on offer, and what they cost."""

from decimal import Decimal
from typing import Annotated, Final, Literal, Self

from pydantic import Field, field_validator, model_validator

from wattwright.core.fields import ApparentPowerVA, DurationS, EnergyWh, PowerW, Share, Spec
from wattwright.core.money import is_currency
from wattwright.generation.array import Array
from wattwright.supply.money.spec import LONGEST_YEARS, Incentive, Loan, Residual, Tax, within_years
from wattwright.supply.money.spread import Spread
from wattwright.supply.money.terms import Terms
from wattwright.supply.wear.spec import Wear
from wattwright.tariff.schema import Exact

Purpose = Literal["beside the grid", "carries the site in outages", "stand-alone"]
OutageSun = Literal["of the day", "dark days", "usual days"]
USUAL_RATINGS_VA = (
    1000.0, 1500.0, 2000.0, 2500.0, 3000.0, 3600.0, 4000.0, 5000.0, 6000.0, 8000.0, 10_000.0, 12_000.0, 15_000.0, 20_000.0,
    25_000.0, 30_000.0, 40_000.0, 50_000.0, 75_000.0, 100_000.0,
)  # fmt: skip
"""Continuous ratings of inverters as they are sold: common practice, no source."""
_MOST = Decimal(10) ** 9
MOST_RATING_VA: Final = 1e6
"""No inverter of a property is larger: that of ``[inverter]`` is held to the same bound."""
MOST_OUTAGE_S = 30 * 86_400.0


class Prices(Spec):
    """What parts cost, put up, in the currency of the tariff or their own. Ask the wholesaler: none is built in."""

    currency: str = Field(
        "", description="ISO 4217 code of these prices, where no tariff has one; a site without a grid has no tariff"
    )
    fixed: Exact = Field(Decimal(0), ge=0, le=_MOST, description="what is paid whatever the size: planning, board, permission")
    pv: Exact = Field(alias="pv_kw", ge=0, le=_MOST, description="of a kW of modules, put up and wired")
    inverter: Exact = Field(alias="inverter_kw", ge=0, le=_MOST, description="of a kVA of inverter, mounted")
    battery: Exact = Field(alias="battery_kwh", ge=0, le=_MOST, description="of a kWh of battery, mounted")
    held_off: Exact = Field(
        Decimal(0), alias="held_off_load", ge=0, le=_MOST,
        description="of each load that a plan keeps off without the grid: its relay and contactor, put up",
    )  # fmt: skip
    generator: Exact | None = Field(
        None, alias="generator_kw", ge=0, le=_MOST,
        description="of a kW of the job's generator, put up; of one that is there already leave it out",
    )  # fmt: skip
    fuel: Exact | None = Field(
        None, alias="fuel_kwh", ge=0, le=_MOST, description="fuel and service of a kWh that the generator gives"
    )
    upkeep: Exact = Field(Decimal(0), ge=0, le=_MOST, description="upkeep and insurance a year")
    pv_years: int = Field(25, ge=1, le=LONGEST_YEARS, description="life of the modules; usual: 25 to 30 years")
    inverter_years: int = Field(12, ge=1, le=LONGEST_YEARS, description="life of the inverter; usual: 10 to 15 years")
    generator_years: int = Field(15, ge=1, le=LONGEST_YEARS, description="life of the generator; usual: 10 to 20 years")
    battery_years: int | None = Field(
        None, ge=1, le=LONGEST_YEARS, description="life of the battery, as by its wear under the simulated charge if left out"
    )

    @field_validator("currency")
    @classmethod
    def _known(cls, given: str) -> str:
        if given and not is_currency(given):
            raise ValueError('an ISO 4217 code, for example "EUR"|Write three capital letters.')
        return given


class PriceScenario(Spec):
    """One way that prices of energy may go."""

    name: str = Field(min_length=1, max_length=40, description="what it is called")
    change: Share = Field(gt=-0.5, lt=0.5, description="how prices of energy change a year, in the terms of the money")


class MoneySpec(Spec):
    """How the money is looked at over the years."""

    years: int = Field(20, ge=1, le=LONGEST_YEARS, description="years looked at; usual: 20 to 25 for PV")
    terms: Terms = Field("real", description="real: money of today and rates over inflation; nominal: amounts as they are paid")
    rate: Share = Field(0.03, gt=-0.2, lt=1, description="discount rate a year; usual: 3 % real")
    inflation: Share = Field(
        0.02, gt=-0.2, lt=0.5, description="general rise of prices a year; in nominal terms parts and upkeep rise with it"
    )
    change: Share = Field(
        0.0, gt=-0.5, lt=0.5, description="how prices of energy change a year, in these terms: nominal holds inflation"
    )
    fade: Share = Field(0.005, ge=0, lt=0.5, description="share of the saving that is lost a year as parts age; usual: 0.5 %")
    residual: Residual = Field(
        "none",
        description="worth of parts at the end: nothing, or of the price of a new one then the share of its life that is left",
    )
    loan: Loan | None = Field(None, description="money lent for it")
    tax: Tax | None = Field(None, description="tax on what it earns")
    incentives: tuple[Incentive, ...] = Field((), description="grants and premiums: none is built in")
    scenarios: tuple[PriceScenario, ...] = Field((), max_length=6, description="other ways that prices may go, told beside it")
    spread: Spread | None = Field(None, description="what is unsure, for the band of what it is worth")

    @model_validator(mode="after")
    def _fits(self) -> Self:
        within_years(self.years, self.loan, self.incentives)
        if len({one.name for one in self.scenarios}) < len(self.scenarios):
            raise ValueError("scenarios that each have a name of their own|Name them apart.")
        return self


class QuoteSpec(Spec):
    """What is to be quoted. What is left out is taken from the job's own inverter and battery, or is usual."""

    purpose: Purpose | None = Field(None, description="what it is for; that of the job's inverter, else beside the grid")
    outage_s: DurationS | None = Field(
        None, alias="outage", gt=0, le=MOST_OUTAGE_S, description="longest outage that is to be carried; usual: 4 h"
    )
    outage_sun: OutageSun = Field(
        "of the day",
        description="sun of the outages that a size is chosen by: of the day, or that of dark or usual days of the season; "
        "dark days where it must hold then too",
    )
    unserved: Share | None = Field(
        None, ge=0, lt=1,
        description="most of the energy wanted without the grid that may fail to come; usual: none, of a stand-alone site 1 %",
    )  # fmt: skip
    own_share: Share | None = Field(
        None, gt=0, lt=1, description="least share of the site's energy that does not come from the grid, beside the grid"
    )
    peak_w: PowerW | None = Field(
        None, alias="peak", gt=0, le=1e6, description="highest import wanted; the battery then gives what goes beyond"
    )
    ratings_va: tuple[Annotated[ApparentPowerVA, Field(gt=0, le=MOST_RATING_VA)], ...] = Field(
        USUAL_RATINGS_VA, alias="inverters", min_length=1, max_length=40,
        description="ratings of inverters on offer, each 1 MVA at most, as that of [inverter]",
    )  # fmt: skip
    keeps: bool = Field(
        False,
        description="true: the battery and inverter of the job are there and stay; only what comes beside them is bought",
    )
    bears_s: DurationS | None = Field(
        None, alias="bears", ge=0, le=60,
        description="longest time without power that the loads bear when the grid goes; usual: 10 to 20 ms for computers",
    )  # fmt: skip
    own_draw: Share | None = Field(
        None, ge=0, lt=0.1,
        description="own draw of a new inverter while it is on, over its rating, from data sheets; if left out that of "
        "[inverter] over its own, which is common practice, no source; an inverter that stays keeps its own",
    )  # fmt: skip
    pv: tuple[Array, ...] = Field(
        (), description="where modules could lie, each with the most there is room for; the job's own arrays if left out"
    )
    battery_most_wh: EnergyWh | None = Field(
        None, alias="battery_most", gt=0, le=1e7, description="largest battery looked at; two days' energy if left out"
    )
    steps: int = Field(40, ge=2, le=100, description="sizes of PV and of battery that are tried, each from none to the most")
    hours: float = Field(2.0, gt=0.1, le=40, description="h a battery gives its energy in at full power; usual: 2")
    wear: Wear = Field(Wear.model_validate({}), description="how the battery ages")
    prices: Prices | None = Field(None, description="what parts cost")
    money: MoneySpec = Field(MoneySpec.model_validate({}), description="how the money is looked at over the years")

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if list(self.ratings_va) != sorted(set(self.ratings_va)):
            raise ValueError("inverters on offer, each rating once, the smallest first|Put them in order.")
        return self
