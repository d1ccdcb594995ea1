"""The options of ``demand`` about loads found in the record: shown, proposed for the survey, and accepted into it."""

from collections.abc import Sequence
from pathlib import Path

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from wattwright.cli import tables
from wattwright.cli.options import Reading
from wattwright.core.calendar import Days
from wattwright.core.clock import SiteClock
from wattwright.core.errors import UsageError
from wattwright.core.show import THIN, Show
from wattwright.demand.switched.analyse import Switched, SwitchedLoad
from wattwright.demand.switched.json_form import of_day
from wattwright.job.answers import job_of
from wattwright.job.found import fitting, proposal_lines, proposed
from wattwright.job.loads import LoadSpec
from wattwright.job.refused import Refused


def accepted(found: Switched | None, names: tuple[str, ...]) -> list[SwitchedLoad]:
    """Return the loads of these names. Raises UsageError where one is not among those found."""
    return [_wanted(found, one) for one in names] if found is not None else []


def job_file_of(reading: Reading) -> Path:
    """Return the job file that accepted loads go into: the source itself, or the one that names the meter file."""
    if reading.is_job:
        return reading.source / "job.toml" if reading.source.is_dir() else reading.source
    found = job_of(reading.source)
    if found is None:
        name = reading.source.name
        raise UsageError(f"No job file beside {name} names it. Begin one: wattwright new . --record {name}")
    return found


def _wanted(found: Switched, id_: str) -> SwitchedLoad:
    try:
        return found.load(id_)
    except KeyError as error:
        raise UsageError(f"--accept: {error.args[0]}.") from error


def show_found(found: Switched, survey: Sequence[LoadSpec], refused: Sequence[Refused], days: Days, show: Show) -> None:
    """Show the loads found in the record of these days, when they are on, which of the survey each may be, and what takes one in.

    Those that the job refuses are named with the reason alone.
    """
    console = tables.new_console()
    console.print(Text("Loads found in the record", style="bold"))
    if found.loads:
        table = tables.new_table("Load", "Level", "Energy", "Share", "On", "Runs", "Confidence")
        for one in found.loads:
            table.add_row(
                one.id,
                show.power(one.level_w),
                show.energy(one.energy_kwh),
                show.percent(one.energy_share),
                show.percent(one.duty),
                show.fixed(one.times.starts, 0) if found.is_exact else "",
                show.percent(one.confidence, 2),
            )
        tables.print_table(table, console)
    for one in found.loads:
        _when(one, found.is_exact, show, console)
        if survey:
            console.print(Padding(Text(_in_survey(one, survey, show)), (0, 0, 0, 4)))
    for gone in refused:
        told = f"{gone.load.id}:{THIN}refused in the job: {gone.by.reason}"
        console.print(Padding(Text(told, style="dim"), (0, 0, 0, 2)))
    tables.findings(found.findings, show, console)
    new = [one for one in found.loads if not fitting(one, survey)]
    if new:
        console.print(Text("To take one into the survey of a job: --accept and its name, or write", style="dim"))
        for line in proposal_lines(proposed(new[0], days, SiteClock(found.zone))):
            console.print(Text(f"      {line}"))
        console.print(Text("If it is none: an entry [[not_loads]] with its level and the reason", style="dim"))


def _in_survey(one: SwitchedLoad, survey: Sequence[LoadSpec], show: Show) -> str:
    """Return which loads of the survey it may be."""
    fits = ", or ".join(f"{load.name} of {show.power(load.rating_w)}" for load in fitting(one, survey))
    return (
        f"by its level it may be {fits}, in the survey" if fits else "no load of the survey has its level: see on site what it is"
    )


def _when(one: SwitchedLoad, is_exact: bool, show: Show, console: Console) -> None:
    times = one.times
    windows = ", ".join(f"{of_day(w.begins_s)} to {of_day(w.ends_s)} ({show.percent(w.share, 2)})" for w in times.windows)
    run = f"; runs of {show.duration(times.run_s[1])} in the middle" if is_exact else ""
    days = f"on {show.percent(times.days_share, 2)} of the days"
    console.print(Padding(Text(f"{one.id}:{THIN}{times.pattern.value}, {days}, mostly {windows}{run}"), (0, 0, 0, 2)))
