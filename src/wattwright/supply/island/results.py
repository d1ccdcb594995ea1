"""What island running comes to: what ends a fault on each circuit, how often the neutral is bonded, and each point to check."""

from dataclasses import dataclass
from typing import Literal

from wattwright.core.findings import Finding
from wattwright.gear.circuit.appliance import RuleSet
from wattwright.gear.circuit.results import CircuitDesign, Result
from wattwright.gear.circuit.tables import Status
from wattwright.gear.circuit.working import Question
from wattwright.simulate.supply import Supply
from wattwright.supply.island.spec import Source

CarrierName = Literal["inverter", "generator"]
Feeds = Literal["grid", "inverter", "generator"]
Ends = Literal["breaker", "RCD", "source", "nothing", "not known"]
"""What ends a fault in time: the circuit's breaker or fuse, its RCD, the source that shuts itself off; or nothing."""


@dataclass(frozen=True, slots=True)
class IslandCircuit:
    """A final circuit with its design; None where its breaker and cable are not known yet."""

    id: str
    name: str
    design: CircuitDesign | None


@dataclass(frozen=True, slots=True)
class IslandSite:
    """The site: what feeds it, the rule set, whether there is PV, its electrode's resistance (None: not measured), circuits.

    ``array_ac_w`` is the alternating power of the strongest array's inverter, W, None where nobody told it.
    """

    supply: Supply
    rules: RuleSet
    has_pv: bool
    electrode_ohm: float | None
    circuits: tuple[IslandCircuit, ...]
    array_ac_w: float | None = None


@dataclass(frozen=True, slots=True)
class Feed:
    """A source that carries the site: rated current of each conductor, A, and its current into a fault, A (None: not known).

    ``fault_a`` is no more than it gives, by which breakers trip, and ``most_fault_a`` no less, by which cables warm: they differ
    where nobody said over which conductors it feeds.
    """

    name: CarrierName
    rated_a: float
    fault_a: float | None
    most_fault_a: float | None
    lasts_s: float | None
    off_after_s: float | None


@dataclass(frozen=True, slots=True)
class FaultEnd:
    """What ends one fault on one circuit under one source.

    ``given_a`` is what flows and ``tripping_a`` what the breaker or fuse needs to trip at once; ``within_s`` the time allowed.
    """

    circuit: str
    name: str
    feed: CarrierName
    kind: Literal["short", "earth"]
    ends: Ends
    given_a: float | None
    tripping_a: float
    within_s: float | None
    working: str


@dataclass(frozen=True, slots=True)
class BondState:
    """The bonds of neutral to earth while ``feeds`` supplies the site; ``count`` is None while something is not known."""

    feeds: Feeds
    count: int | None
    where: tuple[str, ...]
    lacks: tuple[str, ...]

    @property
    def result(self) -> Result:
        """Return whether there is exactly one."""
        if self.count is None:
            return "not checked"
        return "passed" if self.count == 1 else "failed"


@dataclass(frozen=True, slots=True)
class Point:
    """One thing to hold: what, of which source (empty: the site), what was found, and where it stands."""

    id: str
    what: str
    of: str
    found: str
    result: Result
    clause: str
    status: Status


@dataclass(frozen=True, slots=True)
class Island:
    """Island running judged: sources that carry the site, ends of faults, bonds, points, and what is still to be asked."""

    rules: RuleSet
    sources: tuple[Source, ...]
    feeds: tuple[Feed, ...]
    faults: tuple[FaultEnd, ...]
    bonds: tuple[BondState, ...]
    points: tuple[Point, ...]
    asked: tuple[Question, ...]
    findings: tuple[Finding, ...]
