"""Years made from weeks, and records held against bills, in cases whose answer is known beforehand."""

from collections.abc import Callable
from datetime import date
from functools import partial
from math import sqrt

import numpy as np

from wattwright.checks.registry import Confidence, Value, register
from wattwright.core.calendar import days_between
from wattwright.core.clock import SiteClock
from wattwright.core.series import Floats, of_values
from wattwright.demand.habits.habits import Outdoors
from wattwright.demand.year.against import against
from wattwright.demand.year.annual import Known, annual
from wattwright.demand.year.bills import Bill, mistake_of
from wattwright.demand.year.by_temperature import Expected, expected

_CLOCK = SiteClock("UTC")
_FIRST = date(2025, 1, 1)
_EDGES_S = _CLOCK.midnights_s(_FIRST, 365).tolist()
_DAYS = days_between(_CLOCK, _EDGES_S[0], _EDGES_S[-1])
_AIR_C = 12 - 10 * np.cos(2 * np.pi * np.arange(365) / 365)
_HEATED_KWH = 20 + 1.5 * np.maximum(15 - _AIR_C, 0)
_OPEN = np.full(365, np.nan)


def _known(energy: Floats, days: int) -> Floats:
    """Return the energies of the first days, the others not known."""
    return np.where(np.arange(len(energy)) < days, energy, np.nan)


def _year(days: int, *bills: Bill, model: Expected | None = None) -> float:
    """Return the energy of a year of 24 kWh a day, or of the heated site with its ``model``, its first days read."""
    energy = np.full(365, 24.0) if model is None else _HEATED_KWH
    told = model or Expected(_OPEN, np.tile(_OPEN, (500, 1)), None, ())
    made = annual(Known(_DAYS, _known(energy, days), told.energy_kwh, told.draws_kwh), bills)
    return float("nan") if made is None else made.energy_kwh


def _by_temperature() -> float:
    air = Outdoors("air", of_values(_EDGES_S[0], 86_400, _AIR_C))
    return _year(120, model=expected(_DAYS, _known(_HEATED_KWH, 120), air, _CLOCK, 0))


def _over_bill() -> float:
    """Return record over bill of thirty days at 1 kW against a bill of 60 days and 1152 kWh, a fifth less each day."""
    power = of_values(_EDGES_S[0], 3600, np.full(30 * 24, 1000.0))
    days = days_between(_CLOCK, _EDGES_S[0], _EDGES_S[30])
    return against((_bill(60, 1152),), power, days).ratio


def _bill(days: int, kwh: float) -> Bill:
    return Bill.model_validate({"from": _FIRST, "until": _CLOCK.day_of(_EDGES_S[days]), "energy": f"{kwh} kWh"})


def _suggested(ratio: float) -> str:
    found = mistake_of(ratio)
    return "none" if found is None else found.named


_Case = tuple[str, str, str, str, Value, float, Callable[[], Value]]
_FIGURES: tuple[_Case, ...] = (
    ("year-plain", "year from eight weeks of 24 kWh a day", "kWh", "365 x 24 kWh", 8760.0, 0.01, lambda: _year(56)),
    (
        "year-bill",
        "year of which two months were read and all was billed with 9000 kWh",
        "kWh",
        "what was billed: the days that were read are part of it",
        9000.0,
        1e-6,
        lambda: _year(59, _bill(365, 9000)),
    ),
    (
        "year-temperature",
        "year of 20 kWh a day and 1.5 kWh for each kelvin below 15 degC, from its first 120 days",
        "kWh",
        "the model added up over the temperatures of the year",
        float(_HEATED_KWH.sum()),
        0.5,
        _by_temperature,
    ),
    (
        "year-over-bill",
        "record over bill: 30 days at 1 kW against 1152 kWh for 60 days",
        "",
        "worked by hand: 720 kWh over half of 1152 kWh",
        1.25,
        1e-9,
        _over_bill,
    ),
)

_RATIOS = (
    (
        "voltage-between",
        sqrt(3),
        "the square root of 3",
        "voltage between conductors taken for that to neutral, evenly loaded: the square root of 3",
    ),
    ("one-clamp-turned", (1 + 1 - 1) / 3, "1/3", "three even conductors, one clamp turned: (1 + 1 - 1) / 3"),
    ("one-clamp-missing", 2 / 3, "2/3", "three even conductors, two of them measured"),
    ("half-ratio", (100 / 5) / (200 / 5), "1/2", "transformers of 200 A to 5 A, set as 100 A to 5 A: 20 over 40"),
)
_RATIO_CASES: list[_Case] = [
    (f"bills-{name}", f"what a record of {ratio:.3g} times the bills is near", "", source, named, 0.0, partial(_suggested, ratio))
    for name, ratio, named, source in _RATIOS
]

for _id, _what, _unit, _source, _value, _within, _ours in (*_FIGURES, *_RATIO_CASES):
    register(
        f"demand.{_id}",
        _what,
        unit=_unit,
        source=_source,
        confidence=Confidence.CLOSED_FORM,
        published=_value,
        tolerance=_within,
        why="least squares and floating point",
        ours=_ours,
    )
