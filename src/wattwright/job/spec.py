"""What a person writes in job.toml: one property's site, supply, meters, files, tariff, loads and rules of today."""

import datetime as dt
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, Field, NaiveDatetime, model_validator

from wattwright.control.rules import Control
from wattwright.core.calendar import public_holidays
from wattwright.core.clock import SiteClock
from wattwright.core.errors import InputError
from wattwright.core.fields import ApparentPowerVA, CurrentA, DurationS, PowerW, Spec, TemperatureC, VoltageV
from wattwright.demand.year.bills import Bill
from wattwright.generation.array import Array
from wattwright.job.gear_spec import GearSpec
from wattwright.job.loads import LoadSpec
from wattwright.job.names import Id
from wattwright.job.plan_spec import PlanSpec
from wattwright.job.refused import NotLoad
from wattwright.job.strings_spec import StringsSpec
from wattwright.plan.shed.spec import AcceptedControl, ShedGear
from wattwright.proof.measurement import AdjustmentSpec, MeasurementSpec
from wattwright.record.estimate import RULES, Method
from wattwright.record.spec import LayoutSpec
from wattwright.simulate.supply import PHASES, Battery, Closed, Generator, Inverter
from wattwright.sky.clearness import MonthlySun
from wattwright.supply.backup.spec import OutageRate
from wattwright.supply.island.spec import IslandSpec
from wattwright.supply.sizing.spec import QuoteSpec

VERSION = 2
"""The schema version this code writes and reads without bringing a file up."""


def _is_zone(text: str) -> str:
    try:
        return SiteClock(text).zone
    except InputError as error:
        fault = error.faults[0]
        raise ValueError(f"{fault.wanted}|{fault.next_step}") from error


def _is_locale(text: str) -> str:
    from babel import Locale, UnknownLocaleError

    try:
        Locale.parse(text)
    except (UnknownLocaleError, ValueError) as error:
        raise ValueError("a CLDR locale|Write language and country, for example en_GB or de_DE.") from error
    return text


def _is_country(text: str) -> str:
    try:
        public_holidays(text, None, _ANY_YEAR, _ANY_YEAR)
    except InputError as error:
        raise ValueError(f"a country by its two letters whose holidays are known|{error.faults[0].next_step}") from error
    return text


_ANY_YEAR = 2024
Zone = Annotated[str, AfterValidator(_is_zone), Field(description="IANA time zone of the site's clock, such as Europe/Athens")]


Country = Annotated[
    str, AfterValidator(_is_country), Field(description="two letters of ISO 3166, for public holidays; empty for none")
]


class SiteSpec(Spec):
    """Where the property is and which calendar it lives by."""

    zone: Zone
    latitude_deg: float = Field(
        45.0, alias="latitude", allow_inf_nan=False, ge=-90, le=90, description="degrees north; decides seasons and sun"
    )
    longitude_deg: float | None = Field(
        None,
        alias="longitude",
        allow_inf_nan=False,
        ge=-180,
        le=180,
        description="degrees east; with it the clock of generation from sunlight is held against the sun",
    )
    country: Country = ""
    subdivision: str = Field("", description="state or province, for its public holidays")

    @model_validator(mode="after")
    def _has_latitude(self) -> Self:
        if self.longitude_deg is not None and "latitude_deg" not in self.model_fields_set:
            raise ValueError("the latitude beside the longitude|Write latitude too, in degrees north.")
        return self

    @model_validator(mode="after")
    def _has_subdivision(self) -> Self:
        if self.subdivision:
            try:
                public_holidays(self.country, self.subdivision, _ANY_YEAR, _ANY_YEAR)
            except InputError as error:
                raise ValueError(
                    f"a subdivision of {self.country or 'a country'} whose holidays are known|Write ON for CA-ON."
                ) from error
        return self


class PaperSpec(Spec):
    """How results are shown on papers and screens; it changes no result."""

    date: dt.date = Field(description="date of this issue of the papers")
    revision: str = Field("A", max_length=12, description="revision of the papers")
    prepared_by: str = Field("", max_length=80, description="who made them")
    locale: Annotated[str, AfterValidator(_is_locale)] = Field(
        "en_GB", pattern=r"^[a-z]{2}(_[A-Z]{2})?$", description="number and date format, a CLDR locale"
    )
    units: Literal["SI", "US"] = Field("SI", description="unit system for temperatures, lengths and volumes")
    paper: Literal["A4", "Letter"] = Field("A4", description="paper size")


