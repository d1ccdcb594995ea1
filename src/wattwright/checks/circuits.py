"""Ampacity of cables and the factors on it, against the published formula, rows that were seen, and tables of the codes.

The tables of IEC 60364-5-52 follow I = A S^m with the coefficients of its Annex D; they are typed here from there, and the
tables that the program reads know nothing of them.
"""

from collections.abc import Mapping
from functools import partial
from math import sqrt

from wattwright.checks.registry import Confidence, register
from wattwright.gear.circuit.ampacity import ampacity, iec_factors, nec_factors
from wattwright.gear.circuit.results import Cable
from wattwright.gear.circuit.sets import awg_mm2, cables
from wattwright.gear.circuit.spec import CircuitSpec

_SIZES = (1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0, 95.0)
_NOMINAL = {50.0: 47.5}
"""The section with which Annex D reckons a nominal one."""


def asked(method: str, loaded: int = 2, /, **told: object) -> CircuitSpec:
    """Return a plain circuit in a method of installation, for its tables."""
    system = "three-phase" if loaded == 3 else "split-phase"
    appliance = {"power": "1 kW", "voltage": "230 V", "system": system}
    return CircuitSpec.model_validate({"appliance": appliance, "length": "20 m", "method": method, **told})


def circuit(appliance: Mapping[str, object], **told: object) -> CircuitSpec:
    """Return a circuit from texts as a person writes them: 20 m, clipped to a wall, unless said otherwise."""
    return CircuitSpec.model_validate({"appliance": appliance, "length": "20 m", "method": "C", **told})


def cable_of(spec: CircuitSpec, area_mm2: float) -> Cable:
    """Return the listed cable of a section."""
    return next(one for one in cables(spec) if one.area_mm2 == area_mm2)


def _carries(method: str, insulation: str, loaded: int, area_mm2: float, **told: object) -> float:
    spec = asked(method, loaded, insulation=insulation, **told)
    return ampacity(spec, cable_of(spec, area_mm2)).ampacity_a


def _off_formula(method: str, insulation: str, loaded: int, pairs: tuple[tuple[float, float], ...]) -> float:
    """Return how far the row lies from A S^m at most, A; the second pair holds above 16 mm2."""
    far = 0.0
    for area_mm2 in _SIZES:
        a, m = pairs[-1] if area_mm2 > 16.0 else pairs[0]
        formula_a = a * _NOMINAL.get(area_mm2, area_mm2) ** m
        far = max(far, abs(_carries(method, insulation, loaded, area_mm2) - formula_a))
    return far


# Coefficients A and m, by method, insulation and loaded conductors; a second pair above 16 mm2.
_ANNEX_D: dict[tuple[str, str, int], tuple[tuple[float, float], ...]] = {
    ("A1", "PVC", 2): ((11.2, 0.6118),), ("A1", "XLPE", 2): ((14.9, 0.611),),
    ("A1", "PVC", 3): ((10.4, 0.605),), ("A1", "XLPE", 3): ((13.34, 0.611),),
    ("A2", "PVC", 2): ((10.8, 0.6015),), ("A2", "XLPE", 2): ((14.46, 0.598),),
    ("A2", "PVC", 3): ((10.1, 0.592),), ("A2", "XLPE", 3): ((12.95, 0.598),),
    ("B1", "PVC", 2): ((13.5, 0.625),), ("B1", "XLPE", 2): ((17.76, 0.6250),),
    ("B1", "PVC", 3): ((11.84, 0.628),), ("B1", "XLPE", 3): ((15.62, 0.6252),),
    ("B2", "PVC", 2): ((13.1, 0.600),), ("B2", "XLPE", 2): ((17.25, 0.600),),
    ("B2", "PVC", 3): ((11.65, 0.6005),), ("B2", "XLPE", 3): ((15.17, 0.60),),
    ("C", "PVC", 2): ((15.0, 0.625),), ("C", "XLPE", 2): ((18.77, 0.628), (17.0, 0.650)),
    ("C", "PVC", 3): ((13.5, 0.625), (12.4, 0.635)), ("C", "XLPE", 3): ((17.0, 0.623), (15.4, 0.635)),
    ("D1", "PVC", 2): ((17.42, 0.540),), ("D1", "PVC", 3): ((14.34, 0.542),),
    ("E", "PVC", 2): ((16.8, 0.62), (14.9, 0.646)), ("E", "XLPE", 2): ((20.5, 0.623), (18.6, 0.646)),
    ("E", "PVC", 3): ((14.3, 0.62), (12.9, 0.64)), ("E", "XLPE", 3): ((17.8, 0.623), (16.4, 0.637)),
}  # fmt: skip

