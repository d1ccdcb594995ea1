"""The verb that proves: freezes a promise at handover, and shows from a record of the time after what became of it."""

from pathlib import Path

from rich.padding import Padding
from rich.text import Text

from wattwright.cli import tables
from wattwright.cli.options import Reading
from wattwright.cli.verbs import assess, say
from wattwright.cli.watching import watching
from wattwright.core.basis import WORDS, Basis
from wattwright.core.envelope import to_json
from wattwright.core.errors import UsageError
from wattwright.core.findings import Finding
from wattwright.core.show import Show
from wattwright.job.boundary import seal_path
from wattwright.job.freezing import freeze
from wattwright.job.proof_json import FROZEN_SCHEMA, SCHEMA, frozen_json, proof_json
from wattwright.job.proof_table import acted_rows, figure_rows, headline, plan_rows, promise_line
from wattwright.job.proved import Proof
from wattwright.job.proving import prove
from wattwright.job.unsealing import opened
from wattwright.proof.seal import Seal

_CAUTION = (
    "A meter sees the whole site. It cannot tell the measures from a new load, a guest or an empty month: ask what has changed "
    "before you sign a claim."
)


def prove_job(job: Path, wants_frozen: bool, anew: bool, record: Path | None, weather: Path | None, json: bool) -> None:
    """Freeze a job's promise, hold a record of the time after against it, or say what is frozen.

    Raises FileError, RecordError, JobError, InputError, TariffError, WeatherError, UsageError, Cancelled.
    """
    reading = Reading(job, "", "", {})
    _refuse(reading, wants_frozen, anew, record, weather)
    with watching(quiet=json) as progress:
        assessment = assess(reading, progress)
        show, path = assessment.show, seal_path(assessment.job)
        if record is not None:
            made = prove(assessment, record, weather, progress)
            assessment.keep_proof(made)
        elif wants_frozen:
            seal, findings = freeze(assessment, anew=anew)
        else:
            held = opened(assessment)
            seal, findings = held.seal, held.findings
    if record is not None:
        _say_proof(made, show, json)
    else:
        _say_frozen(seal, findings, path, show, json)


def _refuse(reading: Reading, wants_frozen: bool, anew: bool, record: Path | None, weather: Path | None) -> None:
    if not reading.is_job:
        raise UsageError("A meter file alone promises nothing. Give a job: its folder or its job.toml.")
    if wants_frozen and record is not None:
        raise UsageError("--freeze comes before the measures, --record after them. Say one of them.")
    if anew and not wants_frozen:
        raise UsageError("--anew goes with --freeze.")
    if weather is not None and record is None:
        raise UsageError("--weather goes with --record.")


def _say_frozen(seal: Seal, findings: tuple[Finding, ...], path: Path, show: Show, json: bool) -> None:
    if json:
        say(to_json(FROZEN_SCHEMA, frozen_json(seal, findings, path, show)))
        return
    console = tables.new_console()
    console.print(Text(promise_line(seal.promise, show), style="bold"))
    console.print(Padding(tables.pairs(plan_rows(seal, show)), (0, 2)))
    tables.findings(findings, show, console, placed=True)
    console.print(Text(f"Frozen in {path}; write its fingerprint {seal.shown} on what both sides sign."))


def _say_proof(made: Proof, show: Show, json: bool) -> None:
    if json:
        say(to_json(SCHEMA, proof_json(made, show)))
        return
    console = tables.new_console()
    console.print(Text.assemble((headline(made, show), "bold"), tables.RAISED["c"]))
    console.print(Padding(tables.pairs(figure_rows(made, show)), (0, 2)))
    if made.acted:
        tables.rows(console, acted_rows(made, show), align="left")
    tables.findings(made.findings, show, console, placed=True)
    console.print(Text(f"{tables.RAISED['c']} {WORDS[Basis.CALCULATED]}", style="dim"))
    console.print(Text(_CAUTION, style="dim"))
