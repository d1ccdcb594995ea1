"""Stamps that move steadily against their step, as those of a clock that runs fast or slow."""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S

_LEAST_S = 2
_STRAIGHT = 0.95


def steady(sorted_s: NDArray[np.int64], start_s: int, step_s: int) -> tuple[float, float] | None:
    """Return by how many seconds a day and in all sorted stamps move steadily against the step, or None where they do not."""
    late = (sorted_s - start_s + step_s // 2) % step_s - step_s // 2
    unwrapped = np.unwrap(late.astype(np.float64), period=step_s)
    days = (sorted_s - sorted_s[0]) / DAY_S
    if not days[-1] or float(unwrapped.std()) == 0:
        return None
    straight = float(np.corrcoef(days, unwrapped)[0, 1])
    slope = float(np.polyfit(days, unwrapped, 1)[0])
    total = slope * float(days[-1])
    return (slope, total) if abs(straight) >= _STRAIGHT and abs(total) >= _LEAST_S else None
