"""Choosing equipment: categories of contactors, classes of transformers, probes, colours and marks, and facts of the trade."""

from collections.abc import Callable
from functools import lru_cache, partial

from wattwright.catalogue.equipment.contacts import Category
from wattwright.catalogue.equipment.items import Controller, Probe
from wattwright.catalogue.equipment.range import generic_range
from wattwright.checks.registry import Confidence, Value, register
from wattwright.gear.circuit.appliance import Appliance, RuleSet, System
from wattwright.gear.select import coil_rules, contact_rules
from wattwright.gear.select.asking import need_of
from wattwright.gear.select.need import Need, Surroundings
from wattwright.gear.select.probes import lead_error_k
from wattwright.gear.select.protection import Where, least_water
from wattwright.gear.select.switch import Choice, choose
from wattwright.gear.select.transformer import (
    Measured,
    choose_meter,
    lead_va,
    phase_limit_min,
    power_error_percent,
    ratio_limit_percent,
)  # fmt: skip
from wattwright.gear.wiring.colours import colour_of
from wattwright.gear.wiring.netlist import Potential

_PUBLISHED, _MEMORY = Confidence.PUBLISHED, Confidence.FROM_MEMORY
_CLOSED, _PRACTICE = Confidence.CLOSED_FORM, Confidence.COMMON_PRACTICE


def _one(
    id_: str, what: str, unit: str, source: str, how: Confidence, published: Value, ours: Callable[[], Value], off: float = 0.0
) -> None:
    why = "the published figure is rounded" if off else ""
    register(
        f"gear.{id_}", what, unit=unit, source=source, confidence=how, published=published, ours=ours, tolerance=off, why=why
    )


def _make(category: Category) -> float:
    return contact_rules.MAKE[category] if category in contact_rules.MAKE else coil_rules.MAKE[category]


# A contactor data sheet reproducing IEC 60947-4-1, and for household ones and coils what is remembered.
_MAKES: tuple[tuple[Category, float, Confidence], ...] = (
    ("AC-1", 1.5, _PUBLISHED), ("AC-3", 10.0, _PUBLISHED), ("AC-5a", 3.0, _PUBLISHED), ("AC-5b", 1.5, _PUBLISHED),
    ("AC-7a", 1.5, _MEMORY), ("AC-7b", 8.0, _MEMORY), ("AC-8a", 6.0, _MEMORY), ("AC-8b", 6.0, _MEMORY), ("AC-14", 6.0, _MEMORY),
    ("AC-15", 10.0, _MEMORY),
)  # fmt: skip
for _name, _times, _how in _MAKES:
    _standard = "IEC 60947-5-1" if _name in ("AC-14", "AC-15") else "IEC 60947-4-1 table 7, IEC 61095"
    _one(
        f"make-{_name.lower()}",
        f"current a contact of {_name} closes on, over its rating",
        "",
        _standard,
        _how,
        _times,
        partial(_make, _name),
    )

# IEC 61869-2, tables 201 to 203, seen on two pages that agree; class, share of the rated current, ratio error, phase.
_CLASSES = (
    ("0.2", 0.05, 0.75, 30.0), ("0.2", 0.2, 0.35, 15.0), ("0.2", 1.0, 0.2, 10.0), ("0.5", 0.05, 1.5, 90.0), ("0.5", 0.2, 0.75,
    45.0),
    ("0.5", 1.0, 0.5, 30.0), ("0.5S", 0.01, 1.5, 90.0), ("0.5S", 0.05, 0.75, 45.0), ("0.5S", 0.2, 0.5, 30.0), ("1", 0.05, 3.0,
    180.0),
    ("1", 0.2, 1.5, 90.0), ("1", 1.0, 1.0, 60.0),
)  # fmt: skip


def _ratio(accuracy: str, share: float) -> Value:
    found = ratio_limit_percent(accuracy, share)
    return "none" if found is None else found


def _phase(accuracy: str, share: float) -> Value:
    found = phase_limit_min(accuracy, share)
    return "none" if found is None else found


for _class, _share, _percent, _minutes in _CLASSES:
    _id = f"{_class.lower().replace('.', '-')}-{_share * 100:g}"
    _at = f"class {_class} at {_share:.0%} of the rated current"
    _one(
        f"ct-ratio-{_id}",
        f"limit of the ratio error, {_at}",
        "%",
        "IEC 61869-2 tables 201 to 203",
        _PUBLISHED,
        _percent,
        partial(_ratio, _class, _share),
    )
    _one(
        f"ct-phase-{_id}",
        f"limit of the phase displacement, {_at}",
        "min",
        "IEC 61869-2 tables 201 to 203",
        _PUBLISHED,
        _minutes,
        partial(_phase, _class, _share),
    )
