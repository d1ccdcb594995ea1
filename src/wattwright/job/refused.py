"""Loads found in a record that were looked into on site and are none: written in the job, and not proposed again."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from pydantic import Field

from wattwright.core.clock import DAY_S
from wattwright.core.fields import PowerW, Spec
from wattwright.demand.switched.times import SLOT_S

if TYPE_CHECKING:
    from wattwright.demand.switched.analyse import Switched, SwitchedLoad

_ALIKE = 0.1
"""A level found within this share of a refused one is the same: supplies lie up to a tenth off nominal."""
_LEVELS = ("level", "first", "second")
"""Under which names findings tell the levels of found loads."""
_MOSTLY = 0.5
"""A load is one of these hours when it is on in them for this share of its time or more: common practice, no source."""


class NotLoad(Spec):
    """A load found in the record that is none."""

    level_w: PowerW = Field(alias="level", gt=0, description="its level as found; any within a tenth of it counts")
    begins: dt.time = Field(dt.time(0), alias="from", description="beginning of the hours it is found in, on the site's clock")
    ends: dt.time = Field(dt.time(0), alias="until", description="their end; the same as from: at any hour")
    reason: str = Field(min_length=1, max_length=300, description="what it is instead, and who saw that")

    def fits(self, load: "SwitchedLoad") -> bool:
        """Return whether a found load is this one: by its level, and by when it is mostly on."""
        return abs(load.level_w - self.level_w) <= _ALIKE * self.level_w and self._within(load) >= _MOSTLY

    def _within(self, load: "SwitchedLoad") -> float:
        """Return the share of its time on that lies in these hours; they go over midnight where they end before they begin."""
        first, last = (3600 * one.hour + 60 * one.minute + one.second for one in (self.begins, self.ends))
        on = np.nan_to_num(load.times.by_slot)
        at = np.arange(len(on)) * SLOT_S + SLOT_S // 2
        inside = (at - first) % DAY_S < (last - first) % DAY_S
        return float(on[inside].sum() / on.sum()) if first != last else 1.0


@dataclass(frozen=True, slots=True)
class Refused:
    """A found load that the job refuses, and the entry by which it does."""

    load: "SwitchedLoad"
    by: NotLoad


def without_refused(found: "Switched", refused: Sequence[NotLoad]) -> tuple["Switched", tuple[Refused, ...]]:
    """Return what was found without the loads that are refused, and those."""
    pairs = [(one, next((entry for entry in refused if entry.fits(one)), None)) for one in found.loads]
    kept, gone = tuple(one for one, by in pairs if by is None), {one.level_w for one, by in pairs if by is not None}
    # What is said of a refused load alone goes with it.
    told = tuple(one for one in found.findings if not gone.intersection(one.data.get(name) for name in _LEVELS))
    return replace(found, loads=kept, findings=told), tuple(Refused(one, by) for one, by in pairs if by is not None)


def refused_json(refused: Sequence[Refused]) -> dict[str, Any]:
    """Return the entry that refused loads add to the demand: name, level in kW and the reason of each."""
    told = [{"id": one.load.id, "level_kw": round(one.load.level_w / 1000, 4), "reason": one.by.reason} for one in refused]
    return {"switched_refused": told}
