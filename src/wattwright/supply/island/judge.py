"""Island running of a site judged: what ends faults, how often the neutral is bonded, what must hold, and what is to be asked."""

from collections.abc import Iterator, Mapping

from wattwright.core.findings import Finding, gravest_first
from wattwright.gear.circuit.appliance import RuleSet
from wattwright.supply.island import kinds
from wattwright.supply.island.bonds import NETWORK, bonds, of_carrier
from wattwright.supply.island.clauses import clause
from wattwright.supply.island.faults import fault_ends, feeds
from wattwright.supply.island.points import guarded, points, questions, sources
from wattwright.supply.island.results import BondState, FaultEnd, Feed, Feeds, Island, IslandSite, Point
from wattwright.supply.island.spec import IslandSpec

CAUTIONS = (
    "Own sources keep this site live when the grid is dead. Switching off the grid's main switch makes nothing safe: every "
    "source is isolated, locked and proved dead by itself.",
    "PV modules give voltage whenever there is light, and a battery always: neither can be switched off at its terminals. Direct "
    "current draws an arc that does not go out by itself.",
    "Running beside the grid, or in its place, is for licensed people and needs the consent of the grid operator. Local codes "
    "decide; what passed here passed on the answers given, and nothing more.",
)
"""What goes with island running, on screen and on paper."""
_FAULTS = {"short": "short circuit", "earth": "fault to earth"}
_LACKS = {
    "fault_ratio": "its fault current", "fault_lasts_s": "how long that lasts", "off_after_s": "when it shuts itself off",
    "loop_ohm": "the earth-fault loop while it feeds",
}  # fmt: skip


def island(asked: IslandSpec, site: IslandSite) -> Island:
    """Return island running of a site; a site with no source of its own has no points but those of the grid.

    Source: IEC 60364-4-41, -4-43, -5-55 clause 551, -7-712, -8-82; NEC 250, 702, 705, 710; from memory, each with its point.
    """
    carriers = feeds(asked, site.supply)
    bonded = bonds(asked, site.supply, carriers)
    state: dict[Feeds, BondState] = {one.feeds: one for one in bonded}
    ends = tuple(
        end
        for feed in carriers
        for circuit in site.circuits
        for end in fault_ends(feed, of_carrier(asked, feed.name), circuit, state[feed.name])
    )
    told = points(asked, site, carriers, bonded)
    open_ = questions(asked, site, carriers, told)
    found = [*_of_faults(asked, carriers, ends, state), *_of_bonds(site, bonded), *_of_points(told)]
    found += [
        kinds.GUARDS_NOTHING.at(one.source, source=one.source) for one in asked.protection if one.source not in guarded(site)
    ]
    if open_:
        found.append(kinds.OPEN.at("island", count=len(open_)))
    return Island(site.rules, sources(site), carriers, ends, bonded, told, open_, gravest_first(tuple(found)))


def has_sources(site: IslandSite) -> bool:
    """Return whether anything but the grid can keep the site live."""
    return bool(set(sources(site)) - {"grid"})


def _of_faults(
    asked: IslandSpec, carriers: tuple[Feed, ...], ends: tuple[FaultEnd, ...], state: Mapping[Feeds, BondState]
) -> Iterator[Finding]:  # fmt: skip
    for feed in carriers:
        mine = [one for one in ends if one.feed == feed.name]
        for kind, fault in _FAULTS.items():
            by = {how: [one.name for one in mine if one.kind == kind and one.ends == how] for how in ("nothing", "source")}
            if named := by["nothing"]:
                yield kinds.NOTHING_ENDS.at(feed.name, feed=feed.name, fault=fault, count=len(named), loads=", ".join(named))
            if named := by["source"]:
                yield kinds.SOURCE_ENDS.at(feed.name, feed=feed.name, fault=fault, count=len(named), loads=", ".join(named))
        open_ = {one.circuit for one in mine if one.ends == "not known"}
        if open_:
            carrier = of_carrier(asked, feed.name)
            lacks = [words for name, words in _LACKS.items() if getattr(carrier, name) is None]
            lacks += ["where the neutral is bonded"] if state[feed.name].lacks else []
            lacks += ["over which conductors it feeds"] if feed.fault_a != feed.most_fault_a else []
            yield kinds.FAULTS_OPEN.at(feed.name, feed=feed.name, count=len(open_), lacks=", ".join(lacks))


def _of_bonds(site: IslandSite, bonded: tuple[BondState, ...]) -> Iterator[Finding]:
    for one in bonded:
        if one.count == 0:
            yield kinds.NO_BOND.at(one.feeds, feeds=one.feeds)
        elif one.count is not None and one.count > 1:
            yield kinds.TWO_BONDS.at(one.feeds, feeds=one.feeds, count=one.count, places=", ".join(one.where))
        elif one.count == 1 and one.feeds != "grid" and one.where == (NETWORK,) and site.rules == "iec":
            yield kinds.NETWORK_BOND.at(one.feeds, feeds=one.feeds)


def _of_points(told: tuple[Point, ...]) -> Iterator[Finding]:
    for one in told:
        # A bond that fails has a finding of its own.
        if one.result == "failed" and one.id != "bond":
            yield kinds.FAILS.at(one.of, what=one.what, found=one.found, of=one.of, clause=one.clause)


def fault_clause(one: FaultEnd, rules: RuleSet) -> str:
    """Return where what must end a fault stands."""
    return clause(one.kind, rules)
