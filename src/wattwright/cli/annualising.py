"""A year made from a shorter record, and the paid bills, as the verb demand shows them."""

from collections.abc import Collection
from datetime import timedelta

from rich.console import Console
from rich.text import Text

from wattwright.cli.tables import findings, new_console, new_table, print_table
from wattwright.core.findings import Finding
from wattwright.core.show import Show
from wattwright.demand.year.against import Against
from wattwright.demand.year.annual import Year
from wattwright.demand.year.whole import Annualised


def show_year(given: Annualised, show: Show, said: Collection[Finding] = ()) -> None:
    """Show the year with its band and where its days come from, and each bill beside the record; not again what was ``said``."""
    console = new_console()
    if given.year is None:
        console.print(Text.assemble(("Year", "bold"), ": the record is too short to make one"))
    else:
        _year(given.year, show, console)
    if given.paid.held:
        _bills(given.paid, show, console)
    findings([one for one in given.findings if one not in said], show, console)


def show_bills(given: Against, show: Show, said: Collection[Finding] = ()) -> None:
    """Show each paid bill beside the record, and what that says of the record; not again what was ``said`` already."""
    console = new_console()
    console.print(Text("Paid bills", style="bold"))
    _bills(given, show, console)
    findings([one for one in given.findings if one not in said], show, console)


def _bills(given: Against, show: Show, console: Console) -> None:
    table = new_table("bill from", "until", "billed kWh", "days read", "record kWh", "bill's share", "record over bill")
    for one in given.held:
        spans = (show.day(one.bill.first), show.day(one.bill.until))
        told = (one.measured_kwh, one.billed_kwh)
        energies = (show.fixed(value, 1) for value in told) if one.days else ("", "")
        ratio = show.number(one.ratio) if one.days else ""
        table.add_row(*spans, show.fixed(one.bill.paid_wh / 1000, 0), str(one.days), *energies, ratio)
    print_table(table, console)


def _year(one: Year, show: Show, console: Console) -> None:
    last = one.first + timedelta(days=one.days - 1)
    energy, low, high = (show.energy(value) for value in (one.energy_kwh, one.low_kwh, one.high_kwh))
    band = f", 90 % between {low} and {high}" if one.high_kwh > one.low_kwh else ", all of it read"
    console.print(Text.assemble(("Year", "bold"), f" {show.day(one.first)} to {show.day(last)}: {energy}{band}"))
    sources = ", ".join(f"{name} {count}" for name, count in one.days_from.items())
    console.print(Text(f"  {show.energy(one.measured_kwh)} of it were read; its days: {sources}"))
