"""What to quote: a few options a client can choose from, what the plan is worth in hardware, and where control may fail."""

from collections.abc import Mapping

from wattwright.charts.front import Front, front_lines
from wattwright.charts.picture import Caption, Picture
from wattwright.charts.table import Cell, Marked, Table
from wattwright.charts.tornado import Reach, tornado_bars
from wattwright.core.basis import Basis
from wattwright.core.show import MISSING, Show
from wattwright.handover.context import Context
from wattwright.handover.paper import Block, Caution, Emphasis, PaperWords, PictureBlock, Section, TableBlock, Text
from wattwright.handover.wide import figure, margin_notes, number_column, short, table, text_column
from wattwright.supply.sizing.answer import Point, Quote, Sized
from wattwright.supply.sizing.losses import loss_rows
from wattwright.supply.sizing.options import (
    as_it_is,
    beyond_line,
    chosen_of,
    left_out_line,
    marked_lines,
    money_line,
    more_told,
    options,
    sun_line,
    worn_line,
)
from wattwright.supply.sizing.sizes import Size
from wattwright.supply.sizing.table import (
    THERE,
    bought_rows,
    carrier_rows,
    case_rows,
    has_own_pv,
    is_quoted,
    judged,
    quote_stops,
    size_rows,
    sun_rows,
    tornado_rows,
    working_rows,
    worth_line,
    worth_rows,
)

_SIDES = ("unserved share", "share from the grid")
_SHOWN = 0.1
_LITTLE = 1e-9
_PV = 2
"""Place of PV among the sizes."""
_WORDS = ("For",)
"""Heads of columns that hold words."""


def quoted(context: Context) -> Section | None:
    """Return the section on what to quote, or None where nobody asked for a quote of the job as it stands."""
    if context.quote is None:
        return None
    made = judged(context.quote, context.record.findings)
    names = {one.id: one.name for one in context.spec.loads}
    offered = made.plan or made.today
    stops = [f"{one.says(context.show)} {one.do(context.show)}" for one in quote_stops(made)]
    blocks: list[Block] = [Caution(told, PaperWords().stop) for told in stops]
    blocks.append(TableBlock(_options(context, made, offered), wide=True))
    blocks += [Text((Emphasis(f"{name}:"), f" {words}")) for name, words in marked_lines(made, offered, context.show)]
    show = context.show
    told = (
        left_out_line(made, offered, show),
        beyond_line(made, show),
        money_line(made, show),
        sun_line(made),
        worn_line(made, show),
    )
    # One thought each: a client who looks for the money finds it.
    blocks += [Text(line) for line in told if line]
    blocks.append(
        TableBlock(
            _of_rows(
                size_rows(made, names, context.show),
                context.words("quote.sizes" if made.plan else "quote.sizes.today", told=is_quoted(made)),
            )
        )
    )
    both = (("plan", made.plan), ("today", made.today))
    fronts = [(name, one) for name, one in both if one is not None and len(one.front) > 1]
    drawn = [one for one in (_drawn(context, made, name, sized) for name, sized in fronts) if one.points]
    # Options that all leave as much undone lie on one line: the table says it better.
    if len({round(left, 1) for one in drawn for _, left in one.points}) > 1:
        blocks.append(PictureBlock(_picture(context, made, drawn, any(map(_dark, made.today.front)))))
    blocks += _tables(context, made, names)
    rows = worth_rows(made, context.show)
    if rows:
        columns = (text_column("Money"), text_column(""))
        caption = context.words("quote.worth" if made.life is None else "quote.life")
        blocks.append(TableBlock(table(columns, [list(one) for one in rows], caption)))
    if made.risk is not None and made.told_now is not None:
        blocks.append(PictureBlock(_tornado(context, made, made.told_now)))
        caption = context.words("quote.tornado", currency=made.currency, what=_unsure(context, made))
        blocks.append(TableBlock(_of_rows(tornado_rows(made, context.show), caption)))
    blocks += [Caution(context.words("quote.caution")), *margin_notes(made.findings, context.show)]
    return Section(context.words("quote.title"), _lead(context, made), tuple(blocks))


