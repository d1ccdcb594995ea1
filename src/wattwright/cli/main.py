"""The verbs of the command line. Only this module and typer are loaded to show help; a verb loads what it needs when called."""

import sys
from pathlib import Path
from typing import Annotated

import typer

from wattwright import __version__
from wattwright.cli import options as opt
from wattwright.cli.circuit_options import of_circuit
from wattwright.cli.voice import Verbs

app = typer.Typer(
    name="wattwright",
    cls=Verbs,
    help="From a meter file to decisions about metering and load control.",
    epilog="Exit codes: 0 fine, 1 bad input, 2 wrong usage, 3 a fault of ours.",
    no_args_is_help=True,
    add_completion=True,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"wattwright {__version__}")
        raise typer.Exit


@app.callback()
def main(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and stop.")
    ] = False,
) -> None:
    """From a meter file to decisions about metering and load control."""


@app.command()
def new(
    folder: Annotated[Path, typer.Argument(help="Folder for the job; made if it is not there.")],
    name: Annotated[str, typer.Option("--name", help="Name of the job; the folder's name if left out.")] = "",
    zone: opt.Zone = "UTC",
    record: Annotated[str, typer.Option("--record", help="Path of a meter file, from the folder.")] = "",
    json: opt.Json = False,
) -> None:
    """Write a commented job file to fill in.

    Example: wattwright new almond-terrace --zone Europe/Athens --record readings.csv
    """
    from wattwright.cli.verbs import new_job

    new_job(folder, name or folder.resolve().name, zone, record, json)


@app.command()
@opt.of_reading("channel", "gaps")
def record(
    reading: opt.Reading,
    look: opt.LookAt = False,
    write: Annotated[bool, typer.Option("--write", help="With --look: write the answers into the job file.")] = False,
    file: Annotated[str, typer.Option("--file", help="With --look and a job: id of the one file to look at.")] = "",
    json: opt.Json = False,
) -> None:
    """Say what a meter file is: its layout and why, channels, step, gaps, findings.

    Example: wattwright record readings.csv --zone Europe/Athens --look
    """
    from wattwright.cli.looking import show_looks, tell_readings
    from wattwright.cli.verbs import show_record

    if look or write or file:
        show_looks(reading, look, write, file, json)
        return
    show_record(reading, json, tell_readings)


@app.command()
@opt.of_reading()
def demand(
    reading: opt.Reading,
    peaks: Annotated[bool, typer.Option("--peaks", help="Tell the peaks that the means hide, as bands.")] = False,
    each: Annotated[bool, typer.Option("--each", help="With --json: the band of every interval too.")] = False,
    calibrate: Annotated[
        Path | None, typer.Option("--calibrate", help="Finer readings of the same supply, which calibrate the peaks.")
    ] = None,
    limit: Annotated[str, typer.Option("--limit", help='Tell how often peaks pass a limit, such as "9 kW" or "40 A".')] = "",
    switched: Annotated[
        bool, typer.Option("--switched", help="Find loads that switch in the record: level, times, energy, confidence.")
    ] = False,
    accept: Annotated[
        list[str] | None,
        typer.Option("--accept", help="With --switched: name of a found load to write into the job file's survey; repeatable."),
    ] = None,
    days: Annotated[
        bool, typer.Option("--days", help="Tell groups of like days, breaks, base load, and how energy follows the temperature.")
    ] = False,
    survey: Annotated[
        bool, typer.Option("--survey", help="Hold the survey of a job against the record: what adds up, and where to look.")
    ] = False,
    weather: Annotated[
        Path | None,
        typer.Option("--weather", help="With --days or --year: a file of measured weather of the same place and days."),
    ] = None,
    quality: Annotated[
        bool, typer.Option("--quality", help="Check voltage against its band, tell unbalance and power factor, propose limits.")
    ] = False,
    year: Annotated[
        bool, typer.Option("--year", help="Make a year of a shorter record, with a band and what it cannot tell.")
    ] = False,
    bills: Annotated[
        Path | None, typer.Option("--bills", help="With --year: a TOML file of paid bills, held against the record.")
    ] = None,
    json: opt.Json = False,
) -> None:
    """Say what the site uses and when: energy, base load, maximum demand, load factor, peaks.

    Example: wattwright demand readings.csv --zone Europe/Athens --peaks --json
    """
    from wattwright.cli.demanding import Asked, show_demand
    from wattwright.cli.peaks import PeakChoice

    choice = PeakChoice(each, calibrate, limit) if peaks or each or calibrate is not None or limit else None
    found = switched or bool(accept)
    annual = year or bills is not None
    told_days = days or (weather is not None and not annual)
    asked = Asked(choice, found, tuple(accept or ()), told_days, survey, weather, quality, annual, bills)
    show_demand(reading, asked, json)


