"""Faults: what a cable stands, and whether protection disconnects in time.

IEC 60364-4-43, 434.5.2 (I2 t <= k2 S2), IEC 60364-4-41, 411.3 to 411.5; NEC 110.10 with the formula of ICEA P-32-382.
"""

from dataclasses import dataclass
from math import log10

from wattwright.gear.circuit.results import Cable, Circuit, Protection
from wattwright.gear.circuit.spec import CircuitSpec
from wattwright.gear.circuit.tables import Status, table

INSTANT_S = 0.1
"""Within this a breaker trips at the upper end of its band (IEC 60898-1)."""
_LONGEST_S = 5.0
_NOMINAL = 1.05
"""400 V over the root of three is the nominal 230 V, and a site of 240 V is one of that nominal voltage too (IEC 60038)."""
_MM2_CMIL = 5.067075e-4


@dataclass(frozen=True, slots=True)
class Withstand:
    """What a conductor stands of I2 t, A2s, with its k, and where that stands."""

    energy_a2s: float
    k: float
    clause: str
    status: Status


def withstand(spec: CircuitSpec, area_mm2: float) -> Withstand:
    """Return the energy a live conductor stands, A2s, adiabatic, for at most 5 s."""
    held = table(spec.rules)["adiabatic"]
    if spec.rules == "iec":
        k = float(held[spec.insulation])
    else:
        ratio = (held["final_c"] + held["offset_c"]) / (spec.conductor_c + held["offset_c"])
        k = (held["factor"] * log10(ratio)) ** 0.5 / _MM2_CMIL
    return Withstand(k**2 * area_mm2**2, k, held["clause"], Status(held["status"]))


def hot_ohm(spec: CircuitSpec, area_mm2: float) -> float:
    """Return the resistance of one conductor of the route at its operating temperature, ohm (IEC 60228)."""
    held = table("iec")["resistance"]
    above_k = table("iec")["conductor_c"][spec.insulation] - 20.0
    ohm_km = held["ohm_km"][held["mm2"].index(area_mm2)]
    return float(ohm_km * (1.0 + held["per_k"] * above_k) * spec.length_m / 1000.0)


def loop(spec: CircuitSpec, cable: Cable) -> float | None:
    """Return the fault-loop impedance at the far end, ohm; None where nobody measured it at the board."""
    if spec.loop_ohm is None:
        return None
    return spec.loop_ohm + hot_ohm(spec, cable.area_mm2) + hot_ohm(spec, cable.earth_mm2)


def disconnecting_s(spec: CircuitSpec, rated_a: float) -> float:
    """Return the longest disconnecting time, s (IEC 60364-4-41, Table 41.1 up to 32 A, 63 A with sockets; else 5 s and 1 s)."""
    held, earthing = table("iec")["disconnection"], spec.earthing or "TN"
    if rated_a > held["sockets_upto_a" if spec.sockets else "fixed_upto_a"]:
        return float(held[f"{earthing}_other"])
    row = next(k for k, one in enumerate(held["upto_v"]) if spec.appliance.to_earth_v <= _NOMINAL * one)
    return float(held[earthing][row])


def tripping_a(protection: Protection, within_s: float) -> float:
    """Return the current that surely trips a breaker or melts a fuse within a time, A (IEC 60898-1; gates of IEC 60269-1)."""
    if protection.kind == "breaker":
        return float(table("iec")["breaker"]["curves"][protection.curve][1]) * protection.rated_a
    held = table("iec")["fuse"]
    key = "melts_5_s_a" if within_s >= _LONGEST_S else "melts_100_ms_a"
    return float(held[key][held["rated_a"].index(protection.rated_a)])


def holding_a(protection: Protection) -> float:
    """Return the starting current that a breaker or fuse surely holds, A: the lower end of the band; of a fuse 10 s."""
    if protection.kind == "breaker":
        return float(table("iec")["breaker"]["curves"][protection.curve][0]) * protection.rated_a
    held = table("iec")["fuse"]
    return float(held["holds_10_s_a"][held["rated_a"].index(protection.rated_a)])


def disconnects_alone(circuit: Circuit, protection: Protection, cable: Cable) -> bool:
    """Return whether a breaker or fuse disconnects a fault to earth in time by itself in TN; true where nobody can know."""
    loop_ohm = loop(circuit.spec, cable)
    if loop_ohm is None:
        return True
    within_s = disconnecting_s(circuit.spec, protection.rated_a)
    return loop_ohm * tripping_a(protection, within_s) <= circuit.spec.appliance.to_earth_v


def residual_fits(circuit: Circuit, cable: Cable, residual_a: float) -> bool:
    """Return whether an RCD disconnects: RA Idn at most 50 V in TT, five times Idn through the loop in TN."""
    spec, held = circuit.spec, table("iec")["disconnection"]
    if spec.earthing == "TT":
        return (spec.earth_ohm or 0.0) * residual_a <= float(held["touch_v"])
    return (loop(spec, cable) or 0.0) * float(held["rcd_multiple"]) * residual_a <= spec.appliance.to_earth_v


def clearing_s(spec: CircuitSpec, protection: Protection, fault_a: float) -> float:
    """Return how long a short circuit may last at most, s: 0.1 s where it surely trips at once, else 5 s."""
    instant_a = table("nec")["breaker"]["instant"]["multiple"] * protection.rated_a if spec.rules == "nec" else 0.0
    return INSTANT_S if fault_a >= (instant_a or tripping_a(protection, INSTANT_S)) else _LONGEST_S
