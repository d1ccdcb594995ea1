"""The verb ``record --look``: one screen on what a meter file is, what it leaves open, and what each answer would change."""

import sys
from collections.abc import Sequence
from pathlib import Path

import typer
from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from wattwright.cli import tables
from wattwright.cli.options import Reading
from wattwright.cli.verbs import layout_of
from wattwright.cli.watching import watching
from wattwright.core.envelope import to_json
from wattwright.core.errors import InputError, RecordError, UsageError
from wattwright.core.findings import Severity
from wattwright.core.show import THIN, Show
from wattwright.job.answers import job_of, lines_of, said_entries, write_answers
from wattwright.job.file import Job, load_job
from wattwright.job.look import Answered, Asked, Look, Told, look_at
from wattwright.job.look_json import SCHEMA, look_json
from wattwright.job.questions import Choice, of_fault
from wattwright.job.spec import FileSpec
from wattwright.record.faults.doubt import peak_doubts
from wattwright.record.spec import LayoutSpec
from wattwright.record.words import shown

PARTS = 60
"""Signs in the strip that shows how complete a record is."""
_SHADES = "·░▒▓█"


def show_looks(reading: Reading, look: bool, write: bool, file_id: str, json: bool) -> None:
    """Show what meter files are and what they leave open; with ``write`` put the answers into the job file.

    Ends with the code of bad input where a question is open. Raises FileError, RecordError, JobError, UsageError.
    """
    if not look:
        raise UsageError("--write and --file belong to --look.")
    jobs = _of_job(reading, file_id) if reading.is_job else _of_file(reading, file_id)
    with watching(quiet=json) as progress:
        looks = [look_at(path, told, PARTS, progress) for _, path, told in jobs]
    shows = [Show(zone=one.told.zone or "UTC") for one in looks]
    if json:
        told = [look_json(one, show) for one, show in zip(looks, shows, strict=True)]
        sys.stdout.write(to_json(SCHEMA, {"files": told}) + "\n")
    else:
        for one, show in zip(looks, shows, strict=True):
            _screen(one, show)
    if any(one.is_open for one in looks):
        # The screen has asked already; a program sees by the code that nothing was read.
        raise typer.Exit(RecordError.exit_code)
    if write:
        for (entry, path, _), one in zip(jobs, looks, strict=True):
            _write(reading, entry, path, one, quiet=json)


def tell_readings(error: RecordError, reading: Reading) -> None:
    """Write an error as JSON with every reading that a file allows, and end, where an answer would mend it; else return.

    The exit code is that of bad input, as for the error alone.
    """
    if not any(of_fault(fault) for fault in error.faults):
        return
    jobs = _of_job(reading, "") if reading.is_job else _of_file(reading, "")
    told = []
    for _, path, said in jobs:
        try:
            look = look_at(path, said, PARTS)
        except InputError:  # damage beside what is open, which its own reading will tell
            continue
        told += [look_json(look, Show(zone=said.zone or "UTC"))] if look.is_open else []
    sys.stdout.write(to_json(SCHEMA, {**error.as_json(), "files": told}) + "\n")
    raise typer.Exit(RecordError.exit_code)


_OfJob = tuple[FileSpec | None, Path, Told]


def _of_job(reading: Reading, file_id: str) -> list[_OfJob]:
    job = load_job(reading.source)
    said = layout_of(reading)
    wanted = [one for one in job.spec.files if file_id in ("", one.id)]
    if not wanted:
        known = ", ".join(one.id for one in job.spec.files) or "none"
        raise UsageError(f'No file of this job has the id "{file_id}". There are: {known}.')
    if (reading.zone or said_entries(said)) and len(wanted) > 1:
        raise UsageError("The job has several meter files. Say with --file which one the options are about.")
    return [(one, job.inside(one.path), _told(job, one, reading, said)) for one in wanted]


def _told(job: Job, one: FileSpec, reading: Reading, said: LayoutSpec) -> Told:
    merged = one.layout.model_copy(update={name: getattr(said, name) for name in said.model_dump(exclude_defaults=True)})
    return Told(reading.zone or job.spec.site.zone, merged, one.channel, one.meter)


def _of_file(reading: Reading, file_id: str) -> list[_OfJob]:
    if file_id:
        raise UsageError("--file names a file of a job; the source is a meter file itself.")
    return [(None, reading.source, Told(reading.zone, layout_of(reading)))]


