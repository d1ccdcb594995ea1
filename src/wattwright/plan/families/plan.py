"""A plan: the genes that are set beside today's rules, and the rules they come to."""

from collections.abc import Sequence
from dataclasses import dataclass

from wattwright.catalogue.fits import fits
from wattwright.catalogue.schema import Gear
from wattwright.control.rules import Actuator, AnyRule, Control
from wattwright.plan.families.cycles import Cycle
from wattwright.plan.families.limits import Below, Surplus
from wattwright.plan.families.order import Order
from wattwright.plan.families.set_points import SetTo
from wattwright.plan.families.times import Times

Genes = Times | Below | Surplus | SetTo | Cycle


@dataclass(frozen=True, slots=True)
class Plan:
    """What is set: at most one gene of each family for a load, and a shed order for all; nothing at all is today."""

    genes: tuple[Genes, ...] = ()
    order: Order | None = None

    def __len__(self) -> int:
        """Return how many single rules it has."""
        return len(self.genes) + (self.order is not None)

    @property
    def entries(self) -> int:
        """Return how many entries it takes in all: lines of programmes, and one for each other rule."""
        return sum(one.asks().entries for one in self.genes) + (self.order is not None)

    @property
    def loads(self) -> tuple[str, ...]:
        """Return the ids of the loads it switches, each once, in their order."""
        shed = () if self.order is None else self.order.loads
        return tuple(dict.fromkeys([*(one.load for one in self.genes), *shed]))

    def control(self, today: Control) -> Control:
        """Return the rules of the site under this plan: its own for the loads it sets, today's for the others."""
        set_here = {one.load for one in self.genes}
        rules: list[AnyRule] = [one for one in today.rules if one.load not in set_here]
        for number, gene in enumerate(self.genes, start=1):
            rules += gene.rules(number)
        shedding = today.shedding if self.order is None else self.order.shedding()
        return today.model_copy(
            update={"rules": tuple(rules), "shedding": shedding, "actuators": self._actuators(today)}
        )  # fmt: skip

    def _actuators(self, today: Control) -> tuple[Actuator, ...]:
        """Return today's actuators with the time that the plan's gear takes to pass a command on."""
        link_s: dict[str, float] = {}
        for gene in self.genes:
            link_s[gene.load] = max(link_s.get(gene.load, 0.0), _takes_s(gene.gear))
        for load in () if self.order is None else self.order.loads:
            link_s[load] = max(link_s.get(load, 0.0), _takes_s(self.order.gear if self.order else None))
        kept = {one.load: one for one in today.actuators}
        for load, time_s in link_s.items():
            kept[load] = today.actuator(load).model_copy(update={"link_s": time_s})
        return tuple(kept.values())

    def devices(self) -> tuple[tuple[Gear, tuple[str, ...]], ...]:
        """Return the controllers it takes, each with what it switches; one for all rules of a load where it can."""
        found: list[tuple[Gear, tuple[str, ...]]] = []
        for load in dict.fromkeys(one.load for one in self.genes):
            found += [(gear, (load,)) for gear in _gear_for([one for one in self.genes if one.load == load])]
        if self.order is not None:
            found.append((self.order.gear, self.order.loads))
        return tuple(found)

    def without(self, place: int) -> "Plan":
        """Return it without the single rule at ``place``, the shed order counted last."""
        if place >= len(self.genes):
            return Plan(self.genes)
        return Plan((*self.genes[:place], *self.genes[place + 1 :]), self.order)

    def put(self, gene: Genes) -> "Plan":
        """Return it with a gene in place of the one of its family and load."""
        kept = [one for one in self.genes if (one.load, one.family) != (gene.load, gene.family)]
        return Plan(tuple(sorted([*kept, gene], key=lambda one: (one.load, one.family))), self.order)


TODAY = Plan()


def holds(gene: Genes | Order) -> bool:
    """Return whether a gene's gear can be set to it."""
    return not fits(gene.asks(), gene.gear)


def _gear_for(genes: Sequence[Genes]) -> tuple[Gear, ...]:
    """Return one class of gear that holds all genes of a load, or each gene's own."""
    for gear in [one.gear for one in genes]:
        entries = sum(one.asks().entries for one in genes)
        if entries <= gear.entries and all(not fits(one.asks(), gear) for one in genes):
            return (gear,)
    return tuple({one.gear.id: one.gear for one in genes}.values())


def _takes_s(gear: Gear | None) -> float:
    return 0.0 if gear is None else gear.link_s + gear.contactor_s
