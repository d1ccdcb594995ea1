"""A job's island running: its supply, its circuits and what was said of both, as the room of supply takes them."""

from dataclasses import replace

from wattwright.core.errors import InputError
from wattwright.core.findings import Finding, gravest_first
from wattwright.gear.circuit.working import Question
from wattwright.generation.string import strings
from wattwright.job.gearing import SiteGear
from wattwright.job.simulated_site import supply_of
from wattwright.job.spec import JobSpec
from wattwright.supply.island.judge import has_sources, island
from wattwright.supply.island.results import Island, IslandCircuit, IslandSite


def strings_told(spec: JobSpec) -> tuple[tuple[Finding, ...], tuple[Question, ...]]:
    """Return what the rules say of a job's strings of PV modules, and what must be asked before they can say it."""
    found, asked = list[Finding](), list[Question]()
    for number, one in enumerate(spec.strings, start=1):
        try:
            found += strings(one).findings
        except InputError as lacking:
            asked.append(Question(f"strings.{number}", f"of strings {number}: {lacking.faults[0].wanted}"))
    return tuple(found), tuple(asked)


def job_island(made: SiteGear, spec: JobSpec) -> Island | None:
    """Return the island running of a job with its designed circuits; None where nothing but the grid feeds it."""
    if spec.supply is None:
        return None
    circuits = {one.load.id: one.circuit for one in made.loads}
    site = IslandSite(
        supply_of(spec, spec.supply), made.rules, bool(spec.pv), spec.gear.earth_ohm,
        tuple(IslandCircuit(one.id, one.name, circuits.get(one.id)) for one in spec.loads),
    )  # fmt: skip
    if not has_sources(site):
        return None
    made_of, (found, asked) = island(spec.island, site), strings_told(spec)
    findings = gravest_first((*made_of.findings, *found))
    return replace(made_of, asked=(*made_of.asked, *asked), findings=findings)
