"""Bounds as they are written: a least rounded up and a most rounded down: no figure on paper allows more than the rule."""

from decimal import ROUND_CEILING, ROUND_FLOOR, Context, Decimal

_NOISE_DIGITS = 12
"""Beyond these digits a float says nothing of a bound."""


def as_least(value: float, digits: int = 3) -> float:
    """Return a least value rounded up to so many significant digits: 20.85 A becomes 20.9 A, never 20.8 A."""
    return _bounded(value, digits, ROUND_CEILING)


def as_most(value: float, digits: int = 3) -> float:
    """Return a most value rounded down to so many significant digits: 552.5 V becomes 552 V, never 553 V."""
    return _bounded(value, digits, ROUND_FLOOR)


def _bounded(value: float, digits: int, rule: str) -> float:
    # What floating point added to a figure is no part of it: 1.1 x 3 is 3.3.
    exact = Context(prec=_NOISE_DIGITS).create_decimal_from_float(value)
    return float(Context(prec=digits, rounding=rule).create_decimal(Decimal(exact)))
