"""A designed circuit as plain data for programs: units in the names, drops in per cent, margins as shares."""

from dataclasses import asdict
from typing import Any

from wattwright.core.show import Show
from wattwright.gear.circuit.results import CircuitDesign, Step
from wattwright.gear.circuit.told import CAUTIONS

SCHEMA = "wattwright.circuit/1"


def circuit_json(made: CircuitDesign, show: Show) -> dict[str, Any]:
    """Return a design as plain data; ``show`` gives the language of the findings' sentences."""
    spec, chosen, current = made.spec, made.chosen, made.current
    residual_a, start = chosen.residual_a, made.start_drop_share
    return {
        "rules": spec.rules, "appliance": spec.appliance.model_dump(), "length_m": spec.length_m, "method": spec.method,
        "running_a": _rounded(current.running_a), "design_a": _rounded(current.design_a),
        "starting_a": None if current.starting_a is None else _rounded(current.starting_a),
        "currents": [asdict(one) for one in current.lines],
        "protection": asdict(chosen.protection), "residual_ma": None if residual_a is None else _rounded(1000.0 * residual_a),
        "cable": {
            **asdict(chosen.cable), "area_mm2": _rounded(chosen.cable.area_mm2), "earth_mm2": _rounded(chosen.cable.earth_mm2),
        },
        "ampacity": asdict(made.chain), "raceway": made.raceway or None,
        "overload_relay": None if made.relay is None else asdict(made.relay),
        "voltage_drop_v": _rounded(made.drop_v), "voltage_drop_percent": _rounded(100.0 * made.drop_share),
        "start_drop_percent": None if start is None else _rounded(100.0 * start),
        "deciding_rule": made.deciding_rule, "provisional": made.provisional,
        "steps": [_step(one) for one in made.steps], "next_sizes": [asdict(one) for one in made.next_sizes],
        "not_checked": [asdict(one) for one in made.not_checked],
        "findings": [one.as_json(show) for one in made.findings], "cautions": list(CAUTIONS),
    }  # fmt: skip


def _step(one: Step) -> dict[str, Any]:
    return {**asdict(one), "margin": None if one.margin is None else _rounded(one.margin)}


def _rounded(value: float) -> float:
    return round(value, 4)
