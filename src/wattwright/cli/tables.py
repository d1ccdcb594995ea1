"""Results as text on the terminal: a sentence, figures with unit and basis mark, then the findings."""

from collections.abc import Iterable, Sequence
from typing import Literal, NoReturn

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from wattwright.checks.registry import Outcome
from wattwright.core.basis import WORDS, Basis, Grounds
from wattwright.core.findings import Finding, Severity, gravest_first
from wattwright.core.glossary import Term
from wattwright.core.show import MISSING, THIN, Show
from wattwright.demand.analyse import Demand
from wattwright.demand.summary import WINDOWS_S, Maximum, Summary
from wattwright.record.faults.doubt import doubts, peak_doubts
from wattwright.record.record import Record
from wattwright.record.words import shown
from wattwright.tariff.bill import Bill, summed
from wattwright.tariff.compare import Comparison, average_price
from wattwright.tariff.lines import decimals_of

RAISED = {"m": "ᵐ", "e": "ᵉ", "s": "ˢ", "c": "ᶜ", "a": "ᵃ", "p": "ᵖ"}
"""The basis marks as raised letters."""
DOUBT = "(?)"
"""Stands behind a figure that is not to be relied on."""

_COLOURS = {Severity.STOP: "bold red", Severity.LOOK: "bold yellow", Severity.NOTE: "dim"}
_FIGURE, _NAME = 18, 14
"""Letters within which a column is not broken: figures never are, names at the left and longer reasons may be."""


def record(given: Record, show: Show) -> None:
    """Show what a meter file is."""
    console = new_console()
    record_head(given, show, console)
    findings(given.findings, show, console)


def record_head(given: Record, show: Show, console: Console) -> None:
    """Show how a meter file was understood, its channels, and its span."""
    console.print(Text(shown(given.source.name), style="bold"), f"  {given.source.size_bytes:,} bytes, {given.rows:,} rows")
    rows = pairs(given.describe().items())
    console.print(Padding(rows, (0, 2)))
    table = new_table("Channel", "Column", "Quantity", "Form", "Unit", "Readings", "Missing")
    for channel in given.all:
        missing = int((~channel.series.present).sum())
        meaning = channel.meaning
        name = f"{meaning.quantity.value}{'' if meaning.phase.value == 'total' else ', ' + meaning.phase.value}"
        counts = (show.fixed(len(channel.series) - missing, 0), show.fixed(missing, 0))
        table.add_row(channel.id, channel.column, name, meaning.form.value, meaning.unit, *counts)
    print_table(table, console)
    if given.channels:
        series = given.channels[0].series
        console.print(f"  {show.time(series.start_s)} to {show.time(series.end_s)}, step {show.duration(series.step_s)}")


def demand(given: Demand, source: Record, show: Show) -> None:
    """Show what the site uses and when, after whatever puts that in doubt."""
    console = new_console()
    doubting = peak_doubts(source.findings)
    name = shown(source.source.name)
    console.print(Text.assemble((name, "bold"), f", {', '.join(given.channels)}: {_told(given, source, show)}"))
    findings(doubting, show, console)
    console.print(Padding(pairs(_figures(given, source, show)), (0, 2)))
    _months(given, show, console)
    findings([one for one in (*source.findings, *given.findings) if one not in doubting], show, console)
    used = {given.grounds.basis, given.worked_out, *(given.basis_over(one) for one in (given.summary.step_s, *WINDOWS_S))}
    used |= {Basis.MEASURED, Basis.ESTIMATED} if given.summary.estimated else set()
    marks = [f"{RAISED[b]} {WORDS[b]}" for b in Basis if b in used] + [f"{DOUBT} in doubt"] * bool(doubting)
    console.print(Text("  ".join(marks), style="dim"))


