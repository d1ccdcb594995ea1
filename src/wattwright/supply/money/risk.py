"""How sure the money is: draws of demand, weather, prices, life and cost, and each of them alone.

Draws are made in blocks of a fixed size with streams of chance named after source and block. So the same is found whoever
does the work, and however many do it.
"""

from dataclasses import dataclass, replace
from math import sqrt
from typing import Final

import numpy as np

from wattwright.core.errors import UsageError
from wattwright.core.fingerprint import fingerprint
from wattwright.core.labour import IN_TURN, Labour, Work
from wattwright.core.progress import SILENT, Progress
from wattwright.core.seeds import Streams
from wattwright.supply.money.flows import flows
from wattwright.supply.money.measures import npv
from wattwright.supply.money.plan import Plan, plan_of
from wattwright.supply.money.spec import Investment
from wattwright.supply.money.spread import SOURCES, Source, Spread, drawn
from wattwright.supply.money.terms import Floats

BLOCK: Final = 250
"""Draws of one task."""
BAND: Final = (5.0, 50.0, 95.0)
"""Percentiles of a band."""


@dataclass(frozen=True, slots=True)
class Batch:
    """One task: which block of draws, and which source alone is unsure; all of them where ``alone`` is empty."""

    block: int
    alone: str


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """What all tasks share."""

    plan: Plan
    spread: Spread
    seed: int


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """The net present values of one block, shape (BLOCK,)."""

    npv: Floats


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar of a tornado: the band of the net present value while only ``source`` is unsure."""

    source: Source
    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True, eq=False)
class Risk:
    """Net present values drawn, shape (n,), rising; their mean and its error, band, chance of a loss and its error, and tornado.

    Errors are standard errors of so many draws; they say nothing of ranges that are wrong. The tornado has its widest bar first.
    """

    npv: Floats
    mean: float
    mean_error: float
    low: float
    middle: float
    high: float
    loss_share: float
    loss_error: float
    tornado: tuple[Bar, ...]


def risk(
    spec: Investment, spread: Spread, seed: int, blocks: int = 8, *, labour: Labour = IN_TURN, progress: Progress = SILENT
) -> Risk:  # fmt: skip
    """Return how sure the net present value is, from ``blocks`` times BLOCK draws, all unsure together and each alone.

    Raises UsageError for less than one block, Cancelled where progress says so. Source: ASTM E1369 for the choice of method, from
    memory.
    """
    if blocks < 1:
        raise UsageError(f"Found {blocks} blocks of draws; expected at least one.")
    mark = fingerprint(spec.model_dump_json(), spread.model_dump_json(), seed)
    work = Work("drawing what the money may come to", draw, Asked(plan_of(spec), spread, seed), Drawn, mark)
    tasks = [Batch(block, alone) for alone in ("", *spread.unsure) for block in range(blocks)]
    every = labour.map(work, tasks, progress)
    values = np.array([one.npv for one in every]).reshape(-1, blocks * BLOCK)
    bars = [Bar(source, *_band(row)) for source, row in zip(spread.unsure, values[1:], strict=True)]
    return _summed(np.sort(values[0]), tuple(sorted(bars, key=lambda bar: bar.low - bar.high)))


def draw(asked: Asked, batch: Batch) -> Drawn:
    """Return the net present values of one block of draws."""
    plan, streams = asked.plan, Streams(asked.seed)
    shapes: dict[Source, tuple[int, ...]] = dict.fromkeys(SOURCES, (BLOCK,))
    shapes |= {"weather": (BLOCK, plan.years), "life": (BLOCK, len(plan.parts))}
    known = Spread.model_construct()
    live = {source: asked.spread if batch.alone in ("", source) else known for source in SOURCES}
    of = {source: drawn(live[source], source, streams, batch.block, shapes[source]) for source in SOURCES}
    worths = np.empty(BLOCK)
    for place in range(BLOCK):
        one = changed(
            plan, of["demand"][place] * of["weather"][place], of["prices"][place], of["life"][place], float(of["cost"][place])
        )
        worths[place] = npv(flows(one).total, plan.rate)
    return Drawn(worths)


def changed(plan: Plan, yields: Floats, rise: float, lives: Floats, cost: float) -> Plan:
    """Return a plan as one draw has it: savings of each year times ``yields``, energy prices rising by ``rise`` a year more.

    Lives are rounded to whole years, one at least. Loan and grants stay: they were agreed.
    """
    later = np.arange(plan.years)
    saving = plan.saving.copy()
    saving[1:] *= yields * (1.0 + rise) ** later
    parts = tuple(
        replace(part, price=part.price * cost, life=max(1, round(part.life * float(share))))
        for part, share in zip(plan.parts, lives, strict=True)
    )
    return replace(plan, saving=saving, parts=parts)


def _band(values: Floats) -> tuple[float, float, float]:
    low, middle, high = np.percentile(values, BAND)
    return float(low), float(middle), float(high)


def _summed(values: Floats, tornado: tuple[Bar, ...]) -> Risk:
    count = len(values)
    lost = float(np.mean(values < 0))
    mean_error = float(values.std(ddof=1)) / sqrt(count)
    return Risk(values, float(values.mean()), mean_error, *_band(values), lost, sqrt(lost * (1 - lost) / count), tornado)
