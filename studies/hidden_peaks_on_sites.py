"""Bands for the minute maximum on invented sites whose truth is known: coverage by step, kind, size, season and time since."""

import multiprocessing
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
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

SITES, DAYS, FINER_DAYS, SEED = 768, 84, 28, 70_657
"""The seed is none of those that the bands or this study were mended on (7, 101, 102, 301, 302, 555, 556, 909, 20271, 20281,
20311, 52817, 61409, 83021).

Fixed before it was read: at every step the share of intervals and that of days lie within three points of nominal; and by season,
time and size they are alike where the 90 % interval of each difference lies within three points (two one-sided tests at 5 %,
Schuirmann 1987, from memory). What passes chance is told beside it with its size. Until seed 83021, with 192 sites, a
difference was judged by chance alone: the more sites, the smaller a difference shows. Six seeds read before (1,152 sites) hold
1.4 points more of their days from summer on in hours, with a standard error of 0.4. Within a kind is told what lies beyond both
three points and chance. For the highest of all eight weeks no share is promised: it must be held by as many sites as nine in
ten would, or by more (the central 99.9 % of the binomial; a band too wide passes).
"""
BY_RATINGS = 192
"""So many of the sites are told by their ratings alone, too."""
QUARTERS = ("spring", "summer", "autumn", "winter")
"""The site's weather begins in the middle of one of them; each kind has as many sites of each."""
QUARTER_DAYS = 91
STEPS_MIN = (60, 30, 15)
CLOCK = SiteClock(ZONE)


ONE_SIDED = 1.66
"""Student's t at 5 % to one side, for 100 degrees of freedom and more."""
NOMINAL, WITHIN = 0.90, 0.03
DIFFERENCES = len(STEPS_MIN) * 2 * (2 + len(QUARTERS))
SIGNIFICANT = float(norm.isf(0.05 / 2 / DIFFERENCES))
"""A difference shows beyond so many of its standard errors: were there none, one would in one study of twenty (Bonferroni).

Each difference stands with its own count of them.
"""
OF_KINDS = len(STEPS_MIN) * 2 * len(QUARTERS) * len(KINDS)


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
        asked = (("28 days at one minute", {"finer": Finer("fine", fine)}), ("ratings alone", {"loads": loads}))
        for name, known in asked if number < BY_RATINGS else asked[:1]:
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
    half = float(t.ppf(0.95, len(shares) - 1)) * standard_error(shares)
    return f"{float(shares.mean()):.3f} ± {half:.3f}"


def standard_error(shares: np.ndarray) -> float:
    """Return that of the mean over sites, each of which counts once."""
    return float(shares.std(ddof=1)) / float(np.sqrt(len(shares)))


def difference(mean: float, error: float) -> str:
    """Return a difference with its standard error, and of how many of them it is."""
    return f"{mean:+.3f}, standard error {error:.3f}, {abs(mean) / error:.1f} of them"


def larger(size: np.ndarray) -> np.ndarray:
    """Return which sites are in the larger half by mean power of those of their kind and quarter, which differ in more."""
    alike = np.arange(len(size)) % (len(KINDS) * len(QUARTERS))
    return np.array([size[one] >= np.median(size[alike == alike[one]]) for one in range(len(size))])


def run() -> dict[str, Any]:
    """Return the shares held by step, of all sites, by kind, month and size, how far those differ, and the verdict on them."""
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        by_site = list(pool.map(held, range(SITES), chunksize=4))
    size = np.array([float(site_of(one).power_w.mean()) for one in range(SITES)])
    result: dict[str, Any] = {"sites": SITES, "sites by ratings": BY_RATINGS}
    result["an interval stated"] = "90 %, over sites: 1.65 to 1.68 standard errors"
    result["a difference shows beyond"] = f"{SIGNIFICANT:.1f} standard errors, for {DIFFERENCES} differences"
    told: dict[str, Told] = {}
    for rests, step in dict.fromkeys((row[1], row[2]) for rows in by_site for row in rows):
        own = [row for rows in by_site for row in rows if row[1:3] == (rests, step)]
        shares, kinds = np.array([row[3] for row in own]), np.array([row[0] for row in own])
        verdict = told.setdefault(rests, Told([], [], [], []))
        for column, what in enumerate(("intervals", "days")):
            parts = shares[:, [column, 2 + 2 * column, 3 + 2 * column]].T
            result |= judged(f"{rests}, {step} min, {what}", parts, kinds, larger(size[: len(own)]), verdict)
        wholes, fewest = int(shares[:, 6].sum()), int(binom.ppf(0.0005, len(own), NOMINAL))
        result[f"{rests}, {step} min, highest of all: held"] = f"{wholes} of {len(own)} sites, at least {fewest} asked"
        result[f"{rests}, {step} min, months: held"] = about(shares[:, 7])
        if wholes < fewest:
            verdict.outside.append(f"{step} min, highest of all")
    for rests, verdict in told.items():
        result |= {f"{rests}: {what}": "; ".join(which) or "none" for what, which in verdict.named().items()}
    return result


@dataclass(frozen=True)
class Told:
    """What stands out of what a band rests on: names of parts and differences."""

    outside: list[str]
    unlike: list[str]
    beyond_chance: list[str]
    of_kinds: list[str]

    def named(self) -> dict[str, list[str]]:
        """Return each list with what stands in it."""
        return {
            "parts not within three points of 90 %": self.outside,
            "differences whose interval leaves three points": self.unlike,
            "differences beyond chance": self.beyond_chance,
            "within a kind beyond three points and chance": self.of_kinds,
        }


def judged(name: str, shares: np.ndarray, kinds: np.ndarray, big: np.ndarray, told: Told) -> dict[str, str]:
    """Return the shares held (all, first and next four weeks of each site, shape (3, sites)) and their differences, in words."""
    one, early, late = shares
    short = name.partition(", ")[2]
    quarters = np.array([quarter(number) for number in range(len(one))])
    parts = {"": one} | {f", {kind}": one[kinds == kind] for kind in dict.fromkeys(kinds.tolist())}
    parts |= {f", beginning in {word}": one[quarters == number] for number, word in enumerate(QUARTERS)}
    parts |= {", first four weeks after the stretch": early, ", next four weeks": late}
    parts |= {", larger half": one[big], ", smaller half": one[~big]}
    between = {f"{word} less the rest of the year": two(one, quarters == number) for number, word in enumerate(QUARTERS)}
    between["larger less smaller half of each kind and quarter"] = two(one, big)
    between["next less first four weeks"] = float((late - early).mean()), standard_error(late - early)
    told.outside.extend(f"{short}{part}" for part, some in parts.items() if abs(some.mean() - NOMINAL) > WITHIN)
    for which, (mean, error) in between.items():
        if abs(mean) + ONE_SIDED * error > WITHIN:
            told.unlike.append(f"{short}, {which}")
        if abs(mean) > SIGNIFICANT * error:
            told.beyond_chance.append(f"{short}, {which}: {mean:+.3f}")
    of_kinds = seasons_of_kinds(one, kinds, quarters)
    told.of_kinds.extend(
        f"{short}, {which}: {mean:+.3f}" for which, (mean, share) in of_kinds.items() if share > 1 and abs(mean) > WITHIN
    )
    farthest, (mean, share) = max(of_kinds.items(), key=lambda pair: pair[1][1])
    result = {f"{name}: held{part}": about(some) for part, some in parts.items()}
    result |= {f"{name}: {which}": difference(*values) for which, values in between.items()}
    result[f"{name}: largest difference of a season within a kind"] = f"{farthest}: {mean:+.3f}, {share:.2f} of what shows"
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
