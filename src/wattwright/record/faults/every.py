"""All checks of one record, in the order in which their findings are told."""

from collections.abc import Mapping

from wattwright.core.clock import SiteClock
from wattwright.core.findings import Finding
from wattwright.record.faults.clipped import beyond_transformer, clipped
from wattwright.record.faults.clocks import clock_shift, drift, hour_skipped, hour_twice
from wattwright.record.faults.copies import copies, not_the_sum
from wattwright.record.faults.flow import flow
from wattwright.record.faults.outliers import impossible, spikes
from wattwright.record.faults.phases import crossed, exchanged, exchanged_from
from wattwright.record.faults.seen import Seen
from wattwright.record.faults.stuck import dead, stuck
from wattwright.record.faults.totals import register_differs
from wattwright.record.faults.volt_amperes import beyond_volts_times_amps, unlike_apparent
from wattwright.record.grid import Grid, Ints
from wattwright.record.record import Channel, Run, StampsMark


def faults_of(
    channels: tuple[Channel, ...],
    laid: Grid,
    starts_s: Ints,
    gaps: tuple[Run, ...],
    mark: StampsMark,
    clock: SiteClock,
    zoned: bool,
    rated_a: Mapping[str, float],
) -> list[Finding]:
    """Return what is wrong with the readings of one meter, laid onto ``laid`` from stamps ``starts_s`` (n,).

    ``zoned`` tells that a person gave the zone of ``clock``; ``rated_a`` gives the rating in A of a column's transformer.
    """
    seen = Seen(channels, gaps, mark, clock, zoned)
    notes = [*drift(starts_s, laid), *hour_twice(laid, seen), *hour_skipped(seen), *clock_shift(seen)]
    for channel in channels:
        if channel.series.present.any():
            notes += [*stuck(channel), *dead(channel), *spikes(channel), *clipped(channel), *beyond_transformer(channel, rated_a)]
    whole = Seen(tuple(c for c in channels if c.series.present.any()), gaps, mark, clock, zoned)
    notes += [*impossible(whole), *flow(whole), *crossed(whole)]
    # Where the powers follow other currents so clearly that it is told, what is above them is no more news.
    notes += exchanged(whole) or beyond_volts_times_amps(whole)
    notes += [*unlike_apparent(whole), *exchanged_from(whole)]
    return [*notes, *copies(whole), *not_the_sum(whole), *register_differs(whole)]
