"""An invented site that carries itself: an inverter, a generator, and circuits designed by either rule set."""

from wattwright.core.errors import InputError
from wattwright.core.specfile import SpecText, validated
from wattwright.gear.circuit.design import design
from wattwright.gear.circuit.spec import CircuitSpec
from wattwright.simulate.supply import Supply
from wattwright.supply.island.results import IslandCircuit, IslandSite
from wattwright.supply.island.spec import IslandSpec

INVERTER = {"rating": "8 kVA", "role": "carries the site in outages"}
GENERATOR = {"rating": "6 kW"}
KNOWN = {
    "fault_ratio": 2.0, "fault_lasts": "0.2 s", "off_after": "0.2 s", "loop_impedance": "1.2 ohm",
    "bond": "closes when it feeds alone", "parts": "lines and neutral", "interlock": "mechanical",
}  # fmt: skip


def asked(**told):
    """What a person said of island running; ``inverter`` and ``generator`` as tables."""
    return IslandSpec.model_validate(told)


def circuit(id_="heater", **told):
    """A designed circuit of B 16 A over 20 m, unless ``told`` otherwise."""
    given = {
        "rules": "iec", "length": "20 m", "method": "C", "ambient": "30 degC", "circuits": 1, "earthing": "TN",
        "loop_impedance": "0.5 ohm", "prospective_current": "1 kA", "upstream_drop": "0.5 %", "rated": "16 A", "curve": "B",
        "appliance": {"name": id_, "power": "3 kW", "voltage": "230 V"}, **told,
    }  # fmt: skip
    kept = {name: value for name, value in given.items() if value is not None}
    return IslandCircuit(id_, id_, design(validated(SpecText("", "", kept, {}), CircuitSpec, InputError)))


def site(*circuits, inverter=INVERTER, generator=None, battery=True, **told):
    """A single-phase site of 230 V (unless ``connection`` says otherwise) with these circuits."""
    supply = {"connection": told.pop("connection", {"system": "single-phase", "voltage": "230 V"})}
    if inverter:
        supply["inverter"] = inverter
    if generator:
        supply["generator"] = generator
    if battery and inverter:
        supply["battery"] = {"capacity": "10 kWh", "charge_power": "5 kW", "discharge_power": "5 kW"}
    given = {"rules": "iec", "has_pv": False, "electrode_ohm": None, **told}
    return IslandSite(Supply.model_validate(supply), circuits=circuits, **given)
