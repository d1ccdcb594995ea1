"""The loads of a job that are simulated, and the supply, rules and drivers around them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.control.compiled import compile_control
from wattwright.control.faults import faults
from wattwright.control.programmes import Span
from wattwright.control.rules import LIFE, Actuator, Control, Limit, SetPoint
from wattwright.core.clock import SiteClock
from wattwright.core.errors import JobError, Place
from wattwright.core.fields import Held
from wattwright.core.findings import Finding
from wattwright.core.quantity import Phase
from wattwright.job import kinds
from wattwright.job.climate import climate
from wattwright.job.days import STEP_S, times, within
from wattwright.job.file import Job
from wattwright.job.loads import LoadSpec
from wattwright.job.spec import JobSpec, SupplySpec
from wattwright.job.uses import WaterUse, steps
from wattwright.loads.columns import AIR, GREENHOUSE, P_MOST_W, ROOM, SOIL, TANK, USES, W_COLD_WATER_C
from wattwright.loads.compiled import CompiledLoad
from wattwright.loads.faults import HotWater, faults as load_faults
from wattwright.loads.sensed import sensed
from wattwright.loads.tank_kernels import P_USE_C, U_RAISED_C
from wattwright.simulate.comfort import heat_ups
from wattwright.simulate.drivers import CONDUCTORS, Drivers
from wattwright.simulate.scenario import Scenario, SiteLoad
from wattwright.simulate.supply import Connection, Supply

Floats = NDArray[np.float64]
_SITE = ("site power", "export power", "current")


@dataclass(frozen=True, slots=True, eq=False)
class SimulatedSite:
    """A job's loads that are simulated, as written and as the engine takes them, in the order of the survey."""

    job: Job
    specs: tuple[LoadSpec, ...]
    made: tuple[CompiledLoad, ...]
    charge_share: float | None = None
    """How full the battery is at the start; as the job says if None."""

    @property
    def supply_spec(self) -> SupplySpec:
        """Return the connection as written; raises JobError where the job has none."""
        spec = self.job.spec.supply
        if spec is None:
            is_alone = self.job.spec.quote.purpose == "stand-alone" or self.job.spec.stands_alone
            raise JobError.one(
                "job.no-supply",
                Place(str(self.job.path), field="supply"),
                found="none",
                wanted="the conductors that the inverter or generator feeds" if is_alone else "the connection to the grid",
                next_step="Add a [supply] table with system and voltage; no main_protection where there is no grid."
                if is_alone
                else "Add a [supply] table with system, voltage and main_protection.",
            )
        return spec

    @property
    def supply(self) -> Supply:
        """Return all that feeds the site."""
        made = supply_of(self.job.spec, self.supply_spec)
        if made.battery is None or self.charge_share is None:
            return made
        return made.model_copy(update={"battery": made.battery.model_copy(update={"start": self.charge_share})})

    def warmed(self, states: Floats, charge_share: float, anew: Sequence[int]) -> "SimulatedSite":
        """Return the site with its loads as they stand in ``states`` (m, STATES), the sums in columns ``anew`` begun anew."""
        rows = states.copy()
        rows[:, list(anew)] = 0.0
        return replace(
            self, charge_share=charge_share, made=tuple(replace(one, state=row) for one, row in zip(self.made, rows, strict=True))
        )

    def scenario(self, control: Control, span: Span, drivers: Drivers) -> Scenario:
        """Return the question put to the engine."""
        compiled = compile_control(self.simulated(control), [one.id for one in self.specs], span)
        sited = tuple(SiteLoad(made, one.phase) for one, made in zip(self.specs, self.made, strict=True))
        return Scenario(span, STEP_S, sited, compiled, self.supply, drivers)

    def interrupting(self, control: Control) -> Control:
        """Return the rules with what the survey says of how each load may be interrupted."""
        made = tuple(_actuator(one, control) for one in self.job.spec.loads)
        return control.model_copy(update={"actuators": made})

    def simulated(self, control: Control) -> Control:
        """Return the rules of the loads that are simulated: one that nothing may interrupt is part of the rest of the site."""
        ids, told = [one.id for one in self.specs], self.interrupting(control)
        shed = told.shedding
        kept = {
            "actuators": tuple(one for one in told.actuators if one.load in ids),
            "returns": tuple(load for load in told.returns if load in ids),
            "shedding": shed and shed.model_copy(update={"order": tuple(load for load in shed.order if load in ids)}),
        }
        return told.model_copy(update=kept)

    def drivers(self, span: Span) -> tuple[Drivers, tuple[Finding, ...]]:
        """Return what comes from outside, the rest of the site still at nought, and what there is to say of the weather."""
        spec, times_s, clock = self.job.spec, times(span), SiteClock(self.job.spec.site.zone)
        depending = [one.name for one, made in zip(self.specs, self.made, strict=True) if _in_the_open(made)]
        modelled = [one for one in spec.pv if not one.meter]
        weather = climate(spec.weather, self.job.inside, spec.site, times_s, depending, modelled, seed=spec.seed)
        shown, cold_c = steps(clock, span.start_s, len(times_s), STEP_S), float(np.mean(weather.rows[:, W_COLD_WATER_C]))
        uses = np.zeros((len(self.made), len(times_s), USES))
        for k, (one, made) in enumerate(zip(self.specs, self.made, strict=True)):
            uses[k] = one.asked.series(shown, cold_c, float(made.params[P_USE_C]) if made.kind == TANK else 0.0)
        nothing, volts = np.zeros((len(times_s), CONDUCTORS)), np.full((len(times_s), CONDUCTORS), np.nan)
        volts[:, : len(self.supply.connection.phases)] = self.supply.connection.voltage_v
        grid, linked = (~within(gone, clock, times_s) for gone in (spec.outages, spec.link_losses))
        made_of = Drivers(nothing, nothing.copy(), weather.rows, uses, grid, linked, volts, weather.pv_w, np.zeros(len(times_s)))
        return made_of, weather.findings

    def of_rules(self, control: Control, span: Span, highest_w: float | None = None) -> tuple[Finding, ...]:
        """Return what in the rules contradicts itself or can never act in these days; ``highest_w`` is the highest reading."""
        clock, has_place = SiteClock(self.job.spec.site.zone), self.job.spec.site.longitude_deg is not None
        months = frozenset(int(month) for month in np.unique(clock.parts(times(span)[::60]).month))
        ratings = {made.id: float(made.params[P_MOST_W]) for made in self.made}
        blind = frozenset(made.id for made in self.made if not sensed(made).place)
        most_w = None if highest_w is None else highest_w + sum(ratings.values())
        spec, told = self.job.spec, self.interrupting(control)
        lacks = {} if spec.battery is not None else {"state of charge": "battery"}
        lacks |= {} if spec.pv else {"export power": "PV array"}
        return faults(told, has_place=has_place, months=months, rating_w=ratings, most_w=most_w, blind=blind, lacks=lacks)

    def left_alone(self, today: Control, tried: Control) -> tuple[Finding, ...]:
        """Return which loads today's rules switch and the tried ones do not."""
        switched = {one.load for one in today.rules} - {one.load for one in tried.rules}
        names = ", ".join(one.name for one in self.specs if one.id in switched)
        return (kinds.LEFT_ALONE.at("control", loads=names),) if names else ()

    def of_loads(self) -> tuple[Finding, ...]:
        """Return what is wrong with the models as entered, or needs care: scalds, Legionella, goods, rests of compressors."""
        found: list[Finding] = []
        for one in self.specs:
            use = one.asked
            water = HotWater(use.heat_up is not None, use.mixing_valve) if isinstance(use, WaterUse) else None
            found += load_faults(one.name, one.model, water)
        return tuple(found)

    def heated_through(self, values: Floats, uses: Floats) -> tuple[Finding, ...]:
        """Return which tanks were not heated through when they should have been; ``values`` (m, n), ``uses`` (m, n, USES)."""
        found = []
        for k, (one, made) in enumerate(zip(self.specs, self.made, strict=True)):
            raised_c = uses[k, :, U_RAISED_C] if made.kind == TANK else np.zeros(values.shape[1])
            if not raised_c.any():
                continue
            missed, count = heat_ups(values[k], raised_c)
            if missed:
                to_c, reached = float(raised_c.max()), max(missed)
                found.append(
                    kinds.HEAT_UP_MISSED.at(one.id, load=one.name, to=to_c, missed=len(missed), count=count, reached=reached)
                )
        return tuple(found)

    def of_phases(self, scenario: Scenario) -> tuple[Finding, ...]:
        """Return that loads of an unknown conductor are taken where they are worst."""
        if len(scenario.supply.connection.phases) == 1:
            return ()
        taken = zip(self.specs, scenario.phases, strict=True)
        unknown = [(one.name, phase) for one, phase in taken if one.phase is Phase.UNKNOWN]
        names = ", ".join(name for name, _ in unknown)
        return (kinds.UNKNOWN_PHASE.at(unknown[0][0], loads=names, phase=unknown[0][1].value),) if unknown else ()


