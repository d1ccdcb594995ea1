"""Rules that both rule sets know: voltage drop, breaking capacity, short circuit. Each can be run again on its own on any set."""

from wattwright.gear.circuit import drop as drops
from wattwright.gear.circuit.fault import clearing_s, withstand
from wattwright.gear.circuit.results import Chosen, Circuit, Step
from wattwright.gear.circuit.tables import Status, table
from wattwright.gear.circuit.working import figure

_ROUNDING = 1e-9


def judged(
    id_: str, what: str, clause: str, found: float, limit: float, unit: str, working: str, status: Status
) -> Step:  # fmt: skip
    """Return a step that passes where ``found`` is not above ``limit``."""
    passed = found <= limit * (1.0 + _ROUNDING)
    return Step(id_, what, clause, found, limit, unit, "passed" if passed else "failed", working, status)


def unchecked(id_: str, what: str, clause: str, working: str, status: Status) -> Step:
    """Return a step that could not be checked, with what it lacks."""
    return Step(id_, what, clause, None, None, "", "not checked", working, status)


def drop_running(circuit: Circuit, chosen: Chosen) -> Step:
    """Hold the drop of what the appliance draws against its limit."""
    spec, current = circuit.spec, circuit.current
    made, limit = drops.running(circuit, chosen.cable), drops.running_limit(spec)
    ohm, reactance_ohm = drops.impedance(spec, chosen.cable)
    times = "√3" if chosen.cable.loaded == 3 else "2"
    working = (
        f"{times} x ({figure(ohm, 'Ω')} x {current.power_factor:g} + {figure(reactance_ohm, 'Ω')} x sin φ) x "
        f"{figure(current.running_a, 'A')} = {figure(made.drop_v, 'V')}"
    )
    return judged("drop-running", "voltage drop, running", limit.clause, made.share, limit.share, "1", working, limit.status)


def drop_starting(circuit: Circuit, chosen: Chosen) -> Step | None:
    """Hold the drop while a motor starts against its limit; None where nothing starts."""
    made, limit = drops.starting(circuit, chosen.cable), drops.starting_limit(circuit.spec)
    if made is None:
        return None
    current_a = circuit.current.starting_a or 0.0
    working = f"{figure(current_a, 'A')} at cos φ {circuit.spec.start_power_factor:g}: {figure(made.drop_v, 'V')}"
    return judged("drop-starting", "voltage drop, motor start", limit.clause, made.share, limit.share, "1", working, limit.status)


def breaking(circuit: Circuit, chosen: Chosen) -> Step:
    """Hold the prospective current against what the protection can break."""
    spec, protection = circuit.spec, chosen.protection
    status = Status(table(spec.rules)[spec.device]["breaking"]["status"])
    clause = "IEC 60364-4-43, 434.5.1" if spec.rules == "iec" else "NEC 110.9"
    what = "breaking capacity"
    if spec.prospective_a is None or protection.breaking_a is None:
        return unchecked("breaking-capacity", what, clause, "needs the prospective current at the board", status)
    working = f"the next listed capacity is {figure(protection.breaking_a / 1000, 'kA')}"
    return judged("breaking-capacity", what, clause, spec.prospective_a, protection.breaking_a, "A", working, status)


def short_circuit(circuit: Circuit, chosen: Chosen) -> Step:
    """Hold the energy of a short circuit against what the conductors stand, I2 t against k2 S2."""
    spec = circuit.spec
    stands = withstand(spec, chosen.cable.area_mm2)
    held = f"k = {stands.k:.4g}, k²S² = {figure(stands.energy_a2s, 'A²s')}"
    what = "short circuit, energy"
    if spec.prospective_a is None:
        lacks = f"needs the prospective current; {held}"
        return unchecked("short-circuit", what, stands.clause, lacks, stands.status)
    if spec.let_through_a2s is not None:
        working = f"let through by the data sheet; {held}"
        return judged(
            "short-circuit", what, stands.clause, spec.let_through_a2s, stands.energy_a2s, "A²s", working, stands.status
        )
    lasts_s = clearing_s(spec, chosen.protection, spec.prospective_a)
    energy_a2s = spec.prospective_a**2 * lasts_s
    if energy_a2s > stands.energy_a2s:
        # Within 0.1 s the standard asks for what the device lets through, which is far less and only its maker knows.
        lacks = f"needs the let-through energy of the protection's data sheet; {held}"
        return unchecked("short-circuit", what, stands.clause, lacks, stands.status)
    working = f"{figure(spec.prospective_a, 'A')}² x {lasts_s:g} s; {held}"
    return judged("short-circuit", what, stands.clause, energy_a2s, stands.energy_a2s, "A²s", working, stands.status)
