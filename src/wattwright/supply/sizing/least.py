"""The least hardware that does what was asked: the cheapest to buy, under each set of rules on one grid of sizes."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from wattwright.core.progress import SILENT, Progress
from wattwright.supply.sizing.answer import Sized
from wattwright.supply.sizing.confirm import Confirmed
from wattwright.supply.sizing.seek import WIDEST, Screened, Seeker, turns


@dataclass(frozen=True, slots=True, eq=False)
class Least:
    """The least under one set of rules, None where nothing that was tried does what was asked; ``made`` is the first screen."""

    made: Screened
    found: Confirmed | None


def on_one_grid(seekers: Sequence[Seeker]) -> tuple[Seeker, ...]:
    """Return the seekers with one grid of sizes, wide enough for all: steps that differ would be told as hardware."""
    needs_wh = max(one.grid_wh for one in seekers)
    return tuple(replace(one, needs_wh=needs_wh) for one in seekers)


def leasts(seekers: Sequence[Seeker], progress: Progress = SILENT) -> tuple[Least, ...]:
    """Return the least under each set of rules, all from a grid as wide. Raises Cancelled by ``progress``.

    Where one finds nothing twice as much is looked at for all of them, as far as the person leaves that open.
    """
    first = [one.screened(progress, 1.0) for one in seekers]
    screens, wider = first, 1.0
    found = [_least(one, made) for one, made in zip(seekers, screens, strict=True)]
    while None in found and wider < WIDEST and seekers[0].asking.spec.battery_most_wh is None:
        wider *= 2.0
        screens = [one.screened(progress, wider) for one in seekers]
        found = [_least(one, made) for one, made in zip(seekers, screens, strict=True)]
    return tuple(Least(made, one) for made, one in zip(first, found, strict=True))


def of_all(site: Seeker, least: Least, sized: Sized) -> Confirmed | None:
    """Return the least of all that the engine found to do what was asked, answer and front among it.

    The screen of quarter hours may have left out what does it by minutes: no option may do it for less than the least.
    """
    site, best = replace(site, aim=least.made.aim), least.found
    for one in map(site.as_needed, (sized.found, *(each.found for each in sized.front))):
        does = site.met(one) and site.is_strong(one.size) and site.bears(one.size)
        if does and (best is None or site.bought(one.size) < site.bought(best.size)):
            best = one
    return best


def _least(site: Seeker, made: Screened) -> Confirmed | None:
    """Return the cheapest to buy of what was screened that the engine finds to do what was asked."""
    if not made.met.any():
        return None
    site = replace(site, aim=made.aim)
    for place in turns(replace(made, cost=site.bought_each(made.sizes))):
        found = site.ask(made.sizes.at(place))
        if site.met(found) and site.bears(found.size):
            return _smaller(site, made, found)
    return None


def _smaller(site: Seeker, made: Screened, found: Confirmed) -> Confirmed:
    """Return the smallest battery that does as well: the screen of quarter hours may have asked for too much."""
    size = found.size
    for battery_wh in np.unique(made.sizes.battery_wh)[::-1]:
        less = replace(size, battery_wh=float(battery_wh))
        if battery_wh >= size.battery_wh or less.is_nothing or not site.is_strong(less):
            continue
        again = site.ask(less)
        if not site.met(again):
            break
        found = again
    return found
