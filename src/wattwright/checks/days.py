"""Energy against temperature, and the diversity table, against worked cases."""

from functools import lru_cache, partial

import numpy as np

from wattwright.checks.registry import Confidence, register
from wattwright.demand.habits.change_points import Response, Shape, fit
from wattwright.demand.survey.diversity import Installed, allowed_a
from wattwright.demand.within.conformal import guarantee

_MONTHS_C = np.array([2.0, 4, 6, 9, 12, 14, 16, 18, 20, 13, 8, 5])
_MONTHS_KWH = np.array([637.5, 587.5, 537.5, 462.5, 387.5, 337.5, 300, 300, 300, 362.5, 487.5, 562.5])


@lru_cache(maxsize=1)
def _fitted() -> Response:
    return fit(Shape.HEATING, _MONTHS_C, _MONTHS_KWH)


def _value(name: str) -> float:
    return _fitted().value(name)


for _name, _published, _unit in (("base", 300.0, "kWh"), ("heating", 25.0, "kWh/K"), ("change", 15.5, "degC")):
    register(
        f"demand.change-point-{_name}",
        f"3P heating model of twelve months without noise: {_name}",
        unit=_unit,
        source="made from base 300, slope 25 and change point 15.5; form of the model: ASHRAE RP-1050",
        confidence=Confidence.CLOSED_FORM,
        published=_published,
        tolerance=1e-4,
        why="the change point is searched",
        ours=partial(_value, _name),
    )

register(
    "demand.diversity-household",
    "current allowed for 10 A of lighting, 22 A of heating and power, a cooker of 30 A and 13 A of water heating",
    unit="A",
    source="worked by hand from the Electrician's Guide to the wiring regulations, 5th edition, table 6.2: 6.6 + 16 + 16 + 13",
    confidence=Confidence.CLOSED_FORM,
    published=51.6,
    tolerance=1e-9,
    why="floating point",
    ours=lambda: allowed_a(
        [
            Installed("lighting", 10.0),
            Installed("heating and power", 22.0),
            Installed("cooker", 30.0),
            Installed("thermostatic water heater", 13.0),
        ]
    ),
)

register(
    "demand.conformal-days",
    "share of new days between the lowest and the highest of nineteen",
    unit="",
    source="exchangeability: (n - 1) / (n + 1)",
    confidence=Confidence.CLOSED_FORM,
    published=0.9,
    tolerance=1e-12,
    why="floating point",
    ours=lambda: guarantee(19),
)
