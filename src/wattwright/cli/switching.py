"""The options of ``demand`` about loads found in the record: shown, proposed for the survey, and accepted into it."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from wattwright.cli import tables
from wattwright.cli.options import Reading
from wattwright.core.errors import UsageError
from wattwright.core.show import THIN, Show
from wattwright.demand.switched.analyse import Switched, SwitchedLoad
from wattwright.demand.switched.json_form import of_day, switched_json
from wattwright.job.answers import job_of
from wattwright.job.found import accept_load, proposal_lines


@dataclass(frozen=True, slots=True)
class Accepted:
    """Loads that were found, those of them a person accepts, and the job file whose survey they go into."""

    found: Switched
    taken: tuple[SwitchedLoad, ...]
    job_file: Path | None

    def entries(self) -> dict[str, Any]:
        """Return what the loads found add to the demand as plain data."""
        return switched_json(self.found, ["\n".join(proposal_lines(one)) for one in self.found.loads])

    def write(self) -> list[str]:
        """Write what is accepted into the survey and return a sentence on each. Raises FileError, JobError, UsageError."""
        said = []
        if self.job_file is not None:
            for one in self.taken:
                accept_load(self.job_file, one)
                said.append(f"{self.job_file}: {one.id} written into the survey. Say there what it is.")
        return said


def accepted(reading: Reading, found: Switched, accept: tuple[str, ...]) -> Accepted:
    """Return the loads found with those a person accepts by name. Raises UsageError for a wrong name or where there is no job."""
    return Accepted(found, tuple(_wanted(found, one) for one in accept), _job_file(reading) if accept else None)


def _job_file(reading: Reading) -> Path:
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


def show_found(found: Switched, show: Show) -> None:
    """Show the loads found in the record, when each is on, and the lines that would take one into a survey."""
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
    tables.findings(found.findings, show, console)
    if found.loads:
        console.print(Text("To take one into the survey of a job: --accept and its name, or write", style="dim"))
        for line in proposal_lines(found.loads[0]):
            console.print(Text(f"      {line}"))


def _when(one: SwitchedLoad, is_exact: bool, show: Show, console: Console) -> None:
    times = one.times
    windows = ", ".join(f"{of_day(w.begins_s)} to {of_day(w.ends_s)} ({show.percent(w.share, 2)})" for w in times.windows)
    run = f"; runs of {show.duration(times.run_s[1])} in the middle" if is_exact else ""
    days = f"on {show.percent(times.days_share, 2)} of the days"
    console.print(Padding(Text(f"{one.id}:{THIN}{times.pattern.value}, {days}, mostly {windows}{run}"), (0, 0, 0, 2)))
