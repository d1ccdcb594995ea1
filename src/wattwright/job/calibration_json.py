"""A calibration as plain data for programs."""

from typing import Any

from wattwright.core.show import Show
from wattwright.job.calibration import Fitted
from wattwright.simulate.calibrate import CalibratedLoad
from wattwright.simulate.fit.statistics import Goodness

SCHEMA = "wattwright.calibration/1"


def calibration_json(given: tuple[Fitted, ...], show: Show) -> dict[str, Any]:
    """Return what was fitted to each meter as plain data; ``show`` gives the language of the findings' sentences."""
    return {
        "meters": [
            {
                "meter": one.meter,
                "alone": one.alone,
                "by_hour": _goodness(one.calibration.by_hour),
                "by_day": _goodness(one.calibration.by_day),
                "loads": [_load(load) for load in one.calibration.loads],
                "findings": [finding.as_json(show) for finding in one.findings],
            }
            for one in given
        ]
    }


def _load(one: CalibratedLoad) -> dict[str, Any]:
    return {
        "id": one.id,
        "runs": len(one.runs),
        "by_hour": _goodness(one.by_hour),
        "by_day": _goodness(one.by_day),
        "parameters": [
            {
                "name": each.name,
                "unit": each.unit,
                "value": each.value,
                "low": each.low,
                "high": each.high,
                "identifiable": each.identifiable,
                "known": each.known,
                "held": each.held,
                "beside": list(each.beside),
            }
            for each in one.parameters
        ],
    }


def _goodness(one: Goodness) -> dict[str, float]:
    return {"cv_rmse": one.cv_rmse, "nmbe": one.nmbe, "explained_share": one.explained_share}
