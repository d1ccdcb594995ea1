"""Quantities with their units, against the definitions of the units."""

from math import isfinite

import pytest
from hypothesis import given, strategies as st

from wattwright.core.errors import UnitError
from wattwright.core.fields import DurationS, Held, PowerW, Spec
from wattwright.core.units import EXAMPLES, parse

# Exact definitions: NIST SP 811 (foot 0.3048 m, US gallon 231 in3, horsepower 550 ft lbf/s); SI brochure.
READ = [
    ("2.4 kW", "W", 2400.0),
    ("2,4 kW", "W", 2400.0),
    ("2400W", "W", 2400.0),
    ("0.0024 MW", "W", 2400.0),
    (".5 kW", "W", 500.0),
    ("5e3 W", "W", 5000.0),
    ("-1.5 kW", "W", -1500.0),
    ("  3 kW  ", "W", 3000.0),
    ("1 hp", "W", 550 * 0.3048 * 0.45359237 * 9.80665),
    ("25 kVA", "VA", 25_000.0),
    ("10 kWh", "Wh", 10_000.0),
    ("36 MJ", "Wh", 10_000.0),  # 1 kWh = 3.6 MJ
    ("0.4 kV", "V", 400.0),
    ("63 A", "A", 63.0),
    ("20 mA", "A", 0.02),
    ("30 min", "s", 1800.0),
    ("2 h", "s", 7200.0),
    ("1 d", "s", 86_400.0),
    ("45 s", "s", 45.0),
    ("150 l", "litre", 150.0),
    ("150 L", "litre", 150.0),
    ("0.3 m3", "litre", 300.0),
    ("0,3 m³", "litre", 300.0),
    ("50 gal", "litre", 50 * 231 * 2.54**3 / 1000),
    ("60 °C", "degC", 60.0),
    ("60 C", "degC", 60.0),
    ("140 °F", "degC", 60.0),  # (140 - 32) * 5 / 9
    ("5 K", "delta_degC", 5.0),
    ("20 m", "m", 20.0),
    ("2 km", "m", 2000.0),
    ("10 ft", "m", 3.048),
    ("40 m2", "m2", 40.0),
    ("40 m²", "m2", 40.0),
    ("35 %", "1", 0.35),
    ("1 500 W", "W", 1500.0),
    ("1\N{NARROW NO-BREAK SPACE}500\N{NARROW NO-BREAK SPACE}W", "W", 1500.0),
    ("1'500 W", "W", 1500.0),
    ("12,345,678 W", "W", 12_345_678.0),
    ("1,500.5 W", "W", 1500.5),
    ("1.500,5 W", "W", 1500.5),
    ("0,500 kW", "W", 500.0),
    ("1500,25 W", "W", 1500.25),
]


@pytest.mark.parametrize(("text", "unit", "value"), READ, ids=[f"{text} in {unit}" for text, unit, _ in READ])
def test_read_as_written(text, unit, value):
    """What a person writes becomes the number in the unit held, by the definition of the unit."""
    assert parse(text, unit) == pytest.approx(value, rel=1e-12)


REFUSED = [
    ("1,500 W", "W", "unit.number"),  # fifteen hundred or one and a half
    ("-1,500 W", "W", "unit.number"),
    ("1 5 kW", "W", "unit.number"),  # a slip, not fifteen
    ("1,2,3 W", "W", "unit.number"),
    ("1,50.5 W", "W", "unit.number"),
    ("1.500.5 W", "W", "unit.number"),
    ("1,500,500,5 W", "W", "unit.number"),
    ("1.5.2 W", "W", "unit.number"),
    ("1e999 W", "W", "unit.number"),
    ("1..5 W", "W", "unit.number"),
    ("", "W", "unit.number"),
    ("about 5 W", "W", "unit.number"),
    ("nan W", "W", "unit.number"),
    ("2400", "W", "unit.missing"),
    ("2.4 kw", "W", "unit.unknown"),
    ("5 elephants", "W", "unit.unknown"),
    ("5 (", "W", "unit.unknown"),
    ("5 W/0", "W", "unit.unknown"),
    ("5 \x00", "W", "unit.unknown"),
    ("5 min 30 s", "s", "unit.unknown"),
    ("5 kWh", "W", "unit.kind"),
    ("5 W", "Wh", "unit.kind"),
    ("5 m", "m2", "unit.kind"),
    ("5 °C", "delta_degC", "unit.kind"),
    ("300 K", "degC", "unit.kind"),
    ("25 kVA", "W", "unit.kind"),  # apparent is not active power
    ("25 kvar", "W", "unit.kind"),
    ("25 kW", "VA", "unit.kind"),
    ("230 V", "A", "unit.kind"),
]


