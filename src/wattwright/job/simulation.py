"""A job simulated: its loads under its rules, or under others, over days of its record."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.control.compiled import compile_control
from wattwright.control.faults import faults
from wattwright.control.programmes import Span
from wattwright.control.rules import LIFE, Control, Limit, SetPoint
from wattwright.core.calendar import public_holidays
from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.errors import InputError, JobError, Place
from wattwright.core.fields import Held
from wattwright.core.findings import Finding, gravest_first
from wattwright.core.progress import SILENT, Progress
from wattwright.core.quantity import Phase
from wattwright.demand.site import SitePower
from wattwright.job import kinds
from wattwright.job.climate import climate
from wattwright.job.file import Job
from wattwright.job.loads import LoadSpec
from wattwright.job.rest import rest_of_site, sampled
from wattwright.job.spec import Absence, SupplySpec
from wattwright.job.uses import steps
from wattwright.loads.columns import (
    AIR,
    GREENHOUSE,
    P_MOST_W,
    P_POWER_FACTOR,
    ROOM,
    S_ENERGY_J,
    S_RUN_S,
    S_STARTS,
    S_UNMET,
    SOIL,
    TANK,
    USES,
    W_COLD_WATER_C,
)
from wattwright.loads.compiled import CompiledLoad
from wattwright.loads.tank_kernels import P_USE_C
from wattwright.record.record import Record
from wattwright.simulate.drivers import CONDUCTORS, Drivers
from wattwright.simulate.remainder import Remainder, remainder
from wattwright.simulate.run import Run, simulate
from wattwright.simulate.scenario import Scenario, SiteLoad
from wattwright.simulate.supply import Connection, Supply

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
STEP_S = 60
_WARM_UP_DAYS = 1
"""Days simulated before those that are shown, so that stores stand as they do on a usual day."""
_MOVED = 0.2
"""Share of modelled energy found at other times above which it is told."""
_ANEW = (S_ENERGY_J, S_RUN_S, S_STARTS, S_UNMET)


@dataclass(frozen=True, slots=True, eq=False)
class Simulated:
    """Days of a job as the engine gives them: the question put to it, its answer, the rest of the site, and what there is to say.

    ``rest_w`` (n,) is what is not simulated, with its share and shortfall in ``rest``; ``begins`` and ``ends`` are the days, both
    included.
    """

    begins: dt.date
    ends: dt.date
    scenario: Scenario
    run: Run
    rest: Remainder
    names: dict[str, str]
    findings: tuple[Finding, ...]


class Question:
    """A job with its record, ready to be simulated over days and under rules."""

    def __init__(self, job: Job, record: Record, power: SitePower, metered: dict[str, SitePower]) -> None:
        """Take a job, the main meter's record and power, and the power of sub-meters by their ids."""
        self.job, self.record, self.power, self.metered = job, record, power, metered
        self.clock = job.clock

    def busiest(self) -> dt.date:
        """Return the local day of the record's highest reading."""
        series = self.power.series
        return self.clock.day_of(int(series.start_s + series.step_s * int(np.nanargmax(series.values))))

    def simulate(self, begins: dt.date, ends: dt.date, control: Control | None = None, progress: Progress = SILENT) -> Simulated:
        """Simulate local days, both included, under ``control``, the job's own rules if None.

        The rest of the site is the record less today's rules simulated. Raises JobError where a load that is to be switched has
        no model, or the record does not hold the days.
        """
        today = self.job.spec.control
        chosen = today if control is None else control
        loads = self._loads(today, chosen)
        span = self._span(begins, ends)
        warm = self._before(span)
        first = replace(span, start_s=warm)
        drivers, told = self._drivers(loads, first)
        rest, drivers, more = self._rest(loads, today, first, drivers, progress)
        run = self._scenario(loads, chosen, first, drivers)
        skipped = (span.start_s - warm) // STEP_S
        if skipped:
            before = self._scenario(loads, chosen, replace(first, end_s=span.start_s), _cut(drivers, 0, skipped))
            loads = [
                (spec, _warmed(one, state)) for (spec, one), state in zip(loads, simulate(before, progress).loads, strict=True)
            ]
            drivers = _cut(drivers, skipped, len(drivers))
            rest = replace(rest, rest_w=rest.rest_w[skipped:])
            run = self._scenario(loads, chosen, span, drivers)
        found = (*told, *more, *self._of_rules(chosen, loads, span), *self._of_phases(loads, run))
        names = {one.id: one.name for one in self.job.spec.loads}
        return Simulated(begins, ends, run, simulate(run, progress), rest, names, gravest_first(found))

    def _loads(self, today: Control, chosen: Control) -> list[tuple[LoadSpec, CompiledLoad]]:
        """Return the loads that are simulated: those with a model, and those that something switches."""
        named = {load for one in (today, chosen) for load in _named(one)}
        found = []
        for index, one in enumerate(self.job.spec.loads):
            if one.model is None and one.id not in named:
                continue
            if not one.can_be_simulated:
                raise JobError.one(
                    "job.no-model",
                    self.job.place("loads", index),
                    found=f'no model of "{one.id}", which something switches',
                    wanted=f"how a load of the kind {one.kind} behaves",
                    next_step="Add a [loads.model] table below it.",
                )
            found.append((one, one.compiled()))
        if not found:
            raise JobError.one(
                "job.nothing-to-simulate",
                Place(str(self.job.path), field="loads"),
                found="no load with a model, and no rule",
                wanted="at least one load to simulate",
                next_step="Add a [loads.model] table below a load, or a [[control.rule]] for one.",
            )
        return found

    def _span(self, begins: dt.date, ends: dt.date) -> Span:
        if ends < begins:
            raise InputError.one(
                "job.days", Place(field="--to"), found=f"{ends} before {begins}", wanted="a last day not before the first"
            )
        midnights = self.clock.midnights_s(begins, (ends - begins).days + 1)
        start_s, end_s = int(midnights[0]), int(midnights[-1])
        series = self.power.series
        start_s, end_s = max(start_s, series.start_s), min(end_s, series.end_s)
        if end_s - start_s < STEP_S:
            held = f"{self.clock.day_of(series.start_s)} to {self.clock.day_of(series.end_s - 1)}"
            raise InputError.one(
                "job.days",
                Place(field="--from"),
                found=f"{begins} to {ends}",
                wanted=f"days of the record: {held}",
                next_step="Choose days within it.",
            )
        site = self.job.spec.site
        holidays = public_holidays(site.country, site.subdivision or None, begins.year - 1, ends.year)
        span = Span(start_s, end_s - (end_s - start_s) % STEP_S, self.clock, holidays)
        return span if site.longitude_deg is None else span.with_sun(site.latitude_deg, site.longitude_deg)

    def _before(self, span: Span) -> int:
        """Return from when it is simulated so that stores are in their usual state: a day before, where the record has it."""
        warm = span.start_s - _WARM_UP_DAYS * DAY_S
        values = sampled(self.power.series, np.arange(warm, span.start_s, STEP_S, dtype=np.int64))
        return span.start_s if np.isnan(values).any() else warm

    def _drivers(self, loads: Sequence[tuple[LoadSpec, CompiledLoad]], span: Span) -> tuple[Drivers, list[Finding]]:
        """Return what comes from outside, the rest of the site still at nought."""
        spec = self.job.spec
        times_s = np.arange(span.start_s, span.end_s, STEP_S, dtype=np.int64)
        depending = [one.name for one, made in loads if made.kind in (ROOM, AIR, SOIL, GREENHOUSE) or np.isnan(made.params).any()]
        weather = climate(spec.weather, self.job.folder, spec.site, times_s, depending)
        shown = steps(self.clock, span.start_s, len(times_s), STEP_S)
        cold_c = float(np.mean(weather.rows[:, W_COLD_WATER_C]))
        uses = np.zeros((len(loads), len(times_s), USES))
        for k, (one, made) in enumerate(loads):
            uses[k] = one.asked.series(shown, cold_c, float(made.params[P_USE_C]) if made.kind == TANK else 0.0)
        n = len(times_s)
        nothing = np.zeros((n, CONDUCTORS))
        volts = np.full((n, CONDUCTORS), np.nan)
        volts[:, : len(self._supply().connection.phases)] = self._supply().connection.voltage_v
        grid, linked = (~_within(gone, self.clock, times_s) for gone in (spec.outages, spec.link_losses))
        return Drivers(nothing, nothing.copy(), weather.rows, uses, grid, linked, volts, np.zeros(n)), list(weather.findings)

    def _rest(
        self,
        loads: Sequence[tuple[LoadSpec, CompiledLoad]],
        today: Control,
        span: Span,
        drivers: Drivers,
        progress: Progress,
    ) -> tuple[Remainder, Drivers, list[Finding]]:
        """Return the rest of the site as today's rules leave it, and the drivers with it."""
        times_s = np.arange(span.start_s, span.end_s, STEP_S, dtype=np.int64)
        record_w = sampled(self.power.series, times_s)
        if np.isnan(record_w).any():
            raise JobError.one(
                "job.gap-in-days",
                Place(str(self.job.path), field="repair.gaps"),
                found="a gap in the readings of these days",
                wanted="every reading of the days that are simulated, and of the day before",
                next_step='Write gaps = "estimate" under [repair], or choose other days.',
            )
        record_w = np.maximum(record_w, 0.0)
        day = self.clock.local_s(times_s) // DAY_S
        # An outage that is only supposed is no part of the record, nor is a lost link.
        as_was = replace(drivers, grid=np.ones(len(drivers), np.bool_), linked=np.ones(len(drivers), np.bool_))
        rest, found = Remainder(np.zeros(len(times_s)), 0.0, 0.0), list[Finding]()
        # Rules that look at the site see its rest too, which is known only after they have run.
        for _ in range(2 if _looks_at_site(today) else 1):
            modelled = simulate(self._scenario(loads, today, span, as_was), progress).loads_w
            known, kept = self._metered(loads, times_s, modelled)
            most_w = np.array([made.params[P_MOST_W] for _, made in loads])
            rest = remainder(np.maximum(record_w - known, 0.0), modelled[kept], most_w[kept], day, STEP_S)
            factors = np.array([made.params[P_POWER_FACTOR] or 1.0 for _, made in loads])
            reactive = np.sqrt(1.0 / factors**2 - 1.0) @ modelled
            phases = self._supply().connection.phases
            supply = self._connected()
            made_of = rest_of_site(self.record, supply, phases, times_s, rest.rest_w, reactive)
            as_was = replace(as_was, rest_w=made_of.watts, rest_var=made_of.vars_, volts=made_of.volts)
            found = list(made_of.findings)
        where = self.record.source.name
        found += [kinds.REST_MOVED.at(where, share=rest.moved)] if rest.moved > _MOVED else []
        found += [kinds.REST_SHORT.at(where, energy=1000.0 * rest.short_kwh)] if rest.short_kwh > 0.05 else []
        step_s = self.power.series.step_s
        found += [kinds.COARSE.at(where, step=step_s)] if step_s > STEP_S else []
        return rest, replace(drivers, rest_w=as_was.rest_w, rest_var=as_was.rest_var, volts=as_was.volts), found

    def _metered(
        self, loads: Sequence[tuple[LoadSpec, CompiledLoad]], times_s: Ints, modelled: Floats
    ) -> tuple[Floats, NDArray[np.bool_]]:
        """Return what sub-meters read of simulated loads, (n,), and which loads no sub-meter tells of, (m,)."""
        known, kept = np.zeros(len(times_s)), np.ones(len(modelled), np.bool_)
        for meter, power in self.metered.items():
            behind = {one.id for one in self.job.spec.loads if one.meter == meter}
            mine = np.array([one.id in behind for one, _ in loads])
            read = sampled(power.series, times_s)
            # A meter that measures other loads too, or was not there all the time, cannot stand for these.
            if mine.sum() == len(behind) > 0 and not np.isnan(read).any():
                known, kept = known + np.maximum(read, 0.0), kept & ~mine
        return known, kept

    def _scenario(
        self, loads: Sequence[tuple[LoadSpec, CompiledLoad]], control: Control, span: Span, drivers: Drivers
    ) -> Scenario:
        ids = [one.id for one, _ in loads]
        compiled = compile_control(self._interrupting(control, loads), ids, span)
        sited = tuple(SiteLoad(made, one.phase) for one, made in loads)
        return Scenario(span, STEP_S, sited, compiled, self._supply(), drivers)

    def _interrupting(self, control: Control, loads: Sequence[tuple[LoadSpec, CompiledLoad]]) -> Control:
        """Return the rules with what the survey says of how each load may be interrupted."""
        made = []
        for one, _ in loads:
            actuator = control.actuator(one.id)
            says_itself = actuator.interrupt is not None or actuator.purpose in LIFE
            made.append(actuator if says_itself else actuator.model_copy(update={"interrupt": one.interrupt}))
        return control.model_copy(update={"actuators": tuple(made)})

    def _connected(self) -> SupplySpec:
        spec = self.job.spec.supply
        if spec is None:
            raise JobError.one(
                "job.no-supply",
                Place(str(self.job.path), field="supply"),
                found="none",
                wanted="the connection to the grid",
                next_step="Add a [supply] table with system, voltage and main_protection.",
            )
        return spec

    def _supply(self) -> Supply:
        spec, one = self.job.spec, self._connected()
        connection = Connection.model_validate(
            {"system": one.system, "voltage_v": Held(one.voltage_v), "rating_a": _held(one.main_protection_a)}
        )
        return Supply(connection=connection, battery=spec.battery, inverter=spec.inverter, generator=spec.generator)

    def _of_rules(self, control: Control, loads: Sequence[tuple[LoadSpec, CompiledLoad]], span: Span) -> tuple[Finding, ...]:
        ratings = {one.id: float(made.params[P_MOST_W]) for one, made in loads}
        months = frozenset(int(m) for m in np.unique(self.clock.parts(np.arange(span.start_s, span.end_s, 3600)).month))
        has_place = self.job.spec.site.longitude_deg is not None
        return faults(self._interrupting(control, loads), has_place=has_place, months=months, rating_w=ratings)

    def _of_phases(self, loads: Sequence[tuple[LoadSpec, CompiledLoad]], scenario: Scenario) -> list[Finding]:
        taken = zip(loads, scenario.phases, strict=True)
        unknown = [(one.name, phase) for (one, _), phase in taken if one.phase is Phase.UNKNOWN]
        if not unknown or len(scenario.supply.connection.phases) == 1:
            return []
        names = ", ".join(name for name, _ in unknown)
        return [kinds.UNKNOWN_PHASE.at("supply", loads=names, phase=unknown[0][1].value)]


