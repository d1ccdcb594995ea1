"""The probe for a load: what it senses and over which range, where it hangs, its lead, and what two wires add to its reading."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from wattwright.catalogue.equipment.items import Probe
from wattwright.catalogue.equipment.range import Range
from wattwright.gear.select.need import Sensed
from wattwright.gear.select.protection import Where, least_water
from wattwright.gear.select.ruling import PRACTICE, Judged, Ruling, at_most, still_open, yes_or_no

OHM_PER_K: Final = {"Pt100 two-wire": 0.3851, "Pt1000 two-wire": 3.851}
"""Resistance of a platinum element for each kelvin near 0 °C: IEC 60751."""
NTC_OHM_PER_K = 386.0
"""Of an NTC of 10 kohm at 25 °C with B = 3435 K: B R / T²."""
OHM_PER_M: Final = {0.22: 0.096, 0.5: 0.0360, 0.75: 0.0245, 1.0: 0.0181, 1.5: 0.0121, 2.5: 0.00741}
"""Resistance of one core of a lead by its cross-section in mm²: IEC 60228, class 1 and 2, 20 °C; 0.22 mm² by data sheets."""
_COPPER_OHM_MM2_M = 0.018


@dataclass(frozen=True, slots=True)
class Sensing:
    """What is to be sensed: the quantity, its lowest and highest value (°C or %), where, and how far from the controller.

    ``differential`` is that of the controller, in K or %; a reading may be off by half of it at most. ``lead_m`` is None where
    nobody
    measured the way.
    """

    quantity: Sensed
    low: float
    high: float
    where: Where
    differential: float
    lead_m: float | None = None


@dataclass(frozen=True, slots=True)
class Probing:
    """The probe: the first that passes, the others that do, and what was refused."""

    selected: Judged | None
    also: tuple[Judged, ...]
    refused: tuple[Judged, ...]


def choose_probe(sensing: Sensing, range_: Range) -> Probing:
    """Return the probe for what is to be sensed, of all in a range: the one that senses least besides, with the shortest lead."""
    judged = [(one, Judged(one.id, one.name, tuple(_rulings(one, sensing)))) for one in range_.of(Probe)]
    passing = sorted((one for one in judged if one[1].passes), key=lambda one: _order(one[0]))
    kept = [one for _, one in passing]
    return Probing(kept[0] if kept else None, tuple(kept[1:]), tuple(one for _, one in judged if not one.passes))


def _order(probe: Probe) -> tuple[float, ...]:
    price = float("inf") if probe.price is None else float(probe.price)
    return (price, float(len(probe.senses)), probe.extends_m, probe.lead_m)


def _rulings(probe: Probe, sensing: Sensing) -> Iterator[Ruling]:
    says = f"senses {', '.join(probe.senses)}, asked for {sensing.quantity}"
    holds = sensing.quantity in probe.senses
    yield yes_or_no("quantity", "data sheet of the probe", says, holds=holds)
    if not holds:
        return
    yield covers(probe, sensing)
    yield water(probe, sensing)
    yield reach(probe, sensing)
    yield two_wires(probe, sensing)


def covers(probe: Probe, sensing: Sensing) -> Ruling:
    """Return whether it senses the whole range."""
    if sensing.quantity == "temperature":
        low, high, unit = probe.coldest_seen_c, probe.hottest_seen_c, "°C"
    else:
        low, high, unit = probe.driest_pct, probe.wettest_pct, "%"
    clause = "data sheet of the probe"
    if low is None or high is None:
        return still_open("range", clause, f"ask the maker over which range it senses {sensing.quantity}")
    says = f"{sensing.low:g} to {sensing.high:g} {unit}, senses {low:g} to {high:g} {unit}"
    return yes_or_no("range", clause, says, holds=low <= sensing.low and sensing.high <= high)


def water(probe: Probe, sensing: Sensing) -> Ruling:
    """Return whether it bears the water where it hangs."""
    wanted, clause = least_water(sensing.where)
    says = f"{probe.ip}; {sensing.where}: water at least {wanted}"
    return yes_or_no("water", clause, says, holds=int(probe.ip[3]) >= wanted)


def reach(probe: Probe, sensing: Sensing) -> Ruling:
    """Return whether its lead reaches, as far as it may be extended."""
    clause = f"data sheet of the probe; an extension of 5 m {PRACTICE}"
    if sensing.lead_m is None:
        return still_open("lead", clause, "how far is it from the probe to the controller, along the cable?")
    most = probe.lead_m + probe.extends_m
    says = f"{sensing.lead_m:g} m, its lead of {probe.lead_m:g} m may be extended to {most:g} m"
    return at_most("lead", clause, says, sensing.lead_m, most)


def two_wires(probe: Probe, sensing: Sensing) -> Ruling:
    """Return whether the resistance of its lead keeps the reading within half of the differential."""
    clause = "IEC 60751 and IEC 60228: resistance of the lead over that of a kelvin"
    if sensing.quantity != "temperature" or probe.element in ("digital", "4-20 mA", "Pt100 three-wire"):
        return yes_or_no("error of the lead", clause, "its lead adds nothing to the reading", holds=True)
    length_m = probe.lead_m if sensing.lead_m is None else sensing.lead_m
    off_k = lead_error_k(probe.element, length_m, probe.core_mm2)
    half = sensing.differential / 2.0
    says = f"{length_m:g} m of {probe.core_mm2:g} mm² read {off_k:.2g} K wrong, half the differential is {half:g} K"
    return at_most("error of the lead", clause, says, off_k, half)


def lead_error_k(element: str, lead_m: float, core_mm2: float) -> float:
    """Return by how much the resistance of two wires of a lead shifts a reading, K: 2 l R' over ohm for each kelvin."""
    ohm_per_m = OHM_PER_M.get(core_mm2, _COPPER_OHM_MM2_M / core_mm2)
    return 2.0 * lead_m * ohm_per_m / OHM_PER_K.get(element, NTC_OHM_PER_K)
