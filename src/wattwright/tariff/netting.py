"""Export against import: apart, within each interval, or kWh for kWh over each bill with or without carrying over."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np

from wattwright.core.series import Series
from wattwright.tariff.parts import Part, by_bill
from wattwright.tariff.quantities import NOUGHT, Quantities
from wattwright.tariff.usage import Usage


def flows(usage: Usage, netted: bool) -> tuple[Series, Series]:
    """Return import and export in W, both positive, counted apart or netted within each interval."""
    shown = usage.imported.values
    sent = np.zeros_like(shown) if usage.exported is None else np.maximum(usage.exported.values, 0.0)
    if netted:
        net = shown - np.nan_to_num(sent)
        return replace(usage.imported, values=np.maximum(net, 0.0)), replace(usage.imported, values=np.maximum(-net, 0.0))
    both = np.nan_to_num(sent) + np.maximum(np.nan_to_num(-shown), 0.0)
    return replace(usage.imported, values=np.maximum(shown, 0.0)), replace(usage.imported, values=both)


@dataclass(frozen=True, slots=True)
class Netted:
    """Quantities after netting over each bill, and the kWh still carried at the end, by price period."""

    quantities: tuple[Quantities, ...]
    carried: Mapping[str, Decimal]


def over_bills(parts: Sequence[Part], used: Sequence[Quantities]) -> Netted:
    """Return the quantities with export set against import within each period of each bill, where the tariff says so.

    Energy never falls below nought: the earliest energy of the bill is set off first. What is left over is paid, carried to the
    next bill, or lost, as :func:`fates` says.
    """
    bank: dict[str, Decimal] = {}
    found: list[Quantities] = []
    rows = iter(zip(used, fates(parts), strict=True))
    for bill in by_bill(parts):
        own = [(part, *next(rows)) for part in bill]
        for period, sent in ((period, sent) for part, one, _ in own if nets(part) for period, sent in one.export.items()):
            bank[period] = bank.get(period, NOUGHT) + sent
        found += [_one(one, bank, fate) if nets(part) else one for part, one, fate in own]
    return Netted(tuple(found), {period: left for period, left in bank.items() if left})


def _one(given: Quantities, bank: dict[str, Decimal], fate: Mapping[str, str]) -> Quantities:
    energy, export = {}, {}
    for period, kwh in given.energy.items():
        used = min(kwh, bank[period])
        energy[period] = kwh - used
        bank[period] -= used
        export[period] = bank[period] if fate[period] == "paid" else NOUGHT
        if fate[period] != "carried":
            bank[period] = NOUGHT
    return replace(given, energy=energy, export=export)


def nets(part: Part) -> bool:
    """Return whether export is set against import over the bill a part belongs to."""
    return part.spec.export is not None and part.spec.export.netting == "each bill"


def fates(parts: Sequence[Part]) -> tuple[Mapping[str, str], ...]:
    """Return what becomes of the surplus of each period in each part: "paid", "carried" or "lost"; {} where nothing is netted.

    It is carried on within a bill until the last version that has the period, and paid at that version's price. Whether it is
    paid then says the last version that is netted.
    """
    found: list[Mapping[str, str]] = []
    bills = by_bill(parts)
    for number, bill in enumerate(bills):
        netted = [part for part in bill if nets(part)]
        fate = _fate(netted[-1], number == len(bills) - 1) if netted else ""
        last = {period: part for part in netted for period in part.spec.periods}
        for part in bill:
            known = part.spec.periods if nets(part) else ()
            found.append({period: fate if last[period] is part else "carried" for period in known})
    return tuple(found)


def _fate(part: Part, last: bool) -> str:
    rule = part.spec.export
    if rule is None or rule.surplus != "carried":
        return rule.surplus if rule else ""
    settles = last if rule.settlement_month is None else part.first.month == rule.settlement_month
    return rule.at_settlement if settles else "carried"
