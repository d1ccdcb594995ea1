"""Export against import: apart, within each interval, or kWh for kWh over each bill with or without carrying over."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np

from wattwright.core.series import Series
from wattwright.tariff.parts import Part
from wattwright.tariff.quantities import NOUGHT, Quantities
from wattwright.tariff.schema import ExportSpec
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
    """Return the quantities with export set against import within each period of each part, where the tariff says so.

    Energy never falls below nought; what is left over is paid, carried to the next bill, or lost.
    """
    bank: dict[str, Decimal] = {}
    found = []
    for index, (part, given) in enumerate(zip(parts, used, strict=True)):
        rule = part.spec.export
        if rule is None or rule.netting != "each bill":
            found.append(given)
            continue
        last = index == len(parts) - 1
        found.append(_one(given, bank, rule, settles(part, rule, last)))
    return Netted(tuple(found), {period: left for period, left in bank.items() if left})


def _one(given: Quantities, bank: dict[str, Decimal], rule: ExportSpec, settles: bool) -> Quantities:
    energy, export = {}, {}
    for period in given.energy:
        credit = given.export.get(period, NOUGHT) + bank.pop(period, NOUGHT)
        used = min(given.energy[period], credit)
        energy[period] = given.energy[period] - used
        left = credit - used
        fate = rule.surplus if rule.surplus != "carried" else rule.at_settlement if settles else "carried"
        export[period] = left if fate == "paid" else NOUGHT
        if fate == "carried" and left:
            bank[period] = left
    return replace(given, energy=energy, export=export)


def settles(part: Part, rule: ExportSpec, last: bool) -> bool:
    """Return whether a part settles what is carried: in the settlement month, or as the last of the whole."""
    if rule.settlement_month is None:
        return last
    return part.closes and part.first.month == rule.settlement_month
