"""The measurement plan and adjustments as written: periods in order, one way to adjust, units."""

import pytest
from pydantic import ValidationError

from wattwright.proof.measurement import AdjustmentSpec, MeasurementSpec

EVENT = {"from": "2024-03-01", "until": "2024-03-10", "why": "a guest", "agreed_by": "both"}


@pytest.mark.parametrize(
    "given",
    [
        {"from": "2024-01-01", "until": "2024-01-01"},
        {"until": "2024-01-01", "after": "2023-12-31"},
        {"months": 0},
        {"confidence": "40 %"},
        {"option": "A"},
    ],
)
def test_what_is_no_plan(given):
    """Periods out of order, no months, a coin's confidence, and an option that is not worked out are refused."""
    with pytest.raises(ValidationError):
        MeasurementSpec.model_validate(given)


@pytest.mark.parametrize("name", ["from", "until", "after"])
@pytest.mark.parametrize(
    ("day", "is_taken"), [("1969-12-31", False), ("1970-01-01", True), ("2199-12-31", True), ("9999-06-01", False)]
)
def test_days_lie_where_a_calendar_is_known(name, day, is_taken):
    """A day of 1970 to 2199 is taken; another one is refused with a sentence, before months are added to it."""
    if is_taken:
        assert MeasurementSpec.model_validate({name: day})
    else:
        with pytest.raises(ValidationError, match="a day of the years 1970 to 2199"):
            MeasurementSpec.model_validate({name: day})


@pytest.mark.parametrize(
    "given",
    [{}, {"leave_out": True, "a_day": "3 kWh"}, {"leave_out": True, "until": "2024-03-01"}, {"leave_out": True, "agreed_by": ""}],
)
def test_what_is_no_adjustment(given):
    """Neither or both ways to adjust, an event without days, and one that nobody agreed on are refused."""
    with pytest.raises(ValidationError):
        AdjustmentSpec.model_validate({**EVENT, **given})


@pytest.mark.parametrize(
    ("given", "is_taken"),
    [
        ({"from": "1969-12-31"}, False),
        ({"from": "1970-01-01"}, True),
        ({"until": "2199-12-31"}, True),
        ({"until": "2200-01-01"}, False),
    ],
)
def test_days_of_an_adjustment_lie_there_too(given, is_taken):
    """A day of 1970 to 2199 is taken; another one is refused with the sentence of the measurement's days."""
    if is_taken:
        assert AdjustmentSpec.model_validate({**EVENT, "leave_out": True, **given})
    else:
        with pytest.raises(ValidationError, match="a day of the years 1970 to 2199"):
            AdjustmentSpec.model_validate({**EVENT, "leave_out": True, **given})


def test_energy_has_its_unit():
    """Energy a day is read with its unit, a minus where less was used."""
    assert AdjustmentSpec.model_validate({**EVENT, "a_day": "-1.5 kWh"}).a_day_wh == -1500.0