for (_method, _insulation, _loaded), _pairs in _ANNEX_D.items():
    register(
        f"circuit.ampacity-{_method}-{_insulation}-{_loaded}".lower(),
        f"farthest that a row of ampacities lies from the formula, 1.5 to 95 mm2: {_method}, {_insulation}, {_loaded} loaded",
        unit="A",
        source="IEC 60364-5-52:2009, Annex D: I = A S^m, 47.5 mm2 for the nominal 50",
        confidence=Confidence.CLOSED_FORM,
        published=0.0,
        tolerance=0.505,
        why="the tables round to 0.5 A up to 20 A and to 1 A above; coefficients have four digits",
        ours=partial(_off_formula, _method, _insulation, _loaded, _pairs),
    )

for _area, _amperes in zip(_SIZES[2:], (27, 34, 46, 62, 80, 99, 118, 149, 179), strict=True):
    register(
        f"circuit.ampacity-seen-b2-{_area:g}",
        f"ampacity of {_area:g} mm2 PVC, three loaded, method B2",
        unit="A",
        source="an instruction book's page on cable sizing by IEC, method B2",
        confidence=Confidence.PUBLISHED,
        published=float(_amperes),
        ours=partial(_carries, "B2", "PVC", 3, _area),
    )

for _method, _warm_a in (("B2", 17.5), ("C", 21.0), ("E", 23.0)):
    register(
        f"circuit.ampacity-at-25-{_method}".lower(),
        f"ampacity of 1.5 mm2 PVC, two loaded, at 25 degC, method {_method}",
        unit="A",
        source="a journal's article on overloaded 1.5 mm2 and a leaflet's table, both DIN VDE 0298-4",
        confidence=Confidence.PUBLISHED,
        published=_warm_a,
        tolerance=0.5,
        why="the table rounds to 0.5 A up to 20 A and to 1 A above",
        ours=partial(_carries, _method, "PVC", 2, 1.5, ambient="25 °C"),
    )


def _factor(method: str, insulation: str, what: str, **told: object) -> float:
    found = [one.value for one in iec_factors(asked(method, insulation=insulation, **told), 2) if one.what == what]
    return found[0] if found else 1.0


def _off_root(method: str, insulation: str, what: str, entry: str, rows: range) -> float:
    """Return how far the factors lie at most from sqrt((Tc - T) / (Tc - Tref))."""
    at_most_c, base_c = {"PVC": 70.0, "XLPE": 90.0}[insulation], {"ambient": 30.0, "ground": 20.0}[entry]
    return max(
        abs(_factor(method, insulation, what, **{entry: f"{row} °C"}) - sqrt((at_most_c - row) / (at_most_c - base_c)))
        for row in rows
    )


for _id, _method, _insulation, _what, _entry, _rows in (
    ("air-pvc", "C", "PVC", "air temperature", "ambient", range(10, 61, 5)),
    ("air-xlpe", "C", "XLPE", "air temperature", "ambient", range(10, 81, 5)),
    ("ground-pvc", "D1", "PVC", "soil temperature", "ground", range(10, 61, 5)),
    ("ground-xlpe", "D1", "XLPE", "soil temperature", "ground", range(10, 71, 5)),
):
    register(
        f"circuit.factor-{_id}",
        f"farthest that factors for {_what} lie from the square root of the temperatures ({_insulation})",
        unit="1",
        source="heat balance: sqrt((Tc - T) / (Tc - Tref)), Tc 70 or 90 degC, Tref 30 degC in air, 20 degC in the ground",
        confidence=Confidence.CLOSED_FORM,
        published=0.0,
        tolerance=0.005000001,
        why="the tables have two decimals",
        ours=partial(_off_root, _method, _insulation, _what, _entry, _rows),
    )

for _insulation, _at, _value in (
    ("PVC", 35, 0.94), ("PVC", 40, 0.87), ("PVC", 45, 0.79), ("PVC", 50, 0.71), ("PVC", 55, 0.61),
    ("XLPE", 35, 0.96), ("XLPE", 40, 0.91), ("XLPE", 50, 0.82), ("XLPE", 60, 0.71),
):  # fmt: skip
    register(
        f"circuit.factor-seen-{_insulation}-{_at}".lower(),
        f"factor for air of {_at} degC, {_insulation}",
        unit="1",
        source="an appendix of correction factors for ambient temperature (PVC above 35 degC: by an instruction book's table)",
        confidence=Confidence.PUBLISHED,
        published=_value,
        ours=partial(_factor, "C", _insulation, "air temperature", ambient=f"{_at} °C"),
    )

