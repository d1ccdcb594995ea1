"""Other days' sun for outages: what PV gave at the same hours of the days around, from dark to bright."""

from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
SUNS: Final = (("dark days", 0.1), ("usual days", 0.5), ("bright days", 0.9))
"""Names, and which share of the stretches of a season gives less than the one taken: common practice, no source."""
RANKS: Final = dict(SUNS)
"""The same by name."""
SEASON_DAYS: Final = 30
"""How far from an outage another day of its season may lie: common practice, no source."""
_DAY_S = 86_400


def under_sun(pv_share: Floats, grid: NDArray[np.bool_], step_s: float, rank: float) -> Floats:
    """Return what PV gives, (n,), each outage of ``grid`` (n,) under the sun of another day.

    Of the stretches of that length that begin at the same hour up to SEASON_DAYS before and after, the one is taken of which
    a share ``rank`` gives less. Several days of an outage keep the order that such days really had.
    """
    made, day = pv_share.copy(), round(_DAY_S / step_s)
    given = np.cumsum(np.concatenate(([0.0], pv_share)))
    edges = np.flatnonzero(np.diff(np.concatenate(([True], grid, [True])))).reshape(-1, 2)
    for first, last in edges:
        width = last - first
        begins = first + day * np.arange(-SEASON_DAYS, SEASON_DAYS + 1)
        begins = begins[(begins >= 0) & (begins + width <= len(pv_share))]
        order = begins[np.argsort(given[begins + width] - given[begins], kind="stable")]
        chosen = order[min(int(rank * len(order)), len(order) - 1)]
        made[first:last] = pv_share[chosen : chosen + width]
    return made