_one(
    "ct-below-class",
    "limit of class 1 below 5 % of the rated current",
    "",
    "IEC 61869-2: none",
    _PUBLISHED,
    "none",
    partial(_ratio, "1", 0.04),
)

# e = 100 (cos(phi - delta) / cos(phi) - 1), worked out to two decimals from the stated formula.
for _factor, _minutes, _percent in (
    (1.0, 90.0, -0.03), (1.0, 180.0, -0.14), (0.9, 30.0, 0.42), (0.9, 180.0, 2.40), (0.8, 30.0, 0.65), (0.8, 180.0, 3.79),
    (0.8, -60.0, -1.32), (0.5, 60.0, 3.01), (0.5, 180.0, 8.93), (0.2, 90.0, 12.79), (0.2, -60.0, -8.57),
):  # fmt: skip
    _one(
        f"ct-power-{_factor:g}-{_minutes:g}".replace(".", "-"),
        f"error of power at cos phi {_factor:g} for {_minutes:g} min of phase", "%",
        "closed form: cos(phi - delta) / cos(phi) - 1", _CLOSED, _percent, partial(power_error_percent, 0.0, _minutes, _factor),
        0.005,
    )  # fmt: skip
_one(
    "ct-burden",
    "leads of a 5 A transformer, 10 m of 2.5 mm²",
    "VA",
    "closed form: I² 2 l rho / S, copper at 20 °C",
    _CLOSED,
    3.448,
    partial(lead_va, 5.0, 10.0, 2.5),
    5e-4,
)

# Lead of a Pt100 with two wires, 10 m: resistance of one core by IEC 60228 (0.22 mm² by a data sheet) over 0.3851 ohm/K.
for _area, _kelvin in ((0.22, 5.0), (0.5, 1.87), (0.75, 1.27), (1.5, 0.63)):
    _one(
        f"lead-{_area:g}".replace(".", "-"),
        f"reading of a Pt100 with two wires, 10 m of {_area:g} mm²", "K", "IEC 60751, IEC 60228", _CLOSED,
        _kelvin, partial(lead_error_k, "Pt100 two-wire", 10.0, _area), 0.02,
    )  # fmt: skip


def _lasts(switchings: float) -> float:
    contact = generic_range().get("in-line-16")
    assert isinstance(contact, Controller)
    worn = contact.contact.model_copy(update={"life": {"AC-1": 30_000, "AC-7a": 30_000}})
    need = Need("heater", "heater", "single-phase", 13.0, 13.0, 1.0, 230.0, 230.0, switchings_a_year=switchings, years=1.0)
    return 1.0 + (contact_rules.life(worn, need).margin or 0.0)


_one(
    "life-ten-a-day",
    "years that 30,000 switchings last at 10 a day",
    "years",
    "IEC 61095: 30,000 operations of AC-7a; by arithmetic",
    _CLOSED,
    8.2,
    partial(_lasts, 3650.0),
    0.05,
)
_one(
    "life-thermostat",
    "years that they last at 6 an hour for 8 h a day",
    "years",
    "the same",
    _CLOSED,
    1.7,
    partial(_lasts, 17_520.0),
    0.05,
)


def _water(place: Where) -> float:
    return float(least_water(place)[0])


_WATERS: tuple[tuple[Where, float, str], ...] = (
    ("bathroom", 4.0, "IEC 60364-7-701, zones 1 and 2"), ("pool", 5.0, "IEC 60364-7-702, zone 1"),
    ("horticulture", 4.0, "IEC 60364-7-705"),
)  # fmt: skip
for _place, _numeral, _clause in _WATERS:
    _what = f"second numeral of the degree of protection: {_place}"
    _one(f"water-{_place}", _what, "", _clause, _MEMORY, _numeral, partial(_water, _place))

_COLOURS: tuple[tuple[Potential, RuleSet, System, str, str, Confidence], ...] = (
    ("L1", "iec", "three-phase", "brown", "IEC 60445", _PUBLISHED), ("L2", "iec", "three-phase", "black", "IEC 60445",
    _PUBLISHED),
    ("L3", "iec", "three-phase", "grey", "IEC 60445", _PUBLISHED), ("N", "iec", "single-phase", "blue", "IEC 60445", _PUBLISHED),
    ("PE", "iec", "single-phase", "green-yellow", "IEC 60445", _PUBLISHED), ("N", "nec", "split-phase", "white", "NEC 200.6",
    _PUBLISHED),
    ("PE", "nec", "split-phase", "green", "NEC 250.119", _PUBLISHED),
)  # fmt: skip
for _potential, _rules, _system, _colour, _source, _how in _COLOURS:
    _one(
        f"colour-{_rules}-{_potential.lower()}",
        f"colour of {_potential} ({_rules.upper()})",
        "",
        _source,
        _how,
        _colour,
        partial(colour_of, _potential, _rules, _system),
    )