def _told(given: Demand, source: Record, show: Show) -> str:
    """Return the sentence that says the most important: the energy, or that it is in doubt."""
    summary = given.summary
    span = f"from {show.time(summary.start_s)} to {show.time(summary.end_s)}"
    if doubts(source.findings):
        return (
            f"the readings add up to {show.energy(summary.energy_kwh, 2)} {DOUBT} {span} as they stand. "
            "Do not rely on that before this is settled:"
        )
    per_day = f"{show.energy(summary.mean_w * 24 / 1000)} a day"
    if summary.is_net:
        taken, back = show.energy(summary.imported_kwh, 2), show.energy(summary.exported_kwh, 2)
        return f"the site took {taken} from the grid and gave {back} back {span}, net {per_day}."
    return f"the site used {show.energy(summary.energy_kwh, 2)} {span}, {per_day}."


def _figures(given: Demand, source: Record, show: Show) -> list[tuple[str, str]]:
    """Return each figure with its label, unit, basis mark, and the mark of doubt where it is in doubt."""
    summary = given.summary
    missing = "none missing" if not summary.missing else f"{show.fixed(summary.missing, 0)} missing"
    missing += f", {show.fixed(summary.estimated, 0)} estimated" if summary.estimated else ""
    total = f" {DOUBT}" if doubts(source.findings) else ""
    peak = f" {DOUBT}" if peak_doubts(source.findings) else ""
    mark, counted = RAISED[given.grounds.basis] + total, RAISED[given.worked_out] + total
    is_net = summary.is_net and not total
    both = [("  taken", summary.imported_kwh), ("  given back", summary.exported_kwh)] if is_net else []
    in_gaps = [("  of it in gaps", summary.registered_kwh)] if summary.registered_kwh else []
    return [
        ("intervals", f"{show.fixed(summary.intervals, 0)} of {show.duration(summary.step_s)}, {missing}"),
        ("net energy" if is_net else "energy", show.energy(summary.energy_kwh, 2) + mark),
        *((label, show.energy(energy, 2) + mark) for label, energy in [*both, *in_gaps]),
        *_estimates(summary, show),
        ("mean", show.power(summary.mean_w) + counted),
        ("base load", show.power(summary.base_load_w) + RAISED[given.from_readings] + total + "  passed in 95 % of the hours"),
        *(
            (label, _maximum(one, show, RAISED[given.basis_over(one.window_s)] + peak))
            for label, one in (
                (f"maximum demand, {show.duration(summary.step_s)}", summary.maximum),
                *((f"  over {show.duration(one.window_s)}", one) for one in summary.by_window),
            )
        ),
        ("load factor", show.percent(summary.load_factor) + counted + (peak if not total else "")),
    ]


def _estimates(summary: Summary, show: Show) -> list[tuple[str, str]]:
    """Return the energy without estimates, and what they add with its band; nothing where none were made."""
    if not summary.estimated:
        return []
    low, high = summary.estimated_low_kwh, summary.estimated_high_kwh
    known = low == low
    band = f", between {show.energy(low, 2)} and {show.energy(high, 2)}" if known else ", how far off is not known"
    return [
        ("  read", show.energy(summary.energy_kwh - summary.estimated_kwh, 2) + RAISED[Basis.MEASURED]),
        ("  estimated", show.energy(summary.estimated_kwh, 2) + RAISED[Basis.ESTIMATED] + band),
    ]


def _maximum(one: Maximum, show: Show, mark: str) -> str:
    if one.start_s < 0:
        return f"{MISSING}  cannot be known from this record"
    rolling = f", rolling {show.kilowatts(one.rolling_w)}" if one.rolling_w > one.power_w + 0.5 else ""
    return f"{show.kilowatts(one.power_w)}{mark}  on {show.time(one.start_s)}{rolling}"


