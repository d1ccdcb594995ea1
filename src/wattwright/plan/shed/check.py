"""The check that shedding comes in time, for every limit of a supply."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from wattwright.core.errors import InputError, Place
from wattwright.core.findings import gravest_first
from wattwright.demand.within.bands import Passing
from wattwright.plan.shed.cases import Chance, Rate, check_limit
from wattwright.plan.shed.results import ShedCheck
from wattwright.plan.shed.returns import after_outage, releases
from wattwright.plan.shed.site import ShedSite
from wattwright.plan.shed.spec import AcceptedControl, ShedGear
from wattwright.plan.shed.told import of_coming, of_limit, of_rest
from wattwright.plan.shed.way import way
from wattwright.plan.shed.withstand import Withstand

Floats = NDArray[np.float64]
_YEAR_S = 8760.0 * 3600.0
OUTAGE_S = 2 * 3600.0
"""How long an outage is taken to last: common practice, no source."""


def shed_check(
    site: ShedSite,
    *,
    gear: ShedGear | None = None,
    accepted: AcceptedControl | None = None,
    withstands: Mapping[str, Withstand] | None = None,
    duty: Mapping[str, float] | None = None,
    outage_s: float = OUTAGE_S,
    chance: Chance | None = None,
) -> ShedCheck:
    """Return whether shedding comes in time for every limit of the supply, and what happens where it fails.

    Every event is the worst of its kind: the rest of the site at its highest, no sun and no battery beside the grid, and a load
    that comes on top of what can run just below the pick-up value. Shares are of such events, and so are trips a year.

    Args:
        site: loads, rest of the site, control and supply; see ``shed_site``
        gear: the hardware of meter, link and contacts, beyond what the rules say of it
        accepted: a control system that was accepted as holding a supply within its rating; none as a rule
        withstands: curves that replace those of the supply, by the name of the limit: connection, inverter, generator
        duty: share of the time that each load runs as a rule, by id; one that is not named runs on after an outage
        outage_s: how long an outage lasts
        chance: events a year, what is tolerated, the seed of the drawn events and how many are drawn

    Raises InputError where telegrams are lost and nothing says when they are sent again, or a duty is no share.
    """
    hardware, chances = gear or ShedGear(), chance or Chance()
    shed = site.control.shedding
    one = None if shed is None or not site.order else way(shed, hardware)
    shares = _shares(duty or {})
    limits = site.limits(withstands)
    checked = tuple(check_limit(site, limit, one, hardware, chances) for limit in limits)
    comings = (*after_outage(site, limits, shares, outage_s), *releases(site, limits, shares))
    unit = "A" if shed is not None and shed.quantity == "current" else "W"
    found = [
        *of_rest(site),
        *(each for limit in checked for each in of_limit(limit, accepted, chances.tolerated_share, unit)),
        *(each for coming in comings for each in of_coming(coming)),
    ]
    return ShedCheck(
        quantity=None if shed is None else shed.quantity, pick_up=None if shed is None else site.pick_up, unit=unit,
        tolerated_share=chances.tolerated_share, limits=checked, comings=comings, accepted=accepted,
        findings=gravest_first(tuple(found)),
    )  # fmt: skip


def times_a_year(passing: Passing, record_s: float) -> Rate:
    """Return how often a year a limit is passed, least, middle and most, by the bands of peaks of a record of ``record_s``."""
    least, middle, most = (count * _YEAR_S / record_s for count in passing.times)
    return least, middle, most


def crossings_a_year(power_w: Floats, step_s: float, limit_w: float) -> float:
    """Return how often a year a limit is passed from below by a course of power (n,), means over ``step_s``.

    Shorter peaks lie within the steps, so of coarse means this is the least; a missing step counts as one below the limit.
    """
    above = np.nan_to_num(power_w, nan=-np.inf) >= limit_w
    return float(np.count_nonzero(above[1:] & ~above[:-1])) * _YEAR_S / (len(power_w) * step_s)


def _shares(duty: Mapping[str, float]) -> Mapping[str, float]:
    for id_, share in duty.items():
        if not 0.0 <= share <= 1.0:
            raise InputError.one(
                "plan.duty", Place(field=f"duty.{id_}"), found=f"{share:g}", wanted="a share of the time, from 0 to 1"
            )  # fmt: skip
    return duty
