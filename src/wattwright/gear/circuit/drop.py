"""Voltage drop along a circuit, running and while a motor starts.

IEC 60364-5-52, Annex G: u = b (rho1 L / S cos phi + lambda L sin phi) I, with b = 2 for two conductors; of three, b = 1 gives the
drop from line to neutral. NEC: Chapter 9, Table 9, resistance and reactance in PVC conduit.
"""

from dataclasses import dataclass
from math import sqrt

from wattwright.gear.circuit.results import Cable, Circuit
from wattwright.gear.circuit.spec import CircuitSpec
from wattwright.gear.circuit.tables import Status, table

M_KFT = 304.8
"""Metres of a thousand feet."""


@dataclass(frozen=True, slots=True)
class Drop:
    """A drop between the conductors that feed the appliance, V, and as a share of its voltage."""

    drop_v: float
    share: float


@dataclass(frozen=True, slots=True)
class Limit:
    """The most a drop may be, as a share, and where that stands."""

    share: float
    clause: str
    status: Status


def drop(spec: CircuitSpec, cable: Cable, current_a: float, power_factor: float) -> Drop:
    """Return the drop of a current along the cable, V and share of the appliance's voltage."""
    resistance_ohm, reactance_ohm = impedance(spec, cable)
    along_ohm = resistance_ohm * power_factor + reactance_ohm * sqrt(1.0 - power_factor**2)
    drop_v = (sqrt(3.0) if cable.loaded == 3 else 2.0) * along_ohm * current_a
    return Drop(drop_v, drop_v / spec.appliance.voltage_v)


def impedance(spec: CircuitSpec, cable: Cable) -> tuple[float, float]:
    """Return resistance and reactance of one conductor of the route, hot, ohm."""
    if spec.rules == "iec":
        held = table("iec")["drop"]
        return held["resistivity_ohm_mm2_m"] * spec.length_m / cable.area_mm2, held["reactance_ohm_m"] * spec.length_m
    held, length_kft = table("nec")["impedance"], spec.length_m / M_KFT
    row = table("nec")["ampacity"]["awg"].index(cable.size.removesuffix(" AWG"))
    return held["resistance_ohm_kft"][row] * length_kft, held["reactance_ohm_kft"][row] * length_kft


def running(circuit: Circuit, cable: Cable) -> Drop:
    """Return the drop of what the appliance draws."""
    return drop(circuit.spec, cable, circuit.current.running_a, circuit.current.power_factor)


def starting(circuit: Circuit, cable: Cable) -> Drop | None:
    """Return the drop while a motor starts; None where nothing starts or its current is not known."""
    current_a = circuit.current.starting_a
    if current_a is None or not circuit.spec.appliance.is_motor:
        return None
    return drop(circuit.spec, cable, current_a, circuit.spec.start_power_factor)


def running_limit(spec: CircuitSpec) -> Limit:
    """Return the most that the drop of this circuit may be: the limit less what is lost before the board."""
    held, before = table(spec.rules)["drop"], spec.upstream_drop or 0.0
    status = Status(held["status"])
    if spec.drop_limit is not None:
        return Limit(spec.drop_limit - before, "limit given", Status.WORKED_OUT)
    if spec.rules == "nec":
        return Limit(min(held["branch"], held["total"] - before), held["clause"], status)
    # Limits widen with the length beyond 100 m.
    more = min(max(0.0, spec.length_m - held["beyond_m"]) * held["each_m"], held["most_more"])
    share = held["lamp"] if spec.appliance.duty == "lamp" else held["other"]
    return Limit(share + more - before, f"{held['clause']}, Table G.52.1", status)


def starting_limit(spec: CircuitSpec) -> Limit:
    """Return the most that the drop may be while a motor starts."""
    held = table(spec.rules)["start"]
    return Limit(spec.start_drop_limit - (spec.upstream_drop or 0.0), held["clause"], Status(held["status"]))
