"""When a load ran, as its power steps show in a record: in the site's power, or on a meter of its own.

In the site's power a step is the change across an interval, so that a switching inside it is caught whole; steps of about the
load's rating are kept, and each rise is paired with the fall that follows it. Where inside its interval a switching fell is told
by the share of the step that the interval shows. Common practice, no source.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.series import Series

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
_NEAR = 0.3
"""A step may differ from the rating entered by this share of it."""
_SAME = 0.15
"""And from the middle of all those steps by this share."""
_BESIDE, _BESIDE_OWN = 2, 1
"""A step's height is read so many intervals before and behind that of the switching: in a site's power, on an own meter."""
_SWITCHING = 8.0
"""A change from interval to interval of more than so many usual ones is a switching."""
_ABOUT = 15
"""Intervals on either side in which it is seen how the rest of the site drifts while a load switches."""


@dataclass(frozen=True, slots=True, eq=False)
class Runs:
    """Runs in order: ``on_s`` and ``off_s`` UTC seconds, ``level_w`` the step of each, shape (n,) each; edges left unpaired."""

    on_s: Floats
    off_s: Floats
    level_w: Floats
    unpaired: int

    def __len__(self) -> int:
        """Return the number of runs."""
        return len(self.on_s)

    @property
    def edges(self) -> int:
        """Return the number of power steps that were taken for the load's."""
        return 2 * len(self) + self.unpaired

    @property
    def run_s(self) -> Floats:
        """Return how long each run lasted, shape (n,)."""
        return self.off_s - self.on_s

    @property
    def rest_s(self) -> Floats:
        """Return the rest before each run but the first, shape (n - 1,)."""
        return self.on_s[1:] - self.off_s[:-1]


_NONE = Runs(np.zeros(0), np.zeros(0), np.zeros(0), 0)


@dataclass(frozen=True, slots=True, eq=False)
class Steps:
    """Power steps of about a load's size: the interval of each, its instant (s UTC), and whether it rises; shape (k,) each."""

    at: Ints
    time_s: Floats
    rising: NDArray[np.bool_]


def site_steps(series: Series, rating_w: float) -> Steps:
    """Return the power steps of a site (W) that may be those of a load of about ``rating_w``."""
    across = np.full(len(series), np.nan)
    across[1:-1] = series.values[2:] - series.values[:-2]
    size = np.abs(across)
    size[:_BESIDE], size[-_BESIDE:] = np.nan, np.nan
    at = np.flatnonzero(_highest(size) & (np.abs(size - rating_w) <= _NEAR * rating_w))
    return Steps(at, np.asarray(series.start_s + series.step_s * (at + 0.5), np.float64), across[at] > 0.0)


def runs_between(series: Series, rises: Ints, falls: Ints) -> Runs:
    """Return the runs that begin and end in these intervals of a site's power; those with a gap inside or beside are left out."""
    return _read(series, rises, falls, 0, _BESIDE)


def site_runs(series: Series, rating_w: float) -> Runs:
    """Return the runs of a load of about ``rating_w`` in the power of a site (W)."""
    across = np.full(len(series), np.nan)
    across[1:-1] = series.values[2:] - series.values[:-2]
    size = np.abs(across)
    size[:_BESIDE], size[-_BESIDE:] = np.nan, np.nan
    near = np.flatnonzero(_highest(size) & (np.abs(size - rating_w) <= _NEAR * rating_w))
    if len(near) < 2:
        return _NONE
    middle = float(np.median(size[near]))
    near = near[np.abs(size[near] - middle) <= _SAME * middle]
    return _read(series, *_paired(near, across[near] > 0.0, _BESIDE), _BESIDE)


def own_runs(series: Series, rating_w: float) -> Runs:
    """Return the runs of a load on a meter of its own (W): while it draws more than half of about ``rating_w``."""
    values = series.values
    fed = np.where(np.isnan(values), 0.0, values) > 0.5 * rating_w
    edges = np.flatnonzero(fed[1:] != fed[:-1])
    rising = ~fed[edges]
    # The interval of the switching is whichever of the two shows a share of the step: the one nearer the middle.
    middle = np.abs(values - 0.5 * np.median(values[fed])) if fed.any() else values
    at = np.where(middle[edges + 1] < middle[edges], edges + 1, edges)
    inside = (at > 1) & (at < len(values) - 2)
    return _read(series, *_paired(at[inside], rising[inside], _BESIDE_OWN), _BESIDE_OWN)