for _laid, _method, _count, _value in (
    ("bunched", "B2", 2, 0.80), ("bunched", "B2", 3, 0.70), ("bunched", "B2", 9, 0.50), ("bunched", "B2", 12, 0.45),
    ("wall", "C", 2, 0.85), ("wall", "C", 3, 0.80), ("wall", "C", 4, 0.75), ("wall", "C", 9, 0.70),
    ("ceiling", "C", 1, 0.95), ("ceiling", "C", 2, 0.80), ("ceiling", "C", 9, 0.60),
    ("tray", "E", 2, 0.90), ("tray", "E", 3, 0.80), ("ladder", "E", 2, 0.85), ("ladder", "E", 4, 0.80), ("ladder", "E", 9, 0.80),
):  # fmt: skip
    register(
        f"circuit.group-{_laid}-{_count}",
        f"factor for circuits side by side: {_count}, {_laid}",
        unit="1",
        source="Electrical Installation Guide, simplified grouping factors (IEC 60364-5-52)",
        confidence=Confidence.PUBLISHED,
        published=_value,
        tolerance=0.021,
        why="the simplified table is rounded to 0.05",
        ours=partial(_factor, _method, "PVC", "circuits side by side", circuits=_count, laid=_laid),
    )


def _awg(size: str, column: int, **told: object) -> float:
    spec = asked("raceway", rules="nec", conductor=column, terminals=min(column, 75), **told)
    return ampacity(spec, next(one for one in cables(spec) if one.size == f"{size} AWG")).table_a


_AWG = ("14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0")


def _column(column: int) -> str:
    return " ".join(f"{_awg(one, column):g}" for one in _AWG)


for _rating, _row in (
    (60, "15 20 30 40 55 70 85 95 110 125 145 165 195"),
    (75, "20 25 35 50 65 85 100 115 130 150 175 200 230"),
    (90, "25 30 40 55 75 95 115 130 145 170 195 225 260"),
):
    register(
        f"circuit.nec-ampacity-{_rating}",
        f"ampacity of copper 14 AWG to 4/0 in the column of {_rating} degC, A",
        unit="",
        source="NEC Table 310.16, a page of the 2023 edition",
        confidence=Confidence.PUBLISHED,
        published=_row,
        ours=partial(_column, _rating),
    )


def _nec_factor(what: str, column: int = 75, **told: object) -> float:
    found = [one.value for one in nec_factors(asked("raceway", rules="nec", conductor=column, **told), 2) if one.what == what]
    return found[0] if found else 1.0


for _at, _value in ((31, 0.94), (38, 0.88), (45, 0.82), (50, 0.75), (51, 0.67)):
    register(
        f"circuit.nec-ambient-{_at}",
        f"factor for air of {_at} degC, wire of 75 degC",
        unit="1",
        source="NEC Table 310.15(B)(1), a page of the 2023 edition",
        confidence=Confidence.PUBLISHED,
        published=_value,
        ours=partial(_nec_factor, "air temperature", ambient=f"{_at} °C"),
    )


def _off_nec_root(column: int) -> float:
    rows = range(10, column, 5) if column < 90 else range(10, 81, 5)
    told = (
        abs(_nec_factor("air temperature", column, ambient=f"{row} °C") - sqrt((column - row) / (column - 30))) for row in rows
    )
    return max(told)


for _rating in (60, 75, 90):
    register(
        f"circuit.nec-ambient-root-{_rating}",
        f"farthest that factors for the air lie from the square root of the temperatures, wire of {_rating} degC",
        unit="1",
        source="NEC 310.15(B), equation: sqrt((Tc - T) / (Tc - 30))",
        confidence=Confidence.CLOSED_FORM,
        published=0.0,
        tolerance=0.005000001,
        why="the table has two decimals",
        ours=partial(_off_nec_root, _rating),
    )

# Circuits of two loaded conductors: 2, 3, 4, 5, 11, 16 and 21 of them are 4, 6, 8, 10, 22, 32 and 42 conductors.
for _count, _value in ((2, 0.80), (3, 0.80), (4, 0.70), (5, 0.50), (11, 0.45), (16, 0.40), (21, 0.35)):
    register(
        f"circuit.nec-group-{2 * _count}",
        f"factor for {2 * _count} current-carrying conductors together",
        unit="1",
        source="NEC Table 310.15(C)(1), a page of the 2023 edition",
        confidence=Confidence.PUBLISHED,
        published=_value,
        ours=partial(_nec_factor, "conductors together", circuits=_count),
    )

for _size, _area in (("14", 2.08), ("12", 3.31), ("10", 5.261), ("6", 13.30), ("1/0", 53.49), ("4/0", 107.2)):
    register(
        f"circuit.awg-{_size.replace('/', '-')}",
        f"section of {_size} AWG",
        unit="mm2",
        source="ASTM B258, from memory",
        confidence=Confidence.FROM_MEMORY,
        published=_area,
        tolerance=0.0005 * _area + 0.005,
        why="the published figures have three or four digits",
        ours=partial(awg_mm2, _size),
    )
