"""The parts of a bill: each billing period, cut where another version of the tariff begins."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import groupby, pairwise

from wattwright.core.clock import SiteClock
from wattwright.tariff.schema import TariffSpec
from wattwright.tariff.tariff import Tariff

_SHARE = Decimal("1e-9")
_DAYS = Decimal("1e-4")


@dataclass(frozen=True, slots=True)
class Part:
    """A stretch of one billing period under one version of a tariff.

    ``month`` names the bill: "2025-03", or its first day where bills do not begin on the first. ``first`` is the first day of
    the billing period and ``period_days`` its days; ``days`` are those billed here, a day cut by the record counted in
    part; ``bill_days`` are those of all parts of the bill. ``start_s`` and ``end_s`` in UTC seconds. ``opens`` on the first part
    of its bill, ``closes`` on the last.
    """

    spec: TariffSpec
    month: str
    first: date
    period_days: int
    days: Decimal
    bill_days: Decimal
    start_s: int
    end_s: int
    opens: bool = True
    closes: bool = True

    @property
    def month_share(self) -> Decimal:
        """Return the part of the billing period's days billed here, to nine decimals."""
        return (self.days / self.period_days).quantize(_SHARE)

    @property
    def billed_share(self) -> Decimal:
        """Return the part of the billing period's days that the whole bill has, to nine decimals."""
        return (self.bill_days / self.period_days).quantize(_SHARE)

    @property
    def bill_share(self) -> Decimal:
        """Return the part of the bill's days that this version has, to nine decimals; those of a bill add up to one."""
        if not self.bill_days:
            return Decimal(int(self.opens))
        return (self.days / self.bill_days).quantize(_SHARE)

    @property
    def year_share(self) -> Decimal:
        """Return the part of the calendar year's days billed here, to nine decimals."""
        year_days = (date(self.first.year + 1, 1, 1) - date(self.first.year, 1, 1)).days
        return (self.days / year_days).quantize(_SHARE)


def period_start(day: date, start_day: int) -> date:
    """Return the first day of the billing period a day belongs to, periods beginning on ``start_day`` of each month."""
    month = day.replace(day=1) if day.day >= start_day else (day.replace(day=1) - timedelta(days=1)).replace(day=1)
    return month.replace(day=start_day)


def period_end(first: date) -> date:
    """Return the first day of the billing period after the one that begins on ``first``."""
    return (first.replace(day=1) + timedelta(days=32)).replace(day=first.day)


def month_name(first: date) -> str:
    """Return the name of the bill that begins on ``first``."""
    return f"{first:%Y-%m}" if first.day == 1 else first.isoformat()


def parts_between(tariff: Tariff, start_s: int, end_s: int, clock: SiteClock) -> tuple[Part, ...]:
    """Return the parts of [start_s, end_s), in UTC seconds, in order; raises TariffError for a day without prices."""
    found: list[Part] = []
    day, last = clock.day_of(start_s), clock.day_of(end_s - 1)
    while day <= last:
        spec = tariff.version_on(day)
        first = period_start(day, spec.billing.start_day)
        after = min(period_end(first), (spec.last or last) + timedelta(days=1), last + timedelta(days=1))
        found.append(_part(spec, first, day, after, start_s, end_s, clock))
        day = after
    return tuple(part for own in by_bill(found) for part in _within_bill(own))


def by_bill(parts: Sequence[Part]) -> tuple[tuple[Part, ...], ...]:
    """Return the parts of each bill together, in order: more than one where another version begins within it."""
    return tuple(tuple(own) for _, own in groupby(parts, key=lambda part: part.month))


def _within_bill(own: Sequence[Part]) -> Iterator[Part]:
    days = sum((part.days for part in own), Decimal(0))
    for index, part in enumerate(own):
        yield replace(part, bill_days=days, opens=index == 0, closes=index == len(own) - 1)


def _part(spec: TariffSpec, first: date, day: date, after: date, start_s: int, end_s: int, clock: SiteClock) -> Part:
    edges = [int(edge) for edge in clock.midnights_s(day, (after - day).days)]
    low, high = max(edges[0], start_s), min(edges[-1], end_s)
    days = sum((Fraction(max(0, min(b, high) - max(a, low)), b - a) for a, b in pairwise(edges) if b > a), Fraction(0))
    counted = (Decimal(days.numerator) / days.denominator).quantize(_DAYS)
    return Part(spec, month_name(first), first, (period_end(first) - first).days, counted, counted, low, high)
