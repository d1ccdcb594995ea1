"""The loads a course may be made of: those of the survey, or the usual ones where nothing was surveyed."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wattwright.core.series import Floats

USUAL_ON_S = {
    "water heater": 2400.0, "pool pump": 14_400.0, "irrigation pump": 3600.0, "room heating": 600.0, "room cooling": 900.0,
    "humidity": 1200.0, "greenhouse": 1800.0, "cold room": 720.0, "freezer": 900.0, "charger": 10_800.0, "motor": 1800.0,
    "heat lamp": 3600.0, "lighting": 5400.0, "cooking": 480.0, "laundry": 900.0, "standby": 86_400.0, "other": 900.0,
}  # fmt: skip
"""How long a load of each kind usually stays on at a time, in seconds; common practice, no source."""

_SMALL_W = 15_000.0
"""Above this highest interval mean the usual loads of a home no longer stand for a site's; common practice, no source."""
UNKNOWN_SPREAD = 0.7
"""Standard deviation of the logarithm of a rating of which nothing is known: a factor of two either way."""


@dataclass(frozen=True, slots=True)
class Listed:
    """A load as far as peaks go: ``count`` pieces of ``rating_w``, each on for about ``on_s`` at a time.

    ``spread`` is the standard deviation of the logarithm of the rating: 0.05 where a plate was read. ``start_a`` is the current
    its motor draws while it starts, in A, 0 for no motor.
    """

    name: str
    rating_w: float
    on_s: float
    count: int = 1
    spread: float = 0.05
    start_a: float = 0.0


def _usual(name: str, rating_w: float, minutes: float) -> Listed:
    return Listed(name, rating_w, 60 * minutes, 1, 0.3)


HOUSEHOLD = (
    _usual("kettle", 2400, 3), _usual("microwave oven", 1200, 4), _usual("oven element", 2400, 8), _usual("hob ring", 1500, 8),
    _usual("washing machine heating", 2000, 15), _usual("dishwasher heating", 2000, 15), _usual("tumble dryer", 2400, 45),
    _usual("iron", 1500, 2), _usual("hair dryer", 1500, 5), _usual("vacuum cleaner", 1200, 15), _usual("water heater", 2500, 40),
    _usual("refrigerator", 120, 15), _usual("lighting", 300, 90), _usual("screens", 150, 120), _usual("heater", 1500, 10),
    _usual("heat pump", 1000, 15),
)  # fmt: skip
"""Usual loads of a home with usual ratings and usual times on; plates in any shop, times common practice, no source."""


def usual_loads(highest_w: float, base_w: float) -> tuple[Listed, ...]:
    """Return loads that may stand for a site of which nothing was surveyed, by its highest interval mean and base load in W.

    A site no larger than a home has the usual loads of one; a larger one twelve loads of 3 % to 120 % of its swing, short,
    middling and long: common practice, no source.
    """
    if highest_w <= _SMALL_W:
        return HOUSEHOLD
    sizes = np.geomspace(0.03, 1.2, 12) * max(highest_w - base_w, 0.02 * highest_w)
    return tuple(Listed(f"load {at + 1}", float(size), (180.0, 900.0, 3600.0)[at % 3], 1, 0.3) for at, size in enumerate(sizes))


def unlisted(loads: Sequence[Listed]) -> Listed:
    """Return what a survey is supposed to have left out: a tenth of its ratings, at least 1 kW; common practice, no source."""
    return Listed("not listed", allowance_w(loads), 600.0, 1, UNKNOWN_SPREAD)


def allowance_w(loads: Sequence[Listed]) -> float:
    """Return the power in W allowed for what a survey left out: a tenth of its ratings, at least 1 kW."""
    return max(1000.0, 0.1 * sum(one.count * one.rating_w for one in loads))


_VOLTAGE_RATIO = 1.1


def ceiling_w(loads: Sequence[Listed]) -> float:
    """Return a soft ceiling of demand in W: all ratings at the highest voltage, and the allowance for what was not listed.

    Nominal voltage may be exceeded by 10 % (EN 50160), and a resistance then takes 21 % more. Nothing is a ceiling for what the
    survey does not know, so a reading above it is a finding.
    """
    return sum(one.count * one.rating_w for one in loads) * _VOLTAGE_RATIO**2 + allowance_w(loads)


def columns(loads: Sequence[Listed]) -> tuple[Floats, Floats, Floats]:
    """Return ratings in W, times on in s and spreads, one for each piece (at most twenty of a kind), each shape (pieces,).

    More than twenty alike are gathered into twenty groups, whose ratings add up to the same.
    """
    rows = []
    for one in loads:
        pieces = min(one.count, 20)
        rows += [(one.rating_w * one.count / pieces, one.on_s, one.spread)] * pieces
    table = np.array(rows, dtype=np.float64).reshape(-1, 3)
    return table[:, 0].copy(), table[:, 1].copy(), table[:, 2].copy()
