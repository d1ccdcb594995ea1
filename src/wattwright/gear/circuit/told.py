"""What a designed circuit has to tell beside its figures: findings of place, protection, start and terminals."""

from collections.abc import Iterator

from wattwright.core.findings import Finding, gravest_first
from wattwright.gear.circuit import kinds
from wattwright.gear.circuit.ampacity import ampacity
from wattwright.gear.circuit.drop import starting
from wattwright.gear.circuit.fault import disconnects_alone, loop
from wattwright.gear.circuit.results import Chosen, Circuit, Relay, Step
from wattwright.gear.circuit.sets import called_for
from wattwright.gear.circuit.working import Question

_WEAK = 0.10
"""Above this a motor's start is worth a word: common practice, no source."""

CAUTIONS = (
    "Mains work can kill. It is for people who are licensed for it: isolate, secure against switching on, prove dead.",
    "Local codes decide. What passed here passed the clauses named, on the inputs named, and nothing more.",
    "Control is not protection: cable and protection are sized as if the appliance were never switched off.",
)
"""What goes with every circuit, on screen and on paper."""


def findings(
    circuit: Circuit, chosen: Chosen, steps: tuple[Step, ...], asked: tuple[Question, ...], relay: Relay | None
) -> tuple[Finding, ...]:
    """Return every finding about a designed circuit, the gravest first."""
    name = circuit.spec.appliance.name
    made = (
        *_open(name, steps, asked), *_of_place(circuit, name), *_of_leakage(circuit, chosen, name),
        *_of_start(circuit, chosen, name, relay), *_of_cable(circuit, chosen, name),
    )  # fmt: skip
    return gravest_first(made)


def _open(name: str, steps: tuple[Step, ...], asked: tuple[Question, ...]) -> Iterator[Finding]:
    if asked:
        yield kinds.PROVISIONAL.at(name, count=len(asked), rules=sum(one.result == "not checked" for one in steps))


def _of_place(circuit: Circuit, name: str) -> Iterator[Finding]:
    spec = circuit.spec
    if spec.place == "pool":
        yield kinds.POOL.at(name)
    elif spec.place == "bathroom":
        yield kinds.BATHROOM.at(name)
    elif spec.place == "horticulture":
        yield kinds.HORTICULTURE.at(name)
    elif spec.place == "outdoors":
        yield kinds.OUTDOORS.at(name)
    if spec.rules == "nec" and (spec.place != "indoors" or spec.sockets):
        yield kinds.GROUND_FAULT.at(name)


def _of_leakage(circuit: Circuit, chosen: Chosen, name: str) -> Iterator[Finding]:
    spec, residual_a = circuit.spec, chosen.residual_a
    if spec.rules == "nec" or residual_a is None or spec.residual_a is not None:
        return
    called, residual_ma = called_for(spec, chosen.protection.rated_a), 1000.0 * residual_a
    if called is not None:
        yield kinds.RESIDUAL.at(name, residual=residual_ma, why=called.why)
    elif spec.earthing == "TT":
        yield kinds.RESIDUAL.at(name, residual=residual_ma, why="IEC 60364-4-41, 411.5: the supply is earthed as TT")
    if spec.earthing == "TN" and not disconnects_alone(circuit, chosen.protection, chosen.cable):
        yield kinds.FAULT_LOOP.at(name, residual=residual_ma, loop=loop(spec, chosen.cable) or 0.0)


def _of_start(circuit: Circuit, chosen: Chosen, name: str, relay: Relay | None) -> Iterator[Finding]:
    if relay is not None:
        yield kinds.RELAY.at(name, set=relay.set_a, most=relay.most_a)
    made = starting(circuit, chosen.cable)
    if made is not None and made.share > _WEAK:
        yield kinds.WEAK_START.at(name, drop=made.share, torque=(1.0 - made.share) ** 2)


def _of_cable(circuit: Circuit, chosen: Chosen, name: str) -> Iterator[Finding]:
    spec = circuit.spec
    if spec.appliance.system == "split-phase":
        yield kinds.TWO_LINES.at(name)
    if spec.rules == "nec":
        yield kinds.DROP_IS_ADVICE.at(name)
    elif spec.insulation == "XLPE":
        yield kinds.TERMINALS.at(name, ampacity=ampacity(spec, chosen.cable).ampacity_a)
