"""The survey of a job as what it says of every hour, and as what a household is allowed for."""

from typing import Final

import numpy as np

from wattwright.core.calendar import DAY_TYPES, SEASONS
from wattwright.core.series import Floats
from wattwright.demand.survey.diversity import Installed, Use, allowed_a
from wattwright.demand.survey.reconcile import Expected
from wattwright.job.loads import LoadSpec, Running
from wattwright.job.spec import JobSpec

_USES: Final[dict[str, Use]] = {
    "lighting": "lighting",
    "cooking": "cooker",
    "water heater": "thermostatic water heater",
}
_ALWAYS: Final = ("standby",)


def expected_loads(spec: JobSpec) -> tuple[Expected, ...]:
    """Return for each load what the survey says of every hour, by day type and season; standby is always on."""
    return tuple(_expected(one) for one in spec.loads)


def household_allowance_w(spec: JobSpec) -> float:
    """Return what a published table of diversity allows a household with these loads, W at power factor 1 and 230 V."""
    volts = 230.0
    loads = [one for one in spec.loads if one.kind not in _ALWAYS]
    installed = [Installed(_USES.get(one.kind, "heating and power"), one.quantity * one.rating_w / volts) for one in loads]
    return allowed_a(installed) * volts


def _expected(load: LoadSpec) -> Expected:
    rating = load.quantity * load.rating_w
    runs = load.runs or ((Running.model_validate({}),) if load.kind in _ALWAYS else ())
    power = np.zeros((len(DAY_TYPES), len(SEASONS), 24))
    for run in runs:
        for day in run.days:
            for season in run.seasons:
                at = [one.value for one in DAY_TYPES].index(day), [one.value for one in SEASONS].index(season)
                power[at] += rating * run.duty * _share_of_hours(run)
    return Expected(load.name, rating, np.minimum(power, rating), bool(runs))


def _share_of_hours(run: Running) -> Floats:
    """Return what share of each hour of the day lies between beginning and end, over midnight where it ends earlier, (24,)."""
    first, last = (60 * one.hour + one.minute + one.second / 60 for one in (run.begins, run.ends))
    edges = np.arange(25) * 60.0
    before: Floats = np.clip(last - edges[:-1], 0.0, 60.0) / 60
    after: Floats = np.clip(edges[1:] - first, 0.0, 60.0) / 60
    if first == last:
        return np.ones(24)
    return before + after - 1 if first < last else before + after
