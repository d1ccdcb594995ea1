"""Colours of conductors by rule set, in words.

Source: IEC 60445 (lines brown, black, grey; neutral blue; protective green-yellow); NEC 200.6 and 250.119 (neutral white,
protective green), lines black, red, blue by custom; control circuits red by custom.
"""

from typing import Final

from wattwright.gear.circuit.appliance import RuleSet, System
from wattwright.gear.wiring.netlist import Potential

_COLOURS: Final[dict[RuleSet, dict[Potential, str]]] = {
    "iec": {
        "L1": "brown", "L2": "black", "L3": "grey", "N": "blue", "PE": "green-yellow", "control": "red", "signal": "as supplied",
    },
    "nec": {
        "L1": "black", "L2": "red", "L3": "blue", "N": "white", "PE": "green", "control": "red", "signal": "as supplied",
    },
}  # fmt: skip


def colour_of(potential: Potential, rule_set: RuleSet, system: System) -> str:
    """Return the colour of a conductor; a single-phase line is brown under IEC, whichever line feeds it."""
    if rule_set == "iec" and system == "single-phase" and potential in ("L2", "L3"):
        return "brown"
    return _COLOURS[rule_set][potential]
