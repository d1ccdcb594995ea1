"""Tariffs side by side on the same usage, average prices, and a bill as plain data."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from wattwright.core.basis import Grounds, grounds, mix
from wattwright.core.clock import SiteClock
from wattwright.core.errors import Place, TariffError
from wattwright.core.show import Show
from wattwright.tariff.bill import Bill, bill
from wattwright.tariff.lines import Group, plain
from wattwright.tariff.tariff import Tariff
from wattwright.tariff.usage import Usage


@dataclass(frozen=True, slots=True)
class Compared:
    """One tariff of a comparison: its total, and how much it costs more (negative: less) than the first."""

    id: str
    name: str
    total: Decimal
    difference: Decimal
    bill: Bill


@dataclass(frozen=True, slots=True)
class Comparison:
    """Tariffs on the same usage, in the order given; ``cheapest`` is the index of the lowest total (the first of equals)."""

    currency: str
    tariffs: tuple[Compared, ...]
    cheapest: int


def compare(tariffs: Sequence[Tariff], usage: Usage, clock: SiteClock) -> Comparison:
    """Return the bills of several tariffs for the same usage.

    Raises TariffError without a tariff, when their currencies differ, or when one of them cannot price the usage.
    """
    currencies = sorted({tariff.currency for tariff in tariffs})
    if len(currencies) != 1:
        raise TariffError.one(
            "tariff.currencies",
            Place(),
            found=", ".join(currencies) or "no tariff",
            wanted="tariffs in one currency",
            next_step="Compare those of one currency.",
        )
    bills = [bill(tariff, usage, clock) for tariff in tariffs]
    rows = tuple(
        Compared(tariff.id, tariff.name, one.total, one.total - bills[0].total, one)
        for tariff, one in zip(tariffs, bills, strict=True)
    )
    return Comparison(currencies[0], rows, min(range(len(rows)), key=lambda index: rows[index].total))


def average_price(one: Bill) -> Decimal | None:
    """Return everything on a bill over its billed energy, per kWh to six decimals; None without energy."""
    return _per_kwh(one.total, one.energy_kwh)


def average_energy_price(one: Bill) -> Decimal | None:
    """Return the energy lines of a bill, before levies, over its billed energy, per kWh to six decimals; None without energy."""
    return _per_kwh(one.group_total(Group.ENERGY), one.energy_kwh)


def cost_grounds(one: Bill, energy: Grounds) -> Grounds:
    """Return what a bill's total rests on: its prices with their marks, and the ``energy`` they are multiplied with."""
    return mix([energy, *(grounds(line.basis, line.source) for line in one.lines)])


def _per_kwh(amount: Decimal, energy_kwh: Decimal) -> Decimal | None:
    return (amount / energy_kwh).quantize(Decimal("1e-6")) if energy_kwh else None


BILL_SCHEMA = "wattwright.bill/1"


def comparison_json(costs: Comparison, show: Show) -> dict[str, Any]:
    """Return the first tariff's bill as plain data, and under ``compared`` the total of every tariff beside it."""
    beside = [
        {"id": one.id, "name": one.name, "total": f"{one.total:f}", "difference": f"{one.difference:f}"} for one in costs.tariffs
    ]
    return {**bill_json(costs.tariffs[0].bill, show), "compared": beside}


def bill_json(one: Bill, show: Show | None = None) -> dict[str, Any]:
    """Return a bill as plain data: every number that is money or a billed quantity as a decimal string."""
    shown = show or Show()
    return {
        "tariff": one.tariff,
        "currency": one.currency,
        "total": f"{one.total:f}",
        "energy_kwh": plain(one.energy_kwh),
        "export_kwh": plain(one.export_kwh),
        "carried_kwh": plain(one.carried_kwh),
        "missing_s": one.missing_s,
        "lines": [
            {
                "label": line.label(shown),
                "group": line.group.value,
                "period": line.period,
                "month": line.month,
                "quantity": plain(line.quantity),
                "unit": line.unit,
                "rate": plain(line.rate),
                "amount": f"{line.amount:f}",
                "basis": line.basis.value,
                "source": line.source,
            }
            for line in one.lines
        ],
        "by_month": [
            {
                "month": month.month,
                "days": plain(month.days),
                "energy_kwh": plain(month.energy_kwh),
                "amount": f"{month.amount:f}",
                "missing_s": month.missing_s,
                "whole": month.whole,
            }
            for month in one.by_month
        ],
        "demands": [
            {
                "label": figure.label,
                "month": figure.month,
                "unit": figure.unit,
                "measured": plain(figure.measured),
                "billed": plain(figure.billed),
            }
            for figure in one.demands
        ],
        "findings": [finding.as_json(shown) for finding in one.findings],
    }
