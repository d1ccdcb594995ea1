"""Parameters fitted to what a record shows, and which of them the record can tell at all.

The fit is weighted least squares (Gauss and Newton) on a few statistics, each with its error. How the simulated statistics move
with each parameter is worked out by small changes. In units of each parameter's usual range and each statistic's error, the
singular vectors of that matrix tell the directions in which the record says nothing: a direction along which the 90 % interval
would be wider than the whole usual range. What takes part in such a direction cannot be told; for each direction one member
is held at its usual value. Source: local identifiability by the rank of the sensitivities, textbook.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.simulate.fit.statistics import Estimate

Floats = NDArray[np.float64]
Groups = tuple[tuple[int, ...], ...]
Model = Callable[[Floats], Floats]
_CHANGE = 1e-2
"""Step of a small change, as a share of a parameter's usual range."""
_ROUNDS = 25
_TAKES_PART = 0.15
"""A parameter takes part in a direction when this share of it, or more, lies along it."""
_MATTERS, _UNIFORM = 0.5, 12.0**-0.5
"""And when what is usual along it would move the parameter by more than this share of its own error; spread of a usual range."""
_NORMAL_95 = 1.6448536
_LEAST_ERROR = 2e-3
"""No load keeps to its equations more closely than this share: finer differences are not taken for knowledge."""


@dataclass(frozen=True, slots=True)
class Parameter:
    """A parameter: its name, usual value, and the range from ``low`` to ``high`` in which it usually lies.

    One that is ``known`` stays as it is. Of those that cannot be told apart the first in the list is fitted.
    """

    name: str
    unit: str
    usual: float
    low: float
    high: float
    known: bool = False


@dataclass(frozen=True, slots=True)
class FittedParameter:
    """A fitted value with its 90 % interval; where the record cannot tell it, the interval is NaN.

    ``beside`` names what it cannot be told from; empty for one of which the record shows nothing at all. ``held`` says that it
    stayed at its usual value, or at that read on site where it is ``known``.
    """

    name: str
    unit: str
    value: float
    low: float
    high: float
    identifiable: bool
    known: bool
    held: bool
    beside: tuple[str, ...]


def fit(parameters: Sequence[Parameter], seen: Sequence[Estimate], model: Model) -> tuple[FittedParameter, ...]:
    """Return the parameters that make ``model`` give what was ``seen``; the model takes (p,) and returns (k,)."""
    width = np.array([one.high - one.low for one in parameters])
    open_ = np.array([not one.known for one in parameters])
    value = np.array([one.usual for one in parameters])
    target, error = (np.array([getattr(one, name) for one in seen]) for name in ("value", "error"))
    error = np.maximum(error, 1e-6 * np.maximum(np.abs(target), 1e-12))
    free = open_.copy()
    groups: Groups = ()
    for _ in range(3):
        # Which directions are blind may change with the place: look again where the fit came to rest.
        value = _settled(value, free, width, target, error, model)
        judged = np.maximum(error, _LEAST_ERROR * np.abs(target))
        groups, wanted = _blind(_slopes(value, open_, width, model) / judged[:, None] * width, open_)
        if (wanted == free).all():
            break
        value, free = np.where(wanted, value, [one.usual for one in parameters]), wanted
    spread, freedom = _spread(_slopes(value, free, width, model), error, np.array([one.freedom for one in seen]), free)
    return tuple(
        _fitted(k, parameters, float(value[k]), float(spread[k]), float(freedom[k]), bool(free[k]), groups)
        for k in range(len(parameters))
    )


def _fitted(
    k: int,
    all_: Sequence[Parameter],
    value: float,
    spread: float,
    freedom: float,
    free: bool,
    groups: Groups,
) -> FittedParameter:
    from scipy.stats import t

    inside = [group for group in groups if k in group]
    beside = tuple(dict.fromkeys(all_[j].name for group in inside for j in group if j != k))
    told = free and not inside
    reach = float(t.ppf(0.95, freedom)) * spread if told else float("nan")
    one = all_[k]
    return FittedParameter(one.name, one.unit, value, value - reach, value + reach, told, one.known, not free, beside)


