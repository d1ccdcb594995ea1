"""The wiring of each load of a job, from what was chosen for it."""

from wattwright.core.quantity import Phase
from wattwright.gear.wiring.build import Wanted, wiring_of
from wattwright.gear.wiring.netlist import Potential, Wiring
from wattwright.gear.wiring.single_line import Feeder, SingleLine
from wattwright.job.gearing import LoadGear, SiteGear
from wattwright.job.incoming import incoming
from wattwright.job.materials import OPEN, breaker_of, insulation, relay_of, residual_of
from wattwright.job.spec import JobSpec

_PHASES: dict[Phase, Potential] = {Phase.L1: "L1", Phase.L2: "L2", Phase.L3: "L3", Phase.LEG_A: "L1", Phase.LEG_B: "L2"}


def wirings(made: SiteGear) -> tuple[Wiring, ...]:
    """Return the wiring of every load for which a switch was found."""
    return tuple(wiring_of(_wanted(one, made)) for one in made.loads if one.answer.choice.selected is not None)


def _wanted(one: LoadGear, made: SiteGear) -> Wanted:
    scheme = one.answer.choice.selected
    assert scheme is not None
    circuit, appliance = one.circuit, one.answer.appliance
    notes = (one.not_designed,) if circuit is None else tuple(f"Open: {asked.ask}." for asked in circuit.not_checked)
    if circuit is None:
        return Wanted(
            one.number, one.load.name, appliance.duty, appliance.system, made.rules, scheme, f"breaker {OPEN}", OPEN,
            f"cable {OPEN}", "", overload=relay_of(one),
            phase=_PHASES.get(one.load.phase, "L1"), notes=notes,
        )  # fmt: skip
    chosen = circuit.chosen
    return Wanted(
        one.number, one.load.name, appliance.duty, appliance.system, made.rules, scheme, breaker_of(one), chosen.cable.size,
        f"copper {chosen.cable.loaded} x {chosen.cable.size}, protective {chosen.cable.earth_size}, {insulation(circuit.spec)}",
        f"{circuit.spec.length_m:g} m", residual_of(one), relay_of(one),
        _PHASES.get(one.load.phase, "L1"), notes,
    )  # fmt: skip


def single_line(made: SiteGear, spec: JobSpec) -> SingleLine:
    """Return the single-line diagram of the installation: supply, meter, sources, and a feeder for each load of the survey."""
    supply = spec.supply
    assert supply is not None
    chosen = {one.load.id: one for one in made.loads}
    feeders = []
    for load in spec.loads:
        one = chosen.get(load.id)
        scheme = None if one is None else one.answer.choice.selected
        feeders.append(
            Feeder(
                load.name, f"{load.quantity} x " if load.quantity > 1 else "", load.rating_w,
                "" if one is None else breaker_of(one),
                "" if one is None else residual_of(one), "" if scheme is None else scheme.way,
                "" if scheme is None else (scheme.contactor or scheme.controller).name,
                "" if one is None or one.circuit is None else f"{one.circuit.chosen.cable.size}, {one.circuit.spec.length_m:g} m",
                0 if one is None else one.number,
            )
        )  # fmt: skip
    return SingleLine(incoming(made, spec, supply), tuple(feeders))
