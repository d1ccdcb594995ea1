"""The survey, the evidence with its gaps, and what was assumed."""

import numpy as np

from wattwright.charts.picture import Picture
from wattwright.charts.strip import completeness_strip
from wattwright.charts.table import Table
from wattwright.core.basis import Basis
from wattwright.core.findings import Severity
from wattwright.core.series import over_windows
from wattwright.handover.context import Context
from wattwright.handover.paper import Block, Caution, PictureBlock, Section, Steps, TableBlock, Text
from wattwright.handover.wide import figure, margin_notes, number_column, table, text_column

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
            one.interrupt if one.controllable else context.words("survey.never"),
            one.note,
        )
        for one in loads
    ]
    columns = (
        text_column("Load"),
        number_column("Number", ""),
        number_column("Rating each", "kW"),
        text_column("Switched by"),
        text_column("Duty, and what was seen"),
    )
    blocks: list[Block] = [TableBlock(table(columns, rows, context.words("survey.table")), wide=True)]
    if total > 0:
        blocks.append(Text(context.words("survey.words", share=context.demand.summary.maximum.power_w / total)))
    if context.spec.rules:
        blocks.append(TableBlock(_rules(context)))
    return Section(context.words("survey.title"), lead, tuple(blocks))


def _rules(context: Context) -> Table:
    names = {load.id: load.name for load in context.spec.loads}
    rows = []
    for rule in context.spec.rules:
        times = "; ".join(f"{', '.join(one.days)} {one.on:%H:%M} to {one.off:%H:%M}" for one in rule.times)
        if rule.on_for_s is not None and rule.off_for_s is not None:
            times = f"on for {context.show.duration(rule.on_for_s)}, off for {context.show.duration(rule.off_for_s)}"
        rows.append((names.get(rule.load, rule.load), rule.kind, times, ", ".join(map(str, rule.months)) or "all"))
    columns = (text_column("Load"), text_column("Switched by"), text_column("Times"), text_column("Months"))
    return table(columns, rows, context.words("rules.table"))


def evidence(context: Context) -> Section:
    """Return the section on the record itself: what was read, how it was understood, what is missing."""
    summary, record, show = context.demand.summary, context.record, context.show
    lead = context.words(
        "data.lead",
        share=summary.completeness,
        present=summary.intervals - summary.missing,
        all=summary.intervals,
        step=summary.step_s,
    )
    blocks: list[Block] = [PictureBlock(_strip(context))]
    size, count = figure(show, record.source.size_bytes, 0), figure(show, record.rows, 0)
    rows = [(record.source.name, size, count, record.source.sha256[:16])]
    columns = (
        text_column("File"),
        number_column("Size", "bytes"),
        number_column("Rows", ""),
        text_column("SHA-256 begins"),
    )
    blocks.append(TableBlock(table(columns, rows, context.words("data.files"))))
    pairs = (text_column("Point"), text_column("Decision"))
    blocks.append(TableBlock(table(pairs, list(record.describe().items()), context.words("data.layout"))))
    if record.gaps:
        gaps = [(show.time(g.start_s), show.time(g.end_s), show.duration(g.end_s - g.start_s)) for g in record.gaps[:_GAPS_SHOWN]]
        heads = (text_column("From"), text_column("To"), text_column("Length"))
        blocks.append(TableBlock(table(heads, gaps, context.words("data.gaps"))))
    notes = [one for one in record.findings if not one.code.startswith("record.meaning")]
    return Section(context.words("data.title"), lead, (*blocks, *margin_notes(notes, show, Severity.NOTE)))


def _strip(context: Context) -> Picture:
    series, days = context.power.series, context.demand.days
    covered = over_windows(series, days.starts_s).covered_s / days.lengths_s
    inside = np.clip(
        (np.minimum(days.starts_s[1:], series.end_s) - np.maximum(days.starts_s[:-1], series.start_s)) / days.lengths_s, 0, 1
    )
    missing = np.clip(inside - covered, 0, 1)
    marks = np.where(series.estimated, series.step_s, 0.0)
    day = days.index_of(series.times_s)
    estimated = np.clip(np.bincount(np.clip(day, 0, len(days) - 1), marks, len(days)) / days.lengths_s, 0, 1 - missing)
    alt = context.words("data.alt", days=len(days), missing=int((missing > 0).sum()))
    caption = context.caption("completeness", context.words("data.picture"), alt)
    return completeness_strip(caption, days.first, estimated, missing)


def assumptions(context: Context) -> Section:
    """Return the section on what was assumed, the cautions, and the fingerprints that tie the report to its inputs."""
    items = [context.words("assumed.base"), context.words("assumed.seasons")]
    if context.limit_w is not None:
        items.append(context.words("assumed.pf"))
    items += [
        context.words("assumed.load", name=one.name, rating=one.rating_w) for one in context.spec.loads if one.basis == "assumed"
    ]
    blocks: list[Block] = [Steps(tuple(items))]
    heading = context.words("caution.heading")
    blocks.append(Caution(context.words("caution.limit"), heading))
    blocks.append(Caution(context.words("caution.mains"), heading))
    if any(one.kind == "water heater" for one in context.spec.loads):
        blocks.append(Caution(context.words("caution.water"), heading))
    blocks.append(Text(context.words("fingerprint", print=context.fingerprint[:16], sha=context.record.source.sha256)))
    return Section(context.words("assumed.title"), context.words("assumed.lead"), tuple(blocks))
