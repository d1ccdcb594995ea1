"""When power is used, and how much month by month."""

import numpy as np

from wattwright.charts.heat import year_heat
from wattwright.charts.months import monthly_energy_and_peak
from wattwright.charts.picture import Picture
from wattwright.charts.profile import DayPanel, day_profile
from wattwright.charts.table import Cell, Marked, Table
from wattwright.core.basis import Basis, collect, grounds
from wattwright.core.calendar import DAY_TYPES, SEASONS
from wattwright.demand.profiles import TypicalDay
from wattwright.handover.context import Context
from wattwright.handover.exchange import Exchange, by_windows, mean_day_taken_w
from wattwright.handover.paper import Block, PictureBlock, Section, TableBlock, Text
from wattwright.handover.wide import clock_text, figure, margin_notes, number_column, short_months, table, text_column

_BUSY_HOURS = 6
_BOTH_WAYS = ("Imported", "Exported", "Net")


def when(context: Context) -> Section:
    """Return the section on the course of the day and the year."""
    blocks: list[Block] = [PictureBlock(_heat(context)), PictureBlock(_days(context))]
    blocks.append(TableBlock(_day_table(context), wide=True))
    return Section(context.words("when.title"), _lead(context), tuple(blocks), new_page=True)


def _lead(context: Context) -> str:
    """Return in which stretch of about six hours most energy is taken, from the mean day."""
    profiles = context.demand.profiles
    mean = mean_day_taken_w(context.power.series.read_only(), context.demand.days, context.clock, profiles.bin_s)
    if not mean.any():
        return context.words("answer.nothing")
    width = _BUSY_HOURS * 3600 // profiles.bin_s
    around = np.concatenate([mean, mean[: width - 1]])
    sums = np.convolve(around, np.ones(width), "valid")
    first = int(np.argmax(sums))
    end = (first + width) * profiles.bin_s % 86_400
    share = float(sums[first] / mean.sum())
    key = "when.lead.taken" if context.exchange.exports else "when.lead"
    return context.words(key, share=share, from_hour=clock_text(first * profiles.bin_s), to_hour=clock_text(end))


def _heat(context: Context) -> Picture:
    heat, days = context.demand.heat, context.demand.days
    alt = context.words("heat.alt", rows=heat.power_w.shape[1], days=len(days), highest=float(np.nanmax(heat.power_w)))
    if bool((heat.power_w < 0).any()):
        alt = f"{alt} {context.words('heat.export')}"
    caption = context.caption("year-heat", context.words(_heat_title(context), step=heat.bin_s), alt)
    return year_heat(caption, heat.power_w, days.first, words=context.chart_words)


def _heat_title(context: Context) -> str:
    return "heat.title" if context.hourly else "heat.title.steps"


def _days(context: Context) -> Picture:
    groups = _groups(context)
    panels = [
        DayPanel(
            context.words("days.panel", season=_named(one).capitalize(), days=one.days),
            one.median_w,
            one.low_w,
            one.high_w,
            one.mean_w,
        )
        for one in groups
    ]
    alt = context.words("days.alt", count=len(panels))
    return day_profile(context.caption("typical-days", context.words("days.title"), alt), panels, words=context.chart_words)


def _groups(context: Context) -> list[TypicalDay]:
    """Return one typical day per season, all day types together; those with enough days to speak of."""
    found = [context.demand.profiles.of(season, -1) for season in range(len(SEASONS))]
    return [one for one in found if one is not None]


def _named(one: TypicalDay) -> str:
    return SEASONS[one.season].value if one.season >= 0 else "all year"