def supply_of(spec: JobSpec, connected: SupplySpec) -> Supply:
    """Return all that feeds the site of a job over a connection."""
    rating = None if connected.main_protection_a is None else Held(connected.main_protection_a)
    connection = Connection(
        system=connected.system, voltage_v=Held(connected.voltage_v), rating_a=rating,
        closed_after_s=Held(connected.closed_after_s), closed=connected.closed,
    )  # fmt: skip
    return Supply(connection=connection, battery=spec.battery, inverter=spec.inverter, generator=spec.generator)


def simulated_site(job: Job, *controls: Control, may_be_bare: bool = False) -> SimulatedSite:
    """Return the loads with a model, and those that one of ``controls`` switches.

    Raises JobError where one of them has no model that says when it draws, and, unless the site ``may_be_bare``, where there is
    none at all.
    """
    named = {load for one in controls for load in _named(one)}
    found: list[LoadSpec] = []
    for index, one in enumerate(job.spec.loads):
        if one.model is None and one.id not in named:
            continue
        if not one.can_be_simulated and all(_only_kept(one, each) for each in controls):
            continue
        if not one.can_be_simulated:
            raise JobError.one(
                "job.no-model",
                job.place("loads", index),
                found=f'no model of "{one.id}", which something switches',
                wanted=f"how a load of the kind {one.kind} behaves",
                next_step="Add a [loads.model] table below it.",
            )
        found.append(one)
    if not found and not may_be_bare:
        raise JobError.one(
            "job.nothing-to-simulate",
            Place(str(job.path), field="loads"),
            found="no load with a model, and no rule",
            wanted="at least one load to simulate",
            next_step="Add a [loads.model] table below a load, or a [[control.rule]] for one.",
        )
    return SimulatedSite(job, tuple(found), tuple(one.compiled() for one in found))


