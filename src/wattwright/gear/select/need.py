"""What a load asks of whatever switches it."""

from dataclasses import dataclass
from typing import Literal

from wattwright.gear.circuit.appliance import Duty, RuleSet, System

Place = Literal["indoors", "outdoors", "bathroom", "pool", "horticulture"]
Sensed = Literal["temperature", "humidity", "soil moisture"]
Way = Literal["mains", "control circuit"]

YEARS = 10.0
"""How long a contact should last. Source: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """What is known besides the plate: air, place, neighbours on the rail, how often, for how long, and by what.

    ``peak_a`` is an inrush peak of a few milliseconds; ``switchings_a_year`` how often it is switched, None where nobody knows
    yet.
    ``control_v`` feeds the coils, that to neutral if None; ``lowest_share`` is the lowest voltage of the site over its nominal.
    ``classes`` are the classes of gear that hold the settings of the plan, any of which will do; empty without a plan.
    ``protected_a`` is the rating of the breaker before it, ``probe_way_m`` the way from probe to controller along the cable;
    ``way`` says whether the load itself is switched or the input of its own
    controller; ``main_a`` is the main protection of the supply.
    """

    ambient_c: float = 30.0
    place: Place = "indoors"
    beside: bool = True
    switchings_a_year: float | None = None
    years: float = YEARS
    control_v: float | None = None
    lowest_share: float = 0.9
    classes: tuple[str, ...] = ()
    senses: Sensed | None = None
    peak_a: float | None = None
    protected_a: float | None = None
    probe_way_m: float | None = None
    way: Way = "mains"
    main_a: float | None = None


@dataclass(frozen=True, slots=True)
class Need(Surroundings):
    """What a load asks of whatever switches it.

    ``running_a`` and ``starting_a`` are currents in a conductor (r.m.s.); ``between_v`` is the voltage between the conductors
    that
    feed it and ``to_neutral_v`` that to neutral or earth of one line. ``continuous`` says whether it may run for three hours or
    more; None where nobody knows yet.
    """

    name: str
    duty: Duty
    system: System
    running_a: float
    starting_a: float
    power_factor: float
    between_v: float
    to_neutral_v: float
    rule_set: RuleSet = "iec"
    continuous: bool | None = None

    @property
    def live_poles(self) -> int:
        """Return how many live conductors feed it: all of them must open."""
        return {"single-phase": 1, "split-phase": 2, "three-phase": 3}[self.system]

    @property
    def coil_v(self) -> float:
        """Return the voltage that coils are fed with: the one asked for, else line to neutral."""
        return self.control_v if self.control_v is not None else self.to_neutral_v
