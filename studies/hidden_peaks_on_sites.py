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

SITES, DAYS, FINER_DAYS, SEED = 32, 84, 28, 7
STEPS_MIN = (60, 30, 15)
CLOCK = SiteClock(ZONE)


def held(number: int) -> list[tuple[str, str, int, float, float, float, float]]:
    """Return for a site, by what the bands rest on and step: kind, shares held of intervals, of days, of early and late ones."""
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
            half = len(inside) // 2
            shares = (inside.mean(), of_days.mean(), inside[:half].mean(), inside[half:].mean())
            rows.append((site.kind, name, step, *(float(one) for one in shares)))
    return rows


def run() -> dict[str, Any]:
    """Return the mean shares held by step, by kind, in small and large sites, and soon and long after the finer stretch."""
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        by_site = list(pool.map(held, range(SITES)))
    sizes = np.array([float(invented_site(SEED, one, DAYS).power_w.mean()) for one in range(SITES)])
    large = sizes >= np.median(sizes)
    result: dict[str, Any] = {"sites": SITES}
    flat = [(bool(big), *row) for big, rows in zip(large, by_site, strict=True) for row in rows]

    def mean(column: int, **wanted: Any) -> float:
        names = {"big": 0, "kind": 1, "rests": 2, "step": 3}
        chosen = [row[column] for row in flat if all(row[names[key]] == value for key, value in wanted.items())]
        return round(float(np.mean(chosen)), 3)

    for rests in dict.fromkeys(row[2] for row in flat):
        for step in STEPS_MIN:
            name = f"{rests}, {step} min"
            result[f"{name}: intervals held"] = mean(4, rests=rests, step=step)
            result[f"{name}: days held"] = mean(5, rests=rests, step=step)
            for kind in dict.fromkeys(row[1] for row in flat):
                result[f"{name}, {kind}: intervals and days held"] = (
                    f"{mean(4, rests=rests, step=step, kind=kind)} and {mean(5, rests=rests, step=step, kind=kind)}"
                )
            small_large = (mean(4, rests=rests, step=step, big=one) for one in (False, True))
            result[f"{name}: intervals held in the smaller and the larger half of the sites"] = "{} and {}".format(*small_large)
            early_late = (mean(column, rests=rests, step=step) for column in (6, 7))
            result[f"{name}: intervals held in the first and the last four weeks after"] = "{} and {}".format(*early_late)
    return result
