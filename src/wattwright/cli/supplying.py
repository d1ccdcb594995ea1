"""The quality of the supply, as the verb demand shows it."""

from rich.console import Console
from rich.text import Text

from wattwright.cli.tables import findings, new_console, new_table, print_table
from wattwright.core.show import Show
from wattwright.demand.quality.supply import SupplyQuality
from wattwright.demand.quality.voltage import Unbalance, Voltage

_PASSED = {True: "passed", False: "not passed"}


def show_quality(given: SupplyQuality, show: Show) -> None:
    """Show voltage against its band, currents, unbalance, power factor, and the limits proposed with their reasons."""
    console = new_console()
    step = show.duration(given.step_s)
    console.print(Text.assemble(("Supply", "bold"), f": checks on means of {step}; none of them says that the supply complies"))
    _extremes(given, show, console)
    for one in given.voltages:
        _voltage(one, show, console)
    for line in (*(_uneven(one, show) for one in given.unbalances), *_factor_lines(given, show)):
        console.print(Text(f"  {line}"))
    _limits(given, show, console)
    findings(given.findings, show, console)


def _extremes(given: SupplyQuality, show: Show, console: Console) -> None:
    table = new_table("column", "conductor", "lowest", "from", "highest", "from")
    held = [(one.channel, one.lowest, one.highest, "V") for one in given.voltages]
    held += [(one.channel, one.lowest, one.highest, "A") for one in given.currents]
    for channel, low, high, unit in held:
        values = [f"{show.number(one.value, 4)} {unit}" for one in (low, high)]
        times = [show.time(one.start_s) for one in (low, high)]
        table.add_row(channel.column, channel.meaning.phase.value, values[0], times[0], values[1], times[1])
    if held:
        print_table(table, console)


def _voltage(one: Voltage, show: Show, console: Console) -> None:
    if one.nominal_v != one.nominal_v:
        return
    share = show.completeness(one.share)
    nominal = show.plain(round(one.nominal_v, 1))
    what = f"{one.channel.column}: {share} of the means of {show.duration(one.step_s)} within 10 % of {nominal} V"
    console.print(Text(f"  {what}"))
    if not one.weeks:
        return
    table = new_table("week from", "read", "of", "outside 10 %", "95 %", "under 85, over 110 %", "100 %")
    for week in one.weeks:
        most, whole = (_PASSED[told] if week.judged else "not made" for told in (week.passes_most, week.passes_all))
        read, means, outside, beyond = (show.fixed(count, 0) for count in (week.read, week.means, week.outside, week.beyond))
        table.add_row(show.day(week.first), read, means, outside, most, beyond, whole)
    print_table(table, console)


def _uneven(one: Unbalance, show: Show) -> str:
    usual, high, when = show.percent(one.usual), show.percent(one.high), show.time(one.highest.start_s)
    how = "largest deviation from the mean over the mean"
    if one.of == "voltage":
        most = show.percent(one.highest.value)
        return f"unbalance of voltage ({how}): usually {usual}, passed in 5 % of the means {high}, highest {most} from {when}"
    return f"unbalance of current ({how}): {usual} of the means, {high} when most current flowed, from {when}"


def _factor_lines(given: SupplyQuality, show: Show) -> list[str]:
    return [
        f"power factor, {one.conductor.value}: {show.number(one.mean)} over the record, loaded {show.number(one.low)} to "
        f"{show.number(one.high)} (tenth to ninetieth percentile), from {one.how}"
        for one in given.factors
    ]


def _limits(given: SupplyQuality, show: Show, console: Console) -> None:
    if not given.limits:
        return
    console.print(Text("Limits proposed", "bold"))
    table = new_table("limit", "column", "pick-up", "drop-out", "on-delay", "passed in the record", "longest")
    for one in given.limits:
        up, out = (f"{show.number(value, 4)} {one.unit}" for value in (one.pick_up, one.drop_out))
        passed, longest = (show.duration(length) if length else "never" for length in (one.passed_s, one.stretch_s))
        table.add_row(one.name, one.column, up, out, show.duration(one.on_delay_s), passed, longest)
    print_table(table, console)
    for one in given.limits:
        console.print(Text(f"  {one.name}, {one.column}: {one.reason.says(show)} {one.reason.why(show)} {one.reason.do(show)}"))
    console.print(
        Text(
            "  A limit here sheds load or warns. Settings of protection are for a licensed electrician, by the plates of the "
            "equipment and the local code."
        )
    )
