"""The page of the meter files: how each was understood and why, how complete it is, and what is to be looked at."""

from collections.abc import Iterator, Sequence

import numpy as np

from wattwright.charts.picture import Caption, Picture
from wattwright.charts.strip import completeness_strip
from wattwright.charts.table import Cell, Marked, Table
from wattwright.core.basis import Basis
from wattwright.core.calendar import days_between
from wattwright.core.errors import Fault, InputError
from wattwright.core.findings import Severity
from wattwright.core.series import Floats
from wattwright.core.show import MISSING, Show
from wattwright.handover.completeness import daily_shares
from wattwright.handover.context import LANGUAGE, chart_words
from wattwright.handover.paper import Block, MarginNote, Paper, PictureBlock, Section, TableBlock
from wattwright.handover.wide import figure, margin_notes, number_column, table, text_column
from wattwright.job.assessment import Assessment
from wattwright.job.spec import FileSpec
from wattwright.record.record import Channel, Record
from wattwright.web.open_job import OpenJob
from wattwright.web.sheets.common import Made, nothing_yet, title_block
from wattwright.web.words import words

_ENDS = 3
"""How many of the first and of the last readings are shown."""
_NARROW = 3
"""So many channels stand side by side in the text column."""
_LEAST = 1e-6
"""A share of a day below this is rounding."""


def sheet(job: OpenJob) -> Made:
    """The page, and the figures of its pictures. A file that cannot be read does not keep the others from being shown."""
    figures: dict[str, Table] = {}
    sections = [_section(job.assessment, file, figures) for file in job.spec.files]
    return Paper(title_block(job, "meter-files"), tuple(sections or [nothing_yet("files")]), language=LANGUAGE), figures


def _section(assessment: Assessment, file: FileSpec, figures: dict[str, Table]) -> Section:
    try:
        record = assessment.record(file.id)
    except InputError as error:
        lead = words("files.lead.bad", name=file.path)
        return Section(file.path, lead, tuple(_fault_note(fault) for fault in error.faults))
    show = assessment.show
    meter = next((one.name for one in assessment.job.spec.meters if one.id == file.meter and one.name), file.meter)
    told = [one for one in record.findings if not one.code.startswith("record.meaning")]
    notes = margin_notes(told, show, Severity.NOTE, file.id)
    layout = TableBlock(_layout(record, show))
    channel = record.main or record.channels[0]
    strip, gaps = _strip(assessment, file, record, channel)
    figures[strip.id] = gaps
    # Notes stand beside the long table of the layout, where there is room for them.
    blocks: list[Block] = [PictureBlock(strip), layout, *notes]
    blocks += [TableBlock(_channels(record, show), wide=True)]
    if record.layout.first_rows:
        blocks += [TableBlock(_rows(record, show), wide=True)]
    blocks += [TableBlock(_ends(record, show), wide=len(record.channels) > _NARROW)]
    return Section(record.source.name, _lead(record, channel, meter, show), tuple(blocks))


def _fault_note(fault: Fault) -> MarginNote:
    where = f"{fault.place}: " if str(fault.place) else ""
    found = f"found {fault.found}; " if fault.found else ""
    return MarginNote(Severity.STOP, f"{where}{found}expected {fault.wanted}.", fault.next_step, "", fault.code)


def _lead(record: Record, channel: Channel, meter: str, show: Show) -> str:
    series = channel.series
    told = {
        "rows": record.rows,
        "first": show.time(series.start_s),
        "last": show.time(series.end_s),
        "step": series.step_s,
        "share": float(series.read_only().present.mean()),
    }
    return words("files.lead", show, meter=meter, **told)


def _layout(record: Record, show: Show) -> Table:
    size = words("files.size", show, size=record.source.size_bytes, rows=record.rows)
    rows = [(words("files.layout.size"), size), *record.describe().items(), (words("files.layout.zone"), record.zone)]
    rows.append((words("files.layout.step"), show.duration(record.channels[0].series.step_s)))
    return table((text_column("Point"), text_column("Decision, and why")), rows, words("files.layout"))