@pytest.mark.parametrize(("text", "unit", "code"), REFUSED, ids=[f"{text!r} in {unit}" for text, unit, _ in REFUSED])
def test_refused_with_reason(text, unit, code):
    """What could be read two ways, has no unit, or measures something else is refused, and an example is given."""
    with pytest.raises(UnitError) as refused:
        parse(text, unit, "rating")
    fault = refused.value.faults[0]
    assert fault.code == code
    assert fault.place.field == "rating"
    assert EXAMPLES[unit] in fault.wanted
    assert fault.next_step.endswith(".")


@given(st.text(max_size=20), st.sampled_from(sorted(EXAMPLES)))
def test_any_text_is_a_number_or_a_sentence(text, unit):
    """Whatever stands there, after a number too, it is read or refused as a UnitError; nothing else comes out."""
    for one in (text, f"5 {text}"):
        try:
            told = f"{parse(one, unit)!r}"
        except UnitError as refused:
            told = str(refused)
        assert "expected a number with its unit" in told or isfinite(float(told))


@given(
    st.floats(-1e9, 1e9),
    st.sampled_from([("W", "W"), ("Wh", "Wh"), ("V", "V"), ("A", "A"), ("s", "s"), ("l", "litre"), ("m", "m"), ("m2", "m2")]),
)
def test_number_in_the_held_unit_comes_back(value, unit):
    """A number written out in full in the unit held is that number."""
    written, held = unit
    assert parse(f"{value!r} {written}", held) == pytest.approx(value, rel=1e-12, abs=1e-300)


@given(st.integers(1000, 10**9))
def test_every_grouping_is_the_same_number(value):
    """Groups of three by space, apostrophe, and by comma or point where there are two of them, change nothing."""
    for mark in (" ", "'", "\N{NARROW NO-BREAK SPACE}", *((",", ".") if value >= 10**6 else ())):
        assert parse(f"{value:,} W".replace(",", mark), "W") == value


@pytest.mark.parametrize("unit", sorted(EXAMPLES))
def test_examples_are_read(unit):
    """The example given for each unit is one that can be read."""
    assert parse(EXAMPLES[unit], unit) > 0


class Pump(Spec):
    """A spec for the tests."""

    rating_w: PowerW
    delay_s: DurationS = 0.0


def test_field_reads_units_or_a_held_number():
    """A field takes text with a unit, or a number said to be in the unit held, and keeps a float."""
    assert Pump(rating_w="1.1 kW", delay_s=Held(30.0)) == Pump(rating_w=Held(1100.0), delay_s="30 s")


@pytest.mark.parametrize(
    ("given", "wanted"),
    [(1100, 'for example "2.4 kW"|Put it in quotes.'), ("1100", 'for example "2.4 kW"|Write the unit after the number.')],
)
def test_field_refuses_a_bare_number(given, wanted):
    """A number without a unit is refused, whether in quotes or not."""
    with pytest.raises(ValueError, match="number") as refused:
        Pump(rating_w=given)
    assert wanted in str(refused.value)


def test_field_says_in_the_schema_what_to_write():
    """The JSON schema asks for text with an example, not for a number."""
    schema = Pump.model_json_schema()["properties"]["rating_w"]
    assert schema["type"] == "string"
    assert schema["examples"] == ["2.4 kW"]
