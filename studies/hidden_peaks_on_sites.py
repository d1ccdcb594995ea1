"""Bands for the minute maximum on invented sites whose truth is known: coverage by step, kind, size and time."""

import multiprocessing
from concurrent.futures import ProcessPoolExecutor
from typing import Any

import numpy as np

from studies.invented import BEGIN_S, ZONE, invented_site
from wattwright.core.clock import SiteClock
from wattwright.core.series import coarser, of_values
from wattwright.demand.within.asked import Finer
from wattwright.demand.within.listed import Listed
from wattwright.demand.within.peak_bands import peak_bands

SITES, DAYS, FINER_DAYS, SEED = 96, 84, 28, 20_263
"""The seed is none of those that the bands were mended on (7, 101, 102, 301 and 302), nor one judged by before."""
STEPS_MIN = (60, 30, 15)
CLOCK = SiteClock(ZONE)


T_90 = {11: 1.796, 23: 1.714, 95: 1.661}
"""Student's t for a 90 % interval, by degrees of freedom; any table of it."""


def held(number: int) -> list[tuple[str, str, int, tuple[float, ...]]]:
    """Return for a site, by what the bands rest on and step: kind, and the shares held.

    These are of intervals, of days, and of each those of the first and of the last four weeks.
    """
    site = invented_site(SEED, number, DAYS)
    whole = of_values(BEGIN_S, 60, site.power_w)
    middle = BEGIN_S + FINER_DAYS * 86_400
    fine, rest = whole.part(BEGIN_S, middle), whole.part(middle, whole.end_s)
    loads = [Listed(name, rating, 900.0) for name, rating in site.ratings.items()]
    rows = []
    for step in STEPS_MIN:
        power = coarser(rest, 60 * step, CLOCK)
        highest = rest.values.reshape(-1, step).max(axis=1)
        by_day = rest.values.reshape(-1, 1440).max(axis=1)
        for name, known in (("28 days at one minute", {"finer": Finer("fine", fine)}), ("ratings alone", {"loads": loads})):
            bands = peak_bands(power, CLOCK, **known).shortest
            each, days = bands.intervals, bands.days
            inside = (highest >= each.low_w - 1e-6) & (highest <= each.high_w + 1e-6)
            of_days = (by_day >= days.low_w - 1e-6) & (by_day <= days.high_w + 1e-6)
            shares = (inside, of_days, *np.split(inside, 2), *np.split(of_days, 2))
            rows.append((site.kind, name, step, tuple(float(one.mean()) for one in shares)))
    return rows


def about(shares: np.ndarray) -> str:
    """Return the mean over sites with half the width of its 90 % interval: sites are independent, days of one are not."""
    half = T_90[len(shares) - 1] * float(shares.std(ddof=1)) / np.sqrt(len(shares))
    return f"{float(shares.mean()):.3f} ± {half:.3f}"


def larger(kinds: np.ndarray) -> np.ndarray:
    """Return which sites are in the larger half of their own kind, by mean power: kinds differ in more than size."""
    size = np.array([float(invented_site(SEED, one, DAYS).power_w.mean()) for one in range(SITES)])
    return np.array([size[one] >= np.median(size[kinds == kinds[one]]) for one in range(SITES)])


def run() -> dict[str, Any]:
    """Return the shares held by step: of all, by kind, larger less smaller of each kind, and late less early."""
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        by_site = list(pool.map(held, range(SITES)))
    kinds = np.array([rows[0][0] for rows in by_site])
    big = larger(kinds)
    result: dict[str, Any] = {"sites": SITES, "an interval stated": "90 %, over sites"}
    for at, (_, rests, step, _) in enumerate(by_site[0]):
        shares = np.array([rows[at][3] for rows in by_site])
        for column, what in enumerate(("intervals", "days")):
            name, one = f"{rests}, {step} min, {what}", shares[:, column]
            result[f"{name}: held"] = about(one)
            for kind in dict.fromkeys(kinds.tolist()):
                result[f"{name}: held, {kind}"] = about(one[kinds == kind])
            difference = f"{one[big].mean() - one[~big].mean():+.3f} ± {apart(one, big):.3f}"
            result[f"{name}: larger less smaller half of each kind"] = difference
            early, late = shares[:, 2 + 2 * column], shares[:, 3 + 2 * column]
            result[f"{name}: last less first four weeks"] = about(late - early)
    return result


def apart(shares: np.ndarray, big: np.ndarray) -> float:
    """Return half the width of the 90 % interval of a difference between the means of two groups of sites."""
    return T_90[SITES - 1] * float(np.sqrt(sum(shares[one].var(ddof=1) / one.sum() for one in (big, ~big))))
