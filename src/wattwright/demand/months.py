"""Month by month on the site's calendar: energy, maximum demand and how complete the readings are."""

from dataclasses import dataclass

import numpy as np

from wattwright.core.clock import SiteClock
from wattwright.core.series import Series, clock_windows, over_windows


@dataclass(frozen=True, slots=True)
class Month:
    """One local month: energy in kWh, the highest demand over ``window_s`` in W (NaN without a whole window).

    ``completeness`` runs from 0 to 1; ``whole`` says whether the record spans the month from its first to its last instant.
    """

    year: int
    month: int
    start_s: int
    end_s: int
    energy_kwh: float
    maximum_w: float
    window_s: int
    completeness: float
    whole: bool


def by_month(power: Series, clock: SiteClock, window_s: int = 900) -> tuple[Month, ...]:
    """Return the local months that a power in W touches; demand over ``window_s``, or over the step where it is longer.

    Energy holds estimates; demand and completeness rest on readings alone.
    """
    edges = month_edges(power.start_s, power.end_s, clock)
    starts = np.clip(edges, power.start_s, power.end_s)
    sums = over_windows(power, starts)
    window = max(window_s, power.step_s)
    read = power.read_only()
    demand = clock_windows(read, window, clock)
    covered_s = over_windows(read, starts).covered_s
    owner = np.searchsorted(edges, demand.starts_s[:-1], side="right") - 1
    months = []
    for index in range(len(edges) - 1):
        parts = clock.at(int(edges[index]))
        means = demand.mean[(owner == index) & demand.full]
        span = float(starts[index + 1] - starts[index])
        months.append(
            Month(
                parts.year,
                parts.month,
                int(edges[index]),
                int(edges[index + 1]),
                float(sums.integral[index]) / 3.6e6,
                float(means.max()) if len(means) else float("nan"),
                window,
                float(covered_s[index]) / span,
                bool(starts[index] == edges[index] and starts[index + 1] == edges[index + 1]),
            )
        )
    return tuple(months)


def month_edges(start_s: int, end_s: int, clock: SiteClock) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """Return where local months start, UTC seconds, from the one at or before ``start_s`` to the first at or after ``end_s``."""
    first, last = clock.at(start_s), clock.at(end_s - 1)
    count = (last.year - first.year) * 12 + last.month - first.month + 1
    months = np.datetime64(f"{first.year:04d}-{first.month:02d}", "M") + np.arange(count + 1)
    local = months.astype("datetime64[s]").astype(np.int64)
    edges: np.ndarray[tuple[int], np.dtype[np.int64]] = clock.resolve(local).first_s
    return edges
