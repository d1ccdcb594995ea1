"""Proof of savings against worked figures of Guideline 14's formulas, degree-days of a handbook, and models without noise."""

from functools import partial

import numpy as np

from wattwright.checks.registry import Confidence, register
from wattwright.core.calendar import day_types
from wattwright.demand.habits.change_points import Shape
from wattwright.proof.fitness import Fitness, effective_count, fitness
from wattwright.proof.models.bases import mean_kelvins
from wattwright.proof.models.kelvins import ChangePoint, FittedChangePoint
from wattwright.proof.models.record import Grain, UseRecord
from wattwright.proof.models.week import temperature_pieces
from wattwright.proof.uncertainty import baseline_uncertainty, months_factor, student

_REDDY = "Reddy and Claridge 2000, the simplified form in ASHRAE Guideline 14; worked out from the formula"
_POLYNOMIAL = "Sun and Baltazar, in ASHRAE Guideline 14-2014; worked out from the polynomial"
_TABLE = "Student's t, any table of it"
_EXACT = "twelve months without noise, worked out by hand: base 300, slope 25, change point 15.5 degC"


def _fit(count: int, cv_rmse: float, alike: float) -> Fitness:
    return Fitness(count, 2, 0.0, cv_rmse, 0.0, 0.0, alike, effective_count(count, alike))


def _fractional(count: int, cv_rmse: float, alike: float, t: float) -> float:
    """Return the fractional uncertainty of a saving of a tenth, as many readings after as before."""
    return baseline_uncertainty(_fit(count, cv_rmse, alike), count, t) / 0.1


def _exact() -> FittedChangePoint:
    warm = np.array([2, 4, 6, 9, 12, 14, 16, 18, 20, 13, 8, 5.0])
    used = np.array([637.5, 587.5, 537.5, 462.5, 387.5, 337.5, 300, 300, 300, 362.5, 487.5, 562.5])
    plain = np.arange(12)
    return ChangePoint(Shape.HEATING).fit(
        UseRecord(
            grain=Grain.MONTH,
            starts_s=plain * 2_629_800,
            energy_kwh=used,
            days=np.ones(12),
            parts_c=warm[:, None],
            drivers=np.zeros((12, 0)),
            driver_names=(),
            week_place=0 * plain,
            day_type=day_types(plain, np.zeros(0, np.int64)),
            year_share=plain / 12,
            week=plain,
        )
    )


for _id, _case, _said, _tolerance in (
    ("months-normal", (12, 0.15, 0.0, 1.645), 0.969, 5e-4),
    ("months-t", (12, 0.15, 0.0, 1.812), 1.068, 5e-4),
    ("days-90", (365, 0.20, 0.5, 1.645), 0.3789, 5e-5),
    ("days-95", (365, 0.20, 0.5, 1.96), 0.4515, 5e-5),
    ("hours-90", (8760, 0.30, 0.9, 1.645), 0.2902, 5e-5),
):
    register(
        f"proof.uncertainty-{_id}",
        f"Uncertainty of 10 % saved: {_case[0]} readings, CV(RMSE) {_case[1]:.0%}, alike by {_case[2]:g}, t {_case[3]:g}",
        unit="",
        source=_REDDY,
        confidence=Confidence.FROM_MEMORY,
        tolerance=_tolerance,
        why="the figure has so many digits",
        published=_said,
        ours=partial(_fractional, *_case),
    )
for _count, _alike, _said in ((365, 0.5, 121.67), (8760, 0.9, 461.05)):
    register(
        f"proof.effective-{_count}",
        f"Independent readings of {_count} alike by {_alike:g}",
        unit="",
        source=_REDDY,
        confidence=Confidence.FROM_MEMORY,
        tolerance=5e-3,
        why="the figure has two decimals",
        published=_said,
        ours=partial(effective_count, _count, _alike),
    )
