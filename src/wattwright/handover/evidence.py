"""The survey, the evidence with its gaps, and what was assumed."""

from wattwright.charts.picture import Picture
from wattwright.charts.strip import completeness_strip
from wattwright.charts.table import Cell, Table
from wattwright.core.basis import Basis
from wattwright.core.findings import Severity
from wattwright.core.show import THIN
from wattwright.handover.bills import paid_blocks
from wattwright.handover.completeness import daily_shares
from wattwright.handover.context import Context
from wattwright.handover.files import channels_table, files_table, meter_names, shares
from wattwright.handover.paper import Block, Caution, PictureBlock, Section, Steps, TableBlock, Text
from wattwright.handover.switching import sheds, when
from wattwright.handover.wide import figure, margin_notes, number_column, table, text_column
from wattwright.job.loads import LoadSpec

_MARKS = {"measured": Basis.MEASURED, "assumed": Basis.ASSUMED, "published": Basis.PUBLISHED}
_GAPS_SHOWN = 20


def survey(context: Context) -> Section | None:
    """Return the section on the loads found on site, or None where none is listed."""
    loads, show = context.spec.loads, context.show
    if not loads:
        return None
    total = sum(one.quantity * one.rating_w for one in loads)
    controllable = sum(one.controllable for one in loads)
    lead = context.words("survey.lead", count=len(loads), total=total, controllable=controllable)
    rows = [
        (
            one.name,
            figure(show, one.quantity, 0),
            figure(show, one.rating_w / 1000, 2, _MARKS[one.basis]),
            _current(context, one),
            one.phase.value,
            one.interrupt if one.controllable else context.words("survey.never"),
            "; ".join(_notes(context, one)),
        )
        for one in loads
    ]
    columns = (
        text_column("Load"),
        number_column("Number", ""),
        number_column("Rating each", "kW"),
        number_column("Current each", "A", Basis.CALCULATED),
        text_column("On"),
        text_column("Switched by"),
        text_column("Duty, and what was seen"),
    )
    blocks: list[Block] = [TableBlock(table(columns, rows, context.words("survey.table")), wide=True)]
    if context.spec.supply is not None:
        blocks.append(Text(context.words("survey.amps")))
    if total > 0:
        share = context.demand.summary.maximum.power_w / total
        # A site that draws more than all that is listed has loads that are not.
        blocks.append(Text(context.words("survey.words" if share <= 1.0 else "survey.incomplete", share=share)))
    if context.spec.control.rules or context.spec.control.shedding:
        blocks.append(TableBlock(_rules(context)))
    return Section(context.words("survey.title"), lead, tuple(blocks))


def _current(context: Context, load: LoadSpec) -> Cell:
    """Return the current of one piece at nominal voltage and its power factor, or nothing where the voltage is not known."""
    supply = context.spec.supply
    if supply is None:
        return ""
    return figure(context.show, load.rating_w / (supply.voltage_v * load.power_factor), 1)


def _notes(context: Context, load: LoadSpec) -> list[str]:
    """Return what else is known of a load: its note, its content, and the meter that measures it alone."""
    told = [load.note] if load.note else []
    if load.volume_l is not None:
        told.append(f"{context.show.plain(load.volume_l)}{THIN}l")
    names = meter_names(context)
    if load.meter:
        told.append(context.words("survey.metered", meter=names.get(load.meter, load.meter)))
    return told


def _meters(context: Context) -> Table:
    names = meter_names(context)
    rows = [(names[one.id], one.measures, names.get(one.behind, "")) for one in context.spec.meters]
    return table((text_column("Meter"), text_column("Measures"), text_column("Behind")), rows, context.words("data.meters"))


def _rules(context: Context) -> Table:
    names, control = {load.id: load.name for load in context.spec.loads}, context.spec.control
    rows: list[tuple[Cell, ...]] = [
        (names.get(rule.load, rule.load), rule.kind, when(rule, context.show), ", ".join(map(str, rule.months)) or "all")
        for rule in control.rules
    ]
    if control.shedding is not None:
        rows.append(
            (context.words("rules.supply"), context.words("rules.shed"), sheds(control.shedding, names, context.show), "all")
        )
    columns = (text_column("Load"), text_column("Switched by"), text_column("When"), text_column("Months"))
    return table(columns, rows, context.words("rules.table"))


