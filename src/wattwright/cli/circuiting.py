"""The verb that designs one circuit: the answer first, then every rule, other sizes, what to ask on site, cautions."""

from collections.abc import Iterator

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from wattwright.cli import tables
from wattwright.cli.asked import as_options, spec_of
from wattwright.cli.verbs import say
from wattwright.core.envelope import to_json
from wattwright.core.errors import UsageError
from wattwright.core.show import MISSING, THIN, Show
from wattwright.gear.circuit.design import design
from wattwright.gear.circuit.json_form import SCHEMA, circuit_json
from wattwright.gear.circuit.results import CircuitDesign, Step
from wattwright.gear.circuit.spec import METHODS, CircuitSpec
from wattwright.gear.circuit.tables import Status
from wattwright.gear.circuit.told import CAUTIONS


def show_circuit(asked: dict[str, object], json: bool) -> None:
    """Design the circuit that was asked for and show it. Raises InputError, UsageError."""
    appliance = asked["appliance"]
    if isinstance(appliance, dict) and not {"power", "current"} & set(appliance):
        raise UsageError('Say what it draws: --power "3 kW", or --current "13 A" from its plate.')
    with as_options({**appliance, **asked} if isinstance(appliance, dict) else asked):
        made = design(spec_of(asked, CircuitSpec))
    show = Show()
    if json:
        say(to_json(SCHEMA, circuit_json(made, show)))
        return
    _shown(made, show)


def _shown(made: CircuitDesign, show: Show) -> None:
    console = tables.new_console()
    console.print(Text(_answer(made, show)))
    console.print(Text(_decided(made, show)))
    console.print(Padding(tables.pairs(_currents(made, show)), (0, 2)))
    _steps(made, show, console)
    _others(made, show, console)
    if made.not_checked:
        console.print(Text("To be asked on site:"))
        for one in made.not_checked:
            taken = f" Taken meanwhile: {one.taken}." if one.taken else " Nothing was taken: it is not checked."
            console.print(Padding(Text(f"{_capital(one.ask)}.{taken}"), (0, 2)))
    tables.findings(made.findings, show, console)
    for caution in CAUTIONS:
        console.print(Text(caution, style="dim"))


def _answer(made: CircuitDesign, show: Show) -> str:
    """Return the answer as one sentence: protection, cable, drop."""
    spec, chosen = made.spec, made.chosen
    protection, cable = chosen.protection, chosen.cable
    curve = f"{protection.curve} " if protection.curve else ""
    rcd = "" if chosen.residual_a is None else f", an RCD of {show.plain(1000.0 * chosen.residual_a)}{THIN}mA"
    insulation = spec.insulation if spec.rules == "iec" else f"{spec.conductor_c}{THIN}°C"
    raceway = f" of trade size {made.raceway}" if made.raceway else ""
    return (
        f"{_capital(spec.appliance.name)}: {protection.kind} {curve}{show.plain(protection.rated_a)}{THIN}A of "
        f"{protection.poles} {'pole' if protection.poles == 1 else 'poles'} ({protection.standard}){rcd}, and copper of "
        f"{cable.size}, {insulation}, {METHODS[spec.method]}{raceway}, protective conductor {cable.earth_size}. It draws "
        f"{show.number(made.current.running_a)}{THIN}A; over {show.plain(spec.length_m)}{THIN}m that drops "
        f"{show.number(made.drop_v)}{THIN}V, {show.percent(made.drop_share)}."
    )


def _decided(made: CircuitDesign, show: Show) -> str:
    what = next(one.what for one in made.steps if one.id == made.deciding_rule)
    smaller = [one.size for one in made.next_sizes if one.fails]
    why = f"{what}; {smaller[0]} fails it" if smaller else f"{what}: nothing asks for more"
    return f"Decided by {why}. {'Provisional until what is asked below is answered.' if made.provisional else ''}".strip()


def _currents(made: CircuitDesign, show: Show) -> Iterator[tuple[str, str]]:
    for one in made.current.lines:
        yield f"{one.what} ({one.symbol})", f"{one.formula}: {one.figures}  [{_where(one.clause, one.status)}]"
    if made.relay is not None:
        told = f"set to {show.number(made.relay.set_a)}{THIN}A, at most {show.number(made.relay.most_a)}{THIN}A"
        yield "overload relay", f"{told}  [{_where(made.relay.clause, made.relay.status)}]"


def _where(clause: str, status: Status) -> str:
    """Return where something stands and how far that was seen, neither twice."""
    return ", ".join(dict.fromkeys(part for part in (clause, status.value) if part))


def _steps(made: CircuitDesign, show: Show, console: Console) -> None:
    table = tables.new_table("Rule", "Found", "Limit", "Spare", "Result")
    for one in made.steps:
        margin = MISSING if one.margin is None else show.percent(one.margin, 2)
        table.add_row(one.what, _value(one.found, one, show), _value(one.limit, one, show), margin, one.result)
    tables.print_table(table, console)
    told = [(one.what, f"{one.working}  [{_where(one.clause, one.status)}]") for one in made.steps]
    console.print(Padding(tables.pairs(told), (0, 2)))


def _value(value: float | None, one: Step, show: Show) -> str:
    if value is None:
        return MISSING
    if one.unit == "A" and one.limit is not None and one.limit < 1.0:
        return f"{show.plain(1000.0 * value)}{THIN}mA"
    return show.percent(value) if one.unit == "1" else f"{show.number(value)}{THIN}{one.unit}"


def _others(made: CircuitDesign, show: Show, console: Console) -> None:
    table = tables.new_table("Other size", "Carries", "Drop", "Least spare", "Fails")
    for one in made.next_sizes:
        fails = ", ".join(step.what for step in made.steps if step.id in one.fails) or "nothing"
        cells = (f"{show.number(one.ampacity_a)}{THIN}A", show.percent(one.drop_share), show.percent(one.least_margin, 2))
        table.add_row(one.size, *cells, fails)
    tables.print_table(table, console)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