@lru_cache(maxsize=8)
def _choice(power: str, volts: str, system: System, duty: str) -> Choice:
    """Return what switches a load that runs for hours."""
    plate = {"power": power, "voltage": volts, "system": system, "duty": duty, "continuous": True}
    rules: RuleSet = "nec" if system == "split-phase" else "iec"
    return choose(need_of(Appliance.model_validate(plate), rules, Surroundings()), generic_range())


def _selected(power: str, volts: str, system: System) -> str:
    made = _choice(power, volts, system, "heater").selected
    return "nothing" if made is None else f"{made.controller.contact.ratings['AC-1']:g} A in line"


def _refused(power: str, volts: str, system: System, duty: str, id_: str) -> str:
    return next(
        (one.refused_by.rule for one in _choice(power, volts, system, duty).refused if one.id == id_ and one.refused_by),
        "not refused",
    )


def _twenty() -> str:
    """Return whether any device of 20 A carries 4.5 kW at 240 V."""
    made = _choice("4.5 kW", "240 V", "split-phase", "heater")
    passed = [one.contactor or one.controller for one in (made.selected, *made.also) if one is not None]
    return "none" if all(one.contact.ratings.get("AC-1", 0.0) > 20.0 for one in passed) else "some"


def _meter() -> str:
    made = choose_meter(Measured(55.0, 6.0, 63.0, 1, 9.0), generic_range()).selected
    return "none" if made is None else made.id


def _spans(end: str) -> float:
    probe = next(one for one in generic_range().of(Probe) if one.id == "probe-room")
    found = {
        "cold": probe.coldest_seen_c,
        "hot": probe.hottest_seen_c,
        "dry": probe.driest_pct,
        "wet": probe.wettest_pct,
        "extends": probe.extends_m,
    }[end]
    return -999.0 if found is None else found


_NO_SOURCE = "common practice, no source"
_one(
    "fact-3-kw",
    "a 3 kW heater at 230 V, 13.04 A for hours, ends on",
    "",
    _NO_SOURCE,
    _PRACTICE,
    "20 A in line",
    partial(_selected, "3 kW", "230 V", "single-phase"),
)
_one(
    "fact-16-a",
    "why 16 A do not do for it",
    "",
    _NO_SOURCE,
    _PRACTICE,
    "continuous load",
    partial(_refused, "3 kW", "230 V", "single-phase", "heater", "in-line-16"),
)
_one("fact-4-5-kw", "devices of 20 A that carry 4.5 kW at 240 V", "", _NO_SOURCE, _PRACTICE, "none", _twenty)
_one(
    "fact-motor",
    "why a device without a motor rating does not do for a pump",
    "",
    _NO_SOURCE,
    _PRACTICE,
    "kind of load",
    partial(_refused, "1.1 kW", "230 V", "single-phase", "motor", "in-line-25"),
)
_one("fact-ct", "transformer for a usual single-phase house behind 63 A", "", _NO_SOURCE, _PRACTICE, "ct-meter-100", _meter)
for _end, _figure, _unit in (
    ("cold", -40.0, "°C"),
    ("hot", 85.0, "°C"),
    ("dry", 0.0, "%"),
    ("wet", 100.0, "%"),
    ("extends", 5.0, "m"),
):
    _one(
        f"fact-probe-{_end}",
        f"what a probe for rooms spans or extends to: {_end}",
        _unit,
        _NO_SOURCE,
        _PRACTICE,
        _figure,
        partial(_spans, _end),
    )


def _accepts(highest: bool) -> float:
    found = {one.most_supply_v if highest else one.least_supply_v for one in generic_range().of(Controller)}
    return found.pop() if len(found) == 1 else -1.0


_one(
    "fact-supply-low",
    "lowest voltage that every device accepts",
    "V",
    _NO_SOURCE,
    _PRACTICE,
    110.0,
    partial(_accepts, highest=False),
)
_one(
    "fact-supply-high",
    "highest voltage that every device accepts",
    "V",
    _NO_SOURCE,
    _PRACTICE,
    240.0,
    partial(_accepts, highest=True),
)
