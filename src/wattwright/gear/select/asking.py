"""From an appliance to what it asks of its switch."""

from dataclasses import fields

from wattwright.gear.circuit.appliance import Appliance, RuleSet
from wattwright.gear.circuit.current import design_current
from wattwright.gear.select.need import Need, Surroundings


def need_of(appliance: Appliance, rule_set: RuleSet, around: Surroundings) -> Need:
    """Return what an appliance asks of its switch; raises InputError where a motor lies outside the table of its rule set.

    The current is what it draws by its plate, or by the table of its rule set where that is higher.
    """
    current = design_current(appliance, rule_set)
    running_a = max(current.running_a, current.plate_a)
    known = {one.name: getattr(around, one.name) for one in fields(around)}
    return Need(
        appliance.name, appliance.duty, appliance.system, running_a, max(running_a, current.starting_a or running_a),
        current.power_factor, appliance.voltage_v, round(appliance.to_earth_v), rule_set, current.continuous, **known,
    )  # fmt: skip
