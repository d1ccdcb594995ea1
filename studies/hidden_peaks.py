"""Bands for the minute maximum behind coarser means of a real home, told from one month for the other, beside plain baselines."""

from pathlib import Path
from typing import Any

import numpy as np

from wattwright.core.clock import SiteClock
from wattwright.core.series import Series, coarser
from wattwright.demand.within.asked import Finer
from wattwright.demand.within.bands import WindowBands
from wattwright.demand.within.listed import Listed
from wattwright.demand.within.peak_bands import peak_bands
from wattwright.record.read import read_record

DATA = ["../shared/data/household-minute.csv.gz"]
CLOCK = SiteClock("Europe/Paris")
STEPS_MIN = (60, 30, 15)
MISSED = 2 / 0.1
"""What a miss costs in the interval score of a 90 % band, per W (Gneiting and Raftery 2007, from memory)."""
SURVEY = (
    Listed("dishwasher", 2000, 900), Listed("oven", 2400, 480), Listed("microwave oven", 1200, 240),
    Listed("washing machine", 2000, 900), Listed("tumble dryer", 2400, 2700), Listed("refrigerator", 150, 720),
    Listed("water heater", 1100, 2400), Listed("air conditioner", 1000, 900), Listed("lighting", 300, 5400),
)  # fmt: skip
"""What the file's description says is in the home (its three sub-meters), each with a rating usual for it; assumed, none read."""


def score(low: np.ndarray, high: np.ndarray, truth: np.ndarray) -> float:
    """Return the mean interval score: width, and MISSED times how far the truth lies outside."""
    return float(np.mean(high - low + MISSED * (np.maximum(low - truth, 0) + np.maximum(truth - high, 0))))


def truth(fine: Series, step_min: int, window_min: int = 1) -> tuple[np.ndarray, np.ndarray]:
    """Return the means of each interval and the highest window in it, NaN where a minute is missing."""
    blocks = fine.values.reshape(-1, step_min // window_min, window_min).mean(axis=2)
    return blocks.mean(axis=1), blocks.max(axis=1)


def ten_bins(fine: Series, target: Series, step_min: int) -> tuple[np.ndarray, np.ndarray]:
    """Return the bands of the first baseline: quantiles of the excess in ten equally filled bins of the mean."""
    mean, highest = (one[~np.isnan(one)] for one in truth(fine, step_min))
    asked = truth(target, step_min)[0]
    edges = np.quantile(mean, np.linspace(0, 1, 11))[1:-1]
    excess = [(highest - mean)[np.digitize(mean, edges) == one] for one in range(10)]
    low, high = (np.array([np.quantile(one, level) for one in excess]) for level in (0.05, 0.95))
    which = np.digitize(asked, edges)
    return asked + low[which], asked + high[which]


def days_held(bands: WindowBands, target: Series) -> float:
    """Return the share of days whose highest minute lies in its band; minutes without reading are left out."""
    held = bands.days
    highest = np.nanmax(target.values.reshape(-1, 1440), axis=1)
    return float(np.mean((highest >= held.low_w - 1e-6) & (highest <= held.high_w + 1e-6)))


def told(name: str, bands: WindowBands, target: Series, step_min: int) -> dict[str, float]:
    """Return how often the bands of intervals and days held, how wide they are and their score."""
    asked, highest = truth(target, step_min, bands.window_s // 60)
    whole, each = ~np.isnan(asked), bands.intervals
    highest = highest[whole]
    inside = (highest >= each.low_w - 1e-6) & (highest <= each.high_w + 1e-6)
    result = {
        f"{name}: intervals held": round(float(inside.mean()), 3),
        f"{name}: mean width, kW": round(float(each.width_w.mean()) / 1000, 3),
        f"{name}: interval score, kW": round(score(each.low_w, each.high_w, highest) / 1000, 3),
    }
    return result | ({f"{name}: days held": round(days_held(bands, target), 3)} if bands.window_s == 60 else {})


def baselines(name: str, fine: Series, target: Series, step_min: int) -> dict[str, float]:
    """Return the same of the two baselines: ten bins of the other month, and from the mean to the sum of the ratings."""
    asked, highest = truth(target, step_min)
    whole = ~np.isnan(asked)
    low, high = (one[whole] for one in ten_bins(fine, target, step_min))
    highest, asked = highest[whole], asked[whole]
    most = np.full(len(asked), sum(one.rating_w for one in SURVEY))
    return {
        f"{name}: ten bins held": round(float(np.mean((highest >= low) & (highest <= high))), 3),
        f"{name}: ten bins, mean width, kW": round(float(np.mean(high - low)) / 1000, 3),
        f"{name}: ten bins, interval score, kW": round(score(low, high, highest) / 1000, 3),
        f"{name}: mean to sum of ratings, interval score, kW": round(score(asked, most, highest) / 1000, 3),
    }


def run() -> dict[str, Any]:
    """Return coverage, width and score by step: from each month for the other, from ratings alone, from usual loads alone."""
    path = Path(__file__).parents[1] / DATA[0]
    record = read_record(path, "Europe/Paris")
    assert record.main is not None
    whole = record.main.series.read_only()
    middle = whole.start_s + 31 * 86_400
    months = {"January": whole.part(whole.start_s, middle), "February": whole.part(middle, whole.end_s)}
    result: dict[str, Any] = {}
    for step in STEPS_MIN:
        for one, other in (("January", "February"), ("February", "January")):
            target, name = months[other], f"{step} min, {other} by {one}"
            bands = peak_bands(coarser(target, 60 * step, CLOCK), CLOCK, finer=Finer(one, months[one]))
            result |= told(name, bands.shortest, target, step) | baselines(name, months[one], target, step)
        for name, loads in (("ratings alone", SURVEY), ("usual loads alone", ())):
            bands = peak_bands(coarser(whole, 60 * step, CLOCK), CLOCK, loads=loads)
            result |= told(f"{step} min, both months by {name}", bands.shortest, whole, step)
    for at, window in enumerate((15, 30), start=1):
        bands = peak_bands(coarser(months["February"], 3600, CLOCK), CLOCK, finer=Finer("January", months["January"]))
        result |= told(f"60 min, highest {window} min, February by January", bands.windows[at], months["February"], 60)
    return result
