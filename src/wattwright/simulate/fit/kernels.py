"""A load by itself, stepped as the engine steps it: to see how its statistics move with its parameters."""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import kernel
from wattwright.loads.columns import S_RUN_S, S_SINCE, S_STARTS
from wattwright.loads.kernels import advance

Floats = NDArray[np.float64]


@kernel
def alone(kind: int, p: Floats, s: Floats, closed: NDArray[np.bool_], step_s: float, weather: Floats, uses: Floats) -> Floats:
    """Step one load (``p`` (1, PARAMS), ``s`` (1, STATES), moved) and return its mean power in each step, W, shape (n,).

    ``weather`` (n, WEATHER), ``uses`` (n, USES) and whether its feed is ``closed`` (n,) are those of each step.
    """
    power_w = np.zeros(len(closed))
    for k in range(len(closed)):
        power_w[k] = advance(kind, p, s, 0, closed[k], step_s, weather[k], uses[k]) / step_s
    return power_w


@kernel
def undisturbed(
    kind: int, p: Floats, s: Floats, step_s: float, most: int, cycles: int, weather: Floats, use: Floats
) -> tuple[float, float]:
    """Return (rest, run) of the mean cycle of a load that is fed and left alone, s; inf and nought where it does not cycle.

    Of ``cycles`` cycles, the first left out, within ``most`` steps at constant ``weather`` (WEATHER,) and ``use`` (USES,).
    """
    first_s, first_run_s, starts, clock_s = 0.0, 0.0, 0.0, 0.0
    for _ in range(most):
        advance(kind, p, s, 0, True, step_s, weather, use)
        clock_s += step_s
        if s[0, S_STARTS] > starts:
            starts = s[0, S_STARTS]
            begun_s, run_s = clock_s - s[0, S_SINCE], s[0, S_RUN_S] - s[0, S_SINCE]
            if starts == 2.0:
                first_s, first_run_s = begun_s, run_s
            elif starts >= cycles + 2.0:
                run_s = (run_s - first_run_s) / (starts - 2.0)
                return (begun_s - first_s) / (starts - 2.0) - run_s, run_s
    return np.inf, 0.0
