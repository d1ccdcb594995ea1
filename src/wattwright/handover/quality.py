"""The quality of the supply where voltage or current was read: extremes, weeks against the band, unbalance, limits proposed."""

from wattwright.charts.table import Cell, Table
from wattwright.core.basis import Basis
from wattwright.demand.quality.limits import Limit
from wattwright.demand.quality.supply import SupplyQuality
from wattwright.demand.quality.voltage import Unbalance, Voltage
from wattwright.handover.context import Context
from wattwright.handover.paper import Block, Caution, Section, Steps, TableBlock, Text
from wattwright.handover.wide import figure, margin_notes, number_column, table, text_column


def quality(context: Context, given: SupplyQuality) -> Section | None:
    """Return the section, or None where neither voltage nor current was read."""
    if not given.voltages and not given.currents:
        return None
    blocks: list[Block] = [TableBlock(_extremes(context, given), wide=True)]
    for one in given.voltages:
        if one.nominal_v == one.nominal_v:
            told = {"share": one.share, "step": one.step_s, "nominal": one.nominal_v}
            blocks.append(Text(context.words("quality.inside", column=one.channel.column, **told)))
        if one.weeks:
            blocks += _weeks(context, one)
    blocks += [Text(_uneven(context, one)) for one in given.unbalances]
    blocks += [
        Text(
            context.words("quality.factor", conductor=one.conductor.value, mean=one.mean, low=one.low, high=one.high, how=one.how)
        )
        for one in given.factors
    ]
    if given.limits:
        blocks += [TableBlock(_limits(context, given), wide=True), Steps(tuple(_reason(context, one) for one in given.limits))]
        blocks.append(Caution(context.words("quality.caution")))
    notes = margin_notes(given.findings, context.show)
    return Section(context.words("quality.title"), context.words("quality.lead", step=given.step_s), (*blocks, *notes))


def _extremes(context: Context, given: SupplyQuality) -> Table:
    show = context.show
    held = [(one.channel, one.lowest, one.highest, "V") for one in given.voltages]
    held += [(one.channel, one.lowest, one.highest, "A") for one in given.currents]
    rows: list[tuple[Cell, ...]] = [
        (
            channel.column,
            channel.meaning.phase.value,
            unit,
            figure(show, low.value, 1),
            context.when(low.start_s),
            figure(show, high.value, 1),
            context.when(high.start_s),
        )
        for channel, low, high, unit in held
    ]
    columns = (
        text_column("Column"),
        text_column("Conductor"),
        text_column("Unit"),
        number_column("Lowest", "", Basis.MEASURED),
        text_column("Begins"),
        number_column("Highest", "", Basis.MEASURED),
        text_column("Begins"),
    )
    return table(columns, rows, context.words("quality.extremes"), context.source)


def _weeks(context: Context, one: Voltage) -> list[Block]:
    """Return how many whole weeks passed, and those that did not or could not be judged."""
    show = context.show
    told = [week for week in one.weeks if not (week.judged and week.passes_most and week.passes_all)]
    passed = Text(
        context.words("quality.weeks.passed", column=one.channel.column, count=len(one.weeks) - len(told), of=len(one.weeks))
    )
    rows: list[tuple[Cell, ...]] = []
    for week in told:
        most, whole = (
            context.words("quality.not-made" if not week.judged else "quality.passed" if held else "quality.not-passed")
            for held in (week.passes_most, week.passes_all)
        )
        counts = (figure(show, count, 0) for count in (week.read, week.means, week.outside, week.beyond))
        rows.append((context.dates.day(week.first), *counts, most, whole))
    columns = (
        text_column("Week from"),
        number_column("Read", "means", Basis.MEASURED),
        number_column("Of", "means"),
        number_column("Outside 10 %", "means", Basis.CALCULATED),
        number_column("Under 85 or over 110 %", "means", Basis.CALCULATED),
        text_column("95 % inside"),
        text_column("100 % inside"),
    )
    others = table(columns, rows, context.words("quality.weeks", column=one.channel.column), context.source)
    return [passed, TableBlock(others, wide=True)] if rows else [passed]


def _uneven(context: Context, one: Unbalance) -> str:
    told = {"usual": one.usual, "high": one.high, "time": context.when(one.highest.start_s), "most": one.highest.value}
    return context.words("quality.unbalance.voltage" if one.of == "voltage" else "quality.unbalance.current", **told)


def _limits(context: Context, given: SupplyQuality) -> Table:
    show = context.show
    rows: list[tuple[Cell, ...]] = [
        (
            one.name,
            one.column,
            f"{show.number(one.pick_up, 4)} {one.unit}",
            f"{show.number(one.drop_out, 4)} {one.unit}",
            show.duration(one.on_delay_s),
            *(show.duration(length) if length else context.words("quality.never") for length in (one.passed_s, one.stretch_s)),
        )
        for one in given.limits
    ]
    heads = ("Limit", "Column", "Pick-up", "Drop-out", "On-delay", "Passed in the record", "Longest")
    return table(tuple(text_column(head) for head in heads), rows, context.words("quality.limits"), context.source)


def _reason(context: Context, one: Limit) -> str:
    show, why = context.show, one.reason
    return f"{one.name}, {one.column}: {why.says(show)} {why.why(show)} {why.do(show)}"
