"""The overcurrent devices of a job's sources: which fail on their feeder, and which guard a source that is not there."""

from wattwright.core.findings import Finding
from wattwright.gear.circuit.appliance import RuleSet
from wattwright.job.simulated_site import supply_of
from wattwright.job.spec import JobSpec, SupplySpec
from wattwright.supply.island import kinds
from wattwright.supply.island.points import guarded, guards
from wattwright.supply.island.results import IslandCircuit, IslandSite


def rules_of(spec: JobSpec, supply: SupplySpec) -> RuleSet:
    """Return the rule set of a job: as said, else by its system."""
    return spec.gear.rules or ("nec" if supply.system == "split-phase" else "iec")


def island_site(spec: JobSpec, supply: SupplySpec, circuits: tuple[IslandCircuit, ...] = ()) -> IslandSite:
    """Return the site of a job as the rules of island running take it."""
    return IslandSite(
        supply_of(spec, supply), rules_of(spec, supply), bool(spec.pv), spec.gear.earth_ohm, circuits, _array_ac_w(spec)
    )


def _array_ac_w(spec: JobSpec) -> float | None:
    """Return the alternating power of the strongest array by its trackers, W; None where one has no strings told."""
    each = [[one.tracker.ac_w for one in spec.strings if one.array == number] for number in range(1, len(spec.pv) + 1)]
    return max(map(sum, each)) if each and all(each) else None


def of_guards(spec: JobSpec) -> tuple[Finding, ...]:
    """Return what is to be said of overcurrent devices that were told: those that fail, and those of no source of the job."""
    if spec.supply is None:
        return ()
    site = island_site(spec, spec.supply)
    failing = (
        kinds.FAILS.at(one.of, what=one.what, found=one.found, of=one.of, clause=one.clause)
        for one in guards(spec.island, site)
        if one.result == "failed"
    )
    there = guarded(site)
    lost = (kinds.GUARDS_NOTHING.at(one.source, source=one.source) for one in spec.island.protection if one.source not in there)
    return (*failing, *lost)


def failing_guards(spec: JobSpec) -> tuple[Finding, ...]:
    """Return what refuses overcurrent devices that were told: below the current of their feeder, or above what it carries."""
    return tuple(one for one in of_guards(spec) if one.code == kinds.FAILS.code)