for _grain, _said in ((Grain.DAY, 1.392), (Grain.MONTH, 1.306)):
    register(
        f"proof.factor-{_grain.value}",
        f"Factor in the place of 1.26 for twelve months after, {_grain.value}s",
        unit="",
        source=_POLYNOMIAL,
        confidence=Confidence.FROM_MEMORY,
        tolerance=1e-3,
        why="the figure is cut after three decimals",
        published=_said,
        ours=partial(months_factor, _grain, 12.0),
    )
for _level, _free, _said in ((0.90, 10, 1.812), (0.95, 30, 2.042), (0.80, 20, 1.325), (0.90, 100, 1.660), (0.68, 10, 1.046)):
    register(
        f"proof.student-{_level:g}-{_free}",
        f"Student's t, two-sided {_level:.0%}, {_free} degrees of freedom",
        unit="",
        source=_TABLE,
        confidence=Confidence.PUBLISHED,
        tolerance=5e-4,
        why="the table has three decimals",
        published=_said,
        ours=partial(student, _level, float(_free)),
    )
register(
    "proof.degree-days-handbook",
    "Heating degree-days of a day between 6 and 10 degC, base 15.5 degC",
    unit="K d",
    source="Building Services Engineering handbook, chapter 2",
    confidence=Confidence.PUBLISHED,
    published=7.5,
    ours=lambda: float(mean_kelvins(15.5 - np.array([[6.0, 10.0]]))[0]),
)
register(
    "proof.degree-days-hours",
    "Mean degree-hours of a day of 10 + 6 sin(2 pi (h - 9) / 24) degC, base 15.5 degC",
    unit="K d",
    source="CIBSE TM41, mean degree-hours; worked out by hand",
    confidence=Confidence.CLOSED_FORM,
    tolerance=5e-5,
    why="the figure has four decimals",
    published=5.5455,
    ours=lambda: float(mean_kelvins(15.5 - (10 + 6 * np.sin(2 * np.pi * (np.arange(24) - 9) / 24))[None])[0]),
)
for _name, _said, _ours in (
    ("base", 300.0, lambda: float(_exact().coefficients[0])),
    ("slope", 25.0, lambda: float(_exact().coefficients[1])),
    ("change", 15.5, lambda: float(_exact().at_c[0])),
):
    register(
        f"proof.change-point-{_name}",
        f"Change-point model 3P of heating, {_name}",
        unit="degC" if _name == "change" else "",
        source=_EXACT,
        confidence=Confidence.CLOSED_FORM,
        tolerance=1e-4,
        why="the grid of the change point is so fine",
        published=_said,
        ours=_ours,
    )
register(
    "proof.temperature-pieces",
    "Pieces of 80 degF split at 30, 45, 55, 65, 75 and 90 degF add up to it",
    unit="degF",
    source="Mathieu, Price, Kiliccote and Piette 2011",
    confidence=Confidence.FROM_MEMORY,
    published=80.0,
    ours=lambda: float(temperature_pieces(np.array([80.0]), np.array([30.0, 45, 55, 65, 75, 90])).sum()),
)
register(
    "proof.cv-rmse",
    "CV(RMSE) of readings 11, 9, 11, 9 told as 10, 10, 10, 8 by one parameter",
    unit="",
    source="ASHRAE Guideline 14: root of 4 / 3 over 10; worked out by hand",
    confidence=Confidence.FROM_MEMORY,
    tolerance=5e-5,
    why="the figure has four decimals",
    published=0.1155,
    ours=lambda: fitness(np.array([11.0, 9, 11, 9]), np.array([10.0, 10, 10, 8]), 1).cv_rmse,
)
register(
    "proof.nmbe",
    "NMBE of the same, measured less told: 2 / (3 x 10)",
    unit="",
    source="ASHRAE Guideline 14; worked out by hand",
    confidence=Confidence.FROM_MEMORY,
    tolerance=5e-5,
    why="the figure has four decimals",
    published=0.0667,
    ours=lambda: fitness(np.array([11.0, 9, 11, 9]), np.array([10.0, 10, 10, 8]), 1).nmbe,
)