def _screen(look: Look, show: Show) -> None:
    console = tables.new_console()
    if look.record is not None:
        tables.record_head(look.record, show, console)
        _strip(look, show, console)
        _rows("first rows", look.record.layout.first_rows, console)
        _rows("last rows", look.record.layout.last_rows, console)
        asked = {id(one.question.about) for one in look.asked}
        tables.findings([one for one in look.record.findings if id(one) not in asked], show, console)
    else:
        console.print(
            Text(shown(look.name), style="bold"), " can be read in more than one way. Nothing is read until you say which."
        )
    for number, one in enumerate(look.asked, 1):
        _question(number, one, show, console)
    if not look.asked:
        found = look.record.findings if look.record is not None else ()
        is_grave = bool(peak_doubts(found)) or any(one.severity is Severity.STOP for one in found)
        grave = "Settle the findings above before you rely on a figure."
        console.print(grave if is_grave else "Nothing about this file is left open.")


def _strip(look: Look, show: Show, console: Console) -> None:
    """Show completeness as a strip of signs: the fuller the sign, the more of that stretch was read."""
    outcome = look.outcome
    if outcome is None:
        return
    signs = "".join(_SHADES[int(share * (len(_SHADES) - 1))] for share in look.completeness)
    read, each = show.completeness(outcome.share_read), show.duration(look.part_s)
    lines = Table.grid()
    lines.add_column(width=14)
    lines.add_column(overflow="fold")
    lines.add_row("complete", f"{read} of the intervals; each sign is {each}")
    lines.add_row("", Text(signs))
    console.print(Padding(lines, (0, 0, 0, 2)))


def _rows(label: str, rows: Sequence[tuple[int, str]], console: Console) -> None:
    for number, text in rows:
        console.print(Text(f"  {label:<14}{number:>7,}  {text}"), overflow="ellipsis", no_wrap=True)
        label = ""


def _question(number: int, asked: Asked, show: Show, console: Console) -> None:
    question = asked.question
    console.print(Text.assemble((f"{number}  ", "bold"), question.asks(show)))
    table = tables.new_table("Answer", "From", "Energy kWh", "Highest", "Missing")
    for index, one in enumerate(asked.answers):
        _answer_row(table, one, show, taken=not question.is_open and index == 0)
    if asked.answers:
        tables.print_table(table, console)
    for one in (answer for answer in asked.answers if answer.refused):
        console.print(Padding(Text(f"{one.choice.words}: cannot be read so. {one.refused}"), (0, 0, 0, 4)))
    if question.hint:
        console.print(Text("    In the job file, with what you know in place of the example:", style="dim"))
        _lines(lines_of(question.hint), console)
    elif asked.answers:
        console.print(Text("    Say it with", style="dim"))
        _lines([one.choice.option for one in asked.answers], console)
        console.print(Text("    or in the job file, for example", style="dim"))
        _lines(lines_of(asked.answers[0].choice.entries), console)


def _lines(lines: Sequence[str], console: Console) -> None:
    for line in lines:
        console.print(Text(f"      {line}"))


def _answer_row(table: Table, one: Answered, show: Show, *, taken: bool) -> None:
    outcome, name = one.outcome, one.choice.words + (" (taken)" if taken else "")
    if outcome is None:
        table.add_row(name, "", "", "", "")
        return
    table.add_row(
        name,
        show.time(outcome.start_s),
        show.fixed(outcome.energy_kwh, 2),
        f"{show.number(outcome.highest, 4)}{THIN}{outcome.unit}",
        show.fixed(outcome.missing, 0),
    )


def _write(reading: Reading, entry: FileSpec | None, path: Path, look: Look, *, quiet: bool) -> None:
    """Write what was said by options into the job file, and what was only assumed there as comments."""
    job_file = _job_file(reading, path)
    if entry is None:
        named = [one for one in load_job(job_file).spec.files if (job_file.parent / one.path).resolve() == path.resolve()]
        entry = named[0]
    said = said_entries(layout_of(reading))
    if reading.zone:
        said["site.zone"] = reading.zone
    assumed = [one for one in map(_assumed, look.asked) if one is not None]
    before = job_file.read_bytes()
    write_answers(job_file, entry.id, said, assumed)
    if quiet:
        return
    if job_file.read_bytes() == before:
        sys.stdout.write(f"{job_file}: nothing to write, it says so already.\n")
    else:
        left = f"; {len(assumed)}{THIN}left there as comments, since nobody said so yet" if assumed else ""
        sys.stdout.write(f"{job_file}: entries written: {len(said)}{left}.\n")


def _assumed(asked: Asked) -> Choice | None:
    return None if asked.question.is_open or not asked.answers else asked.answers[0].choice


def _job_file(reading: Reading, path: Path) -> Path:
    if reading.is_job:
        return reading.source / "job.toml" if reading.source.is_dir() else reading.source
    found = job_of(path)
    if found is None:
        raise UsageError(f"No job file beside {path.name} names it. Begin one: wattwright new . --record {path.name}")
    return found