class SupplySpec(Spec):
    """The connection to the grid."""

    system: Literal["single-phase", "split-phase", "three-phase"] = Field(description="conductors of the supply")
    voltage_v: VoltageV = Field(alias="voltage", gt=0, le=1000, description="nominal voltage, line to neutral")
    main_protection_a: CurrentA | None = Field(
        None, alias="main_protection", gt=0, le=10_000, description="rating of the main fuse or breaker"
    )
    closed_after_s: DurationS = Field(
        1800.0, alias="closed_after", ge=0, description="until it has been closed again after a trip; usual: half an hour"
    )
    closed: Closed = Field("by hand", description="who closes it again after a trip")
    agreed_w: PowerW | None = Field(None, alias="agreed_power", gt=0, le=1e8, description="power agreed with the grid operator")
    agreed_va: ApparentPowerVA | None = Field(
        None, alias="agreed_apparent_power", gt=0, le=1e8, description="apparent power agreed with the grid operator"
    )
    power_factor: float = Field(
        0.95,
        ge=0.1,
        le=1,
        description="of the rest of the site, where neither reactive power nor current was measured, and of what limits in A "
        "and VA carry in kW; usual: 0.9 to 1",
    )

    @property
    def live_conductors(self) -> int:
        """Return how many live conductors it has: a rating in A is of each."""
        return {"single-phase": 1, "split-phase": 2, "three-phase": 3}[self.system]

    def carries_w(self, current_a: float) -> float:
        """Return the power in W of so much current in each conductor, at nominal voltage and power factor.

        This is where amperes become watts: each figure in kW that rests on a rating in A comes from here.
        """
        return current_a * self.voltage_v * len(PHASES[self.system]) * self.power_factor

    @property
    def protection_w(self) -> float | None:
        """Return what the main protection carries in W, None where its rating is not known."""
        return None if self.main_protection_a is None else self.carries_w(self.main_protection_a)

    @property
    def agreed_most_w(self) -> float | None:
        """Return the power agreed with the grid operator in W, apparent power at the power factor; None where nothing is."""
        if self.agreed_w is None and self.agreed_va is not None:
            return self.agreed_va * self.power_factor
        return self.agreed_w


class WeatherSpec(Spec):
    """The weather that loads are simulated in."""

    file: str = Field("", description="path of a weather file (TMY3, TM2, EPW, CSV), from the folder of job.toml; none if empty")
    air_c: TemperatureC = Field(15.0, alias="air", ge=-60, le=60, description="outdoor air, where there is no weather file")
    cold_water_c: TemperatureC = Field(
        12.0, alias="cold_water", ge=0, le=35, description="cold water from the main; usual: the year's mean of the air"
    )
    sun: MonthlySun = Field(MonthlySun.model_validate({}), description="the sun of PV, where there is no weather file")


class PvSpec(Array):
    """A PV array of the site: one to be simulated, or one that is there and measured."""

    meter: str = Field("", description="id of the meter that measures what it gives: its readings stand in place of any weather")


class Absence(Spec):
    """A time in which something is not there, on the site's clock."""

    begins: NaiveDatetime = Field(description="when it goes, such as 2025-07-12T18:00:00")
    ends: NaiveDatetime = Field(description="when it is back")

    @model_validator(mode="after")
    def _forward(self) -> Self:
        if self.ends <= self.begins:
            raise ValueError("an end after the beginning|Exchange the two.")
        return self


class MeterSpec(Spec):
    """A meter: the main one, or a sub-meter behind another."""

    id: Id
    name: str = Field("", max_length=80, description="what people call it")
    measures: str = Field("", max_length=200, description="what is connected to it")
    behind: str = Field("", description="id of the meter this one is behind; empty for the main meter")


class FileSpec(Spec):
    """A file of readings from one meter."""

    id: Id
    path: str = Field(min_length=1, description="path of the file, from the folder of job.toml")
    meter: str = Field(description="id of the meter it comes from")
    channel: str = Field(
        "", description='column or channel of the meter\'s active power, or "conductors" for their sum; found if left out'
    )
    finer: bool = Field(
        False,
        description="readings of the same meter at a shorter step, a week at one minute say: they only calibrate the peaks",
    )
    layout: LayoutSpec = Field(
        default_factory=LayoutSpec, description="how the file is to be read, where it does not say so itself"
    )


class RepairSpec(Spec):
    """What becomes of gaps in the main meter's readings."""

    gaps: Literal["leave", "estimate"] = Field(
        "leave",
        description="leave them, or fill them by the published rules: a straight line up to an hour, like days beyond; "
        "where a register spans a gap the total agrees with it",
    )
    refuse: tuple[Literal["straight line", "like days", "register"], ...] = Field(
        (), description="rules whose estimates are not taken: the gaps that they would fill stay"
    )

    @property
    def without(self) -> frozenset[Method]:
        """Return the rules that were refused."""
        return frozenset(RULES[one] for one in self.refuse)


class LimitSpec(Spec):
    """What the peaks are held against; the main protection or the agreed power of the supply if left out."""

    power_w: PowerW | None = Field(None, alias="power", gt=0, le=1e8, description="a limit of power")
    current_a: CurrentA | None = Field(None, alias="current", gt=0, le=10_000, description="a limit of current in each conductor")

    @model_validator(mode="after")
    def _is_one(self) -> Self:
        if self.power_w is not None and self.current_a is not None:
            raise ValueError("one limit, of power or of current|Take one of the two out.")
        return self


class TariffChoice(Spec):
    """Which tariff is paid today, and which ones to hold beside it."""

    files: tuple[str, ...] = Field((), description="paths of tariff files, from the folder of job.toml; none if not known yet")
    paid: str = Field("", description="id of the tariff paid today; the first in the files if left out")
    compare: tuple[str, ...] = Field((), description="ids of other tariffs to hold beside it")


