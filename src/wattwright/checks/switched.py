"""Loads found in a record: the figures that judge them against worked cases, and planted loads against what was planted."""

from collections.abc import Callable
from functools import lru_cache

import numpy as np

from wattwright.checks.registry import Confidence, register
from wattwright.core.clock import SiteClock
from wattwright.core.seeds import Streams
from wattwright.core.series import of_values
from wattwright.demand.switched import metrics
from wattwright.demand.switched.analyse import Switched, in_series

_TRUE, _FOUND = np.array([0.0, 2.0, 2.0, 0.0]), np.array([0.0, 2.0, 0.0, 1.0])
_CASE = "worked by hand: true 0, 2, 2, 0 and found 0, 2, 0, 1, so that one is hit, one missed and one invented"
_FIGURES: tuple[tuple[str, str, float, Callable[[], float]], ...] = (
    ("precision", "precision", 1 / 2, lambda: metrics.precision(_FOUND > 0, _TRUE > 0)),
    ("recall", "recall", 1 / 2, lambda: metrics.recall(_FOUND > 0, _TRUE > 0)),
    ("f1", "F1", 1 / 2, lambda: metrics.f1(_FOUND > 0, _TRUE > 0)),
    ("nde", "normalised disaggregation error", (5 / 8) ** 0.5, lambda: metrics.disaggregation_error(_FOUND, _TRUE)),
    ("nep", "normalised error in assigned power", 3 / 4, lambda: metrics.error_in_power(_FOUND, _TRUE)),
    ("teca", "share of energy correctly assigned", 5 / 8, lambda: metrics.correctly_assigned(_FOUND, _TRUE)),
    ("energy-error", "error of the energy", 1 / 4, lambda: metrics.energy_error(_FOUND, _TRUE)),
)

for _id, _what, _value, _ours in _FIGURES:
    register(
        f"demand.switched-{_id}",
        f"{_what} of a load over four intervals",
        unit="",
        source=_CASE,
        confidence=Confidence.CLOSED_FORM,
        published=_value,
        tolerance=1e-12,
        why="floating point",
        ours=_ours,
    )


@lru_cache(maxsize=1)
def _planted() -> tuple[Switched, np.ndarray]:
    """Return what is found in a week of minutes with 1.5 kW for 20 minutes of every hour, and where that was on."""
    minute = np.arange(7 * 1440)
    on = minute % 60 < 20
    noise = Streams(11).stream("checks/switched").normal(0.0, 8.0, len(minute))
    return in_series(of_values(0, 60, 300.0 + noise + 1500.0 * on), SiteClock("UTC")), on


def _first(figure: Callable[[Switched, np.ndarray], float]) -> float:
    found, on = _planted()
    return figure(found, on) if found.loads else float("nan")


register(
    "demand.switched-planted-level",
    "level of a load of 1500 W planted in a week of seeded minutes",
    unit="W",
    source="the load that was planted",
    confidence=Confidence.CLOSED_FORM,
    published=1500.0,
    tolerance=15.0,
    why="noise of 8 W in each reading",
    ours=lambda: _first(lambda found, _: found.loads[0].level_w),
)
register(
    "demand.switched-planted-f1",
    "F1 by minute of a load of 1500 W, on for 20 minutes of every hour",
    unit="",
    source="the load that was planted",
    confidence=Confidence.CLOSED_FORM,
    published=1.0,
    tolerance=0.01,
    why="a run at the very start or end of the record has only one step",
    ours=lambda: _first(lambda found, on: metrics.f1(found.loads[0].on, on)),
)
register(
    "demand.switched-planted-energy",
    "energy of that load in a week",
    unit="kWh",
    source="closed form: 1.5 kW x 7 x 24 x 20/60 h",
    confidence=Confidence.CLOSED_FORM,
    published=1.5 * 7 * 24 / 3,
    tolerance=0.84,
    why="1 % of it",
    ours=lambda: _first(lambda found, _: found.loads[0].energy_kwh),
)
