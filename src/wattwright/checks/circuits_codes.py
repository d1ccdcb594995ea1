"""Circuits under the NEC: continuous loads, heaters, small wires, motors, raceways, against tables and answered cases."""

from functools import partial

from wattwright.checks.circuits import circuit
from wattwright.checks.registry import Confidence, register
from wattwright.gear.circuit.appliance import Appliance
from wattwright.gear.circuit.choose import set_of
from wattwright.gear.circuit.current import design_current
from wattwright.gear.circuit.design import circuit_of, design
from wattwright.gear.circuit.motors import table_current
from wattwright.gear.circuit.nec_rules import appliance_breaker, motor_breaker, small_wire
from wattwright.gear.circuit.raceway import raceway
from wattwright.gear.circuit.results import Chosen, Protection
from wattwright.gear.circuit.sets import cables
from wattwright.gear.circuit.spec import CircuitSpec


def _nec(**appliance: object) -> Appliance:
    return Appliance.model_validate({"voltage": "240 V", "system": "split-phase", **appliance})


def _designed(power: str, **told: object) -> float:
    return design_current(_nec(power=power, **told), "nec").design_a


register(
    "circuit.nec-80-percent",
    "what a breaker needs for a continuous load of 16 A",
    unit="A",
    source="NEC Art. 100, 210.20(A): 125 %, so 80 % of a breaker's rating may be continuous",
    confidence=Confidence.PUBLISHED,
    published=20.0,
    ours=partial(_designed, "3840 W", continuous=True),
)


def _most_a(spec: CircuitSpec) -> float:
    step = appliance_breaker(circuit_of(spec), design(spec).chosen)
    return (step.limit if step is not None else None) or 0.0


def _size_of(spec: CircuitSpec) -> str:
    return design(spec).chosen.cable.size


for _power, _needs, _most, _size in (("4500 W", 23.44, 30.0, "10 AWG"), ("5500 W", 28.65, 35.0, "10 AWG")):
    _heater = {"power": _power, "voltage": "240 V", "system": "split-phase", "storage": "190 l"}
    _spec = circuit(_heater, rules="nec", method="cable")

    register(
        f"circuit.nec-heater-{_power[:4]}",
        f"what a storage water heater of {_power} at 240 V is designed for",
        unit="A",
        source="NEC 422.13, worked in a trade magazine's answer",
        confidence=Confidence.PUBLISHED,
        published=_needs,
        tolerance=0.005,
        why="rounded to 0.01 A",
        ours=partial(_designed, _power, storage="190 l"),
    )
    register(
        f"circuit.nec-heater-most-{_power[:4]}",
        f"largest breaker for the same, {_power}",
        unit="A",
        source="NEC 422.11(E)(3): 150 %, next size up; a trade magazine's answer",
        confidence=Confidence.PUBLISHED,
        published=_most,
        ours=partial(_most_a, _spec),
    )
    register(
        f"circuit.nec-heater-size-{_power[:4]}",
        f"size of the wires for the same, {_power}, non-metallic cable",
        unit="",
        source="NEC 240.4(D), 310.16 at 60 degC; a trade magazine's answer",
        confidence=Confidence.PUBLISHED,
        published=_size,
        ours=partial(_size_of, _spec),
    )


def _small_limit(size: str) -> float:
    spec = circuit({"power": "1 kW", "voltage": "120 V"}, rules="nec", method="raceway")
    cable = next(one for one in cables(spec) if one.size == size)
    step = small_wire(circuit_of(spec), Chosen(Protection("breaker", "", "", 15.0, 1, None), cable, None))
    return (step.limit if step is not None else None) or 0.0


for _size, _value in (("14 AWG", 15.0), ("12 AWG", 20.0), ("10 AWG", 30.0)):
    register(
        f"circuit.nec-small-{_size[:2]}",
        f"largest breaker on {_size} copper",
        unit="A",
        source="NEC 240.4(D), a page of the 2023 edition",
        confidence=Confidence.PUBLISHED,
        published=_value,
        ours=partial(_small_limit, _size),
    )
_HP_ONE = (1 / 6, 1 / 4, 1 / 3, 0.5, 0.75, 1, 1.5, 2, 3, 5, 7.5, 10)
_HP_THREE = (0.5, 0.75, 1, 1.5, 2, 3, 5, 7.5, 10, 15, 20, 25, 30, 40, 50)


