"""Design of one final circuit: protection and the smallest listed cable that pass every rule of the rule set."""

from wattwright.core.errors import InputError, Place
from wattwright.gear.circuit.ampacity import ampacity
from wattwright.gear.circuit.choose import choose, deciding, judge, others
from wattwright.gear.circuit.current import design_current
from wattwright.gear.circuit.drop import running, running_limit, starting, starting_limit
from wattwright.gear.circuit.questions import questions
from wattwright.gear.circuit.raceway import raceway
from wattwright.gear.circuit.results import Chosen, Circuit, CircuitDesign, Relay
from wattwright.gear.circuit.sets import called_for
from wattwright.gear.circuit.spec import CircuitSpec, ratings
from wattwright.gear.circuit.tables import Status, table
from wattwright.gear.circuit.told import findings

_TWO_LINES_V = (150.0, 265.0)
"""Where the NEC rules, voltages between these lie between two lines and not between a line and neutral: from memory."""


def design(spec: CircuitSpec) -> CircuitDesign:
    """Return the circuit with its working; raises InputError where a table ends before what is asked, or nothing listed passes.

    Source: IEC 60364-4-41, -4-43, -5-52; NEC 210, 240, 310, 422, 430, 440; each step names its clause.
    """
    circuit = circuit_of(spec)
    _covered(circuit)
    chosen = choose(circuit)
    steps, relay = judge(circuit, chosen), _relay(circuit)
    asked, made, start = questions(circuit, steps), running(circuit, chosen.cable), starting(circuit, chosen.cable)
    return CircuitDesign(
        spec=spec,
        current=circuit.current,
        chosen=chosen,
        chain=ampacity(spec, chosen.cable),
        drop_v=made.drop_v,
        drop_share=made.share,
        start_drop_share=None if start is None else start.share,
        relay=relay,
        raceway=_raceway(circuit, chosen),
        steps=steps,
        deciding_rule=deciding(circuit, chosen),
        next_sizes=others(circuit, chosen),
        not_checked=asked,
        findings=findings(circuit, chosen, steps, asked, relay),
    )


def circuit_of(spec: CircuitSpec) -> Circuit:
    """Return what is asked with what its appliance draws; raises InputError where a motor lies outside its NEC table."""
    return Circuit(spec, design_current(spec.appliance, spec.rules))


def _covered(circuit: Circuit) -> None:
    """Refuse what no listed protection can carry, voltages that cannot be, and drops that leave nothing over."""
    spec, voltage_v, design_a = circuit.spec, circuit.spec.appliance.voltage_v, circuit.current.design_a
    most_v = table("iec")[spec.device]["most_v"]
    if spec.rules == "iec" and voltage_v > most_v:
        wanted = f"at most {most_v} V: the standard of the {spec.device} ends there"
        raise _refused("appliance.voltage", f"{voltage_v:g} V", wanted, "Correct the voltage, or have it designed elsewhere.")
    if spec.rules == "nec" and spec.appliance.system == "single-phase" and _TWO_LINES_V[0] < voltage_v < _TWO_LINES_V[1]:
        found = f"single-phase at {voltage_v:g} V"
        raise _refused("appliance.system", found, "split-phase: there this voltage lies between two lines", "Say how it is fed.")
    listed = ratings(spec.rules, spec.device)
    carried_a = circuit.current.running_a if spec.rules == "nec" and spec.appliance.is_motor else design_a
    if carried_a > (spec.rated_a or listed[-1]):
        wanted = f"at most {listed[-1]:g} A: a {spec.device} is listed for {listed[0]:g} to {listed[-1]:g} A"
        if spec.rated_a is not None:
            wanted = f"at most the {spec.rated_a:g} A of the {spec.device} that is there"
        raise _refused("appliance.power", f"{design_a:.4g} A", wanted, "Take other protection, or share the load out.")
    for limit in (running_limit(spec), starting_limit(spec)):
        if limit.share <= 0.0:
            wanted = f"less than the limit of the whole drop ({limit.clause})"
            raise _refused(
                "upstream_drop", f"{100 * (spec.upstream_drop or 0.0):g} %", wanted, "Mend what feeds the board first."
            )
    called = called_for(spec, spec.rated_a or 0.0)
    if called is not None and spec.residual_a is not None and spec.residual_a > called.most_a:
        wanted = f"at most {1000 * called.most_a:g} mA ({called.why})"
        raise _refused("residual", f"{1000 * spec.residual_a:g} mA", wanted, "Fit a finer RCD.")


def _refused(field: str, found: str, wanted: str, step: str) -> InputError:
    code = f"circuit.{field.rpartition('.')[2].replace('_', '-')}"
    return InputError.one(code, Place(field=field), found=found, wanted=wanted, next_step=step)


def _relay(circuit: Circuit) -> Relay | None:
    """Return the overload relay of a motor; hermetic compressors carry their own protector."""
    one, plate_a = circuit.spec.appliance, circuit.current.plate_a
    if one.duty != "motor":
        return None
    if circuit.spec.rules == "iec":
        return Relay(plate_a, plate_a, "IEC 60364-4-43, 433.1; IEC 60947-4-1", Status.FROM_MEMORY)
    held = table("nec")["relay"]
    marked = one.service_factor is not None and one.service_factor >= held["service_factor"]
    most_a = plate_a * (held["with_service_factor"] if marked else held["other"])
    return Relay(plate_a, most_a, held["clause"], Status(held["status"]))


def _raceway(circuit: Circuit, chosen: Chosen) -> str:
    """Return the trade size for all wires of all circuits in the raceway, and one protective conductor; "" for other methods."""
    spec, cable = circuit.spec, chosen.cable
    if spec.method != "raceway":
        return ""
    return raceway([cable.size] * (cable.loaded * (spec.circuits or 1)) + [cable.earth_size])
