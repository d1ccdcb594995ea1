"""What each verb does: asks the assessment and shows what it says. No arithmetic here."""

import datetime as dt
import os
import shlex
import sys
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from wattwright.checks.registry import outcome_json, run_checks
from wattwright.cli import tables
from wattwright.cli.options import Reading
from wattwright.cli.watching import watching
from wattwright.core.envelope import to_json
from wattwright.core.errors import OwnFault, RecordError, UsageError
from wattwright.core.files import write_text
from wattwright.core.glossary import as_markdown, matching, terms
from wattwright.core.show import Show
from wattwright.demo.after import year_after
from wattwright.demo.job import demo_job
from wattwright.handover.papers import Papers, write_papers, write_survey
from wattwright.handover.phone import PHONE, phone
from wattwright.job.assessment import Assessment, job_of_file
from wattwright.job.file import load_job, new_job as write_new_job
from wattwright.job.spec import RepairSpec, TariffChoice
from wattwright.record.faults.doubt import doubts
from wattwright.record.json_form import SCHEMA as RECORD_SCHEMA, record_json
from wattwright.record.spec import LayoutSpec
from wattwright.tariff.compare import BILL_SCHEMA, comparison_json, cost_grounds

T = TypeVar("T")


def new_job(folder: Path, name: str, zone: str, record: str, json: bool) -> None:
    """Write a new job file and say where it is. Raises FileError where one is there already, JobError for a wrong zone."""
    path = write_new_job(folder, name, zone, dt.date.today(), record)
    say(to_json("wattwright.new/1", {"path": str(path)}) if json else f"{path}\nFill it in, then: wattwright demand {folder}")


def show_record(reading: Reading, json: bool, open_to: Callable[[RecordError, Reading], None]) -> None:
    """Show what the meter files of a job, or one file, are.

    ``open_to`` tells a program which readings a file allows where there are several. Raises FileError, RecordError, JobError,
    UsageError.
    """
    try:
        with watching(quiet=json) as progress:
            assessment = assess(reading, progress)
            files = assessment.job.spec.files or (assessment.main_file,)
            records = [assessment.record(file.id) for file in files]
    except RecordError as error:
        if json:
            open_to(error, reading)
        raise
    if json:
        told = [record_json(one, assessment.show) for one in records]
        say(to_json(RECORD_SCHEMA, told[0] if not reading.is_job else {"records": told}))
        return
    for one in records:
        tables.record(one, assessment.show)


def show_bill(reading: Reading, tariff: Path | None, paid: str, compare: tuple[str, ...], json: bool) -> None:
    """Show the bill and tariffs side by side. Raises FileError, RecordError, TariffError, JobError, UsageError."""
    with watching(quiet=json) as progress:
        assessment = assess(reading, progress, _choice(reading, tariff, paid, compare, needed=True))
        costs, record = assessment.costs(), assessment.judged_record()
    if json:
        in_doubt = list(dict.fromkeys(one.code for one in doubts(record.findings)))
        say(to_json(BILL_SCHEMA, {"in_doubt": in_doubt, **comparison_json(costs, assessment.show)}))
        return
    tables.bill(costs, cost_grounds(costs.tariffs[0].bill, assessment.power().grounds), record, assessment.show)


def _choice(reading: Reading, tariff: Path | None, paid: str, compare: tuple[str, ...], *, needed: bool) -> TariffChoice | None:
    if reading.is_job:
        if tariff or paid or compare:
            raise UsageError("--tariff, --paid and --compare belong in the job file when a job is given; write them there.")
        return None
    if tariff is None:
        if needed or paid or compare:
            raise UsageError("A meter file alone has no prices. Name a tariff file with --tariff.")
        return None
    # A bare file's job lies in the folder of the file; a tariff is named from where the person stands.
    return TariffChoice(files=(os.path.relpath(tariff, reading.source.parent),), paid=paid, compare=compare)


def write_handover(
    reading: Reading, into: Path | None, tariff: Path | None, paid: str, compare: tuple[str, ...], json: bool
) -> None:
    """Write the papers of a job or of one meter file. Raises FileError, RecordError, TariffError, JobError, UsageError."""
    with watching(quiet=json) as progress:
        assessment = assess(reading, progress, _choice(reading, tariff, paid, compare, needed=False))
        papers = write_papers(assessment, into or _beside(reading), progress)
    _say_papers(papers, json)


def write_visit(reading: Reading, into: Path | None, prices: bool, json: bool) -> None:
    """Write what is taken along on the visit to a job. Raises FileError, JobError, InputError, UsageError."""
    if not reading.is_job or prices:
        raise UsageError("--survey takes a job alone: its folder or its job.toml. Begin one with wattwright new.")
    with watching(quiet=json) as progress:
        assessment, folder = assess(reading, progress), into or _beside(reading)
        made = write_survey(assessment, folder)
        html = write_text(folder / PHONE, phone(assessment.job.spec))
    say(to_json("wattwright.survey/1", {"survey": str(made), "phone": str(html)}) if json else f"{made}\n{html}")


