"""What hides behind the means: the peaks within the intervals, as bands, and how sure they are."""

import datetime as dt
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from wattwright.charts.bands import banded_peaks
from wattwright.charts.peaks import Limit
from wattwright.charts.picture import Caption, Picture
from wattwright.charts.reading import Zoom
from wattwright.charts.table import Cell, Table
from wattwright.charts.words import ChartWords
from wattwright.core.basis import Basis
from wattwright.core.series import Floats
from wattwright.core.show import Show
from wattwright.demand.within.bands import PeakBands, Rests, WindowBands
from wattwright.handover.context import Context
from wattwright.handover.paper import Block, PictureBlock, Section, TableBlock, Text
from wattwright.handover.wide import figure, margin_notes, number_column, short_months, table, text_column
from wattwright.job.peaks import limit_named

_FEWEST_MONTHS = 3
_MOST_DAYS = 62
_DAY_S, _LEAST_DAYS = 86_400, 7
_LABELS = ("band", "middle", "highest mean")


def hidden(context: Context) -> Section | None:
    """Return the section on hidden peaks, or None where the readings are so fine that they hide none."""
    peaks = context.peaks
    if peaks is None or peaks.shortest.rests is Rests.READ or not len(peaks.shortest.days):
        return None
    first = peaks.shortest
    step, band = peaks.step_s, first.whole
    read = context.demand.summary.maximum.power_w
    lead = context.words("hidden.lead", step=step, read=read, low=band.low_w, median=band.median_w, high=band.high_w)
    blocks: list[Block] = [
        Text(context.words("hidden.measured", step=step, rests=first.rests.value)),
        PictureBlock(_picture(context, peaks)),
        Text(" ".join(_sentences(context, peaks))),
        TableBlock(_windows(context, peaks)),
    ]
    return Section(context.words("hidden.title"), lead, (*blocks, *margin_notes(peaks.findings, context.show)))


def _sentences(context: Context, peaks: PeakBands) -> list[str]:
    first = peaks.shortest
    key = "hidden.sure" if first.rests is Rests.FINER else "hidden.unsure"
    told = [context.words(key, step=peaks.step_s, share=first.days_guarantee)]
    limit = peaks.passing
    if limit is not None:
        low, median, high = (round(one) for one in limit.minutes)
        key = "hidden.limit" if high > 0 else "hidden.limit.none"
        longest = round(limit.longest_min[2])
        named = f" ({limit_named(context.spec)})" if limit_named(context.spec) else ""
        told.append(context.words(key, limit=limit.limit_w, named=named, low=low, median=median, high=high, longest=longest))
    if peaks.starter:
        told.append(context.words("hidden.start", name=peaks.starter, current=peaks.start_a))
    if peaks.narrowing:
        most = max(peaks.narrowing, key=lambda one: one.narrower_w)
        if most.narrower_w >= 0.01 * most.mean_width_w:
            told.append(context.words("hidden.narrows", name=most.name, power=most.narrower_w))
    return told


def _picture(context: Context, peaks: PeakBands) -> Picture:
    first = peaks.shortest
    days, months = _by_day(context, first), _by_month(context, first)
    limit = None
    if peaks.passing is not None:
        limit = Limit(context.show.power(peaks.passing.limit_w), peaks.passing.limit_w)
    found = _Drawn(days, months, limit, context.chart_words)
    begin, end, count = float(days.edges_s[0]), float(days.edges_s[-1]), len(days.names)
    by_month = len(months.names) >= _FEWEST_MONTHS
    of = months if by_month else days.last(_MOST_DAYS)
    figures = partial(_figures_between, context.show, context.demand.basis_over(peaks.step_s), found)
    zoom = None
    if count > _LEAST_DAYS and by_month:
        zoom = Zoom(begin, end, _DAY_S, _LEAST_DAYS * _DAY_S, partial(_part, found), figures)
    return _banded(found, of, zoom)


@dataclass(frozen=True, slots=True, eq=False)
class _Spans:
    """Spans of time, days or months: how a picture of them is captioned, their names on its axis and as they are read out.

    ``span`` is what one of them is called, ``edges_s`` are where they begin and end, UTC seconds, shape (n + 1,); ``bands_w``
    (3, n) and the highest means ``read_w`` (n,) are in W.
    """

    span: str
    caption: Caption
    names: list[str]
    told: list[str]
    edges_s: Floats
    bands_w: Floats
    read_w: Floats

    def last(self, count: int) -> "_Spans":
        """Return so many of them, the last."""
        return self.between(max(len(self.names) - count, 0), len(self.names))

    def between(self, low: int, high: int) -> "_Spans":
        """Return those from one to another, by their number."""
        edges_s, bands_w = self.edges_s[low : high + 1], self.bands_w[:, low:high]
        names, told = self.names[low:high], self.told[low:high]
        return replace(self, names=names, told=told, edges_s=edges_s, bands_w=bands_w, read_w=self.read_w[low:high])

    def over(self, begin_s: float, end_s: float) -> "_Spans":
        """Return those that have a part of a stretch, at least one."""
        low = max(int(np.searchsorted(self.edges_s, begin_s, side="right")) - 1, 0)
        low = min(low, len(self.names) - 1)
        high = max(int(np.searchsorted(self.edges_s, end_s, side="left")), low + 1)
        return self.between(low, min(high, len(self.names)))

    def nearest(self, begin_s: float, end_s: float) -> "_Spans":
        """Return those between the edges nearest to two ends, at least one.

        Ends are asked for in steps of 24 h, and after a change of the clock days begin an hour beside them.
        """
        low, high = (int(np.abs(self.edges_s - at_s).argmin()) for at_s in (begin_s, end_s))
        low = min(low, len(self.names) - 1)
        return self.between(low, max(high, low + 1))


