"""The first page: what the client wants to know, in plain words."""

from dataclasses import replace

import numpy as np

from wattwright.core.basis import Basis
from wattwright.core.findings import Finding, Severity
from wattwright.core.money import Money
from wattwright.core.quantity import Quantity
from wattwright.core.series import Floats
from wattwright.core.show import THIN
from wattwright.demand.quality.supply import Ratings
from wattwright.demand.summary import Maximum
from wattwright.handover import kinds
from wattwright.handover.bills import paid_sentence
from wattwright.handover.context import Context
from wattwright.handover.paper import Block, KeyFigure, KeyFigures, Raised, Section, Text
from wattwright.handover.wide import clock_text, margin_notes
from wattwright.job.spec import SupplySpec
from wattwright.record.faults.doubt import doubts, peak_doubts
from wattwright.record.record import Channel
from wattwright.supply.sizing.table import quote_stops, withheld, worth_line


def opening(context: Context) -> Section:
    """Return the section that answers first: energy, money, peak against the supply, what runs day and night."""
    figures = [*_energy(context), *_cost(context), _peak(context), *_base(context)]
    blocks: list[Block] = [KeyFigures(tuple(figures))]
    blocks[:0] = [*_to_quote(context), *(Text(sentence) for sentence in _for_whom(context))]
    doubted = bool(doubts(context.record.findings))
    blocks[:0] = [Text(context.words("answer.doubt"))] if doubted else []
    # What would be told with confidence of figures in doubt is not told.
    blocks += [] if doubted else [Text(sentence) for sentence in _sentences(context)]
    blocks += margin_notes(notes_beside(context), context.show, Severity.LOOK)[:4]
    return Section(context.words("answer.title"), _lead(context), tuple(blocks))


def notes_beside(context: Context) -> list[Finding]:
    """Return the findings that stand beside the key figures: what puts them in doubt, then what they themselves say."""
    paid = () if context.bills is None else context.bills.findings
    beside = [one for one in paid if one not in context.record.findings]
    return [*peak_doubts(context.record.findings), *beside, *_overrun(context), *_urgent(context)]


def with_doubt(context: Context, section: Section) -> Section:
    """Return a section of figures with the doubt about them in its first words, where there is one."""
    if not doubts(context.record.findings):
        return section
    return replace(section, lead=f"{context.words('doubt.section')} {section.lead}")


def _doubt(context: Context, *, peak: bool = False) -> str:
    """Return what stands under a key figure in doubt, nothing where it is in none."""
    found = (peak_doubts if peak else doubts)(context.record.findings)
    return context.words("doubt.figure") if found else ""


def _lead(context: Context) -> str:
    summary = context.demand.summary
    first, last = context.day(summary.start_s), context.day(summary.end_s - 1)
    span = context.words("answer.on" if context.one_day else "answer.from", first=first, last=last)
    cost = {}
    if context.costs is not None:
        bill = context.costs.tariffs[0].bill
        cost = {"cost": context.show.money(bill.money), "tariff": bill.tariff}
    if doubts(context.record.findings):
        told = [context.words("answer.lead.doubt", span=span, energy=summary.energy_kwh)]
        return " ".join([*told, *([context.words("answer.cost.doubt", **cost)] if cost else [])])
    if context.exchange.exports:
        return " ".join([_taken_and_given(context, span), *([context.words("answer.cost.words", **cost)] if cost else [])])
    if cost:
        return context.words("answer.lead.cost", span=span, energy=summary.energy_kwh, **cost)
    if context.one_day:
        return context.words("answer.lead.day", span=span, energy=summary.energy_kwh)
    return context.words("answer.lead", span=span, energy=summary.energy_kwh, per_day=summary.mean_w * 24 / 1000)


def _taken_and_given(context: Context, span: str) -> str:
    """Return the lead of a site that gives power back: taken, given, and which of the two is more by how much."""
    both = context.exchange
    told = {"span": span, "imported": both.imported_kwh, "exported": both.exported_kwh, "net": abs(both.net_kwh)}
    return context.words("answer.lead.out" if both.net_kwh < 0 else "answer.lead.in", **told)


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


