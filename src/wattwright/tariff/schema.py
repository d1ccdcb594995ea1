"""What a person writes about a tariff: frozen specs, prices as exact decimals in quotes.

A file holds one or more ``[[tariff]]`` entries. Entries with the same ``id`` follow one another in time and are one
tariff (its versions); entries with different ids are alternatives.
"""

import re
from calendar import monthrange
from datetime import date
from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, WithJsonSchema

from wattwright.core.fields import DurationS, Spec

_NUMBER = re.compile(r"[+-]?[0-9]{1,9}(\.[0-9]{1,9})?")
_CLOCK = re.compile(r"[0-2][0-9]:[0-5][0-9]")
_DAY = re.compile(r"[01][0-9]-[0-3][0-9]")
_ID = r"[a-z0-9][a-z0-9-]*"
_CODE = r"[A-Z]{3}"
_QUOTE = '|Put it in quotes, such as "0.1642", so that no digit is lost.'


def _exact(given: Any) -> Any:
    if isinstance(given, Decimal) or (isinstance(given, int) and not isinstance(given, bool)):
        return Decimal(given)
    if not isinstance(given, str):
        raise ValueError(f"a number in quotes{_QUOTE}")
    if not _NUMBER.fullmatch(given):
        raise ValueError(f"a number of at most nine digits before and nine behind a decimal point{_QUOTE}")
    return Decimal(given)


def _clock_minute(given: Any) -> Any:
    if isinstance(given, str) and _CLOCK.fullmatch(given):
        minute = 60 * int(given[:2]) + int(given[3:])
        if minute <= 1440:
            return minute
    raise ValueError('a time of day from "00:00" to "24:00"|Write hours and minutes in quotes, such as "07:30".')


def _month_day(given: Any) -> Any:
    if isinstance(given, str) and _DAY.fullmatch(given):
        month, day = int(given[:2]), int(given[3:])
        # 2000 is a leap year, so 02-29 is a day too.
        if 1 <= month <= 12 and 1 <= day <= monthrange(2000, month)[1]:
            return 100 * month + day
    raise ValueError('a month and day such as "11-01"|Write month and day in quotes, two digits each.')


def _id(given: str) -> str:
    if not re.fullmatch(_ID, given):
        near = re.sub(r"[^a-z0-9]+", "-", given.lower()).strip("-") or "day-night"
        raise ValueError(f"small letters, digits and hyphens, beginning with a letter or digit|Write for example {near}.")
    return given


def _currency(given: str) -> str:
    if not re.fullmatch(_CODE, given):
        raise ValueError("an ISO 4217 currency code, three capital letters|Write for example EUR.")
    return given


def _some(given: tuple[Any, ...]) -> tuple[Any, ...]:
    # A length bound of pydantic's own would also count out every element that is wrong in itself.
    if not given:
        raise ValueError("at least one of them|Add one.")
    return given


_AT_LEAST_ONE = AfterValidator(_some)
_TEXT_NUMBER = WithJsonSchema({"type": "string", "examples": ["0.1642"]})
Exact = Annotated[Decimal, BeforeValidator(_exact), _TEXT_NUMBER]
"""A decimal number written in quotes (a whole number needs none)."""
Positive = Annotated[Decimal, BeforeValidator(_exact), Field(ge=0), _TEXT_NUMBER]
ClockMinute = Annotated[int, BeforeValidator(_clock_minute), WithJsonSchema({"type": "string", "examples": ["07:30", "24:00"]})]
"""A time of day written "HH:MM", held as the minute of the day 0..1440."""
MonthDay = Annotated[int, BeforeValidator(_month_day), WithJsonSchema({"type": "string", "examples": ["11-01"]})]
"""A day of the year written "MM-DD", held as 100 x month + day."""
Name = Annotated[str, Field(min_length=1, max_length=80)]
PartMonth = Literal["by days", "whole"]
DayName = Literal[
    "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday", "working days", "weekend", "holiday"
]


class Priced(Spec):
    """What every priced entry says: its label on the bill, and what the price rests on."""

    label: Name = Field(description="name of the line on the bill; other entries refer to it by this name")
    basis: Literal["published", "assumed"] | None = Field(
        None, description="whether the price was published or is assumed; the tariff's own mark where left out"
    )
    source: str = Field("", description="where the price stands; the tariff's own source where left out")


class RoundingSpec(Spec):
    """When and how amounts are rounded."""

    when: Literal["each line", "each bill", "never"] = Field(
        "each line", description="round each line, or only the sum of each bill (as a line of its own), or not at all"
    )
    rule: Literal["half up", "half even"] = Field("half up", description="what happens to an exact half")
    unit: Annotated[Decimal, BeforeValidator(_exact), Field(gt=0), _TEXT_NUMBER] | None = Field(
        None, description="smallest amount, such as 0.05; the currency's minor unit where left out"
    )


