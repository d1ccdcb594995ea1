"""A job's equipment: for each load that may be switched its switch, circuit and probe; for the site its meter and enclosure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

from wattwright.catalogue.equipment.range import Range, load_range
from wattwright.catalogue.load import generic_gear, load_gear
from wattwright.catalogue.schema import Function, Gear
from wattwright.control.rules import Control
from wattwright.core.errors import InputError, JobError, Place
from wattwright.core.fields import Held
from wattwright.core.findings import Finding, gravest_first
from wattwright.core.quantity import Phase
from wattwright.core.specfile import SpecText, validated
from wattwright.gear.circuit.appliance import Appliance, RuleSet, System
from wattwright.gear.circuit.design import design
from wattwright.gear.circuit.results import CircuitDesign
from wattwright.gear.circuit.spec import CircuitSpec
from wattwright.gear.select.answer import Answer, answer
from wattwright.gear.select.bill import BillOfMaterials, bill_of
from wattwright.gear.select.need import Surroundings
from wattwright.gear.select.protection import Housing, choose_enclosure
from wattwright.gear.select.transformer import Measured, Measuring, choose_meter
from wattwright.gear.usual import USUAL, UsualLoad
from wattwright.job import kinds
from wattwright.job.array_wiring import of_strings
from wattwright.job.file import Job
from wattwright.job.guarding import of_guards, rules_of
from wattwright.job.loads import LoadSpec
from wattwright.job.materials import in_the_board, lines_of, lines_of_site
from wattwright.job.spec import SupplySpec

_FUNCTIONS: Mapping[str, Function] = {
    "time programme": "time programme", "repeat-cycle timer": "repeat-cycle timer", "limit": "limit", "set point": "set point",
}  # fmt: skip
_SYSTEMS: Mapping[str, System] = {"line and neutral": "single-phase", "two lines": "split-phase", "three lines": "three-phase"}
_MEASURED = ("upstream_drop", "loop_ohm", "earth_ohm", "prospective_a")
"""What was measured at the board, the same for every circuit that begins there."""
_DAYS = 365.0


@dataclass(frozen=True, slots=True)
class LoadGear:
    """What was chosen for a load.

    The switch with its reasons, the circuit (None until its route is known), what is to be asked.
    """

    load: LoadSpec
    number: int
    answer: Answer
    circuit: CircuitDesign | None
    not_designed: str
    asked: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SiteGear:
    """A job's equipment: its loads', the meter of the supply, the enclosure, the bill of materials, and what is to be told."""

    rules: RuleSet
    loads: tuple[LoadGear, ...]
    measuring: Measuring | None
    housing: Housing | None
    bill: BillOfMaterials
    range: Range
    findings: tuple[Finding, ...]


def may_switch(job: Job, control: Control) -> list[LoadSpec]:
    """Return the loads that something may switch, in the order of the survey."""
    never = {one.load for one in control.actuators if one.never}
    return [one for one in job.spec.loads if one.controllable and one.interrupt != "never" and one.id not in never]


def has_own_sources(job: Job) -> bool:
    """Return whether anything but the grid feeds the site, so that it has a diagram and a sheet of its own."""
    spec = job.spec
    return bool(spec.pv) or any(one is not None for one in (spec.inverter, spec.battery, spec.generator))


def site_gear(
    job: Job,
    control: Control,
    switchings: Mapping[str, float],
    peak_a: float | None,
    base_a: float | None,
    classes: Mapping[str, tuple[str, ...]] = MappingProxyType({}),
) -> SiteGear:
    """Return the equipment of a job under rules of ``control``.

    ``switchings`` is how often a year each load is switched, by id; ``peak_a`` the upper end of the one-minute peak and
    ``base_a`` the base load, in the busiest conductor. ``classes`` are the classes of gear that a plan counts on, by id of load;
    for other loads any class that works their rules will do. Where nothing may be switched, but own sources feed the site, no
    equipment is chosen, and only their papers are made. Raises JobError without a supply, or without sources and a load that
    may be switched, FileError or InputError where an own range is wrong.
    """
    supply = job.spec.supply
    wanted = may_switch(job, control)
    if supply is None:
        raise _lacking(job, "supply", "the supply, for voltage and conductors", "Add a [supply] table with system and voltage.")
    if not (wanted or has_own_sources(job)):
        raise _lacking(job, "loads", "at least one load with controllable = true", "Say which loads may be switched.")
    asked = job.spec.gear
    rules = rules_of(job.spec, supply)
    range_ = load_range([job.inside(one) for one in asked.catalogue], only=asked.only)
    about = (*of_strings(job.spec), *of_guards(job.spec))
    if not wanted:
        return SiteGear(rules, (), None, None, bill_of([], range_), range_, about)
    gear = load_gear(job.inside(job.spec.plan.gear)) if job.spec.plan.gear else generic_gear()
    made = _Site(job, supply, rules, range_, gear, control, classes)
    loads = tuple(made.of(one, number, switchings.get(one.id)) for number, one in enumerate(wanted, start=1))
    measured = Measured(
        peak_a, base_a, supply.main_protection_a, supply.live_conductors, asked.supply_mm, power_factor=supply.power_factor
    )
    measuring = choose_meter(measured, range_)
    inside = in_the_board(loads, range_)
    housing = choose_enclosure(inside, asked.board_place, range_, radio=made.has_radio(loads)) if inside else None
    bill = bill_of([*lines_of(loads, range_), *lines_of_site(measuring, housing)], range_)
    found = (*about, *_findings(loads))
    return SiteGear(rules, loads, measuring, housing, bill, range_, gravest_first(found))


def _lacking(job: Job, field: str, wanted: str, step: str) -> JobError:
    return JobError.one("job.gear-means", Place(str(job.path), field=field), found="none", wanted=wanted, next_step=step)


def system_of(load: LoadSpec, supply: SupplySpec) -> System:
    """Return the conductors that feed a load: those told, else by its phase; where that is open too, all of the supply."""
    told = load.wiring.conductors
    if told is not None:
        return _SYSTEMS[told]
    if load.phase in (Phase.TOTAL, Phase.UNKNOWN) and supply.system != "single-phase":
        return supply.system
    return "single-phase"


class _Site:
    """What the choice for every load has in common."""

    def __init__(
        self, job: Job, supply: SupplySpec, rules: RuleSet, range_: Range, gear: Sequence[Gear], control: Control,
        planned: Mapping[str, tuple[str, ...]],
    ) -> None:  # fmt: skip
        self.job, self.supply, self.rules, self.range, self.gear, self.control = job, supply, rules, range_, gear, control
        self.planned = planned

    def of(self, load: LoadSpec, number: int, switchings: float | None) -> LoadGear:
        """Return what is chosen for a load."""
        usual = USUAL[load.kind]
        if load.wiring.duty is not None:
            usual = replace(usual, duty=load.wiring.duty)
        appliance = self._appliance(load, usual)
        circuit, why = self._circuit(load, appliance)
        site, route = self.job.spec.gear, load.wiring
        senses = usual.senses.quantity if usual.senses is not None and self._functions(load.id) & {"set point"} else None
        a_year = route.switchings_a_day * _DAYS if route.switchings_a_day is not None else switchings
        around = Surroundings(
            ambient_c=site.board_c, place=route.place, switchings_a_year=a_year, years=site.years, control_v=site.coil_v,
            classes=self._classes(load.id), senses=senses, peak_a=route.inrush_a,
            way="control circuit" if load.interrupt == "control circuit" else "mains",
            main_a=self.supply.main_protection_a,
            protected_a=None if circuit is None else circuit.chosen.protection.rated_a,
            probe_way_m=route.probe_way_m,
        )  # fmt: skip
        made = answer(appliance, usual, self.rules, around, self.range)
        questions = tuple(one.ask for one in circuit.not_checked) if circuit is not None else ()
        return LoadGear(load, number, made, circuit, why, tuple(dict.fromkeys((*made.asked, *questions))))

    def _functions(self, id_: str) -> set[Function]:
        found: set[Function] = {_FUNCTIONS[rule.kind] for rule in self.control.rules if rule.load == id_}
        if self.control.shedding is not None and id_ in self.control.shedding.order:
            found.add("shedding")
        return found

    def _classes(self, id_: str) -> tuple[str, ...]:
        """Return the classes of gear of the plan, else those that work every rule of a load; none where it has no rule yet.

        Shedding may be ordered from elsewhere: a controller that is told by link needs not know it.
        """
        if id_ in self.planned:
            return self.planned[id_]
        functions = self._functions(id_) - {"shedding"}
        if not functions:
            return ()
        return tuple(one.id for one in self.gear if functions <= set(one.functions))

    def has_radio(self, loads: Sequence[LoadGear]) -> bool:
        """Return whether anything chosen is told by radio."""
        chosen = [one.answer.choice.selected for one in loads]
        return any(one is not None and one.controller.link == "radio" for one in chosen)

    def _appliance(self, load: LoadSpec, usual: UsualLoad) -> Appliance:
        """Return a load as its plate tells: the survey's rating is what it draws, a motor's shaft is told beside."""
        route, system = load.wiring, system_of(load, self.supply)
        factor = {"single-phase": 1.0, "split-phase": 2.0, "three-phase": 3.0**0.5}[system]
        volts = route.voltage_v or self.supply.voltage_v * factor
        written: dict[str, Any] = {
            "name": load.name, "duty": usual.duty, "voltage_v": Held(round(volts)), "system": system,
            "power_factor": Held(load.power_factor),
            "continuous": usual.continuous if route.continuous is None else route.continuous,
            "efficiency": None if route.efficiency is None else Held(route.efficiency),
            "start_ratio": route.start_ratio,
            "storage_l": None if load.volume_l is None or usual.duty != "heater" else Held(load.volume_l),
        }  # fmt: skip
        drawn_a = load.rating_w / (load.power_factor * volts * (3.0**0.5 if system == "three-phase" else 1.0))
        if route.plate_a is not None:
            written["current_a"] = Held(route.plate_a)
        if usual.duty == "motor":
            if route.shaft_w is not None:
                written["power_w"] = Held(route.shaft_w)
            written.setdefault("current_a", Held(drawn_a))
        else:
            written["power_w"] = Held(load.rating_w)
        return Appliance.model_validate({name: value for name, value in written.items() if value is not None})

    def _circuit(self, load: LoadSpec, appliance: Appliance) -> tuple[CircuitDesign | None, str]:
        """Return the circuit of a load, or why it cannot be designed yet."""
        route, site = load.wiring, self.job.spec.gear
        if route.length_m is None or route.method is None:
            return None, "the length of its route and how the cable is installed are not known yet"
        written: dict[str, Any] = {
            "rules": self.rules, "appliance": appliance, "length_m": Held(route.length_m), "method": route.method,
            "insulation": route.insulation, "ambient_c": _held(route.ambient_c), "ground_c": _held(route.ground_c),
            "circuits": route.circuits, "laid": route.laid, "place": route.place, "rated_a": _held(route.rated_a),
            "sockets": route.sockets, "earthing": site.earthing,
            **{name: _held(getattr(site, name)) for name in _MEASURED},
        }  # fmt: skip
        known = {name: value for name, value in written.items() if value is not None}
        try:
            # What fits no rule set, such as a method of the other one, is told as what it is: a circuit that stays open.
            return design(validated(SpecText("", "", known, {}), CircuitSpec, InputError, of_code=True)), ""
        except InputError as refused:
            return None, refused.faults[0].sentence()


def _held(value: float | None) -> Held | None:
    return None if value is None else Held(value)


def _findings(loads: Sequence[LoadGear]) -> list[Finding]:
    found = list[Finding]()
    for one in loads:
        if one.answer.choice.selected is None:
            found.append(kinds.NO_SWITCH.at(one.load.id, load=one.load.name, refused=len(one.answer.choice.refused)))
        if one.circuit is None:
            found.append(kinds.NO_CIRCUIT.at(one.load.id, load=one.load.name, why=one.not_designed))
        else:
            found += [replace(told, where=one.load.id) for told in one.circuit.findings]
    return found
