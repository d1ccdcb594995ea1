"""Probes, degrees of protection, enclosures, bills of materials."""

from dataclasses import replace
from decimal import Decimal

import pytest

from wattwright.catalogue.equipment.items import Breaker, Contactor, Controller, Probe
from wattwright.catalogue.equipment.range import Range, generic_range
from wattwright.gear.select.bill import Line, bill_of
from wattwright.gear.select.probes import Sensing, choose_probe, lead_error_k
from wattwright.gear.select.protection import choose_enclosure, least_water, width

TANK = Sensing("temperature", 5.0, 80.0, "tank", 5.0, 4.0)


def test_probes_span_what_the_trade_expects():
    """Common practice, no source: -40 to +85 °C, 0 to 100 % relative humidity, a lead that may be extended by 5 m."""
    for name in ("probe-room", "probe-outdoor"):
        one = generic_range().get(name)
        assert (one.coldest_seen_c, one.hottest_seen_c) == (-40.0, 85.0)
        assert (one.driest_pct, one.wettest_pct) == (0.0, 100.0)
        assert one.extends_m == 5.0


def test_devices_accept_110_to_240_v():
    """Common practice, no source."""
    assert all((one.least_supply_v, one.most_supply_v) == (110.0, 240.0) for one in generic_range().of(Controller))


def test_a_tank_takes_a_sealed_probe():
    """Water stands in a pocket; a probe for rooms is refused by that."""
    made = choose_probe(TANK, generic_range())
    assert made.selected.id == "probe-pt1000"
    assert next(one for one in made.refused if one.id == "probe-room").refused_by.rule == "water"


def test_a_long_lead_asks_for_another_probe():
    """12 m end the Pt1000 of two wires, 23 m the NTC; three wires reach on."""
    assert choose_probe(replace(TANK, lead_m=15.0), generic_range()).selected.id == "probe-ntc"
    assert choose_probe(replace(TANK, lead_m=50.0), generic_range()).selected.id == "probe-pt100-three"
    assert choose_probe(replace(TANK, lead_m=None), generic_range()).selected.asked


def test_beyond_its_range_a_probe_is_refused():
    """An oven is no tank; humidity and soil have their own probes."""
    assert choose_probe(replace(TANK, high=250.0), generic_range()).selected.id == "probe-pt100-three"
    assert choose_probe(Sensing("humidity", 20.0, 95.0, "horticulture", 5.0), generic_range()).selected.id == "probe-outdoor"
    assert choose_probe(Sensing("soil moisture", 0.0, 60.0, "buried", 5.0), generic_range()).selected.id == "probe-soil"
    probe = generic_range().get("probe-room").model_copy(update={"wettest_pct": None})
    made = choose_probe(Sensing("humidity", 20.0, 95.0, "indoors", 5.0), Range((probe,), {}, {}))
    assert "over which range" in made.selected.asked[0]


def test_two_wires_add_to_a_reading():
    """IEC 60751 and 60228: 10 m of 0.5 mm² are 0.72 ohm both ways: 1.87 K at Pt100, a tenth at Pt1000.

    Nearly nothing at an NTC.
    """
    assert lead_error_k("Pt100 two-wire", 10.0, 0.5) == pytest.approx(0.72 / 0.3851)
    assert lead_error_k("Pt100 two-wire", 10.0, 0.9) == pytest.approx(0.4 / 0.3851)
    assert lead_error_k("Pt1000 two-wire", 10.0, 0.5) == pytest.approx(lead_error_k("Pt100 two-wire", 10.0, 0.5) / 10)
    assert lead_error_k("NTC 10 kohm", 10.0, 0.22) < 0.01
    two = generic_range().get("probe-pt1000").model_copy(update={"element": "Pt100 two-wire", "extends_m": 50.0})
    made = choose_probe(replace(TANK, lead_m=30.0), Range((two,), {}, {}))
    assert made.refused[0].refused_by.rule == "error of the lead"


