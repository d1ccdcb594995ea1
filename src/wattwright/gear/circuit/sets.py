"""The sets to choose from: listed protections, listed cables with their protective conductors, earth-leakage protection."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi
from typing import Any

from wattwright.core.errors import InputError, Place
from wattwright.gear.circuit.fault import disconnects_alone, residual_fits
from wattwright.gear.circuit.results import Cable, Circuit, Protection
from wattwright.gear.circuit.spec import CircuitSpec, ratings
from wattwright.gear.circuit.tables import Status, table


@dataclass(frozen=True, slots=True)
class Residual:
    """The highest rated residual current allowed, A, and why."""

    most_a: float
    why: str
    status: Status


def cables(spec: CircuitSpec) -> tuple[Cable, ...]:
    """Return the listed cables, smallest first."""
    loaded = spec.appliance.loaded
    if spec.rules == "iec":
        sizes = tuple(table("iec")["ampacity"]["mm2"])
        return tuple(_metric(float(one), loaded, sizes) for one in sizes)
    # The equipment grounding conductor goes by the breaker, which is not known here: see grounding().
    return tuple(Cable(f"{one} AWG", awg_mm2(one), loaded, "", 0.0) for one in table("nec")["ampacity"]["awg"])


def _metric(area_mm2: float, loaded: int, sizes: tuple[float, ...]) -> Cable:
    held = table("iec")["earth"]
    earth = area_mm2 if area_mm2 <= held["same_upto_mm2"] else float(held["same_upto_mm2"])
    if area_mm2 > held["fixed_upto_mm2"]:
        earth = float(next(one for one in sizes if one >= area_mm2 / 2.0))
    return Cable(f"{area_mm2:g} mm²", area_mm2, loaded, f"{earth:g} mm²", earth)


def awg_mm2(size: str) -> float:
    """Return the section of a solid wire by its gauge, mm2: diameters in geometric steps, 0.46 in at 4/0 (ASTM B258)."""
    gauge = 1 - int(size.partition("/")[0]) if "/" in size else int(size)
    diameter_mm = 0.127 * 92.0 ** ((36 - gauge) / 39.0)
    return float(pi * diameter_mm**2 / 4.0)


def grounded(cable: Cable, rated_a: float, least_mm2: float) -> Cable:
    """Return a cable of the NEC with its equipment grounding conductor, by the breaker; never above the lines.

    ``least_mm2`` is what the lines would be by ampacity alone: where they are larger, it grows as they do (250.122(A), (B)).
    """
    held, listed = table("nec")["earth"], table("nec")["ampacity"]["awg"]
    by_breaker = held["awg"][next(k for k, one in enumerate(held["upto_a"]) if rated_a <= one)]
    wanted_mm2 = min(awg_mm2(by_breaker) * cable.area_mm2 / least_mm2, cable.area_mm2)
    size = next(one for one in listed if awg_mm2(one) >= wanted_mm2 * (1.0 - 1e-9))
    return Cable(cable.size, cable.area_mm2, cable.loaded, f"{size} AWG", awg_mm2(size))


def next_listed(rated_a: float, rules: str = "nec") -> float:
    """Return the next listed rating at or above a current, A; the highest one beyond them all."""
    listed = table(rules)["breaker"]["rated_a"]
    return float(next((one for one in listed if one >= rated_a - 1e-9), listed[-1]))


def protections(circuit: Circuit) -> tuple[Protection, ...]:
    """Return the protections to try, lowest rating and quickest curve first."""
    spec = circuit.spec
    held = table(spec.rules)[spec.device]
    breaking_a = _breaking(spec, held)
    rated = (spec.rated_a,) if spec.rated_a is not None else _ratings(circuit)
    curves = (spec.curve,) if spec.curve else tuple(held.get("curves", {"gG": 0} if spec.device == "fuse" else {"": 0}))
    return tuple(
        Protection(spec.device, held["standard"], curve, one, _poles(spec), breaking_a) for one in rated for curve in curves
    )


def _ratings(circuit: Circuit) -> tuple[float, ...]:
    """Return the ratings to try: under the NEC a motor has the one that its articles lead to."""
    spec, running_a = circuit.spec, circuit.current.running_a
    if spec.rules == "iec" or not spec.appliance.is_motor:
        return ratings(spec.rules, spec.device)
    return (motor_most_a(spec, running_a),)


def motor_most_a(spec: CircuitSpec, running_a: float) -> float:
    """Return the highest inverse-time breaker for a motor, A (NEC 430.52, next size up; 440.22, next size down, at least 15)."""
    if spec.appliance.duty == "motor":
        return next_listed(table("nec")["motor"]["inverse_time"] * running_a)
    listed = table("nec")["breaker"]["rated_a"]
    return float(max([listed[0], *(one for one in listed if one <= table("nec")["hermetic"]["most"] * running_a + 1e-9)]))


def _poles(spec: CircuitSpec) -> int:
    """Return the poles of the protection, one for each line; a full neutral needs none (IEC 60364-4-43, 431.2)."""
    return {"single-phase": 1, "split-phase": 2, "three-phase": 3}[spec.appliance.system]


def _breaking(spec: CircuitSpec, held: dict[str, Any]) -> float | None:
    if spec.prospective_a is None:
        return None
    listed_a = [1000.0 * one for one in held["breaking"]["ka"]]
    found: float | None = next((one for one in listed_a if one >= spec.prospective_a), None)
    if found is None:
        raise InputError.one(
            "circuit.prospective-current", Place(field="prospective_current"), found=f"{spec.prospective_a / 1000:g} kA",
            wanted=f"at most {listed_a[-1] / 1000:g} kA: {held['standard']} is listed up to there",
            next_step="Have the protection chosen by someone licensed, with back-up protection.",
        )  # fmt: skip
    return found


def called_for(spec: CircuitSpec, rated_a: float) -> Residual | None:
    """Return the earth-leakage protection that the place or the use calls for, whatever the breaker does (IEC); None if none."""
    if spec.rules == "nec":
        return None
    held = table("iec")["residual"]
    return next((Residual(most, why, Status(held["status"])) for most, why in _calls(spec, rated_a, held)), None)


def _calls(spec: CircuitSpec, rated_a: float, held: dict[str, Any]) -> Iterator[tuple[float, str]]:
    if spec.place == "bathroom":
        yield held["people_a"], "IEC 60364-7-701, 701.415.1: bathroom"
    if spec.place == "pool":
        yield held["people_a"], "IEC 60364-7-702: pool"
    if spec.sockets and rated_a <= held["sockets_upto_a"]:
        yield held["people_a"], f"IEC 60364-4-41, 411.3.3: socket-outlets up to {held['sockets_upto_a']} A"
    if spec.appliance.duty == "lamp":
        yield held["people_a"], "IEC 60364-4-41, 411.3.4: lamps in a home"
    if spec.place == "horticulture":
        yield held["fire_a"], "IEC 60364-7-705, 705.411.1: agriculture and horticulture"


def residual_for(circuit: Circuit, protection: Protection, cable: Cable) -> float | None:
    """Return the rated residual current of the RCD that belongs to a set, A, the coarsest that does; None for none."""
    spec = circuit.spec
    if spec.rules == "nec":
        return None
    if spec.residual_a is not None:
        return spec.residual_a
    held, called = table("iec")["residual"], called_for(spec, protection.rated_a)
    most_a = held["fire_a"] if called is None else called.most_a
    if called is None and (spec.earthing is None or (spec.earthing == "TN" and disconnects_alone(circuit, protection, cable))):
        return None
    if spec.earthing == "TT" and spec.earth_ohm is None:
        return float(min(most_a, held["people_a"]))
    fits = [one for one in held["listed_a"] if one <= most_a and residual_fits(circuit, cable, one)]
    return float(max(fits)) if fits else float(held["listed_a"][0])