@app.command()
@opt.of_reading()
def bill(
    reading: opt.Reading,
    tariff: opt.TariffFile = None,
    paid: opt.Paid = "",
    compare: opt.Compare = None,
    json: opt.Json = False,
) -> None:
    """Work out the bill: every line, month by month, exact to the cent; and hold tariffs side by side.

    Example: wattwright bill readings.csv --tariff tariff.toml --zone Europe/Athens
    """
    from wattwright.cli.verbs import show_bill

    show_bill(reading, tariff, paid, tuple(compare or ()), json)


@app.command()
@opt.of_reading()
def handover(
    reading: opt.Reading,
    into: Annotated[Path | None, typer.Option("--into", help="Folder for the papers; beside the source if left out.")] = None,
    survey: Annotated[
        bool, typer.Option("--survey", help="Of a job only what the visit needs, also before there are readings.")
    ] = False,
    tariff: opt.TariffFile = None,
    paid: opt.Paid = "",
    compare: opt.Compare = None,
    json: opt.Json = False,
) -> None:
    """Write the papers: report as PDF and as one HTML file, workbook with readings and tables, logging plan and survey sheet.

    Example: wattwright handover readings.csv --zone Europe/Athens --into papers
    """
    from wattwright.cli.verbs import write_handover, write_visit

    if survey:
        write_visit(reading, into, bool(tariff or paid or compare), json)
        return
    write_handover(reading, into, tariff, paid, tuple(compare or ()), json)


@app.command()
@opt.of_reading("channel", "gaps")
def export(
    reading: opt.Reading,
    to: Annotated[
        Path, typer.Option("--to", help="File to write: its end .csv, .xlsx, .parquet, .jsonl or .xml says the format.")
    ],
    step: Annotated[
        str | None,
        typer.Option(
            "--step", help='Step to write, such as "15 min" or "1 d"; a multiple of the record\'s own. Days are the site\'s.'
        ),
    ] = None,
    channels: Annotated[
        list[str] | None, typer.Option("--channel", help="Id or column of a channel to write; repeatable.")
    ] = None,
    local: Annotated[
        bool, typer.Option("--local", help="Write stamps on the site's clock with their offset, not in UTC.")
    ] = False,
    json: opt.Json = False,
) -> None:
    """Write the readings in an open format, with units and the quality of each: CSV, XLSX, Parquet, JSON Lines or ESPI XML.

    Example: wattwright export readings.csv --zone Europe/Athens --to hours.xlsx --step "1 h"
    """
    from wattwright.cli.exporting import export_record

    export_record(reading, to, step, channels or [], local, json)


@app.command()
def simulate(
    job: Annotated[Path, typer.Argument(help="A job: its folder or its job.toml.", show_default=False)],
    begins: Annotated[
        str, typer.Option("--from", help="First day, such as 2025-07-12; the day of the highest reading if left out.")
    ] = "",
    ends: Annotated[str, typer.Option("--to", help="Last day, included; the first if left out.")] = "",
    control: Annotated[
        Path | None, typer.Option("--control", help="File with rules to try in place of the job's, in [control] tables as there.")
    ] = None,
    picture: Annotated[Path | None, typer.Option("--picture", help="Draw it into this file, .svg or .png.")] = None,
    own: Annotated[bool, typer.Option("--own", help="List what loads do by their own thermostats too.")] = False,
    json: opt.Json = False,
) -> None:
    """Simulate days of a job minute by minute: who switched what, when and why.

    Example: wattwright simulate demo-job --control demo-job/trial.toml --picture day.svg
    """
    from wattwright.cli.simulating import simulate_job

    simulate_job(job, begins, ends, control, picture, own, json)