@dataclass(frozen=True, slots=True, eq=False)
class _Drawn:
    """All that pictures of hidden peaks are made of."""

    days: _Spans
    months: _Spans
    limit: Limit | None
    words: ChartWords


def _banded(found: _Drawn, of: _Spans, zoom: Zoom | None) -> Picture:
    return banded_peaks(
        of.caption, of.names, of.bands_w, of.read_w, _LABELS, found.limit, found.words, of.told, of.edges_s.tolist(), zoom
    )  # fmt: skip


def _part(found: _Drawn, begin_s: float, end_s: float) -> Picture:
    """Return the picture of a stretch: its days where they have room, else its months."""
    of = _shown(found, begin_s, end_s)
    shown = found.words.shown.format(first=of.told[0], last=of.told[-1])
    return _banded(found, replace(of, caption=of.caption.of_part(shown)), None)


def _shown(found: _Drawn, begin_s: float, end_s: float) -> _Spans:
    days = found.days.nearest(begin_s, end_s)
    return days if len(days.names) <= _MOST_DAYS else found.months.over(float(days.edges_s[0]), float(days.edges_s[-1]))


def _figures_between(show: Show, read: Basis, found: _Drawn, begin_s: float, end_s: float) -> Table:
    """Return the figures of what is drawn of a stretch, in kW."""
    of = _shown(found, begin_s, end_s)
    values = np.vstack([of.bands_w, of.read_w]).T.tolist()
    rows: list[tuple[Cell, ...]] = [
        (name, *(figure(show, one / 1000, 3) for one in row)) for name, row in zip(of.told, values, strict=True)
    ]
    heads = ("Low", "Middle", "High")
    columns = (
        text_column(of.span.capitalize()),
        *(number_column(head, "kW", Basis.ESTIMATED) for head in heads),
        number_column("Highest mean read", "kW", read),
    )
    return table(columns, rows, of.caption.title, of.caption.source)


def _spans(
    context: Context, first: WindowBands, span: str, names: tuple[list[str], list[str]], edges_s: Floats, bands_w: Floats
) -> _Spans:  # fmt: skip
    read_w = _highest_read(context, first, by_month=span == "month")[-len(names[0]) :]
    alt = context.words("hidden.alt", span=span, high=float(bands_w[2].max()), read=float(np.nanmax(read_w)))
    caption = context.caption("hidden-peaks", context.words("hidden.picture", span=span), alt)
    return _Spans(span, caption, *names, edges_s, bands_w, read_w)


def _by_month(context: Context, first: WindowBands) -> _Spans:
    told = [f"{year:04d}-{month:02d}" for year, month, _ in first.months]
    names = short_months(told, context.dates), told
    bands_w = np.array([[band.low_w, band.median_w, band.high_w] for *_, band in first.months]).T
    begins = [float(context.clock.midnights_s(dt.date(year, month, 1), 1)[0]) for year, month, _ in first.months]
    edges_s = np.array([float(first.days.start_s[0]), *begins[1:], _end_of(context, first)])
    return _spans(context, first, "month", names, edges_s, bands_w)


def _by_day(context: Context, first: WindowBands) -> _Spans:
    """Return the days by their number in its month."""
    days = first.days
    dates = [context.clock.day_of(int(start)) for start in days.start_s]
    names = [str(one.day) for one in dates], [one.isoformat() for one in dates]
    edges_s = np.append(days.start_s, _end_of(context, first)).astype(np.float64)
    return _spans(context, first, "day", names, edges_s, np.stack([days.low_w, days.median_w, days.high_w]))


def _end_of(context: Context, first: WindowBands) -> float:
    """Return where the last day ends, UTC seconds: where the clock changes on it, not 24 h after it began."""
    last = context.clock.day_of(int(first.days.start_s[-1]))
    return float(context.clock.midnights_s(last, 1)[1])


def _highest_read(context: Context, first: WindowBands, *, by_month: bool) -> Floats:
    """Return the highest mean that was read in each month or day that has a band, W."""
    series = context.power.series.read_only()
    held = series.present
    starts, values = series.times_s[held], series.values[held]
    if by_month:
        parts = context.clock.parts(starts)
        key = parts.year.astype(np.int64) * 12 + parts.month
    else:
        key = np.searchsorted(first.days.start_s, starts, side="right")
    _, begins = np.unique(key, return_index=True)
    highest: Floats = np.maximum.reduceat(values, begins)
    return highest


def _windows(context: Context, peaks: PeakBands) -> Table:
    show = context.show
    rows = [
        (
            show.duration(one.window_s),
            *(figure(show, value / 1000, 2) for value in (one.whole.low_w, one.whole.median_w, one.whole.high_w)),
            one.rests.value,
        )
        for one in peaks.windows
    ]
    numbers = [number_column(name, "kW", Basis.ESTIMATED) for name in ("Low", "Middle", "High")]
    columns = (text_column("Over"), *numbers, text_column("Rests on"))
    return table(columns, rows, context.words("hidden.table"), context.source)