def _beside(reading: Reading) -> Path:
    if reading.is_job:
        return (reading.source if reading.source.is_dir() else reading.source.parent) / "papers"
    return reading.source.with_name(reading.source.name.split(".")[0] + "-papers")


def _say_papers(papers: Papers, json: bool) -> None:
    paths = {"report": str(papers.pdf), "page": str(papers.page), "workbook": str(papers.workbook), "survey": str(papers.survey)}
    if json:
        gear = [str(path) for path in papers.gear]
        say(to_json("wattwright.handover/1", {**paths, "gear": gear, "made": list(papers.made)}))
        return
    if not papers.made:
        say("Nothing has changed since these were made:")
    for path in (*paths.values(), *papers.gear):
        say(str(path))


def write_demo(into: Path, json: bool) -> None:
    """Write the demo job and its papers. Raises FileError."""
    with watching(quiet=json) as progress:
        job = demo_job(into, progress)
        papers = write_papers(Assessment(load_job(job), progress=progress), into / "papers", progress)
    if not json:
        say(f"{job}\nEverything in this job is invented. The papers:")
    _say_papers(papers, json)
    if not json:
        say(f"To see it in the browser:\n    wattwright desk {shlex.quote(str(into))}")


def write_year_after(into: Path, json: bool) -> None:
    """Write the meter file of the year after of the demo job. Raises FileError, JobError."""
    with watching(quiet=json) as progress:
        made = year_after(into, progress)
    if json:
        say(to_json("wattwright.year-after/1", {"path": str(made.path), "is_planned": made.is_planned, "stuck": made.stuck}))
        return
    fault = f" A fault is planted: late in summer nothing holds {made.stuck} off any more." if made.stuck else ""
    under = "under the plan that is kept" if made.is_planned else "as before, since no plan is kept"
    say(f"{made.path}\nInvented: another year of the place, simulated {under}.{fault} To hold it against what was promised:")
    say(f"    wattwright proof {shlex.quote(str(into))} --record {shlex.quote(str(made.path))}")


def show_checks(only: str, json: bool) -> None:
    """Compare ours with what is published, here and now. Raises UsageError where no check has such an id."""
    outcomes = run_checks(only)
    if not outcomes:
        raise UsageError(f'No check has an id that begins with "{only}".')
    if json:
        say(to_json("wattwright.check/1", {"checks": [outcome_json(one) for one in outcomes]}))
    else:
        tables.checks(outcomes, Show())
    failed = [one.check.id for one in outcomes if not one.passed]
    if failed:
        raise OwnFault(f"{len(failed)} of {len(outcomes)} checks do not hold on this machine: {', '.join(failed)}.")


def show_glossary(word: str, markdown: bool, json: bool) -> None:
    """Show the words that match, or all. Raises UsageError where none does."""
    found = matching(word) if word else terms()
    if not found:
        raise UsageError(f'No word or meaning holds "{word}". Run wattwright glossary to see them all.')
    if json:
        say(to_json("wattwright.glossary/1", {"terms": [asdict(one) for one in found]}))
    elif markdown:
        sys.stdout.write(as_markdown())
    else:
        tables.glossary(found)


def assess(reading: Reading, progress: Any, tariff: TariffChoice | None = None) -> Assessment:
    """Return the assessment of a job or of a bare meter file. Raises FileError, JobError, UsageError."""
    if reading.is_job:
        said = [f"--{key.replace('_', '-')}" for key, value in reading.layout.items() if value and value != "refuse"]
        said += [f"--{key}" for key, value in (("zone", reading.zone), ("channel", reading.channel)) if value]
        said += ["--gaps"] if reading.gaps != "leave" else []
        if said:
            raise UsageError(f"{', '.join(said)} belongs in the job file when a job is given; write it there.")
        return Assessment(load_job(reading.source), progress=progress)
    layout, repair = layout_of(reading), _repair_of(reading)
    job = job_of_file(reading.source, reading.zone, layout, reading.channel, dt.date.today(), tariff, repair)
    return Assessment(job, keep=False, progress=progress)


def layout_of(reading: Reading) -> LayoutSpec:
    """Return what the options say about a meter file. Raises UsageError for what cannot be said."""
    return _checked(lambda: LayoutSpec.model_validate(reading.layout))


def _repair_of(reading: Reading) -> RepairSpec:
    return _checked(lambda: RepairSpec.model_validate({"gaps": reading.gaps}))


def _checked(make: Callable[[], T]) -> T:
    try:
        return make()
    except ValidationError as error:
        raise UsageError("\n".join(_wrong_option(detail) for detail in error.errors(include_url=False))) from error


def _wrong_option(detail: Any) -> str:
    option = "--column" if detail["loc"][0] == "columns" else f"--{str(detail['loc'][0]).replace('_', '-')}"
    expected = str(detail.get("ctx", {}).get("expected", detail["msg"])).removeprefix("'', ")
    return f'{option}: found "{detail["input"]}"; expected {expected}.'


def say(text: str) -> None:
    """Write a line to standard output."""
    sys.stdout.write(text + "\n")
