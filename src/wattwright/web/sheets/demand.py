"""The page of the demand: sections of the report, each picture with a title that states its result and figures to take along."""

from dataclasses import replace
from functools import partial

import numpy as np

from wattwright.charts.picture import Picture
from wattwright.charts.table import Cell, Table
from wattwright.core.basis import Basis
from wattwright.core.calendar import SEASONS
from wattwright.core.series import Floats
from wattwright.demand.profiles import TypicalDay
from wattwright.handover.context import LANGUAGE, Context
from wattwright.handover.habits import days_alike
from wattwright.handover.heights import heights
from wattwright.handover.hidden import hidden
from wattwright.handover.opening import opening, with_doubt
from wattwright.handover.paper import Block, KeyFigures, MarginNote, Paper, PictureBlock, Section, TableBlock
from wattwright.handover.quality import quality
from wattwright.handover.report import readings_of, title_block
from wattwright.handover.usage import months, when
from wattwright.handover.whole_year import whole_year
from wattwright.handover.wide import clock_text, figure, number_column, table, text_column
from wattwright.record.faults.doubt import peak_doubts
from wattwright.web.course import READINGS, readings
from wattwright.web.open_job import OpenJob
from wattwright.web.sheets.common import Made, nothing_yet, or_why, paper, sheet_name
from wattwright.web.words import words


def sheet(job: OpenJob) -> Made:
    """The page, and the figures of its pictures. Raises FileError, RecordError, JobError."""
    if job.spec.main_file() is None:
        return paper(job, "demand", [nothing_yet("demand", "file")])
    context = replace(readings_of(job.assessment), peaks=job.assessment.peaks())
    figures: dict[str, Table] = {}
    told = [*([when(context)] if context.within_day else []), heights(context), months(context)]
    behind = hidden(context)
    told += [behind] if behind is not None else []
    told += [one for one in (make(job, context) for make in (_days, _year, _quality)) if one is not None]
    made = [_answers(context), *(with_doubt(context, one) for one in told)]
    sections = tuple(replace(one, blocks=tuple(_block(context, one, block, figures) for block in one.blocks)) for one in made)
    course = readings(job.assessment)
    figures[READINGS] = course.table or table((), (), course.title)
    sections = (*sections, Section(words("course.head"), words("course.lead"), (PictureBlock(replace(course, table=None)),)))
    mark = context.chart_words.decimal_mark
    return Paper(title_block(context, sheet_name("demand")), sections, language=LANGUAGE, decimal_mark=mark), figures


def _days(job: OpenJob, context: Context) -> Section | None:
    return or_why(context, "alike.title", lambda: days_alike(context, job.assessment.habits()))


def _year(job: OpenJob, context: Context) -> Section | None:
    return or_why(context, "year.title", lambda: whole_year(context, job.assessment.annualised()))


def _quality(job: OpenJob, context: Context) -> Section | None:
    return quality(context, job.assessment.supply_quality())


def _answers(context: Context) -> Section:
    """The report's opening, figures first and the notes beside all that follows, without the words on whom it is for."""
    section = opening(context)
    figures = [one for one in section.blocks if isinstance(one, KeyFigures)]
    notes = [one for one in section.blocks if isinstance(one, MarginNote)]
    after = section.blocks[section.blocks.index(figures[0]) + 1 :]
    return replace(section, blocks=(*figures, *notes, *(one for one in after if not isinstance(one, MarginNote))))


def _block(context: Context, section: Section, block: Block, figures: dict[str, Table]) -> Block:
    """The block as the page shows it: a picture gets the title that states its result, its figures a page of their own."""
    if not isinstance(block, PictureBlock):
        return block
    picture = block.picture
    table = _figures(context, section, picture)
    if picture.id == "year-heat":
        picture = picture.with_figures(partial(_days_of, table))
    figures[picture.id] = table
    return PictureBlock(replace(picture, table=None).retitled(_title(context, picture)))


def _days_of(table: Table, low: float, high: float) -> Table:
    """The days of the year's map from one to another, by their number."""
    return replace(table, rows=table.rows[int(low) : int(high)])


