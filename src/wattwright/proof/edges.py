"""The planned moments at which loads are let run, and the steps that a record shows there."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from wattwright.control.programmes import Span, timeline
from wattwright.control.rules import Control, TimeProgramme
from wattwright.core.clock import SiteClock
from wattwright.core.fields import KEPT
from wattwright.core.series import Floats, Series
from wattwright.proof.seal import SealedLoad

Ints = NDArray[np.int64]
_LONG_OFF_S = 3600
"""A load that was held off for less may have no need to run at once; common practice, no source."""
_BESIDE_S = 300
"""The step is told between means over so long before and after, or over one reading where those are longer."""
_NEAR_S = (-5400, -4500, -3600, -2700, -1800, 1800, 2700, 3600, 4500, 5400)
_ALIKE = 0.06
_FINE_S = 120


@dataclass(frozen=True, slots=True)
class Group:
    """Loads that the plan lets run at the same moments, ``edges_s`` (UTC seconds), after ``held_s`` of being held off.

    ``until_s`` is when it holds them off again.
    """

    loads: tuple[SealedLoad, ...]
    edges_s: Ints
    held_s: Ints
    until_s: Ints

    @property
    def ratings_w(self) -> Floats:
        """Return what each load draws, shape (loads,)."""
        return np.array([one.rating_w for one in self.loads])


def groups(loads: Sequence[SealedLoad], power: Series, clock: SiteClock, holidays: frozenset[dt.date]) -> tuple[Group, ...]:
    """Return the groups of loads that time programmes alone let run, in the order of the survey.

    Programmes by the sun are left out, and so are moments before which a load was held off for less than an hour.
    """
    span = Span(power.start_s, power.end_s, clock, holidays)
    found: dict[tuple[int, ...], list[tuple[SealedLoad, Ints, Ints]]] = {}
    for one in loads:
        edges_s, held_s, until_s = _edges(one, span)
        if len(edges_s):
            found.setdefault(tuple(edges_s.tolist()), []).append((one, held_s, until_s))
    return tuple(
        Group(tuple(load for load, _, _ in alike), np.array(edges, np.int64), alike[0][1], alike[0][2])
        for edges, alike in found.items()
    )


def _edges(load: SealedLoad, span: Span) -> tuple[Ints, Ints, Ints]:
    nothing = np.zeros(0, np.int64)
    rules = Control.model_validate({"rules": load.rules}, context=KEPT).rules
    if len(rules) != 1 or not isinstance(rules[0], TimeProgramme):
        return nothing, nothing, nothing
    if any(one.on.clock is None or one.off.clock is None for one in rules[0].times):
        return nothing, nothing, nothing
    at_s, states = timeline(rules[0], span)
    on = np.flatnonzero((states[1:] == 1) & (states[:-1] == 0)) + 1
    held_s = at_s[on] - at_s[on - 1]
    inside = (held_s >= _LONG_OFF_S) & np.isfinite(held_s) & (at_s[on] >= _BESIDE_S) & (at_s[on] < span.end_s - span.start_s)
    ends_s = np.append(at_s, span.end_s - span.start_s)[on + 1]
    return (
        (span.start_s + at_s[on][inside]).astype(np.int64),
        held_s[inside].astype(np.int64),
        (span.start_s + ends_s[inside]).astype(np.int64),
    )


def steps_w(power: Series, at_s: Ints) -> Floats:
    """Return by how much the mean power after each instant lies above that before, W, NaN where not read, shape (n,)."""
    count = max(_BESIDE_S // power.step_s, 1)
    sums = np.concatenate([[0.0], np.cumsum(power.values)]) if not np.isnan(power.values).any() else None
    place = (at_s - power.start_s) // power.step_s
    inside = (place >= count) & (place + count <= len(power))
    told = np.full(len(at_s), np.nan)
    middle = place[inside]
    if sums is not None:
        told[inside] = (sums[middle + count] - 2 * sums[middle] + sums[middle - count]) / count
        return told
    around = middle[:, None] + np.arange(-count, count)
    values = power.values[around]
    told[inside] = values[:, count:].mean(axis=1) - values[:, :count].mean(axis=1)
    return told


def scatter_w(power: Series, at_s: Ints) -> float:
    """Return how far steps scatter that are near instants but not at them, W: 1.4826 times their median distance from nought."""
    others = np.concatenate([steps_w(power, at_s + move) for move in _NEAR_S])
    told = others[~np.isnan(others)]
    return float(1.4826 * np.median(np.abs(told))) if len(told) else 0.0


def sums_of(group: Group) -> tuple[Floats, NDArray[np.bool_]]:
    """Return what each part of a group draws, shape (parts,), and which loads it holds, shape (parts, loads)."""
    count = len(group.loads)
    parts = [part for size in range(count + 1) for part in combinations(range(count), size)]
    holds = np.array([[one in part for one in range(count)] for part in parts])
    return holds @ group.ratings_w, holds


def rises(power: Series, level_w: float) -> NDArray[np.bool_] | None:
    """Return where the power rises by nearly a level from one reading to the next, shape (n,); None where readings are long."""
    if power.step_s > _FINE_S:
        return None
    # Over two readings, since a load seldom begins with one; of two in a row the first counts.
    change = np.full(len(power), np.nan)
    change[2:] = power.values[2:] - power.values[:-2]
    rose = np.abs(change - level_w) <= _ALIKE * level_w
    rose[1:] &= ~rose[:-1]
    return np.asarray(rose)
