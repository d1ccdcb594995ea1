"""A job's island running: its supply, its circuits and what was said of both, as the room of supply takes them."""

from dataclasses import dataclass, replace

from wattwright.core.bounds import as_least, as_most
from wattwright.core.errors import InputError
from wattwright.core.findings import Finding, gravest_first
from wattwright.gear.circuit.results import Result
from wattwright.gear.circuit.tables import Status
from wattwright.gear.circuit.working import Question
from wattwright.generation.string import Ruled, strings
from wattwright.job.array_wiring import array_wirings, strings_apart
from wattwright.job.gearing import SiteGear
from wattwright.job.guarding import island_site
from wattwright.job.spec import JobSpec
from wattwright.supply.island.judge import has_sources, island
from wattwright.supply.island.results import Island, IslandCircuit, Point
from wattwright.supply.island.spec import IslandSpec, Isolation


@dataclass(frozen=True, slots=True)
class StringsTold:
    """What the rules say of a job's strings: a point for each rule, findings, and what must be asked before they can say it."""

    points: tuple[Point, ...]
    findings: tuple[Finding, ...]
    asked: tuple[Question, ...]


def strings_told(spec: JobSpec) -> StringsTold:
    """Return what the rules say of a job's strings of PV modules."""
    points, found, asked = list[Point](), list[Finding](), list[Question]()
    for number, one in enumerate(spec.strings, start=1):
        try:
            design = strings(one)
        except InputError as lacking:
            asked.append(Question(f"strings.{number}", f"of strings {number}: {lacking.faults[0].wanted}"))
            continue
        found += design.findings
        most = "" if one.series is not None else ", the most that fit"
        if most:
            fit = f"from {design.least} to {design.most} fit" if design.least <= design.most else "no number fits"
            asked.append(Question(f"series.{number}", f"of strings {number}: how many modules are in series; {fit}"))
        of = f"strings {number}: {design.series} modules in series{most}"
        points += [_point(rule, of) for rule in design.steps]
    wired = array_wirings(spec)
    found += [*(told for one in wired for told in one.long), *strings_apart(spec, wired)]
    return StringsTold(tuple(points), tuple(found), tuple(asked))


def _point(rule: Ruled, of: str) -> Point:
    limit = (as_least if rule.least else as_most)(rule.limit, 4)
    told = f"{rule.found:.4g} {rule.unit}, at {'least' if rule.least else 'most'} {limit:.4g} {rule.unit}".replace(" ,", ",")
    # What a rule only tells, and does not refuse, is the maker's to say.
    result: Result = "passed" if rule.passed else "failed" if rule.grave else "not checked"
    return Point(rule.id, rule.what, of, told.strip(), result, rule.clause, Status(rule.status))


def _with_isolators(spec: JobSpec) -> IslandSpec:
    """Return what was said of island running, with the isolators of every array's strings where those were told."""
    told = [one.isolator for one in spec.strings if one.isolator]
    told_of = {one.array for one in spec.strings if one.isolator} - {one.array for one in spec.strings if not one.isolator}
    if len(told_of) < len(spec.pv) or not told or any(one.source == "PV array" for one in spec.island.isolation):
        return spec.island
    where = "; ".join(dict.fromkeys(told))
    isolation = (*spec.island.isolation, Isolation(source="PV array", where=where, lockable=None))
    return spec.island.model_copy(update={"isolation": isolation})


def job_island(made: SiteGear, spec: JobSpec) -> Island | None:
    """Return the island running of a job with its designed circuits; None where nothing but the grid feeds it."""
    if spec.supply is None:
        return None
    circuits = {one.load.id: one.circuit for one in made.loads}
    site = island_site(spec, spec.supply, tuple(IslandCircuit(one.id, one.name, circuits.get(one.id)) for one in spec.loads))
    if not has_sources(site):
        return None
    made_of, told = island(_with_isolators(spec), site), strings_told(spec)
    findings = gravest_first((*made_of.findings, *told.findings))
    points = (*made_of.points, *told.points)
    return replace(made_of, points=points, asked=(*made_of.asked, *told.asked), findings=findings)
