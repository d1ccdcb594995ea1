"""Invented sites with a planted event, and clean ones: how often events are found, and told where there are none."""

import multiprocessing
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from functools import partial
from typing import Any

import numpy as np

from studies.planted_savings import years
from wattwright.proof.choose import Baseline, baseline
from wattwright.proof.events import events
from wattwright.proof.models.record import UseRecord

SITES, SEED = 100, 60_119
"""The seed is none of those on which the bar of chance was set (3 and 51,883)."""
ALIKE = {"days on their own": 0.0, "days alike by a half": 0.5}
SAVED = 0.08
SHORTEST_D = 14
"""A lasting change comes so many days or more after the beginning, and before the end: a shorter side is not looked for."""


def told(share: float, seed: int, number: int) -> tuple[bool, bool, float, float, bool] | None:
    """Return whether an event is found, a clean year is told one, its share, the scatter of days, if a lasting one is found."""
    before, after, *_ = years(number, share, seed)
    found = baseline(before)
    if not isinstance(found, Baseline):
        return None
    draws = np.random.default_rng([seed, number, 9])
    size, days = draws.uniform(0.15, 0.4) * draws.choice([-1, 1]), int(draws.integers(14, 91))
    first = int(draws.integers(0, len(after) - days))
    used = after.energy_kwh * (1 - SAVED)
    clean, changed = replace(after, energy_kwh=used), used.copy()
    changed[first : first + days] += size * used.mean()
    inside = after.starts_s[first], after.starts_s[first + days - 1] + 86_400
    hits = [
        one
        for one in events(found, replace(after, energy_kwh=changed), number).found
        if min(one.end_s, inside[1]) - max(one.start_s, inside[0]) >= 0.5 * (inside[1] - inside[0]) and one.share * size > 0
    ]
    alarm = events(found, clean, number).found
    lasting = is_turn_found(found, clean, int(draws.integers(SHORTEST_D, len(after) - SHORTEST_D)), size, number)
    return bool(hits), bool(alarm), abs(size), found.fitness.cv_rmse, lasting


def is_turn_found(model: Baseline, clean: UseRecord, first: int, size: float, number: int) -> bool:
    """Return whether a step of ``size`` mean days that begins on day ``first`` and never ends is told.

    The stretch from there to the end must be covered by half, and the step must be of its sign; or the stretch before, which is
    the same step turned round.
    """
    changed = clean.energy_kwh.copy()
    changed[first:] += size * changed.mean()
    begins, turn, ends = int(clean.starts_s[0]), int(clean.starts_s[first]), int(clean.starts_s[-1]) + 86_400
    return any(
        min(one.end_s, last) - max(one.start_s, start) >= 0.5 * (last - start) and one.share * size * sign > 0
        for one in events(model, replace(clean, energy_kwh=changed), number).found
        for start, last, sign in ((begins, turn, -1), (turn, ends, 1))
    )


def run(sites: int = SITES, seed: int = SEED) -> dict[str, Any]:
    """Return the shares found, by scatter of the days, and of clean years that are told an event."""
    result: dict[str, Any] = {"sites of each kind": sites, "events": "15 to 40 % of a mean day, 14 to 90 days, more or less"}
    result["lasting changes"] = "15 to 40 % of a mean day, more or less, from a day on, two weeks or more from both ends"
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as workers:
        for name, share in ALIKE.items():
            rows = [one for one in workers.map(partial(told, share, seed), range(sites), chunksize=10) if one]
            table = np.array(rows, np.float64)
            steady = table[:, 3] <= 0.10
            result[f"{name}: found"] = round(float(table[:, 0].mean()), 3)
            result[f"{name}: found where days scatter by 10 % or less"] = round(float(table[steady, 0].mean()), 3)
            result[f"{name}: lasting changes found"] = round(float(table[:, 4].mean()), 3)
            result[f"{name}: lasting changes found where days scatter by 10 % or less"] = round(float(table[steady, 4].mean()), 3)
            result[f"{name}: clean years told an event"] = round(float(table[:, 1].mean()), 3)
    return result