class BillingSpec(Spec):
    """How readings become billed quantities."""

    start_day: int = Field(1, ge=1, le=28, description="day of the month on which each bill begins, at local midnight")
    energy_decimals: int = Field(
        3, ge=0, le=6, description="decimals of kWh: the energy of each price period of each bill is rounded to these"
    )
    demand_decimals: int = Field(3, ge=0, le=6, description="decimals of kW or kVA to which a billed demand is rounded")


class HolidaysSpec(Spec):
    """The days that count as holidays."""

    country: str = Field("", description="country by its two letters (ISO 3166-1) for its public holidays; empty for none")
    subdivision: str = Field("", description="state or province (ISO 3166-2 without the country), such as ON")
    add: tuple[date, ...] = Field((), description="further dates that count as holidays")
    drop: tuple[date, ...] = Field((), description="dates that do not count as holidays after all")


class RangeSpec(Spec):
    """Days of the year from one to another, both included; may run over the turn of the year."""

    first: MonthDay = Field(alias="from", description="first day, month-day")
    last: MonthDay = Field(alias="to", description="last day, month-day, included")


class SeasonSpec(Spec):
    """A season of the tariff."""

    name: Name = Field(description="name that windows refer to")
    ranges: Annotated[tuple[RangeSpec, ...], _AT_LEAST_ONE] = Field(description="days of the year that belong to it")


class WindowSpec(Spec):
    """Hours of the local clock that belong to a price period; the first window that fits decides.

    ``from`` later than ``to`` runs over midnight; day type and season are always those of the calendar day the clock shows,
    so the hours after midnight belong to the new day.
    """

    period: Name = Field(description="price period these hours belong to")
    seasons: tuple[Name, ...] = Field((), description="seasons in which it holds; all where left out")
    days: tuple[DayName, ...] = Field((), description="day types on which it holds; all where left out. "
                                      "A holiday is a day type of its own, whatever its weekday")  # fmt: skip
    start: ClockMinute = Field(0, alias="from", description="local time at which it begins")
    end: ClockMinute = Field(1440, alias="to", description="local time at which it ends, not included")


class FixedSpec(Priced):
    """A charge that does not depend on use."""

    price: Exact = Field(description="amount per unit of time, and per kW or kVA where so said")
    per: Literal["day", "month", "year", "bill"] = Field(description="what the amount is for")
    of: Literal["supply", "contracted kW", "contracted kVA"] = Field(
        "supply", description="charged once for the supply, or for each contracted kW or kVA"
    )
    part_month: PartMonth = Field(
        "by days", description="a month or year billed in part: charged by its days, or whole (a year as its twelfth)"
    )


class BlockSpec(Spec):
    """One block of energy."""

    upto_kwh: Annotated[Decimal, BeforeValidator(_exact), Field(gt=0), _TEXT_NUMBER] | None = Field(
        None, description="upper end of the block in kWh, counted from nought; left out for the last block"
    )
    price: Exact = Field(description="price per kWh within the block")


class EnergySpec(Priced):
    """A price for energy: one for all, one per period, or one per block. Entries with the same label are one charge.

    The entries of one charge together price every period exactly once.
    """

    periods: tuple[Name, ...] = Field((), description="periods whose energy it counts together; all where left out")
    price: Exact | None = Field(None, description="one price per kWh")
    prices: dict[Name, Exact] = Field({}, description="price per kWh of each period, each a line of its own")
    blocks: tuple[BlockSpec, ...] = Field((), description="price per kWh by blocks of rising energy")
    blocks_per: Literal["month", "day"] = Field("month", description="what the blocks are for: each bill, or each local day")
    block_days: int | None = Field(
        None, ge=1, le=366, description="the blocks are for so many days and scale with the days billed"
    )
    part_month: PartMonth = Field("by days", description="blocks of a month billed in part: scaled by its days, or whole")


class RatchetSpec(Spec):
    """The billed demand never falls below a share of the highest of the months before."""

    share: Annotated[Decimal, BeforeValidator(_exact), Field(gt=0, le=1), _TEXT_NUMBER] = Field(
        description="share of the highest demand, 0.80 for 80 %"
    )
    months: int = Field(ge=1, le=36, description="how many months before the billed one are looked at")


class DemandSpec(Priced):
    """A charge on the highest mean power over a window, per month."""

    price: Exact = Field(description="price per kW or kVA and month")
    quantity: Literal["kW", "kVA"] = Field("kW", description="active or apparent power")
    window_s: DurationS = Field(900.0, alias="window", description="averaging window: 15 min, 30 min or 60 min")
    align: Literal["clock", "rolling"] = Field(
        "clock", description="windows at whole multiples on the clock, or rolling at the step of the record"
    )
    periods: tuple[Name, ...] = Field((), description="periods in which it is measured, by the window's start; all if left out")
    ratchet: RatchetSpec | None = Field(None, description="share of the highest of the months before")
    minimum: Positive = Field(Decimal(0), description="lowest demand billed, kW or kVA")
    minimum_share: Positive = Field(Decimal(0), le=1, description="lowest demand billed as a share of the contracted capacity")
    target_power_factor: Annotated[Decimal, BeforeValidator(_exact), Field(gt=0, le=1), _TEXT_NUMBER] | None = Field(
        None, description="kW are multiplied by target over actual power factor of the month when that is below the target"
    )
    assumed_power_factor: Annotated[Decimal, BeforeValidator(_exact), Field(gt=0, le=1), _TEXT_NUMBER] | None = Field(
        None, description="power factor taken where the record has no reactive or apparent readings"
    )
    part_month: PartMonth = Field("by days", description="a month billed in part: charged by its days, or whole")


