"""Where the neutral is bonded to earth: exactly once at any time, whoever feeds the site.

The network's bond lies with the grid operator (IEC) or at the service (NEC) and belongs to the site as long as the changeover
leaves the neutral joined; own sources add theirs.
Source: IEC 60364-5-55, 551.4.3 and 551.6.2; NEC 250.20(D), 250.24, 250.30; from memory.
"""

from wattwright.simulate.supply import Supply
from wattwright.supply.island.results import BondState, CarrierName, Feed, Feeds
from wattwright.supply.island.spec import Carrier, IslandSpec

NETWORK = "network"


def bonds(asked: IslandSpec, supply: Supply, carriers: tuple[Feed, ...]) -> tuple[BondState, ...]:
    """Return the bonds with the grid there, and while each source that can carry the site does."""
    with_grid: tuple[Feeds, ...] = () if supply.stands_alone else ("grid",)
    return tuple(_state(feeds, asked, supply, carriers) for feeds in (*with_grid, *(one.name for one in carriers)))


def of_carrier(asked: IslandSpec, name: CarrierName) -> Carrier:
    """Return what was said of a source that carries the site."""
    return asked.inverter if name == "inverter" else asked.generator


def _state(feeds: Feeds, asked: IslandSpec, supply: Supply, carriers: tuple[Feed, ...]) -> BondState:
    told: dict[str, bool | None] = {NETWORK: False if supply.stands_alone else _network(feeds, asked)}
    told |= {one.name: _own(feeds, one.name, of_carrier(asked, one.name)) for one in carriers}
    found = tuple(name for name, there in told.items() if there)
    lacks = tuple(name for name, there in told.items() if there is None)
    # Two are too many, whatever is not known besides.
    count = None if lacks and len(found) < 2 else len(found)
    return BondState(feeds, count, found, lacks)


def _network(feeds: Feeds, asked: IslandSpec) -> bool | None:
    """Return whether the network's bond belongs to the site: with the grid, and where the neutral stays joined."""
    if feeds == "grid":
        return True
    return _joined(of_carrier(asked, feeds))


def _own(feeds: Feeds, name: CarrierName, one: Carrier) -> bool | None:
    """Return whether a source's own bond belongs to the site."""
    apart = name == "generator" and feeds != name
    joined = _joined(one) if apart else True
    if one.bond == "none" or joined is False:
        return False
    if one.bond == "closes when it feeds alone":
        return feeds == name
    return None if one.bond is None or joined is None else True


def _joined(one: Carrier) -> bool | None:
    """Return whether a changeover leaves the neutral joined; None where nobody said."""
    return None if one.parts is None else one.parts == "lines"
