"""What to switch, and what it is worth: the options of the plan sought last, the settings, and what becomes of the supply."""

from wattwright.charts.compare import Bar, bar_compare
from wattwright.charts.picture import Caption, Picture
from wattwright.charts.table import Cell, Table
from wattwright.core.basis import Basis
from wattwright.core.show import MISSING
from wattwright.handover.context import Context
from wattwright.handover.paper import Block, Caution, PictureBlock, Section, TableBlock, Text
from wattwright.handover.wide import figure, margin_notes, number_column, table, text_column
from wattwright.job.planned import KeptOption, KeptPlan
from wattwright.plan.shed.table import case_rows, limit_lines, return_rows

_LONG_YEARS = 50
"""Contactors are replaced for other reasons before that."""
_OF_SUPPLY = "plan.shed"


def planned(context: Context) -> Section | None:
    """Return the section on the plan sought last, or None where there is none that belongs to the job as it stands."""
    plan = context.plan
    if plan is None:
        return None
    pays = len(plan.options) > 1
    blocks: list[Block] = [PictureBlock(_picture(context, plan))] if pays else []
    blocks.append(TableBlock(_options(context, plan), wide=True))
    if pays:
        blocks += [TableBlock(_settings(context, plan.best), wide=True), TableBlock(_trust(context, plan))]
    blocks += margin_notes((one for one in plan.findings if not one.code.startswith(_OF_SUPPLY)), context.show)
    if pays:
        blocks += [TableBlock(_comfort(context, plan.best))] if plan.best.lacks else []
        blocks += _apart(context, plan)
    blocks += _supply(context, plan)
    of_supply = margin_notes((one for one in plan.findings if one.code.startswith(_OF_SUPPLY)), context.show)
    blocks += [Caution(context.words("plan.caution")), *of_supply]
    return Section(context.words("plan.title"), _lead(context, plan), tuple(blocks))


def _lead(context: Context, plan: KeptPlan) -> str:
    first, last = context.dates.day(plan.first), context.dates.day(plan.last)
    told = {"first": first, "last": last, "tried": plan.evaluations, "most": _amount(context, max(plan.most, 0.0), plan.unit)}
    if len(plan.options) == 1:
        return context.words("plan.lead.none", **told)
    return context.words(
        "plan.lead", saving=_amount(context, plan.best.saving, plan.unit), share=plan.best.gap_share,
        today=_amount(context, plan.options[0].value, plan.unit), **told,
    )  # fmt: skip


def _amount(context: Context, value: float, unit: str) -> str:
    return f"{context.show.fixed(value, 2)} {unit}".strip()


def _source(context: Context, plan: KeptPlan) -> str:
    return context.words("plan.source", source=context.source, tried=plan.evaluations)


def _picture(context: Context, plan: KeptPlan) -> Picture:
    """Return what each option saves, beside the most anyone could."""
    bars = [
        Bar(one.name, max(one.saving, 0.0), _amount(context, one.saving, plan.unit), Basis.SIMULATED, chosen=one is plan.best)
        for one in plan.options[1:]
    ]
    most = _amount(context, max(plan.most, 0.0), plan.unit)
    bars.append(Bar(context.words("plan.most"), max(plan.most, 0.0), most, Basis.CALCULATED))
    alt, step = context.words("plan.picture.alt", count=len(bars) - 1, most=most), context.words("plan.step")
    caption = Caption("plan-savings", context.words("plan.picture"), alt, f"{_source(context, plan)}.", None, step)
    return bar_compare(caption, bars, context.chart_words)


def _options(context: Context, plan: KeptPlan) -> Table:
    show, s = context.show, Basis.SIMULATED
    money, unit = plan.currency, plan.unit
    columns = [text_column("Option"), number_column("Rules", ""), number_column("Devices", "")]
    columns.append(number_column("Cost", money, s) if money else number_column("Value", unit, s))
    columns += [number_column("Saves", unit, s), number_column("Of the most", "%", s), number_column("Peak, 15 min", "kW", s)]
    columns += [number_column("Moves a day", "", s), text_column("Contactor lasts")]
    rows: list[list[Cell]] = [
        [
            one.name, figure(show, one.rules, 0), figure(show, len(one.controllers), 0),
            figure(show, one.value if one.cost is None else one.cost, 2), figure(show, one.saving, 2),
            figure(show, 100.0 * one.gap_share, 0), figure(show, one.peak_w / 1000.0, 2), figure(show, one.moves_a_day, 1),
            _years(context, one.contact_years),
        ]
        for one in plan.options
    ]  # fmt: skip
    return table(columns, rows, context.words("plan.options"), _source(context, plan))


