"""Savings against sums worked out by hand: avoided energy, agreed adjustments, models without noise, and alikeness."""

import datetime as dt
from functools import partial

import numpy as np

from wattwright.checks.registry import Confidence, register
from wattwright.core.calendar import day_types
from wattwright.core.clock import SiteClock
from wattwright.demand.habits.change_points import Shape
from wattwright.job.adjusting import adjusted
from wattwright.proof.blocks import cut_at_ends
from wattwright.proof.choose import Baseline, Score
from wattwright.proof.fitness import autocorrelations, fitness
from wattwright.proof.limits import like_before
from wattwright.proof.measurement import AdjustmentSpec
from wattwright.proof.models.fitted import Fitted, Model
from wattwright.proof.models.kelvins import ChangePoint, DegreeDays
from wattwright.proof.models.record import Grain, UseRecord
from wattwright.proof.savings import savings

_IPMVP = "IPMVP, avoided energy: adjusted baseline less reporting period; worked out by hand"
_EVENT = "IPMVP, non-routine adjustment; worked out by hand"
_EXACT = "days without noise, worked out by hand"
_DAY_S = 86_400
_START_S = 1_704_067_200
"""1 January 2024, UTC."""
_WARM_C = np.array([-2.0, 2, 5, 9, 12, 14, 17, 20, 23, 26, 29, 31] * 4)


def _days(used_kwh: np.ndarray, warm_c: np.ndarray) -> UseRecord:
    count = len(used_kwh)
    plain = np.arange(count)
    return UseRecord(
        grain=Grain.DAY,
        starts_s=_START_S + plain * _DAY_S,
        energy_kwh=used_kwh.astype(np.float64),
        days=np.ones(count),
        parts_c=warm_c.astype(np.float64)[:, None],
        drivers=np.zeros((count, 0)),
        driver_names=(),
        week_place=plain % 7,
        day_type=day_types(plain, np.zeros(0, np.int64)),
        year_share=plain / 365.2425,
        week=plain // 7,
    )


def _heated(warm_c: np.ndarray) -> np.ndarray:
    """Return 12 kWh a day and 1.5 for each kelvin under 15.5 degC."""
    used: np.ndarray = 12 + 1.5 * np.clip(15.5 - warm_c, 0, None)
    return used


def _saved() -> float:
    """Return what is saved where ten days at 5.5 degC, 27 kWh each, take 25."""
    record = _days(_heated(_WARM_C), _WARM_C)
    fitted = ChangePoint(Shape.HEATING).fit(record)
    left = record.energy_kwh - fitted.predict(record)
    score = Score("", 0.0, 0.0)
    found = Baseline("", fitted, fitness(record.energy_kwh, fitted.predict(record), 3), left, record, (), score, ())
    return savings(found, _days(np.full(10, 25.0), np.full(10, 5.5))).saved_kwh


def _adjusted(spec: AdjustmentSpec) -> float:
    """Return what ten days of 20 kWh come to once four of them are adjusted."""
    record = _days(np.full(10, 20.0), np.zeros(10))
    return float(adjusted(record, (spec,), SiteClock("UTC")).energy_kwh.sum())


def _agreed(**more: object) -> AdjustmentSpec:
    span = {"from": dt.date(2024, 1, 3), "until": dt.date(2024, 1, 7), "why": "a fair", "agreed_by": "both"}
    return AdjustmentSpec.model_validate({**span, **more})


def _number(model: Model, used_kwh: np.ndarray, place: int) -> float:
    fitted: Fitted = model.fit(_days(used_kwh, _WARM_C))
    return float(fitted.coefficients[place])


def _seen_days() -> float:
    """Return how many days of a year are of a season that January saw: itself and a month on either side."""
    year = _days(np.ones(366), np.full(366, 5.0))
    return float(like_before(year.part(np.arange(366) < 31), year).sum())


_BY_HAND = "Box and Jenkins; worked out by hand"
_COOLED = 10 + 0.8 * np.clip(_WARM_C - 21, 0, None)
_BOTH = 10 + 1.5 * np.clip(13 - _WARM_C, 0, None) + 0.8 * np.clip(_WARM_C - 22, 0, None)
for _id, _title, _unit, _source, _said, _tolerance, _ours in (
    ("avoided", "Avoided energy of ten days at 5.5 degC, each told as 27 kWh, 25 used", "kWh", _IPMVP, 20.0, 1e-3, _saved),
    ("taken-off", "Ten days of 20 kWh, 3 kWh a day taken off four of them", "kWh", _EVENT, 188.0, 1e-9,
     lambda: _adjusted(_agreed(a_day="3 kWh"))),
    ("left-out", "The same with the four days left out", "kWh", _EVENT, 120.0, 1e-9, lambda: _adjusted(_agreed(leave_out=True))),
    ("cooling-slope", "Change-point model 3P of cooling, kWh for each kelvin above 21 degC", "kWh/K", _EXACT, 0.8, 1e-4,
     partial(_number, ChangePoint(Shape.COOLING), _COOLED, 1)),
    ("heating-slope", "Change-point model 3P of heating, kWh for each kelvin under 15.5 degC", "kWh/K", _EXACT, 1.5, 1e-4,
     partial(_number, ChangePoint(Shape.HEATING), _heated(_WARM_C), 1)),
    ("both-cooling", "Change-point model 5P, kWh for each kelvin above 22 degC", "kWh/K", _EXACT, 0.8, 1e-2,
     partial(_number, ChangePoint(Shape.FIVE), _BOTH, 2)),
    ("degree-days-base", "Degree-day model with fitted base, kWh of a day without heating", "kWh", _EXACT, 12.0, 1e-2,
     partial(_number, DegreeDays(heating=True, cooling=False), _heated(_WARM_C), 0)),
    ("alike-1", "Correlation of 1, -1, 1, -1 with one reading later: -3 / 4", "", _BY_HAND, -0.75, 1e-12,
     lambda: float(autocorrelations(np.array([1.0, -1, 1, -1]), 2)[0])),
    ("alike-2", "Correlation of the same with two readings later: 2 / 4", "", _BY_HAND, 0.5, 1e-12,
     lambda: float(autocorrelations(np.array([1.0, -1, 1, -1]), 2)[1])),
    ("cut-1", "Sums of residuals alike by 0.5 beside blocks of one: root of 3", "", "first-order process, closed form", 1.7320508,
     1e-7, partial(cut_at_ends, 0.5, 1)),
    ("cut-2", "The same in blocks of two: root of 3 / 1.5", "", "first-order process, closed form", 1.4142136, 1e-7,
     partial(cut_at_ends, 0.5, 2)),
    ("seen-season", "Days of a leap year within 31 days of January: 31 + 31 after and 31 before", "d", "counted by hand", 93.0,
     0.5, _seen_days),
):  # fmt: skip
    register(
        f"proof.saving-{_id}",
        _title,
        unit=_unit,
        source=_source,
        confidence=Confidence.CLOSED_FORM,
        tolerance=_tolerance,
        why="as exact as the search of a change point, the figure's digits, or floats are",
        published=_said,
        ours=_ours,
    )
