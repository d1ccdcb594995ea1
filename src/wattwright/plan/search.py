"""The search for a plan: first what a person would try, then those joined, then step by step from the best, on the engine."""

import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from math import inf

import numpy as np

from wattwright.catalogue.schema import Gear
from wattwright.core.labour import IN_TURN, Labour, Work
from wattwright.core.progress import SILENT, Progress
from wattwright.core.seeds import Streams
from wattwright.loads.columns import P_RATING_W, PLAIN, PUMP
from wattwright.plan.bound.bound import Bound
from wattwright.plan.case import Case
from wattwright.plan.families.apart import apart
from wattwright.plan.families.order import Order
from wattwright.plan.families.plan import TODAY, Genes, Plan, holds
from wattwright.plan.families.proposals import Hints, hints, orders, proposals
from wattwright.plan.families.times import Times
from wattwright.plan.score import Breach, Figures, Scorer, breaches
from wattwright.plan.trial import tried_by

BATCH = 16
"""Plans tried between two looks at the best: the same for any number of processes, so that all find the same."""
_BEST = 8
_STALE = 12
"""Rounds without a better plan after which a search is over."""
_JOINED = 48
_TRIES = 25
_TIDIED = 3
_UNSEEN = 1e-4
"""Share of what today comes to that nobody would notice."""


@dataclass(frozen=True, slots=True)
class Effort:
    """How long to search: so many plans at most, and no longer than so many seconds; None: no such limit.

    A batch that the time cuts off counts for nothing, so that what is found depends on how many plans were tried and not on where
    the clock stood. What may be left out of the best plan is looked for after the time as well.
    """

    evaluations: int = 600
    budget_s: float | None = None


class _TimeIsUp(Exception):
    """Ends a round of the search; nobody but the search sees it."""


@dataclass(frozen=True, slots=True)
class _Until:
    """Progress of a part of a round, ``before`` of ``total`` plans done, that ends at an instant of the monotonic clock."""

    ends: float
    progress: Progress
    before: int
    total: int

    def at(self, what: str, done: float, total: float) -> None:
        """Pass the report on, counted in the whole round; raises _TimeIsUp once the time is up."""
        self.progress.at(what, self.before + done, self.total)
        if time.monotonic() >= self.ends:
            raise _TimeIsUp


