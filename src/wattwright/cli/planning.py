"""The verb that seeks a plan: options side by side, their settings, and how far each is from the best anyone could do."""

import datetime as dt
from contextlib import ExitStack
from pathlib import Path

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from wattwright.cli import tables
from wattwright.cli.options import Reading
from wattwright.cli.verbs import assess, say
from wattwright.cli.watching import watching
from wattwright.core.basis import WORDS, Basis
from wattwright.core.envelope import to_json
from wattwright.core.errors import UsageError
from wattwright.core.findings import gravest_first
from wattwright.core.labour import Labour
from wattwright.core.show import Show
from wattwright.core.units import parse
from wattwright.job.plan_json import SCHEMA, plan_json
from wattwright.job.plan_spec import Objective
from wattwright.job.planning import PlanCase
from wattwright.job.quoting import Days
from wattwright.plan.options import Option, Planned
from wattwright.plan.search import Effort
from wattwright.plan.settings import settings
from wattwright.plan.shed.json_form import shed_json
from wattwright.plan.shed.results import ShedCheck
from wattwright.plan.shed.table import case_rows, limit_lines, return_rows
from wattwright.work.journal import Journal, Kept
from wattwright.work.processes import Processes, usual_count
from wattwright.work.seeking import LabourFor, seek_plan

_OBJECTIVES: tuple[Objective, ...] = ("cost", "peak", "own-use", "autonomy")
_CAUTION = (
    "Control is not protection: cable, breaker and supply are rated as if nothing were ever switched off. Mains work is for "
    "licensed people. Hot water under 60 °C may breed Legionella, above 50 °C it scalds: keep to the regime of the premises."
)

_LONG_YEARS = 50
"""Contactors are replaced for other reasons before that."""


class Wish:
    """What was asked for on the command line."""

    def __init__(self, objective: str, budget: str, plans: int, processes: int, journal: Path | None, *, anew: bool) -> None:
        """Take the options as written; raises UsageError where one cannot be."""
        if objective and objective not in _OBJECTIVES:
            raise UsageError(f'--objective: found "{objective}"; expected one of {", ".join(_OBJECTIVES)}.')
        if anew and journal is None:
            raise UsageError("--anew begins a journal anew: name it with --journal.")
        self.objective: Objective | None = next((one for one in _OBJECTIVES if one == objective), None)
        budget_s = parse(budget, "s", "--budget") if budget else None
        if budget_s is not None and budget_s <= 0.0:
            raise UsageError(f'--budget: found "{budget}"; expected a time above nought, such as "60s".')
        self.effort = Effort(plans, budget_s)
        self.processes, self.journal, self.anew = processes or usual_count(), journal, anew

    def labour_in(self, stack: ExitStack) -> LabourFor:
        """Return who does the work, ended with the stack: processes, with the journal around them where one is wished."""

        def labour_for(mark: str) -> Labour:
            processes = stack.enter_context(Processes(self.processes))
            if self.journal is None or not mark:
                return processes
            return Kept(processes, stack.enter_context(Journal(self.journal, mark, anew=self.anew)))

        return labour_for


def plan_job(job: Path, begins: str, ends: str, wish: Wish, json: bool) -> None:
    """Seek a plan for a job over days of its record and show the options.

    Raises FileError, RecordError, JobError, InputError, TariffError, UsageError, Cancelled.
    """
    reading = Reading(job, "", "", {})
    if not reading.is_job:
        raise UsageError("A meter file alone has no loads and no rules. Give a job: its folder or its job.toml.")
    with watching(quiet=json) as progress:
        assessment = assess(reading, progress)
        question = assessment.question()
        days = days_of((begins, ends), question.days())
        with ExitStack() as stack:
            asked, made, shed = seek_plan(
                assessment, question, days, wish.objective, wish.effort, wish.labour_in(stack), progress
            )
    if json:
        told = {**plan_json(asked, made, assessment.show), "shed_check": shed_json(shed, assessment.show)}
        say(to_json(SCHEMA, told))
        return
    _shown(asked, made, shed, assessment.show)


def days_of(told: tuple[str, str], known: Days) -> Days:
    """Return the first and the last day as written, those of the record where left out. Raises UsageError."""
    return _day(told[0], "--from") if told[0] else known[0], _day(told[1], "--to") if told[1] else known[1]


def _day(text: str, option: str) -> dt.date:
    try:
        return dt.date.fromisoformat(text)
    except ValueError as error:
        raise UsageError(f'{option}: found "{text}"; expected a day such as 2025-07-12.') from error


