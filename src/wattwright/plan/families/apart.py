"""Releases by the clock moved apart: loads that several programmes switch on at one minute come one after the other."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from wattwright.control.rules import Control, TimeProgramme
from wattwright.plan.families.plan import Plan, holds
from wattwright.plan.families.times import DAY_MIN, DAYS, GRID_MIN, Line, Times
from wattwright.plan.shed.returns import switched_on

_MOST = 12
"""Steps of the grid by which a line is moved at most."""


def apart(plan: Plan, today: Control, turn: Sequence[str], whole: frozenset[str] = frozenset()) -> Plan:
    """Return a plan in which no two loads are switched on at one minute of the week, as far as its gear and lines allow.

    Loads keep their moments in the order of ``turn``; those behind come on a step of the grid later, or more. Of the loads in
    ``whole`` the end moves as well, since they must run as long as before. Today's programmes of other loads stay.
    """
    set_here = {one.load for one in plan.genes}
    others = [one for one in today.rules if isinstance(one, TimeProgramme) and one.load not in set_here]
    used = {minute for one in others for minute in switched_on(one)}
    by_turn = [gene for load in turn for gene in plan.genes if gene.load == load and isinstance(gene, Times)]
    for gene in by_turn:
        lines = tuple(sorted({_later(one, used, moves_end=gene.load in whole) for one in gene.lines}))
        moved = replace(gene, lines=lines)
        kept = moved if holds(moved) else gene
        plan, used = plan.put(kept), used | {minute for one in kept.lines for minute in _ons(one)}
    return plan


def _later(line: Line, used: set[int], *, moves_end: bool) -> Line:
    """Return a line that begins no earlier than it does, and at a minute that is free on all of its days."""
    length = (line.off - line.on) % DAY_MIN or DAY_MIN
    for by in range(0, min(_MOST * GRID_MIN, length - GRID_MIN) + 1, GRID_MIN):
        moved = replace(line, on=(line.on + by) % DAY_MIN, off=(line.off + by * moves_end) % DAY_MIN)
        if not any(minute in used for minute in _ons(moved)):
            return moved
    return line


def _ons(line: Line) -> Iterator[int]:
    """Yield the minutes of the week at which a line switches on."""
    return (DAYS.index(day) * DAY_MIN + line.on for day in line.days)