@app.command()
def plan(
    job: Annotated[Path, typer.Argument(help="A job: its folder or its job.toml.", show_default=False)],
    objective: Annotated[
        str, typer.Option("--objective", help="cost, peak, own-use or autonomy; the job's own if left out.")
    ] = "",
    begins: Annotated[str, typer.Option("--from", help="First day, such as 2025-01-01; that of the record if left out.")] = "",
    ends: Annotated[str, typer.Option("--to", help="Last day, included; that of the record if left out.")] = "",
    budget: Annotated[str, typer.Option("--budget", help='Seek no longer than this, such as "60s"; no new round after it.')] = "",
    plans: Annotated[int, typer.Option("--plans", min=1, max=1_000_000, help="Try this many plans at most.")] = 600,
    processes: Annotated[
        int, typer.Option("--processes", min=0, max=256, help="Processes side by side; 0: one for each core.")
    ] = 0,
    journal: Annotated[
        Path | None, typer.Option("--journal", help="Keep what was tried in this file, and go on from it.")
    ] = None,
    anew: Annotated[bool, typer.Option("--anew", help="Begin the journal anew.")] = False,
    json: opt.Json = False,
) -> None:
    """Seek the rules worth installing, and say how far each option is from the best that anyone could do.

    Example: wattwright plan demo-job --budget 60s
    """
    from wattwright.cli.planning import Wish, plan_job

    plan_job(job, begins, ends, Wish(objective, budget, plans, processes, journal, anew=anew), json)


@app.command()
def supply(
    job: Annotated[Path, typer.Argument(help="A job: its folder or its job.toml.", show_default=False)],
    backup: Annotated[
        str, typer.Option("--backup", help='Carry the site through outages of so long, such as "4h"; the job\'s own if left out.')
    ] = "",
    begins: Annotated[
        str, typer.Option("--from", help="First day it rests on; the longest stretch without a gap if left out.")
    ] = "",
    ends: Annotated[str, typer.Option("--to", help="Last day it rests on, included.")] = "",
    plans: Annotated[
        int, typer.Option("--plans", min=1, max=1_000_000, help="Where no plan is kept yet, try this many at most.")
    ] = 600,
    processes: Annotated[
        int, typer.Option("--processes", min=0, max=256, help="Processes side by side; 0: one for each core.")
    ] = 0,
    json: opt.Json = False,
) -> None:
    """Say what inverter, battery and PV to quote, with today's switching and with the plan, and what that is worth.

    Example: wattwright supply demo-job --backup 4h
    """
    from wattwright.cli.quoting import quote_job

    quote_job(job, backup, (begins, ends), plans, processes, json)


@app.command()
def proof(
    job: Annotated[Path, typer.Argument(help="A job: its folder or its job.toml.", show_default=False)],
    freeze: Annotated[bool, typer.Option("--freeze", help="Freeze baseline, promise and measurement plan at handover.")] = False,
    anew: Annotated[
        bool, typer.Option("--anew", help="With --freeze: in place of what is frozen, if both sides agreed on that.")
    ] = False,
    record: Annotated[
        Path | None, typer.Option("--record", help="Meter file of the time after the measures, read as the job's own.")
    ] = None,
    weather: Annotated[
        Path | None, typer.Option("--weather", help="With --record: a file of measured weather of the same place and days.")
    ] = None,
    json: opt.Json = False,
) -> None:
    """Freeze a promise at handover, and a year later show from the meter what was saved, how surely, and why not more.

    Example: wattwright proof demo-job --freeze
    """
    from wattwright.cli.proving import prove_job

    prove_job(job, freeze, anew, record, weather, json)