def _settled(value: Floats, free: NDArray[np.bool_], width: Floats, target: Floats, error: Floats, model: Model) -> Floats:
    """Return where weighted least squares comes to rest, from ``value`` on, moving only what is free."""
    if not free.any():
        return value
    best, off = value, (target - model(value)) / error
    for _ in range(_ROUNDS):
        slopes = _slopes(best, free, width, model)[:, free] / error[:, None]
        step = np.zeros(len(value))
        step[free] = np.linalg.lstsq(slopes * width[free], off, rcond=1e-9)[0] * width[free]
        best, gained, off_then = _shortened(best, np.clip(step, -width, width), off, target, error, model)
        off = off_then
        if not gained or np.all(np.abs(step) <= 1e-7 * width):
            break
    return best


def _shortened(
    value: Floats, step: Floats, off: Floats, target: Floats, error: Floats, model: Model
) -> tuple[Floats, bool, Floats]:
    """Return (value, whether it is better, what is off then) after the step, or after a half, a quarter ... of it."""
    for _ in range(8):
        tried = np.maximum(value + step, 1e-9)
        then = (target - model(tried)) / error
        if np.isfinite(then).all() and then @ then < off @ off:
            return tried, True, then
        step = 0.5 * step
    return value, False, off


def _slopes(value: Floats, free: NDArray[np.bool_], width: Floats, model: Model) -> Floats:
    """Return how the model's statistics move with each free parameter, shape (k, p); nought for the others."""
    columns = []
    for k in range(len(value)):
        change = np.zeros(len(value))
        change[k] = min(_CHANGE * width[k], 0.5 * abs(value[k]) + 1e-12)
        if free[k]:
            columns.append((model(value + change) - model(value - change)) / (2.0 * change[k]))
        else:
            columns.append(np.zeros_like(columns[-1]) if columns else np.zeros_like(model(value)))
    return np.asarray(np.nan_to_num(np.column_stack(columns)))


def _blind(scaled: Floats, open_: NDArray[np.bool_]) -> tuple[Groups, NDArray[np.bool_]]:
    """Return the members of each direction the record does not see, and what is left free.

    ``scaled`` (k, p) is in usual ranges and errors. As many are held as there are such directions, from the end of the list on,
    each settling one more of them.
    """
    which, free = np.flatnonzero(open_), open_.copy()
    if len(which) == 0:
        return (), free
    _, singular, vectors = np.linalg.svd(scaled[:, which], full_matrices=True)
    sharp = np.zeros(len(which))
    sharp[: len(singular)] = singular
    dark = sharp < 2.0 * _NORMAL_95
    error = np.sqrt((np.square(vectors[~dark]) / np.square(sharp[~dark])[:, None]).sum(axis=0))
    reach = np.minimum(_TAKES_PART, _MATTERS / _UNIFORM * np.maximum(error, _LEAST_ERROR))
    left = vectors[dark]
    for k in range(len(which) - 1, -1, -1):
        length = float(np.linalg.norm(left[:, k]))
        if length > _TAKES_PART:
            free[which[k]] = False
            along = left[:, k] / length
            left = left - np.outer(along, along @ left)
    return tuple(tuple(int(k) for k in which[np.abs(one) > reach]) for one in vectors[dark]), free


def _spread(slopes: Floats, error: Floats, freedom: Floats, free: NDArray[np.bool_]) -> tuple[Floats, Floats]:
    """Return the standard error of each parameter and its degrees of freedom after Welch and Satterthwaite."""
    spread, found = np.zeros(len(free)), np.full(len(free), np.inf)
    if free.any():
        gain = np.linalg.pinv(slopes[:, free] / error[:, None])
        variance = np.square(gain)
        total = variance.sum(axis=1)
        spread[free] = np.sqrt(total)
        found[free] = total**2 / np.maximum((variance**2 / freedom).sum(axis=1), 1e-300)
    return spread, found
