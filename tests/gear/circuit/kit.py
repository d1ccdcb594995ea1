"""Circuits as a person writes them, for tests."""

from wattwright.gear.circuit.design import circuit_of, design
from wattwright.gear.circuit.spec import CircuitSpec


def spec(appliance=None, **given) -> CircuitSpec:
    """A spec from texts: 3 kW on 230 V over 20 m, clipped to a wall, unless said otherwise."""
    told = {"power": "3 kW", "voltage": "230 V", **(appliance or {})}
    if "current" in (appliance or {}) and "power" not in (appliance or {}):
        del told["power"]
    return CircuitSpec.model_validate({"appliance": told, "length": "20 m", "method": "C", **given})


def nec(appliance=None, **given) -> CircuitSpec:
    """The same under the NEC: 4.5 kW between two lines of 240 V, in raceway."""
    told = {"power": "4.5 kW", "voltage": "240 V", "system": "split-phase", **(appliance or {})}
    return spec(told, **{"rules": "nec", "method": "raceway", **given})


def made(given: CircuitSpec):
    """The circuit designed, and what was asked, for running rules again."""
    return circuit_of(given), design(given)


def step(given: CircuitSpec, id_: str):
    """One step of the design."""
    return next(one for one in design(given).steps if one.id == id_)
