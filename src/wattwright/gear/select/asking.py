"""From an appliance to what it asks of its switch."""

from dataclasses import dataclass

from wattwright.gear.circuit.appliance import Appliance, RuleSet
from wattwright.gear.circuit.current import design_current
from wattwright.gear.select.need import YEARS, Need, Place, Sensed, Way

_NEUTRAL_V = {"single-phase": 1.0, "split-phase": 0.5, "three-phase": 3.0**-0.5}
"""Voltage to neutral over that between the conductors that feed a load."""


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What is known besides the plate: air, place, neighbours on the rail, how often, for how long, and by what.

    ``control_v`` feeds the coils, that to neutral if None; ``lowest_share`` is the lowest voltage of the site over its nominal.
    ``classes`` are the classes of gear that hold the settings, any of which will do; empty without a plan. ``protected_a`` is
    the rating of the breaker before it, ``probe_way_m`` the way from probe
    to controller along the cable; ``way`` says whether the load itself is switched or the input of its own controller.
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


def need_of(appliance: Appliance, rule_set: RuleSet, around: Surroundings) -> Need:
    """Return what an appliance asks of its switch; raises InputError where a motor lies outside the table of its rule set.

    The current is what it draws by its plate, or by the table of its rule set where that is higher.
    """
    current = design_current(appliance, rule_set)
    running_a = max(current.running_a, current.plate_a)
    to_neutral_v = appliance.voltage_v * _NEUTRAL_V[appliance.system]
    return Need(
        appliance.name, appliance.duty, appliance.system, running_a, max(running_a, current.starting_a or running_a),
        current.power_factor, appliance.voltage_v, round(to_neutral_v), rule_set, current.continuous, around.peak_a,
        around.ambient_c, around.place, around.beside, around.switchings_a_year, around.years, around.control_v,
        around.lowest_share,
        around.classes, around.senses, around.protected_a, around.way,
    )  # fmt: skip
