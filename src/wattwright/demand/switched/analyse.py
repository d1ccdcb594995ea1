"""What switches behind the site's power: loads found in the record, with level, times, duty, energy and confidence."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import SiteClock
from wattwright.core.findings import Finding
from wattwright.core.progress import SILENT, Progress
from wattwright.core.quantity import Quantity
from wattwright.core.series import Series, of_values, over_windows
from wattwright.demand.site import SitePower
from wattwright.demand.switched import kinds
from wattwright.demand.switched.decode import expected_f1
from wattwright.demand.switched.find import Seen, is_exact, seen_loads
from wattwright.demand.switched.steps import least_level_w
from wattwright.demand.switched.times import Times, times_on
from wattwright.record.record import Record

Floats = NDArray[np.float64]
J_KWH = 3.6e6
_ALIKE = 0.12
"""Loads whose levels differ by less than this share may be taken for one another."""
_NEARLY_SURE, _MOST_DOUBT = 0.9, 0.05
"""An interval is in doubt below this chance; a load with more of them than this share is named: common practice, no source."""
_SHORTEST = 2
"""A run lasts so many intervals at least before both of its steps are seen whole."""


@dataclass(frozen=True, slots=True, eq=False)
class SwitchedLoad:
    """A load found in the record.

    ``level_w`` its power at the usual voltage; ``share`` (n,): expected share of each interval for which it was on, NaN in gaps;
    ``power_w`` (n,): its mean power in each; ``confidence`` 0 to 1: the F1 by interval that its own chances let expect;
    ``doubtful``: share of the time it is taken to be on of which that is not nearly sure.
    """

    id: str
    level_w: float
    share: Floats
    power_w: Series
    energy_kwh: float
    energy_share: float
    duty: float
    times: Times
    confidence: float
    doubtful: float

    @property
    def on(self) -> NDArray[np.bool_]:
        """Return in which intervals it is taken to be on, shape (n,)."""
        return np.asarray(np.nan_to_num(self.share) >= 0.5)

    def by_day(self, clock: SiteClock) -> tuple[NDArray[np.int64], Floats]:
        """Return the starts of the local days (UTC seconds) and its energy in each, kWh, shape (days,) both."""
        first, last = clock.day_of(self.power_w.start_s), clock.day_of(self.power_w.end_s - 1)
        edges = clock.midnights_s(first, (last - first).days + 1)
        return edges[:-1], over_windows(self.power_w, edges).integral / J_KWH


@dataclass(frozen=True, slots=True, eq=False)
class Switched:
    """What switches: the loads found, the largest by energy first, and what the step of the record can tell at all."""

    zone: str
    step_s: int
    least_w: float
    shortest_s: int
    is_exact: bool
    loads: tuple[SwitchedLoad, ...]
    findings: tuple[Finding, ...]

    def load(self, id_: str) -> SwitchedLoad:
        """Return the load with that id; raises KeyError with the ids there are."""
        for one in self.loads:
            if one.id == id_:
                return one
        raise KeyError(f"no load {id_!r} was found; there are {', '.join(one.id for one in self.loads) or 'none'}")


def what_switches(power: SitePower, record: Record, clock: SiteClock, progress: Progress = SILENT) -> Switched:
    """Return the loads that switch behind the site's power; where voltage was read, steps are brought to its usual value first.

    Normalising to the usual voltage: Hart 1992 (Proc. IEEE 80(12):1870), P (Vn/V)^2. ``progress`` may stop the work (Cancelled).
    """
    return in_series(power.series.read_only(), clock, voltage(record, len(power.series)), record.source.name, progress)


def in_series(
    series: Series, clock: SiteClock, volts: Floats | None = None, where: str = "", progress: Progress = SILENT
) -> Switched:
    """Return the loads that switch behind a power in W; ``volts`` (n,) is the voltage in each interval where it was read."""
    ratio = _over_usual(volts, len(series))
    power_w = series.values / ratio**2
    least_w = least_level_w(power_w)
    hour = (clock.parts(series.times_s).minute // 60).astype(np.int64)
    seen = seen_loads(power_w, series.step_s, hour, progress)
    loads = tuple(_load(one, series, ratio, clock, id_) for one, id_ in zip(seen, _ids(seen), strict=True))
    findings = _told(loads, series, least_w, where)
    return Switched(clock.zone, series.step_s, least_w, _SHORTEST * series.step_s, is_exact(series.step_s), loads, findings)


def voltage(record: Record, intervals: int) -> Floats | None:
    """Return the mean voltage of the conductors in each interval (V), None where none was read on the same intervals."""
    read = [one.series.values for one in record.of(Quantity.VOLTAGE) if len(one.series) == intervals]
    return np.asarray(np.mean(read, axis=0)) if read else None


def _over_usual(volts: Floats | None, intervals: int) -> Floats:
    """Return the voltage over its usual value in each interval; 1 where it was not read or is none of a supply."""
    if volts is None or not np.nanmedian(volts) > 0.0:
        return np.ones(intervals)
    ratio = volts / float(np.nanmedian(volts))
    with np.errstate(invalid="ignore"):
        return np.where((ratio > 0.8) & (ratio < 1.2), ratio, 1.0)


def _ids(seen: Sequence[Seen]) -> list[str]:
    """Return a name for each load by its level: found-1-08-kw."""
    names: list[str] = []
    for one in seen:
        name = f"found-{one.level_w / 1000:.2f}-kw".replace(".", "-")
        names.append(name if name not in names else f"{name}-{names.count(name) + 2}")
    return names


def _load(one: Seen, series: Series, ratio: Floats, clock: SiteClock, id_: str) -> SwitchedLoad:
    share = np.where(series.present, one.share, np.nan)
    power = of_values(series.start_s, series.step_s, one.level_w * share * ratio**2)
    energy_kwh = float(np.nansum(power.values)) * series.step_s / J_KWH
    whole_kwh = float(np.nansum(series.values)) * series.step_s / J_KWH
    return SwitchedLoad(
        id=id_,
        level_w=one.level_w,
        share=share,
        power_w=power,
        energy_kwh=energy_kwh,
        energy_share=energy_kwh / whole_kwh if whole_kwh > 0.0 else float("nan"),
        duty=float(np.nanmean(share)),
        times=times_on(share, series.start_s, series.step_s, clock, is_exact=is_exact(series.step_s)),
        confidence=expected_f1(one.chance),
        doubtful=doubtful(one.chance),
    )


def doubtful(chance: Floats) -> float:
    """Return of what share of the intervals in which a load is taken to be on, by its chance (n,), that is not nearly sure."""
    on = chance[chance >= 0.5]
    return float((on < _NEARLY_SURE).mean()) if len(on) else 0.0


def _told(loads: tuple[SwitchedLoad, ...], series: Series, least_w: float, where: str) -> tuple[Finding, ...]:
    found = []
    if np.isfinite(least_w):
        found.append(kinds.LIMIT.at(where, step=series.step_s, least=least_w, shortest=_SHORTEST * series.step_s))
    if not is_exact(series.step_s):
        found.append(kinds.LONG_STEP.at(where, step=series.step_s))
    if not loads:
        return (kinds.NONE.at(where), *found)
    if is_exact(series.step_s):
        unsure = [one for one in loads if one.doubtful > _MOST_DOUBT]
        found += [kinds.LIKE_SIZE.at(where, level=one.level_w, share=one.doubtful) for one in unsure]
    levels = sorted(one.level_w for one in loads)
    close = [(a, b) for a, b in pairwise(levels) if b - a < _ALIKE * b]
    return (*(kinds.ALIKE.at(where, first=a, second=b) for a, b in close), *found)
