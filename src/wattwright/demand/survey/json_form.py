"""A survey held against the record as plain data for programs: energies in kWh, powers in kW, times as ISO 8601."""

from typing import Any

from wattwright.core.clock import SiteClock
from wattwright.demand.survey.reconcile import Reconciled, Share


def survey_json(given: Reconciled, household_w: float, clock: SiteClock, *, each: bool) -> dict[str, Any]:
    """Return the entries that the survey adds to what is said of demand; with ``each`` every hour too.

    ``household_w`` is what a published table of diversity allows for the same loads in a household.
    """
    told: dict[str, Any] = {
        "survey": {
            **_share(given.whole),
            "coincident_kw": round(given.coincident_w / 1000, 6),
            "measured_maximum_kw": round(given.measured_w / 1000, 6),
            "installed_kw": round(given.installed_w / 1000, 6),
            "coincidence_factor": _round(given.coincidence),
            "household_allowance_kw": round(household_w / 1000, 6),
            "by_hour": [_share(one) for one in given.by_hour],
            "by_day_type": [_share(one) for one in given.by_day_type],
            "by_month": [_share(one) for one in given.by_month],
            "loads": [
                {
                    "name": one.name,
                    "surveyed_kwh": round(one.surveyed_kwh, 6),
                    "record_over_survey": _round(one.factor),
                    "low": _round(one.low),
                    "high": _round(one.high),
                }
                for one in given.loads
            ],
            "suspect": None
            if given.suspect is None
            else {"name": given.suspect.name, "factor": given.suspect.factor, "beside": given.suspect.beside},
        }
    }
    if each:
        told["survey"]["hours"] = [
            {
                "start": clock.at(int(start)).isoformat(),
                "measured_kwh": round(float(measured), 6),
                "explained_kwh": round(float(explained), 6),
                "unexplained_kwh": round(float(unexplained), 6),
                "over_kwh": round(float(over), 6),
            }
            for start, measured, explained, unexplained, over in zip(
                given.start_s,
                given.measured_kwh,
                given.explained_kwh,
                given.unexplained_kwh,
                given.expected_kwh - given.explained_kwh,
                strict=True,
            )
        ]
    return told


def _share(one: Share) -> dict[str, Any]:
    return {
        "name": one.name,
        "measured_kwh": round(one.measured_kwh, 6),
        "explained_kwh": round(one.explained_kwh, 6),
        "unexplained_kwh": round(one.unexplained_kwh, 6),
        "over_explained_kwh": round(one.over_kwh, 6),
    }


def _round(value: float) -> float | None:
    return None if value != value else round(value, 6)
