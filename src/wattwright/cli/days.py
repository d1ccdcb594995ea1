"""What days are like, as the verb demand shows them."""

from rich.text import Text

from wattwright.cli.tables import findings, new_console, new_table, print_table
from wattwright.core.show import Show
from wattwright.demand.habits.change_points import Response, Shape
from wattwright.demand.habits.habits import Habits
from wattwright.demand.habits.json_form import SLOPE, UNITS

_ALIKE = {
    0: "no day was read throughout",
    1: "all of one kind, no groups come out again when days are left out",
}


def show_days(given: Habits, show: Show) -> None:
    """Show groups of like days, breaks, base load, and how energy follows the outdoor temperature."""
    console = new_console()
    count = len(given.groups)
    console.print(
        Text.assemble(("Days", "bold"), f": {_ALIKE.get(count, f'{count} groups that come out again when days are left out')}")
    )
    table = new_table("group", "days", "kWh a day", "lowest hour", "highest hour")
    for number, course in enumerate(given.groups.course_w):
        days, energy = given.groups.days_in(number), show.number(float(given.groups.daily_kwh[number]))
        table.add_row(str(number + 1), str(days), energy, show.power(float(course.min())), show.power(float(course.max())))
    print_table(table, console)
    for one in given.breaks:
        first = show.day(given.days.date(one.first))
        console.print(Text(f"  break from {first}, {one.days} d: {show.power(one.mean_w)}, usually {show.power(one.usual_w)}"))
    if given.base.standby_w == given.base.standby_w:
        console.print(
            Text(f"  standby {show.power(given.base.standby_w)}: the tenth percentile of the lowest four hours of days")
        )
    for line in _response(given.response, show):
        console.print(Text(f"  {line}"))
    findings(given.findings, show, console)


def _response(given: Response | None, show: Show) -> list[str]:
    if given is None:
        return []
    if given.shape is Shape.FLAT:
        return [f"energy does not follow the outdoor temperature in {given.days} days"]
    lines = [f"energy follows the outdoor temperature ({given.shape.value}), R2 {show.percent(given.r2)}, {given.days} days:"]
    for one in given.parameters:
        unit = UNITS.get(one.name, SLOPE)
        lines.append(
            f"  {one.name} {show.number(one.value)} {unit}, 90 % between {show.number(one.low)} and {show.number(one.high)}"
        )
    return lines