def _figures(context: Context, section: Section, picture: Picture) -> Table:
    """The figures behind a picture: made here, its own, or the table that stands beside it in the section."""
    if picture.id == "year-heat":
        return _heat_table(context)
    if picture.id == "typical-days":
        return _days_table(context)
    zoom = None if picture.reading is None else picture.reading.zoom
    if picture.table is None and zoom is not None and zoom.figures is not None:
        return zoom.figures(zoom.first, zoom.last)
    beside = next((one.table for one in section.blocks if isinstance(one, TableBlock)), None)
    return picture.table or beside or table((), (), picture.title)


def _title(context: Context, picture: Picture) -> str:
    """The title that states the result, or asks it where the readings are in doubt."""
    titles = {"year-heat": _heat_title, "typical-days": _days_title, "duration": _duration_title, "peaks": _peaks_title}
    titles["months"] = _months_title
    title = titles[picture.id](context, picture) if picture.id in titles else picture.title
    return words("demand.doubted", title=title) if peak_doubts(context.record.findings) else title


def _heat_title(context: Context, _: Picture) -> str:
    heat, days = context.demand.heat, context.demand.days
    day, column = divmod(int(np.nanargmax(heat.power_w)), heat.power_w.shape[1])
    told = {"power": float(heat.power_w[day, column]), "day": context.dates.day(days.date(day))}
    key = "demand.heat" if context.hourly else "demand.heat.steps"
    return words(key, context.show, step=heat.bin_s, time=clock_text(column * heat.bin_s), **told)


def _heat_table(context: Context) -> Table:
    heat, days, show = context.demand.heat, context.demand.days, context.show
    rows: list[tuple[Cell, ...]] = [
        (days.date(i).isoformat(), *(figure(show, watts / 1000, 3) for watts in row))
        for i, row in enumerate(heat.power_w.tolist())
    ]
    times = [number_column(clock_text(i * heat.bin_s), "kW", Basis.CALCULATED) for i in range(heat.power_w.shape[1])]
    return table((text_column("Day"), *times), rows, words("demand.heat.table", show, step=heat.bin_s), context.source)


def _seasons(context: Context) -> list[tuple[str, TypicalDay]]:
    """The typical days of the seasons that the record has, each with the season's name."""
    found = [(season.value, context.demand.profiles.of(i, -1)) for i, season in enumerate(SEASONS)]
    return [(name, one) for name, one in found if one is not None]


def _days_title(context: Context, _: Picture) -> str:
    bin_s = context.demand.profiles.bin_s
    energies = sorted((float(np.nansum(one.mean_w)) * bin_s / 3.6e6, name) for name, one in _seasons(context))
    (low, least), (high, most) = energies[0], energies[-1]
    key = "demand.days" if len(energies) > 1 else "demand.days.one"
    return words(key, context.show, most=most, high=high, least=least, low=low)


def _days_table(context: Context) -> Table:
    show, bin_s = context.show, context.demand.profiles.bin_s
    named = _seasons(context)
    columns = [text_column("Time")]
    for name, _ in named:
        heads = (f"{name.capitalize()}, {part}" for part in ("mean", "median", "one day in ten below", "one day in ten above"))
        columns += [number_column(head, "kW", Basis.CALCULATED) for head in heads]
    rows: list[tuple[Cell, ...]] = [
        (clock_text(i * bin_s), *(figure(show, float(v[i]) / 1000, 3) for _, d in named for v in _courses(d)))
        for i in range(len(named[0][1].mean_w))
    ]
    return table(columns, rows, words("demand.days.table"), context.source)


def _courses(day: TypicalDay) -> tuple[Floats, ...]:
    return day.mean_w, day.median_w, day.low_w, day.high_w


def _duration_title(context: Context, _: Picture) -> str:
    curve = context.demand.duration
    return words("demand.duration", context.show, half=curve.at_share(0.5), top=curve.at_share(0.01))


def _peaks_title(context: Context, picture: Picture) -> str:
    peaks = context.demand.peaks[:6]
    key = "demand.peaks" if len(peaks) > 1 else "demand.peaks.one"
    return words(key, context.show, count=len(peaks), low=peaks[-1].power_w, high=peaks[0].power_w)


def _months_title(context: Context, picture: Picture) -> str:
    """Where the highest demand fell: the section's own sentence tells of the energy."""
    known = [one for one in context.demand.months if np.isfinite(one.maximum_w)]
    if not known:
        return picture.title
    best = max(known, key=lambda one: one.maximum_w)
    month = context.dates.month(best.year, best.month)
    return words("demand.months", context.show, month=month, power=best.maximum_w, window=best.window_s)
