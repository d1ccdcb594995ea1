"""A job's island running: its supply, its circuits and what was said of both, as the room of supply takes them."""

from wattwright.job.gearing import SiteGear
from wattwright.job.simulated_site import supply_of
from wattwright.job.spec import JobSpec
from wattwright.supply.island.judge import has_sources, island
from wattwright.supply.island.results import Island, IslandCircuit, IslandSite


def job_island(made: SiteGear, spec: JobSpec) -> Island | None:
    """Return the island running of a job with its designed circuits; None where nothing but the grid feeds it."""
    if spec.supply is None:
        return None
    circuits = {one.load.id: one.circuit for one in made.loads}
    site = IslandSite(
        supply_of(spec, spec.supply), made.rules, bool(spec.pv), spec.gear.earth_ohm,
        tuple(IslandCircuit(one.id, one.name, circuits.get(one.id)) for one in spec.loads),
    )  # fmt: skip
    return island(spec.island, site) if has_sources(site) else None
