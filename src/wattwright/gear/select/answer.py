"""A quick answer for one load, without a job: what switches it, which probe, what was refused, what must be asked on site."""

from dataclasses import dataclass

from wattwright.catalogue.equipment.range import Range
from wattwright.gear.circuit.appliance import Appliance, RuleSet
from wattwright.gear.circuit.current import DesignCurrent, design_current
from wattwright.gear.select.asking import need_of
from wattwright.gear.select.need import Surroundings
from wattwright.gear.select.probes import Probing, Sensing, choose_probe
from wattwright.gear.select.protection import least_water
from wattwright.gear.select.switch import Choice, choose
from wattwright.gear.usual import UsualLoad

ISOLATE = (
    "Mains work can kill: a licensed person isolates, locks off, proves dead and keeps to the code of the place. A relay contact "
    "is no isolator, and control is not protection."
)
ONE_POLE = "On two lines one pole leaves the other line live: both open together, and an isolator stands before them."
NEUTRAL = "The neutral is never switched alone."


@dataclass(frozen=True, slots=True)
class Answer:
    """What to use for a load and why: currents with their working, the switch, the probe, questions and cautions."""

    appliance: Appliance
    current: DesignCurrent
    choice: Choice
    probing: Probing | None
    asked: tuple[str, ...]
    cautions: tuple[str, ...]


def answer(appliance: Appliance, usual: UsualLoad, rule_set: RuleSet, around: Surroundings, range_: Range) -> Answer:
    """Return what to use for a load of a range; raises InputError where a motor lies outside the table of its rule set."""
    current = design_current(appliance, rule_set)
    choice = choose(need_of(appliance, rule_set, around), range_)
    probing = None
    if around.senses is not None and usual.senses is not None and usual.senses.quantity == around.senses:
        one = usual.senses
        probing = choose_probe(Sensing(one.quantity, one.low, one.high, one.where, one.differential, around.probe_way_m), range_)
    return Answer(appliance, current, choice, probing, _asked(current, choice, probing), _cautions(usual, choice))


def with_usual(appliance: Appliance, usual: UsualLoad) -> Appliance:
    """Return an appliance with what loads of its name usually are, where nobody said."""
    return appliance.model_copy(
        update={
            "continuous": appliance.continuous if appliance.continuous is not None else usual.continuous,
            "power_factor": appliance.power_factor if appliance.power_factor is not None else usual.power_factor,
        }
    )


def _asked(current: DesignCurrent, choice: Choice, probing: Probing | None) -> tuple[str, ...]:
    """Return every question once: about the plate, about the devices chosen, about the place."""
    asked = [f"{one.ask} (taken: {one.taken})" if one.taken else one.ask for one in current.questions]
    chosen = [None if choice.selected is None else choice.selected.judged, None if probing is None else probing.selected]
    for judged in chosen:
        asked += judged.asked if judged is not None else ()
    wanted, clause = least_water(choice.need.place)
    if wanted > 0:
        asked.append(f"where exactly does it hang? Water at least IPX{wanted} ({clause}), in an enclosure where its own is less")
    return tuple(dict.fromkeys(asked))


def _cautions(usual: UsualLoad, choice: Choice) -> tuple[str, ...]:
    told = [ISOLATE, ONE_POLE if choice.need.system == "split-phase" else NEUTRAL, *usual.cautions]
    return tuple(told)
