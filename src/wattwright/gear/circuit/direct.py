"""Conductors of a PV array: the smallest copper that carries its direct current in warm air beside others, and its drop.

Two loaded conductors in free air (IEC 60364-5-52, method E, insulation for 90 degC) or the 90 degC column of the NEC with its
terminals at 75 degC. It is a first size: cable for PV, its protection and its route are for licensed people under the local code.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from wattwright.gear.circuit.appliance import RuleSet
from wattwright.gear.circuit.tables import table

LEAST_MM2: Final = 4.0
LEAST_AWG: Final = "12"
"""No thinner conductors are laid to PV modules, for strength and drop: common practice, no source."""
_AWG_MM2: Final = {"12": 3.31, "10": 5.26, "8": 8.37, "6": 13.3, "4": 21.15, "3": 26.67, "2": 33.62, "1": 42.41}
"""Sections of the American wire gauge, mm2: NEC Chapter 9, Table 8, from memory; they follow 0.127 mm 92^((36 - n) / 39)."""


@dataclass(frozen=True, slots=True)
class DirectCable:
    """A conductor for direct current: its size in words and in mm2, what it carries as it lies, A, and by which tables."""

    size: str
    area_mm2: float
    carries_a: float
    basis: str


def direct_cable(rules: RuleSet, current_a: float, air_c: float, circuits: int) -> DirectCable | None:
    """Return the smallest conductor that carries a current in air so warm, so many circuits bunched; None beyond the tables."""
    made = _iec if rules == "iec" else _nec
    return next((one for one in made(air_c, circuits) if one.carries_a >= current_a), None)


def drop_share(cable: DirectCable, length_m: float, current_a: float, voltage_v: float) -> float:
    """Return the drop of a current there and back over a route of ``length_m``, as a share of its voltage.

    Source: IEC 60364-5-52, Annex G, without reactance: direct current has none.
    """
    resistance_ohm = 2.0 * table("iec")["drop"]["resistivity_ohm_mm2_m"] * length_m / cable.area_mm2
    return float(resistance_ohm * current_a / voltage_v)


def _iec(air_c: float, circuits: int) -> Iterator[DirectCable]:
    held = table("iec")
    bunched, ampacity = held["group"]["laid"]["bunched"], held["ampacity"]
    warm = _upto(air_c, held["air"]["c"], held["air"]["XLPE"])
    group = _upto(circuits, bunched["circuits"], bunched["factor"])
    if warm is None or group is None:
        return
    basis = f"{ampacity['clause']}, method E, 90 °C; {held['air']['clause']}; {bunched['clause']}"
    for area_mm2, carries_a in zip(ampacity["mm2"], ampacity["XLPE 2"]["E"], strict=True):
        if area_mm2 >= LEAST_MM2:
            yield DirectCable(f"{area_mm2:g} mm²", float(area_mm2), carries_a * warm * group, basis)


def _nec(air_c: float, circuits: int) -> Iterator[DirectCable]:
    held = table("nec")
    ampacity = held["ampacity"]
    warm = _upto(air_c, held["air"]["c"], held["air"]["90"])
    group = _upto(2 * circuits, held["group"]["upto"], held["group"]["factor"])
    if warm is None or group is None:
        return
    basis = f"{ampacity['clause']}, 90 °C, terminals at 75 °C; {held['air']['clause']}; {held['group']['clause']}"
    first = ampacity["awg"].index(LEAST_AWG)
    for row, awg in enumerate(ampacity["awg"][first : first + len(_AWG_MM2)], start=first):
        carries_a = min(ampacity["90"][row] * warm * group, float(ampacity["75"][row]))
        yield DirectCable(f"{awg} AWG", _AWG_MM2[awg], carries_a, basis)


def _upto(asked: float, rows: list[float], values: list[Any]) -> float | None:
    """Return the value of the row asked for or the next worse one; None beyond the last."""
    return next((float(value) for row, value in zip(rows, values, strict=False) if asked <= row), None)
