"""The verb that says what to buy: for one load by name, power and voltage, or for every load of a job."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from wattwright.catalogue.equipment.range import load_range
from wattwright.catalogue.load import generic_gear
from wattwright.cli import tables
from wattwright.cli.asked import as_options, spec_of
from wattwright.cli.verbs import say
from wattwright.core.envelope import to_json
from wattwright.core.errors import UsageError
from wattwright.core.units import parse
from wattwright.gear.circuit.appliance import Appliance, RuleSet
from wattwright.gear.select.answer import Answer, answer, with_usual
from wattwright.gear.select.json_form import SCHEMA, answer_json
from wattwright.gear.select.need import Place, Surroundings
from wattwright.gear.select.ruling import Judged, Ruling
from wattwright.gear.usual import usual_load
from wattwright.handover.quick import nearest, says

_PLACES: tuple[Place, ...] = ("indoors", "outdoors", "bathroom", "pool", "horticulture")
_USUAL_V = {"split-phase": "240 V", "three-phase": "400 V"}
_MOST_TOLD = 5
_STATES = {"held": "", "open": "ask"}


@dataclass(frozen=True, slots=True)
class Plate:
    """What was said of a load on the command line, as written; empty where nothing was."""

    load: str
    power: str
    current: str
    voltage: str
    system: str
    power_factor: str
    efficiency: str


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What was said of the place and of how it is switched, as written."""

    rules: str
    place: str
    ambient: str
    a_day: float | None
    coil: str
    inrush: str
    controller: str
    senses: bool


def quick_gear(plate: Plate, around: Circumstances, catalogues: Sequence[Path], *, only: bool, json: bool) -> None:
    """Say what to use for one load. Raises UsageError, UnitError, InputError, FileError."""
    if not plate.load:
        raise UsageError('Say which load: --load "water heater" --power "3 kW" --voltage "230 V"; or give a job.')
    if not plate.power and not plate.current:
        raise UsageError('Say what it draws: --power "3 kW", or --current "13 A" from its plate.')
    usual = usual_load(plate.load)
    range_ = load_range(catalogues, only=only)
    volts = plate.voltage or _USUAL_V.get(plate.system, "230 V")
    written: dict[str, Any] = {"name": plate.load, "duty": usual.duty, "voltage": volts, "system": plate.system}
    written |= {name: value for name, value in (("power", plate.power), ("current", plate.current)) if value}
    written |= {name: value for name, value in (("power_factor", plate.power_factor), ("efficiency", plate.efficiency)) if value}
    with as_options(written):
        appliance = with_usual(spec_of(written, Appliance), usual)
        rules = _rules(around.rules, appliance)
        surroundings = _surroundings(around)
    if around.senses:
        if usual.senses is None:
            raise UsageError(f'--senses: a "{plate.load}" is not switched by a probe of its own.')
        surroundings = replace(surroundings, senses=usual.senses.quantity)
    with as_options(written):
        made = answer(appliance, usual, rules, surroundings, range_)
    if json:
        say(to_json(SCHEMA, answer_json(made, range_)))
        return
    _shown(made, tables.new_console())


def _rules(given: str, appliance: Appliance) -> RuleSet:
    """Return the rule set: the one given, else NEC for two lines and IEC for all other systems."""
    if given in ("iec", "nec"):
        return "iec" if given == "iec" else "nec"
    if given:
        raise UsageError(f'--rules: found "{given}"; expected iec or nec.')
    return "nec" if appliance.system == "split-phase" else "iec"


def _surroundings(around: Circumstances) -> Surroundings:
    place = next((one for one in _PLACES if one == around.place), None)
    if place is None:
        raise UsageError(f'--place: found "{around.place}"; expected one of {", ".join(_PLACES)}.')
    if around.a_day is not None and not 0 <= around.a_day <= 100_000:
        raise UsageError(f"--a-day: found {around.a_day:g}; expected a count of 0 to 100,000 switchings a day.")
    classes = [one.id for one in generic_gear()]
    if around.controller and around.controller not in classes:
        raise UsageError(f'--controller: found "{around.controller}"; expected one of {", ".join(classes)}.')
    return Surroundings(
        ambient_c=parse(around.ambient, "degC", "--ambient"),
        place=place,
        switchings_a_year=None if around.a_day is None else around.a_day * 365.0,
        control_v=parse(around.coil, "V", "--coil") if around.coil else None,
        classes=(around.controller,) if around.controller else (),
        peak_a=parse(around.inrush, "A", "--inrush") if around.inrush else None,
    )


def _shown(made: Answer, console: Console) -> None:
    choice = made.choice
    console.print(Text(says(made), style="bold"))
    for line in made.current.lines:
        console.print(
            Padding(Text(f"{line.what}: {line.formula}: {line.figures}{f' ({line.clause})' if line.clause else ''}"), (0, 2))
        )
    if choice.selected is not None:
        console.print(_rulings(choice.selected.judged.rulings))
    if made.probing is not None and made.probing.selected is not None:
        console.print(Text(f"Probe: {made.probing.selected.name}.", style="bold"))
        console.print(_rulings(made.probing.selected.rulings))
    if choice.also:
        console.print(Text("What else would do", style="bold"))
        for one in choice.also[:_MOST_TOLD]:
            console.print(Padding(Text(f"{one.judged.name}; least to spare: {_least(one.judged)}"), (0, 2)))
        _more(len(choice.also), console)
    _refused(choice.refused, console)
    for title, lines in (("To be asked on site", made.asked), ("Cautions", made.cautions)):
        if lines:
            console.print(Text(title, style="bold"))
            for told in lines:
                console.print(Padding(Text(f"- {told}"), (0, 2)))
    console.print(Text("Ratings of the generic range; the data sheet of what is bought decides.", style="dim"))


def _rulings(rulings: Sequence[Ruling]) -> Table:
    table = Table(box=None, header_style="dim", padding=(0, 1), collapse_padding=True, pad_edge=False)
    for name in ("Rule", "What was found"):
        table.add_column(name, vertical="top", ratio=1 if name == "Rule" else 3)
    table.add_column("To spare", justify="right", no_wrap=True)
    table.add_column("Where it stands", ratio=2)
    for one in rulings:
        table.add_row(one.rule, one.says, _STATES[one.state] if one.margin is None else f"{one.margin:.0%}", one.clause)
    return table


def _least(judged: Judged) -> str:
    tightest = judged.tightest
    return "no rule with a margin" if tightest is None or tightest.margin is None else f"{tightest.margin:.0%}, {tightest.rule}"


def _refused(refused: Sequence[Judged], console: Console) -> None:
    """Show what was refused, the nearest to passing first."""
    if not refused:
        return
    console.print(Text("Refused", style="bold"))
    for one in nearest(refused)[:_MOST_TOLD]:
        by = one.refused_by
        console.print(Padding(Text(f"{one.name}: {by.rule}: {by.says} ({by.clause})" if by else one.name), (0, 2)))
    _more(len(refused), console)


def _more(count: int, console: Console) -> None:
    if count > _MOST_TOLD:
        console.print(Padding(Text(f"and {count - _MOST_TOLD} more; --json tells all of them", style="dim"), (0, 2)))