def _held(value: float | None) -> Held | None:
    return None if value is None else Held(value)


def _named(control: Control) -> set[str]:
    """Return the loads that a control names."""
    named = {one.load for one in (*control.rules, *control.actuators, *control.overrides)}
    named |= {load for lock in control.interlocks for load in lock.loads}
    return named | set(control.shedding.order if control.shedding is not None else ())


def _looks_at_site(control: Control) -> bool:
    seen = [one.quantity for one in control.rules if isinstance(one, Limit | SetPoint)]
    return control.shedding is not None or any(one in ("site power", "export power", "current") for one in seen)


def _within(gone: Sequence[Absence], clock: SiteClock, times_s: Ints) -> NDArray[np.bool_]:
    """Return in which steps something is gone."""
    found = np.zeros(len(times_s), np.bool_)
    for one in gone:
        begins, ends = clock.shown(np.array([one.begins, one.ends], "datetime64[s]").astype(np.int64)).first_s
        found |= (times_s >= begins) & (times_s < ends)
    return found


def _cut(drivers: Drivers, first: int, last: int) -> Drivers:
    held = {
        name: getattr(drivers, name)[first:last] for name in ("rest_w", "rest_var", "weather", "grid", "linked", "volts", "pv_w")
    }
    return Drivers(uses=drivers.uses[:, first:last], **held)


def _warmed(load: CompiledLoad, state: Floats) -> CompiledLoad:
    """Return a load that stands as it did after the warm-up, its sums begun anew."""
    begins = state.copy()
    begins[list(_ANEW)] = 0.0
    return replace(load, state=begins)
