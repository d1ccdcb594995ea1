"""What it costs: the bill month by month and line by line, and the tariffs held beside it."""

from decimal import Decimal

from wattwright.charts.compare import Bar, bar_compare
from wattwright.charts.months import Group, monthly_bars
from wattwright.charts.picture import Picture
from wattwright.charts.table import Cell, Marked, Table
from wattwright.core.basis import Basis
from wattwright.core.money import Money
from wattwright.handover.context import Context
from wattwright.handover.paper import Block, PictureBlock, Section, TableBlock, Text
from wattwright.handover.wide import figure, margin_notes, number_column, short_months, table, text_column
from wattwright.tariff.bill import Bill, summed
from wattwright.tariff.compare import Comparison, average_price
from wattwright.tariff.lines import decimals_of, plain


def costs(context: Context) -> Section:
    """Return the section on money, or one that says what is missing for it."""
    if context.costs is None:
        return Section(context.words("cost.title"), context.words("cost.none"))
    bill = context.costs.tariffs[0].bill
    lead = _lead(context, bill)
    blocks: list[Block] = [TableBlock(_lines(context, bill), wide=True)]
    # Credits cannot be stacked upon charges; there the table says it.
    if len(bill.by_month) > 1 and all(line.amount >= 0 for line in bill.lines):
        blocks.insert(0, PictureBlock(_months(context, bill)))
    if len(context.costs.tariffs) > 1 and all(one.total >= 0 for one in context.costs.tariffs):
        blocks.append(PictureBlock(_beside(context, context.costs)))
    blocks += [Text(context.words("cost.missing", missing=bill.missing_s))] if bill.missing_s else []
    return Section(context.words("cost.title"), lead, (*blocks, *margin_notes(bill.findings, context.show)))


def _lead(context: Context, bill: Bill) -> str:
    if context.exchange.exports:
        return context.words("cost.lead.net", tariff=bill.tariff, total=context.show.money(bill.money))
    average = average_price(bill)
    per_kwh = "–" if average is None else context.show.fixed(average, 4)
    return context.words(
        "cost.lead", tariff=bill.tariff, total=context.show.money(bill.money), average=per_kwh, currency=bill.currency
    )


def _months(context: Context, bill: Bill) -> Picture:
    names = [one.month for one in bill.by_month]
    groups = list(dict.fromkeys(line.group for line in bill.lines))
    parts = {
        group: [sum((x.amount for x in bill.lines if x.group is group and x.month == month), Decimal(0)) for month in names]
        for group in groups
    }
    show = context.show
    columns = [text_column("Month"), *(number_column(group.value.capitalize(), bill.currency) for group in groups)]
    columns.append(number_column("Total", bill.currency, context.cost_basis))
    rows: list[list[Cell]] = [
        [name, *(figure(show, parts[group][index], 2) for group in groups), figure(show, one.amount, 2)]
        for index, (name, one) in enumerate(zip(names, bill.by_month, strict=True))
    ]
    alt = context.words("cost.alt", count=len(names), groups=", ".join(group.value for group in groups))
    figures = table(columns, rows, context.words("cost.picture"), context.source)
    caption = context.caption("bill", context.words("cost.picture"), alt, figures)
    drawn = [Group(group.value, [float(amount) for amount in parts[group]]) for group in groups]
    totals = [show.fixed(one.amount, 0) for one in bill.by_month]
    return monthly_bars(
        caption, short_months(names, context.dates), drawn, f"Amount, {bill.currency}", totals, context.chart_words
    )


def _lines(context: Context, bill: Bill) -> Table:
    show = context.show
    rows: list[list[Cell]] = [
        [
            line.label(show),
            figure(show, line.quantity, line.quantity_decimals),
            line.unit,
            _written(context, line.rate, line.basis),
            figure(show, line.amount, decimals_of(bill.currency)),
        ]
        for line in summed(bill.lines)
    ]
    rows.append([context.words("cost.total"), "", "", "", figure(show, bill.total, decimals_of(bill.currency))])
    columns = (
        text_column("Line"),
        number_column("Quantity", ""),
        text_column("Unit"),
        number_column("Rate", bill.currency),
        number_column("Amount", bill.currency, context.cost_basis),
    )
    return table(columns, rows, context.words("cost.table"), context.source, totals=1)


def _written(context: Context, number: Decimal, basis: Basis) -> Marked:
    """Return a rate with just the digits it has."""
    text = plain(number)
    return figure(context.show, number, len(text.partition(".")[2]), basis)


def _beside(context: Context, compared: Comparison) -> Picture:
    show = context.show

    def money(amount: Decimal) -> str:
        return show.money(Money(amount, compared.currency))

    bars = [
        Bar(one.name, float(one.total), money(one.total), context.cost_basis, chosen=index == 0)
        for index, one in enumerate(compared.tariffs)
    ]
    totals = [one.total for one in compared.tariffs]
    alt = context.words("cost.compare.alt", count=len(bars), low=money(min(totals)), high=money(max(totals)))
    rows: list[list[Cell]] = [[one.name, figure(show, one.total, 2), figure(show, one.difference, 2)] for one in compared.tariffs]
    columns = (
        text_column("Tariff"),
        number_column("Total", compared.currency, context.cost_basis),
        number_column("More than today", compared.currency, context.cost_basis),
    )
    figures = table(columns, rows, context.words("cost.compare"), context.source)
    return bar_compare(context.caption("tariffs", context.words("cost.compare"), alt, figures), bars, context.chart_words)
