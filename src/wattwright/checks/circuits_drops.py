"""Voltage drop of circuits, and its limits, against worked values and published ones."""

from functools import partial

from wattwright.checks.circuits import asked, cable_of, circuit
from wattwright.checks.registry import Confidence, register
from wattwright.gear.circuit.drop import drop, running_limit
from wattwright.gear.circuit.fault import hot_ohm
from wattwright.gear.circuit.sets import cables

_BY_HAND = "worked by hand from the formula of IEC 60364-5-52, Annex G"


def _drop_v(volts: float, loaded: int, length_m: float, area_mm2: float, amperes: float, power_factor: float) -> float:
    system = "three-phase" if loaded == 3 else "single-phase"
    spec = circuit({"power": "1 kW", "voltage": f"{volts} V", "system": system}, length=f"{length_m} m")
    return drop(spec, cable_of(spec, area_mm2), amperes, power_factor).drop_v


for _id, _what, _given, _value, _tolerance, _source, _confidence in (
    ("heater-2.5", "3 kW on 230 V, 30 m of 2.5 mm2", (230.0, 2, 30.0, 2.5, 3000.0 / 230.0, 1.0), 7.04, 0.005, _BY_HAND, "closed"),
    ("heater-4", "3 kW on 230 V, 30 m of 4 mm2", (230.0, 2, 30.0, 4.0, 3000.0 / 230.0, 1.0), 4.40, 0.005, _BY_HAND, "closed"),
    (
        "three-16",
        "50 A at 0.8, three phases, 100 m of 16 mm2, line to line",
        (400.0, 3, 100.0, 16.0, 50.0, 0.8),
        10.16,
        0.005,
        _BY_HAND,
        "closed",
    ),
    ("pump-1.5", "6.9 A at 0.8, 50 m of 1.5 mm2", (230.0, 2, 50.0, 1.5, 6.9, 0.8), 8.31, 0.005, _BY_HAND, "closed"),
    (
        "per-a-km-run",
        "1 A at 0.8, three phases, 1 km of 35 mm2",
        (400.0, 3, 1000.0, 35.0, 1.0, 0.8),
        0.974,
        0.0005,
        _BY_HAND,
        "closed",
    ),
    (
        "per-a-km-start",
        "1 A at 0.35, three phases, 1 km of 35 mm2",
        (400.0, 3, 1000.0, 35.0, 1.0, 0.35),
        0.520,
        0.0005,
        _BY_HAND,
        "closed",
    ),
    (
        "guide-run",
        "a motor runs: 100 A at 0.8, 50 m of 35 mm2",
        (400.0, 3, 50.0, 35.0, 100.0, 0.8),
        5.0,
        0.5,
        "Electrical Installation Guide, example of a motor's feed",
        "memory",
    ),
    (
        "guide-start",
        "the same motor starts: 500 A at 0.35",
        (400.0, 3, 50.0, 35.0, 500.0, 0.35),
        13.0,
        0.5,
        "Electrical Installation Guide, example of a motor's feed",
        "memory",
    ),
    (
        "guide-lighting",
        "lighting: 20 A, 20 m of 2.5 mm2",
        (230.0, 2, 20.0, 2.5, 20.0, 1.0),
        7.2,
        0.05,
        "Electrical Installation Guide, example of a lighting circuit",
        "memory",
    ),
):
    register(
        f"circuit.drop-{_id}",
        f"voltage drop, {_what}",
        unit="V",
        source=_source,
        confidence=Confidence.CLOSED_FORM if _confidence == "closed" else Confidence.FROM_MEMORY,
        published=_value,
        tolerance=_tolerance,
        why="the figure is rounded" if _confidence == "closed" else "the guide rounds to whole volts, from its own table",
        ours=partial(_drop_v, *_given),
    )  # fmt: skip


def _hot_both_mv(area_mm2: float) -> float:
    return 2000.0 * hot_ohm(asked("C", length="1 m"), area_mm2)


for _area, _value, _digit in ((1.5, 29.0, 0.5), (2.5, 18.0, 0.5), (4.0, 11.0, 0.5), (6.0, 7.3, 0.1), (10.0, 4.4, 0.05),
                              (16.0, 2.8, 0.05)):  # fmt: skip
    register(
        f"circuit.hot-resistance-{_area:g}",
        f"voltage drop of two cores of {_area:g} mm2 at 70 degC, a metre and an ampere",
        unit="mV",
        source="BS 7671, Appendix 4, two-core cables of 70 degC",
        confidence=Confidence.PUBLISHED if _area == 10.0 else Confidence.FROM_MEMORY,
        published=_value,
        tolerance=_digit,
        why="the table has two digits",
        ours=partial(_hot_both_mv, _area),
    )


def _limit_pct(duty: str, length_m: float) -> float:
    spec = circuit({"power": "1 kW", "voltage": "230 V", "duty": duty}, length=f"{length_m} m")
    return 100.0 * running_limit(spec).share


for _duty, _length, _value in (("lamp", 20.0, 3.0), ("heater", 20.0, 5.0), ("heater", 120.0, 5.1), ("heater", 400.0, 5.5)):
    register(
        f"circuit.drop-limit-{_duty}-{_length:g}",
        f"limit of the drop of a {_duty}, {_length:g} m from a public supply",
        unit="%",
        source="IEC 60364-5-52, Table G.52.1 and its note: 0.005 % for each metre beyond 100, 0.5 % at most",
        confidence=Confidence.PUBLISHED,
        published=_value,
        tolerance=1e-9,
        why="floating point",
        ours=partial(_limit_pct, _duty, _length),
    )


def _nec_drop_v() -> float:
    spec = circuit(
        {"power": "1 kW", "voltage": "240 V", "system": "split-phase"}, rules="nec", method="raceway", length="30.48 m"
    )
    return drop(spec, next(one for one in cables(spec) if one.size == "12 AWG"), 16.0, 1.0).drop_v


register(
    "circuit.drop-nec-12",
    "16 A over 100 ft of 12 AWG, resistive",
    unit="V",
    source="by hand from NEC Chapter 9, Table 9: 2 x 0.1 kft x 2.0 ohm/kft x 16 A",
    confidence=Confidence.CLOSED_FORM,
    published=6.4,
    tolerance=1e-9,
    why="floating point",
    ours=_nec_drop_v,
)
