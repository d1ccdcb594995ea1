"""Bands for the minute maximum on invented sites whose truth is known: coverage by step, kind, size, season and time since."""

import multiprocessing
from concurrent.futures import ProcessPoolExecutor
from typing import Any

import numpy as np
from scipy.stats import binom, norm, t

from studies.invented import BEGIN_S, KINDS, ZONE, InventedSite, invented_site
from wattwright.core.clock import SiteClock
from wattwright.core.series import coarser, of_values
from wattwright.demand.within.asked import Finer
from wattwright.demand.within.bands import Band
from wattwright.demand.within.listed import Listed
from wattwright.demand.within.peak_bands import peak_bands

SITES, DAYS, FINER_DAYS, SEED = 192, 84, 28, 83_021
"""The seed is none of those that the bands or this study were mended on (7, 101, 102, 301, 302, 555, 556, 909, 20271, 20281,
20311, 52817, 61409).

Fixed before it was read: the bands hold as they say when, at every step, the share of intervals and that of days lie within three
points of nominal, and they depend on season, time or size where a difference shows. Two rules were added later, before what they
judge was read: the seasons of each kind by itself, and the highest of all eight weeks, for which no share is promised: it
must be held by as many sites as nine in ten would, or by more (the central 99.9 % of the binomial; a band too wide passes).
"""
QUARTERS = ("spring", "summer", "autumn", "winter")
"""The site's weather begins in the middle of one of them; each kind has as many sites of each."""
QUARTER_DAYS = 91
STEPS_MIN = (60, 30, 15)
CLOCK = SiteClock(ZONE)


T_90 = {47: 1.678, 95: 1.661, 191: 1.653}
"""Student's t for a 90 % interval, by degrees of freedom; any table of it."""
NOMINAL, WITHIN = 0.90, 0.03
DIFFERENCES = len(STEPS_MIN) * 2 * (2 + len(QUARTERS))
SIGNIFICANT = float(norm.isf(0.05 / 2 / DIFFERENCES))
"""A difference shows beyond so many of its standard errors: were there none, one would in one study of twenty (Bonferroni).

Each difference stands with its own count of them.
"""
OF_KINDS = len(STEPS_MIN) * 2 * len(QUARTERS) * len(KINDS)
FEWEST_WHOLE = int(binom.ppf(0.0005, SITES, NOMINAL))


def site_of(number: int) -> InventedSite:
    """Return the site of a number, in its own quarter of the year."""
    return invented_site(SEED, number, DAYS, float(QUARTER_DAYS * quarter(number)))


def quarter(number: int) -> int:
    """Return which of the quarters the site of a number begins in."""
    return number // len(KINDS) % len(QUARTERS)


def held(number: int) -> list[tuple[str, str, int, tuple[float, ...]]]:
    """Return for a site, by what the bands rest on and step: kind, and the shares held.

    These are of intervals, of days, of each those of the first and of the last four weeks, and of the whole and its months.
    """
    site = site_of(number)
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
            months = np.array(CLOCK.parts(days.start_s).month)
            of_months = [holds(band, by_day[months == month].max()) for _, month, band in bands.months]
            highest_of_all = [holds(bands.whole, by_day.max())]
            shares = map(np.mean, (inside, of_days, *np.split(inside, 2), *np.split(of_days, 2), highest_of_all, of_months))
            rows.append((site.kind, name, step, tuple(float(one) for one in shares)))
    return rows


def holds(band: Band, highest_w: float) -> bool:
    """Return whether a band holds the highest minute."""
    return band.low_w - 1e-6 <= highest_w <= band.high_w + 1e-6


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


def larger() -> np.ndarray:
    """Return which sites are in the larger half by mean power of those of their kind and quarter, which differ in more."""
    size = np.array([float(site_of(one).power_w.mean()) for one in range(SITES)])
    alike = np.arange(SITES) % (len(KINDS) * len(QUARTERS))
    return np.array([size[one] >= np.median(size[alike == alike[one]]) for one in range(SITES)])