def test_every_place_has_its_degree():
    """IEC 60529, second numeral; places after IEC 60364-7, from memory."""
    assert [least_water(one)[0] for one in ("indoors", "outdoors", "bathroom", "pool", "tank", "buried")] == [0, 4, 4, 5, 7, 8]


def test_an_enclosure_has_room_heat_and_the_degree_it_needs():
    """Six modules would fit into eight; their 18 W ask for 24 modules. Out of doors IP44 at least; radio does not pass metal."""
    inside = [one for one in generic_range().of(Contactor) if one.id == "modular-20-2-230"] * 6
    made = choose_enclosure(inside, "outdoors", generic_range(), radio=True)
    assert made.modules == 6.0
    assert made.selected.id == "enclosure-24-ip65"
    assert made.count == 1
    metal = Range(
        tuple(one.model_copy(update={"metal": True}) for one in generic_range().items if one.id == "enclosure-24-ip65"), {}, {}
    )
    assert choose_enclosure(inside, "outdoors", metal, radio=True).selected is None
    assert choose_enclosure(inside, "outdoors", metal, radio=False).selected.id == "enclosure-24-ip65"


def test_several_enclosures_share_what_one_does_not_hold():
    """Twelve times the heat of one asks for more than one."""
    inside = [one for one in generic_range().of(Contactor) if one.id == "motor-40-230"] * 9
    made = choose_enclosure(inside, "indoors", generic_range(), radio=False)
    assert made.count > 1
    assert made.selected is not None


def test_width_of_devices():
    """A breaker is as wide as its poles; what has no foot takes three modules."""
    breaker = next(one for one in generic_range().of(Breaker) if one.poles == 3 and one.curve == "C")
    assert width(breaker) == 3.0
    assert width(generic_range().get("in-line-16")) == 3.0
    assert width(generic_range().get("ct-meter-50")) == 2.0


def priced(id_, price, stock=None):
    """An entry with a price."""
    return generic_range().get(id_).model_copy(update={"price": Decimal(price), "stock": stock})


def test_a_bill_adds_up_to_what_is_printed():
    """Rows are rounded, and their sum is the total, in each currency of its own."""
    range_ = Range((priced("in-line-20", "62.40", 1), priced("cable-3x2-5-pvc", "1.235"), priced("in-line-16", "10")), {}, {
        "in-line-20": "EUR", "cable-3x2-5-pvc": "EUR", "in-line-16": "USD"
    })  # fmt: skip
    lines = [
        Line("in-line-20", 1, "pcs", "heater"), Line("in-line-20", 1, "pcs", "mats"), Line("cable-3x2-5-pvc", 17.5, "m",
        "heater"),
        Line("in-line-16", 3, "pcs", "pump"), Line("", 4, "m", "pump", "10 AWG, 3 wires"),
        Line("", 6, "m", "heater", "10 AWG, 3 wires"),
    ]  # fmt: skip
    bill = bill_of(lines, range_)
    assert next((row.name, row.quantity, row.total) for row in bill.rows)[1:] == (2, Decimal("124.80"))
    assert bill.rows[0].used_for == ("heater", "mats")
    assert bill.rows[0].in_stock is False
    assert bill.rows[1].total == Decimal("21.61")
    assert bill.totals == {"EUR": Decimal("146.41"), "USD": Decimal("30.00")}
    assert bill.rows[-1].item is None
    assert bill.rows[-1].quantity == 10
    assert bill.unpriced == 1
    for currency, total in bill.totals.items():
        assert total == sum(row.total for row in bill.rows if row.currency == currency)


def test_every_probe_is_reachable():
    """Each probe of the range is the answer to some question: nothing in it is dead."""
    assert {one.id for one in generic_range().of(Probe)} == {
        "probe-room",
        "probe-outdoor",
        "probe-ntc",
        "probe-pt1000",
        "probe-pt100-three",
        "probe-soil",
    }