class _Least(Spec):
    """The least that a battery of a job holds and its inverter carries: thousandths are a slip of the pen, and no device."""

    capacity: float = Field(10.0, ge=10.0)
    rating: float = Field(10.0, ge=10.0)


def _holds_something(given: Battery) -> Battery:
    """Return a battery as it was given; raises ValidationError, at its capacity, for one that holds next to nothing."""
    _Least(capacity=given.capacity_wh)
    return given


def _carries_something(given: Inverter) -> Inverter:
    """Return an inverter as it was given; raises ValidationError, at its rating, for one that carries next to nothing."""
    _Least(rating=given.rating_va)
    return given


class JobSpec(Spec):
    """One property's file."""

    version: int = Field(VERSION, ge=1, description="schema version of this file; wattwright brings older ones up")
    name: str = Field(min_length=1, max_length=80, description="name of the job")
    place: str = Field("", max_length=120, description="where the property is, in words")
    client: str = Field("", max_length=120, description="for whom the papers are")
    invented: bool = Field(False, description="true for a demonstration whose people, places and readings are made up")
    seed: int = Field(1, ge=0, description="seed of every random draw")
    site: SiteSpec
    papers: PaperSpec
    supply: SupplySpec | None = None
    meters: tuple[MeterSpec, ...] = ()
    files: tuple[FileSpec, ...] = ()
    repair: RepairSpec = Field(default_factory=RepairSpec)
    limit: LimitSpec = Field(default_factory=LimitSpec, description="what the peaks are held against")
    tariff: TariffChoice = Field(default_factory=TariffChoice)
    bills: tuple[Bill, ...] = Field(
        (), description="paid bills of the whole supply, in any order; the record is held against them"
    )
    loads: tuple[LoadSpec, ...] = ()
    not_loads: tuple[NotLoad, ...] = Field((), description="loads found in the record that are none, and are not proposed again")
    weather: WeatherSpec = Field(default_factory=WeatherSpec)
    pv: tuple[PvSpec, ...] = Field((), description="PV arrays: measured by a meter, or simulated under the sun of the weather")
    battery: Annotated[Battery, AfterValidator(_holds_something)] | None = None
    inverter: Annotated[Inverter, AfterValidator(_carries_something)] | None = None
    generator: Generator | None = None
    strings: tuple[StringsSpec, ...] = Field((), description="strings of PV modules, for the single-line diagram")
    island: IslandSpec = Field(
        default_factory=lambda: IslandSpec.model_validate({}), description="running without the grid: what makes it safe"
    )
    outage_rate: OutageRate | None = Field(None, description="how often the grid goes and for how long; nothing is guessed")
    outages: tuple[Absence, ...] = Field((), description="times without the grid that are to be simulated")
    link_losses: tuple[Absence, ...] = Field((), description="times without the link to the contacts that are to be simulated")
    control: Control = Field(default_factory=Control, description="how loads are switched today")
    plan: PlanSpec = Field(default_factory=PlanSpec, description="what a plan is to reach, and what it may do")
    quote: QuoteSpec = Field(
        QuoteSpec.model_validate({}), description="what inverter, battery and PV are to be quoted for, on offer, and cost"
    )
    measurement: MeasurementSpec = Field(
        MeasurementSpec.model_validate({}), description="how the saving is to be proved; frozen at handover"
    )
    adjustments: tuple[AdjustmentSpec, ...] = Field(
        (), description="events after the measures that both sides agreed to take out of the claim; no other is taken out"
    )
    gear: GearSpec = Field(default_factory=GearSpec, description="equipment and wiring of the site")
    shed_gear: ShedGear = Field(
        default_factory=ShedGear, description="the hardware by which loads are shed, as far as it is known"
    )
    accepted_control: AcceptedControl | None = Field(
        None,
        description="a control system that was accepted as holding the supply within its rating; no rating relies on another",
    )

    @model_validator(mode="after")
    def _sources_are_whole(self) -> Self:
        if self.battery is not None and self.inverter is None:
            raise ValueError("an inverter with the battery|Add an [inverter] table with its rating and role.")
        if self.stands_alone and self.battery is None and self.generator is None:
            raise ValueError("a battery or a generator for a site without a grid|Add a [battery] or a [generator] table.")
        return self

    @property
    def stands_alone(self) -> bool:
        """Return whether the site has no grid, by its inverter."""
        return self.inverter is not None and self.inverter.role == "stand-alone"

    def main_file(self) -> FileSpec | None:
        """Return the file of the main meter (the one behind no other), or None while there is none."""
        mains = [meter.id for meter in self.meters if not meter.behind]
        return next((one for one in self.files if one.meter in mains and not one.finer), None)

    def finer_file(self) -> FileSpec | None:
        """Return the file of finer readings of the main meter, or None where there is none."""
        main = self.main_file()
        return next((one for one in self.files if main is not None and one.finer and one.meter == main.meter), None)
