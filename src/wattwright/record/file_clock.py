"""Stamps placed by the clock that the file itself states, where it states one."""

from dataclasses import replace

import numpy as np

from wattwright.core.clock import SiteClock
from wattwright.core.findings import Finding
from wattwright.record.daylight import standard_offset_s
from wattwright.record.faults import kinds
from wattwright.record.readers.stamps import Stamps
from wattwright.record.readers.stated_clock import stated_clock
from wattwright.record.readers.table import Table


def by_stated_clock(stamps: Stamps, table: Table, clock: SiteClock, zoned: bool) -> tuple[Stamps, SiteClock, list[Finding]]:
    """Return the stamps, with their UTC seconds where ``table`` states an offset, the clock to place them by, and what to say.

    That clock is ``clock`` unless the table names another zone. ``zoned`` tells that a person gave the zone of ``clock``. An
    offset that is the site's own standard time may stand for the site's clock as well; where the stamps do not show which, the
    words are taken and a finding says so.
    """
    found = None if stamps.utc is not None else stated_clock(table, stamps.columns)
    if found is None:
        return stamps, clock, []
    if found.zone:
        its_own = SiteClock(found.zone)
        same = zoned and bool((its_own.resolve(stamps.local).first_s == clock.resolve(stamps.local).first_s).all())
        notes = [] if same else [kinds.FILE_ZONE.at("stamps", zone=found.zone, reason=found.where, site=clock.zone)]
        return stamps, clock if same else its_own, notes
    utc, notes = stamps.local - found.offset_s, []
    if zoned and not found.is_exact and found.offset_s == standard_offset_s(clock, stamps.local):
        usual = clock.resolve(stamps.local)
        repeated = stamps.local[usual.ambiguous]
        if len(np.unique(repeated)) < len(repeated):
            return stamps, clock, []
        if (usual.first_s != utc).any() and not usual.absent.any():
            notes = [kinds.CLOCK_OPEN.at("stamps", reason=found.where, site=clock.zone)]
    hours, minutes = divmod(abs(found.offset_s) // 60, 60)
    words = "UTC" + (f"{'-' if found.offset_s < 0 else '+'}{hours:02d}:{minutes:02d}" if found.offset_s else "")
    return replace(stamps, utc=utc, clock_why=f"{words}, since {found.where}"), clock, notes
