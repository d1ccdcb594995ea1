"""The readings of a job from all of them down to a few: any stretch as a picture, read out by columns, and as figures."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from wattwright.charts.course import LEFT_PX, Course, Part, course_picture, part_of, plot_px
from wattwright.charts.picture import Caption, Picture
from wattwright.charts.render import live_drawing, picture_file, png, titled
from wattwright.charts.table import Cell, Marked, Table
from wattwright.charts.words import ENGLISH
from wattwright.core.basis import Basis
from wattwright.core.clock import SiteClock
from wattwright.core.show import MISSING, Show
from wattwright.handover.context import chart_words
from wattwright.handover.wide import number_column, table, text_column
from wattwright.job.assessment import Assessment
from wattwright.web.figures import as_csv
from wattwright.web.words import words

COURSE_FORMS = {
    "wide.json": "application/json", "narrow.json": "application/json", "svg": "image/svg+xml", "png": "image/png",
    "csv": "text/csv; charset=utf-8", "html": "text/html; charset=utf-8",
}  # fmt: skip
"""The forms in which a stretch is given, with their media types."""
_DAY_S, _TICKS = 86_400, 9
_EVERY_MIN = (1, 5, 15, 30, 60, 120, 180, 360, 720)
_LEAST_READINGS = 4
"""Fewer are not zoomed into: a picture of one reading says nothing."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A stretch that is asked for, UTC seconds; what lies outside the record is left out."""

    from_s: int
    until_s: int


def course_of(assessment: Assessment) -> Course:
    """The power of the site as it was read, what was filled in by a rule with it. Raises InputError as the readings do."""
    series = assessment.power().series
    return Course(series.start_s, series.step_s, series.values.astype(np.float32), series.estimated)