@dataclass(frozen=True, slots=True, eq=False)
class Tried:
    """A plan, what it comes to, and what it does that it may not."""

    plan: Plan
    figures: Figures
    breaches: tuple[Breach, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """All that was tried, today first, then by how good it is; plans that do what they may not stand last."""

    today: Tried
    tried: tuple[Tried, ...]
    evaluations: int
    finished: bool


@dataclass(slots=True, eq=False)
class Search:
    """A search under way; what it does depends on the case, the gear and the seed only, and not on who does the work."""

    scorer: Scorer
    gear: tuple[Gear, ...]
    best_known: Bound
    streams: Streams
    labour: Labour = IN_TURN
    mark: str = ""
    starts: tuple[Plan, ...] = ()
    """Plans to begin with beside those that are proposed: the answer is then no worse than any of them that keeps its limits."""
    _known: dict[Plan, Figures] = field(default_factory=dict)
    _ends: float = inf
    _over: bool = False
    _work: Work[Scorer, Plan, Figures] = field(init=False)

    def __post_init__(self) -> None:
        """Make the one work that all rounds share: a process is sent a case once and not with each round."""
        self._work = Work("search for a plan", tried_by, self.scorer, Figures, self.mark)

    @property
    def case(self) -> Case:
        """Return the case."""
        return self.scorer.case

    def run(self, effort: Effort, progress: Progress = SILENT) -> Found:
        """Return what was found; raises Cancelled when ``progress`` says so."""
        self._ends = inf if effort.budget_s is None else time.monotonic() + effort.budget_s
        run = self.scorer.run(self.case.today)
        self._known[TODAY] = self.scorer.under(self.case.today, run)
        price = np.zeros(len(run.grid_w)) if self.scorer.tariff is None else self.scorer.tariff.import_price
        known = hints(self.case, price, run.grid_w, self.best_known)
        singles = self._singles(known)
        self._try(self.starts, effort, progress)
        self._try([Plan().put(one) for ones in singles.values() for one in ones], effort, progress)
        self._try([Plan(order=one) for one in orders(self.case, self.gear, known)], effort, progress)
        self._try(self._joined(singles), effort, progress)
        stale, turn, best = 0, 0, self._rank(self._order()[0])
        pool = tuple(one for ones in singles.values() for one in ones)
        while stale < _STALE and len(self._known) < effort.evaluations and not self._over:
            self._try(self._children(self.streams.stream(f"plan-{turn}"), pool), effort, progress)
            now, turn = self._rank(self._order()[0]), turn + 1
            stale, best = (0, now) if now < best else (stale + 1, best)
        self._ends, self._over = inf, False
        for _ in range(_TIDIED):
            self._try(self._simpler(self._order()[0]), Effort(effort.evaluations + 32), progress)
        return self._found(stale >= _STALE)

    def worth(self, plans: Sequence[Plan], progress: Progress = SILENT) -> tuple[tuple[float, ...], ...]:
        """Return for each plan what each of its single rules is worth: what it would save less without it."""
        apart = [[one.without(place) for place in range(len(one))] for one in plans]
        self._try([one for ones in apart for one in ones], Effort(len(self._known) + sum(map(len, apart))), progress)
        values = {one: figures.value for one, figures in self._known.items()}
        return tuple(tuple(values[less] - values[one] for less in ones) for one, ones in zip(plans, apart, strict=True))

    def _singles(self, known: Hints) -> dict[str, tuple[Genes, ...]]:
        case = self.case
        return {
            id_: proposals(case, i, self.gear, known) for i, id_ in enumerate(case.ids) if case.switchable[i]
        }  # fmt: skip

    def _try(self, plans: Sequence[Plan], effort: Effort, progress: Progress) -> None:
        """Work out plans that are not known yet, as many as the effort still allows; none of them where the time ends."""
        new = [one for one in dict.fromkeys(plans) if one not in self._known][: max(effort.evaluations - len(self._known), 0)]
        if not new or self._over:
            return
        for first in range(0, len(new), BATCH):
            some = new[first : first + BATCH]
            try:
                made = self.labour.map(self._work, some, _Until(self._ends, progress, first, len(new)))
            except _TimeIsUp:
                self._over = True
                return
            self._known.update(zip(some, made, strict=True))

    def _order(self) -> list[Plan]:
        return sorted(self._known, key=self._rank)

    def _rank(self, plan: Plan) -> tuple[int, int, float]:
        """Return how good a plan is on the weeks that are looked at: what it may not do costs more than anything it saves.

        Of plans between which nobody would notice a difference the simpler one goes first.
        """
        figures, today = self._known[plan], self._known[TODAY]
        scale = max(abs(today.fitted), 1e-9)
        penalty = sum(1.0 + one.by for one in breaches(self.case, today, figures)) * max(scale, 1.0)
        value = figures.fitted + penalty
        return round(value / (_UNSEEN * scale)), plan.entries, value

    def _joined(self, singles: dict[str, tuple[Genes, ...]]) -> list[Plan]:
        """Return the best settings of each load joined with those of the others, and the best shed orders with both."""
        best: list[tuple[Genes, ...]] = []
        for ones in singles.values():
            ranked = sorted((one for one in ones if Plan().put(one) in self._known), key=lambda one: self._rank(Plan().put(one)))
            best.append(tuple(ranked[:3]))
        shed = [one.order for one in self._order() if one.order is not None and not one.genes][:2]
        chance, found = self.streams.stream("joined"), dict[Plan, None]()
        for _ in range(_TRIES * _JOINED):
            plan = Plan(order=shed[int(chance.integers(len(shed)))] if shed and chance.random() < 0.3 else None)
            for ones in best:
                at = int(chance.integers(len(ones) + 1))
                plan = plan.put(ones[at]) if at < len(ones) else plan
            if len(plan) > 1:
                found[self._eased(plan)] = None
            if len(found) == _JOINED:
                break
        return list(found)

    def _children(self, chance: np.random.Generator, pool: Sequence[Genes]) -> list[Plan]:
        """Return a batch of plans that differ a little from the best ones."""
        best, found = self._order()[:_BEST], dict[Plan, None]()
        for _ in range(_TRIES * BATCH):
            parent = best[min(int(chance.exponential(2.0)), len(best) - 1)]
            child = self._child(parent, best, chance, pool)
            eased = None if child is None else self._eased(child)
            if eased is not None and eased not in self._known:
                found[eased] = None
            if len(found) == BATCH:
                break
        return list(found)

    def _child(self, parent: Plan, best: Sequence[Plan], chance: np.random.Generator, pool: Sequence[Genes]) -> Plan | None:
        turn, child = float(chance.random()), parent
        if turn < 0.12 and pool:
            return parent.put(pool[int(chance.integers(len(pool)))])
        if turn < 0.22:
            other = best[int(chance.integers(len(best)))]
            genes = [one for one in other.genes if one not in parent.genes]
            return parent.put(genes[int(chance.integers(len(genes)))]) if genes else Plan(parent.genes, other.order)
        if not len(parent):
            return None
        if turn < 0.3:
            return parent.without(int(chance.integers(len(parent))))
        for _ in range(1 + int(chance.random() < 0.3)):
            child = self._moved(child, chance)
        return child

    def _moved(self, plan: Plan, chance: np.random.Generator) -> Plan:
        at = int(chance.integers(len(plan)))
        if at == len(plan.genes) and plan.order is not None:
            order: Order = plan.order.moved(chance)
            return Plan(plan.genes, order) if holds(order) else plan
        gene = plan.genes[at].moved(chance)
        return plan.put(gene) if holds(gene) else plan

    def _eased(self, plan: Plan) -> Plan:
        """Return a plan that releases no more together than the supply carries or today's rules do: else its moments apart."""
        if self.scorer.releases.ratio(plan.control(self.case.today)) <= max(1.0, self._known[TODAY].released_ratio):
            return plan
        loads = [one.load for one in self.case.scenario.loads]
        turn = [one.id for one in sorted(loads, key=lambda one: (-float(one.params[P_RATING_W]), one.id))]
        return apart(plan, self.case.today, turn, frozenset(one.id for one in loads if one.kind in (PLAIN, PUMP)))

    def _simpler(self, plan: Plan) -> list[Plan]:
        """Return a plan without each of its rules, and without each line of its programmes."""
        found = [plan.without(place) for place in range(len(plan))]
        for gene in plan.genes:
            if isinstance(gene, Times):
                found += [plan.put(less) for less in gene.without_a_line()]
        return found

    def _found(self, finished: bool) -> Found:
        today = self._known[TODAY]
        tried = [Tried(one, self._known[one], breaches(self.case, today, self._known[one])) for one in self._order()]
        return Found(Tried(TODAY, today, ()), tuple(tried), len(self._known), finished)
