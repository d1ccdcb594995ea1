"""A fitted model as plain data and back, to the last bit, so that a baseline can be frozen as text that people can read."""

from dataclasses import fields
from enum import Enum
from math import isnan
from typing import Any, Final

import numpy as np

from wattwright.demand.habits.change_points import Shape
from wattwright.proof.models.calendar import FittedCalendar, FittedMean
from wattwright.proof.models.day_kinds import FittedDayKinds
from wattwright.proof.models.fitted import Fitted
from wattwright.proof.models.kelvins import FittedChangePoint, FittedDegreeDays
from wattwright.proof.models.linear import FittedLinear
from wattwright.proof.models.week import FittedWeek

_FORMS: Final[dict[str, type[Fitted]]] = {
    "mean": FittedMean,
    "calendar": FittedCalendar,
    "change point": FittedChangePoint,
    "degree-days": FittedDegreeDays,
    "day kinds and temperature": FittedDayKinds,
    "week and temperature": FittedWeek,
    "linear": FittedLinear,
}
_INTEGERS: Final = ("cells", "places")
_TEXTS: Final = ("driver_names",)


def numbers_of(fitted: Fitted) -> tuple[str, dict[str, Any]]:
    """Return the form of a fitted model and its numbers by name; a base that there is not is None."""
    form = next(name for name, kind in _FORMS.items() if type(fitted) is kind)
    return form, {one.name: _plain(getattr(fitted, one.name)) for one in fields(fitted)}


def fitted_of(form: str, numbers: dict[str, Any]) -> Fitted:
    """Return the fitted model of such numbers; raises KeyError, TypeError or ValueError where they are none."""
    return _FORMS[form](**{name: _held(name, value) for name, value in numbers.items()})


def _plain(value: Any) -> Any:
    if isinstance(value, np.ndarray):
        return value.tolist()
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, tuple):
        return list(value)
    return None if isinstance(value, float) and isnan(value) else value


def _held(name: str, value: Any) -> Any:
    if name == "shape":
        return Shape(value)
    if name in _TEXTS:
        return tuple(value)
    if isinstance(value, list):
        return np.array(value, np.bool_ if name == "occupied" else np.int64 if name in _INTEGERS else np.float64)
    return float("nan") if value is None else value