def asked_of(course: Course, query: Mapping[str, str]) -> Asked | None:
    """The stretch that an address names, all where it names none; None where it is no stretch of the record."""
    try:
        from_s, until_s = (
            int(query.get(name, "") or usual) for name, usual in (("from", course.start_s), ("until", course.end_s))
        )
    except ValueError:
        return None
    if not (from_s < until_s and from_s < course.end_s and until_s > course.start_s):
        return None
    room = max(_LEAST_READINGS * course.step_s - (until_s - from_s), 0)
    return Asked(max(from_s - room // 2, course.start_s), min(until_s + room // 2, course.end_s))


def drawn(course: Course, asked: Asked, show: Show, *, narrow: bool) -> dict[str, object]:
    """What the page's script draws of a stretch: the picture, where each column stands, and its words to be read out."""
    part = part_of(course, asked.from_s, asked.until_s)
    picture = picture_of(part, show)
    spec = picture.narrow if narrow and picture.narrow is not None else picture.spec
    return {
        **live_drawing(spec), "title": picture.title, "alt": picture.alt, "step": picture.step, "left": LEFT_PX,
        "width": plot_px(narrow=narrow), "first": course.start_s, "last": course.end_s, "every": course.step_s,
        "edges": part.edges_s.tolist(), "told": list(_told(part, show)),
    }  # fmt: skip


def course_file(course: Course, asked: Asked, show: Show, form: str) -> bytes:
    """A stretch in one of the forms but that of a page."""
    if form.endswith(".json"):
        made = drawn(course, asked, show, narrow=form == "narrow.json")
        return json.dumps(made, separators=(",", ":"), allow_nan=False).encode()
    if form == "csv":
        return as_csv(figures_of(course, asked, show)).encode("utf-8-sig")
    picture = picture_of(part_of(course, asked.from_s, asked.until_s), show)
    return png(titled(picture)) if form == "png" else picture_file(picture).encode()


def picture_of(part: Part, show: Show) -> Picture:
    """The picture of a stretch."""
    first, last = show.time(int(part.edges_s[0])), show.time(int(part.edges_s[-1]))
    at, clock = part.peak, SiteClock(show.zone)
    peak = "" if at is None else f"{show.power(float(part.greatest_w[at]))}, {show.time(part.peak_s)}"
    title = words("course.missing" if at is None else "course.title", first=first, last=last, peak=peak)
    step = words("course.whole" if part.is_whole else "course.step", show, step=part.step_s, width=int(np.diff(part.edges_s)[0]))
    caption = Caption("course", title, words("course.alt", first=first, last=last, step=step), words("course.source"), step=step)
    return course_picture(caption, part, _ticks(clock, part), peak, chart_words(show))


def figures_of(course: Course, asked: Asked, show: Show) -> Table:
    """The figures of a stretch, a line for each column."""
    part = part_of(course, asked.from_s, asked.until_s)
    rows: list[tuple[Cell, ...]] = [
        (show.time(at), *(_kilowatts(one, show) for one in powers), words("course.estimated") if filled else "")
        for at, *powers, filled in zip(
            part.edges_s[:-1].tolist(), part.least_w.tolist(), part.mean_w.tolist(), part.greatest_w.tolist(),
            part.estimated.tolist(), strict=True,
        )
    ]  # fmt: skip
    heads = (words(f"course.{one}") for one in ("least", "mean", "greatest"))
    columns = (
        text_column(words("course.begins")),
        *(number_column(head, "kW", Basis.MEASURED) for head in heads),
        text_column(""),
    )
    picture = picture_of(part, show)
    return table(columns, rows, picture.title, f"{picture.source} {picture.step}")


def _kilowatts(power_w: float, show: Show) -> Cell:
    return MISSING if np.isnan(power_w) else Marked(show.fixed(power_w / 1000, 3), value=power_w / 1000)


def _told(part: Part, show: Show) -> Iterator[str]:
    """Yield the words of each column. Hundreds are asked for at once, so that figures are not set one by one by the locale."""
    mark = chart_words(show).decimal_mark
    names = {name: words(f"course.{name}") for name in ("least", "mean", "greatest", "estimated", "none")}
    columns = zip(part.edges_s[:-1].tolist(), part.least_w, part.mean_w, part.greatest_w, part.estimated, strict=True)
    for at, least, mean, greatest, filled in columns:
        if np.isnan(mean):
            yield f"{show.time(at)}: {names['none']}"
            continue
        low, middle, high = (f"{one / 1000:.3f}".replace(".", mark) for one in (least, mean, greatest))
        named = f"{names['greatest']} {high} kW, {names['mean']} {middle} kW, {names['least']} {low} kW"
        said = f"{high} kW" if part.is_whole else named
        yield f"{show.time(at)}: {said}{', ' + names['estimated'] if filled else ''}"


def _ticks(clock: SiteClock, part: Part) -> list[tuple[int, str]]:
    """Places on the wall clock: of a long stretch firsts of the month, weeks or days, of a short one hours and minutes."""
    first, last = int(part.edges_s[0]), int(part.edges_s[-1])
    every_min = next((one for one in _EVERY_MIN if (last - first) / 60 / one <= _TICKS), 1440)
    grid = np.arange(-(-first // 60) * 60, last + 1, 60 * min(every_min, 15), dtype=np.int64)
    if every_min >= 15:
        grid = np.arange(-(-first // 900) * 900, last + 1, 900, dtype=np.int64)
    local = clock.parts(grid)
    stands = local.minute % every_min == 0
    if every_min == 1440:
        days = (last - first) / _DAY_S
        on = (1, 8, 15, 22) if days <= 7 * _TICKS else (1,)
        stands &= np.isin(local.day, on) if days > _TICKS else stands
        if days > 31 * 1.5 * _TICKS:
            stands &= local.month % 3 == 1
    return [(int(at), _tick(clock, int(at))) for at in grid[stands]]


def _tick(clock: SiteClock, at_s: int) -> str:
    local = clock.at(at_s)
    return f"{local:%H:%M}" if (local.hour, local.minute) != (0, 0) else f"{local.day} {ENGLISH.months[local.month - 1]}"
