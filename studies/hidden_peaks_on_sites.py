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

SITES, DAYS, FINER_DAYS, SEED = 96, 84, 28, 20_271
"""The seed is none of those that the bands were mended on (7, 101, 102, 301, 302 and 909), nor one judged by before."""
STEPS_MIN = (60, 30, 15)
CLOCK = SiteClock(ZONE)


T_90 = {11: 1.796, 23: 1.714, 47: 1.678, 95: 1.661}
"""Student's t for a 90 % interval, by degrees of freedom; any table of it."""
NOMINAL, WITHIN = 0.90, 0.03
SIGNIFICANT = 2.0
"""A difference depends on season or size beyond so many of its standard errors."""


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
    half = T_90[len(shares) - 1] * standard_error(shares)
    return f"{float(shares.mean()):.3f} ± {half:.3f}"


def standard_error(shares: np.ndarray) -> float:
    """Return that of the mean over sites, each of which counts once."""
    return float(shares.std(ddof=1)) / float(np.sqrt(len(shares)))


def difference(mean: float, error: float) -> str:
    """Return a difference with its standard error, and of how many of them it is."""
    return f"{mean:+.3f}, standard error {error:.3f}, {abs(mean) / error:.1f} of them"


def larger(kinds: np.ndarray) -> np.ndarray:
    """Return which sites are in the larger half of their own kind, by mean power: kinds differ in more than size."""
    size = np.array([float(invented_site(SEED, one, DAYS).power_w.mean()) for one in range(SITES)])
    return np.array([size[one] >= np.median(size[kinds == kinds[one]]) for one in range(SITES)])


def run() -> dict[str, Any]:
    """Return the shares held by step, of all sites, by kind, month and size, how far those differ, and the verdict on them."""
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        by_site = list(pool.map(held, range(SITES)))
    kinds = np.array([rows[0][0] for rows in by_site])
    big = larger(kinds)
    result: dict[str, Any] = {"sites": SITES, "an interval stated": "90 %, over sites: 1.66 standard errors"}
    apart: dict[str, list[str]] = {}
    for at, (_, rests, step, _) in enumerate(by_site[0]):
        shares = np.array([rows[at][3] for rows in by_site])
        for column, what in enumerate(("intervals", "days")):
            name, one = f"{rests}, {step} min, {what}", shares[:, column]
            early, late = shares[:, 2 + 2 * column], shares[:, 3 + 2 * column]
            result[f"{name}: held"] = about(one)
            for kind in dict.fromkeys(kinds.tolist()):
                result[f"{name}: held, {kind}"] = about(one[kinds == kind])
            parts = {"in April": early, "in May": late, "larger half": one[big], "smaller half": one[~big]}
            result |= {f"{name}: held, {part}": about(some) for part, some in parts.items()}
            season, by_season = float((late - early).mean()), standard_error(late - early)
            size = float(one[big].mean() - one[~big].mean())
            by_size = float(np.hypot(standard_error(one[big]), standard_error(one[~big])))
            result[f"{name}: larger less smaller half of each kind"] = difference(size, by_size)
            result[f"{name}: May less April"] = difference(season, by_season)
            told = apart.setdefault(rests, [])
            told += [f"{step} min, {what}, {part}" for part, some in parts.items() if abs(some.mean() - NOMINAL) > WITHIN]
            told += [
                f"{step} min, {what}, {which} beyond {bound}"
                for which, mean, error in (("season", season, by_season), ("size", size, by_size))
                for bound, most in (("three points", WITHIN), ("two standard errors", SIGNIFICANT * error))
                if abs(mean) > most
            ]
    for rests, told in apart.items():
        result[f"{rests}: parts not within three points of 90 %, and differences that show"] = "; ".join(told) or "none"
    return result
