"""The smallest cable that passes every rule with some listed protection, which rule decides, and what other sizes give."""

from collections.abc import Callable
from dataclasses import replace

from wattwright.core.errors import InputError, Place
from wattwright.gear.circuit import iec_rules, nec_rules
from wattwright.gear.circuit.ampacity import ampacity
from wattwright.gear.circuit.drop import running
from wattwright.gear.circuit.results import Cable, Chosen, Circuit, NextSize, Protection, Step
from wattwright.gear.circuit.sets import cables, grounded, protections, residual_for
from wattwright.gear.circuit.working import figure

Rule = Callable[[Circuit, Chosen], Step | None]
_SMALLEST = "smallest-size"
_SIZED = {"overload", "terminals", "ampacity", "drop-running", "drop-starting", "short-circuit"}
"""The rules whose margin grows with the size."""


def rules_of(circuit: Circuit) -> tuple[Rule, ...]:
    """Return every rule of the circuit's rule set, in the order in which they are told."""
    return iec_rules.RULES if circuit.spec.rules == "iec" else nec_rules.RULES


def judge(circuit: Circuit, chosen: Chosen) -> tuple[Step, ...]:
    """Return how every rule that applies comes out on a set."""
    made = (rule(circuit, chosen) for rule in rules_of(circuit))
    return tuple(one for one in made if one is not None)


def failing(steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """Return the steps that failed, the worst first."""
    failed = [one for one in steps if one.result == "failed"]
    return tuple(sorted(failed, key=lambda one: one.margin or 0.0))


def set_of(circuit: Circuit, protection: Protection, cable: Cable) -> Chosen:
    """Return a set with the earth-leakage protection that belongs to it."""
    return Chosen(protection, cable, residual_for(circuit, protection, cable))


def _grounded(circuit: Circuit, chosen: Chosen) -> Chosen:
    """Return a set of the NEC with its equipment grounding conductor, which follows lines made larger for a drop."""
    by_ampacity = (nec_rules.terminal_size, nec_rules.carried, nec_rules.overload, nec_rules.small_wire)

    def carried(cable: Cable) -> bool:
        made = (rule(circuit, replace(chosen, cable=cable)) for rule in by_ampacity)
        return all(one is None or one.result != "failed" for one in made)

    least = next(one for one in cables(circuit.spec) if carried(one))
    return replace(chosen, cable=grounded(chosen.cable, chosen.protection.rated_a, least.area_mm2))


def choose(circuit: Circuit) -> Chosen:
    """Return the set with the smallest cable, and of these the one with the lowest rating and the quickest curve.

    Raises InputError where no listed set passes, with the rules that the nearest one fails.
    """
    listed, best = cables(circuit.spec), None
    for protection in protections(circuit):
        # What fails for the protection itself fails with every cable: the largest tells.
        if failing(judge(circuit, set_of(circuit, protection, listed[-1]))):
            continue
        found = _smallest(circuit, protection, listed if best is None else listed[: listed.index(best[1])])
        if found is not None:
            best = (protection, found)
    if best is None:
        raise _none(circuit, listed[-1])
    chosen = set_of(circuit, *best)
    return _grounded(circuit, chosen) if circuit.spec.rules == "nec" else chosen


def _smallest(circuit: Circuit, protection: Protection, listed: tuple[Cable, ...]) -> Cable | None:
    return next((one for one in listed if not failing(judge(circuit, set_of(circuit, protection, one)))), None)


def _none(circuit: Circuit, largest: Cable) -> InputError:
    tried = [failing(judge(circuit, set_of(circuit, one, largest))) for one in protections(circuit)]
    nearest = min(tried, key=lambda failed: (len(failed), -(failed[0].margin or 0.0)))
    rules = "; ".join(f"{one.what}: {_in_unit(one.found, one)} against {_in_unit(one.limit, one)}" for one in nearest)
    return InputError.one(
        "circuit.none", Place(field="appliance"), found=f"at {largest.size}, the largest size listed, {rules}",
        wanted="a circuit that a listed cable and a listed protection can feed",
        next_step="Feed it from nearer, at a higher voltage or in parts, or have it designed by someone licensed.",
    )  # fmt: skip


def _in_unit(value: float | None, one: Step) -> str:
    return figure(100.0 * (value or 0.0), "%") if one.unit == "1" else figure(value or 0.0, one.unit)


def deciding(circuit: Circuit, chosen: Chosen) -> str:
    """Return the id of the rule that asked for this size: of those that the next smaller one fails, the one it fails by most."""
    listed = cables(circuit.spec)
    at = _index(listed, chosen.cable)
    if at == 0:
        return _SMALLEST
    failed = failing(judge(circuit, set_of(circuit, chosen.protection, listed[at - 1])))
    return failed[0].id


def others(circuit: Circuit, chosen: Chosen) -> tuple[NextSize, ...]:
    """Return what the next smaller size and the next two larger ones give with the same protection."""
    listed = cables(circuit.spec)
    at = _index(listed, chosen.cable)
    beside = [k for k in (at - 1, at + 1, at + 2) if 0 <= k < len(listed)]
    return tuple(_other(circuit, set_of(circuit, chosen.protection, listed[k])) for k in beside)


def _other(circuit: Circuit, chosen: Chosen) -> NextSize:
    steps, cable = judge(circuit, chosen), chosen.cable
    margins = [one.margin for one in steps if one.margin is not None and one.id in _SIZED]
    fails = tuple(one.id for one in failing(steps))
    ampacity_a = ampacity(circuit.spec, cable).ampacity_a
    return NextSize(cable.size, cable.area_mm2, running(circuit, cable).share, ampacity_a, min(margins), fails)


def _index(listed: tuple[Cable, ...], cable: Cable) -> int:
    return next(k for k, one in enumerate(listed) if one.size == cable.size)