def _channels(record: Record, show: Show) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for one in record.channels:
        meaning, present = one.meaning, int(one.series.present.sum())
        counts = (figure(show, present, 0), figure(show, len(one.series) - present, 0))
        kind = (meaning.quantity.value, meaning.form.value, meaning.unit, meaning.phase.value, meaning.direction.value)
        rows.append((one.column, *kind, *counts, meaning.why))
    columns = (
        *(text_column(head) for head in ("Column", "Quantity", "Form", "Unit", "Conductor", "Counted as")),
        number_column("Readings", ""),
        number_column("Missing", ""),
        text_column("Why it was taken so"),
    )
    return table(columns, rows, words("files.channels"))


def _rows(record: Record, show: Show) -> Table:
    """The first and last rows as they stand in the file, each with its number."""
    layout = record.layout
    last = [one for one in layout.last_rows if one not in layout.first_rows]
    rows = [(figure(show, number, 0), text) for number, text in (*layout.first_rows, *last)]
    return table((number_column("Row", ""), text_column("As it stands in the file")), rows, words("files.raw"))


def _ends(record: Record, show: Show) -> Table:
    """The first and last readings, each in the unit of the file, by the start of its interval."""
    series = record.channels[0].series
    count = len(series)
    shown = sorted({*range(min(_ENDS, count)), *range(max(count - _ENDS, 0), count)})
    times = series.times_s
    columns_read = [_as_read(one, shown, show) for one in record.channels]
    rows = [(show.time(int(times[i])), *cells) for i, cells in zip(shown, zip(*columns_read, strict=True), strict=True)]
    columns = (
        text_column("Begins"),
        *(number_column(one.column, one.meaning.unit, Basis.MEASURED) for one in record.channels),
    )
    return table(columns, rows, words("files.rows"), record.source.name)


def _as_read(channel: Channel, shown: Sequence[int], show: Show) -> list[Cell]:
    """The readings at some intervals, all with the decimals of the one that has most, so that they stand one below another."""
    values = [float(channel.series.raw[i]) for i in shown]
    decimals = max(len(f"{one:.6f}".rstrip("0").partition(".")[2]) if np.isfinite(one) else 0 for one in values)
    return [Marked(show.fixed(one, decimals), value=one) if np.isfinite(one) else MISSING for one in values]


def _strip(assessment: Assessment, file: FileSpec, record: Record, channel: Channel) -> tuple[Picture, Table]:
    show, series = assessment.show, channel.series
    days = days_between(assessment.job.clock, series.start_s, series.end_s)
    estimated, missing = daily_shares(series, days)
    part = [i for i in range(len(days)) if estimated[i] + missing[i] > _LEAST]
    # The first day and the last may be there only in part: what lies before or after the record is no gap, and no whole day.
    inside = (days.starts_s[:-1] >= series.start_s) & (days.starts_s[1:] <= series.end_s)
    told = {"days": len(days) if part else int(inside.sum()), "name": record.source.name, "gaps": len(part)}
    title = words("files.strip.gaps" if part else "files.strip.whole", show, **told)
    counts = {"missing": int((missing > _LEAST).sum()), "estimated": int((estimated > _LEAST).sum())}
    alt = words("files.strip.alt", show, days=len(days), first=show.day(days.first), **counts)
    source = f"{record.source.name}, {channel.column}, {Basis.MEASURED.name.lower()}"
    rows = list(_part_days([days.date(i).isoformat() for i in part], estimated[part], missing[part], show))
    columns = (text_column("Day"), number_column("Estimated", "%"), number_column("Missing", "%"))
    whole = [(words("files.days.none"), MISSING, MISSING)]
    caption = Caption(f"completeness-{file.id}", title, alt, source, None, show.duration(series.step_s))
    picture = completeness_strip(caption, days.first, estimated, missing, chart_words(show))
    return picture, table(columns, rows or whole, words("files.days"), source)


def _part_days(names: list[str], estimated: Floats, missing: Floats, show: Show) -> Iterator[tuple[Cell, ...]]:
    for name, some, none in zip(names, estimated.tolist(), missing.tolist(), strict=True):
        yield (name, figure(show, 100 * some, 1), figure(show, 100 * none, 1))
