"""Gaps cut into two real records and filled: the error of their energy beside two plain ways, and how often the band holds."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from wattwright.core.clock import SiteClock
from wattwright.core.quality import Quality
from wattwright.core.seeds import Streams
from wattwright.core.series import Series
from wattwright.record.estimate import repair
from wattwright.record.read import read_record

DRAWS = 200
SEED = 20253
POSITIONS = 400
_TRIES = 50
TOGETHER, TOGETHER_S = 5, 6 * 3600
GAPS = {"1 h": 3600, "6 h": 6 * 3600, "1 day": 86_400, "1 week": 7 * 86_400}
FILES = {"residential-hourly.csv": "America/Toronto", "household-minute.csv.gz": "Europe/Paris"}
FOLDER = "../shared/data"
DATA = [f"{FOLDER}/{name}" for name in FILES]


def cut(series: Series, first: int, length: int) -> Series:
    """Return the series with a gap of ``length`` intervals from ``first`` on."""
    values, quality = series.values.copy(), series.quality.copy()
    values[first : first + length] = np.nan
    quality[first : first + length] = Quality.MISSING
    return replace(series, values=values, quality=quality)


def one_gap(series: Series, clock: SiteClock, length: int, first: int) -> tuple[float, float, float, bool, bool]:
    """Return the errors in kWh of ours, of a straight line and of the week before, whether a band was given and held."""
    hours = series.step_s / 3.6e6
    truth = float(series.values[first : first + length].sum()) * hours
    start_s = series.start_s + first * series.step_s
    made = next(one for one in repair(cut(series, first, length), clock).filled if one.start_s == start_s)
    line = float(series.values[first - 1] + series.values[first + length]) / 2 * length * hours
    week = first - 7 * 86_400 // series.step_s
    before = series.values[week : week + length] if week >= 0 else np.array([np.nan])
    last_week = float(np.nansum(before)) * hours if week >= 0 else np.nan
    banded = not np.isnan(made.low_kwh)
    return made.energy_kwh - truth, line - truth, last_week - truth, banded, bool(made.low_kwh <= truth <= made.high_kwh)


def together(series: Series, clock: SiteClock, draws: np.random.Generator) -> tuple[bool, bool]:
    """Return whether a band was given for several gaps together, cut out at random, and whether it held their energy."""
    length = TOGETHER_S // series.step_s
    held, truth = series, 0.0
    for _ in range(TOGETHER):
        first = int(draws.integers(1, len(series) - length - 1))
        truth += float(np.nansum(held.values[first : first + length])) * series.step_s / 3.6e6
        held = cut(held, first, length)
    made = repair(held, clock)
    band = made.band_kwh
    # Of gaps that the record had before nothing is known: what was filled there is taken for true.
    before = sum(one.energy_kwh for one in made.filled if one.intervals < length // 2)
    return band is not None, band is not None and band[0] <= truth + before <= band[1]


def everywhere(series: Series, clock: SiteClock, length: int) -> float:
    """Return the share of bands that hold over gaps spread evenly over the whole record, free of the luck of the draw."""
    places = np.linspace(1, len(series) - length - 2, POSITIONS).astype(int).tolist()
    whole = [first for first in places if series.present[first - 1 : first + length + 1].all()]
    made = [one_gap(series, clock, length, first) for first in whole]
    return float(np.mean([held for *_, banded, held in made if banded]))


def places(series: Series, length: int, draws: np.random.Generator) -> list[int]:
    """Return where gaps of ``length`` are cut: one drawn from each of DRAWS equal stretches of the record.

    Drawn over the whole record at once, two hundred gaps of a day leave some weeks out and hit others often: one such draw held
    in 96 % where all 2,686 places of the hourly record hold in 90.2 %.
    """
    edges = np.linspace(1, len(series) - length - 1, DRAWS + 1)
    found = []
    for low, high in pairwise(edges.tolist()):
        drawn = draws.integers(int(low), max(int(high), int(low) + 1), _TRIES).tolist()
        # A stretch in which every gap would meet one that is there already gives none.
        found += [one for one in drawn if series.present[one - 1 : one + length + 1].all()][:1]
    return found


def run() -> dict[str, Any]:
    """Return for each record and length: root mean square errors in kWh, and the share of bands that held."""
    result: dict[str, Any] = {}
    root = Path(__file__).resolve().parents[1]
    for name, zone in FILES.items():
        clock = SiteClock(zone)
        channel = read_record(root / FOLDER / name, zone).main
        assert channel is not None  # both records hold active power
        series = channel.series
        draws = Streams(SEED).stream(f"studies/filled-gaps/{name}/together")
        both = np.array([together(series, clock, draws) for _ in range(DRAWS)])
        label = f"{name.partition('.')[0]}, {TOGETHER} gaps of {TOGETHER_S // 3600} h at once"
        result[f"{label}: share given a band"] = round(float(both[:, 0].mean()), 3)
        result[f"{label}: share of 90 % bands of their sum that held"] = round(float(both[both[:, 0], 1].mean()), 3)
        for gap, seconds in GAPS.items():
            length = seconds // series.step_s
            draws = Streams(SEED).stream(f"studies/filled-gaps/{name}/{gap}")
            table = np.array([one_gap(series, clock, length, first) for first in places(series, length, draws)])
            errors = np.sqrt(np.nanmean(np.square(table[:, :3]), axis=0))
            banded = table[:, 3] > 0
            label = f"{name.partition('.')[0]}, {gap}"
            result[f"{label}: error of ours, kWh"] = round(float(errors[0]), 3)
            result[f"{label}: error of a straight line, kWh"] = round(float(errors[1]), 3)
            result[f"{label}: error of the week before, kWh"] = round(float(errors[2]), 3)
            result[f"{label}: share of gaps given a band"] = round(float(banded.mean()), 3)
            result[f"{label}: share of 90 % bands that held"] = round(float(table[banded, 4].mean()), 3)
            result[f"{label}: the same over {POSITIONS} places evenly spread"] = round(everywhere(series, clock, length), 3)
    return result