def _months(given: Demand, show: Show, console: Console) -> None:
    if len(given.months) < 2:
        return
    width = show.duration(given.months[0].window_s)
    table = new_table("Month", "Energy kWh", f"Max {width} kW", "Complete")
    for month in given.months:
        table.add_row(
            f"{month.year}-{month.month:02d}{'' if month.whole else ' (part)'}",
            show.fixed(month.energy_kwh, 1),
            show.fixed(month.maximum_w / 1000, 3),
            show.completeness(month.completeness),
        )
    print_table(table, console)


def bill(costs: Comparison, rests_on: Grounds, source: Record, show: Show) -> None:
    """Show the bill of the tariff paid, its lines summed over the months, month by month, and the others beside it.

    ``rests_on`` is what the total rests on, its prices and its energy together; ``source`` the record billed.
    """
    console = new_console()
    doubting = doubts(source.findings)
    doubt = f" {DOUBT}" if doubting else ""
    one = costs.tariffs[0].bill
    average = average_price(one)
    per_kwh = "" if average is None else f", {show.fixed(average, 4)}{THIN}{one.currency}/kWh"
    told = f" these readings cost {show.money(one.money)}{RAISED[rests_on.basis]}{doubt}{per_kwh}."
    told += " Do not rely on that before this is settled:" if doubting else ""
    console.print(Text.assemble("Under ", (one.tariff, "bold"), told))
    findings(doubting, show, console)
    table = new_table("Line", "Quantity", "Unit", f"Rate {one.currency}", f"Amount {one.currency}")
    cents = decimals_of(one.currency)
    for line in summed(one.lines):
        quantity, amount = show.fixed(line.quantity, line.quantity_decimals), show.fixed(line.amount, cents)
        cells = (quantity, line.unit, show.plain(line.rate), amount)
        table.add_row(line.label(show) + RAISED[line.basis], *cells)
    table.add_row(f"Total{doubt}", "", "", "", show.fixed(one.total, cents), style="bold")
    print_table(table, console)
    months = new_table("Month", "Energy kWh", f"Amount {one.currency}", "")
    for month in one.by_month:
        part = "" if month.whole else "part of the month"
        months.add_row(month.month, show.fixed(month.energy_kwh, 1), show.fixed(month.amount, cents), part)
    print_table(months, console)
    if len(costs.tariffs) > 1:
        beside = new_table("Tariff", f"Total {costs.currency}", "Difference")
        for other in costs.tariffs:
            beside.add_row(other.name, show.fixed(other.total, 2), show.fixed(other.difference, 2))
        print_table(beside, console)
    findings(one.findings, show, console)
    console.print(Text("  ".join(f"{RAISED[b]} {WORDS[b]}" for b in Basis if b in {rests_on.basis, *_bases(one)}), style="dim"))


def _bases(one: Bill) -> set[Basis]:
    return {line.basis for line in one.lines}


def checks(given: Sequence[Outcome], show: Show) -> None:
    """Show each comparison: what, published, ours, deviation, source."""
    console = new_console()
    for one in given:
        head = Text("holds" if one.passed else "FAILS", style="" if one.passed else "bold red")
        deviation = "" if one.deviation_text in ("0", MISSING) else f", deviation {one.deviation_text}"
        body = Text(f"{one.check.what}: published {one.published_text}, ours {one.ours_text}{deviation}. ")
        body.append(f"{one.check.source} ({one.check.confidence.value})", style="dim")
        _beside(head, body, console)
    passed = sum(one.passed for one in given)
    console.print(f"{show.fixed(passed, 0)} of {show.fixed(len(given), 0)} checks hold.")


def glossary(given: Iterable[Term]) -> None:
    """Show words and what they mean."""
    console = new_console()
    for one in given:
        head = f"{one.word} ({one.symbol})" if one.symbol else one.word
        tail = "".join(f"  [{part}]" for part in (one.unit, one.source) if part)
        console.print(Text(head, style="bold"))
        console.print(Padding(Text(one.meaning + "." + tail), (0, 0, 0, 2)))