def _day_table(context: Context) -> Table:
    profiles, show = context.demand.profiles, context.show
    rows = []
    for season in range(len(SEASONS)):
        for kind in range(len(DAY_TYPES)):
            one = profiles.of(season, kind)
            if one is not None:
                energy = float(np.nansum(one.mean_w)) * profiles.bin_s / 3.6e6
                peak = int(np.nanargmax(one.mean_w)) * profiles.bin_s
                top = figure(show, float(np.nanmax(one.high_w)) / 1000, 2)
                head = (_named(one).capitalize(), DAY_TYPES[kind].value, figure(show, one.days, 0))
                rows.append((*head, figure(show, energy, 1), clock_text(peak), top))
    columns = (
        text_column("Season"),
        text_column("Day"),
        number_column("Days", ""),
        number_column("Net energy" if context.exchange.exports else "Energy", "kWh a day", context.demand.from_readings),
        text_column("Busiest at"),
        number_column("Above, one day in ten", "kW", context.demand.from_readings),
    )
    return table(columns, rows, context.words("days.table"), context.source)


def _energies(context: Context, energy_kwh: float, both: Exchange, *, estimates: bool) -> list[Cell]:
    """Return the energy of a month as one cell, or taken, given back and net where the site gives power back.

    A month without ``estimates`` rests on readings, whatever was repaired in others.
    """
    ground = context.demand.grounds
    read = [grounds(part, "") for part in ground.parts if part is not Basis.ESTIMATED]
    basis = collect(read).basis if read and not estimates else ground.basis
    told = [both.imported_kwh, both.exported_kwh, both.net_kwh] if context.exchange.exports else [energy_kwh]
    return [figure(context.show, one, 1, basis) for one in told]


def months(context: Context) -> Section:
    """Return the section on the months."""
    given, show = context.demand.months, context.show
    whole = [one for one in given if one.whole] or list(given)
    best = max(whole, key=lambda one: one.energy_kwh)
    key = "months.lead.net" if context.exchange.exports else "months.lead"
    lead = context.words(key, month=context.dates.month(best.year, best.month), energy=best.energy_kwh)
    if len(given) == 1:
        lead = context.words("months.lead.one", month=context.dates.month(best.year, best.month))
    names = [f"{one.year}-{one.month:02d}{'' if one.whole else ' *'}" for one in given]
    edges = np.clip([one.start_s for one in given] + [given[-1].end_s], context.power.series.start_s, context.power.series.end_s)
    series = context.power.series
    repaired = np.histogram(series.times_s[series.estimated], edges)[0] > 0
    rows: list[tuple[Cell, ...]] = [
        (
            name,
            *_energies(context, one.energy_kwh, both, estimates=bool(some)),
            figure(show, one.maximum_w / 1000, 2),
            Marked(show.completeness(one.completeness), value=100 * one.completeness),
        )
        for name, one, both, some in zip(names, given, by_windows(series, edges), repaired, strict=True)
    ]
    window = show.duration(given[0].window_s)
    columns = (
        text_column("Month"),
        *(number_column(head, "kWh") for head in (_BOTH_WAYS if context.exchange.exports else ("Energy",))),
        number_column(f"Highest demand, {window}", "kW", context.demand.basis_over(given[0].window_s)),
        number_column("Complete", ""),
    )
    figures = table(columns, rows, context.words("months.table"), context.source)
    blocks: list[Block] = []
    if len(given) > 1:
        low, high = min(one.energy_kwh for one in given), max(one.energy_kwh for one in given)
        alt = context.words("months.alt", count=len(given), low=low, high=high)
        title = context.words("months.picture.net" if context.exchange.exports else "months.picture")
        caption = context.caption("months", title, alt)
        peaks = [one.maximum_w for one in given]
        picture = monthly_energy_and_peak(
            caption,
            [text + name[7:] for text, name in zip(short_months(names, context.dates), names, strict=True)],
            [one.energy_kwh for one in given],
            [show.fixed(one.energy_kwh, 0) for one in given],
            peaks,
            [show.fixed(one / 1000, 1) for one in peaks],
            context.chart_words,
        )
        blocks.append(PictureBlock(picture))
    blocks.append(TableBlock(figures))
    if any(not one.whole for one in given):
        blocks.append(Text(context.words("months.part")))
    notes = [one for one in context.demand.findings if one.code in ("demand.short", "demand.incomplete")]
    return Section(context.words("months.title"), lead, (*blocks, *margin_notes(notes, context.show)))