def run() -> dict[str, Any]:
    """Return the shares held by step, of all sites, by kind, month and size, how far those differ, and the verdict on them."""
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        by_site = list(pool.map(held, range(SITES)))
    kinds = np.array([rows[0][0] for rows in by_site])
    quarters, big = np.array([quarter(one) for one in range(SITES)]), larger()
    result: dict[str, Any] = {"sites": SITES, "an interval stated": "90 %, over sites: 1.65 to 1.68 standard errors"}
    result["a difference shows beyond"] = f"{SIGNIFICANT:.1f} standard errors, for {DIFFERENCES} differences"
    apart: dict[str, list[str]] = {}
    for at, (_, rests, step, _) in enumerate(by_site[0]):
        shares = np.array([rows[at][3] for rows in by_site])
        for column, what in enumerate(("intervals", "days")):
            name, one = f"{rests}, {step} min, {what}", shares[:, column]
            early, late = shares[:, 2 + 2 * column], shares[:, 3 + 2 * column]
            result[f"{name}: held"] = about(one)
            for kind in dict.fromkeys(kinds.tolist()):
                result[f"{name}: held, {kind}"] = about(one[kinds == kind])
            parts = {f"beginning in {word}": one[quarters == number] for number, word in enumerate(QUARTERS)}
            parts |= {"first four weeks after the stretch": early, "next four weeks": late}
            parts |= {"larger half": one[big], "smaller half": one[~big]}
            result |= {f"{name}: held, {part}": about(some) for part, some in parts.items()}
            between = {f"{word} less the rest of the year": two(one, quarters == number) for number, word in enumerate(QUARTERS)}
            between["larger less smaller half of each kind and quarter"] = two(one, big)
            between["next less first four weeks"] = float((late - early).mean()), standard_error(late - early)
            result |= {f"{name}: {which}": difference(*told) for which, told in between.items()}
            told = apart.setdefault(rests, [])
            of_kinds = seasons_of_kinds(one, kinds, quarters)
            farthest = max(of_kinds, key=lambda which: of_kinds[which][1])
            mean, share = of_kinds[farthest]
            result[f"{name}: largest difference of a season within a kind"] = (
                f"{farthest}: {mean:+.3f}, {share:.2f} of what shows"
            )
            told += [f"{step} min, {what}, {which}: beyond chance" for which, (_, share) in of_kinds.items() if share > 1]
            told += [f"{step} min, {what}, {part}" for part, some in parts.items() if abs(some.mean() - NOMINAL) > WITHIN]
            told += [
                f"{step} min, {what}, {which}: {beyond}"
                for which, (mean, error) in between.items()
                for beyond, most in (("beyond three points", WITHIN), ("beyond chance", SIGNIFICANT * error))
                if abs(mean) > most
            ]
        wholes = [int(rows[at][3][6]) for rows in by_site]
        result[f"{rests}, {step} min, highest of all: held"] = f"{sum(wholes)} of {SITES} sites, at least {FEWEST_WHOLE} asked"
        result[f"{rests}, {step} min, months: held"] = about(np.array([rows[at][3][7] for rows in by_site]))
        if sum(wholes) < FEWEST_WHOLE:
            apart[rests].append(f"{step} min, highest of all")
    for rests, told in apart.items():
        result[f"{rests}: parts not within three points of 90 %, and differences that show"] = "; ".join(told) or "none"
    return result


def seasons_of_kinds(shares: np.ndarray, kinds: np.ndarray, quarters: np.ndarray) -> dict[str, tuple[float, float]]:
    """Return how far each quarter of each kind lies above the rest of that kind's year, and of what shows."""
    return {
        f"{kind}, {word} less the rest of its year": welch(shares[kinds == kind], quarters[kinds == kind] == number)
        for kind in dict.fromkeys(kinds.tolist())
        for number, word in enumerate(QUARTERS)
    }


def welch(shares: np.ndarray, some: np.ndarray) -> tuple[float, float]:
    """Return how far the mean of some sites lies above that of the others, and its size as a share of what shows by Welch's test.

    Each of OF_KINDS differences is judged so that one in twenty studies without any would show one (Bonferroni).
    """
    mean, error = two(shares, some)
    parts = [standard_error(one) ** 2 for one in (shares[some], shares[~some])]
    free = sum(parts) ** 2 / sum(part**2 / (len(one) - 1) for part, one in zip(parts, (shares[some], shares[~some]), strict=True))
    return mean, abs(mean) / error / float(t.isf(0.05 / 2 / OF_KINDS, free)) if error > 0 else 0.0


def two(shares: np.ndarray, some: np.ndarray) -> tuple[float, float]:
    """Return how far the mean of some sites lies above that of the others, and its standard error."""
    mean = float(shares[some].mean() - shares[~some].mean())
    return mean, float(np.hypot(standard_error(shares[some]), standard_error(shares[~some])))
