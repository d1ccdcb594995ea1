"""Faults and overload in circuits: energy, bands of breakers, fuses, disconnecting times, against published values."""

from functools import partial
from math import log, sqrt

from wattwright.checks.circuits import asked, cable_of, circuit
from wattwright.checks.registry import Confidence, register
from wattwright.gear.circuit.design import circuit_of, design
from wattwright.gear.circuit.fault import disconnecting_s, holding_a, tripping_a, withstand
from wattwright.gear.circuit.iec_rules import overload
from wattwright.gear.circuit.results import Chosen, Protection


def _k(insulation: str) -> float:
    return withstand(asked("C", insulation=insulation), 1.5).k


def _k_formula(initial_c: float, final_c: float) -> float:
    """Return k of copper by IEC 60364-5-54, Annex A: Qc 3.45e-3 J/(K mm3), B 234.5 degC, rho20 17.241e-6 ohm mm."""
    return sqrt(3.45e-3 * (234.5 + 20.0) / 17.241e-6 * log((234.5 + final_c) / (234.5 + initial_c)))


for _insulation, _value, _initial, _final in (("PVC", 115.0, 70.0, 160.0), ("XLPE", 143.0, 90.0, 250.0)):
    register(
        f"circuit.k-{_insulation}".lower(),
        f"k of copper in {_insulation}",
        unit="A s^0.5/mm2",
        source="IEC 60364-4-43, Table 43A, a page on the adiabatic equation",
        confidence=Confidence.PUBLISHED,
        published=_value,
        ours=partial(_k, _insulation),
    )
    register(
        f"circuit.k-formula-{_insulation}".lower(),
        f"k of copper in {_insulation} by its formula, {_initial:g} to {_final:g} degC",
        unit="A s^0.5/mm2",
        source="IEC 60364-5-54, Annex A",
        confidence=Confidence.CLOSED_FORM,
        published=partial(_k_formula, _initial, _final),
        tolerance=0.5,
        why="the table has whole numbers",
        ours=partial(_k, _insulation),
    )


def _stands_a2s(area_mm2: float) -> float:
    return withstand(asked("C"), area_mm2).energy_a2s


def _least_mm2(fault_a: float, time_s: float) -> float:
    return fault_a * sqrt(time_s) / _k("PVC")


for _area, _value in ((1.5, 29_756.0), (2.5, 82_656.0), (4.0, 211_600.0)):
    register(
        f"circuit.energy-{_area:g}",
        f"energy that {_area:g} mm2 of copper in PVC stands, k2 S2",
        unit="A2s",
        source="by hand: 115^2 x S^2",
        confidence=Confidence.CLOSED_FORM,
        published=_value,
        tolerance=0.5,
        why="rounded to whole A2s",
        ours=partial(_stands_a2s, _area),
    )
for _fault, _value, _source in (
    (1000.0, 2.75, "by hand: 1000 x sqrt(0.1) / 115"),
    (10_000.0, 27.5, "a worked example on a page about the equation"),
):
    register(
        f"circuit.adiabatic-{_fault:.0f}",
        f"least section for {_fault / 1000:g} kA during 0.1 s, PVC",
        unit="mm2",
        source=_source,
        confidence=Confidence.PUBLISHED,
        published=_value,
        tolerance=0.01,
        why="the figure has three digits",
        ours=partial(_least_mm2, _fault, 0.1),
    )


def _held(curve: str, upper: bool) -> float:
    one = Protection("breaker", "IEC 60898-1", curve, 16.0, 2, None)
    return tripping_a(one, 0.1) if upper else holding_a(one)


for _curve, _low, _high in (("B", 48.0, 80.0), ("C", 80.0, 160.0), ("D", 160.0, 320.0)):
    for _upper, _value in ((False, _low), (True, _high)):
        register(
            f"circuit.band-{_curve}-{'trips' if _upper else 'holds'}".lower(),
            f"current that a breaker {_curve}16 surely {'trips at within 0.1 s' if _upper else 'holds'}",
            unit="A",
            source="IEC 60898-1: B above 3 to 5, C above 5 to 10, D above 10 to 20 times its rating",
            confidence=Confidence.PUBLISHED,
            published=_value,
            ours=partial(_held, _curve, _upper),
        )


def _fuse(rated_a: float, within_s: float) -> float:
    return tripping_a(Protection("fuse", "IEC 60269-1 gG", "gG", rated_a, 2, None), within_s)


