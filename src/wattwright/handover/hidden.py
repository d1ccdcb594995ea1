"""What hides behind the means: the peaks within the intervals, as bands, and how sure they are."""

import numpy as np

from wattwright.charts.bands import banded_peaks
from wattwright.charts.peaks import Limit
from wattwright.charts.picture import Picture
from wattwright.charts.table import Table
from wattwright.core.basis import Basis
from wattwright.core.series import Floats
from wattwright.demand.within.bands import PeakBands, Rests, WindowBands
from wattwright.handover.context import Context
from wattwright.handover.paper import Block, PictureBlock, Section, TableBlock, Text
from wattwright.handover.wide import figure, margin_notes, number_column, short_months, table, text_column
from wattwright.job.peaks import limit_named

_FEWEST_MONTHS = 3
_MOST_DAYS = 62


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
    by_month = len(first.months) >= _FEWEST_MONTHS
    names, bands = _by_month(context, first) if by_month else _by_day(context, first)
    read = _highest_read(context, first, by_month=by_month)[-len(names) :]
    span = "month" if by_month else "day"
    alt = context.words("hidden.alt", span=span, high=float(bands[2].max()), read=float(np.nanmax(read)))
    caption = context.caption("hidden-peaks", context.words("hidden.picture", span=span), alt)
    limit = None
    if peaks.passing is not None:
        limit = Limit(context.show.power(peaks.passing.limit_w), peaks.passing.limit_w)
    return banded_peaks(caption, names, bands, read, ("band", "middle", "highest mean"), limit, context.chart_words)


def _by_month(context: Context, first: WindowBands) -> tuple[list[str], Floats]:
    names = short_months([f"{year:04d}-{month:02d}" for year, month, _ in first.months], context.dates)
    return names, np.array([[band.low_w, band.median_w, band.high_w] for *_, band in first.months]).T


def _by_day(context: Context, first: WindowBands) -> tuple[list[str], Floats]:
    """Return the last days, at most two months of them, by their number in its month."""
    days, last = first.days, slice(-_MOST_DAYS, None)
    names = [str(context.clock.day_of(int(start)).day) for start in days.start_s[last]]
    return names, np.stack([days.low_w[last], days.median_w[last], days.high_w[last]])


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
