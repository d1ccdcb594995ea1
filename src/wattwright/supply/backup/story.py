"""The backup story of a site: the one engine asked about outages that begin at each hour of typical days of each season.

Each outage begins with the battery at its reserve, and loads, relays and rules as they stand at that hour. It is followed without
the grid for a day or more; how long a shorter one is dark is read from its course. Recharging between two outages is not told.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from wattwright.core.calendar import SEASONS
from wattwright.core.errors import OwnFault
from wattwright.core.findings import Finding, gravest_first
from wattwright.core.progress import SILENT, Progress
from wattwright.simulate.supply import Supply
from wattwright.supply.backup import kinds
from wattwright.supply.backup.lost import lost
from wattwright.supply.backup.probe import HOURS, Probed, at_reserve, probed
from wattwright.supply.backup.results import BackupStory, Hour, LoadStory, Reserve, Told, UnderRules
from wattwright.supply.backup.settings import settings
from wattwright.supply.backup.spec import MOST_S, OutageRate
from wattwright.supply.per_cent import per_cent

FOLLOWED_S = 86400.0
"""An outage is followed for a day, and longer where longer ones are stated."""
_OFTEN = 0.01
_SURE = 0.995
_NAMES = {"plan": "the plan"}


def target_s(rate: OutageRate | None, quoted_s: float | None = None) -> float:
    """Return how long the site should be carried, s: as ``rate`` says, else the outage a quote was asked for, else half a day."""
    if rate is not None:
        return rate.target_s
    return 0.5 * FOLLOWED_S if quoted_s is None else min(MOST_S, quoted_s)


def followed_s(rate: OutageRate | None, quoted_s: float | None = None) -> float:
    """Return how long outages are followed, s; ``quoted_s`` is the outage that a quote was asked for."""
    lasting = () if rate is None else rate.durations_s
    return min(MOST_S, max(FOLLOWED_S, *lasting, target_s(rate, quoted_s)))


def backup_story(
    rulings: Sequence[UnderRules], rate: OutageRate | None, names: Mapping[str, str], seed: int, progress: Progress = SILENT, *,
    quoted_s: float | None = None,
) -> BackupStory:  # fmt: skip
    """Return the story of a site under each set of rules, the last the one that is told first.

    The days are the same under all of them, and each scenario goes on for ``followed_s`` after its day. ``names`` are those of
    loads by id; ``quoted_s`` is the outage that what feeds the site was quoted for, what it is held against without a ``rate``.
    Raises OwnFault without a day, Cancelled when told to stop.
    """
    if not rulings or any(not one.days for one in rulings):
        raise OwnFault("a backup story without a day")
    scenario = rulings[0].days[0].scenario
    length_s, asked_s, supply = followed_s(rate, quoted_s), target_s(rate, quoted_s), scenario.supply
    told = tuple(_told(one, supply, round(length_s / scenario.step_s), rate, asked_s, seed, progress) for one in rulings)
    days = tuple((one.season, one.day) for one in rulings[0].days)
    found = [finding for one in told for finding in _of_rules(one, supply)]
    found += [*_of_site(supply, rate), *_of_seasons({season for season, _ in days})]
    set_to = tuple((one.name, settings(supply, one.control, dict(names))) for one in rulings)
    return BackupStory(days, length_s, carries(supply), told, set_to, gravest_first(tuple(found)))


def carries(supply: Supply) -> bool:
    """Return whether anything can carry the site without the grid."""
    by_inverter = supply.inverter is not None and supply.inverter.role != "beside the grid" and supply.battery is not None
    return by_inverter or supply.generator is not None


def _told(
    ruled: UnderRules, supply: Supply, steps: int, rate: OutageRate | None, asked_s: float, seed: int, progress: Progress
) -> Told:  # fmt: skip
    share, made, ids = at_reserve(supply), list[Probed](), [one.load.id for one in ruled.days[0].scenario.loads]
    for count, day in enumerate(ruled.days):
        progress.at(f"outages under the rules of {ruled.name}", count, len(ruled.days))
        made += probed(day, steps, share, progress)
    step_s, trips = ruled.days[0].scenario.step_s, Counter(one.ends_by for one in made if one.tripped)
    seasons = [season.value for season in SEASONS if any(one.season == season.value for one in made)]
    energy = tuple((season, float(np.mean([one.served_kwh for one in made if one.season == season]))) for season in seasons)
    return Told(
        name=ruled.name, hours=tuple(_hour(made, season, hour) for season in seasons for hour in range(HOURS)),
        loads=tuple(story for season in seasons for story in _loads(made, season, ids)), energy_kwh=energy,
        tripped_share=float(np.mean([one.tripped for one in made])),
        trips_by=max(trips, key=lambda cause: trips[cause], default=""),
        lost=None if rate is None else lost(made, step_s, rate, seed, ruled.name),
        reserve=_reserve(ruled, supply, made, steps, asked_s),
    )  # fmt: skip


def _hour(made: Sequence[Probed], season: str, hour: int) -> Hour:
    mine = sorted((one for one in made if one.season == season and one.hour == hour), key=lambda one: one.lasts_s)
    middle = mine[(len(mine) - 1) // 2]
    return Hour(season, hour, mine[0].lasts_s, middle.lasts_s, mine[-1].lasts_s, middle.ends_by)


def _loads(made: Sequence[Probed], season: str, ids: Sequence[str]) -> Iterator[LoadStory]:
    """Yield the loads of a season in the order in which they are shed, those that are not in the order of the survey."""
    mine = [one for one in made if one.season == season]
    energy = np.array([one.energy_kwh for one in mine])
    shed_s = np.array([one.shed_s for one in mine])
    found = list[LoadStory]()
    for k, load in enumerate(ids):
        shed = shed_s[:, k][~np.isnan(shed_s[:, k])]
        after_s = float(np.median(shed)) if len(shed) else None
        ran = float(np.mean(energy[:, k] > 0.0))
        found.append(LoadStory(season, load, ran, float(energy[:, k].mean()), len(shed) / len(mine), after_s))
    yield from sorted(found, key=lambda one: (one.shed_after_s is None, one.shed_after_s or 0.0))


def _reserve(ruled: UnderRules, supply: Supply, made: Sequence[Probed], steps: int, asked_s: float) -> Reserve:
    """Return what it takes to be carried for ``asked_s``."""
    step_s = ruled.days[0].scenario.step_s
    target = min(steps, round(asked_s / step_s))
    held = float(np.mean([one.lasts_s >= target * step_s for one in made]))
    if supply.battery is None or not carries(supply):
        return Reserve(asked_s, held, None)
    full = [one for day in ruled.days for one in probed(day, target, 1.0)]
    if any(one.lasts_s < target * step_s for one in full):
        return Reserve(asked_s, held, None)
    needed = supply.battery.floor + max(max(float(one.fall[-1]) for one in full), 0.0)
    return Reserve(asked_s, held, needed if needed <= 1.0 else None)


def _of_rules(one: Told, supply: Supply) -> Iterator[Finding]:
    if not carries(supply):
        return
    name, asked_s = _NAMES.get(one.name, one.name), one.reserve.target_s
    if one.tripped_share >= _OFTEN:
        yield kinds.TRIPS.at(one.name, name=name, share=per_cent(one.tripped_share), cause=one.trips_by)
    if one.reserve.held_share < _SURE:
        yield kinds.SHORT.at(one.name, name=name, target=asked_s, share=per_cent(one.reserve.held_share))
    if supply.battery is None:
        return
    needed = one.reserve.needed_share
    if needed is None:
        yield kinds.NOT_EVEN_FULL.at(one.name, name=name, target=asked_s)
    else:
        yield kinds.RESERVE.at(one.name, name=name, target=asked_s, needed=per_cent(needed))


def _of_site(supply: Supply, rate: OutageRate | None) -> Iterator[Finding]:
    if not carries(supply):
        yield kinds.NOTHING_CARRIES.at("supply")
    if supply.generator is not None:
        yield kinds.ENDLESS_FUEL.at("generator")
    if rate is None:
        yield kinds.NO_RATE.at("outage_rate")


def _of_seasons(there: set[str]) -> Iterator[Finding]:
    missing = [season.value for season in SEASONS if season.value not in there]
    if missing:
        yield kinds.SEASONS.at("record", seasons=", ".join(missing))
