"""The least that a site takes about sunrise and sunset: where it falls below that of the night, something generates."""

import numpy as np

from wattwright.core.series import Floats, Series

_LEAST = 0.1
_AROUND_H = 4
_NIGHT_H = 2.5
_DIP = 0.05
_TOGETHER_H = (0.2, 2.0)
_OFF_H, _EARLY_H = 0.6, 0.2
_COARSEST_S = 1800
_LEAST_DAYS = 14


def hours_by_least(series: Series, net: Floats, rise_s: Floats, set_s: Floats) -> float:
    """Return by how many hours generation lies behind the sun, judged by import less export ``net`` in W (n,); 0 if not clear.

    ``rise_s`` and ``set_s`` (days,) are sunrise and sunset in UTC seconds. The least that is taken (the tenth part of the days
    with the least) is base load until the sun is up, whatever runs on other days. One end must lie where hardly a
    site begins, and both together be as usual.
    """
    if series.step_s > _COARSEST_S or len(rise_s) < _LEAST_DAYS:
        return 0.0
    morning = _first_dip(_least(series, net, rise_s, 1), series.step_s)
    evening = _first_dip(_least(series, net, set_s, -1), series.step_s)
    if morning is None or evening is None:
        return 0.0
    hours = (morning - evening) / 2
    usual = _TOGETHER_H[0] <= morning + evening <= _TOGETHER_H[1] and min(morning, evening) <= _EARLY_H
    return hours if usual and abs(hours) >= _OFF_H else 0.0


def _least(series: Series, net: Floats, at_s: Floats, way: int) -> Floats:
    """Return the least taken in the steps from four hours before to four after ``at_s`` (days,), backwards if ``way`` is -1."""
    count = _AROUND_H * 3600 // series.step_s
    # The step that begins at or before sunrise, or that ends at or after sunset, stands in the middle.
    index = np.floor((at_s - series.start_s) / series.step_s).astype(np.int64)
    steps = index[:, None] + way * np.arange(-count, count)
    inside = (steps >= 0) & (steps < len(net))
    held = np.where(inside, net[np.clip(steps, 0, len(net) - 1)], np.nan)
    whole = held[~np.isnan(held).any(axis=1)]
    return np.quantile(whole, _LEAST, axis=0) if len(whole) >= _LEAST_DAYS else np.zeros(0)


def _first_dip(least: Floats, step_s: int) -> float | None:
    """Return at how many hours after the middle ``least`` falls below its first hours for good, or None where it does not."""
    if not len(least):
        return None
    night = max(1, round((_AROUND_H - _NIGHT_H) * 3600 / step_s))
    base = float(np.median(least[:night]))
    dip = base - float(least.min())
    low = least < base - max(_DIP * dip, 2 * float(np.ptp(least[:night])))
    if dip <= 0 or not low[-1]:
        return None
    first = int(np.flatnonzero(~low)[-1]) + 1 if not low.all() else 0
    # On average the true beginning lies in the middle of the step before which nothing shows.
    return (first - len(least) // 2 + 0.5) * step_s / 3600
