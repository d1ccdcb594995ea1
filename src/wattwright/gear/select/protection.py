"""Degrees of protection by place, IEC 60529, and the enclosure that holds what was chosen."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from wattwright.catalogue.equipment.items import Breaker, Contactor, Controller, Enclosure, Item
from wattwright.catalogue.equipment.range import Range
from wattwright.gear.select.ruling import PRACTICE, Judged, Ruling, at_least, at_most, yes_or_no

Where = Literal["indoors", "outdoors", "bathroom", "pool", "horticulture", "buried", "tank", "pipe", "cold store"]

_WATER: Final[dict[Where, tuple[int, str]]] = {
    "indoors": (0, PRACTICE),
    "outdoors": (4, f"IP44 out of doors, {PRACTICE}"),
    "bathroom": (4, "IEC 60364-7-701, zones 1 and 2, from memory"),
    "pool": (5, "IEC 60364-7-702, zone 1, from memory; in zone 0 the eighth degree and nothing at 230 V"),
    "horticulture": (4, "IEC 60364-7-705, from memory"),
    "buried": (8, f"lies in wet soil for years, {PRACTICE}"),
    "tank": (7, f"a pocket may fill with water, {PRACTICE}"),
    "pipe": (5, f"drips and is washed down, {PRACTICE}"),
    "cold store": (5, f"is washed down, {PRACTICE}"),
}
FREE_SHARE = 0.2
"""Share of an enclosure that stays free for what comes later. Source: common practice."""
IN_LINE_MODULES = 3.0
"""Width that a device without a rail foot takes up in an enclosure. Source: common practice."""


def least_water(where: Where) -> tuple[int, str]:
    """Return the second numeral of the degree of protection that a place asks for, and where that stands."""
    return _WATER[where]


MOST_ENCLOSURES = 6
"""Beyond that what is asked for is no board of one property. Source: common practice."""


@dataclass(frozen=True, slots=True)
class Housing:
    """The enclosure: the smallest that passes, the others, and what was refused; ``modules`` and ``heat_w`` of what goes in.

    ``count`` is how many of it, where one does not hold all.
    """

    modules: float
    heat_w: float
    count: int
    selected: Judged | None
    also: tuple[Judged, ...]
    refused: tuple[Judged, ...]


def width(item: Item) -> float:
    """Return the modules that a device takes up: a breaker those of its poles, one without a rail foot three."""
    if isinstance(item, Breaker):
        return item.modules * item.poles
    if isinstance(item, Controller | Contactor) and item.modules == 0:
        return IN_LINE_MODULES
    return item.modules


def heat_w(item: Item) -> float:
    """Return the heat that a device gives off at its rated current, W: a breaker that of its poles."""
    return item.heat_w * (item.poles if isinstance(item, Breaker) else 1)


def choose_enclosure(inside: Sequence[Item], where: Where, range_: Range, *, radio: bool) -> Housing:
    """Return the enclosure for what was chosen, of all in a range; ``radio`` where something inside is told by radio."""
    modules, heat = sum(width(one) for one in inside), sum(heat_w(one) for one in inside)
    housing = _housing(modules, heat, 1, where, range_, radio=radio)
    for count in range(2, MOST_ENCLOSURES + 1):
        if housing.selected is not None:
            break
        housing = _housing(modules, heat, count, where, range_, radio=radio)
    return housing


def _housing(modules: float, heat: float, count: int, where: Where, range_: Range, *, radio: bool) -> Housing:
    """Return the enclosure where so many of it share what goes in."""
    judged = [
        (one, Judged(one.id, one.name, tuple(_rulings(one, modules / count, heat / count, where, radio=radio))))
        for one in range_.of(Enclosure)
    ]
    passing = sorted((one for one in judged if one[1].passes), key=lambda one: (one[0].holds, int(one[0].ip[3])))
    kept, refused = [one for _, one in passing], tuple(one for _, one in judged if not one.passes)
    return Housing(modules, heat, count, kept[0] if kept else None, tuple(kept[1:]), refused)


def _rulings(one: Enclosure, modules: float, heat: float, where: Where, *, radio: bool) -> Iterator[Ruling]:
    room = one.holds * (1.0 - FREE_SHARE)
    yield at_most("room", PRACTICE, f"{modules:.3g} modules, holds {one.holds:g} with {FREE_SHARE:.0%} kept free", modules, room)
    yield at_most("heat", "data sheet of the enclosure", f"{heat:.3g} W inside, gives off {one.loses_w:g} W", heat, one.loses_w)
    wanted, clause = least_water(where)
    yield at_least("water", clause, f"{one.ip}; {where}: water at least {wanted}", float(one.ip[3]), float(wanted))
    if radio:
        yield yes_or_no(
            "radio", PRACTICE, "of metal: radio does not pass" if one.metal else "of plastic: radio passes", holds=not one.metal
        )
