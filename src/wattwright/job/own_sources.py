"""What a site uses behind PV that is measured: import and generation less export."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

import numpy as np

from wattwright.core.calendar import public_holidays
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.core.series import Series, over_windows
from wattwright.demand.site import SitePower
from wattwright.job.file import Job
from wattwright.record.estimate import repair
from wattwright.record.record import Record


def generated_w(series: Series) -> Series:
    """Return what PV gave, however its meter counts: the way most of its energy runs, and nought for its draw at night."""
    values = series.values if np.nansum(series.values) >= 0.0 else -series.values
    return replace(series, values=np.maximum(values, 0.0))


def exported(record: Record, power: SitePower) -> Series | None:
    """Return what the site gave back, where the record counts it apart from what ``power`` holds; None where it does not."""
    if (power.series.values < 0.0).any():
        return None
    known = [one for one in record.of(Quantity.ACTIVE_POWER) if one.meaning.direction is Direction.EXPORT]
    whole = [one for one in known if one.meaning.phase in (Phase.TOTAL, Phase.UNKNOWN)][:1] or known
    if not whole:
        return None
    return replace(whole[0].series, values=np.sum([one.series.values for one in whole], axis=0))


def used(record: Record, power: SitePower, generated: Iterable[SitePower]) -> SitePower:
    """Return the power that the site uses, on the steps of ``power``: as it is where no PV is measured."""
    given = [generated_w(one.series) for one in generated]
    if not given:
        return power
    series, back = power.series, exported(record, power)
    edges = series.start_s + series.step_s * np.arange(len(series) + 1, dtype=np.int64)
    values = series.values.copy()
    for one, sign in [(one, 1.0) for one in given] + ([(back, -1.0)] if back is not None else []):
        windows = over_windows(one, edges)
        values += sign * np.where(windows.full, windows.mean, np.nan)
    return replace(power, series=replace(series, values=np.maximum(values, 0.0)))


def filled(job: Job, generated: SitePower) -> SitePower:
    """Return what PV gave with its gaps filled by the rules of the main meter's, where the job has gaps estimated."""
    if job.spec.repair.gaps != "estimate":
        return generated
    series = generated_w(generated.series)
    return replace(generated, series=series).repaired(job.clock, _holidays(job, series), without=job.spec.repair.without)


def filled_series(job: Job, series: Series) -> Series:
    """Return a power with its gaps filled by the rules of the main meter's, where the job has gaps estimated."""
    if job.spec.repair.gaps != "estimate":
        return series
    return repair(series, job.clock, _holidays(job, series), without=job.spec.repair.without).series


def _holidays(job: Job, series: Series) -> frozenset[date]:
    site = job.spec.site
    years = job.clock.day_of(series.start_s).year, job.clock.day_of(series.end_s - 1).year
    return public_holidays(site.country, site.subdivision or None, *years)
