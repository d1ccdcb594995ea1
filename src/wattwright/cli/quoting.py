"""The verb that sizes: what inverter, battery and PV to quote, what the plan is worth in hardware, and where control may fail."""

from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

from rich.padding import Padding
from rich.text import Text

from wattwright.cli import tables
from wattwright.cli.options import Reading
from wattwright.cli.planning import Wish, days_of
from wattwright.cli.verbs import assess, say
from wattwright.cli.watching import watching
from wattwright.core.basis import WORDS, Basis
from wattwright.core.envelope import to_json
from wattwright.core.errors import UsageError
from wattwright.core.findings import Finding
from wattwright.core.show import Show
from wattwright.core.units import parse
from wattwright.job.quoting import QuoteCase
from wattwright.supply.sizing.answer import Quote
from wattwright.supply.sizing.json_form import SCHEMA, quote_json
from wattwright.supply.sizing.losses import loss_rows
from wattwright.supply.sizing.options import (
    beyond_line,
    left_out_line,
    marked_lines,
    money_line,
    option_rows,
    sun_line,
    worn_line,
)
from wattwright.supply.sizing.spec import MOST_OUTAGE_S
from wattwright.supply.sizing.table import (
    Rows,
    bought_rows,
    carrier_rows,
    case_rows,
    front_rows,
    judged,
    size_rows,
    sun_rows,
    tornado_rows,
    withheld,
    without_noughts,
    working_rows,
    worth_line,
    worth_rows,
)
from wattwright.work.seeking import seek_quote

_CAUTION = (
    "Control is not protection: no rating of cable, breaker or inverter relies on it. Inverters, batteries and PV are put up "
    "by licensed people to the local code, with the grid operator's consent; PV modules are live in daylight."
)


def quote_job(job: Path, backup: str, days: tuple[str, str], plans: int, processes: int, json: bool) -> None:
    """Size inverter, battery and PV for a job and show the answer; ``days`` are the first and the last, as written or empty.

    Raises FileError, RecordError, JobError, InputError, TariffError, WeatherError, UsageError, Cancelled.
    """
    reading = Reading(job, "", "", {})
    if not reading.is_job:
        raise UsageError("A meter file alone has no loads and no supply. Give a job: its folder or its job.toml.")
    outage_s = parse(backup, "s", "--backup") if backup else None
    if outage_s is not None and not 0.0 < outage_s <= MOST_OUTAGE_S:
        raise UsageError(f'--backup: found "{backup}"; expected a time above nought, such as "4h", and no longer than 30 days.')
    wish = Wish("", "", plans, processes, None, anew=False)
    with watching(quiet=json) as progress:
        assessment = assess(reading, progress)
        question = assessment.question()
        chosen = days_of(days, question.days()) if any(days) else None
        with ExitStack() as stack:
            case, made = seek_quote(assessment, question, outage_s, wish.effort, wish.labour_in(stack), progress, chosen)
    if json:
        say(to_json(SCHEMA, quote_json(made, assessment.show, assessment.judged_record().findings)))
        return
    readings = assessment.judged_record().findings
    _shown(case, judged(made, readings), withheld(made, readings), assessment.show)


def _shown(case: QuoteCase, made: Quote, stops: tuple[Finding, ...], show: Show) -> None:
    console = tables.new_console()
    offered = made.plan or made.today
    # What forbids to rely on it is read before any size.
    if stops:
        console.print(Text("Nothing may be quoted before this is settled:", style="bold"))
        tables.findings(stops, show, console, placed=True)
    console.print(Text.assemble((worth_line(made, show), "bold"), f"{tables.RAISED['s']}"))
    tables.rows(console, without_noughts(option_rows(made, offered, show), "trips"))
    for name, words in marked_lines(made, offered, show):
        console.print(Text.assemble((f"{name}: ", "bold"), words))
    more = beyond_line(made, show), money_line(made, show), sun_line(made), worn_line(made, show)
    for told in filter(None, (left_out_line(made, offered, show), *more)):
        console.print(Text(told))
    tables.rows(console, size_rows(made, case.names, show))
    for rows in _if_any(case, made, show):
        tables.rows(console, rows)
    if made.plan is not None and len(made.today.front) > 1:
        # With the plan they stand above, among the options.
        console.print(Text("Side by side, with today's switching", style="bold"))
        tables.rows(console, front_rows(made, made.today, show))
    pairs = worth_rows(made, show)
    if pairs:
        console.print(Padding(tables.pairs(pairs), (0, 2)))
    if made.risk is not None:
        tables.rows(console, tornado_rows(made, show))
    tables.findings([one for one in made.findings if one not in stops], show, console, placed=True)
    console.print(Text(f"{tables.RAISED['s']} {WORDS[Basis.SIMULATED]}", style="dim"))
    console.print(Text(_CAUTION, style="dim"))


def _if_any(case: QuoteCase, made: Quote, show: Show) -> Iterator[Rows]:
    """Yield the tables that hold more than their head."""
    if made.carriers:
        yield carrier_rows(made, show)
    told = [working_rows(made, show), bought_rows(made, case.names, show)]
    told += [case_rows(made, case.names, show), sun_rows(made, show), loss_rows(made, show)]
    yield from (rows for rows in told if len(rows) > 1)
