"""Everything the record says about demand, in one frozen result."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from wattwright.core.basis import Basis, Grounds, collect, grounds, mix
from wattwright.core.calendar import Days, days_between
from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.findings import Finding
from wattwright.core.progress import SILENT, Progress
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.core.series import Series
from wattwright.demand import kinds
from wattwright.demand.duration import DurationCurve, duration_curve
from wattwright.demand.months import Month, by_month
from wattwright.demand.peaks import Peak, highest_peaks
from wattwright.demand.profiles import DayTable, Profiles, day_table, typical_days
from wattwright.demand.site import SitePower, counted_in_gaps, site_power
from wattwright.demand.summary import Summary, summarise
from wattwright.record.faults.doubt import doubts
from wattwright.record.record import Channel, Record

PROFILE_BIN_S = 900
HEAT_BIN_S = 3600


@dataclass(frozen=True, slots=True, eq=False)
class Demand:
    """What the record says: all powers in W, energies in kWh, times in UTC seconds on the clock of ``zone``."""

    zone: str
    channels: tuple[str, ...]
    grounds: Grounds
    summary: Summary
    days: Days
    profiles: Profiles
    heat: DayTable
    duration: DurationCurve
    peaks: tuple[Peak, ...]
    months: tuple[Month, ...]
    findings: tuple[Finding, ...]

    @property
    def worked_out(self) -> Basis:
        """Return the mark of a figure that is worked out from all of the energy, its estimates with it."""
        return mix([self.grounds]).basis

    def basis_over(self, window_s: int) -> Basis:
        """Return the mark of a demand over a window, or of the readings where it is as long as their step.

        One channel over its own step is as it was read. Several added up, and means over more than a step, are worked out. No
        estimate goes into either.
        """
        as_read = len(self.channels) == 1 and window_s == self.summary.step_s
        return collect(self._read()).basis if as_read else self.from_readings

    @property
    def from_readings(self) -> Basis:
        """Return the mark of a figure worked out from readings alone, such as the base load."""
        return mix(self._read()).basis

    def _read(self) -> list[Grounds]:
        return [grounds(part, "") for part in self.grounds.parts if part is not Basis.ESTIMATED] or [self.grounds]


def analyse(
    record: Record,
    clock: SiteClock,
    holidays: frozenset[date] = frozenset(),
    latitude_deg: float = 45.0,
    channel: str = "",
    progress: Progress = SILENT,
    power: SitePower | None = None,
) -> Demand:
    """Return what ``record`` says about the site's demand on the site's ``clock``.

    ``power`` is the site's power where it was made before, its gaps filled or not; profiles, duration and peaks are of what was
    read. Raises RecordError when the record holds no active power.
    """
    power = power or site_power(record, channel)
    series = power.series.read_only()
    progress.at("adding up", 0, 4)
    summary, notes = summarise(power.series, clock, _band_kwh(power), counted_in_gaps(power, record))
    days = days_between(clock, series.start_s, series.end_s, holidays, latitude_deg)
    progress.at("typical days", 1, 4)
    profiles = typical_days(day_table(series, days, clock, PROFILE_BIN_S), days)
    heat = day_table(series, days, clock, HEAT_BIN_S)
    progress.at("peaks", 2, 4)
    peaks = highest_peaks(series, record)
    progress.at("months", 3, 4)
    return Demand(
        zone=clock.zone,
        channels=power.channels,
        grounds=power.grounds,
        summary=summary,
        days=days,
        profiles=profiles,
        heat=heat,
        duration=duration_curve(series),
        peaks=peaks,
        months=by_month(power.series, clock),
        findings=(*power.findings, *notes, *_about(series, summary, power, record)),
    )


def _band_kwh(power: SitePower) -> tuple[float, float] | None:
    """Return the band of all that was filled, NaN where it is not known, or None where nothing was filled."""
    if not power.filled:
        return None
    return power.band_kwh or (float("nan"), float("nan"))


def _about(series: Series, summary: Summary, power: SitePower, record: Record) -> list[Finding]:
    where = f"{record.source.name}, {' + '.join(power.channels)}"
    span = series.end_s - series.start_s
    found = []
    if summary.missing and not power.filled:
        gap = summary.missing * series.step_s
        share, counted = summary.completeness, summary.registered_kwh
        if counted > 0:
            found.append(kinds.COUNTED.at(where, energy=counted, share=share, missing=gap, span=span))
        else:
            found.append(kinds.INCOMPLETE.at(where, share=share, missing=gap, span=span))
    directions = {record.channel(id_).meaning.direction for id_ in power.channels}
    both_ways = summary.is_net and not doubts(record.findings)
    if both_ways or Direction.NET in directions:
        imported, exported = summary.imported_kwh, summary.exported_kwh
        found.append(kinds.NET.at(where, imported=imported, exported=exported, step=series.step_s))
    if span < 360 * DAY_S:
        found.append(kinds.SHORT.at(where, span=span))
    inside = _inside(record)
    if inside is not None:
        channel, at = inside
        value, start = float(channel.series.values[at]), int(channel.series.times_s[at])
        ratio = value / summary.maximum.power_w if summary.maximum.power_w > 0 else float("nan")
        note = kinds.INSIDE.at(where, column=channel.column, step=series.step_s, value=value, start=start, ratio=ratio)
        found.append(note)
    elif series.step_s > 300:
        found.append(kinds.COARSE.at(where, step=series.step_s))
    return found


def _inside(record: Record) -> tuple[Channel, int] | None:
    """Return the channel of the highest power within each interval and where it is highest, of the whole supply if any is."""
    known = [one for one in record.highest(Quantity.ACTIVE_POWER) if one.series.present.any()]
    taken = [one for one in known if one.meaning.direction is not Direction.EXPORT]
    whole = [one for one in taken if one.meaning.phase is Phase.TOTAL] or taken
    if not whole:
        return None
    channel = max(whole, key=lambda one: float(np.nanmax(one.series.values)))
    return channel, int(np.nanargmax(channel.series.values))
