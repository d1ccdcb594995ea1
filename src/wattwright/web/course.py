"""The readings of a job from all of them down to a few: any stretch as a picture, read out by columns, and as figures."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from wattwright.charts.course import Course, Part, course_picture, part_of
from wattwright.charts.picture import Caption, Picture
from wattwright.charts.reading import Plot, Reading, Zoom
from wattwright.charts.table import Cell, Marked, Table
from wattwright.charts.words import ENGLISH
from wattwright.core.basis import Basis
from wattwright.core.clock import SiteClock
from wattwright.core.series import Floats
from wattwright.core.show import MISSING, Show
from wattwright.handover.context import chart_words
from wattwright.handover.wide import number_column, table, text_column
from wattwright.job.assessment import Assessment
from wattwright.sky.sun import sun_times
from wattwright.web.words import words

READINGS = "readings"
"""What the picture is called in addresses."""
_DAY_S, _TICKS = 86_400, 9
_EVERY_MIN = (1, 5, 15, 30, 60, 120, 180, 360, 720)
_LEAST_READINGS = 4
"""Fewer are not zoomed into: a picture of one reading says nothing."""
_NIGHTS_DAYS = 14
"""Nights are shaded in a stretch of so many days; in a longer one they are stripes that say nothing."""


@dataclass(frozen=True, slots=True, eq=False)
class Read:
    """The readings with how they are shown, and the nights of their days: sunset and sunrise, UTC seconds, shape (n, 2)."""

    course: Course
    nights_s: Floats
    show: Show


def readings(assessment: Assessment) -> Picture:
    """The picture of all readings, any stretch of which can be drawn, with their figures. Raises InputError as they do."""
    series = assessment.power().series
    course = Course(series.start_s, series.step_s, series.values.astype(np.float32), series.estimated)
    read = Read(course, _nights(assessment, course), assessment.show)
    step_s, begin, end = course.step_s, course.start_s, course.end_s
    zoom = Zoom(
        float(begin), float(end), float(step_s), float(min(_LEAST_READINGS * step_s, end - begin)), partial(_stretch, read)
    )
    return _picture(read, part_of(course, begin, end), zoom)


def _stretch(read: Read, begin_s: float, end_s: float) -> Picture:
    return _picture(read, part_of(read.course, int(begin_s), int(end_s)), None)


def _nights(assessment: Assessment, course: Course) -> Floats:
    """The nights that touch the readings; none where nobody said how far east the place is."""
    site, clock = assessment.job.spec.site, assessment.job.clock
    if site.longitude_deg is None:
        return np.empty((0, 2))
    first, last = (int(clock.local_s(np.array([at]))[0]) // _DAY_S for at in (course.start_s, course.end_s))
    sun = sun_times(np.arange(first - 1, last + 2), site.latitude_deg, site.longitude_deg, clock)
    nights = np.stack([sun.set_s[:-1], sun.rise_s[1:]], axis=1)
    found: Floats = nights[nights[:, 0] < nights[:, 1]]
    return found


def _picture(read: Read, part: Part, zoom: Zoom | None) -> Picture:
    """The picture of a stretch, with its figures."""
    show = read.show
    first, last = show.time(int(part.edges_s[0])), show.time(int(part.edges_s[-1]))
    at, clock = part.peak, SiteClock(show.zone)
    peak = "" if at is None else f"{show.power(float(part.greatest_w[at]))}, {show.time(part.peak_s)}"
    title = words("course.missing" if at is None else "course.title", first=first, last=last, peak=peak)
    step = words("course.whole" if part.is_whole else "course.step", show, step=part.step_s, width=int(np.diff(part.edges_s)[0]))
    source = words("course.source")
    figures = _figures(part, show, title, f"{source}. {step}")
    caption = Caption(READINGS, title, words("course.alt", first=first, last=last, step=step), source, figures, step)
    reading = Reading(partial(_plots, part, show), zoom)
    return course_picture(caption, part, _ticks(clock, part), peak, chart_words(show), _shaded(read.nights_s, part), reading)


def _shaded(nights_s: Floats, part: Part) -> list[tuple[float, float]]:
    """The nights of a short stretch, cut at its ends, UTC seconds."""
    first, last = float(part.edges_s[0]), float(part.edges_s[-1])
    if last - first > _NIGHTS_DAYS * _DAY_S:
        return []
    return [(max(down, first), min(up, last)) for down, up in nights_s.tolist() if down < last and up > first]


def _plots(part: Part, show: Show) -> tuple[Plot, ...]:
    told = list(_told(part, show))
    return (Plot([at for at, _ in told], [[cell for _, cell in told]], part.edges_s.tolist()),)


def _figures(part: Part, show: Show, title: str, source: str) -> Table:
    """The figures of a stretch, a line for each column."""
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
    return table(columns, rows, title, source)


def _kilowatts(power_w: float, show: Show) -> Cell:
    return MISSING if np.isnan(power_w) else Marked(show.fixed(power_w / 1000, 3), value=power_w / 1000)


def _told(part: Part, show: Show) -> Iterator[tuple[str, str]]:
    """Yield time and words of each column. Hundreds are asked for at once: figures are not set one by one by the locale."""
    mark = chart_words(show).decimal_mark
    names = {name: words(f"course.{name}") for name in ("least", "mean", "greatest", "estimated", "none")}
    columns = zip(part.edges_s[:-1].tolist(), part.least_w, part.mean_w, part.greatest_w, part.estimated, strict=True)
    for at, least, mean, greatest, filled in columns:
        if np.isnan(mean):
            yield show.time(at), names["none"]
            continue
        low, middle, high = (f"{one / 1000:.3f}".replace(".", mark) for one in (least, mean, greatest))
        named = f"{names['greatest']} {high} kW, {names['mean']} {middle} kW, {names['least']} {low} kW"
        said = f"{high} kW" if part.is_whole else named
        yield show.time(at), f"{said}{', ' + names['estimated'] if filled else ''}"


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
