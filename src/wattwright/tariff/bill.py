"""The bill: exact, its lines adding up to its months and its months to its total, with what could not be priced."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import groupby

from wattwright.core.clock import SiteClock
from wattwright.core.errors import Place, TariffError
from wattwright.core.findings import Finding
from wattwright.core.money import Money
from wattwright.tariff.demand import billed_demand, month_index, month_index_of
from wattwright.tariff.lines import Group, Line, Rows, lines_of, rounding_line
from wattwright.tariff.measure import Measured, measure
from wattwright.tariff.netting import over_bills
from wattwright.tariff.notes import Noted, notes
from wattwright.tariff.parts import Part, month_name, parts_between, period_end, period_start
from wattwright.tariff.quantities import NOUGHT, DemandFigure, Quantities
from wattwright.tariff.tariff import Tariff, naming
from wattwright.tariff.usage import PriorDemand, Totals, Usage


@dataclass(frozen=True, slots=True)
class MonthTotal:
    """One bill within the whole: ``month`` as on its lines, its days billed, energy, amount and seconds without reading.

    ``whole`` says whether the record holds the whole billing period, missing readings aside.
    """

    month: str
    start_s: int
    end_s: int
    days: Decimal
    energy_kwh: Decimal
    amount: Decimal
    missing_s: float
    whole: bool


@dataclass(frozen=True, slots=True)
class Bill:
    """What a tariff makes of a usage. ``energy_kwh`` is what was billed, after netting; ``carried_kwh`` what is left to carry."""

    tariff: str
    currency: str
    lines: tuple[Line, ...]
    by_month: tuple[MonthTotal, ...]
    total: Decimal
    energy_kwh: Decimal
    export_kwh: Decimal
    carried_kwh: Decimal
    demands: tuple[DemandFigure, ...]
    missing_s: float
    findings: tuple[Finding, ...]

    @property
    def money(self) -> Money:
        """Return the total with its currency."""
        return Money(self.total, self.currency)

    def group_total(self, group: Group) -> Decimal:
        """Return the sum of the lines of one group."""
        return sum((line.amount for line in self.lines if line.group is group), NOUGHT)


def bill(tariff: Tariff, usage: Usage, clock: SiteClock) -> Bill:
    """Return the bill for readings on the site's clock: exact lines, months and total.

    Raises TariffError when the tariff has no prices for a day of the record, or needs reactive power that was not read.
    """
    parts = parts_between(tariff, usage.start_s, usage.end_s, clock)
    with naming(tariff):
        measured = measure(parts, usage, clock)
    noted = Noted(usage.imported.step_s, usage.reactive is not None or usage.apparent is not None, usage.reactive is not None)
    return _assembled(tariff, parts, measured, usage.prior, noted)


def bill_of_totals(tariff: Tariff, totals: Totals, prior: tuple[PriorDemand, ...] = ()) -> Bill:
    """Return one bill from its totals instead of readings, through the same lines as :func:`bill`.

    Raises TariffError for a period or charge the tariff does not know, a demand that is not given, or blocks per day.
    """
    part = _part_of_totals(tariff, totals)
    _refuse_unknown(part, totals)
    used = Quantities(
        energy={name: totals.energy_kwh.get(name, NOUGHT) for name in part.spec.periods},
        export={name: totals.export_kwh.get(name, NOUGHT) for name in part.spec.periods},
        demand={spec.label: (totals.demand[spec.label], None) for spec in part.spec.demand},
        reactive_kvarh=totals.reactive_kvarh,
    )
    return _assembled(tariff, (part,), (Measured(used, 0.0),), prior, Noted(0, True, totals.reactive_kvarh is not None))


def _part_of_totals(tariff: Tariff, totals: Totals) -> Part:
    spec = tariff.version_on(totals.first)
    first = period_start(totals.first, spec.billing.start_day)
    length = (period_end(first) - first).days
    # A printed bill is a whole one, however many days the meter reader took.
    days = length if totals.days is None else totals.days
    return Part(spec, month_name(first), first, days, Decimal(days), Decimal(days), 0, 0)


def _refuse_unknown(part: Part, totals: Totals) -> None:
    spec = part.spec
    wanted = {name: "a price period: " + ", ".join(spec.periods) for name in (*totals.energy_kwh, *totals.export_kwh)}
    unknown = [(name, wanted[name]) for name in wanted if name not in spec.periods]
    labels = [demand.label for demand in spec.demand]
    unknown += [(name, "a demand charge: " + (", ".join(labels) or "none")) for name in totals.demand if name not in labels]
    unknown += [(f"no demand for {name}", f"the demand billed as {name}") for name in labels if name not in totals.demand]
    if any(entry.blocks and entry.blocks_per == "day" for entry in spec.energy):
        unknown.append(("only totals", "readings of each day, since the blocks are per day"))
    if unknown:
        raise TariffError(
            fault
            for name, want in unknown
            for fault in TariffError.one("tariff.totals", Place(field=spec.id), found=name, wanted=want).faults
        )


def _assembled(
    tariff: Tariff, parts: Sequence[Part], measured: Sequence[Measured], prior: tuple[PriorDemand, ...], noted: Noted
) -> Bill:
    netted = over_bills(parts, [one.quantities for one in measured])
    figures = _demand_figures(parts, netted.quantities, prior)
    lines = _lines(list(zip(parts, netted.quantities, strict=True)), figures)
    months = _months(parts, netted.quantities, measured, lines)
    every = tuple(figure for part in figures for figure in part.values())
    return Bill(
        tariff=tariff.name,
        currency=tariff.currency,
        lines=tuple(lines),
        by_month=months,
        total=sum((month.amount for month in months), NOUGHT),
        energy_kwh=sum((month.energy_kwh for month in months), NOUGHT),
        export_kwh=sum((kwh for used in netted.quantities for kwh in used.export.values()), NOUGHT),
        carried_kwh=sum(netted.carried.values(), NOUGHT),
        demands=every,
        missing_s=sum(one.missing_s for one in measured),
        findings=notes(tariff, parts, [one.missing_s for one in measured], netted, prior, noted),
    )


def _lines(rows: Rows, figures: Sequence[Mapping[str, DemandFigure]]) -> list[Line]:
    found: list[Line] = []
    demands = iter(figures)
    for month, group in groupby(rows, key=lambda row: row[0].month):
        own = list(group)
        for at in range(len(own)):
            found += lines_of(own, at, next(demands))
        off = rounding_line(own[-1][0].spec, month, _of_month(found, month))
        found += [off] if off else []
    return found


def _of_month(lines: Sequence[Line], month: str) -> Decimal:
    return sum((line.amount for line in lines if line.month == month), NOUGHT)


def _demand_figures(
    parts: Sequence[Part], used: Sequence[Quantities], prior: tuple[PriorDemand, ...]
) -> list[Mapping[str, DemandFigure]]:
    past: dict[str, dict[int, Decimal]] = {}
    for known in prior:
        past.setdefault(known.label, {})[month_index_of(known.month)] = known.demand
    found: list[Mapping[str, DemandFigure]] = []
    for part, quantities in zip(parts, used, strict=True):
        mine = {}
        for spec in part.spec.demand:
            measured, at_s = quantities.demand[spec.label]
            before = past.setdefault(spec.label, {})
            billed = billed_demand(part, spec, measured, before)
            before[month_index(part)] = max(measured, before.get(month_index(part), NOUGHT))
            mine[spec.label] = DemandFigure(spec.label, part.month, spec.quantity, measured, billed, at_s)
        found.append(mine)
    return found


def _months(
    parts: Sequence[Part], used: Sequence[Quantities], measured: Sequence[Measured], lines: Sequence[Line]
) -> tuple[MonthTotal, ...]:
    found = []
    rows = zip(parts, used, measured, strict=True)
    for month, group in groupby(rows, key=lambda row: row[0].month):
        own = list(group)
        days = sum((part.days for part, _, _ in own), NOUGHT)
        found.append(
            MonthTotal(
                month=month,
                start_s=own[0][0].start_s,
                end_s=own[-1][0].end_s,
                days=days,
                energy_kwh=sum((kwh for _, one, _ in own for kwh in one.energy.values()), NOUGHT),
                amount=_of_month(lines, month),
                missing_s=sum(one.missing_s for _, _, one in own),
                whole=days == own[0][0].period_days,
            )
        )
    return tuple(found)


def summed(lines: Sequence[Line]) -> tuple[Line, ...]:
    """Return lines of all months with the same name, period, block and rate added together, in their first order."""
    found: dict[tuple[object, ...], Line] = {}
    for line in lines:
        key = (line.name, line.group, line.period, line.unit, line.rate, line.low_kwh, line.high_kwh, line.basis, line.source)
        known = found.get(key)
        if known is None:
            found[key] = replace(line, month="")
        else:
            found[key] = replace(known, quantity=known.quantity + line.quantity, amount=known.amount + line.amount)
    return tuple(found.values())
