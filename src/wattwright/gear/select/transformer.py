"""The current transformer of a meter: its range against the peaks, what it sees at low load, its burden, its error of phase.

Source: IEC 61869-2, tables 201 to 203, for classes and the part of the burden they hold for.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import acos, cos, radians, sin, tan
from typing import Final

from wattwright.catalogue.equipment.items import Controller, CurrentTransformer, Item
from wattwright.catalogue.equipment.range import Range
from wattwright.gear.select.ruling import PRACTICE, Judged, Ruling, at_least, at_most, still_open, yes_or_no

RATIO_PERCENT: Final = {
    "0.2": ((5.0, 0.75), (20.0, 0.35), (100.0, 0.2), (120.0, 0.2)),
    "0.5": ((5.0, 1.5), (20.0, 0.75), (100.0, 0.5), (120.0, 0.5)),
    "0.5S": ((1.0, 1.5), (5.0, 0.75), (20.0, 0.5), (100.0, 0.5), (120.0, 0.5)),
    "1": ((5.0, 3.0), (20.0, 1.5), (100.0, 1.0), (120.0, 1.0)),
    "3": ((50.0, 3.0), (120.0, 3.0)),
}
"""Limits of the ratio error in %, from so many % of the rated current on: IEC 61869-2, tables 201 to 203."""
PHASE_MIN: Final = {
    "0.2": ((5.0, 30.0), (20.0, 15.0), (100.0, 10.0)),
    "0.5": ((5.0, 90.0), (20.0, 45.0), (100.0, 30.0)),
    "0.5S": ((1.0, 90.0), (5.0, 45.0), (20.0, 30.0), (100.0, 30.0)),
    "1": ((5.0, 180.0), (20.0, 90.0), (100.0, 60.0)),
}
"""Limits of the phase displacement in minutes of arc, likewise; class 3 has none."""
_BURDEN_FROM = 0.25
ACCEPTED_PERCENT = 5.0
"""By how much the power may be wrong at base load before somebody is asked. Source: common practice, no source."""
_COPPER_OHM_MM2_M = 0.01724
_SECONDARY_A: Final = {"1 A": 1.0, "5 A": 5.0}


@dataclass(frozen=True, slots=True)
class Measured:
    """What is to be measured: currents in each conductor (A), how many conductors, and what the leads are like.

    ``most_a`` is the upper end of the band of the one-minute peak, ``usual_a`` what flows at base load, ``protection_a`` the main
    protection; None where nobody knows. ``cable_mm`` is the outside of the thickest conductor with its insulation, ``lead_m`` the
    way from transformer to meter and ``core_mm2`` its cross-section.
    """

    most_a: float | None
    usual_a: float | None
    protection_a: float | None
    conductors: int
    cable_mm: float | None = None
    lead_m: float | None = None
    core_mm2: float = 2.5
    meter_va: float = 0.5
    power_factor: float = 0.95


@dataclass(frozen=True, slots=True)
class Measuring:
    """What measures: the first device that passes, the others that do, and what was refused."""

    selected: Judged | None
    also: tuple[Judged, ...]
    refused: tuple[Judged, ...]


def choose_meter(measured: Measured, range_: Range) -> Measuring:
    """Return the meter with its own transformers for a supply, of all in a range; the smallest that every rule lets through."""
    meters = [one for one in range_.of(Controller) if one.kind == "CT meter"]
    return _chosen([(one, _meter(one, measured)) for one in meters], measured)


def choose_transformer(measured: Measured, range_: Range) -> Measuring:
    """Return the transformer for a meter that has none of its own, of all in a range."""
    return _chosen([(one, _transformer(one, measured)) for one in range_.of(CurrentTransformer)], measured)


def _chosen(judged: list[tuple[Item, Judged]], measured: Measured) -> Measuring:
    passing = sorted((one for one in judged if one[1].passes), key=lambda one: _order(one[0], measured))
    refused = tuple(one for _, one in judged if not one.passes)
    kept = [one for _, one in passing]
    return Measuring(kept[0] if kept else None, tuple(kept[1:]), refused)


def _order(item: Item, measured: Measured) -> tuple[float, ...]:
    price = float("inf") if item.price is None else float(item.price)
    if isinstance(item, Controller):
        return (float(item.conductors), item.measures_to_a or 0.0, price)
    return (0.0 if isinstance(item, CurrentTransformer) and item.split else 1.0, getattr(item, "primary_a", 0.0), price)


def _meter(meter: Controller, measured: Measured) -> Judged:
    return Judged(meter.id, meter.name, tuple(_meter_rulings(meter, measured)))


def _meter_rulings(meter: Controller, measured: Measured) -> Iterator[Ruling]:
    says = f"measures {meter.conductors} of {measured.conductors} conductors"
    yield yes_or_no("conductors", PRACTICE, says, holds=meter.conductors >= measured.conductors)
    yield from in_range(meter.measures_to_a or 0.0, measured)
    yield low_load(meter.measures_from_a, meter.starts_at_a, measured)
    yield opening(meter.window_mm or 0.0, measured)


def _transformer(one: CurrentTransformer, measured: Measured) -> Judged:
    least = RATIO_PERCENT[one.accuracy][0][0] / 100.0 * one.primary_a
    rulings = (*in_range(one.primary_a, measured), low_load(least, 0.0, measured), opening(one.window_mm, measured))
    return Judged(one.id, one.name, (*rulings, burden(one, measured), of_power(one, measured)))


def in_range(rated_a: float, measured: Measured) -> Iterator[Ruling]:
    """Yield whether the rated primary current covers the main protection and the highest peak."""
    if measured.protection_a is None and measured.most_a is None:
        yield still_open("range", PRACTICE, "what is the rating of the main protection?")
    if measured.protection_a is not None:
        says = f"main protection {measured.protection_a:g} A, measures to {rated_a:g} A"
        yield at_most("range", PRACTICE, says, measured.protection_a, rated_a)
    if measured.most_a is not None:
        says = f"highest one-minute peak {measured.most_a:.3g} A (upper end of its band), measures to {rated_a:g} A"
        yield at_most("peak", "the band of the one-minute peak", says, measured.most_a, rated_a)


def low_load(class_from_a: float, starts_at_a: float, measured: Measured) -> Ruling:
    """Return whether its class holds at base load; below the current it starts at, it shows nothing."""
    clause = "IEC 61869-2 tables 201 to 203"
    if measured.usual_a is None:
        return still_open("low load", clause, "what flows at base load?")
    if measured.usual_a < starts_at_a:
        return at_least(
            "low load",
            clause,
            f"{measured.usual_a:.3g} A at base load, starts at {starts_at_a:.3g} A",
            measured.usual_a,
            starts_at_a,
        )
    if measured.usual_a < class_from_a:
        ask = (
            f"{measured.usual_a:.3g} A at base load, its class holds from {class_from_a:.3g} A: check it there with a known load"
        )
        return still_open("low load", clause, ask)
    says = f"{measured.usual_a:.3g} A at base load, its class holds from {class_from_a:.3g} A"
    return at_least("low load", clause, says, measured.usual_a, class_from_a)


def opening(window_mm: float, measured: Measured) -> Ruling:
    """Return whether the conductor goes through."""
    if measured.cable_mm is None:
        return still_open("opening", PRACTICE, f"how thick is the conductor over its insulation? {window_mm:g} mm go through")
    says = f"conductor of {measured.cable_mm:g} mm, opening of {window_mm:g} mm"
    return at_most("opening", PRACTICE, says, measured.cable_mm, window_mm)


def burden(one: CurrentTransformer, measured: Measured) -> Ruling:
    """Return whether leads and meter load it within the part of its burden that its class holds for."""
    clause = "IEC 61869-2: classes hold from 25 to 100 % of the burden"
    secondary_a = _SECONDARY_A.get(one.secondary)
    if secondary_a is None or one.burden_va is None:
        return yes_or_no("burden", clause, "a voltage output carries no burden", holds=True)
    if measured.lead_m is None:
        return still_open("burden", clause, "how long is the way from the transformer to the meter?")
    loaded_va = lead_va(secondary_a, measured.lead_m, measured.core_mm2) + measured.meter_va
    says = f"{loaded_va:.3g} VA of leads and meter, burden {one.burden_va:g} VA"
    if loaded_va < _BURDEN_FROM * one.burden_va:
        return at_least("burden", clause, says + ", too little for its class", loaded_va, _BURDEN_FROM * one.burden_va)
    return at_most("burden", clause, says, loaded_va, one.burden_va)


def of_power(one: CurrentTransformer, measured: Measured) -> Ruling:
    """Return what its class allows the power to be wrong at base load, errors of ratio and of phase together."""
    clause = f"IEC 61869-2 tables 201 to 203; {ACCEPTED_PERCENT:g} % {PRACTICE}"
    if measured.usual_a is None:
        return still_open("error of power", clause, "what flows at base load?")
    worst = worst_power_error_percent(one.accuracy, measured.usual_a / one.primary_a, measured.power_factor)
    if worst is None:
        return still_open(
            "error of power", clause, "its class sets no limit of phase there: hold it against a meter that is known"
        )
    says = f"at base load and power factor {measured.power_factor:g} the power may read {worst:.2g} % wrong"
    if worst > ACCEPTED_PERCENT:
        return still_open("error of power", clause, f"{says}: is that near enough?")
    return at_most("error of power", clause, says, worst, ACCEPTED_PERCENT)


def lead_va(secondary_a: float, lead_m: float, core_mm2: float) -> float:
    """Return what the leads of a current output take, VA: I² 2 l rho / S with copper at 20 °C, both ways."""
    return secondary_a * secondary_a * 2.0 * lead_m * _COPPER_OHM_MM2_M / core_mm2


def power_error_percent(ratio_pct: float, phase_min: float, power_factor: float) -> float:
    """Return the error of active power, %, from errors of ratio (%) and phase (minutes of arc, leading) at a lagging load.

    e = 100 ((1 + ratio) cos(phi - delta) / cos(phi) - 1).
    """
    phi = acos(power_factor)
    delta = radians(phase_min / 60.0)
    return 100.0 * ((1.0 + ratio_pct / 100.0) * (cos(delta) + tan(phi) * sin(delta)) - 1.0)


def worst_power_error_percent(accuracy: str, at_share: float, power_factor: float) -> float | None:
    """Return the largest error of active power that a class allows at a share of its rated current, %.

    None where it sets none.
    """
    ratio, phase = ratio_limit_percent(accuracy, at_share), phase_limit_min(accuracy, at_share)
    if ratio is None or phase is None:
        return None
    return max(abs(power_error_percent(r, p, power_factor)) for r in (-ratio, ratio) for p in (-phase, phase))


def ratio_limit_percent(accuracy: str, at_share: float) -> float | None:
    """Return the limit of the ratio error of a class at a share of its rated current, %; None where it sets none."""
    return _limit(RATIO_PERCENT[accuracy], 100.0 * at_share)


def phase_limit_min(accuracy: str, at_share: float) -> float | None:
    """Return the limit of the phase displacement of a class likewise, minutes of arc."""
    return _limit(PHASE_MIN.get(accuracy, ()), 100.0 * at_share)


def _limit(steps: tuple[tuple[float, float], ...], percent: float) -> float | None:
    """Return the limit that holds at so many % of the rated current: that of the step at or below it."""
    return next((limit for start, limit in reversed(steps) if percent >= start), None)