class ReactiveSpec(Priced):
    """A charge on reactive energy beyond a share of the active energy of the bill."""

    price: Exact = Field(description="price per kvarh")
    free_share: Positive = Field(Decimal(0), description="kvarh per kWh that cost nothing, 0.40 for 40 %")


class ExportSpec(Priced):
    """What exported energy earns, and how it is set against imported energy."""

    price: Exact | None = Field(None, description="credit per exported kWh, one for all periods")
    prices: dict[Name, Exact] = Field({}, description="credit per exported kWh of each period")
    netting: Literal["none", "each interval", "each bill"] = Field(
        "none",
        description="import and export are counted apart, or netted within each interval of the record, or kWh for kWh "
        "within each price period of each bill, never below nought",
    )
    surplus: Literal["paid", "carried", "lost"] = Field(
        "paid", description="with netting over each bill: the surplus kWh are paid, carried to the next bills, or lost"
    )
    settlement_month: int | None = Field(
        None, ge=1, le=12, description="bill beginning in this month settles what is carried; the last bill where left out"
    )
    at_settlement: Literal["paid", "lost"] = Field("paid", description="what becomes of carried kWh then")


class LevySpec(Priced):
    """A tax or levy, applied in the order of the file: an amount per kWh, or per cent of lines before it."""

    price: Exact | None = Field(None, description="amount per billed kWh")
    percent: Exact | None = Field(None, description="per cent of the lines named in of")
    of: tuple[Name, ...] = Field((), description="labels of the lines it is taken of; all lines so far where left out")


class EnteredSpec(Priced):
    """A line of each bill that is known only as an amount."""

    amount: Exact = Field(description="amount on each bill")


class ContractedSpec(Spec):
    """Capacity agreed with the supplier."""

    kw: Positive | None = Field(None, description="contracted active power, kW")
    kva: Positive | None = Field(None, description="contracted apparent power, kVA")


class TariffSpec(Spec):
    """One tariff, or one of its versions in time."""

    id: Annotated[str, AfterValidator(_id)] = Field(
        description="short name; entries with the same id are versions of one tariff", json_schema_extra={"pattern": f"^{_ID}$"}
    )
    name: Name = Field(description="name shown to people")
    currency: Annotated[str, AfterValidator(_currency)] = Field(
        description="ISO 4217 code, such as EUR; prices are in this currency", json_schema_extra={"pattern": f"^{_CODE}$"}
    )
    first: date | None = Field(None, alias="from", description="first day it holds, from local midnight; open where left out")
    last: date | None = Field(None, alias="to", description="last day it holds, included; open where left out")
    basis: Literal["published", "assumed"] = Field("assumed", description="whether its prices were published or are assumed")
    source: str = Field("", description="where its prices stand")
    rest: Name | None = Field(None, description="price period of all hours that no window covers")
    rounding: RoundingSpec = Field(RoundingSpec(), description="when and how amounts are rounded")
    billing: BillingSpec = Field(BillingSpec(), description="how readings become billed quantities")
    contracted: ContractedSpec = Field(ContractedSpec(), description="capacity agreed with the supplier")
    holidays: HolidaysSpec = Field(HolidaysSpec(), description="days that count as holidays")
    seasons: tuple[SeasonSpec, ...] = Field((), alias="season", description="seasons that windows refer to")
    windows: tuple[WindowSpec, ...] = Field((), alias="window", description="hours of the price periods, first fit decides")
    fixed: tuple[FixedSpec, ...] = Field((), description="charges that do not depend on use")
    energy: Annotated[tuple[EnergySpec, ...], _AT_LEAST_ONE] = Field(description="prices of energy")
    demand: tuple[DemandSpec, ...] = Field((), description="charges on maximum demand")
    reactive: tuple[ReactiveSpec, ...] = Field((), description="charges on reactive energy")
    export: ExportSpec | None = Field(None, description="what exported energy earns; nothing where left out")
    entered: tuple[EnteredSpec, ...] = Field((), description="lines known only as an amount")
    levies: tuple[LevySpec, ...] = Field((), alias="levy", description="taxes and levies in the order they are applied")

    @property
    def periods(self) -> tuple[str, ...]:
        """Return the names of the price periods: those of the windows in order, then the rest; "all" without either."""
        names = [window.period for window in self.windows] + ([self.rest] if self.rest else [])
        return tuple(dict.fromkeys(names)) or ("all",)


class TariffFileSpec(Spec):
    """A tariff file as it is written."""

    entries: Annotated[tuple[TariffSpec, ...], _AT_LEAST_ONE] = Field(alias="tariff", description="tariffs and their versions")
