"""Baseline models on the two real meter files: how far off they are on weeks left out, beside two naive baselines."""

from pathlib import Path
from typing import Any

import numpy as np

from wattwright.core.calendar import public_holidays
from wattwright.core.clock import SiteClock
from wattwright.core.series import Floats
from wattwright.proof.choose import MODELS, unseen, week_before
from wattwright.proof.models.calendar import Mean
from wattwright.proof.models.record import Grain, UseRecord, use_record
from wattwright.record.read import read_record

FILES = {"residential-hourly.csv": ("America/Toronto", "CA"), "household-minute.csv.gz": ("Europe/Paris", "FR")}
DATA = [f"../shared/data/{name}" for name in FILES]


def off(record: UseRecord, told: Floats) -> float:
    """Return CV(RMSE) where something is told."""
    known = ~np.isnan(told)
    error = record.energy_kwh[known] - told[known]
    return float(np.sqrt((error**2).mean()) / record.energy_kwh[known].mean())


def run() -> dict[str, Any]:
    """Return CV(RMSE) by file, grain and model."""
    folder, result = Path(__file__).parents[1], {}
    for path, (zone, country) in zip(DATA, FILES.values(), strict=True):
        record = read_record(folder / path, zone)
        for grain in (Grain.HOUR, Grain.DAY):
            used = use_record(record.main.series, SiteClock(zone), grain, holidays=public_holidays(country, None, 2007, 2012))
            named = f"{Path(path).name}, {grain.value}s"
            result[f"{named}: read"] = len(used)
            result[f"{named}: the mean (naive)"] = f"{off(used, unseen(Mean(), used)):.1%}"
            result[f"{named}: the same time a week before (naive)"] = f"{off(used, week_before(used)):.1%}"
            for model in MODELS:
                if model.suits(used):
                    result[f"{named}: {model.name}"] = f"{off(used, unseen(model, used)):.1%}"
    return result
