"""Hours lost in a year: the mean as a plain sum over the outages tried, and the spread of years that are drawn.

Outages come as a Poisson process, each at an instant of the year as likely as any other, with a duration as likely as the others
stated. The mean is exact for the outages tried; without own sources it is rate times mean duration.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from wattwright.core.seeds import Streams
from wattwright.supply.backup.probe import Probed
from wattwright.supply.backup.results import Lost
from wattwright.supply.backup.spec import OutageRate

Floats = NDArray[np.float64]
_HOUR_S = 3600.0


def lost(made: Sequence[Probed], step_s: float, rate: OutageRate, seed: int, name: str) -> Lost:
    """Return the hours without supply in a year; ``name`` names the stream of chance, one for each set of rules."""
    dark_h = np.array([[_dark_s(one, duration_s, step_s) / _HOUR_S for duration_s in rate.durations_s] for one in made])
    weight = _weights(made)
    draws = Streams(seed).stream(f"supply.backup.{name}")
    counts = draws.poisson(rate.a_year, rate.years)
    starts = draws.choice(len(made), size=int(counts.sum()), p=weight)
    lasting = draws.integers(len(rate.durations_s), size=int(counts.sum()))
    ends = np.cumsum(counts)
    cumulative = np.concatenate(([0.0], np.cumsum(dark_h[starts, lasting])))
    years_h = cumulative[ends] - cumulative[ends - counts]
    low_h, high_h = np.quantile(years_h, (0.05, 0.95))
    mean_h = rate.a_year * float(weight @ dark_h.mean(axis=1))
    grid_h = rate.a_year * float(np.mean(rate.durations_s)) / _HOUR_S
    return Lost(mean_h, float(low_h), float(high_h), grid_h)


def _weights(made: Sequence[Probed]) -> Floats:
    """Return how likely each outage tried is: seasons are a quarter of the year each, its days and hours all alike."""
    seasons = [one.season for one in made]
    share = {season: 1.0 / (len(set(seasons)) * seasons.count(season)) for season in set(seasons)}
    return np.array([share[season] for season in seasons])


def _dark_s(one: Probed, duration_s: float, step_s: float) -> float:
    """Return how long an outage of ``duration_s`` is dark: its course does not depend on when the grid comes back."""
    return float(np.interp(duration_s, step_s * np.arange(len(one.dark_s)), one.dark_s))
