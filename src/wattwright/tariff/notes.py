"""What a person should know about a bill: what could not be priced, what is billed in part, what had to be assumed."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from wattwright.core.findings import Finding
from wattwright.tariff import kinds
from wattwright.tariff.demand import month_index, month_index_of
from wattwright.tariff.netting import Netted
from wattwright.tariff.parts import Part
from wattwright.tariff.quantities import NOUGHT
from wattwright.tariff.tariff import Tariff
from wattwright.tariff.usage import PriorDemand


@dataclass(frozen=True, slots=True)
class Noted:
    """What the usage was: step in s (0 for totals), whether the power factor is known, whether var were read."""

    step_s: int
    power_factor: bool
    reactive: bool


def notes(
    tariff: Tariff,
    parts: Sequence[Part],
    missing_s: Sequence[float],
    netted: Netted,
    prior: Sequence[PriorDemand],
    noted: Noted,
) -> tuple[Finding, ...]:
    """Return the findings about a bill, in the order a reader meets its parts."""
    found = list(_gaps(tariff, parts, missing_s))
    if noted.step_s:
        found += _part_months(tariff, parts)
    found += _demand(tariff, parts, netted, noted)
    found += _ratchets(tariff, parts, prior)
    if not noted.reactive and any(part.spec.reactive for part in parts):
        found.append(kinds.REACTIVE_UNREAD.at(tariff.name))
    unpaid = sum(
        (sum(used.export.values(), NOUGHT) for part, used in zip(parts, netted.quantities, strict=True) if not part.spec.export),
        NOUGHT,
    )
    if unpaid:
        found.append(kinds.EXPORT_UNPAID.at(tariff.name, energy=float(unpaid)))
    if netted.carried:
        found.append(kinds.CARRIED.at(tariff.name, energy=float(sum(netted.carried.values(), NOUGHT))))
    return tuple(found)


def _gaps(tariff: Tariff, parts: Sequence[Part], missing_s: Sequence[float]) -> Iterator[Finding]:
    # Less than a second is rounding of the split, not a gap.
    months = dict.fromkeys(part.month for part, missing in zip(parts, missing_s, strict=True) if missing >= 1)
    if months:
        yield kinds.UNPRICED.at(tariff.name, missing=float(sum(missing_s)), months=", ".join(months))


def _part_months(tariff: Tariff, parts: Sequence[Part]) -> Iterator[Finding]:
    days: dict[str, tuple[float, int]] = {}
    for part in parts:
        days[part.month] = (days.get(part.month, (0.0, 0))[0] + float(part.days), part.period_days)
    for month, (billed, length) in days.items():
        if billed != length:
            yield kinds.PART_MONTH.at(tariff.name, month=month, days=billed, length=length)


def _demand(tariff: Tariff, parts: Sequence[Part], netted: Netted, noted: Noted) -> Iterator[Finding]:
    if not noted.step_s:
        return
    charges = {spec.label: spec for part in parts for spec in part.spec.demand}
    for label, spec in charges.items():
        if noted.step_s > spec.window_s:
            yield kinds.DEMAND_COARSE.at(tariff.name, label=label, step=noted.step_s, window=spec.window_s)
        if not noted.power_factor and (spec.quantity == "kVA" or spec.target_power_factor is not None):
            yield kinds.POWER_FACTOR_ASSUMED.at(tariff.name, label=label, assumed=str(spec.assumed_power_factor))
        bare = [
            part.month
            for part, used in zip(parts, netted.quantities, strict=True)
            if label in used.demand and used.demand[label][1] is None
        ]
        if bare:
            yield kinds.DEMAND_NONE.at(tariff.name, label=label, months=", ".join(dict.fromkeys(bare)))


def _ratchets(tariff: Tariff, parts: Sequence[Part], prior: Sequence[PriorDemand]) -> Iterator[Finding]:
    known = {(one.label, month_index_of(one.month)) for one in prior}
    first = month_index(parts[0])
    for label, ratchet in {spec.label: spec.ratchet for part in parts for spec in part.spec.demand}.items():
        months = ratchet.months if ratchet else 0
        lacking = sum((label, index) not in known for index in range(first - months, first))
        if lacking:
            yield kinds.RATCHET_HISTORY.at(tariff.name, label=label, lacking=lacking, months=months)
