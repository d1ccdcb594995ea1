"""What both sides agreed to take out of a claim, taken out: days that are left out, and energy a day that is taken off."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.findings import Finding
from wattwright.core.series import Floats
from wattwright.job import kinds as job_kinds
from wattwright.job.proved import Adjusted
from wattwright.proof import kinds
from wattwright.proof.measurement import AdjustmentSpec
from wattwright.proof.models.record import UseRecord

_WH_KWH = 1000.0


def adjusted(record: UseRecord, agreed: Sequence[AdjustmentSpec], clock: SiteClock) -> UseRecord:
    """Return a record less what was agreed on."""
    energy, kept = record.energy_kwh.copy(), np.ones(len(record), np.bool_)
    for one in agreed:
        inside = _inside_days(record, one, clock)
        if one.a_day_wh is None:
            kept &= inside == 0.0
        else:
            energy -= one.a_day_wh / _WH_KWH * inside
    return replace(record, energy_kwh=energy).part(kept)


def told(record: UseRecord, agreed: Sequence[AdjustmentSpec], clock: SiteClock) -> tuple[Adjusted, ...]:
    """Return what ``adjusted`` does to a record by each agreement that touches it."""
    days = [float(_inside_days(record, one, clock).sum()) for one in agreed]
    return tuple(
        Adjusted(one.begins, one.until, round(count), (one.a_day_wh or 0.0) / _WH_KWH * count, one.why, one.agreed_by)
        for one, count in zip(agreed, days, strict=True)
        if count > 0
    )


def findings(record: UseRecord, agreed: Sequence[AdjustmentSpec], clock: SiteClock) -> tuple[Finding, ...]:
    """Return a note on each agreement that touches a record, and a word on each that touches none of its days."""
    idle = (one for one in agreed if not _inside_days(record, one, clock).any())
    return (
        *(
            kinds.ADJUSTED.at("adjustments", days=one.days, first=str(one.first), agreed=one.agreed_by, why=one.why)
            for one in told(record, agreed, clock)
        ),
        *(job_kinds.ADJUSTS_NOTHING.at("adjustments", first=str(one.begins), until=str(one.until), why=one.why) for one in idle),
    )


def _inside_days(record: UseRecord, one: AdjustmentSpec, clock: SiteClock) -> Floats:
    """Return how many days of each stretch lie in an event, shape (n,)."""
    begins_s, until_s = (int(clock.midnights_s(day, 1)[0]) for day in (one.begins, one.until))
    ends_s = record.starts_s + record.days * DAY_S
    inside_s: Floats = np.clip(np.minimum(ends_s, until_s) - np.maximum(record.starts_s, begins_s), 0.0, None)
    return inside_s / DAY_S