def findings(given: Iterable[Finding], show: Show, console: Console, *, placed: bool = False) -> None:
    """Show findings, gravest first: severity word, sentence, what to do, source; with ``placed`` what each is about before it."""
    for one in gravest_first(tuple(given)):
        head = Text(f"{one.severity.value:<5}", style=_COLOURS[one.severity])
        where = f"{one.where}: " if placed else ""
        body = Text(f"{where}{one.says(show)} {one.do(show)}" + (f" [{one.source}]" if one.source else ""))
        _beside(head, body, console)


def _beside(head: Text, body: Text, console: Console) -> None:
    grid = Table.grid(padding=(0, 1))
    grid.add_row(head, body)
    console.print(grid)


class _Console(Console):
    """A console that leaves it to the command line how to end when the reader has gone."""

    def on_broken_pipe(self) -> NoReturn:
        raise BrokenPipeError


def new_console() -> Console:
    """Return where a verb writes its text."""
    # No markup: "Energy [kWh]" is the name of a column, and not an instruction to the terminal.
    return _Console(highlight=False, markup=False)


def pairs(rows: Iterable[tuple[str, str]]) -> Table:
    """Return labels with their values beside them."""
    grid = Table.grid(padding=(0, 2))
    for label, value in rows:
        grid.add_row(Text(label, style="dim"), value)
    return grid


def new_table(*columns: str) -> Table:
    """Return a table with these columns, words to the left and figures to the right."""
    table = Table(box=None, header_style="dim", padding=(0, 1))
    for index, name in enumerate(columns):
        words = index == 0 or name in ("Column", "Quantity", "Form", "Unit")
        table.add_column(name, justify="left" if words else "right")
    return table


def print_table(table: Table, console: Console) -> None:
    """Show a table whose cells break between words only; where not even that fits, each row as a list under its heads."""
    cells = [[str(column.header), *map(str, column.cells)] for column in table.columns]
    # An instant is read as one word.
    least = [max((len(w) for cell in held for w in ([cell] if held[0] == "From" else cell.split())), default=1) for held in cells]
    widths = [max(map(len, held)) for held in cells]
    room = console.width - 2 * len(widths) - 1
    if sum(least) > room:
        _beneath(cells, console)
        return
    while sum(widths) > room:
        # The column that can give most gives first.
        widths[max(range(len(widths)), key=lambda i: widths[i] - least[i])] -= 1
    for column, width in zip(table.columns, widths, strict=True):
        column.width = width
    console.print(Padding(table, (0, 0, 0, 1)))


def _beneath(cells: Sequence[Sequence[str]], console: Console) -> None:
    heads = [held[0] for held in cells]
    for first, *rest in zip(*(held[1:] for held in cells), strict=True):
        console.print(Text(f"  {first}", style="bold"))
        told = [(head, cell) for head, cell in zip(heads[1:], rest, strict=True) if cell]
        console.print(Padding(pairs(told), (0, 4)))


def rows(console: Console, told: Sequence[tuple[str, ...]], align: Literal["left", "right"] = "right") -> None:
    """Print rows, the first of which is the head; all but the first column stand to one side.

    A figure never breaks: where the window is too narrow each row stands as a list under its heads.
    """
    longest = [max(len(line) for row in told for line in row[at].split("\n")) for at in range(len(told[0]))]
    most = [_NAME, *(_FIGURE for _ in longest[1:])]
    if sum(min(pair) + 1 for pair in zip(most, longest, strict=True)) - 1 > console.width:
        _beneath([[head.replace("\n", " "), *cells] for head, *cells in zip(*told, strict=True)], console)
        return
    table = Table(box=None, header_style="dim", padding=(0, 1), collapse_padding=True, pad_edge=False)
    for at, name in enumerate(told[0]):
        side: Literal["left", "right"] = align if at else "left"
        table.add_column(name, justify=side, vertical="bottom", no_wrap=longest[at] <= most[at])
    for row in told[1:]:
        table.add_row(*row)
    console.print(table)