def _tables(context: Context, made: Quote, names: Mapping[str, str]) -> list[TableBlock]:
    """Return the tables of the working that hold more than their head: some as wide as the page."""
    show, is_told = context.show, {"told": is_quoted(made)}
    told = (
        ("carriers", carrier_rows(made, show) if made.carriers else [], True), ("working", working_rows(made, show), False),
        ("bought", bought_rows(made, names, show), True), ("cases", case_rows(made, names, show), True),
        ("losses", loss_rows(made, show), False), ("suns", sun_rows(made, show), False),
    )  # fmt: skip
    of_quoted = {"cases": is_told, "losses": is_told, "suns": is_told}
    captions = {name: context.words(f"quote.{name}", **of_quoted.get(name, {})) for name, _, _ in told}
    return [TableBlock(_of_rows(rows, captions[name]), wide=wide) for name, rows, wide in told if len(rows) > 1]


def _lead(context: Context, made: Quote) -> str:
    first, last = made.days
    stops = "quote.stopped" if quote_stops(made) else "quote.doubted" if made.is_withheld else ""
    line = f"{worth_line(made, context.show)} {context.words('quote.days', first=first, last=last)}"
    told = {"line": f"{context.words(stops)} {line}" if stops else line}
    if made.purpose == "carries the site in outages" and made.outage_s is not None:
        return context.words("quote.lead.outage", outage=made.outage_s, **told)
    if made.purpose == "carries the site in outages":
        return context.words("quote.lead.told", **told)
    if made.purpose == "stand-alone":
        return context.words("quote.lead.alone", **told, told=is_quoted(made))
    return context.words("quote.lead.grid", **told)


def _dark(one: Point) -> bool:
    """Return whether a point leaves all that is wanted without the grid undone: beside it all others lie on the ground."""
    return one.found.lpsp >= 1.0 - _LITTLE


def _drawn(context: Context, made: Quote, name: str, sized: Sized) -> Front:
    """Return a front as it is drawn: without what leaves everything dark, which the table of options tells in words."""
    points, chosen = [one for one in sized.front if not _dark(one)], chosen_of(made, sized)
    quoted = None if chosen is None else sized.front[chosen]
    place = next((number for number, one in enumerate(points) if one is quoted), None)
    return Front(context.words(f"quote.{name}"), tuple((_cost(made, one), _left(made, one)) for one in points), place)


def _picture(context: Context, made: Quote, drawn: list[Front], is_part: bool) -> Picture:
    """Return what each option costs against what it leaves undone; ``is_part``: some are not drawn."""
    left = context.words(f"quote.left.{made.front_by.replace(' ', '-')}")
    cost = "quote.cost.bills" if made.has_bills else "quote.cost" if made.currency else "quote.cost.relative"
    money = context.words(cost, currency=made.currency)
    alt = context.words("quote.picture.alt", count=sum(len(one.points) for one in drawn), left=left, told=is_quoted(made))
    title = context.words("quote.picture.part" if is_part else "quote.picture")
    caption = Caption("quote-front", title, alt, f"{_source(context)}.", None, context.words("plan.step"))
    return front_lines(caption, drawn, money, left, context.chart_words)


def _unsure(context: Context, made: Quote) -> str:
    """Return what is drawn: a net present value, or what a site without a grid costs."""
    return context.words("quote.unsure.npv" if made.life is None else "quote.unsure.cost")


def _tornado(context: Context, made: Quote, middle: float) -> Picture:
    """Return how far each source alone moves the net present value, or what a site without a grid costs."""
    show, what = context.show, _unsure(context, made)
    bars = [] if made.risk is None else made.risk.tornado
    drawn = [Reach(one.source, one.low, one.high, show.fixed(one.low, 0), show.fixed(one.high, 0), one.middle) for one in bars]
    alt = context.words("quote.tornado.alt", count=len(drawn), source=drawn[0].name, what=what)
    caption = Caption(
        "quote-tornado", context.words("quote.tornado.picture", source=drawn[0].name, what=what), alt, f"{_source(context)}.",
        None, context.words("plan.step"),
    )  # fmt: skip
    title = context.words("quote.tornado.axis", currency=made.currency, what=what)
    return tornado_bars(caption, drawn, (middle, show.fixed(middle, 0)), title, context.chart_words)