def looks_at_site(control: Control) -> bool:
    """Return whether any rule looks at the power or current of the whole site."""
    seen = [one.quantity for one in control.rules if isinstance(one, Limit | SetPoint)]
    return control.shedding is not None or any(one in _SITE for one in seen)


def cut(drivers: Drivers, first: int, last: int) -> Drivers:
    """Return the drivers of steps first to last, that one left out."""
    names = ("rest_w", "rest_var", "weather", "grid", "linked", "volts", "pv_w", "beside_w")
    return Drivers(uses=drivers.uses[:, first:last], **{name: getattr(drivers, name)[first:last] for name in names})


def _in_the_open(made: CompiledLoad) -> bool:
    return made.kind in (ROOM, AIR, SOIL, GREENHOUSE) or bool(np.isnan(made.params).any())


def _actuator(one: LoadSpec, control: Control) -> Actuator:
    """Return how a load is switched: as the rules say, else as the survey does."""
    actuator = control.actuator(one.id)
    says_itself = actuator.interrupt is not None or actuator.purpose in LIFE
    return actuator if says_itself else actuator.model_copy(update={"interrupt": one.interrupt})


def _only_kept(one: LoadSpec, control: Control) -> bool:
    """Return whether a control says of a load no more than that, or in which order, it may never be interrupted."""
    working = {each.load for each in (*control.rules, *control.overrides)} | {
        load for lock in control.interlocks for load in lock.loads
    }
    return one.id not in working and _actuator(one, control).never


def _named(control: Control) -> set[str]:
    """Return the loads that a control names."""
    named = {one.load for one in (*control.rules, *control.actuators, *control.overrides)}
    named |= {load for lock in control.interlocks for load in lock.loads}
    return named | set(control.shedding.order if control.shedding is not None else ())