@app.command()
def gear(
    job: Annotated[
        Path | None, typer.Argument(help="A job: its folder or its job.toml; none for one load.", show_default=False)
    ] = None,
    load: Annotated[str, typer.Option("--load", help='What it is, such as "water heater" or "pool pump".')] = "",
    power: Annotated[str, typer.Option("--power", help='Rated power, such as "3 kW"; of a motor what its shaft gives.')] = "",
    current: Annotated[str, typer.Option("--current", help='Current on the plate, such as "13 A", in place of the power.')] = "",
    voltage: Annotated[
        str,
        typer.Option(
            "--voltage", help="Voltage between the conductors that feed it; 230, 240 or 400 V by its system if left out."
        ),
    ] = "",
    system: Annotated[str, typer.Option("--system", help="single-phase, split-phase or three-phase.")] = "single-phase",
    power_factor: Annotated[str, typer.Option("--power-factor", help='From its plate, such as "80 %".')] = "",
    efficiency: Annotated[str, typer.Option("--efficiency", help='Of a motor, from its plate, such as "75 %".')] = "",
    rules: Annotated[str, typer.Option("--rules", help="iec or nec; nec for split-phase if left out.")] = "",
    place: Annotated[str, typer.Option("--place", help="indoors, outdoors, bathroom, pool or horticulture.")] = "indoors",
    ambient: Annotated[str, typer.Option("--ambient", help="Air where it hangs.")] = "30 degC",
    a_day: Annotated[float | None, typer.Option("--a-day", help="How often it is switched in a day.", show_default=False)] = None,
    coil: Annotated[str, typer.Option("--coil", help="Voltage for coils; that to neutral if left out.")] = "",
    inrush: Annotated[str, typer.Option("--inrush", help='Inrush peak by the maker of the load, such as "60 A".')] = "",
    controller: Annotated[str, typer.Option("--controller", help="Class of controller that the plan counts on.")] = "",
    control: Annotated[Path | None, typer.Option("--control", help="With a job: rules to equip in place of its own.")] = None,
    senses: Annotated[bool, typer.Option("--senses", help="Switch it by a probe, and choose that too.")] = False,
    catalogue: Annotated[
        list[Path] | None, typer.Option("--catalogue", help="Own range, .toml, .xlsx or .csv; repeatable.")
    ] = None,
    only: Annotated[bool, typer.Option("--only", help="Choose from the own range alone.")] = False,
    json: opt.Json = False,
) -> None:
    """Say what switches a load and why, what was refused by which rule, and what to ask on site.

    Example: wattwright gear --load "water heater" --power "3 kW" --voltage "230 V"
    """
    if job is not None:
        from wattwright.cli.site_gear import job_gear

        job_gear(job, control, json)
        return
    from wattwright.cli.gearing import Circumstances, Plate, quick_gear

    plate = Plate(load, power, current, voltage, system, power_factor, efficiency)
    around = Circumstances(rules, place, ambient, a_day, coil, inrush, controller, senses)
    quick_gear(plate, around, catalogue or [], only=only, json=json)


@app.command()
def drawings(
    job: Annotated[Path, typer.Argument(help="A job: its folder or its job.toml.", show_default=False)],
    into: Annotated[Path, typer.Option("--into", "-o", help="Folder for the drawings.")] = Path("drawings"),
    control: Annotated[Path | None, typer.Option("--control", help="Rules to equip in place of the job's own.")] = None,
    size: Annotated[str, typer.Option("--size", help="A4, A3, Letter or Tabloid; that of the job's papers if left out.")] = "",
    json: opt.Json = False,
) -> None:
    """Draw the wiring of each load and the single-line diagram, with terminal and cable schedules.

    Example: wattwright drawings demo-job -o drawings
    """
    from wattwright.cli.drawing import draw_job

    draw_job(job, into, control, size, json)


