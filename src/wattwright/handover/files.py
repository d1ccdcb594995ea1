"""The meter files of a job, all of them: what they are, what they hold, and what the meters behind the main one saw."""

import numpy as np

from wattwright.charts.table import Cell, Table
from wattwright.core.quantity import Quantity
from wattwright.demand.site import site_power
from wattwright.handover.context import Context
from wattwright.handover.exchange import together
from wattwright.handover.wide import figure, number_column, table, text_column
from wattwright.record.record import Channel, Record


def files_table(context: Context) -> Table:
    """Return every file of the job with meter, size, rows, period and the beginning of its SHA-256."""
    show, names = context.show, meter_names(context)
    rows: list[list[Cell]] = []
    for file, record in context.files:
        first, last = period(context, record)
        size, count = figure(show, record.source.size_bytes, 0), figure(show, record.rows, 0)
        rows.append([record.source.name, names[file.meter], size, count, first, last, record.source.sha256[:16]])
    columns = (
        text_column("File"),
        text_column("Meter"),
        number_column("Size", "bytes"),
        number_column("Rows", ""),
        text_column("From"),
        text_column("To"),
        text_column("SHA-256 begins"),
    )
    return table(columns, rows, context.words("data.files"))


def channels_table(context: Context) -> Table:
    """Return every channel of every file with its quantity and, where it is a power, the energy it adds up to."""
    rows: list[list[Cell]] = [
        [record.source.name, one.column, one.meaning.quantity.value, _energy(context, one)]
        for _, record in context.files
        for one in record.channels
    ]
    columns = (text_column("File"), text_column("Channel"), text_column("Holds"), number_column("Energy", "kWh"))
    return table(columns, rows, context.words("data.channels"))


def period(context: Context, record: Record) -> tuple[str, str]:
    """Return the first and last day of a record on the site's clock."""
    spans = [(one.series.start_s, one.series.end_s - 1) for one in record.channels]
    first, last = min(start for start, _ in spans), max(end for _, end in spans)
    return context.show.time(first)[:10], context.show.time(last)[:10]


def _energy(context: Context, channel: Channel) -> Cell:
    if channel.meaning.quantity is not Quantity.ACTIVE_POWER:
        return ""
    series = channel.series
    return figure(context.show, float(np.nansum(series.values)) * series.step_s / 3.6e6, 1)


def meter_names(context: Context) -> dict[str, str]:
    """Return what people call each meter, by its id."""
    return {meter.id: meter.name or meter.id for meter in context.spec.meters}


def shares(context: Context) -> list[str]:
    """Return for each channel of a meter behind another what it measured of the main meter's energy while both were read.

    Channels are never added up: whether two of them overlap only the site can tell. Nothing is said of a meter that logs no
    power, or where the site gives power back: there the main meter sees the difference.
    """
    behind = {meter.id for meter in context.spec.meters if meter.behind}
    told = []
    for file, record in context.files:
        if file.meter not in behind or record.main is None or context.exchange.exports:
            continue
        ids = site_power(record, file.channel).channels if file.channel else [one.id for one in record.of(Quantity.ACTIVE_POWER)]
        for id_ in ids:
            channel = record.channel(id_)
            both = together(context.power.series, channel.series)
            if both.main_kwh > 0:
                share, name = both.sub_kwh / both.main_kwh, f"{channel.column} ({meter_names(context)[file.meter]})"
                told.append(context.words("data.share", meter=name, sub=both.sub_kwh, share=share, main=both.main_kwh))
    return told
