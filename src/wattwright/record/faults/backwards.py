"""A conductor that runs backwards: what is told of it, the line that turns it, and the total that holds it."""

import json
from dataclasses import dataclass

import numpy as np

from wattwright.core.findings import Finding
from wattwright.core.quantity import Phase, Quantity
from wattwright.record.faults import kinds
from wattwright.record.faults.seen import Seen
from wattwright.record.record import Channel, Form


@dataclass(frozen=True, slots=True)
class Backwards:
    """A channel found reversed: throughout, or from ``first`` up to before ``last`` where these do not span the record."""

    channel: Channel
    first: int
    last: int
    share: float

    @property
    def whole(self) -> bool:
        """Return whether the whole record runs backwards."""
        return self.first == 0 and self.last == len(self.channel.series)


def told_of(reversed_: list[Backwards], seen: Seen) -> list[Finding]:
    """Return a finding for each reversed channel, each with the line that turns them all."""
    if not reversed_:
        return []
    columns = [one.channel.column for one in reversed_ if one.channel.meaning.factor > 0]
    kept = [c.column for c in seen.channels if c.meaning.factor < 0 and all(c is not one.channel for one in reversed_)]
    line = f"turned = {json.dumps([*kept, *columns], ensure_ascii=False)}"
    notes = []
    for one in reversed_:
        channel, series = one.channel, one.channel.series
        column, conductor, share = channel.column, _conductor(channel), one.share
        if one.whole:
            beside = _beside(channel, reversed_, seen)
            notes.append(kinds.REVERSED.at("columns", column=column, conductor=conductor, share=share, beside=beside, line=line))
        else:
            start, end = (series.start_s + series.step_s * edge for edge in (one.first, one.last))
            notes.append(kinds.REVERSED_SINCE.at("columns", column=column, conductor=conductor, start=start, end=end, line=line))
    return notes


def _conductor(channel: Channel) -> str:
    phase = channel.meaning.phase
    return "the whole supply" if phase is Phase.TOTAL else f"conductor {phase.value}"


def _beside(channel: Channel, reversed_: list[Backwards], seen: Seen) -> str:
    """Return which other conductors run forwards, and that voltage is there, as words to add."""
    turned = {id(one.channel) for one in reversed_}
    conductors = seen.conductors(Quantity.ACTIVE_POWER).items()
    forward = [phase.value for phase, c in conductors if c is not channel and id(c) not in turned]
    words = f", while {' and '.join(forward)} run{'s' if len(forward) == 1 else ''} forwards" if forward else ""
    voltage = seen.one(Quantity.VOLTAGE, channel.meaning.phase)
    return words + (" and voltage is there" if words and voltage is not None and np.nanmedian(voltage.series.values) > 0 else "")


def total_of_conductors(seen: Seen) -> Channel | None:
    """Return the total that is the sum of the conductors with the signs they were read with, or None."""
    parts = seen.conductors(Quantity.ACTIVE_POWER)
    total = seen.one(Quantity.ACTIVE_POWER, Phase.TOTAL)
    if total is None or len(parts) < 2 or total.meaning.form is Form.REGISTER:
        return None
    added = np.sum([c.series.values for c in parts.values()], axis=0)
    held = ~np.isnan(added + total.series.values)
    size = float(np.abs(added[held]).sum())
    return total if size > 0 and float(np.abs(added - total.series.values)[held].sum()) <= 0.02 * size else None