def _cost(made: Quote, one: Point) -> float:
    return one.owned if made.currency else one.bought


def _left(made: Quote, one: Point) -> float:
    return 100.0 * one.least if made.front_by in _SIDES else one.least / 1000.0


def _options(context: Context, made: Quote, sized: Sized) -> Table:
    """Return the options along the front, the site as it is first: few enough to choose from."""
    show, s = context.show, Basis.SIMULATED
    columns = [
        text_column("Option"),
        number_column("Inverter", "kVA"),
        number_column("Battery", "kWh"),
        number_column("PV", "kWp"),
    ]
    columns.append(number_column(context.words(f"quote.column.{made.front_by.replace(' ', '-')}"), _unit(made), s))
    trips = _any_trips(made, sized, show)
    if trips:
        columns.append(number_column("Trips", "", s))
    if made.currency:
        columns += [number_column("To buy", made.currency), number_column("Over the years", made.currency, s)]
    if made.has_bills:
        columns.append(number_column("Beside as it is", made.currency, s))
    rows = []
    for one in (as_it_is(made, sized), *options(made, sized, show)):
        name = context.words("quote.option.quoted", name=one.called) if one.is_quoted else one.called
        rows.append(_option(show, made, name, one.point, one.size, one.bought, one.owned, trips=trips))
    caption = context.words("quote.options" if made.plan is None else "quote.options.plan")
    return table(columns, rows, caption, _source(context))


def _any_trips(made: Quote, sized: Sized, show: Show) -> bool:
    """Return whether any option trips: a column of noughts says nothing."""
    points = [made.as_is, *(one.point for one in options(made, sized, show))]
    return made.purpose != "beside the grid" and any(one.found.trips for one in points)


def _option(
    show: Show, made: Quote, name: str, one: Point, size: Size, bought: float, owned: float, *, trips: bool
) -> list[Cell]:  # fmt: skip
    tripped = [figure(show, one.found.trips, 0)] if trips else []
    money = [figure(show, bought, 0), figure(show, owned, 0)] if made.currency else []
    money += [_beside(show, owned - made.as_is.owned)] if made.has_bills else []
    sizes = (size.inverter_va, size.battery_wh, size.pv_w)
    return [
        name,
        *(_size_told(show, made, place, each) for place, each in enumerate(sizes)),
        _left_told(show, made, one),
        *tripped,
        *money,
    ]


def _size_told(show: Show, made: Quote, place: int, size: float) -> Cell:
    """Return a size in thousands; of PV that is there and stays, and to which nothing is added, that it is there."""
    return THERE if place == _PV and size == 0.0 and has_own_pv(made) else short(show, size / 1000.0)


def _left_told(show: Show, made: Quote, one: Point) -> Marked:
    """Return what is left undone as a figure; what would round to nought is told as less than can be shown."""
    value = _left(made, one)
    return short(show, value, _SHOWN if made.front_by in _SIDES else 0.0)


def _beside(show: Show, more: float) -> Marked:
    """Return how much more or less that is, the word beside the figure."""
    return Marked(more_told(more, show), None, more, 0)


def _unit(made: Quote) -> str:
    return "%" if made.front_by in _SIDES else "kW"


def _of_rows(rows: list[tuple[str, ...]], caption: str) -> Table:
    heads = [name[:1].upper() + name[1:] for name in rows[0]]
    columns = [text_column(one) if place == 0 or one in _WORDS else number_column(one, "") for place, one in enumerate(heads)]
    return table(columns, [[one or MISSING for one in row] for row in rows[1:]], caption)


def _source(context: Context) -> str:
    return context.words("quote.source", source=context.source)
