"""What a job says about peaks: its loads as far as peaks go, and the limit they are held against."""

from dataclasses import replace
from typing import Final

import numpy as np

from wattwright.core.errors import InputError, JobError, Place
from wattwright.core.findings import gravest_first
from wattwright.core.progress import SILENT, Progress
from wattwright.core.series import Series
from wattwright.demand.within.asked import Finer
from wattwright.demand.within.bands import PeakBands
from wattwright.demand.within.kinds import MAY_PASS
from wattwright.demand.within.listed import USUAL_ON_S, Listed
from wattwright.demand.within.peak_bands import peak_bands
from wattwright.job import kinds
from wattwright.job.file import Job
from wattwright.job.spec import JobSpec
from wattwright.loads.plain import Motor

_STEADY: Final = ("standby",)
"""Kinds that make no peak: what is always on is part of the base load."""
_MOTORS: Final = ("pool pump", "irrigation pump", "motor", "cold room", "freezer", "room cooling")
_USUAL_V: Final = 230.0


def listed_loads(spec: JobSpec) -> tuple[Listed, ...]:
    """Return the loads of the survey that may make a peak, with how long each usually stays on and its starting current."""
    volts = spec.supply.voltage_v if spec.supply is not None else _USUAL_V
    found = []
    for one in spec.loads:
        if one.kind in _STEADY or one.rating_w <= 0:
            continue
        ratio = one.model.start_ratio if one.model is not None and hasattr(one.model, "start_ratio") else 0.0
        if one.model is None and one.kind in _MOTORS:
            ratio = float(Motor.model_fields["start_ratio"].default)
        start_a = one.rating_w / (volts * one.power_factor) * ratio if ratio > 1 else 0.0
        spread = 0.3 if one.basis == "assumed" else 0.05
        found.append(Listed(one.name, one.rating_w, USUAL_ON_S[one.kind], one.quantity, spread, start_a))
    return tuple(found)


def behind_means(job: Job, power: Series, finer: Finer | None, progress: Progress = SILENT) -> PeakBands:
    """Return the peaks behind the means of a power in W, from finer readings or the survey of a job.

    A survey that the readings contradict is no ceiling: where they are higher than all its loads together it does not hold all
    that runs, and what it lacks may run as well. It is then left out. Raises JobError for a limit of current without a supply.
    """
    spec, highest_w = job.spec, float(np.nanmax(power.values, initial=0.0))
    rated_w = sum(one.quantity * one.rating_w for one in spec.loads)
    is_short = 0.0 < rated_w < highest_w
    made = peak_bands(
        power, job.clock, finer=finer, loads=() if is_short else listed_loads(spec), limit_w=limit_w(spec, str(job.path)),
        seed=spec.seed, progress=progress,
    )  # fmt: skip
    made = _within_ceiling(made, highest_w)
    short = (kinds.SURVEY_SHORT.at("loads", highest=highest_w, rated=rated_w),) if is_short else ()
    return replace(made, findings=gravest_first((*short, *made.findings)))


def _within_ceiling(made: PeakBands, highest_w: float) -> PeakBands:
    """Return peaks of which a limit at the ceiling of all loads and above it is never passed: nothing is there to pass it."""
    limit = made.passing
    if limit is None or not highest_w <= made.ceiling_w <= limit.limit_w:
        return made
    never = (0.0, 0.0, 0.0)
    told = tuple(one for one in made.findings if one.code != MAY_PASS.code)
    return replace(made, passing=replace(limit, minutes=never, times=never, longest_min=never), findings=told)


def limit_w(spec: JobSpec, place: str) -> float | None:
    """Return the limit in W that peaks are held against, or None where there is none.

    A limit of current is one of evenly loaded conductors at nominal voltage and the supply's power factor. Raises JobError for a
    limit of current without a supply.
    """
    limit, supply = spec.limit, spec.supply
    if limit.power_w is not None:
        return limit.power_w
    current = limit.current_a
    if supply is None:
        if current is not None:
            raise _no_supply(place)
        return None
    if current is not None:
        return supply.carries_w(current)
    return supply.agreed_most_w if supply.protection_w is None else supply.protection_w


def limit_named(spec: JobSpec) -> str:
    """Return in words what the limit is where it was not given as a power: a current, the main protection, what is agreed."""
    limit, supply = spec.limit, spec.supply
    if limit.power_w is not None or supply is None:
        return ""
    if limit.current_a is not None:
        return f"{limit.current_a:g} A"
    if supply.main_protection_a is not None:
        return f"the main protection of {supply.main_protection_a:g} A"
    return "the power agreed with the grid operator" if supply.agreed_most_w is not None else ""


def _no_supply(place: str) -> InputError:
    return JobError.one(
        "job.no-supply",
        Place(place, field="supply"),
        found="a limit of current and no supply",
        wanted="the supply's system and voltage, to turn current into power",
        next_step="Give the limit as a power, or say the supply in a job file.",
    )
