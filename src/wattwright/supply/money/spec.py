"""What a person says of an investment: what it costs, what it saves, who lends, what the state takes and gives.

Every amount and every rate is in the terms that ``terms`` names, but for those fixed in a contract or by law: loan,
incentives and write-off are nominal by their nature.
"""

from decimal import Decimal
from typing import Literal, Self

from pydantic import Field, ValidationError, field_validator, model_validator
from pydantic_core import PydanticCustomError

from wattwright.core.fields import Share, Spec
from wattwright.core.money import is_currency
from wattwright.supply.money.terms import Terms
from wattwright.tariff.schema import Exact

LONGEST_YEARS = 60
Residual = Literal["none", "unused life"]
"""What a part is worth at the end: nothing, or the share of its life that is left, of what a new one costs then."""
_MOST = Decimal(10) ** 12
_PER_YEAR = "a year, in the terms of the whole; usual: 0 to 3 %"


class Part(Spec):
    """One part of what is bought, with its own life: array, inverter, battery, contactors."""

    name: str = Field(min_length=1, max_length=80, description="what it is")
    cost: Exact = Field(ge=0, le=_MOST, description="price at the start, with putting it up")
    life_years: int = Field(ge=1, le=LONGEST_YEARS, description="years until it must be replaced")
    again: Exact | None = Field(
        None, ge=0, le=_MOST, description="price of its replacement at prices of today; as cost if left out"
    )
    change: Share = Field(0.0, gt=-0.5, lt=0.5, description=f"how the price of its replacement changes {_PER_YEAR}")
    residual: Residual = Field(
        "none", description="worth at the end: nothing, or of the price of a new one then the share of its life that is left"
    )


class Saving(Spec):
    """What is saved on bills: the difference of real bills, year by year, or of a first year from which the others follow."""

    yearly: tuple[Exact, ...] = Field((), description="saved in each year, the first one first")
    first_year: Exact | None = Field(None, ge=-_MOST, le=_MOST, description="saved in the first year")
    change: Share = Field(0.0, gt=-0.5, lt=0.5, description=f"how prices of energy change {_PER_YEAR}")
    fade: Share = Field(0.0, ge=0, lt=0.5, description="share of the yield that is lost each year; usual for PV: 0.5 %")

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        if bool(self.yearly) == (self.first_year is not None):
            raise ValueError("either yearly or first_year|State one of the two.")
        if self.yearly and (self.change or self.fade):
            raise ValueError("yearly amounts as they are|Leave out change and fade: listed amounts hold both.")
        return self


class Loan(Spec):
    """Money lent at the start and paid back in equal yearly payments, as the bank states it: always nominal."""

    amount: Exact = Field(gt=0, le=_MOST, description="sum lent at the start")
    rate: Share = Field(ge=0, lt=1, description="nominal interest a year, as the bank states it")
    years: int = Field(ge=1, le=LONGEST_YEARS, description="years until it is paid back")


class Tax(Spec):
    """Tax on what the investment earns. Leave it out where saved bills are not taxed, as in most homes; ask a tax adviser."""

    rate: Share = Field(gt=0, lt=1, description="share of the profit that is paid as tax")
    write_off: tuple[Share, ...] = Field(
        min_length=1,
        max_length=LONGEST_YEARS,
        description="share of each purchase set off in each year after it; 1 in all",
    )
    losses: Literal["set against other income", "carried forward"] = Field(description="what a year's loss is good for")

    @field_validator("write_off")
    @classmethod
    def _whole(cls, given: tuple[float, ...]) -> tuple[float, ...]:
        if min(given) < 0 or abs(sum(given) - 1.0) > 1e-9:
            raise ValueError("shares of nought or more that add up to 1|Hold the list against the law's own table.")
        return given


class Incentive(Spec):
    """A grant or premium, in nominal money. None is built in: they differ by place and year."""

    name: str = Field(min_length=1, max_length=80, description="what it is called")
    amount: Exact = Field(gt=0, le=_MOST, description="what is paid out")
    year: int = Field(ge=0, le=LONGEST_YEARS, description="when: 0 at the start, 1 at the end of the first year")
    taxed: bool = Field(description="whether it counts as income")


def within_years(years: int, loan: Loan | None, incentives: tuple[Incentive, ...]) -> None:
    """Raise ValueError, for pydantic, where a loan, at its own years, or an incentive reaches beyond the years looked at."""
    if loan is not None and loan.years > years:
        told = f"a loan paid back within the {years} years looked at|Look at more years than {years}, or shorten the loan."
        wrong = PydanticCustomError("value_error", "{error}", {"error": told})
        raise ValidationError.from_exception_data("loan", [{"type": wrong, "loc": ("loan", "years"), "input": loan.years}])
    if any(one.year > years for one in incentives):
        raise ValueError("incentives within the years looked at|Look at more years, or leave them out.")


class Investment(Spec):
    """An investment, held over a number of years. What happens within a year counts at its end; the purchase is at year 0."""

    name: str = Field(min_length=1, max_length=80, description="what it is called")
    currency: str = Field(description="ISO 4217 code of all amounts")
    years: int = Field(ge=1, le=LONGEST_YEARS, description="years looked at; usual: 20 to 25 for PV")
    terms: Terms = Field(description="real: amounts in money of today and rates over inflation; nominal: as they will be paid")
    inflation: Share = Field(gt=-0.2, lt=0.5, description="general rise of prices a year, for the way between real and nominal")
    rate: Share = Field(gt=-0.2, lt=1, description="discount rate a year: what the money would earn elsewhere")
    parts: tuple[Part, ...] = Field(min_length=1, description="what is bought")
    saving: Saving = Field(description="what is saved on bills")
    operation: Exact = Field(Decimal(0), ge=0, le=_MOST, description="upkeep and insurance in the first year")
    operation_change: Share = Field(0.0, gt=-0.5, lt=0.5, description=f"how upkeep changes {_PER_YEAR}")
    loan: Loan | None = Field(None, description="money lent for it")
    tax: Tax | None = Field(None, description="tax on what it earns")
    incentives: tuple[Incentive, ...] = Field((), description="grants and premiums")
    yield_kwh: float | None = Field(None, gt=0, description="energy it gives in the first year; fades as the saving does")

    @field_validator("currency")
    @classmethod
    def _known(cls, given: str) -> str:
        if not is_currency(given):
            raise ValueError('an ISO 4217 code, for example "EUR"|Write three capital letters.')
        return given

    @model_validator(mode="after")
    def _fits(self) -> Self:
        if self.saving.yearly and len(self.saving.yearly) != self.years:
            raise ValueError(f"{self.years} yearly savings, one for each year|Add the missing years, or change years.")
        if self.loan is not None and self.loan.amount > sum(part.cost for part in self.parts):
            raise ValueError("a loan of at most what is bought|Lower the loan.")
        within_years(self.years, self.loan, self.incentives)
        return self
