"""What days are like, as plain data for programs: powers in kW, energies in kWh, temperatures in degC."""

from typing import Any

from wattwright.demand.habits.change_points import CONFIDENCE, Response
from wattwright.demand.habits.habits import Habits

UNITS = {"base": "kWh a day", "change": "degC", "cooling change": "degC"}
SLOPE = "kWh a day and K"
"""Units of the parameters of a response to the temperature; those that are not named are slopes."""


def habits_json(habits: Habits) -> dict[str, Any]:
    """Return the entries that the days add to what is said of demand."""
    days, base = habits.days, habits.base
    return {
        "day_groups": [
            {
                "group": number,
                "days": habits.groups.days_in(number),
                "course_kw": [_round(float(one) / 1000) for one in course],
            }
            for number, course in enumerate(habits.groups.course_w)
        ],
        "group_of_day": {days.date(at).isoformat(): int(group) for at, group in enumerate(habits.groups.of_day) if group >= 0},
        "group_agreement": {str(at + 2): _round(value) for at, value in enumerate(habits.groups.agreement)},
        "breaks": [
            {
                "first": days.date(one.first).isoformat(),
                "days": one.days,
                "mean_kw": _round(one.mean_w / 1000),
                "usual_kw": _round(one.usual_w / 1000),
            }
            for one in habits.breaks
        ],
        "standby_kw": _round(base.standby_w / 1000),
        "base_trend_kw_per_year": {
            "value": _round(base.trend_w / 1000),
            "low": _round(base.trend_low_w / 1000),
            "high": _round(base.trend_high_w / 1000),
        },
        "temperature_response": None if habits.response is None else _response(habits.response),
    }


def _response(one: Response) -> dict[str, Any]:
    return {
        "shape": one.shape.value,
        "confidence": CONFIDENCE,
        "parameters": {
            each.name.replace(" ", "_"): {"value": _round(each.value), "low": _round(each.low), "high": _round(each.high)}
            for each in one.parameters
        },
        "units": {each.name.replace(" ", "_"): UNITS.get(each.name, SLOPE) for each in one.parameters},
        "r2": _round(one.r2),
        "cv_rmse": _round(one.cv_rmse),
        "days": one.days,
    }


def _round(value: float) -> float | None:
    return None if value != value or abs(value) == float("inf") else round(value, 6)
