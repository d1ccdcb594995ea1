"""Shares and amounts as findings tell them: no more digits than anybody would say."""

from math import floor, log10

_DIGITS, _MOST_DIGITS = 2, 7


def per_cent(share: float) -> float:
    """Return a share of 1 in per cent with one decimal at most; what is not quite none or all of it is not told as that.

    Raises nothing.
    """
    told = round(100.0 * share, 1)
    if 0.0 < share < 1.0:
        return min(max(told, 0.1), 99.9)
    return told


def two_digits(share: float, beside: float | None = None) -> float:
    """Return a share of 1 in per cent with two digits, as tables have it; what is not quite none or all is not told as that.

    As many digits more as it takes to differ from another, that it stands ``beside``. Raises nothing.
    """
    other = share if beside is None else beside
    digits = (one for one in range(_DIGITS, _MOST_DIGITS + 1) if _told(share, one) != _told(other, one))
    return _told(share, next(digits, _DIGITS))


def significant(value: float, digits: int = _DIGITS) -> float:
    """Return a number with so many digits, and never fewer than its whole part has. Raises nothing."""
    return round(value, max(0, digits - 1 - floor(log10(abs(value))))) if value else 0.0


def _told(share: float, digits: int) -> float:
    if 0.0 < share < 1.0:
        return min(max(significant(100.0 * share, digits), 0.1), 99.9)
    return significant(100.0 * share, digits)