def _shown(asked: PlanCase, made: Planned, shed: ShedCheck, show: Show) -> None:
    console, case = tables.new_console(), asked.case
    span = case.scenario.span
    currency = "" if case.tariff is None else case.tariff.currency
    console.print(
        Text.assemble(
            (f"{span.clock.day_of(span.start_s)} to {span.clock.day_of(span.end_s - 1)}", "bold"),
            f" ({show.fixed(case.length_days, 0)} d), {made.found.evaluations} plans tried on the engine{tables.RAISED['s']}; "
            "even knowing the future, nobody "
            f"could come below {_value(made.bound.value, case.unit, show)} (steps of {show.duration(made.bound.step_s)}).",
        )
    )
    console.print(_side_by_side(made, currency, show))
    best = made.best
    for number, one in enumerate(settings(case, best), start=1):
        console.print(Text(f"{number}. {one.load}: {one.family} ({one.controller})", style="bold"))
        for entry in one.entries:
            console.print(Padding(Text(entry), (0, 4)))
        console.print(Padding(Text(f"{one.reason}; {one.margin}. Test: {one.test}", style="dim"), (0, 4)))
    _trust(best, case.unit, show, console)
    _apart(made, case.unit, show, console)
    _in_time(shed, show, console)
    tables.findings(gravest_first((*shed.findings, *made.findings, *asked.findings)), show, console, placed=True)
    console.print(Text(f"{tables.RAISED['s']} {WORDS[Basis.SIMULATED]}", style="dim"))
    console.print(Text(_CAUTION, style="dim"))


def _side_by_side(made: Planned, currency: str, show: Show) -> Table:
    table = Table(box=None, header_style="dim", padding=(0, 1), collapse_padding=True, pad_edge=False)
    table.add_column("Option", no_wrap=True, vertical="bottom")
    cost = f"Cost\n{currency}" if currency else "Value"
    for name in ("Rules", "Gear", cost, f"Saves\n{made.case.unit}", "Of\nmost", "Peak\nkW", "Moves\na day"):
        table.add_column(name, justify="right", no_wrap=True, vertical="bottom")
    for one in made.options:
        figures = one.tried.figures
        table.add_row(
            one.name, str(len(one.tried.plan)), str(len(one.controllers)),
            show.fixed(figures.cost if currency else figures.value, 2), show.fixed(one.saving, 2), show.percent(one.gap_share),
            show.fixed(figures.peak_w / 1000.0, 2), show.fixed(one.moves_a_day, 1),
        )  # fmt: skip
    return table


def _trust(best: Option, unit: str, show: Show, console: Console) -> None:
    figures = []
    if best.held_out is not None:
        seen, unseen = show.fixed(best.held_out.seen, 2), show.fixed(best.held_out.unseen, 2)
        told = f"saves {seen} {unit} by those the search saw, {unseen} by the others"
        figures.append(("held-out weeks", told))
    if best.band is not None:
        figures.append(("weeks drawn anew", f"saves {show.fixed(best.band.low, 2)} to {show.fixed(best.band.high, 2)} {unit}"))
    for one in best.changes:
        kept = "" if one.kept else ", and comfort is not kept"
        figures.append((one.change, f"saves {show.fixed(one.saving, 2)} {unit}{kept}"))
    if best.contact_years is not None:
        years = f"over {_LONG_YEARS}" if best.contact_years > _LONG_YEARS else show.fixed(best.contact_years, 0)
        figures.append(("busiest contact", f"{show.fixed(best.moves_a_day, 1)} moves a day; a contactor lasts {years} years"))
    if figures:
        console.print(Padding(tables.pairs(figures), (0, 2)))


def _apart(made: Planned, unit: str, show: Show, console: Console) -> None:
    """Say what separates the best option from the bound."""
    parts = made.gap
    if parts is None:
        console.print(
            Padding(Text("What separates the best from the bound is told in parts only where money alone counts."), (0, 2))
        )
        return
    hours = (
        f"{_value(parts.hours, unit, show)}: rules hold all days of a kind alike" if parts.hours >= 0.0
        else f"{_value(-parts.hours, unit, show)} less: what is used more is used at less than the mean price"
    )  # fmt: skip
    own = [("PV and battery", f"{_value(parts.own, unit, show)}: more PV given away, more taken by battery and inverter")]
    told = [
        ("from the bound", _value(parts.whole, unit, show)),
        ("heat kept ready", f"{_value(parts.energy, unit, show)}: energy used more, at the bound's mean price"),
        *(own if parts.own else []),
        ("dearer hours" if parts.hours >= 0.0 else "cheaper hours", hours),
        ("finer times", f"to 5 min would save about {_value(parts.grid, unit, show)} of it"),
        ("higher peaks", _value(parts.demand, unit, show)),
        ("comfort as today", f"would cost the bound {_value(parts.comfort, unit, show)} more"),
    ]  # fmt: skip
    console.print(Padding(tables.pairs(told), (0, 2)))


def _in_time(shed: ShedCheck, show: Show, console: Console) -> None:
    """Say for each limit of the supply what everything together takes, and what becomes of it in each case."""
    for line in limit_lines(shed, show):
        console.print(Text(line))
    for limit, case, comes, kw, amps, times, borne, trips, *_ in case_rows(shed, show):
        told = f"{limit}, {case}: {comes}; {kw} kW, {amps} A, {times} times its rating, borne {borne}; trips {trips}"
        console.print(Padding(Text(told), (0, 4)))
    for limit, after, kw, amps, times, stagger, enough in return_rows(shed, show):
        told = f"{limit}, after {after}: {kw} kW, {amps} A, {times} times; stagger {stagger}, enough {enough}"
        console.print(Padding(Text(told), (0, 4)))


def _value(value: float, unit: str, show: Show) -> str:
    return f"{show.fixed(value, 2)} {unit}".strip()
