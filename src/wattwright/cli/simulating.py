"""The verb that simulates a job over some days: tables, strips and a picture of who switched what, when and why."""

import datetime as dt
from collections.abc import Iterator, Sequence
from pathlib import Path

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from wattwright.cli import tables
from wattwright.cli.options import Reading
from wattwright.cli.verbs import assess, say
from wattwright.cli.watching import watching
from wattwright.control.rules import Control
from wattwright.core.basis import WORDS, Basis
from wattwright.core.envelope import to_json
from wattwright.core.errors import UsageError
from wattwright.core.files import write_bytes, write_text
from wattwright.core.show import Show
from wattwright.handover.simulated import period_words, simulated_picture
from wattwright.job.happenings import Did, apparent, did, happenings, highest
from wattwright.job.simulation import Simulated
from wattwright.job.simulation_json import SCHEMA, simulation_json
from wattwright.job.spec import JobSpec
from wattwright.job.trial import load_trial

_STRIP = 72
_MOST_ROWS = 100
"""Rows of the table of switchings: more is a supply that trips for ever, and no table to read."""
_LEAST_KWH = 0.01
_CAUTION = (
    "Control is not protection: cable, breaker and supply are rated as if nothing were ever switched off. Mains work is for "
    "licensed people. Hot water under 60 °C may breed Legionella, above 50 °C it scalds."
)
_PICTURES = (".svg", ".png")


def simulate_job(job: Path, begins: str, ends: str, control: Path | None, picture: Path | None, own: bool, json: bool) -> None:
    """Simulate days of a job under its rules or those of ``control`` and show what happened.

    Raises FileError, RecordError, JobError, InputError, UsageError.
    """
    if picture is not None and picture.suffix not in _PICTURES:
        raise UsageError(f'--picture: found "{picture.name}"; expected a name that ends in .svg or .png.')
    if picture is not None and not picture.resolve().parent.is_dir():
        raise UsageError(f"--picture: there is no folder {picture.parent}. Make it first, or name another.")
    reading = Reading(job, "", "", {})
    if not reading.is_job:
        raise UsageError("A meter file alone has no loads and no rules. Give a job: its folder or its job.toml.")
    with watching(quiet=json) as progress:
        assessment = assess(reading, progress)
        question = assessment.question()
        first = _day(begins, "--from") if begins else question.busiest()
        tried = None if control is None else load_trial(control, assessment.job)
        made = question.simulate(first, _day(ends, "--to") if ends else first, tried, progress)
        spec = assessment.job.spec
        drawn = None if picture is None else _drawn(picture, made, spec, tried or spec.control, assessment.show)
    if json:
        said = {"picture": str(drawn) if drawn else None, **simulation_json(made, assessment.job.clock, assessment.show)}
        say(to_json(SCHEMA, said))
        return
    _shown(made, control, assessment.show, own=own)
    if drawn:
        say(str(drawn))


def _day(text: str, option: str) -> dt.date:
    try:
        return dt.date.fromisoformat(text)
    except ValueError as error:
        raise UsageError(f'{option}: found "{text}"; expected a day such as 2025-07-12.') from error


def _drawn(path: Path, made: Simulated, spec: JobSpec, rules: Control, show: Show) -> Path:
    from wattwright.charts.render import picture_file, png, titled

    picture = simulated_picture(made, spec, rules, show)
    if path.suffix == ".svg":
        return write_text(path, picture_file(picture))
    return write_bytes(path, png(titled(picture)))


def _shown(made: Simulated, control: Path | None, show: Show, *, own: bool) -> None:
    console, peak = tables.new_console(), highest(made)
    under = "today's rules" if control is None else f"the rules in {control.name}"
    told = (
        f", simulated under {under}: the site uses {show.energy(made.outcome.balance.site)}{tables.RAISED['s']} and reaches "
        f"{show.kilowatts(peak.power_w)}{tables.RAISED['s']} over a minute on {show.time(peak.at_s)}."
    )
    console.print(Text.assemble((period_words(made, show), "bold"), told))
    figures = [*_peaks(made, show), *_response(made, show), *_sources(made, show), *_money(made, show)]
    console.print(Padding(tables.pairs(figures), (0, 2)))
    loads = did(made)
    _loads(loads, show, console)
    _strips(loads, made, show, console)
    _switchings(made, show, console, own=own)
    tables.findings(made.findings, show, console, placed=True)
    console.print(Text(f"{tables.RAISED['s']} {WORDS[Basis.SIMULATED]}", style="dim"))
    console.print(Text(_CAUTION, style="dim"))


def _peaks(made: Simulated, show: Show) -> Iterator[tuple[str, str]]:
    """Yield the highest mean import over each window, the highest moment, and each conductor's current beside its rating."""
    mark = tables.RAISED["s"]
    for peak in () if made.scenario.supply.stands_alone else made.outcome.peaks:
        yield f"import over {show.duration(peak.window_s)}", f"{show.kilowatts(peak.power_w)}{mark}  on {show.time(peak.start_s)}"
    yield "site at any moment", f"{show.kilowatts(float(made.run.peak_w.max()))}{mark} at most"
    for name, most_va, what, rating_va in apparent(made):
        rated = "" if rating_va is None else f", {what} rated {show.plain(round(rating_va / 1000, 2))} kVA"
        yield name, f"up to {show.fixed(most_va / 1000, 2)} kVA{mark}{rated}, starts of motors included"
    for one in made.outcome.conductors:
        rating = "" if one.rating_a is None else f", rated {show.plain(one.rating_a)} A"
        yield f"conductor {one.name}", f"up to {show.number(one.highest_a)} A{mark}{rating}, starts of motors included"


