"""The options of ``demand`` about loads found in the record: shown, proposed for the survey, and accepted into it."""

from pathlib import Path

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from wattwright.cli import tables
from wattwright.cli.options import Reading
from wattwright.cli.verbs import assess, say
from wattwright.cli.watching import watching
from wattwright.core.envelope import to_json
from wattwright.core.errors import UsageError
from wattwright.core.show import THIN, Show
from wattwright.demand.json_form import SCHEMA, demand_json
from wattwright.demand.switched.analyse import Switched, SwitchedLoad
from wattwright.demand.switched.json_form import of_day, switched_json
from wattwright.job.answers import job_of
from wattwright.job.found import accept_load, proposal_lines


def show_switched(reading: Reading, accept: tuple[str, ...], json: bool) -> None:
    """Show the demand with the loads found in the record, and write those accepted into the job file.

    Raises FileError, RecordError, JobError, UsageError.
    """
    job_file = _job_file(reading) if accept else None
    with watching(quiet=json) as progress:
        assessment = assess(reading, progress)
        demand, record, found = assessment.demand(), assessment.record(), assessment.switched()
    taken = [_wanted(found, one) for one in accept]
    if json:
        told = demand_json(demand, record, assessment.show)
        told |= switched_json(found, ["\n".join(proposal_lines(one)) for one in found.loads])
        told["findings"] = [*told["findings"], *(one.as_json(assessment.show) for one in found.findings)]
        say(to_json(SCHEMA, told))
    else:
        tables.demand(demand, record, assessment.show)
        _shown(found, assessment.show)
    for one in taken:
        if job_file is not None:
            accept_load(job_file, one)
            if not json:
                say(f"{job_file}: {one.id} written into the survey. Say there what it is.")


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


def _shown(found: Switched, show: Show) -> None:
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
