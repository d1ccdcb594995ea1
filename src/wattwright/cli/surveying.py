"""The survey held against the record, as the verb demand shows it."""

from rich.text import Text

from wattwright.cli.tables import findings, new_console, new_table, print_table
from wattwright.core.show import Show
from wattwright.demand.survey.reconcile import Reconciled, Share


def show_survey(given: Reconciled, household_w: float, show: Show) -> None:
    """Show what the survey explains by day type, month and load, and how high it adds up at once."""
    console = new_console()
    whole = given.whole
    share = show.percent(whole.explained_share)
    console.print(Text.assemble(("The survey against the record", "bold"), f": {share} of the energy explained"))
    table = new_table("part", "measured kWh", "explained", "unexplained", "too much")
    for one in (whole, *given.by_day_type, *given.by_month):
        table.add_row(*_row(one, show))
    print_table(table, console)
    loads = new_table("load", "kWh by the survey", "record over survey")
    for load in given.loads:
        told = "cannot be told" if load.factor != load.factor else show.number(load.factor)
        band = "" if load.factor != load.factor else f" ({show.number(load.low)} to {show.number(load.high)})"
        loads.add_row(load.name, show.number(load.surveyed_kwh), told + band)
    print_table(loads, console)
    lines = [
        f"ratings add up to {show.kilowatts(given.installed_w, 2)}, the survey's busiest hour to "
        f"{show.kilowatts(given.coincident_w, 2)}, the record's to {show.kilowatts(given.measured_w, 2)}",
        f"{_coincidence(given, show)}; a household with these loads is allowed "
        f"{show.kilowatts(household_w, 2)} at once by the table of the Electrician's Guide",
    ]
    for line in lines:
        console.print(Text(f"  {line}"))
    findings(given.findings, show, console)


def _coincidence(given: Reconciled, show: Show) -> str:
    """Return the coincidence factor; above one the survey does not hold all that runs."""
    if given.coincidence != given.coincidence:
        return "the record's lies above all ratings, so the survey does not hold yet all that runs: no coincidence factor"
    return f"coincidence factor {show.number(given.coincidence)}"


def _row(one: Share, show: Show) -> tuple[str, str, str, str, str]:
    told = (one.measured_kwh, one.explained_kwh, one.unexplained_kwh, one.over_kwh)
    measured, explained, unexplained, over = (show.fixed(value, 1) for value in told)
    return one.name, measured, explained, unexplained, over