def _response(made: Simulated, show: Show) -> Iterator[tuple[str, str]]:
    """Yield how long shedding takes with its working; one second more is the engine's own."""
    one = made.response
    if one is None or not one.load:
        return
    parts = [
        f"{name} {show.duration(time_s)}"
        for name, time_s in (
            ("measuring", one.interval_s),
            ("report", one.report_s),
            ("delay", one.delay_s),
            (f"{one.place} {'load' if one.place == 1 else 'loads'} before it", one.place * one.next_s),
            ("its link", one.link_s),
        )
        if time_s
    ]
    working = " + ".join(parts) or "all at once"
    name = made.names.get(one.load, one.load)
    yield "shedding takes", f"up to {show.duration(one.total_s)}, to the last of its order, {name}: {working}"


def _sources(made: Simulated, show: Show) -> Iterator[tuple[str, str]]:
    """Yield the energies through the supply, where it is more than a connection that only gives."""
    balance = made.outcome.balance
    energies = (
        ("PV", balance.pv), ("PV that nothing took", balance.spilled), ("given back to the grid", balance.exported),
        ("into the battery", balance.charge), ("out of the battery", balance.discharge), ("generator", balance.generator),
        ("not served in the dark", balance.unserved),
    )  # fmt: skip
    for name, energy_kwh in energies:
        if energy_kwh > 0.0:
            yield name, f"{show.energy(energy_kwh)}{tables.RAISED['s']}"


def _money(made: Simulated, show: Show) -> Iterator[tuple[str, str]]:
    mark, stores = tables.RAISED["s"], made.stores
    if abs(stores.stored_kwh) >= _LEAST_KWH:
        told = f"{show.energy(stores.stored_kwh)}{mark}"
        if stores.worth is not None and stores.price is not None:
            told += (
                f", worth {show.money(stores.worth)}{mark}: {show.energy(stores.electric_kwh)} of electric energy at "
                f"{show.plain(stores.price.amount)} {stores.price.currency} a kWh, the price at the end"
            )
        yield "stores, end less beginning", told
    if made.bill is None:
        return
    before = "" if made.bill_today is None else f", under today's rules {show.money(made.bill_today.money)}"
    yield "these days would cost", f"{show.money(made.bill.money)}{tables.RAISED['s']}{before}"


def _loads(loads: Sequence[Did], show: Show, console: Console) -> None:
    """List what each load did, and below it what each lacked."""
    table = _words_and_figures(("Load",), ("Energy kWh", "Ran h", "Starts", "Most in 1 h", "Switched", "Shed"))
    for one in loads:
        made = one.outcome
        counts = (made.starts, made.starts_in_hour, one.switchings, made.shed)
        table.add_row(one.id, show.fixed(made.energy_kwh, 2), show.fixed(made.running_h, 2), *map(str, counts))
    console.print(table)
    for one in loads:
        short = one.outcome.comfort
        if short is not None:
            console.print(f"  {one.id}: {show.number(short.amount)} {short.unit} {short.what}")


def _switchings(made: Simulated, show: Show, console: Console, *, own: bool) -> None:
    listed = [one for one in happenings(made) if own or not one.own]
    if not listed:
        console.print("  No contact was switched.")
        return
    skipped = len(f"{made.begins}") + 1 if made.begins == made.ends else 0
    table = _words_and_figures(("No.", "When", "What", "Does", "Why"), ())
    for number, one in enumerate(listed[:_MOST_ROWS], start=1):
        table.add_row(str(number), show.time(int(one.at_s))[skipped:], one.load or "the supply", one.what, one.why)
    console.print(table)
    if len(listed) > _MOST_ROWS:
        console.print(f"  {show.fixed(len(listed) - _MOST_ROWS, 0)} more; --json lists them all.")


def _words_and_figures(words: Sequence[str], figures: Sequence[str]) -> Table:
    table = Table(box=None, header_style="dim", padding=(0, 1))
    for name in words:
        table.add_column(name, overflow="fold")
    for name in figures:
        table.add_column(name, justify="right", no_wrap=True)
    return table


def _strips(loads: Sequence[Did], made: Simulated, show: Show, console: Console) -> None:
    """Draw a line for each load: full where it ran, thin where it was fed, a dot where it was not."""
    span = made.scenario.span
    each_s = (span.end_s - span.start_s) / _STRIP
    for one in loads:
        cells = "".join(_mark(one, k * each_s, each_s) for k in range(_STRIP))
        console.print(Text(f"  {one.id}", style="dim"))
        console.print(f"  {cells}", no_wrap=True, overflow="crop")
    told = f"  Each mark is {show.duration(each_s)} from {show.time(span.start_s)}: █ ran, ─ fed, · not fed."
    console.print(Text(told, style="dim"))


def _mark(one: Did, begins: float, length: float) -> str:
    if _meets(one.runs, begins, length):
        return "█"
    return "─" if _meets(one.fed, begins, length) else "·"


def _meets(spans: Sequence[tuple[float, float]], begins: float, length: float) -> bool:
    return any(a < begins + length and b > begins for a, b in spans)
