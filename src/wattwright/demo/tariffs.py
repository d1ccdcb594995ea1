"""The invented tariffs: the one that is paid, and two to compare. Every price is made up."""

from copy import deepcopy
from typing import Any, Final

ALL_DAYS: Final = (0, 1, 2, 3, 4, 5, 6)
"""Weekdays, 0 for Monday."""
WORKDAYS: Final = (0, 1, 2, 3, 4)
WEEKEND: Final = (5, 6)
WINTER: Final = (1, 2, 3, 4, 11, 12)
SUMMER: Final = (5, 6, 7, 8, 9, 10)
ALL_YEAR: Final = (*WINTER, *SUMMER)

_COMMON: Final[dict[str, Any]] = {
    "invented": True,
    "valid_from": "2025-01-01",
    "valid_to": "2025-12-31",
    "currency": "EUR",
    "fixed_eur_per_day": 0.42,
    "levy_eur_per_kwh": 0.017,
    "vat_percent": 13.0,
    "demand": {"eur_per_kw_month": 2.85, "interval_min": 15},
}

_TODAY: Final[dict[str, Any]] = {
    **_COMMON,
    "id": "day_night",
    "name": "Day and night (invented)",
    "energy_eur_per_kwh": {"day": 0.1985, "night": 0.1290},
    "default_period": "day",
    # The first window that fits decides; what fits none is the default period. Ends are exclusive, times local.
    "windows": [
        {"period": "night", "months": ALL_YEAR, "weekdays": WEEKEND, "from": "00:00", "to": "24:00"},
        {"period": "night", "months": WINTER, "weekdays": WORKDAYS, "from": "00:00", "to": "07:00"},
        {"period": "night", "months": WINTER, "weekdays": WORKDAYS, "from": "22:00", "to": "24:00"},
        {"period": "night", "months": SUMMER, "weekdays": WORKDAYS, "from": "00:00", "to": "08:00"},
        {"period": "night", "months": SUMMER, "weekdays": WORKDAYS, "from": "23:00", "to": "24:00"},
    ],
}

_FLAT: Final[dict[str, Any]] = {
    **_COMMON,
    "id": "flat",
    "name": "One price (invented)",
    "fixed_eur_per_day": 0.36,
    "demand": None,
    "energy_eur_per_kwh": {"all": 0.2120},
    "default_period": "all",
    "windows": [],
}

_THREE: Final[dict[str, Any]] = {
    **_COMMON,
    "id": "three_period",
    "name": "Peak, shoulder, low (invented)",
    "fixed_eur_per_day": 0.48,
    "demand": {"eur_per_kw_month": 1.90, "interval_min": 15},
    "energy_eur_per_kwh": {"peak": 0.2740, "shoulder": 0.1870, "low": 0.1060},
    "default_period": "shoulder",
    "windows": [
        {"period": "low", "months": ALL_YEAR, "weekdays": ALL_DAYS, "from": "01:00", "to": "06:00"},
        {"period": "low", "months": SUMMER, "weekdays": ALL_DAYS, "from": "11:00", "to": "16:00"},
        {"period": "peak", "months": WINTER, "weekdays": WORKDAYS, "from": "17:00", "to": "22:00"},
        {"period": "peak", "months": SUMMER, "weekdays": WORKDAYS, "from": "19:00", "to": "23:00"},
    ],
}


def tariff_today() -> dict[str, Any]:
    """Return a fresh copy of the tariff the invented bills were paid on; prices in EUR before VAT, energy per kWh."""
    return deepcopy(_TODAY)


def tariffs_to_compare() -> list[dict[str, Any]]:
    """Return fresh copies of the two other tariffs, flat and three-period, in the same shape."""
    return deepcopy([_FLAT, _THREE])
