"""Whether the survey adds up: what it explains of the record, by kind of day, month and load, and where to look next."""

from wattwright.charts.table import Cell, Table
from wattwright.core.basis import Basis
from wattwright.demand.survey.reconcile import Reconciled
from wattwright.handover.context import Context
from wattwright.handover.paper import Block, Section, TableBlock, Text
from wattwright.handover.wide import figure, margin_notes, number_column, table, text_column

_LITTLE_KWH = 0.05
"""Less is not told: figures here have one decimal."""


def adds_up(context: Context, given: Reconciled, household_w: float) -> Section:
    """Return the section; ``household_w`` is what a table allows a household with these loads at once, W."""
    whole, read_kwh = given.whole, context.demand.summary.energy_kwh
    told = {"share": whole.explained_share, "unexplained": whole.unexplained_kwh, "over": whole.over_kwh}
    lead = context.words("adds.lead" if whole.over_kwh >= _LITTLE_KWH else "adds.lead.under", **told)
    power = {"installed": given.installed_w, "coincident": given.coincident_w, "measured": given.measured_w}
    is_whole = given.coincidence == given.coincidence
    blocks: list[Block] = [TableBlock(_parts(context, given))]
    if read_kwh - whole.measured_kwh >= _LITTLE_KWH:
        blocks.append(Text(context.words("adds.hours", measured=whole.measured_kwh, all=read_kwh)))
    blocks += [
        TableBlock(_loads(context, given)),
        Text(context.words("adds.at-once", **power)),
        Text(context.words("adds.coincidence", factor=given.coincidence) if is_whole else context.words("adds.incomplete")),
        Text(context.words("adds.allowed", allowed=household_w)),
    ]
    return Section(context.words("adds.title"), lead, (*blocks, *margin_notes(given.findings, context.show)))


def _parts(context: Context, given: Reconciled) -> Table:
    rows: list[tuple[Cell, ...]] = [
        (
            one.name,
            *(figure(context.show, kwh, 1) for kwh in (one.measured_kwh, one.explained_kwh, one.unexplained_kwh, one.over_kwh)),
        )
        for one in (given.whole, *given.by_day_type, *given.by_month)
    ]
    heads = ("Measured", "Explained", "Unexplained", "Too much")
    columns = (text_column("Part"), *(number_column(head, "kWh", Basis.CALCULATED) for head in heads))
    return table(columns, rows, context.words("adds.parts"), context.source)


def _loads(context: Context, given: Reconciled) -> Table:
    show = context.show
    rows: list[tuple[Cell, ...]] = [
        (
            one.name,
            figure(show, one.surveyed_kwh, 1),
            *(("", "", "") if one.factor != one.factor else (figure(show, v, 2) for v in (one.factor, one.low, one.high))),
        )
        for one in given.loads
    ]
    columns = (
        text_column("Load"),
        number_column("By the survey", "kWh", Basis.ASSUMED),
        number_column("Record over survey", "", Basis.CALCULATED),
        number_column("At least", "90 %", Basis.CALCULATED),
        number_column("At most", "90 %", Basis.CALCULATED),
    )
    return table(columns, rows, context.words("adds.loads"), context.source)