def on_share(runs: Runs, series: Series) -> Floats:
    """Return the share of each interval of ``series`` in which the runs lay, shape (n,)."""
    edges = series.start_s + series.step_s * np.arange(len(series) + 1, dtype=np.float64)
    if len(runs) == 0:
        return np.zeros(len(series))
    knots = np.column_stack([runs.on_s, runs.off_s]).ravel()
    passed = np.concatenate([[0.0], np.cumsum(runs.run_s)])
    held = np.repeat(passed, 2)[1:-1]
    # Until the first run nothing has run, after the last one everything has; in between it grows along each run.
    return np.asarray(np.diff(np.interp(edges, knots, held)) / series.step_s)


def _highest(size: Floats) -> NDArray[np.bool_]:
    """Return where a step is higher than the one before and no lower than the one behind; never beside a gap."""
    found = np.zeros(len(size), np.bool_)
    with np.errstate(invalid="ignore"):
        found[1:-1] = (size[1:-1] > size[:-2]) & (size[1:-1] >= size[2:])
    return found


def _paired(at: Ints, rising: NDArray[np.bool_], beside: int) -> tuple[Ints, Ints, int]:
    """Return rises and the falls that follow them at once, unless too soon to tell, and how many edges are left over."""
    goes = np.flatnonzero(rising[:-1] & ~rising[1:]) if len(at) > 1 else np.zeros(0, np.int64)
    rises, falls = at[goes], at[goes + 1]
    long = falls - rises > 2 * beside
    return rises[long], falls[long], len(at) - 2 * int(long.sum())


def _read(series: Series, rises: Ints, falls: Ints, unpaired: int, beside: int) -> Runs:
    """Return the runs between the intervals of their switchings; those with a gap inside or beside are left out."""
    holes = np.concatenate([[0], np.cumsum(~series.present)])
    low, high = np.maximum(rises - beside, 0), np.minimum(falls + beside + 1, len(series))
    whole = holes[high] == holes[low]
    rises, falls = rises[whole], falls[whole]
    if len(rises) == 0:
        return _NONE
    values, step = series.values, series.step_s
    # A switching at an interval's edge shows as whole in two places, and the higher was taken for its noise: two intervals off
    # on either side the noise of both has its say, and the height does not lean.
    rising, falling = _drift(values, rises), _drift(values, falls)
    up, down = values[rises + beside] - values[rises - beside], values[falls - beside] - values[falls + beside]
    level = 0.5 * (up + down) - beside * (rising - falling)
    on, off = _share_of(values, rises, 1, rising), _share_of(values, falls, -1, falling)
    return Runs(series.start_s + step * (rises + 1 - on), series.start_s + step * (falls + off), level, unpaired)


def _share_of(values: Floats, at: Ints, sign: int, drift: Floats) -> Floats:
    """Return the share of its interval for which the load was on in which it switched, on (1) or off (-1), shape (n,)."""
    since, until = values[at] - values[at - sign], values[at + sign] - values[at]
    return np.asarray(0.5 + 0.5 * (since - until) / (since + until - 2.0 * sign * drift))


def _drift(values: Floats, at: Ints) -> Floats:
    """Return by how much the rest goes up from interval to interval about each place, W, shape (n,): its middle change."""
    change = np.diff(values, prepend=np.nan, append=np.nan)
    # Switchings in the neighbourhood are no drift, and would pull the middle to their side.
    usual = np.nanmedian(np.abs(change))
    change[~(np.abs(change) <= _SWITCHING * usual)] = np.nan
    beside = np.concatenate([np.arange(-_ABOUT, -1), np.arange(3, _ABOUT + 2)])
    around = change[np.clip(at[:, None] + beside, 0, len(change) - 1)]
    around[np.isnan(around).all(axis=1)] = 0.0
    return np.asarray(np.nanmedian(around, axis=1))
