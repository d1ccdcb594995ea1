"""Words such as received and delivered, which mean one way as the supplier sees it and the other as the site does."""

from collections.abc import Sequence
from dataclasses import replace

from wattwright.core.findings import Finding
from wattwright.core.quantity import Direction, Quantity
from wattwright.record.columns import SAID, direction_word
from wattwright.record.faults import kinds
from wattwright.record.faults.flow import is_sun
from wattwright.record.faults.seen import Seen
from wattwright.record.record import Channel, standing
from wattwright.record.words import words

_LONGEST_S = 3 * 3600
"""Over longer steps a day shows no course of the sun."""


def settled_ways(channels: Sequence[Channel], seen: Seen) -> tuple[tuple[Channel, ...], list[Finding]]:
    """Return the channels with the way of flow that their numbers show where a word leaves it open, and what is to be said.

    What comes in the hours of the sun alone is fed in; what comes at night as well is used. Where the numbers show nothing, the
    supplier's standpoint is taken.
    """
    doubtful = [c for c in channels if _is_open(c)]
    if not doubtful:
        return tuple(channels), []
    sunny = {c.id: _comes_by_day(c, seen) for c in doubtful}
    is_pair = len({c.meaning.direction for c in doubtful}) > 1
    shown = not is_pair or len(set(sunny.values())) > 1
    settled: dict[str, Channel] = {}
    notes: list[Finding] = []
    for one in doubtful:
        way = (Direction.EXPORT if sunny[one.id] else Direction.IMPORT) if shown else one.meaning.direction
        is_news = is_pair or sunny[one.id] or way is not one.meaning.direction
        settled[one.id] = replace(one, meaning=replace(one.meaning, direction=way))
        if not shown:
            notes.append(kinds.WAY_OPEN.at("columns", column=one.column, way=way.value))
        elif is_news:
            why = "it comes in the hours of the sun alone" if sunny[one.id] else "it comes at night as well"
            notes.append(kinds.WAY_SHOWN.at("columns", column=one.column, way=way.value, why=why))
    return tuple(settled.get(one.id, one) for one in channels), notes


def _is_open(channel: Channel) -> bool:
    meaning = channel.meaning
    is_said = meaning.why == "you said so"
    return (
        meaning.quantity is Quantity.ACTIVE_POWER
        and not is_said
        and direction_word(channel.column) in words("standpoint")["open"]
    )


def _comes_by_day(channel: Channel, seen: Seen) -> bool:
    series = channel.series
    return series.step_s <= _LONGEST_S and is_sun(seen, channel, series.values > 0)


def no_use(main: Channel | None) -> list[Finding]:
    """Return a finding where what stands for the site is generated or fed in, so that no column holds what it uses."""
    if main is None or main.meaning.quantity is not Quantity.ACTIVE_POWER:
        return []
    is_use = main.meaning.direction is not Direction.EXPORT and standing(main.column) > 0
    if is_use or main.meaning.why == SAID:
        return []
    what = "fed in" if main.meaning.direction is Direction.EXPORT else "generated"
    return [kinds.NO_USE.at("columns", column=main.column, what=what)]
