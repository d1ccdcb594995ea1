"""How high demand gets: the duration curve and the highest peaks with what surrounded them."""

from dataclasses import replace
from functools import partial

import numpy as np

from wattwright.charts.duration import duration_curve
from wattwright.charts.lines import Line
from wattwright.charts.peaks import Limit, PeakPanel, peaks_around
from wattwright.charts.picture import Picture
from wattwright.charts.table import Table
from wattwright.core.series import Floats
from wattwright.core.show import THIN, Show
from wattwright.demand.peaks import Peak
from wattwright.handover.context import Context
from wattwright.handover.paper import Block, PictureBlock, Section, TableBlock, Text
from wattwright.handover.wide import figure, margin_notes, number_column, table, text_column

_SHOWN = 6
_CURVE_POINTS = 400
_STEPS = 20
"""Steps in the table of a stretch of the curve."""


def heights(context: Context) -> Section:
    """Return the section on peaks."""
    demand, show = context.demand, context.show
    half = demand.summary.maximum.power_w / 2
    curve = demand.duration
    told = {"hours": curve.hours_above(half), "all": len(curve.power_w) * curve.step_s / 3600}
    if not context.hourly:
        told = {name: hours * 3600 / curve.step_s for name, hours in told.items()}
    lead = context.words("peaks.lead" if context.hourly else "peaks.lead.steps", half=half, **told)
    if not half > 0:
        lead = context.words("answer.nothing")
    # The hours around a peak are nothing where a reading spans them all.
    around = [PictureBlock(_around(context))] if context.within_day else []
    blocks: list[Block] = [PictureBlock(_curve(context)), *around, Text(context.words("peaks.columns"))]
    blocks.append(TableBlock(_peak_table(context), wide=True))
    blocks.insert(1, Text(context.words("peaks.words", step=demand.summary.step_s)))
    notes = [one for one in demand.findings if one.code in ("demand.coarse", "demand.windows-left-out")]
    return Section(context.words("peaks.title"), lead, (*blocks, *margin_notes(notes, show)))


def _curve(context: Context) -> Picture:
    curve = context.demand.duration
    # Close points near nought draw the few busiest hours as they are; the rest is smooth.
    shares = np.unique(np.concatenate([np.linspace(0, 0.02, _CURVE_POINTS // 2), np.linspace(0.02, 1, _CURVE_POINTS // 2)]))
    power = np.array([curve.at_share(float(share)) for share in shares])
    alt = context.words("duration.alt", highest=power[0], lowest=power[-1], median=curve.at_share(0.5))
    whole = np.array([0.0, 0.001, 0.01, 0.05, 0.1, 0.25, 0.5, 0.75, 0.95])
    empty = _no_figures(context)
    figures = _curve_table(context.show, empty, 100 * whole, np.array([curve.at_share(float(share)) for share in whole]), 1)
    caption = context.caption("duration", context.words("duration.title"), alt, figures)
    picture = duration_curve(caption, 100 * shares, [Line("site", power)], words=context.chart_words)
    return picture.with_figures(partial(_curve_between, context.show, empty, 100 * shares, power))


def _no_figures(context: Context) -> Table:
    basis = context.demand.basis_over(context.demand.summary.step_s)
    columns = (number_column("Share of the time", "%"), number_column("Power reached or passed", "kW", basis))
    return table(columns, (), context.words("duration.title"), context.source)


def _curve_between(show: Show, empty: Table, shares_pct: Floats, power_w: Floats, low_pct: float, high_pct: float) -> Table:
    """Return the curve between two shares of the time, at twenty equal steps and read off as it is drawn."""
    at_pct = np.linspace(low_pct, high_pct, _STEPS + 1)
    return _curve_table(show, empty, at_pct, np.interp(at_pct, shares_pct, power_w), 3)


def _curve_table(show: Show, empty: Table, shares_pct: Floats, power_w: Floats, decimals: int) -> Table:
    rows = zip(shares_pct.tolist(), power_w.tolist(), strict=True)
    return replace(empty, rows=tuple((figure(show, one, decimals), figure(show, watts / 1000, 3)) for one, watts in rows))


def _around(context: Context) -> Picture:
    peaks = context.demand.peaks[:_SHOWN]
    panels = [_panel(context, one) for one in peaks]
    supply, limit_w = context.spec.supply, context.limit_w
    limit = None
    if supply is not None and limit_w is not None:
        limit = Limit(context.words("peaks.limit", rating=supply.main_protection_a, voltage=supply.voltage_v), limit_w)
    alt = context.words("peaks.alt", count=len(panels), low=peaks[-1].power_w, high=peaks[0].power_w)
    caption = context.caption("peaks", context.words("peaks.picture"), alt)
    return peaks_around(caption, panels, limit, context.chart_words)


def _panel(context: Context, peak: Peak) -> PeakPanel:
    minutes = (peak.around_start_s - peak.start_s + peak.step_s * np.arange(len(peak.around_w))) / 60
    day = context.day(peak.start_s)
    time = context.show.time(peak.start_s)[-5:]
    return PeakPanel(day, minutes, peak.around_w, f"{context.show.kilowatts(peak.power_w, 2)} at {time}")


def _peak_table(context: Context) -> Table:
    show = context.show
    rows = []
    for number, one in enumerate(context.demand.peaks, 1):
        beside = ", ".join(f"{show.number(b.value)}{THIN}{b.unit}" for b in one.beside if b.unit in ("V", "A"))
        rows.append(
            (
                str(number),
                show.time(one.start_s) if context.within_day else show.time(one.start_s)[:10],
                figure(show, one.power_w / 1000, 3),
                figure(show, one.before_w / 1000, 2),
                figure(show, one.after_w / 1000, 2),
                show.duration(one.lasted_s),
                beside,
            )
        )
    span = "Hour" if context.hourly else show.duration(context.demand.summary.step_s)
    columns = (
        text_column("No."),
        text_column("Began"),
        number_column("Power", "kW", context.demand.basis_over(context.demand.summary.step_s)),
        number_column(f"{span} before", "kW", context.demand.from_readings),
        number_column(f"{span} after", "kW", context.demand.from_readings),
        text_column(context.words("peaks.lasted")),
        text_column("Beside it"),
    )
    return table(columns, rows, context.words("peaks.table"), context.source)
