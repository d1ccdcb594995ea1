"""The days of a simulation: which stretch of time they are, what is gone within it, and from when to warm up."""

import datetime as dt
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from wattwright.control.programmes import Span
from wattwright.core.calendar import public_holidays
from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.errors import InputError, Place
from wattwright.core.series import Series
from wattwright.job.rest import sampled
from wattwright.job.spec import Absence, SiteSpec

Ints = NDArray[np.int64]
STEP_S = 60
_WARM_UP_DAYS = 1
"""Days simulated before those that are shown, so that stores stand as they do on a usual day."""


def span_of(site: SiteSpec, series: Series, begins: dt.date, ends: dt.date) -> Span:
    """Return local days, both included, as far as ``series`` holds them; raises InputError where it holds none of them."""
    clock = SiteClock(site.zone)
    first, last = clock.day_of(series.start_s), clock.day_of(series.end_s - 1)
    if begins > last:
        raise _outside("--from", f"{begins}", first, last)
    if ends < first:
        raise _outside("--to", f"{ends}", first, last)
    if ends < begins:
        raise InputError.one(
            "job.days", Place(field="--from, --to"), found=f"{begins} to {ends}", wanted="a last day not before the first"
        )
    begins, ends = max(begins, first), min(ends, last)
    midnights = clock.midnights_s(begins, (ends - begins).days + 1)
    start_s, end_s = max(int(midnights[0]), series.start_s), min(int(midnights[-1]), series.end_s)
    if end_s - start_s < STEP_S:
        raise _outside("--from", f"less than a minute of {begins}", first, last)
    holidays = public_holidays(site.country, site.subdivision or None, begins.year - 1, ends.year)
    span = Span(start_s, end_s - (end_s - start_s) % STEP_S, clock, holidays)
    return span if site.longitude_deg is None else span.with_sun(site.latitude_deg, site.longitude_deg)


def _outside(field: str, found: str, first: dt.date, last: dt.date) -> InputError:
    return InputError.one(
        "job.days",
        Place(field=field),
        found=found,
        wanted=f"days of the record: {first} to {last}",
        next_step="Choose days within it.",
    )


def warm_from(span: Span, series: Series) -> int:
    """Return from when to simulate so that stores are in their usual state: a day before, where the series has it whole."""
    warm = span.start_s - _WARM_UP_DAYS * DAY_S
    values = sampled(series, np.arange(warm, span.start_s, STEP_S, dtype=np.int64))
    return span.start_s if np.isnan(values).any() else warm


def times(span: Span) -> Ints:
    """Return the start of each step of a stretch, UTC seconds."""
    return np.arange(span.start_s, span.end_s, STEP_S, dtype=np.int64)


def within(gone: Sequence[Absence], clock: SiteClock, times_s: Ints) -> NDArray[np.bool_]:
    """Return in which steps something is gone, (n,)."""
    found = np.zeros(len(times_s), np.bool_)
    for one in gone:
        begins, ends = clock.shown(np.array([one.begins, one.ends], "datetime64[s]").astype(np.int64)).first_s
        found |= (times_s >= begins) & (times_s < ends)
    return found
