"""Measures of a row of yearly amounts: net present value, internal rates of return, payback, levelised cost of energy.

The first amount is that of year 0 and is not discounted. Spreadsheets often discount it by a year; theirs times (1 + rate)
is ours.
"""

from itertools import pairwise

import numpy as np

from wattwright.supply.money.terms import Floats, growth

_NOUGHT = 1e-12
"""Share of the sum of all sizes below which a value is rounding noise."""


def present(amounts: Floats, rate: float) -> Floats:
    """Return what each year's amount is worth at year 0, shape (n,): amount over (1 + rate)^year."""
    return np.asarray(amounts / growth(rate, len(amounts) - 1), np.float64)


def npv(amounts: Floats, rate: float) -> float:
    """Return the net present value: the sum of ``present``. Source: ASTM E1074 (net benefits), from memory."""
    return float(present(amounts, rate).sum())


def irrs(amounts: Floats) -> tuple[float, ...]:
    """Return every rate above -100 % a year at which the net present value is nought, the lowest first; none or several may be.

    The sum of amount v^year over v = 1/(1 + rate) is a polynomial. Between two neighbouring roots of its derivative it has one
    root or none, so its roots are found from those of its derivative, downwards from the last; none can be missed or made up, but
    for two that rounding cannot tell apart. Source: Rolle's theorem; Descartes' rule of signs where the sign changes once.
    """
    terms = np.trim_zeros(np.asarray(amounts, np.float64))
    return tuple(sorted(1.0 / v - 1.0 for v in _positive_roots(terms)))


def payback(amounts: Floats) -> float | None:
    """Return the year after which the running sum stays at nought or above, within it by even flow; None where it never does.

    Source: ASTM E1121, from memory. A replacement may take the sum below nought again; what counts is for good.
    """
    sums = np.cumsum(amounts)
    # What is left below a millionth of a millionth of the largest sum is rounding.
    below = np.flatnonzero(sums < -_NOUGHT * np.abs(sums).max(initial=0.0))
    if not len(below):
        return 0.0
    last = int(below[-1])
    return None if last == len(sums) - 1 else float(last - sums[last] / amounts[last + 1])


def levelised(costs: Floats, energy_kwh: Floats, rate: float) -> float:
    """Return the cost of a kWh: present costs over kWh discounted alike, in currency per kWh; real with a real rate.

    Source: the usual definition, as in NREL's description of levelised cost.
    """
    return npv(costs, rate) / npv(energy_kwh, rate)


def _positive_roots(terms: Floats) -> list[float]:
    """Return the distinct v > 0 at which the sum of terms[k] v^k is nought; ``terms`` begins and ends with a term that is not."""
    signs = np.sign(terms[terms != 0])
    if np.count_nonzero(signs[1:] != signs[:-1]) == 0:
        return []
    size = np.abs(terms)
    # Cauchy's bound from either end.
    edges = [float(size[0] / (size[0] + size.max())), float(1.0 + size.max() / size[-1])]
    if np.count_nonzero(signs[1:] != signs[:-1]) > 1:
        slopes = np.trim_zeros(terms * np.arange(len(terms)), "f")
        edges[1:1] = [v for v in _positive_roots(slopes) if edges[0] < v < edges[1]]
    found: list[float] = []
    for low, high in pairwise(edges):
        at_low, at_high = _level(low, terms), _level(high, terms)
        if abs(at_low) < _NOUGHT:
            found.append(low)
        elif abs(at_high) >= _NOUGHT and at_low * at_high < 0:
            found.append(_between(low, high, terms))
    return found


def _level(v: float, terms: Floats) -> float:
    """Return the polynomial at v over the sum of the sizes of its terms, so that no power can overflow: -1 to 1."""
    powers = np.arange(len(terms)) * np.log(v)
    scaled = terms * np.exp(powers - powers.max())
    return float(scaled.sum() / np.abs(scaled).sum())


def _between(low: float, high: float, terms: Floats) -> float:
    from scipy.optimize import brentq

    return float(np.exp(brentq(lambda x: _level(float(np.exp(x)), terms), np.log(low), np.log(high), xtol=1e-15, rtol=1e-14)))
