"""How well loads were told apart from a whole: the usual figures of load disaggregation.

Powers ``found`` and ``true`` have the same shape and unit; ``found_on`` and ``truly_on`` are booleans. Definitions: F1 and
the errors as listed by reviews of the field; energy correctly assigned after Kolter and Johnson (2011), from memory.
"""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


def precision(found_on: Bools, truly_on: Bools) -> float:
    """Return the hits over all that was said to be on; NaN where nothing was."""
    return _over(float((found_on & truly_on).sum()), float(found_on.sum()))


def recall(found_on: Bools, truly_on: Bools) -> float:
    """Return the hits over all that was on; NaN where nothing was."""
    return _over(float((found_on & truly_on).sum()), float(truly_on.sum()))


def f1(found_on: Bools, truly_on: Bools) -> float:
    """Return the harmonic mean of precision and recall: twice the hits over all said to be on and all that was."""
    return _over(2.0 * float((found_on & truly_on).sum()), float(found_on.sum() + truly_on.sum()))


def disaggregation_error(found: Floats, true: Floats) -> float:
    """Return the normalised disaggregation error (NDE), with its root: sqrt(sum (found - true)^2 / sum true^2)."""
    return float(np.sqrt(_over(float(((found - true) ** 2).sum()), float((true**2).sum()))))


def error_in_power(found: Floats, true: Floats) -> float:
    """Return the normalised error in assigned power (NEP): sum |found - true| / sum true."""
    return _over(float(np.abs(found - true).sum()), float(true.sum()))


def correctly_assigned(found: Floats, true: Floats) -> float:
    """Return the share of energy correctly assigned (TECA): 1 - sum |found - true| / (2 sum true)."""
    return 1.0 - 0.5 * error_in_power(found, true)


def energy_error(found: Floats, true: Floats) -> float:
    """Return how far the energies differ, as a share of the true one."""
    return _over(abs(float(found.sum()) - float(true.sum())), float(true.sum()))


def _over(part: float, whole: float) -> float:
    return part / whole if whole else float("nan")
