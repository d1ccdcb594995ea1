"""One outage looked at: until when the supply holds, what ends it, how long it is dark, which loads ran and were shed."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.control.columns import CAUSE_SHED
from wattwright.core.progress import SILENT, Progress
from wattwright.simulate.columns import CAUSES, LOST, OPENS, RETURNS, TRIPS
from wattwright.simulate.outage import Outage, outages
from wattwright.simulate.supply import Supply
from wattwright.supply.backup.results import ProbeDay

Floats = NDArray[np.float64]
HOURS = 24
BREAK_S = 60.0
"""A break no longer than this is none: a generator needs so long to start. Common practice, no source."""
_KWH_J = 3.6e6
_ALL = 1.0 - 1e-9
"""The share of a step with supply that counts as all of it: what is missing is the noise of sums of floats."""


@dataclass(frozen=True, slots=True, eq=False)
class Probed:
    """One outage: season, hour it begins, until when the supply holds, s, and what ends it (empty: nothing did).

    ``dark_s`` (n + 1,) is how long it was dark up to the end of each step, from nought; ``fall`` how far the charge falls, as a
    share, until each. ``energy_kwh`` (m,) and ``shed_s`` (m,) are by load, NaN for one that was not shed, nought for one that
    was shed before; ``served_kwh`` of all.
    """

    season: str
    hour: int
    lasts_s: float
    ends_by: str
    tripped: bool
    dark_s: Floats
    fall: Floats
    energy_kwh: Floats
    shed_s: Floats
    served_kwh: float


def at_reserve(supply: Supply) -> float:
    """Return the share of the battery that is kept for outages; of a site without a grid, half; nought without a battery."""
    if supply.battery is None:
        return 0.0
    return supply.battery.start if supply.stands_alone else supply.battery.reserve


def probed(one: ProbeDay, steps: int, charge_share: float, progress: Progress = SILENT) -> Iterator[Probed]:
    """Yield the outages that begin at each full hour of a day, followed for ``steps`` steps."""
    an_hour = round(3600.0 / one.scenario.step_s)
    begins = [one.midnight + an_hour * hour for hour in range(HOURS)]
    for hour, made in enumerate(outages(one.scenario, begins, steps, charge_share, progress)):
        yield _probed(one, hour, made, charge_share)


def _probed(one: ProbeDay, hour: int, made: Outage, charge_share: float) -> Probed:
    step_s = one.scenario.step_s
    length_s = len(made.supplied) * step_s
    dark_s = np.maximum(1.0 - made.supplied, 0.0) * step_s
    gone_s = next((gone for gone, back in _breaks(made, length_s) if back - gone > BREAK_S), length_s)
    trip = _first(made.events, TRIPS)
    tripped = trip is not None and trip[0] <= gone_s
    lasts_s = trip[0] if trip is not None and tripped else gone_s
    ends_by = "" if lasts_s >= length_s else _cause(made.events, lasts_s, tripped)
    until = int(np.ceil(lasts_s / step_s))
    shed_s = np.where(made.shed, 0.0, np.nan)
    for at, load, what, cause in made.events:
        if int(what) == OPENS and int(cause) == CAUSE_SHED and at <= lasts_s and np.isnan(shed_s[int(load)]):
            shed_s[int(load)] = at
    return Probed(
        season=one.season, hour=hour, lasts_s=lasts_s, ends_by=ends_by, tripped=tripped,
        dark_s=np.concatenate(([0.0], np.cumsum(dark_s))), fall=np.maximum.accumulate(charge_share - made.charge_share),
        energy_kwh=made.loads_w[:, :until].sum(axis=1) * step_s / _KWH_J, shed_s=shed_s,
        served_kwh=float(made.site_w[:until].sum()) * step_s / _KWH_J,
    )  # fmt: skip


def _breaks(made: Outage, length_s: float) -> Iterator[tuple[float, float]]:
    """Yield when the supply is gone, s, from and to: by its events, which tell the instant that a step does not."""
    mine = made.events[np.isin(made.events[:, 2], (LOST, RETURNS))]
    # It may be gone already when the outage begins: the connection has tripped.
    gone_s = 0.0 if (len(mine) and int(mine[0, 2]) == RETURNS) or (not len(mine) and made.supplied[0] < _ALL) else None
    for at, _, what, _ in mine:
        if int(what) == LOST and gone_s is None:
            gone_s = float(at)
        elif int(what) == RETURNS and gone_s is not None:
            yield gone_s, float(at)
            gone_s = None
    if gone_s is not None:
        yield gone_s, length_s


def _first(events: Floats, what: int) -> tuple[float, float] | None:
    mine = events[events[:, 2] == what]
    return (float(mine[0, 0]), float(mine[0, 3])) if len(mine) else None


def _cause(events: Floats, at_s: float, tripped: bool) -> str:
    """Return what ended the supply: the cause of its trip, else of its last loss by then."""
    mine = events[(events[:, 2] == (TRIPS if tripped else LOST)) & (events[:, 0] <= at_s + 1.0)]
    return CAUSES.get(int(mine[0 if tripped else -1, 3]), "") if len(mine) else ""
