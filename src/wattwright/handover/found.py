"""Loads found in the readings: level, energy, when they are on, how sure that is, and which load of the survey each may be."""

from collections.abc import Sequence

from wattwright.charts.table import Cell, Table
from wattwright.core.basis import Basis
from wattwright.core.findings import Severity
from wattwright.demand.switched.analyse import Switched, SwitchedLoad
from wattwright.demand.switched.json_form import of_day
from wattwright.handover.context import Context
from wattwright.handover.paper import Block, Section, TableBlock, Text
from wattwright.handover.wide import figure, margin_notes, number_column, table, text_column
from wattwright.job.found import fitting
from wattwright.job.refused import Refused


def found_loads(context: Context, given: Switched, refused: Sequence[Refused]) -> Section:
    """Return the section; ``refused`` are those that the job says are none."""
    count = len(given.loads)
    share = sum(one.energy_share for one in given.loads)
    lead = context.words("found.lead" if count else "found.none", count=count, share=share)
    blocks: list[Block] = [TableBlock(_loads(context, given), wide=True)] if count else []
    blocks += [Text(context.words("found.refused", power=one.load.level_w, reason=one.by.reason)) for one in refused]
    return Section(context.words("found.title"), lead, (*blocks, *margin_notes(given.findings, context.show, Severity.NOTE)))


def when_on(context: Context, one: SwitchedLoad) -> str:
    """Return at which hours a found load is mostly on."""
    show = context.show
    told = (f"{of_day(w.begins_s)}–{of_day(w.ends_s)} ({show.percent(w.share, 2)})" for w in one.times.windows)
    return ", ".join(told) or context.words("found.any-hour")


def may_be(context: Context, one: SwitchedLoad) -> str:
    """Return which loads of the survey a found load may be by its level."""
    return ", ".join(load.name for load in fitting(one, context.spec.loads)) or context.words("found.not-listed")


def _loads(context: Context, given: Switched) -> Table:
    show = context.show
    rows: list[tuple[Cell, ...]] = [
        (
            figure(show, one.level_w / 1000, 2),
            figure(show, one.energy_kwh, 0),
            figure(show, 100 * one.energy_share, 1),
            figure(show, 100 * one.duty, 1),
            figure(show, one.times.starts, 0) if given.is_exact else "",
            figure(show, 100 * one.confidence, 0),
            f"{one.times.pattern.value}: {when_on(context, one)}",
            may_be(context, one),
        )
        for one in given.loads
    ]
    columns = (
        number_column("Level", "kW", Basis.CALCULATED),
        number_column("Energy", "kWh", Basis.CALCULATED),
        number_column("Of all", "%", Basis.CALCULATED),
        number_column("On", "% of time", Basis.CALCULATED),
        number_column("Runs", "", Basis.CALCULATED),
        number_column("Confidence", "%", Basis.CALCULATED),
        text_column("When"),
        text_column("By its level it may be"),
    )
    return table(columns, rows, context.words("found.table"), context.source)
