"""A year and its bills as plain data for programs: energies in kWh, dates as ISO 8601."""

from datetime import timedelta
from typing import Any

from wattwright.demand.year.against import Against
from wattwright.demand.year.annual import CONFIDENCE, Year
from wattwright.demand.year.whole import Annualised


def year_json(given: Annualised) -> dict[str, Any]:
    """Return the entries that a year and its bills add to what is said of demand."""
    return {"year": None if given.year is None else _year(given.year), **bills_json(given.paid)}


def bills_json(given: Against) -> dict[str, Any]:
    """Return the entries that the paid bills add: each beside the record, and record over bills."""
    return {
        "bills": [
            {
                "from": one.bill.first.isoformat(),
                "until": one.bill.until.isoformat(),
                "billed_kwh": round(one.bill.paid_wh / 1000, 6),
                "days_read": one.days,
                "measured_kwh": round(one.measured_kwh, 6),
                "billed_share_kwh": round(one.billed_kwh, 6),
                "record_over_bill": _round(one.ratio),
            }
            for one in given.held
        ],
        "record_over_bills": _round(given.ratio),
    }


def _year(one: Year) -> dict[str, Any]:
    return {
        "from": one.first.isoformat(),
        "until": (one.first + timedelta(days=one.days)).isoformat(),
        "confidence": CONFIDENCE,
        "energy_kwh": {"value": round(one.energy_kwh, 6), "low": round(one.low_kwh, 6), "high": round(one.high_kwh, 6)},
        "measured_kwh": round(one.measured_kwh, 6),
        "days_from": {name.replace(" ", "_"): count for name, count in one.days_from.items()},
    }


def _round(value: float) -> float | None:
    return None if value != value else round(value, 6)
