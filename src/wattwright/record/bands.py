"""Bands for what estimates add: of one gap, and of several gaps together.

If the errors of the same rule on like stretches and the gap's own error are exchangeable, the ranks used hold the truth in
BAND_SHARE of the cases (split conformal prediction).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.record.registered import Fitted

BAND_SHARE = 0.90
"""The share of gaps whose true energy the stated band is meant to hold."""


@dataclass(frozen=True, slots=True)
class Trials:
    """A gap [first, last) and the errors in kWh of its rule on like stretches, by how many days these lie off."""

    first: int
    last: int
    errors: Mapping[int, float]


def band_of(errors: Sequence[float], energy_kwh: float) -> tuple[float, float]:
    """Return the band of an estimated energy from the errors of trials, kWh; NaN where there are too few of them."""
    count = len(errors)
    rank = (1 - BAND_SHARE) / 2 * (count + 1)
    if rank < 1:
        return float("nan"), float("nan")
    low, high = np.interp([rank - 1, count - rank], np.arange(count), np.sort(errors))
    return energy_kwh + float(low), energy_kwh + float(high)


def band_of_all(gaps: Sequence[Trials], energy_kwh: float, slack_kwh: float = 0.0) -> tuple[float, float] | None:
    """Return the band of the energy of several gaps together, kWh, or None where one of them has too few trials.

    The gaps are moved together, all by the same number of days, and their errors added, so that what one day has in common
    stays in the sum. Where one of them could not be tried so far off, its trial nearest to it stands in. ``slack_kwh`` is what
    a register's count may be off, added on both sides.
    """
    if not gaps:
        return energy_kwh - slack_kwh, energy_kwh + slack_kwh
    if any(not one.errors for one in gaps):
        return None
    shifts = sorted({days for one in gaps for days in one.errors})
    least = min(len(one.errors) for one in gaps)
    # No more sums than the gap with the fewest trials has, so that stand-ins do not pass for trials of their own.
    shifts = sorted(sorted(shifts, key=lambda days: (-sum(days in one.errors for one in gaps), abs(days)))[:least])
    sums = np.zeros(len(shifts))
    for one in gaps:
        own = np.array(sorted(one.errors))
        nearest = own[np.argmin(np.abs(own[None, :] - np.array(shifts)[:, None]), axis=1)]
        sums += np.array([one.errors[int(days)] for days in nearest])
    low, high = band_of(sums.tolist(), energy_kwh)
    return None if np.isnan(low) else (low - slack_kwh, high + slack_kwh)


def runs_of_spans(spans: Sequence[tuple[int, int, float]]) -> list[tuple[int, int, float]]:
    """Return spans [first, last) that follow one another as one: the counts between them cancel, only the ends' remain."""
    runs: list[tuple[int, int, float]] = []
    for first, last, count in sorted(spans):
        if runs and runs[-1][1] == first:
            runs[-1] = (runs[-1][0], last, max(runs[-1][2], count))
        else:
            runs.append((first, last, count))
    return runs


def within_spans(
    fitted: Fitted, holes: NDArray[np.bool_], first: int, last: int, energy_kwh: float, hours: float
) -> tuple[float, float]:
    """Return the bounds in kWh of a gap that a register settles: a count either way where it is the only gap in its spans.

    Where other gaps share a span, only the sum is known: the gap may hold anything from none of it to all of it.
    """
    low = high = energy_kwh
    inside = [span for span in fitted.spans if span[0] < last and span[1] > first]
    for start, end, _ in inside:
        others = holes[start:end].copy()
        others[max(first - start, 0) : last - start] = False
        if others.any():
            own = float(fitted.values[max(start, first) : min(end, last)].sum()) * hours
            low -= own
            high += float(fitted.values[start:end][others].sum()) * hours
    slack = sum(count for _, _, count in runs_of_spans(inside))
    return low - slack, high + slack