def _to_quote(context: Context) -> list[Block]:
    """Return what is to be quoted, what it costs and what the plan is worth in hardware, where a quote was asked for.

    Where the quote, or the readings it rests on, are not to be relied on that is said in its place, and no size and no price.
    """
    made = context.quote
    if made is None:
        return []
    if stops := quote_stops(made):
        return [Text(context.words("answer.quote.stop", stops=" ".join(one.says(context.show) for one in stops)))]
    if withheld(made, context.record.findings):
        return [Text(context.words("answer.quote.doubt"))]
    return [Text((context.words("answer.quote", line=worth_line(made, context.show)), Raised(Basis.SIMULATED)))]


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
    """Return the channel of current with the highest reading and its interval, None where no conductor's current was read."""
    known = (*context.record.of(Quantity.CURRENT), *context.record.highest(Quantity.CURRENT))
    supply = context.spec.supply
    of_each = Ratings() if supply is None else Ratings(None, supply.main_protection_a, supply.live_conductors)
    # Where several conductors are rated, a sum over them is not one of their currents.
    read = [one for one in known if one.series.present.any() and (supply is None or of_each.is_of_one(one))]
    if not read:
        return None
    channel = max(read, key=lambda one: float(np.nanmax(one.series.values)))
    return channel, int(np.nanargmax(channel.series.values))


def _urgent(context: Context) -> list[Finding]:
    return [one for one in context.demand.findings if one.severity is not Severity.NOTE]


def _energy(context: Context) -> list[KeyFigure]:
    note = context.words("answer.energy.note", share=context.demand.summary.completeness)
    summary = context.demand.summary
    if summary.estimated:
        low, high = summary.estimated_low_kwh, summary.estimated_high_kwh
        key = "answer.energy.filled" if low == low else "answer.energy.filled.open"
        note += context.words(key, energy=summary.estimated_kwh, low=low, high=high)
    both = context.exchange
    if not both.exports:
        return [_kwh(context, "answer.energy", context.demand.summary.energy_kwh, note)]
    net = context.words("answer.net.note", net=both.net_kwh)
    return [
        _kwh(context, "answer.imported", both.imported_kwh, note),
        _kwh(context, "answer.exported", both.exported_kwh, net),
    ]


def _kwh(context: Context, label: str, energy_kwh: float, note: str) -> KeyFigure:
    value = context.show.fixed(energy_kwh, 0 if energy_kwh >= 1000 else 2)
    return KeyFigure(context.words(label), value, "kWh", context.demand.grounds.basis, note, _doubt(context))


def _cost(context: Context) -> list[KeyFigure]:
    if context.costs is None:
        return []
    bill = context.costs.tariffs[0].bill
    value = context.show.fixed(bill.total, 0)
    return [KeyFigure(context.words("answer.cost"), value, bill.currency, context.cost_basis, bill.tariff, _doubt(context))]


def highest(context: Context) -> Maximum:
    """Return the maximum that matters most to a supply: over 15 minutes where the record allows it, else over its own step."""
    windows = [one for one in context.demand.summary.by_window if one.start_s >= 0]
    return windows[0] if windows else context.demand.summary.maximum


def _peak(context: Context) -> KeyFigure:
    one = highest(context)
    label = context.words("answer.peak", window=one.window_s)
    note = context.words("answer.peak.note", when=context.when(one.start_s))
    basis, doubt = context.demand.basis_over(one.window_s), _doubt(context, peak=True)
    return KeyFigure(label, context.show.fixed(one.power_w / 1000, 2), "kW", basis, note, doubt)


def _base(context: Context) -> list[KeyFigure]:
    """Return the base load; none where the site gives power back, for then the meter does not see what it draws."""
    if context.exchange.exports:
        return []
    value, _, unit = context.show.power(context.demand.summary.base_load_w).partition(THIN)
    note = context.words("answer.base.note" if context.hourly else "answer.base.note.steps")
    return [KeyFigure(context.words("answer.base"), value, unit, context.demand.from_readings, note, _doubt(context))]