def _years(context: Context, years: float | None) -> str:
    if years is None:
        return MISSING
    return f"over {_LONG_YEARS} years" if years > _LONG_YEARS else f"{context.show.fixed(years, 0)} years"


def _trust(context: Context, plan: KeptPlan) -> Table:
    """Return what the best option saves by weeks seen and not seen, years drawn anew, and when something is other than it was."""
    best, show = plan.best, context.show
    rows: list[list[Cell]] = [[context.words("plan.seen.all"), figure(show, best.saving, 2), ""]]
    if best.held_out is not None:
        rows.append([context.words("plan.seen"), figure(show, best.held_out.seen, 2), ""])
        rows.append([context.words("plan.unseen"), figure(show, best.held_out.unseen, 2), ""])
    if best.band is not None:
        rows.append([context.words("plan.band.low"), figure(show, best.band.low, 2), ""])
        rows.append([context.words("plan.band.high"), figure(show, best.band.high, 2), ""])
    for one in best.changes:
        rows.append([one.change, figure(show, one.saving, 2), context.words("plan.kept" if one.kept else "plan.broken")])
    columns = (text_column("With"), number_column("Saves", plan.unit, Basis.SIMULATED), text_column("Comfort and limits"))
    return table(columns, rows, context.words("plan.trust"))


def _settings(context: Context, best: KeptOption) -> Table:
    columns = tuple(text_column(head) for head in ("Controller", "Switches", "Set to", "Why, and how much room", "Test on site"))
    rows = [
        (_begun(f"{one.controller}: {one.family}"), one.load, _begun("; ".join(one.entries)),
         f"{_begun(one.reason)}; {one.margin}", one.test)
        for one in best.settings
    ]  # fmt: skip
    return table(columns, rows, context.words("plan.settings"))


def _begun(words: str) -> str:
    return words[:1].upper() + words[1:]


def _comfort(context: Context, best: KeptOption) -> Table:
    show = context.show
    columns = (text_column("Load"), number_column("Lacks", "", Basis.SIMULATED), number_column("Allowed", ""), text_column("Of"))
    rows = [
        (one.load, figure(show, one.amount, 1), figure(show, one.allowed, 1), f"{one.unit} {one.what}") for one in best.lacks
    ]  # fmt: skip
    return table(columns, rows, context.words("plan.comfort"))


def _apart(context: Context, plan: KeptPlan) -> list[Block]:
    """Return what separates the best option from the bound, as far as it can be told."""
    parts, show = plan.gap, context.show
    if parts is None:
        return [Text(context.words("plan.gap.none"))]
    told = [
        ("plan.gap.energy", parts.energy), *([("plan.gap.own", parts.own)] if parts.own else []),
        ("plan.gap.hours" if parts.hours >= 0.0 else "plan.gap.hours.less", parts.hours), ("plan.gap.demand", parts.demand),
    ]  # fmt: skip
    rows: list[list[Cell]] = [[context.words(key), figure(show, value, 2)] for key, value in told]
    rows.append([context.words("plan.gap.whole"), figure(show, parts.whole, 2)])
    columns = (text_column("Part"), number_column("Costs more", plan.unit, Basis.SIMULATED))
    beside = context.words(
        "plan.gap.beside", grid=_amount(context, parts.grid, plan.unit), comfort=_amount(context, parts.comfort, plan.unit)
    )
    return [TableBlock(table(columns, rows, context.words("plan.gap"), totals=1)), Text(beside)]


def _supply(context: Context, plan: KeptPlan) -> list[Block]:
    """Return what each limit of the supply bears, with the plan working and where something fails."""
    show, shed, c = context.show, plan.shed, Basis.CALCULATED
    if not shed.limits:
        return []
    lines = (_begun(one) for one in limit_lines(shed, show))
    blocks: list[Block] = [Text(" ".join((context.words("plan.shed"), *lines)))]
    power, current, ratio = number_column("Power", "kW", c), number_column("Current", "A", c), text_column("Times rating")
    caption = context.words("plan.cases" if shed.quantity is not None else "plan.cases.none")
    rows = [(f"{row[0]}: {row[1]}", *row[2:8]) for row in case_rows(shed, show)]
    heads = (text_column("Case"), text_column("Comes on top"), power, current, ratio, text_column("Borne"), text_column("Trips"))
    blocks += [TableBlock(table(heads, rows, caption), wide=True)] if rows else []
    heads = (text_column("Limit"), text_column("After"), power, current, ratio, text_column("Stagger"), text_column("Enough"))
    back = return_rows(shed, show)
    return [*blocks, TableBlock(table(heads, back, context.words("plan.returns")), wide=True)] if back else blocks
