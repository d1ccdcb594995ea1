"""What days are like: their kinds, breaks, standby, and how energy follows the outdoor temperature."""

from wattwright.charts.table import Cell, Table
from wattwright.core.basis import Basis
from wattwright.demand.habits.change_points import Response, Shape
from wattwright.demand.habits.habits import Habits
from wattwright.demand.habits.json_form import SLOPE, UNITS
from wattwright.handover.context import Context
from wattwright.handover.paper import Block, Section, TableBlock, Text
from wattwright.handover.wide import figure, margin_notes, number_column, table, text_column


def days_alike(context: Context, given: Habits) -> Section:
    """Return the section on days."""
    count, base = len(given.groups), given.base.standby_w
    key = "alike.none" if not count else "alike.one" if count == 1 else "alike.lead"
    blocks: list[Block] = [TableBlock(_groups(context, given))] if count else []
    if base == base:
        blocks.append(Text(context.words("alike.standby", power=base)))
    if given.breaks:
        blocks.append(TableBlock(_breaks(context, given)))
    if given.response is not None:
        blocks += _response(context, given.response)
    notes = margin_notes(given.findings, context.show)
    return Section(context.words("alike.title"), context.words(key, count=count), (*blocks, *notes))


def _groups(context: Context, given: Habits) -> Table:
    show, groups = context.show, given.groups
    rows: list[tuple[Cell, ...]] = [
        (
            figure(show, number + 1, 0),
            figure(show, groups.days_in(number), 0),
            figure(show, float(groups.daily_kwh[number]), 1),
            figure(show, float(course.min()) / 1000, 2),
            figure(show, float(course.max()) / 1000, 2),
        )
        for number, course in enumerate(groups.course_w)
    ]
    columns = (
        number_column("Kind", ""),
        number_column("Days", ""),
        number_column("Energy", "kWh a day", Basis.CALCULATED),
        number_column("Lowest of its mean day", "kW", Basis.CALCULATED),
        number_column("Highest of its mean day", "kW", Basis.CALCULATED),
    )
    return table(columns, rows, context.words("alike.groups"), context.source)


def _breaks(context: Context, given: Habits) -> Table:
    show, dates = context.show, context.dates
    rows: list[tuple[Cell, ...]] = [
        (
            dates.day(given.days.date(one.first)),
            figure(show, one.days, 0),
            figure(show, one.mean_w / 1000, 2),
            figure(show, one.usual_w / 1000, 2),
        )
        for one in given.breaks
    ]
    columns = (
        text_column("From"),
        number_column("Days", ""),
        number_column("Mean then", "kW", Basis.CALCULATED),
        number_column("Usual around it", "kW", Basis.CALCULATED),
    )
    return table(columns, rows, context.words("alike.breaks"), context.source)


def _response(context: Context, given: Response) -> list[Block]:
    if given.shape is Shape.FLAT:
        return [Text(context.words("alike.flat", count=given.days))]
    show = context.show
    rows: list[tuple[Cell, ...]] = [
        (one.name, *(figure(show, value, 2) for value in (one.value, one.low, one.high)), UNITS.get(one.name, SLOPE))
        for one in given.parameters
    ]
    columns = (
        text_column("Parameter"),
        number_column("Fitted", "", Basis.CALCULATED),
        number_column("At least", "90 %", Basis.CALCULATED),
        number_column("At most", "90 %", Basis.CALCULATED),
        text_column("Unit"),
    )
    told = context.words("alike.follows", shape=given.shape.value, r2=given.r2, count=given.days)
    return [Text(told), TableBlock(table(columns, rows, context.words("alike.response"), context.source))]
