"""Ampacity of a cable as it lies: the table's value, each factor, what is left. Rows are those asked for or the next worse ones.

IEC 60364-5-52, Annex B and Annex E; NEC 310.14 to 310.16 and 110.14(C).
"""

from typing import Any

from wattwright.core.errors import InputError, Place
from wattwright.gear.circuit.results import Cable, Chain, Factor
from wattwright.gear.circuit.spec import CircuitSpec
from wattwright.gear.circuit.tables import Status, table, weakest

AIR_C = 30.0
GROUND_C = 20.0
SOIL_RESISTIVITY = 2.5


def ampacity(spec: CircuitSpec, cable: Cable) -> Chain:
    """Return what the cable carries as it lies, A; raises InputError where a table ends before what is asked."""
    return _iec(spec, cable) if spec.rules == "iec" else _nec(spec, cable)


def _chain(table_a: float, factors: tuple[Factor, ...], clause: str, status: Status) -> Chain:
    left_a = table_a
    for one in factors:
        left_a *= one.value
    return Chain(table_a, factors, left_a, clause, weakest(status, *(one.status for one in factors)))


def _iec(spec: CircuitSpec, cable: Cable) -> Chain:
    held = table("iec")["ampacity"]
    key = f"{spec.insulation} {cable.loaded}"
    from_memory = f"{spec.method} {key}" in held["from_memory"]
    status = Status.FROM_MEMORY if from_memory else Status(held["status"])
    table_a = float(held[key][spec.method][held["mm2"].index(cable.area_mm2)])
    return _chain(table_a, iec_factors(spec, cable.loaded), f"{held['clause']}, method {spec.method}", status)


def iec_factors(spec: CircuitSpec, loaded: int) -> tuple[Factor, ...]:
    """Return the factors of IEC 60364-5-52 for how a circuit lies; raises InputError where a table ends before what is asked."""
    factors = [_ground(spec), _soil(spec)] if spec.buried else [_air(spec)]
    factors.append(_group(spec))
    # What leaves the ampacity as it is has nothing to do with this circuit.
    factors = [one for one in factors if one.value != 1.0]
    if loaded == 3 and spec.third_harmonic:
        factors.append(_harmonics(spec.third_harmonic))
    return tuple(factors)


def _air(spec: CircuitSpec) -> Factor:
    return _by_temperature("ambient", AIR_C if spec.ambient_c is None else spec.ambient_c, table("iec")["air"], spec.insulation)


def _ground(spec: CircuitSpec) -> Factor:
    ground_c = GROUND_C if spec.ground_c is None else spec.ground_c
    return _by_temperature("ground", ground_c, table("iec")["ground"], spec.insulation)


def _by_temperature(field: str, asked_c: float, held: dict[str, Any], column: str) -> Factor:
    what = "soil temperature" if field == "ground" else "air temperature"
    row = _row(field, asked_c, held["c"][: len(held[column])], "°C", f"{held['clause']}, {column}")
    return Factor(what, float(held[column][row]), f"{held['c'][row]} °C", held["clause"], Status(held["status"]))


def _soil(spec: CircuitSpec) -> Factor:
    held = table("iec")["soil"]
    asked = SOIL_RESISTIVITY if spec.soil_resistivity is None else spec.soil_resistivity
    row = _row("soil_resistivity", asked, held["resistivity"], "K m/W", held["clause"])
    return Factor(
        "soil", float(held[spec.method][row]), f"{held['resistivity'][row]:g} K m/W", held["clause"], Status(held["status"])
    )


def _group(spec: CircuitSpec) -> Factor:
    held, laid = table("iec")["group"], table("iec")["group"]["laid"][spec.lies]
    row = _row("circuits", spec.circuits or 1, laid["circuits"], "circuits", laid["clause"])
    count = laid["circuits"][row]
    value, status = float(laid["factor"][row]), Status(held["status"])
    return Factor("circuits side by side", value, f"{count}, {spec.lies}", laid["clause"], status)


def _harmonics(share: float) -> Factor:
    """Return the factor of Annex E; by neutral the cable carries three times the share of the phase current there."""
    held = table("iec")["harmonics"]
    row = next(k for k, upto in enumerate(held["upto"]) if share <= upto)
    value = float(held["factor"][row]) / (3.0 * share if held["by_neutral"][row] else 1.0)
    told = f"{100 * share:g} % third harmonic, by the {'neutral' if held['by_neutral'][row] else 'phase'}"
    return Factor("neutral", value, told, held["clause"], Status(held["status"]))


def _row(field: str, asked: float, rows: list[float], unit: str, clause: str) -> int:
    """Return the first row at or above what is asked; raises InputError beyond the last."""
    found = next((k for k, one in enumerate(rows) if asked <= one), None)
    if found is None:
        raise InputError.one(
            f"circuit.{field.replace('_', '-')}", Place(field=field), found=f"{asked:g} {unit}",
            wanted=f"at most {rows[-1]:g} {unit}: {clause} ends there",
            next_step="Lay the cable where it is cooler or apart from others, or have it worked out by someone licensed.",
        )  # fmt: skip
    return found


def _nec(spec: CircuitSpec, cable: Cable) -> Chain:
    """Return the ampacity under the NEC: corrected from the wire's own column, and never above that of the terminals."""
    held = table("nec")["ampacity"]
    row = held["awg"].index(cable.size.removesuffix(" AWG"))
    table_a = float(held[str(spec.conductor_c)][row])
    ends_c = terminals_c(spec)
    factors = nec_factors(spec, cable.loaded)
    made = _chain(table_a, factors, f"{held['clause']}, {spec.conductor_c} °C", Status(held["status"]))
    most_a = float(held[str(ends_c)][row])
    if made.ampacity_a <= most_a:
        return made
    terminals = table("nec")["terminals"]
    clause = "NEC 334.80" if spec.method == "cable" else terminals["clause"]
    cap = Factor("terminals", most_a / made.ampacity_a, f"{most_a:g} A at {ends_c} °C", clause, Status(terminals["status"]))
    return Chain(table_a, (*factors, cap), most_a, made.clause, weakest(made.status, cap.status))


def terminals_c(spec: CircuitSpec) -> int:
    """Return the column that the terminals allow, °C; non-metallic cable keeps to 60 (NEC 110.14(C), 334.80)."""
    ends_c = 60 if spec.method == "cable" else spec.terminals_c
    return min(ends_c, spec.conductor_c)


def nec_factors(spec: CircuitSpec, loaded: int) -> tuple[Factor, ...]:
    """Return the factors of NEC 310.15(B) and (C); raises InputError where a table ends before what is asked."""
    air_c = AIR_C if spec.ambient_c is None else spec.ambient_c
    held, count = table("nec")["group"], loaded * (spec.circuits or 1)
    row = _row("circuits", count, held["upto"], "current-carrying conductors", held["clause"])
    group = Factor("conductors together", float(held["factor"][row]), f"{count} of them", held["clause"], Status(held["status"]))
    air = _by_temperature("ambient", air_c, table("nec")["air"], str(spec.conductor_c))
    return tuple(one for one in (air, group) if one.value != 1.0)
