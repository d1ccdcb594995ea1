"""What was promised and how it will be proved, and, once a record of the time after was given, what became of it."""

import numpy as np

from wattwright.charts.picture import Caption, Picture
from wattwright.charts.saved import SavedWords, Weeks, saved_weeks
from wattwright.charts.table import Cell, Table
from wattwright.core.basis import Basis
from wattwright.handover.context import Context
from wattwright.handover.paper import Block, Caution, PictureBlock, Section, TableBlock, Text
from wattwright.handover.wide import figure, margin_notes, number_column, table, text_column
from wattwright.job.proof_table import acted_rows, figure_rows, headline, plan_rows, promise_line
from wattwright.job.proved import Proof
from wattwright.proof.seal import FROZEN, read_seal

_FEWEST_WEEKS = 2
_FOUR = 4


def promised(context: Context) -> Section | None:
    """Return the section on what was promised and how it will be proved, None where nothing is frozen.

    A frozen part that cannot be read, was changed, or is gone though a proof of it is kept, stands there as that; so does a kept
    proof that was made from something else.
    """
    title = context.words("promise.title")
    if context.seal_text is None:
        return Section(title, context.words("promise.lost"), ()) if context.seal_lost else None
    if context.seal_broken:
        return Section(title, context.words("promise.broken", why=context.seal_broken), ())
    seal = read_seal(context.seal_text, FROZEN)
    rows = [(_begun(label), words) for label, words in plan_rows(seal, context.show)]
    columns = (text_column(context.words("promise.part")), text_column(context.words("promise.said")))
    blocks: list[Block] = [
        TableBlock(table(columns, rows, context.words("promise.plan"))),
        Text(context.words("promise.seal", print=seal.shown, made=seal.made_by)),
        Text(context.words("promise.static")),
    ]
    blocks += [Text(context.words("promise.others"))] if context.is_proof_of_others else []
    return Section(title, promise_line(seal.promise, context.show), tuple(blocks))


def proved(context: Context) -> Section | None:
    """Return the section on what a record of the time after showed, None where none was given for the promise as it stands."""
    made = context.proof
    if made is None:
        return None
    show = context.show
    blocks: list[Block] = []
    if len(made.running.ends_s) >= _FEWEST_WEEKS:
        blocks.append(PictureBlock(_picture(context, made)))
    blocks.append(TableBlock(_energy(context, made)))
    rows = [(_begun(label), words) for label, words in figure_rows(made, show)]
    columns = (text_column(context.words("proof.figure")), text_column(context.words("proof.value")))
    blocks.append(TableBlock(table(columns, rows, context.words("proof.figures"))))
    if made.acted:
        told = acted_rows(made, show)
        blocks.append(TableBlock(table([text_column(one) for one in told[0]], told[1:], context.words("proof.acted")), wide=True))
    blocks += [Caution(context.words("proof.caution")), *margin_notes(made.findings, show)]
    return Section(context.words("proof.title"), headline(made, show), tuple(blocks))


def _picture(context: Context, made: Proof) -> Picture:
    course = made.running
    # Half a week uses half: it would look like a saving.
    off = course.off_low_kwh, course.off_high_kwh
    of_weeks = course.used_kwh, course.expected_kwh, *(course.expected_kwh + one for one in off)
    used, expected, least, most = (np.where(course.is_whole, one, np.nan) for one in of_weeks)
    weeks = Weeks(used, expected, least, most, course.saved_kwh, course.low_kwh, course.high_kwh)
    told = SavedWords(
        week=context.words("proof.picture.week"), energy=context.words("proof.picture.energy"),
        saved=context.words("proof.picture.saved"), used=context.words("proof.picture.used"),
        expected=context.words("proof.picture.expected"),
        band=context.words("proof.picture.band", confidence=context.show.percent(made.saving.confidence, 2)),
    )  # fmt: skip
    low, high = made.saving.bootstrap.low_kwh, made.saving.bootstrap.high_kwh
    alt = context.words("proof.picture.alt", count=len(course.ends_s), saved=made.saving.saved_kwh, low=low, high=high)
    caption = Caption(
        "proof-weeks", context.words("proof.picture"), alt, _source(context, made), None, context.words("proof.step")
    )
    return saved_weeks(caption, weeks, told, context.chart_words)


def _energy(context: Context, made: Proof) -> Table:
    """Return used, expected and saved, every four weeks as it stood then."""
    show, course = context.show, made.running
    places = sorted({*range(_FOUR - 1, len(course.ends_s), _FOUR), len(course.ends_s) - 1})
    columns = [
        text_column(context.words("proof.until")), number_column(context.words("proof.saved"), "kWh", Basis.CALCULATED),
        number_column(context.words("proof.low"), "kWh", Basis.CALCULATED),
        number_column(context.words("proof.high"), "kWh", Basis.CALCULATED),
    ]  # fmt: skip
    rows: list[list[Cell]] = [
        [
            context.day(int(course.ends_s[k]) - 1), figure(show, course.saved_kwh[k], 0), figure(show, course.low_kwh[k], 0),
            figure(show, course.high_kwh[k], 0),
        ]
        for k in places
    ]  # fmt: skip
    caption = context.words("proof.running", confidence=context.show.percent(made.saving.confidence, 2))
    return table(columns, rows, caption, _source(context, made))


def _source(context: Context, made: Proof) -> str:
    return context.words("proof.source", record=made.record, model=made.model)


def _begun(words: str) -> str:
    return words[:1].upper() + words[1:]
