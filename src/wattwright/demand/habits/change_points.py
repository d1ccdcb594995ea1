"""Energy against outdoor temperature: straight pieces that meet at change points, with intervals for every parameter.

Forms after Kissock, Haberl and Claridge (ASHRAE RP-1050): with (x)+ = max(x, 0),

    2P          E = base + slope T
    3P heating  E = base + heating (change - T)+
    3P cooling  E = base + cooling (T - change)+
    4P          E = base + heating (change - T)+ + cooling (T - change)+
    5P          E = base + heating (change - T)+ + cooling (T - cooling change)+
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np
from numpy.typing import NDArray

from wattwright.core.seeds import Streams
from wattwright.core.series import Floats

CONFIDENCE = 0.90
DRAWN = 200
"""Records drawn anew from a fit, from which its intervals come."""
_WIDER = 1.05
"""So few draws show a range a little too narrow; found on drawn sites other than those of the study."""
_DRAWN_GRID, _CLOSER_GRID = 45, 60
_MOST_ALIKE = 0.98
_GRID, _ROUNDS, _FINER = 30, 14, 4
_EDGE = 0.05
"""A change point lies between these shares of the temperatures: beyond them no slope can be told."""


class Shape(StrEnum):
    """How energy follows the temperature."""

    FLAT = "none"
    LINE = "2P"
    HEATING = "3P heating"
    COOLING = "3P cooling"
    FOUR = "4P"
    FIVE = "5P"


_NAMES: Final = {
    Shape.FLAT: ("base",),
    Shape.LINE: ("base", "slope"),
    Shape.HEATING: ("base", "heating", "change"),
    Shape.COOLING: ("base", "cooling", "change"),
    Shape.FOUR: ("base", "heating", "cooling", "change"),
    Shape.FIVE: ("base", "heating", "cooling", "change", "cooling change"),
}


@dataclass(frozen=True, slots=True)
class Parameter:
    """A parameter with its 90 % interval: base in the unit of the energy, slopes in it for each kelvin, changes in degC."""

    name: str
    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Response:
    """A fit: its parameters, root mean square error (in the energy's unit), CV(RMSE) and R2 as shares, and the days in it.

    ``independent`` is the number of days with as much to say as if they were independent of one another.
    """

    shape: Shape
    parameters: tuple[Parameter, ...]
    rmse: float
    cv_rmse: float
    r2: float
    days: int
    independent: float

    def value(self, name: str) -> float:
        """Return a parameter by name, 0 where the shape has none."""
        return next((one.value for one in self.parameters if one.name == name), 0.0)

    def predict(self, temperature_c: Floats) -> Floats:
        """Return the energy at temperatures, shape (n,)."""
        count = len(_NAMES[self.shape])
        changes = _changes_in(self.shape)
        values = np.array([one.value for one in self.parameters])
        predicted: Floats = shape_columns(self.shape, temperature_c, values[count - changes :]) @ values[: count - changes]
        return predicted

    def kelvins(self, temperature_c: Floats) -> Floats:
        """Return by how much temperatures lie below and above the change points, as far as the shape has them, (n, parts)."""
        parts = []
        if self.value("heating"):
            parts.append(np.maximum(self.value("change") - temperature_c, 0.0))
        if self.value("cooling"):
            change = "cooling change" if self.shape is Shape.FIVE else "change"
            parts.append(np.maximum(temperature_c - self.value(change), 0.0))
        return np.column_stack(parts) if parts else np.zeros((len(temperature_c), 0))


def fit(shape: Shape, temperature_c: Floats, energy: Floats, seed: int = 0) -> Response:
    """Return ``shape`` fitted to energies at mean temperatures, shapes (n,), by least squares.

    The change points are searched on a grid that is drawn closer around the best (the usual way for these models), the rest
    solved exactly. Intervals come from DRAWN records made anew from the fit, with residuals as large and as alike from day to
    day as those that were left (parametric bootstrap). Raises ValueError for fewer points than twice the parameters.
    """
    names = _NAMES[shape]
    if len(energy) < 2 * len(names):
        raise ValueError("too few points for so many parameters")
    at = change_points(shape, temperature_c, energy)
    columns = shape_columns(shape, temperature_c, at)
    coefficients = np.linalg.lstsq(columns, energy, rcond=None)[0]
    residual = energy - columns @ coefficients
    values = np.concatenate([coefficients, at])
    squares, count = float(residual @ residual), len(energy)
    rmse = float(np.sqrt(squares / max(count - len(names), 1)))
    scatter = _scatter(shape, temperature_c, values, residual, seed)
    drawn = _drawn_again(shape, temperature_c, columns @ coefficients, scatter, seed)
    low, high = np.quantile(drawn, ((1 - CONFIDENCE) / 2, (1 + CONFIDENCE) / 2), axis=0)
    parameters = tuple(
        Parameter(name, float(value), float(value - _WIDER * max(value - a, 0.0)), float(value + _WIDER * max(b - value, 0.0)))
        for name, value, a, b in zip(names, values, low, high, strict=True)
    )
    spread = float(((energy - energy.mean()) ** 2).sum())
    return Response(
        shape,
        parameters,
        rmse,
        rmse / float(energy.mean()) if energy.mean() else float("nan"),
        1 - squares / spread if spread > 0 else 0.0,
        count,
        count * (1 - scatter.alike) / (1 + scatter.alike),
    )


def best(temperature_c: Floats, energy: Floats, seed: int = 0) -> Response:
    """Return the shape that Schwarz's criterion prefers, counted in independent days.

    A slope of the wrong sign, or one that may as well be nought (its interval holds nought), does not count.
    """
    found = [fit(Shape.FLAT, temperature_c, energy, seed)]
    for shape in (Shape.HEATING, Shape.COOLING, Shape.FIVE):
        if len(energy) >= 4 * len(_NAMES[shape]):
            one = fit(shape, temperature_c, energy, seed)
            slopes = [slope for slope in one.parameters if slope.name in ("heating", "cooling")]
            if all(slope.low > 0 for slope in slopes):
                found.append(one)
    # What is left by too plain a shape follows the seasons: only the best shape tells how alike days really are.
    independent = max(one.independent for one in found)
    least = 1e-12 * max(float(np.abs(energy).mean()), 1e-12)

    def criterion(one: Response) -> float:
        free = one.days - len(one.parameters)
        mean_square = max(one.rmse**2 * free / one.days, least**2)
        return float(independent * np.log(mean_square) + len(one.parameters) * np.log(max(independent, 2.0)))

    return min(found, key=criterion)


def _changes_in(shape: Shape) -> int:
    return sum("change" in name for name in _NAMES[shape])


def shape_columns(shape: Shape, temperature_c: Floats, at: Sequence[float] | Floats) -> Floats:
    """Return what the coefficients of a shape are multiplied by at temperatures (n,) with change points ``at``, (n, columns)."""
    one = np.ones_like(temperature_c)
    below = np.maximum(at[0] - temperature_c, 0.0) if len(at) else one
    above = np.maximum(temperature_c - at[-1], 0.0) if len(at) else one
    parts = {
        Shape.FLAT: (one,),
        Shape.LINE: (one, temperature_c),
        Shape.HEATING: (one, below),
        Shape.COOLING: (one, above),
        Shape.FOUR: (one, below, above),
        Shape.FIVE: (one, below, above),
    }
    return np.column_stack(parts[shape])


def _solved(shape: Shape, temperature_c: Floats, records: Floats, places: Floats) -> tuple[Floats, Floats]:
    """Return what is explained of ``records``, shape (n, m), with change points at each of ``places``, (p, changes).

    Squares, shape (p, m), beside the coefficients, (p, columns, m). All places share the products of their columns with one
    another and with the records, so that each is left with a system of two or three unknowns.
    """
    values, index = _many_columns(shape, temperature_c, places)
    gram, image = values.T @ values, (values.T @ records)[index]
    # A pseudo-inverse, since a change point at the edge of few temperatures leaves a column of noughts.
    found: Floats = np.linalg.pinv(gram[index[:, :, None], index[:, None, :]], hermitian=True) @ image
    # Of an orthogonal projection what is explained is the product of the record and its image.
    return np.einsum("pkm,pkm->pm", image, found), found


def _many_columns(shape: Shape, temperature_c: Floats, places: Floats) -> tuple[Floats, NDArray[np.int64]]:
    """Return all columns that any place needs, shape (n, q), and which of them each needs, (p, columns)."""
    if not places.shape[1]:
        columns = shape_columns(shape, temperature_c, ())
        return columns, np.arange(columns.shape[1])[None]
    blocks: list[Floats] = [np.ones((len(temperature_c), 1))]
    index, count = [np.zeros(len(places), np.int64)], 1
    for name, at, sign in (("heating", places[:, 0], -1.0), ("cooling", places[:, -1], 1.0)):
        if name in _NAMES[shape]:
            changes, which = np.unique(at, return_inverse=True)
            beyond: Floats = np.maximum(sign * (temperature_c[:, None] - changes), 0.0)
            blocks.append(beyond)
            index.append(count + which)
            count += len(changes)
    return np.concatenate(blocks, axis=1), np.column_stack(index)


def _places(grids: Sequence[Floats]) -> Floats:
    """Return all change points of a grid for each, shape (p, changes), the second never under the first."""
    places = np.stack(np.meshgrid(*grids, indexing="ij"), axis=-1).reshape(-1, len(grids))
    return places[(np.diff(places, axis=1) >= 0).all(axis=1)]


def change_points(shape: Shape, temperature_c: Floats, energy: Floats) -> Floats:
    """Return the change points of a shape that leave the least squares, shape (changes,), by a grid drawn closer."""
    low, high = (float(one) for one in np.quantile(temperature_c, (_EDGE, 1 - _EDGE)))
    changes = _changes_in(shape)
    if not changes:
        return np.zeros(0)
    step = (high - low) / _GRID
    grid: Floats = np.linspace(low, high, _GRID + 1)
    places = _places([grid] * changes)
    about_mean = (energy - energy.mean())[:, None]
    for _ in range(_ROUNDS + 1):
        centre: Floats = places[int(np.argmax(_solved(shape, temperature_c, about_mean, places)[0]))]
        step /= _FINER / 1.5
        places = _places([np.clip(one + step * np.arange(-2, 3), low, high) for one in centre])
    return centre


def _alike(residual: Floats) -> float:
    """Return the first autocorrelation of what is left: how alike neighbouring days are beyond their temperature."""
    square = float(residual @ residual)
    if len(residual) < 3 or square <= 0:
        return 0.0
    return float(residual[1:] @ residual[:-1]) / square


@dataclass(frozen=True, slots=True)
class _Scatter:
    """How far days lie from a response (root mean square, the energy's unit), and how alike neighbours are, 0 to 0.98."""

    size: float
    alike: float


def _scatter(shape: Shape, temperature_c: Floats, values: Floats, residual: Floats, seed: int) -> _Scatter:
    """Return the scatter that leaves residuals such as these, (n,), once a response with ``values`` has been fitted to it.

    A fit takes some of the scatter for response, most of all of scatter that lasts for days: what is left is smaller and less
    alike than what was there. By how much is seen on noise that is fitted as well, along straight lines at the change points
    (a bias correction by bootstrap, after Efron and Tibshirani 1993, chapter 10, from memory).
    """
    left_alike = _alike(residual)
    supposed = min(max(left_alike, 0.0), _MOST_ALIKE)
    directions, _ = np.linalg.qr(_directions(shape, temperature_c, values))
    noise = _noise(shape, len(residual), supposed, seed)
    left = noise - directions @ (directions.T @ noise)
    lost = supposed - float(np.mean([_alike(one) for one in left.T]))
    size = float(np.sqrt(residual @ residual / np.mean(np.square(left).sum(axis=0))))
    return _Scatter(size, min(max(left_alike + lost, 0.0), _MOST_ALIKE))


def _directions(shape: Shape, temperature_c: Floats, values: Floats) -> Floats:
    """Return what a fit changes by with each of its parameters, shape (n, parameters)."""
    names = _NAMES[shape]
    at = values[len(names) - _changes_in(shape) :]
    columns = shape_columns(shape, temperature_c, at)
    bends = [
        sign * values[names.index(name)] * (sign * (change - temperature_c) > 0)
        for name, change, sign in (("heating", at[:1], 1.0), ("cooling", at[-1:], -1.0))
        if name in names
    ]
    if shape is Shape.FOUR:
        bends = [bends[0] + bends[1]]
    return np.column_stack([columns, *bends])


def _noise(shape: Shape, count: int, alike: float, seed: int) -> Floats:
    """Return normal noise of unit spread of which neighbours are alike, shape (count, DRAWN)."""
    from scipy.signal import lfilter

    noise = Streams(seed).stream(f"response {shape.value}").normal(size=(count + 50, DRAWN))
    alike_noise: Floats = lfilter([np.sqrt(1 - alike**2)], [1.0, -alike], noise, axis=0)[50:]
    return alike_noise


def _drawn_again(shape: Shape, temperature_c: Floats, fitted: Floats, scatter: _Scatter, seed: int) -> Floats:
    """Return the parameters of records drawn anew from a fit, shape (DRAWN, parameters)."""
    records = fitted[:, None] + scatter.size * _noise(shape, len(fitted), scatter.alike, seed)
    changes = _changes_in(shape)
    low, high = (float(one) for one in np.quantile(temperature_c, (_EDGE, 1 - _EDGE)))
    if not changes:
        return _best_of(shape, temperature_c, records, np.zeros((1, 0)))
    step = (high - low) / (_DRAWN_GRID - 1)
    # On a coarse grid the change points of the draws lie on a few values, and the intervals of a sharp kink come out too narrow:
    # a second grid covers only where the draws lie.
    first = _best_of(shape, temperature_c, records, _places([np.linspace(low, high, _DRAWN_GRID)] * changes))[:, -changes:]
    closer = [np.linspace(max(low, one.min() - step), min(high, one.max() + step), _CLOSER_GRID) for one in first.T]
    return _best_of(shape, temperature_c, records, _places(closer))


def _best_of(shape: Shape, temperature_c: Floats, records: Floats, places: Floats) -> Floats:
    """Return the parameters of each of ``records``, (n, m), with the change points that explain most, (m, parameters)."""
    explained, coefficients = _solved(shape, temperature_c, records, places)
    best_at, every = np.argmax(explained, axis=0), np.arange(records.shape[1])
    return np.concatenate([coefficients[best_at, :, every], places[best_at]], axis=1)
