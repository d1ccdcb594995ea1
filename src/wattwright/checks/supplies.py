"""The quality of a supply against the figures of its standards and against cases worked by hand."""

from collections.abc import Callable
from datetime import date
from math import sqrt

import numpy as np

from wattwright.checks.registry import Confidence, register
from wattwright.core.clock import SiteClock
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.core.series import of_values
from wattwright.demand.quality.factor import factors
from wattwright.demand.quality.limits import voltage_limits
from wattwright.demand.quality.voltage import Week, deviation, nominal_for, ten_minutes, voltage
from wattwright.record.record import Channel, Form, Meaning

_CLOCK = SiteClock("UTC")
_WEEK = 7 * 144
_EDGES = "EN 50160 and IEC 60038, low voltage: 230 V and 10 % either way, and 85 % of it"


def _channel(quantity: Quantity, values: np.ndarray, step_s: int = 600) -> Channel:
    meaning = Meaning(quantity, Form.MEAN, quantity.unit, 1.0, Phase.TOTAL, Direction.IMPORT, "said")
    return Channel(quantity.value, quantity.value, "main", meaning, of_values(0, step_s, values))


def _limit(name: str, lowest_v: float) -> float:
    """Return where a limit picks up that is proposed for a day of 230 V with one reading of ``lowest_v``."""
    values = np.full(144, 230.0)
    values[7] = lowest_v
    limits = voltage_limits(voltage(_channel(Quantity.VOLTAGE, values), (), 230.0, _CLOCK))
    return next(one.pick_up for one in limits if one.name == name)


def _most_outside() -> float:
    """Return how many ten-minute means of a whole week may lie outside 10 % before its check fails."""
    weeks = (Week(date(2025, 1, 6), _WEEK, _WEEK, count, 0) for count in range(_WEEK))
    return float(max(one.outside for one in weeks if one.passes_most))


def _ten_minutes() -> float:
    return float(ten_minutes(of_values(0, 60, np.repeat([220.0, 240.0], 5)), _CLOCK).values[0])


def _power_factor() -> float:
    active, reactive = (np.full(48, watts) for watts in (3000.0, 4000.0))
    return factors((_channel(Quantity.ACTIVE_POWER, active), _channel(Quantity.REACTIVE_POWER, reactive)))[0].mean


_Case = tuple[str, str, str, str, float, Callable[[], float]]
_CASES: tuple[_Case, ...] = (
    ("over-voltage", "over-voltage proposed at 230 V", "V", _EDGES, 253.0, lambda: _limit("over-voltage", 225.0)),
    ("under-voltage", "under-voltage proposed at 230 V", "V", _EDGES, 207.0, lambda: _limit("under-voltage", 225.0)),
    (
        "under-voltage-low",
        "under-voltage proposed at 230 V where the record fell to 205 V",
        "V",
        _EDGES,
        195.5,
        lambda: _limit("under-voltage", 205.0),
    ),
    (
        "most-outside",
        "ten-minute means of a week that may lie outside 10 %",
        "",
        "EN 50160: 95 % of the 1008 of a week, so 50.4 may lie outside, and no part of one",
        50.0,
        _most_outside,
    ),
    (
        "ten-minutes",
        "ten minutes of which five were at 220 V and five at 240 V",
        "V",
        "root mean square, worked by hand: the root of 53 000",
        sqrt(53_000),
        _ten_minutes,
    ),
    (
        "between-conductors",
        "nominal of a channel at 402 V of a supply of 230 V",
        "V",
        "three conductors a third of a turn apart: 230 V times the square root of 3",
        230 * sqrt(3),
        lambda: nominal_for(402.0, 230.0),
    ),
    (
        "unbalance",
        "unbalance of 462, 463 and 455 V",
        "",
        "definition of NEMA MG 1, worked by hand: mean 460 V, the furthest 5 V off",
        5 / 460,
        lambda: float(deviation(np.array([[462.0], [463.0], [455.0]]))[0]),
    ),
    (
        "power-factor",
        "power factor of 3 kW beside 4 kvar",
        "",
        "power triangle, worked by hand: 3, 4, 5",
        0.6,
        _power_factor,
    ),
)

for _id, _what, _unit, _source, _value, _ours in _CASES:
    register(
        f"demand.quality-{_id}",
        _what,
        unit=_unit,
        source=_source,
        confidence=Confidence.PUBLISHED if _source is _EDGES else Confidence.CLOSED_FORM,
        published=_value,
        tolerance=1e-9,
        why="floating point",
        ours=_ours,
    )