def evidence(context: Context) -> Section:
    """Return the section on the record itself: what was read, how it was understood, what is missing."""
    summary, record, show = context.demand.summary, context.record, context.show
    lead = context.words(
        "data.lead",
        share=summary.completeness,
        present=summary.intervals - summary.missing - summary.estimated,
        all=summary.intervals,
        step=summary.step_s,
    )
    notes = [one for one in record.findings if not one.code.startswith("record.meaning")]
    beside = margin_notes(notes, show, Severity.NOTE)
    pairs = (text_column("Point"), text_column("Decision"))
    # The notes stand beside the first tables, most of them beside the longest: after the last one they would hang alone.
    blocks: list[Block] = [
        PictureBlock(_strip(context)),
        TableBlock(_meters(context)),
        *beside[:1],
        TableBlock(table(pairs, list(record.describe().items()), context.words("data.layout"))),
        *beside[1:],
        *paid_blocks(context),
        TableBlock(files_table(context), wide=True),
        TableBlock(channels_table(context)),
        *(Text(sentence) for sentence in shares(context)),
    ]
    if record.gaps:
        blocks.append(TableBlock(_gaps(context), wide=True))
        if len(record.gaps) > _GAPS_SHOWN:
            blocks.append(Text(context.words("data.more", more=len(record.gaps) - _GAPS_SHOWN)))
    return Section(context.words("data.title"), lead, tuple(blocks))


def _gaps(context: Context) -> Table:
    """Return the gaps, and where they were filled by which rule, what was added and between which values."""
    show, filled = context.show, {one.start_s: one for one in context.power.filled}
    rows: list[tuple[Cell, ...]] = []
    for gap in context.record.gaps[:_GAPS_SHOWN]:
        head = (show.time(gap.start_s), show.duration(gap.end_s - gap.start_s))
        made = filled.get(gap.start_s)
        if made is None:
            rows.append((*head, context.words("data.left"), "", "", ""))
            continue
        energies = [figure(show, kwh, 3) for kwh in (made.energy_kwh, made.low_kwh, made.high_kwh)]
        rows.append((*head, made.method.value, *energies))
    columns = (
        text_column("Began"),
        text_column("Length"),
        text_column("Filled by"),
        number_column("Energy", "kWh", Basis.ESTIMATED),
        number_column("At least", "kWh", Basis.ESTIMATED),
        number_column("At most", "kWh", Basis.ESTIMATED),
    )
    return table(columns, rows, context.words("data.gaps"))


def _strip(context: Context) -> Picture:
    days = context.demand.days
    estimated, missing = daily_shares(context.power.series, days)
    alt = context.words("data.alt", days=len(days), missing=int((missing > 0).sum()))
    caption = context.caption("completeness", context.words("data.picture"), alt)
    return completeness_strip(caption, days.first, estimated, missing, context.chart_words)


def assumptions(context: Context) -> Section:
    """Return the section on what was assumed, the cautions, and the fingerprints that tie the report to its inputs."""
    base = [] if context.exchange.exports else [context.words("assumed.base" if context.hourly else "assumed.base.steps")]
    dates = context.words("assumed.dates", zone=context.spec.site.zone)
    items = [*base, context.words("assumed.seasons"), dates]
    if context.spec.supply is not None and context.limit_w is not None:
        items.append(context.words("assumed.pf", pf=context.spec.supply.power_factor))
    items += [
        context.words("assumed.load", name=one.name, rating=one.rating_w) for one in context.spec.loads if one.basis == "assumed"
    ]
    blocks: list[Block] = [Steps(tuple(items))]
    heading = context.words("caution.heading")
    blocks.append(Caution(context.words("caution.limit"), heading))
    blocks.append(Caution(context.words("caution.mains"), heading))
    if any(one.kind == "water heater" for one in context.spec.loads):
        blocks.append(Caution(context.words("caution.water"), heading))
    ties = [context.words("fingerprint", print=context.fingerprint[:16])]
    ties += [context.words("fingerprint.file", name=one.source.name, sha=one.source.sha256) for _, one in context.files]
    blocks.append(Text(" ".join(ties)))
    return Section(context.words("assumed.title"), context.words("assumed.lead"), tuple(blocks))
