"""The first page: what the client wants to know, in plain words."""

import numpy as np

from wattwright.core.basis import Basis
from wattwright.core.findings import Finding, Severity
from wattwright.core.money import Money
from wattwright.core.quantity import Quantity
from wattwright.core.show import THIN
from wattwright.demand.summary import Maximum
from wattwright.handover import kinds
from wattwright.handover.context import Context
from wattwright.handover.paper import Block, KeyFigure, KeyFigures, Section, Text
from wattwright.handover.wide import clock_text, margin_notes
from wattwright.record.record import Channel


def opening(context: Context) -> Section:
    """Return the section that answers first: energy, money, peak against the supply, what runs day and night."""
    figures = [_energy(context), *_cost(context), _peak(context), _base(context)]
    blocks: list[Block] = [KeyFigures(tuple(figures))]
    blocks[:0] = [Text(sentence) for sentence in _for_whom(context)]
    blocks += [Text(sentence) for sentence in _sentences(context)]
    blocks += margin_notes([*_overrun(context), *_urgent(context)], context.show, Severity.LOOK)[:4]
    return Section(context.words("answer.title"), _lead(context), tuple(blocks))


def _lead(context: Context) -> str:
    summary = context.demand.summary
    first, last = context.clock.day_of(summary.start_s), context.clock.day_of(summary.end_s - 1)
    span = {"first": first, "last": last, "energy": summary.energy_kwh}
    if context.costs is None:
        return context.words("answer.lead", **span, per_day=summary.mean_w * 24 / 1000)
    bill = context.costs.tariffs[0].bill
    return context.words("answer.lead.cost", **span, cost=context.show.money(bill.money), tariff=bill.tariff)


def _for_whom(context: Context) -> list[str]:
    """Return who the papers are for and from, where the job says so, and that an invented job is invented."""
    spec, told = context.spec, []
    if spec.client:
        told.append(context.words("for", client=spec.client))
    if spec.papers.prepared_by:
        told.append(context.words("by", maker=spec.papers.prepared_by))
    if spec.invented:
        told.append(context.words("invented"))
    return [" ".join(told)] if told else []


def _overrun(context: Context) -> list[Finding]:
    """Return a stop where a current above the main protection's rating was read."""
    read = _highest_current(context)
    if read is None or context.spec.supply is None or context.spec.supply.main_protection_a is None:
        return []
    channel, at = read
    rating = context.spec.supply.main_protection_a
    above = channel.series.values > rating
    if not above.any():
        return []
    seconds = int(above.sum()) * channel.series.step_s
    current, when = float(channel.series.values[at]), int(channel.series.times_s[at])
    return [kinds.ABOVE_RATING.at(channel.column, current=current, when=when, rating=rating, lasted=seconds)]


def _highest_current(context: Context) -> tuple[Channel, int] | None:
    """Return the channel of current with the highest reading and its interval, or None where no current was read."""
    read = [one for one in context.record.of(Quantity.CURRENT) if one.series.present.any()]
    if not read:
        return None
    channel = max(read, key=lambda one: float(np.nanmax(one.series.values)))
    return channel, int(np.nanargmax(channel.series.values))


def _urgent(context: Context) -> list[Finding]:
    return [one for one in context.demand.findings if one.severity is not Severity.NOTE]


def _energy(context: Context) -> KeyFigure:
    summary, show = context.demand.summary, context.show
    note = context.words("answer.energy.note", share=summary.completeness)
    value = show.fixed(summary.energy_kwh, 0 if summary.energy_kwh >= 1000 else 2)
    return KeyFigure(context.words("answer.energy"), value, "kWh", context.demand.grounds.basis, note)


def _cost(context: Context) -> list[KeyFigure]:
    if context.costs is None:
        return []
    bill = context.costs.tariffs[0].bill
    value = context.show.fixed(bill.total, 0)
    return [KeyFigure(context.words("answer.cost"), value, bill.currency, context.cost_basis, bill.tariff)]


