"""Units, money and number facts of core against standards."""

from decimal import Decimal
from functools import partial

from wattwright.checks.registry import Confidence, register
from wattwright.core.money import Money, minor_unit
from wattwright.core.units import parse

_NIST = "NIST Special Publication 811 (2008), appendix B.8"


def _decimals(currency: str) -> float:
    return -float(str(Decimal(minor_unit(currency)).as_tuple().exponent))


def _to_one_decimal(amount: str, rule: str) -> str:
    """Return an amount to one decimal: ten times it, in a currency without minor unit, is rounded to whole units."""
    return str(Money(Decimal(amount) * 10, "JPY").rounded(rule).amount / 10)


_WHY = "the published factor is rounded to seven digits"

for _id, _text, _unit, _value, _tolerance in (
    ("horsepower", "1 hp", "W", 745.6999, 5e-5),
    ("btu-per-hour", "1 Btu/h", "W", 0.2930711, 5e-8),
    ("gallon", "1 gal", "litre", 3.785412, 5e-7),
    ("foot", "1 ft", "m", 0.3048, 5e-8),
    ("kilowatt-hour", "1 MJ", "Wh", 1e6 / 3600, 1e-9),
):
    register(
        f"units.{_id}",
        f"{_text} in {_unit}",
        unit=_unit,
        source=_NIST,
        confidence=Confidence.FROM_MEMORY,
        published=_value,
        tolerance=_tolerance,
        why=_WHY,
        ours=partial(parse, _text, _unit),
    )

for _id, _text, _value in (("boiling", "212 °F", 100.0), ("freezing", "32 °F", 0.0), ("crossing", "-40 °F", -40.0)):
    register(
        f"units.fahrenheit-{_id}",
        f"{_text} in degrees Celsius",
        unit="°C",
        source=f"{_NIST}: t/°C = (t/°F − 32)/1.8",
        confidence=Confidence.FROM_MEMORY,
        published=_value,
        tolerance=1e-9,
        why="floating point",
        ours=partial(parse, _text, "degC"),
    )

for _currency, _digits in (("EUR", 2), ("JPY", 0), ("TND", 3), ("CLF", 4)):
    register(
        f"money.minor-unit-{_currency.lower()}",
        f"decimals of the minor unit of {_currency}",
        unit="",
        source="ISO 4217 list one, minor unit",
        confidence=Confidence.FROM_MEMORY,
        published=float(_digits),
        ours=partial(_decimals, _currency),
    )

for _id, _amount, _rule, _rounded in (
    ("half-even-down", "12.25", "half even", "12.2"),
    ("half-even-up", "12.35", "half even", "12.4"),
    ("half-up", "12.25", "half up", "12.3"),
):
    register(
        f"money.rounding-{_id}",
        f"{_amount} to one decimal, {_rule}",
        unit="",
        source="ISO 80000-1:2009, annex B, rules A and B",
        confidence=Confidence.FROM_MEMORY,
        published=_rounded,
        ours=partial(_to_one_decimal, _amount, _rule),
    )
