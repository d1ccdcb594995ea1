"""Fitted models as plain data: each form comes back from text to the last bit, and tells the same."""

import json

import numpy as np
import pytest

from tests.proof.invented import Grain, before_and_after
from wattwright.demand.habits.change_points import Shape
from wattwright.proof.models.calendar import Calendar, Mean
from wattwright.proof.models.day_kinds import DayKinds
from wattwright.proof.models.kelvins import ChangePoint, DegreeDays
from wattwright.proof.models.linear import FittedLinear
from wattwright.proof.models.week import WeekAndTemperature
from wattwright.proof.numbers import fitted_of, numbers_of

FORMS = (
    Mean(), Calendar(by_type=False), Calendar(by_type=True, yearly=True), ChangePoint(Shape.HEATING), ChangePoint(Shape.FIVE),
    DegreeDays(heating=True, cooling=False), WeekAndTemperature(),
    DayKinds(by_type=True, hourly=True, heating=True, cooling=False),
    DayKinds(by_type=False, hourly=False, heating=True, cooling=True),
)  # fmt: skip


@pytest.mark.parametrize("model", FORMS, ids=lambda one: one.name)
def test_each_form_comes_back(model):
    """What a model tells of another year is the same to the bit after it went through text."""
    before, after = before_and_after(Grain.DAY)
    fitted = model.fit(before)
    form, numbers = numbers_of(fitted)
    back = fitted_of(form, json.loads(json.dumps(numbers, allow_nan=False)))
    assert type(back) is type(fitted)
    assert np.array_equal(back.predict(after), fitted.predict(after))
    assert back.parameters == fitted.parameters


def test_drivers_keep_their_names():
    """A linear model keeps its drivers as names, not as numbers."""
    form, numbers = numbers_of(FittedLinear(np.array([1.0, 2.0]), 0, ("made",), warm=False))
    back = fitted_of(form, numbers)
    assert (back.driver_names, back.warm) == (("made",), False)


def test_numbers_of_another_form_are_refused():
    """A form there is not, and numbers that a form does not have, are no model."""
    with pytest.raises(KeyError):
        fitted_of("guess", {})
    with pytest.raises(TypeError):
        fitted_of("mean", {"weight": 1.0})
