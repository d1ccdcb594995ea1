"""What the design of a circuit gives: the chosen set, each rule with its margin, and what is open."""

from dataclasses import dataclass
from typing import Literal

from wattwright.core.findings import Finding
from wattwright.gear.circuit.current import DesignCurrent
from wattwright.gear.circuit.spec import CircuitSpec
from wattwright.gear.circuit.tables import Status
from wattwright.gear.circuit.working import Question

Result = Literal["passed", "failed", "not checked"]


@dataclass(frozen=True, slots=True)
class Circuit:
    """What is asked: the spec, and what its appliance draws."""

    spec: CircuitSpec
    current: DesignCurrent


@dataclass(frozen=True, slots=True)
class Protection:
    """A breaker or fuse: its standard, curve ("" where it has none), rating, poles, and breaking capacity (None: not known)."""

    kind: Literal["breaker", "fuse"]
    standard: str
    curve: str
    rated_a: float
    poles: int
    breaking_a: float | None


@dataclass(frozen=True, slots=True)
class Cable:
    """A copper cable or set of wires: size as the trade writes it, section, loaded conductors, and its protective conductor."""

    size: str
    area_mm2: float
    loaded: int
    earth_size: str
    earth_mm2: float


@dataclass(frozen=True, slots=True)
class Chosen:
    """A set of protection, cable, and earth-leakage protection (``residual_a``; None where none is called for)."""

    protection: Protection
    cable: Cable
    residual_a: float | None


@dataclass(frozen=True, slots=True)
class Step:
    """One rule on one set: ``found`` must not pass ``limit``, both in ``unit``; ``margin`` is the spare share of the limit."""

    id: str
    what: str
    clause: str
    found: float | None
    limit: float | None
    unit: str
    result: Result
    working: str
    status: Status

    @property
    def margin(self) -> float | None:
        """Return the spare share of the limit, negative where it is passed; None where it was not checked."""
        if self.found is None or self.limit is None:
            return None
        return 1.0 - self.found / self.limit


@dataclass(frozen=True, slots=True)
class NextSize:
    """What another size gives with the same protection: drop, ampacity, least margin of what depends on size, what it fails."""

    size: str
    area_mm2: float
    drop_share: float
    ampacity_a: float
    least_margin: float
    fails: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Relay:
    """The overload relay of a motor: set to its plate's current, at most ``most_a``, by a clause."""

    set_a: float
    most_a: float
    clause: str
    status: Status


@dataclass(frozen=True, slots=True)
class Factor:
    """One factor of an ampacity chain, with the row it was read from and where it stands."""

    what: str
    value: float
    row: str
    clause: str
    status: Status


@dataclass(frozen=True, slots=True)
class Chain:
    """How the ampacity came about: the table's value, each factor, and what is left, A."""

    table_a: float
    factors: tuple[Factor, ...]
    ampacity_a: float
    clause: str
    status: Status


@dataclass(frozen=True, slots=True)
class CircuitDesign:
    """A circuit designed: the set, the working, and what is open.

    ``drop_v`` is between the conductors that feed the appliance, ``start_drop_share`` None where nothing starts. ``raceway`` is
    the trade size under the NEC, else empty. ``deciding_rule`` is the id of the rule that asked for this size.
    """

    spec: CircuitSpec
    current: DesignCurrent
    chosen: Chosen
    chain: Chain
    drop_v: float
    drop_share: float
    start_drop_share: float | None
    relay: Relay | None
    raceway: str
    steps: tuple[Step, ...]
    deciding_rule: str
    next_sizes: tuple[NextSize, ...]
    not_checked: tuple[Question, ...]
    findings: tuple[Finding, ...]

    @property
    def provisional(self) -> bool:
        """Return whether something is still to be asked."""
        return bool(self.not_checked)