for _rated, _within, _value in (
    (16.0, 5.0, 65.0),
    (16.0, 0.1, 150.0),
    (32.0, 5.0, 150.0),
    (63.0, 5.0, 320.0),
    (100.0, 5.0, 580.0),
):
    register(
        f"circuit.fuse-{_rated:g}-{_within:g}",
        f"current that surely melts a fuse gG of {_rated:g} A in {_within:g} s",
        unit="A",
        source="IEC 60269-1, gates for gG",
        confidence=Confidence.FROM_MEMORY,
        published=_value,
        ours=partial(_fuse, _rated, _within),
    )


def _overload_limit(insulation: str, device: str, ambient: str) -> float:
    spec = asked("B2", insulation=insulation, device=device, ambient=ambient)
    chosen = Chosen(Protection(spec.device, "", "", 16.0, 2, None), cable_of(spec, 1.5), None)
    return overload(circuit_of(spec), chosen).limit or 0.0


register(
    "circuit.overload-breaker",
    "highest rating of a breaker on 1.5 mm2, B2, two loaded, 25 degC",
    unit="A",
    source="a journal's article on overload: 16.5 A x 1.06 = 17.5 A, so 16 A",
    confidence=Confidence.PUBLISHED,
    published=17.5,
    tolerance=0.05,
    why="rounded to 0.1 A",
    ours=partial(_overload_limit, "PVC", "breaker", "25 °C"),
)
register(
    "circuit.overload-fuse",
    "highest rating of a fuse gG on the same at 30 degC: 16.5 A x 1.45 / 1.6",
    unit="A",
    source="IEC 60364-4-43, 433.1: I2 = 1.6 In at most 1.45 Iz; a trade journal's answer on DIN 18015",
    confidence=Confidence.PUBLISHED,
    published=14.953125,
    tolerance=1e-9,
    why="floating point",
    ours=partial(_overload_limit, "PVC", "fuse", "30 °C"),
)


def _within_s(earthing: str, volts: float, system: str, rated_a: float, sockets: bool) -> float:
    spec = circuit({"power": "1 kW", "voltage": f"{volts} V", "system": system}, earthing=earthing, sockets=sockets)
    return disconnecting_s(spec, rated_a)


for _id, _case, _value in (
    ("tn-fixed", ("TN", 230.0, "single-phase", 16.0, False), 0.4),
    ("tn-three", ("TN", 400.0, "three-phase", 32.0, False), 0.4),
    ("tn-large", ("TN", 230.0, "single-phase", 40.0, False), 5.0),
    ("tn-sockets", ("TN", 400.0, "three-phase", 63.0, True), 0.4),
    ("tn-120", ("TN", 120.0, "single-phase", 16.0, False), 0.8),
    ("tt-fixed", ("TT", 230.0, "single-phase", 16.0, False), 0.2),
    ("tt-large", ("TT", 230.0, "single-phase", 40.0, False), 1.0),
    ("tt-120", ("TT", 120.0, "single-phase", 16.0, False), 0.3),
):
    register(
        f"circuit.disconnection-{_id}",
        f"longest disconnecting time: {_case[0]}, {_case[1]:g} V, {_case[3]:g} A{', sockets' if _case[4] else ''}",
        unit="s",
        source="IEC 60364-4-41, Table 41.1 and 411.3.2",
        confidence=Confidence.FROM_MEMORY,
        published=_value,
        ours=partial(_within_s, *_case),
    )


def _rcd_ma(earth: str) -> float:
    spec = circuit({"power": "1 kW", "voltage": "230 V"}, earthing="TT", earth_resistance=earth)
    return 1000.0 * (design(spec).chosen.residual_a or 0.0)


for _earth, _value in ((166.0, 300.0), (167.0, 100.0), (500.0, 100.0), (1666.0, 30.0), (5000.0, 10.0)):
    register(
        f"circuit.tt-{_earth:g}",
        f"coarsest RCD that keeps an electrode of {_earth:g} ohm at 50 V or less",
        unit="mA",
        source="IEC 60364-4-41, 411.5.3: RA Idn at most 50 V; by hand: 50 V / RA, next listed below",
        confidence=Confidence.CLOSED_FORM,
        published=_value,
        ours=partial(_rcd_ma, f"{_earth} ohm"),
    )
