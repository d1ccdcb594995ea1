"""What nobody can know from a desk: asked on site, with what was taken meanwhile, if anything."""

from collections.abc import Iterator

from wattwright.gear.circuit.ampacity import AIR_C, GROUND_C, SOIL_RESISTIVITY
from wattwright.gear.circuit.results import Circuit, Step
from wattwright.gear.circuit.working import Question, figure


def questions(circuit: Circuit, steps: tuple[Step, ...]) -> tuple[Question, ...]:
    """Return everything that is open, of the appliance first, then of the route, then of the supply."""
    spec, one = circuit.spec, circuit.spec.appliance
    # Whether a load is continuous counts in no rule of IEC 60364 for a cable, and a motor counts so anyway under the NEC.
    idle = {"continuous"} if spec.rules == "iec" or one.is_motor else set()
    of_appliance = [asked for asked in circuit.current.questions if asked.id not in idle]
    if one.duty == "motor" and one.current_a is None:
        taken = f"{figure(circuit.current.plate_a, 'A')}, worked out"
        of_appliance.append(Question("plate_current", "the current on the motor's plate, for its overload relay", taken))
    if one.duty == "compressor":
        of_appliance.append(Question("protector", "whether the compressor has an overload protector of its own", "that it has"))
    return (*of_appliance, *_of_route(circuit), *_of_supply(circuit, steps))


def _of_route(circuit: Circuit) -> Iterator[Question]:
    spec = circuit.spec
    if spec.buried:
        if spec.ground_c is None:
            yield Question("ground", "how warm the soil may be", f"{GROUND_C:g} °C")
        if spec.soil_resistivity is None:
            yield Question("soil_resistivity", "what the soil is: wet clay, or dry sand", f"{SOIL_RESISTIVITY:g} K m/W")
    elif spec.ambient_c is None:
        yield Question("ambient", "how warm the air along the route may be", f"{AIR_C:g} °C")
    if spec.circuits is None:
        yield Question("circuits", "how many loaded circuits lie beside it", "none")
    if spec.appliance.loaded == 3 and spec.third_harmonic is None and spec.appliance.duty in ("lamp", "electronics"):
        yield Question("third_harmonic", "the share of third harmonics, which add up in the neutral", "none")
    if spec.upstream_drop is None:
        yield Question("upstream_drop", "the voltage drop from the origin to the board at full load", "none")


def _of_supply(circuit: Circuit, steps: tuple[Step, ...]) -> Iterator[Question]:
    spec = circuit.spec
    if spec.rules == "iec" and spec.earthing is None:
        yield Question("earthing", "the earthing of the supply, TN or TT")
    if spec.rules == "iec" and spec.earthing == "TN" and spec.loop_ohm is None:
        yield Question("loop_impedance", "the fault-loop impedance at the board, measured")
    if spec.rules == "iec" and spec.earthing == "TT" and spec.earth_ohm is None:
        yield Question("earth_resistance", "the resistance of the earth electrode, measured")
    if spec.prospective_a is None:
        yield Question("prospective_current", "the highest prospective short-circuit current at the board")
    elif any(one.id == "short-circuit" and one.result == "not checked" for one in steps):
        told = figure(spec.prospective_a / 1000, "kA")
        yield Question("let_through", f"the energy (A²s) that the protection lets through at {told}, from its data sheet")