@app.command()
def calibrate(
    job: Annotated[Path, typer.Argument(help="A job: its folder or its job.toml.", show_default=False)],
    json: opt.Json = False,
) -> None:
    """Fit today's loads to the record: what it can tell of each, with 90 % intervals, and what it cannot.

    Example: wattwright calibrate demo-job
    """
    from wattwright.cli.calibrating import calibrate_job

    calibrate_job(job, json)


@app.command()
@opt.gathered(of_circuit, "asked")
def circuit(asked: dict[str, object], json: opt.Json = False) -> None:
    """Design one circuit: breaker and cable, every rule with its clause and margin, and what to ask on site.

    Example: wattwright circuit --power "3 kW" --voltage "230 V" --length "20 m" --method C
    """
    from wattwright.cli.circuiting import show_circuit

    show_circuit(asked, json)


@app.command()
def desk(
    source: opt.DeskSource = None,
    zone: opt.Zone = "",
    port: Annotated[int, typer.Option("--port", min=0, max=65535, help="Port on this machine; 0 takes any free one.")] = 9288,
    folder: opt.DeskFolder = None,
    database: opt.Database = "",
) -> None:
    """Work on jobs in the browser, on this machine only, from a meter file to the papers; Control-C ends it.

    Example: wattwright desk demo-job
    """
    from wattwright.cli.desking import open_desk

    open_desk(None if source is None else opt.Reading(source, zone, "", {}), port, folder, database)


@app.command()
def jobs(
    give: opt.Give = "",
    into: opt.GiveInto = None,
    take: opt.Take = None,
    folder: opt.DeskFolder = None,
    database: opt.Database = "",
    json: opt.Json = False,
) -> None:
    """List the jobs of the desk; write one into a folder (job.toml, meter files, photos), or take one from there.

    Example: wattwright jobs --take demo-job
    """
    from wattwright.cli.jobs import desk_jobs

    desk_jobs((folder, database), give, into, take, json)


@app.command()
def demo(
    into: Annotated[Path, typer.Option("--into", help="Folder for the demo job; made if it is not there.")] = Path("demo-job"),
    after: Annotated[bool, typer.Option("--after", help="Write the meter file of the year after, for wattwright proof.")] = False,
    json: opt.Json = False,
) -> None:
    """Write the whole invented demo job: job file, meter files, tariffs and papers.

    Example: wattwright demo --into demo-job
    """
    from wattwright.cli.verbs import write_demo, write_year_after

    (write_year_after if after else write_demo)(into, json)


@app.command()
def check(
    only: Annotated[str, typer.Option("--only", help="Show checks whose id begins so, such as tariff.")] = "",
    json: opt.Json = False,
) -> None:
    """Compare wattwright with published values on this machine: every registered check, its source and deviation.

    Example: wattwright check --only tariff
    """
    from wattwright.cli.verbs import show_checks

    show_checks(only, json)


@app.command()
def glossary(
    word: Annotated[str, typer.Argument(help="Part of a word; all of them if left out.")] = "",
    markdown: Annotated[bool, typer.Option("--markdown", help="Write it as a page of the documentation.")] = False,
    json: opt.Json = False,
) -> None:
    """Say what our words mean.

    Example: wattwright glossary "load factor"
    """
    from wattwright.cli.verbs import show_glossary

    show_glossary(word, markdown, json)


def run() -> None:
    """Run the command line; ends the process with 0, 1 (bad input), 2 (wrong usage) or 3 (a fault of ours)."""
    from wattwright.core.errors import WattwrightError

    try:
        app()
    except WattwrightError as error:
        sys.exit(_told(error))
    except Exception as error:
        sys.exit(_own_fault(error))


def _told(error: "object") -> int:
    from wattwright.cli.failing import tell

    return tell(error, as_json="--json" in sys.argv)


def _own_fault(error: Exception) -> int:
    from wattwright.cli.failing import own_fault

    return own_fault(error, as_json="--json" in sys.argv)
