"""What like courses lend to an interval whose mean is not quite theirs.

A mean that is higher by so much may be a load that stays on for longer: then the highest minute is the one that the course
had. Or more is on: then it is higher by as much. A stretch of some weeks does not tell which of the two the next season brings,
so both are supposed. To suppose the second alone tells of peaks that no load makes, once compressors run longer or heating fades.
"""

from dataclasses import dataclass

import numpy as np

from wattwright.core.series import Floats
from wattwright.demand.within.bands import hull
from wattwright.demand.within.conformal import LEVELS

_ONE_SIDE = (0.25, 0.75)
"""Where so many of the like courses lie on one side of an interval's mean, it lies aside of them; common practice, no source."""


@dataclass(frozen=True, slots=True, eq=False)
class Lent:
    """Like courses of each interval: how far the highest window lay above their own mean, and the interval's mean above theirs.

    ``excess_w`` and ``apart_w`` both have shape (n, k), W.
    """

    excess_w: Floats
    apart_w: Floats

    def band(self) -> Floats:
        """Return low, middle and high of each interval's excess, W, shape (3, n): the widest of both suppositions.

        Courses on either side of a mean balance each other. Only where an interval lies aside of most of them do the two differ,
        by how far the nearest quarter of them lies.
        """
        low, high = np.quantile(self.apart_w, _ONE_SIDE, axis=1)
        aside = np.maximum(low, 0.0) + np.minimum(high, 0.0)
        stays = np.maximum(self.excess_w - aside[:, None], 0.0)
        return hull([np.quantile(one, LEVELS, axis=1) for one in (self.excess_w, stays)])
