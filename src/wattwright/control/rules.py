"""Rules as a person writes them: what switches a load, on what, and with which delays."""

from typing import Annotated, Literal, Self

from pydantic import Field, NaiveDatetime, ValidationInfo, field_validator, model_validator

from wattwright.control.moments import MomentOfDay
from wattwright.core.errors import UnitError
from wattwright.core.fields import DurationS, Spec
from wattwright.core.quantity import Phase
from wattwright.core.units import parse

Day = Literal["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]
Quantity = Literal[
    "site power", "export power", "current", "voltage", "state of charge", "outdoor temperature", "grid voltage",
    "load value",
]  # fmt: skip
"""What a limit or a set point can look at. ``load value`` is what a sensor on a load shows: the temperature of a tank, room or
store, relative humidity, soil depletion. ``grid voltage`` is that before any changeover: it goes where the grid does, while the
site may be carried on."""
UNITS = {
    "site power": "W", "export power": "W", "current": "A", "voltage": "V", "state of charge": "1", "outdoor temperature": "degC",
    "grid voltage": "V",
}  # fmt: skip
"""The units quantities are held in; that of a load's value is the load's own and is written as a plain number."""


def in_unit(written: str | float, quantity: Quantity) -> float:
    """Return a threshold in the unit its quantity is held in; raises ValueError for another unit or none."""
    try:
        return float(written) if quantity == "load value" else parse(str(written), UNITS[quantity])
    except UnitError as error:
        fault = error.faults[0]
        raise ValueError(f"{fault.wanted}|{fault.next_step}") from error
    except ValueError as error:
        raise ValueError("a plain number in the unit of the load's own value|Leave the unit out.") from error


def _with_unit(given: str | float, known: ValidationInfo) -> str | float:
    """Return a threshold as written, once it is known to be one of its quantity."""
    if "quantity" in known.data:  # a quantity that is wrong is told by itself
        in_unit(given, known.data["quantity"])
    return given


class Rule(Spec):
    """What every rule has."""

    id: str = Field(pattern=r"^[a-z][a-z0-9-]*$", description="stable id: small letters, digits and hyphens")
    load: str = Field(description="id of the load whose contact it works")
    beside: bool = Field(
        False, description="true where its contact lies parallel to the others and calls by itself; in series if left out"
    )
    months: tuple[Annotated[int, Field(ge=1, le=12)], ...] = Field((), description="months in which it acts; all if left out")
    other_months: Literal["no say", "open"] = Field(
        "no say", description="what its contact does in the other months: nothing, so that other rules decide, or it stays open"
    )


class SwitchTimes(Spec):
    """One line of a time programme, on the site's clock."""

    days: tuple[Day, ...] = Field(
        ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"),
        min_length=1,
        description="days of the week on which it switches on; every day where none is chosen",
    )
    on: MomentOfDay = Field(description='when it switches on: 06:30:00, or "sunset - 30 min"')
    off: MomentOfDay = Field(description="when it switches off; earlier than on means the next day")


class TimeProgramme(Rule):
    """Closed between the times of its lines, open otherwise."""

    kind: Literal["time programme"] = Field(description="a weekly list of times")
    times: tuple[SwitchTimes, ...] = Field(min_length=1, description="lines of the programme")
    holidays: Literal["as usual", "as Sunday", "off"] = Field("as usual", description="what public holidays are taken for")
    without_sun: Literal["skip", "whole day"] = Field(
        "skip", description="what a line by the sun does on a day on which the sun does not rise or set"
    )


class RepeatCycle(Rule):
    """Closed for one time, open for another, over and over."""

    kind: Literal["repeat-cycle timer"] = Field(description="a timer that repeats")
    on_for_s: DurationS = Field(alias="on_for", gt=0, description="how long on")
    off_for_s: DurationS = Field(alias="off_for", gt=0, description="how long off")
    begins: Literal["on", "off"] = Field("on", description="which of the two comes first")


class Measured(Rule):
    """A rule that looks at a measured quantity."""

    quantity: Quantity = Field(description="what it looks at")
    of: str = Field("", description="id of the load whose value it is; the rule's own load if left out")
    phase: Phase = Field(
        Phase.TOTAL, description="conductor, for a current or voltage; that furthest beyond the threshold if left out"
    )
    interval_s: DurationS = Field(0.0, alias="measured_every", ge=0, description="measuring interval; at once if left out")
    report_s: DurationS = Field(0.0, alias="reported_after", ge=0, description="time from measuring to seeing the value")

    @model_validator(mode="after")
    def _on_a_line(self) -> Self:
        if self.phase == Phase.NEUTRAL:
            raise ValueError("a line conductor, or none for the highest|Choose L1, L2, L3, A or B, or leave phase out.")
        return self


class Limit(Measured):
    """Picks up when a quantity passes its pick-up value for the on-delay, drops out when it is back at the drop-out value."""

    kind: Literal["limit"] = Field(description="a measuring relay")
    acts: Literal["above", "below"] = Field("above", description="whether it picks up above or below its pick-up value")
    pick_up: str | float = Field(description='value at which it picks up, with its unit: "9.2 kW"')
    drop_out: str | float = Field(description="value at which it drops out again")
    on_delay_s: DurationS = Field(0.0, alias="on_delay", ge=0, description="how long the value must be beyond before it picks up")
    off_delay_s: DurationS = Field(0.0, alias="off_delay", ge=0, description="how long it must be back before it drops out")
    contact: Literal["opens", "closes"] = Field("opens", description="what its contact does when it picks up")

    @field_validator("pick_up", "drop_out")
    @classmethod
    def _in_its_unit(cls, given: str | float, known: ValidationInfo) -> str | float:
        return _with_unit(given, known)

    @model_validator(mode="after")
    def _hysteresis(self) -> Self:
        pick, drop = in_unit(self.pick_up, self.quantity), in_unit(self.drop_out, self.quantity)
        if (pick - drop if self.acts == "above" else drop - pick) < 0:
            side = "not above" if self.acts == "above" else "not below"
            raise ValueError(f"a drop-out value {side} the pick-up value|Exchange the two, or turn acts round.")
        return self


class SetPoint(Measured):
    """A two-point controller: begins to call a differential away from its set point, ceases to call at the set point."""

    kind: Literal["set point"] = Field(description="a two-point controller")
    calls: Literal["below", "above"] = Field(description="calls when the value is below (heat, moisten) or above (cool, dry)")
    set_point: str | float = Field(description="value at which it ceases to call")
    differential: float = Field(gt=0, description="difference between ceasing and beginning to call, in the quantity's unit")

    @field_validator("set_point")
    @classmethod
    def _in_its_unit(cls, given: str | float, known: ValidationInfo) -> str | float:
        return _with_unit(given, known)


class Shedding(Spec):
    """The order in which loads go when the supply's limit is reached; the one that went last comes back first."""

    quantity: Literal["site power", "current"] = Field("site power", description="what is held against the limit")
    pick_up: str = Field(description='value at which loads are shed, with its unit: "9.2 kW"')
    restore: str = Field(description="value at or below which they come back")
    order: tuple[str, ...] = Field(min_length=1, description="ids of loads, the first to go first")
    delay_s: DurationS = Field(0.0, alias="delay", ge=0, description="how long above before the first load goes")
    next_s: DurationS = Field(1.0, alias="next_after", gt=0, description="how long until the next goes, if it is still too much")
    back_s: DurationS = Field(60.0, alias="back_after", ge=0, description="how long below before each load comes back")
    interval_s: DurationS = Field(0.0, alias="measured_every", ge=0, description="measuring interval; at once if left out")
    report_s: DurationS = Field(0.0, alias="reported_after", ge=0, description="time from measuring to seeing the value")

    @field_validator("pick_up", "restore")
    @classmethod
    def _in_its_unit(cls, given: str, known: ValidationInfo) -> str:
        return str(_with_unit(given, known))

    @model_validator(mode="after")
    def _below(self) -> Self:
        if in_unit(self.restore, self.quantity) >= in_unit(self.pick_up, self.quantity):
            raise ValueError("a restore value below the pick-up value|Leave room for the load that comes back.")
        return self


class Interlock(Spec):
    """Two loads of which only one may be fed, or a load that may only be fed while another runs (flow, airflow, door)."""

    kind: Literal["never both", "needs"] = Field(description="never both of them, or the first needs the second to run")
    loads: tuple[str, str] = Field(description="ids of the two loads")
    takes_over: bool = Field(
        False, description='for "never both": true where the first throws the second out, else the one that is fed stays'
    )
    run_on_s: DurationS = Field(
        0.0, alias="run_on", ge=0, description='for "needs": how long the second stays fed after the first (fan behind a heater)'
    )


LIFE = ("medical", "alarm", "fire", "livestock", "drainage")
"""Purposes on which life or property hang: their loads are not interrupted unless a person says so."""
Way = Literal["mains", "control circuit", "data input", "never"]


class Actuator(Spec):
    """How a load is switched: its contact, the link to it, and what it does by itself."""

    load: str = Field(description="id of the load it feeds")
    purpose: Literal["general", "medical", "alarm", "fire", "livestock", "drainage"] = Field(
        "general", description="what hangs on the load; all but general are never interrupted unless interrupt says how"
    )
    interrupt: Way | None = Field(
        None, description="how it interrupts the load; mains if left out, never for medical, alarm, fire, livestock, drainage"
    )
    min_on_s: DurationS = Field(0.0, alias="min_on", ge=0, description="minimum on-time")
    min_off_s: DurationS = Field(0.0, alias="min_off", ge=0, description="minimum off-time")
    restart_s: DurationS = Field(0.0, alias="restart_after", ge=0, description="restart delay after an outage, before any turn")
    power_up: Literal["open", "closed", "as it was"] = Field(
        "as it was", description="state from the supply's return until a command arrives"
    )
    fail_safe: Literal["open", "closed", "as it was"] = Field("as it was", description="state when the link is lost")
    lost_after_s: DurationS = Field(60.0, alias="lost_after", ge=0, description="how long without a link until it counts as lost")
    link_s: DurationS = Field(0.0, alias="link_delay", ge=0, description="time of a command on its way, relay included")
    unattended: bool = Field(True, description="whether the load may restart by itself after an outage")

    @property
    def never(self) -> bool:
        """Return whether nothing may interrupt the load."""
        return self.interrupt == "never" or (self.interrupt is None and self.purpose in LIFE)


class Override(Spec):
    """A person switches a load by hand for a time."""

    load: str = Field(description="id of the load")
    state: Literal["on", "off"] = Field(description="what the person wants")
    begins: NaiveDatetime = Field(description="when, on the site's clock, such as 2025-07-12T18:00:00")
    ends: NaiveDatetime = Field(description="until when")


AnyRule = Annotated[TimeProgramme | RepeatCycle | Limit | SetPoint, Field(discriminator="kind")]


class Control(Spec):
    """Everything that switches loads on a site."""

    rules: tuple[AnyRule, ...] = Field((), alias="rule", description="what switches loads")
    actuators: tuple[Actuator, ...] = Field((), alias="actuator", description="how they are switched; plain contacts if left out")
    shedding: Shedding | None = Field(None, description="protection of the supply")
    interlocks: tuple[Interlock, ...] = Field((), alias="interlock", description="what may not be fed together, or not alone")
    overrides: tuple[Override, ...] = Field((), alias="override", description="what a person does by hand")
    stagger_s: DurationS = Field(
        0.0, alias="stagger", ge=0, description="how long after one load the next comes back after an outage"
    )
    returns: tuple[str, ...] = Field(
        (), description="ids of loads in the order in which they come back; then those not named, as listed"
    )

    def actuator(self, load: str) -> Actuator:
        """Return how a load is switched: a plain contact where nothing is said."""
        return next((one for one in self.actuators if one.load == load), Actuator(load=load))