def highest(context: Context) -> Maximum:
    """Return the maximum that matters most to a supply: over 15 minutes where the record allows it, else over its own step."""
    windows = [one for one in context.demand.summary.by_window if one.start_s >= 0]
    return windows[0] if windows else context.demand.summary.maximum


def _peak(context: Context) -> KeyFigure:
    one = highest(context)
    label = context.words("answer.peak", window=one.window_s)
    note = context.words("answer.peak.note", when=one.start_s)
    return KeyFigure(label, context.show.fixed(one.power_w / 1000, 2), "kW", Basis.CALCULATED, note)


def _base(context: Context) -> KeyFigure:
    base_w = context.demand.summary.base_load_w
    text = context.show.power(base_w)
    value, _, unit = text.partition(THIN)
    return KeyFigure(context.words("answer.base"), value, unit, Basis.CALCULATED, context.words("answer.base.note"))


def _sentences(context: Context) -> list[str]:
    summary = context.demand.summary
    told = [
        context.words("answer.base.words", base=summary.base_load_w, share=min(1.0, summary.base_load_w / summary.mean_w)),
        context.words(
            "answer.peak.words", window=summary.maximum.window_s, peak=summary.maximum.power_w, when=summary.maximum.start_s
        ),
    ]
    told += _supply(context)
    told.append(_busy(context))
    told += _tariffs(context)
    return told


def _supply(context: Context) -> list[str]:
    """Return how near the readings come to the main protection: in amps where they were read, else in kW."""
    supply, limit_w = context.spec.supply, context.limit_w
    if supply is None or limit_w is None or supply.main_protection_a is None:
        return []
    rating = supply.main_protection_a
    read = _highest_current(context)
    if read is not None:
        channel, at = read
        highest_a = float(channel.series.values[at])
        when, window, share = int(channel.series.times_s[at]), channel.series.step_s, highest_a / rating
        sentence = context.words("answer.supply.current", window=window, current=highest_a, when=when, share=share, rating=rating)
    else:
        share = context.demand.summary.maximum.power_w / limit_w
        sentence = context.words("answer.supply.words", rating=rating, limit=limit_w, voltage=supply.voltage_v, share=share)
    told = [f"{sentence} {context.words('answer.supply.over')}" if share > 1 else sentence]
    agreed_w = supply.agreed_w or supply.agreed_va
    if agreed_w is not None:
        part = highest(context).power_w / agreed_w
        told.append(context.words("answer.supply.agreed", window=highest(context).window_s, share=part, agreed=agreed_w))
    return told


def _busy(context: Context) -> str:
    typical = context.demand.profiles.of(-1, -1)
    assert typical is not None  # a record with readings has a typical day
    bin_s = context.demand.profiles.bin_s
    hours = _hourly(typical.mean_w, bin_s)
    first, last = int(np.nanargmax(hours)), int(np.nanargmin(hours))
    return context.words("answer.when.words", first=clock_text(first * 3600), last=clock_text(last * 3600))


def _hourly(mean_w: "np.ndarray[tuple[int], np.dtype[np.float64]]", bin_s: int) -> "np.ndarray[tuple[int], np.dtype[np.float64]]":
    per_hour = max(1, 3600 // bin_s)
    whole = mean_w[: len(mean_w) // per_hour * per_hour]
    hours: np.ndarray[tuple[int], np.dtype[np.float64]] = whole.reshape(-1, per_hour).mean(axis=1)
    return hours


def _tariffs(context: Context) -> list[str]:
    costs = context.costs
    if costs is None or len(costs.tariffs) < 2:
        return []
    if costs.cheapest == 0:
        return [context.words("answer.tariff.stay")]
    cheapest = costs.tariffs[costs.cheapest]
    saving = context.show.money(Money(-cheapest.difference, costs.currency))
    return [context.words("answer.tariff.words", cheapest=cheapest.name, saving=saving)]