def _sentences(context: Context) -> list[str]:
    return [*paid_sentence(context), *_drawn(context), *_supply(context), *_busy(context), *_tariffs(context)]


def _drawn(context: Context) -> list[str]:
    """Return the least and the most that was drawn, and the most that was given back; each only where there was any."""
    summary, told = context.demand.summary, []
    base_w, most = summary.base_load_w, summary.maximum
    if base_w > 0 and not context.exchange.exports:
        key = "answer.base.words" if context.hourly else "answer.base.words.steps"
        told.append(context.words(key, base=base_w, share=min(1.0, base_w / summary.mean_w)))
    if not most.power_w > 0:
        told.append(context.words("answer.nothing"))
    elif not peak_doubts(context.record.findings):
        when = context.when(most.start_s)
        told.append(context.words("answer.peak.words", window=most.window_s, peak=most.power_w, when=when))
    if context.exchange.exports:
        series = context.power.series.read_only()
        at = int(np.nanargmin(series.values))
        when, given = context.when(int(series.times_s[at])), -float(series.values[at])
        told.append(context.words("answer.given.words", window=series.step_s, given=given, when=when))
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
        sentence = context.words(
            "answer.supply.current", window=window, current=highest_a, when=context.when(when), share=share, rating=rating
        )
    else:
        share = context.demand.summary.maximum.power_w / limit_w
        sentence = context.words(
            "answer.supply.words", rating=rating, limit=limit_w, voltage=supply.voltage_v, pf=supply.power_factor, share=share
        )
    told = [f"{sentence} {context.words('answer.supply.over')}" if share > 1 else sentence]
    if supply.agreed_most_w is not None:
        told.append(_agreed(context, supply, supply.agreed_most_w))
    return told


def _agreed(context: Context, supply: SupplySpec, agreed_w: float) -> str:
    """Return what share of the agreed power, or apparent power at the power factor, the highest demand took."""
    most = highest(context)
    share = most.power_w / agreed_w
    if supply.agreed_w is not None or supply.agreed_va is None:
        return context.words("answer.supply.agreed", window=most.window_s, share=share, agreed=agreed_w)
    agreed, pf = supply.agreed_va / 1000, supply.power_factor
    return context.words("answer.supply.agreed.va", window=most.window_s, share=share, agreed=agreed, limit=agreed_w, pf=pf)


def _busy(context: Context) -> list[str]:
    """Return the busiest and the quietest hour of the mean day, or stretch of the readings' own length where it is longer.

    Nothing is said where the readings do not tell one from another, or all are alike.
    """
    typical = context.demand.profiles.of(-1, -1)
    if typical is None or not context.within_day:
        return []
    width_s = max(3600, context.demand.profiles.bin_s)
    mean = _by_stretch(typical.mean_w, width_s // context.demand.profiles.bin_s)
    if np.isnan(mean).all() or np.nanmax(mean) == np.nanmin(mean):
        return []
    first, last = int(np.nanargmax(mean)), int(np.nanargmin(mean))
    day = context.words("answer.when.day" if context.one_day else "answer.when.mean")
    span = context.words("answer.when.hour") if width_s == 3600 else context.show.duration(width_s)
    key = "answer.when.given" if mean[last] < 0 else "answer.when.words"
    hours = {"first": clock_text(first * width_s), "last": clock_text(last * width_s)}
    return [context.words(key, day=day, span=span, **hours)]


def _by_stretch(mean_w: Floats, bins: int) -> Floats:
    """Return the means over so many bins each, shape (len // bins,)."""
    stretches: Floats = mean_w[: len(mean_w) // bins * bins].reshape(-1, bins).mean(axis=1)
    return stretches


def _tariffs(context: Context) -> list[str]:
    costs = context.costs
    if costs is None or len(costs.tariffs) < 2:
        return []
    if costs.cheapest == 0:
        return [context.words("answer.tariff.stay")]
    cheapest = costs.tariffs[costs.cheapest]
    saving = context.show.money(Money(-cheapest.difference, costs.currency))
    return [context.words("answer.tariff.words", cheapest=cheapest.name, saving=saving)]