def _motor_row(volts: float, three: bool) -> str:
    system, listed = ("three-phase", _HP_THREE) if three else ("single-phase", _HP_ONE)
    return " ".join(f"{table_current(745.7 * hp, volts, system).current_a:g}" for hp in listed)  # type: ignore[arg-type]  # one of two


for _volts, _three, _row in (
    (115.0, False, "4.4 5.8 7.2 9.8 13.8 16 20 24 34 56 80 100"),
    (208.0, False, "2.4 3.2 4 5.4 7.6 8.8 11 13.2 18.7 30.8 44 55"),
    (230.0, False, "2.2 2.9 3.6 4.9 6.9 8 10 12 17 28 40 50"),
    (208.0, True, "2.4 3.5 4.6 6.6 7.5 10.6 16.7 24.2 30.8 46.2 59.4 74.8 88 114 143"),
    (230.0, True, "2.2 3.2 4.2 6 6.8 9.6 15.2 22 28 42 54 68 80 104 130"),
    (460.0, True, "1.1 1.6 2.1 3 3.4 4.8 7.6 11 14 21 27 34 40 52 65"),
):
    register(
        f"circuit.nec-motor-{'three' if _three else 'one'}-{_volts:g}",
        f"full-load currents of motors by horsepower, {'three phases' if _three else 'single-phase'}, {_volts:g} V, A",
        unit="",
        source=f"NEC Table 430.{250 if _three else 248}, reproductions of it",
        confidence=Confidence.PUBLISHED,
        published=_row,
        ours=partial(_motor_row, _volts, _three),
    )


def _motor_most(power: str, system: str, volts: str) -> float:
    spec = circuit({"power": power, "voltage": volts, "system": system, "duty": "motor"}, rules="nec", method="raceway")
    one = circuit_of(spec)
    step = motor_breaker(one, set_of(one, Protection("breaker", "", "", 15.0, 2, None), cables(spec)[0]))
    return (step.limit if step is not None else None) or 0.0


for _power, _system, _volts_text, _value in (
    ("1 hp", "split-phase", "230 V", 20.0), ("1.5 hp", "split-phase", "230 V", 25.0), ("10 hp", "three-phase", "230 V", 70.0),
    ("10 hp", "three-phase", "460 V", 35.0), ("5 hp", "three-phase", "208 V", 45.0),
):  # fmt: skip
    register(
        f"circuit.nec-motor-breaker-{_power.split()[0]}-{_volts_text.split()[0]}",
        f"largest inverse-time breaker of a motor of {_power}, {_volts_text}",
        unit="A",
        source="NEC 430.52: 250 % of the table's current, next size up; by hand from 430.248, 430.250 and 240.6",
        confidence=Confidence.FROM_MEMORY,
        published=_value,
        ours=partial(_motor_most, _power, _system, _volts_text),
    )


def _starting(power: str, volts: str, ratio: float) -> float:
    one = Appliance.model_validate({"power": power, "voltage": volts, "duty": "motor", "start_ratio": ratio})
    return design_current(one, "nec").starting_a or 0.0


for _volts_text, _value in (("230 V", 48.0), ("115 V", 96.0)):
    register(
        f"circuit.locked-rotor-{_volts_text.split()[0]}",
        f"locked-rotor current of a single-phase motor of 1 hp, {_volts_text}",
        unit="A",
        source="NEC Table 430.251(A): six times the table's current",
        confidence=Confidence.FROM_MEMORY,
        published=_value,
        ours=partial(_starting, "1 hp", _volts_text, 6.0),
    )


def _fits_half_inch(size: str) -> float:
    return float(next(count for count in range(3, 40) if raceway([size] * (count + 1)) != "1/2"))


for _size, _count in (("14 AWG", 12), ("12 AWG", 9), ("10 AWG", 5), ("8 AWG", 3)):
    register(
        f"circuit.raceway-{_size.split()[0]}",
        f"wires THHN of {_size} that fit tubing of trade size 1/2",
        unit="1",
        source="NEC Annex C, electrical metallic tubing",
        confidence=Confidence.FROM_MEMORY,
        published=float(_count),
        ours=partial(_fits_half_inch, _size),
    )
