"""The paid bills of the invented year, from the true energy and the tariff of the day."""

from calendar import monthrange
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wattwright.core.money import Money, total
from wattwright.demo.place import YEAR
from wattwright.demo.year import DemoYear


@dataclass(frozen=True, slots=True)
class PaidBill:
    """One month: first and last day billed (both included), energy by the register, and the amount paid with VAT."""

    first: date
    last: date
    energy_kwh: int
    amount: Money


def price_period(tariff: dict[str, Any], year: DemoYear) -> NDArray[np.str_]:
    """Return the price period of each minute, (minutes,), by the first window of the tariff that fits."""
    weekday, month = year.weekday[year.day], year.month[year.day]
    period = np.full(year.minutes, tariff["default_period"], dtype="U12")
    for window in reversed(tariff["windows"]):
        inside = (year.minute >= _clock_min(window["from"])) & (year.minute < _clock_min(window["to"]))
        period[inside & np.isin(weekday, window["weekdays"]) & np.isin(month, window["months"])] = window["period"]
    return period


def paid_bills(power_w: NDArray[np.float64], tariff: dict[str, Any], year: DemoYear) -> tuple[PaidBill, ...]:
    """Return the twelve bills for mean powers (minutes,), W.

    The register shows whole kWh, so a month is the difference of two whole readings; the price is of the exact energy
    of each period, scaled to that difference, and each part of the bill is rounded to the cent before VAT.
    """
    period = price_period(tariff, year)
    month = year.month[year.day]
    register = np.floor(np.concatenate(([0.0], np.cumsum(np.bincount(month, power_w)[1:]) / 60_000.0)) + 1e-9)
    bills = []
    for number in range(1, 13):
        mine = month == number
        energy_kwh = int(register[number] - register[number - 1])
        days = monthrange(YEAR, number)[1]
        net = _net(power_w[mine], period[mine], energy_kwh, days, tariff)
        vat = Decimal(str(tariff["vat_percent"])) / 100
        gross = Money(net.amount * (1 + vat), net.currency).rounded()
        bills.append(PaidBill(date(YEAR, number, 1), date(YEAR, number, days), energy_kwh, gross))
    return tuple(bills)


def _net(power_w: NDArray[np.float64], period: NDArray[np.str_], energy_kwh: int, days: int, tariff: dict[str, Any]) -> Money:
    scale = energy_kwh / power_w.sum()
    parts = [tariff["fixed_eur_per_day"] * days, tariff["levy_eur_per_kwh"] * energy_kwh]
    for name, price in tariff["energy_eur_per_kwh"].items():
        parts.append(price * scale * power_w[period == name].sum())
    if tariff["demand"] is not None:
        quarter_w = power_w.reshape(-1, tariff["demand"]["interval_min"]).mean(axis=1)
        parts.append(tariff["demand"]["eur_per_kw_month"] * quarter_w.max() / 1000.0)
    # Twelve digits, so that a half cent is not lost to the last bit of a float.
    exact = (Money(Decimal(f"{part:.12g}"), tariff["currency"]) for part in parts)
    return total((part.rounded() for part in exact), tariff["currency"])


def _clock_min(text: str) -> int:
    hours, minutes = text.split(":")
    return 60 * int(hours) + int(minutes)
