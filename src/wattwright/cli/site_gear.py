"""A job's equipment on the terminal."""

from pathlib import Path

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from wattwright.cli import tables
from wattwright.cli.options import Reading
from wattwright.cli.verbs import assess, say
from wattwright.cli.watching import watching
from wattwright.core.envelope import to_json
from wattwright.core.errors import UsageError
from wattwright.core.show import MISSING, Show
from wattwright.gear.select.answer import ISOLATE
from wattwright.gear.select.bill import BillOfMaterials
from wattwright.job.assessment import Assessment
from wattwright.job.equipping import Equipped, gear_of
from wattwright.job.gear_json import SCHEMA, gear_json
from wattwright.job.gearing import LoadGear
from wattwright.job.trial import load_trial


def made_for(job: Path, control: Path | None, *, quiet: bool) -> tuple[Assessment, Equipped]:
    """Return a job and its equipment under the rules of a file, else the plan sought last, else its own.

    Raises FileError, RecordError, JobError, InputError, UsageError.
    """
    reading = Reading(job, "", "", {})
    if not reading.is_job:
        raise UsageError("A meter file alone has no loads. Give a job: its folder or its job.toml.")
    with watching(quiet=quiet) as progress:
        assessment = assess(reading, progress)
        rules = None if control is None else load_trial(control, assessment.job)
        return assessment, gear_of(assessment, rules, progress)


def job_gear(job: Path, control: Path | None, json: bool) -> None:
    """Say what to buy for every load of a job that may be switched."""
    assessment, equipped = made_for(job, control, quiet=json)
    made = equipped.gear
    if json:
        say(to_json(SCHEMA, {"by": equipped.ruled.by, **gear_json(made, assessment.show)}))
        return
    console, show = tables.new_console(), assessment.show
    if not made.loads:
        console.print(
            Text("No load may be switched, so no gear is chosen. Diagram and sheets of the sources: drawings, handover.")
        )
        tables.findings(made.findings, show, console, placed=True)
        return
    switched = sum(one.answer.choice.selected is not None for one in made.loads)
    designed = sum(one.circuit is not None for one in made.loads)
    console.print(
        Text(
            f"{switched} of {len(made.loads)} loads have a switch, {designed} a designed circuit ({made.rules.upper()}).",
            style="bold",
        )
    )
    console.print(Text(f"Equipped for {equipped.ruled.says}."))
    console.print(_loads(made.loads, show))
    if made.measuring is not None and made.measuring.selected is not None:
        console.print(Text(f"Meter of the supply: {made.measuring.selected.name}."))
    if made.housing is not None:
        chosen = made.housing.selected
        held = "nothing in the range holds it" if chosen is None else f"{made.housing.count} x {chosen.name}"
        modules, heat = show.fixed(made.housing.modules, 1), show.fixed(made.housing.heat_w, 0)
        console.print(Text(f"Enclosure: {held}; {modules} modules, {heat} W inside."))
    console.print(Text("Bill of materials", style="bold"))
    console.print(_bill(made.bill, show))
    _asked(made.loads, console)
    tables.findings(made.findings, show, console, placed=True)
    for caution in dict.fromkeys((ISOLATE, *(told for one in made.loads for told in one.answer.cautions))):
        console.print(Text(caution, style="dim"))


def _loads(loads: tuple[LoadGear, ...], show: Show) -> Table:
    table = Table(box=None, header_style="dim", padding=(0, 1), collapse_padding=True, pad_edge=False)
    for name, ratio in (("Load", 3), ("Switched by", 5), ("Breaker", 2), ("Cable", 2)):
        table.add_column(name, ratio=ratio, vertical="top")
    for name in ("Drop", "Least\nto spare"):
        table.add_column(name, justify="right", no_wrap=True, vertical="bottom")
    for one in loads:
        scheme, circuit = one.answer.choice.selected, one.circuit
        least = None if scheme is None or scheme.judged.tightest is None else scheme.judged.tightest.margin
        protection = None if circuit is None else circuit.chosen.protection
        table.add_row(
            one.load.name,
            "nothing in the range" if scheme is None else " + ".join(item.name for item in scheme.parts),
            "open" if protection is None else f"{protection.curve} {protection.rated_a:g} A".strip(),
            "open" if circuit is None else f"{circuit.chosen.cable.size}, {circuit.spec.length_m:g} m",
            MISSING if circuit is None else show.percent(circuit.drop_share),
            MISSING if least is None else show.percent(least),
        )
    return table


def _bill(bill: BillOfMaterials, show: Show) -> Table:
    table = Table(box=None, header_style="dim", padding=(0, 1), collapse_padding=True, pad_edge=False)
    table.add_column("What", ratio=5)
    table.add_column("Quantity", justify="right", no_wrap=True)
    table.add_column("For", ratio=4)
    table.add_column("Article", ratio=1)
    table.add_column("Total", justify="right", no_wrap=True)
    for one in bill.rows:
        total = MISSING if one.total is None else f"{one.total} {one.currency}"
        count = f"{show.fixed(one.quantity, 0 if one.quantity == round(one.quantity) else 1)} {one.unit}"
        table.add_row(one.name, count, ", ".join(one.used_for), "" if one.item is None else one.item.article, total)
    for currency, whole in bill.totals.items():
        table.add_row(
            "in all", "", f"without {bill.unpriced} that have no price" if bill.unpriced else "", "", f"{whole} {currency}"
        )
    return table


def _asked(loads: tuple[LoadGear, ...], console: Console) -> None:
    """Show what must be asked, each question once with the loads it is about."""
    about: dict[str, list[str]] = {}
    for one in loads:
        for asked in one.asked:
            about.setdefault(asked, []).append(one.load.name)
    if about:
        console.print(Text("To be asked on site", style="bold"))
    for asked, names in about.items():
        whose = "every load" if len(names) == len(loads) and len(names) > 1 else ", ".join(names)
        console.print(Padding(Text(f"- {asked} ({whose})"), (0, 2)))
