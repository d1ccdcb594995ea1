"""The paid bills in the report: whether the record agrees with them, and each bill beside it."""

from wattwright.charts.table import Cell
from wattwright.core.basis import Basis
from wattwright.core.findings import Severity
from wattwright.core.show import Show
from wattwright.demand.year.bills import Held
from wattwright.handover.context import Context
from wattwright.handover.paper import Block, TableBlock
from wattwright.handover.wide import figure, margin_notes, number_column, table, text_column


def paid_sentence(context: Context) -> list[str]:
    """Return how the record stands to the paid bills; nothing where there are none, or none of the same days."""
    paid = context.bills
    if paid is None or paid.ratio != paid.ratio:
        return []
    measured, billed = paid.both_kwh
    return [context.words("answer.bills", days=paid.days, measured=measured, billed=billed)]


def paid_blocks(context: Context) -> list[Block]:
    """Return the table of the paid bills and what was found about them; nothing where there are none."""
    paid, show = context.bills, context.show
    if paid is None:
        return []
    columns = (
        text_column("From"),
        text_column("Until"),
        number_column("Billed", "kWh"),
        number_column("Days read", ""),
        number_column("Record", "kWh", context.demand.from_readings),
        number_column("Of the bill", "kWh", Basis.CALCULATED),
        number_column("Record over bill", "", Basis.CALCULATED),
    )
    # What brings the record into doubt already stands among the record's own notes.
    beside = [one for one in paid.findings if one not in context.record.findings]
    rows = [_row(one, show) for one in paid.held]
    return [
        TableBlock(table(columns, rows, context.words("data.bills")), wide=True),
        *margin_notes(beside, show, Severity.NOTE),
    ]


def _row(one: Held, show: Show) -> tuple[Cell, ...]:
    """Return a bill, and beside it what was read of its days; nothing where none was."""
    bill = one.bill
    head = (bill.first.isoformat(), bill.until.isoformat(), figure(show, bill.paid_wh / 1000, 0), figure(show, one.days, 0))
    if not one.days:
        return (*head, "", "", "")
    told = figure(show, one.measured_kwh, 1), figure(show, one.billed_kwh, 1)
    return (*head, *told, figure(show, one.ratio, 2) if one.billed_kwh > 0 else "")
