"""A job simulated: its loads under its rules, or under others, over days of its record."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.control.programmes import Span
from wattwright.control.response import Response, response
from wattwright.control.rules import Control, in_unit
from wattwright.core.clock import DAY_S
from wattwright.core.errors import JobError, Place, TariffError
from wattwright.core.findings import Finding, gravest_first
from wattwright.core.fingerprint import fingerprint
from wattwright.core.progress import SILENT, Progress
from wattwright.core.series import Series
from wattwright.demand.site import SitePower
from wattwright.job import kinds
from wattwright.job.costs import chosen
from wattwright.job.days import STEP_S, span_of, times, warm_from
from wattwright.job.file import Job
from wattwright.job.own_sources import exported, filled_series, generated_w
from wattwright.job.rest import rest_of_site, sampled, shares_of
from wattwright.job.simulated_site import SimulatedSite, cut, looks_at_site, simulated_site
from wattwright.job.stores import StoresValue, stores_kwh, valued
from wattwright.loads.columns import P_MOST_W, P_POWER_FACTOR, S_ENERGY_J, S_RUN_S, S_STARTS, S_UNMET
from wattwright.record.record import Record
from wattwright.simulate.drivers import Drivers
from wattwright.simulate.outcome import outcome
from wattwright.simulate.remainder import Remainder, remainder
from wattwright.simulate.results import Outcome
from wattwright.simulate.run import Run, simulate
from wattwright.simulate.scenario import Scenario
from wattwright.tariff.bill import Bill, bill
from wattwright.tariff.tariff import Tariff
from wattwright.tariff.usage import Usage

Floats = NDArray[np.float64]
_MOVED = 0.2
"""Share of modelled energy found at other times above which it is told."""
_SHORT_KWH = 0.05
_HIGHEST = 99.0
"""Percentile from which on readings count as the highest: common practice, no source."""
_DRAWN = 0.01
"""Share of the site's energy from which on a difference of the stores is told."""
_LONG_S = 120.0
"""Time above the limit of the shed order from which on it is told: shedding takes its own time."""
_ANEW = (S_ENERGY_J, S_RUN_S, S_STARTS, S_UNMET)


@dataclass(frozen=True, slots=True, eq=False)
class Simulated:
    """Days of a job, both included, as the engine gives them: the question put to it, its answer, and what it means.

    ``rest`` is what is not simulated; ``stores`` how much fuller its stores end, and what that is worth; ``response`` how long
    shedding takes, None where nothing is shed; ``names`` are those of loads by id; ``bill`` is that of the simulated import under
    the tariff paid today, ``bill_today`` that under today's rules where others were tried; None without a tariff that can say.
    """

    begins: dt.date
    ends: dt.date
    scenario: Scenario
    run: Run
    outcome: Outcome
    rest: Remainder
    stores: StoresValue
    response: Response | None
    names: dict[str, str]
    bill: Bill | None
    bill_today: Bill | None
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Switchings:
    """How often a year each simulated load is switched, by its id: on and off count as one."""

    a_year: tuple[tuple[str, float], ...]


class Question:
    """A job with its record, ready to be simulated over days and under rules."""

    def __init__(
        self, job: Job, record: Record, power: SitePower, metered: dict[str, SitePower], generated: dict[str, SitePower]
    ) -> None:
        """Take a job, the main meter's record and power, and by the ids of their meters the power of loads and of PV."""
        self.job, self._record, self._power, self._metered, self._generated = job, record, power, metered, generated

    def of(self, job: Job) -> "Question":
        """Return the same readings as those of another job: one that is fed otherwise, say."""
        return Question(job, self._record, self._power, self._metered, self._generated)

    @property
    def mark(self) -> str:
        """Return a fingerprint of the readings."""
        series = self._power.series
        return fingerprint(series.start_s, series.step_s, series.values)

    def site(self, *, may_be_bare: bool = False) -> SimulatedSite:
        """Return the loads that are simulated under today's rules. Raises JobError as ``simulate`` does."""
        return simulated_site(self.job, self.job.spec.control, may_be_bare=may_be_bare)

    def days(self) -> tuple[dt.date, dt.date]:
        """Return the first and the last local day of the record."""
        series = self._power.series
        return self.job.clock.day_of(series.start_s), self.job.clock.day_of(series.end_s - 1)

    def is_read(self, times_s: NDArray[np.int64]) -> NDArray[np.bool_]:
        """Return at which of ``times_s`` (n,) all that a simulation takes from readings is there, (n,)."""
        there = np.ones(len(times_s), np.bool_)
        for series, _, _ in self._read_from():
            there &= ~np.isnan(sampled(series, times_s))
        return there

    def whole_days(self) -> tuple[dt.date, dt.date]:
        """Return the first and the last day of the longest stretch of days without a gap; all days where none is whole."""
        first, last = self.days()
        span = span_of(self.job.spec.site, self._power.series, first, last)
        times_s = times(span)
        day = self.job.clock.local_s(times_s) // DAY_S
        starts = np.flatnonzero(np.diff(day, prepend=day[0] - 1))
        whole = np.logical_and.reduceat(self.is_read(times_s), starts)
        edges = np.flatnonzero(np.diff(np.concatenate(([0], whole.astype(np.int8), [0])))).reshape(-1, 2)
        if not len(edges):
            return first, last
        begins, ends = max(edges, key=lambda one: int(one[1] - one[0]))
        return first + dt.timedelta(days=int(begins)), first + dt.timedelta(days=int(ends) - 1)

    def on_one_conductor(self) -> float | None:
        """Return the highest share that one conductor had of the site's highest readings; None where they are not told apart."""
        series, phases = self._power.series, self.site(may_be_bare=True).supply.connection.phases
        high = series.values >= np.nanpercentile(series.values, _HIGHEST)
        shares = shares_of(self._record, phases, series.times_s[high])
        return None if shares is None else float(shares.max())

    def recorded(self, span: Span) -> Series:
        """Return the readings of the main meter within a span, gaps filled as the job says."""
        return self._power.series.part(span.start_s, span.end_s)

    def busiest(self) -> dt.date:
        """Return the local day of the record's highest reading."""
        series = self._power.series
        return self.job.clock.day_of(int(series.start_s + series.step_s * int(np.nanargmax(series.values))))

    def simulate(
        self, begins: dt.date, ends: dt.date, control: Control | None = None, progress: Progress = SILENT, *,
        may_be_bare: bool = False,
    ) -> Simulated:  # fmt: skip
        """Simulate local days, both included, under ``control``, the job's own rules if None.

        The rest of the site is the record less today's rules simulated; all of it where the site ``may_be_bare`` and has no load
        with a model. Raises JobError where a load that is to be switched has
        no model or the record has a gap in the days, InputError where it does not hold them.
        """
        today = self.job.spec.control
        rules = today if control is None else control
        site = simulated_site(self.job, today, rules, may_be_bare=may_be_bare)
        span = span_of(self.job.spec.site, self._power.series, begins, ends)
        warm = replace(span, start_s=warm_from(span, self._power.series))
        whole = warm if self.is_read(times(replace(warm, end_s=span.start_s))).all() else span
        drivers, told = site.drivers(whole)
        rest, drivers, more = self._rest(site, today, whole, drivers, progress)
        scenario, run = _after_warm_up(site, rules, whole, span, drivers, progress)
        made = outcome(scenario, run)
        found = [*told, *more, *site.of_loads(), *site.of_phases(scenario), *made.findings]
        highest_w = float(np.nanmax(self._power.series.values))
        found += [*site.left_alone(today, rules), *site.of_rules(rules, span, highest_w), *of_run(rules, run, made)]
        found += [*of_days(begins, ends, span), *site.heated_through(run.values, scenario.drivers.uses)]
        cost, unpriced = self._bill(made)
        before = None
        if control is not None and cost is not None:
            before, _ = self._bill(outcome(*_after_warm_up(site, today, whole, span, drivers, progress)))
        names = {one.id: one.name for one in self.job.spec.loads}
        kept = site.simulated(rules)
        quick = None if kept.shedding is None else response(kept, kept.shedding.order)
        rest = replace(rest, rest_w=rest.rest_w[len(rest.rest_w) - len(run.site_w) :])
        stores = valued(scenario, made, None if cost is None else self.paid(), self.job.clock)
        return Simulated(
            begins, ends, scenario, run, made, rest, stores, quick, names, cost, before, gravest_first((*found, *unpriced))
        )

    def under(
        self, begins: dt.date, ends: dt.date, controls: Sequence[Control], progress: Progress = SILENT, *,
        may_be_bare: bool = False,
    ) -> tuple[Scenario, ...]:  # fmt: skip
        """Return local days, both included, as a scenario under each of ``controls``, grid and link there all the time.

        The rest of the site is the record less today's rules simulated, as for ``simulate``; all of it where the site
        ``may_be_bare`` and has no load with a model. PV that is measured has an inverter of its own and gives beside the grid
        only, so that a grid taken away afterwards takes it along. Raises what that raises.
        """
        today = self.job.spec.control
        site = simulated_site(self.job, today, *controls, may_be_bare=may_be_bare)
        span = span_of(self.job.spec.site, self._power.series, begins, ends)
        outside, _ = site.drivers(span)
        _, drivers, _ = self._rest(site, today, span, outside, progress)
        there = np.ones(len(drivers), np.bool_)
        drivers = replace(drivers, grid=there, linked=there, pv_w=outside.pv_w, beside_w=self.measured_pv_w(span))
        return tuple(site.scenario(one, span, drivers) for one in controls)

    def _rest(
        self, site: SimulatedSite, today: Control, span: Span, drivers: Drivers, progress: Progress
    ) -> tuple[Remainder, Drivers, list[Finding]]:
        """Return the rest of the site as today's rules leave it, and the drivers with it."""
        times_s = times(span)
        read_w, pv_w = self._used(times_s)
        record_w = np.maximum(read_w, 0.0)
        day = self.job.clock.local_s(times_s) // DAY_S
        phases, spec = site.supply.connection.phases, site.supply_spec
        most_w = np.array([made.params[P_MOST_W] for made in site.made])
        factors = np.array([made.params[P_POWER_FACTOR] or 1.0 for made in site.made])
        # What is only supposed is no part of the record: an outage, a lost link, PV that is not there yet.
        there = np.ones(len(drivers), np.bool_)
        as_was = replace(drivers, grid=there, linked=there, pv_w=pv_w)
        found: list[Finding] = []
        # Rules that look at the site see its rest too, which is known only after they have run.
        for _ in range(2 if looks_at_site(today) else 1):
            modelled = simulate(site.scenario(today, span, as_was), progress).loads_w
            known, kept = self._known(site, times_s)
            rest = remainder(np.maximum(record_w - known, 0.0), modelled[kept], most_w[kept], day, STEP_S)
            reactive = np.sqrt(1.0 / factors**2 - 1.0) @ modelled
            made = rest_of_site(self._record, spec, phases, times_s, rest.rest_w, reactive)
            as_was = replace(as_was, rest_w=made.watts, rest_var=made.vars_, volts=made.volts)
            found = list(made.findings)
        given = [(name, meter) for name, meter in self._generated.items() if meter.filled]
        found += [replace(one, where=f"{name}, {one.where}") for name, meter in given for one in meter.findings]
        found += self._of_rest(rest, record_w - read_w)
        held = replace(drivers, rest_w=as_was.rest_w, rest_var=as_was.rest_var, volts=as_was.volts, pv_w=drivers.pv_w + pv_w)
        return rest, held, found

    def _read_from(self) -> list[tuple[Series, str, str]]:
        """Return the series that a simulation reads, what each tells, and what to do about a gap in it: net power, PV, export."""
        cure = 'Write gaps = "estimate" under [repair], or choose other days.'
        found = [(self._power.series, "the readings", cure)]
        if self._generated:
            found += [(generated_w(one.series), "what PV gave", cure) for one in self._generated.values()]
            back = exported(self._record, self._power)
            found += [] if back is None else [(filled_series(self.job, back), "what was given back", cure)]
        return found

    def _used(self, times_s: NDArray[np.int64]) -> tuple[Floats, Floats]:
        """Return what the site used, W, (n,), and what its measured PV gave: use is import and generation less export."""
        net_w, *others = (self._read(series, times_s, what, cure) for series, what, cure in self._read_from())
        given = len(self._generated)
        pv_w = np.asarray(np.sum(others[:given], axis=0)) if given else np.zeros(len(times_s))
        return net_w + pv_w - sum(others[given:], np.zeros(len(times_s))), pv_w

    def measured_pv_w(self, span: Span) -> Floats:
        """Return what PV that is measured gave in each step of ``span``, W, (n,). Raises JobError where its record has a gap."""
        return self._used(times(span))[1]

    def _read(self, series: Series, times_s: NDArray[np.int64], what: str, next_step: str) -> Floats:
        read = sampled(series, times_s)
        if np.isnan(read).any():
            raise JobError.one(
                "job.gap-in-days",
                Place(str(self.job.path), field="repair.gaps"),
                found=f"a gap in {what} of these days",
                wanted="every reading of the days that are simulated",
                next_step=next_step,
            )
        return read

    def _known(self, site: SimulatedSite, times_s: NDArray[np.int64]) -> tuple[Floats, NDArray[np.bool_]]:
        """Return what sub-meters read of simulated loads, (n,), and which loads no sub-meter tells of, (m,)."""
        known, kept = np.zeros(len(times_s)), np.ones(len(site.specs), np.bool_)
        for meter, power in self._metered.items():
            behind = sum(one.meter == meter for one in self.job.spec.loads)
            mine = np.array([one.meter == meter for one in site.specs])
            read = sampled(power.series, times_s)
            # A meter that measures other loads too, or was not there all the time, cannot stand for these.
            if mine.sum() == behind and not np.isnan(read).any():
                known, kept = known + np.maximum(read, 0.0), kept & ~mine
        return known, kept

    def _of_rest(self, rest: Remainder, given_back_w: Floats) -> list[Finding]:
        where, step_s = self._record.source.name, self._power.series.step_s
        back_kwh = float(given_back_w.sum()) * STEP_S / 3.6e6
        back = [kinds.EXPORT_CUT.at(where, energy=back_kwh, highest=float(given_back_w.max()))] if back_kwh > _SHORT_KWH else []
        found = [kinds.REST_MOVED.at(where, share=rest.moved)] if rest.moved > _MOVED else []
        found += [kinds.REST_SHORT.at(where, energy=rest.short_kwh)] if rest.short_kwh > _SHORT_KWH else []
        return back + found + ([kinds.COARSE.at(where, step=step_s)] if step_s > STEP_S else [])

    def paid(self) -> Tariff | None:
        """Return the tariff paid today; None where the job has none. Raises FileError, TariffError."""
        choice = self.job.spec.tariff
        if not choice.files:
            return None
        return chosen([self.job.inside(name) for name in choice.files], choice.paid, (), self.job.place)[0]

    def _bill(self, made: Outcome) -> tuple[Bill | None, tuple[Finding, ...]]:
        """Return the bill of what was imported, None where there is no tariff or it needs what is not simulated."""
        paid = self.paid()
        if paid is None:
            return None, ()
        try:
            cost = bill(paid, Usage(imported=made.import_w), self.job.clock)
        except TariffError as error:
            return None, (kinds.NO_BILL.at(paid.id, tariff=paid.id, lacks=error.faults[0].sentence().removesuffix(".")),)
        return cost, cost.findings


def of_days(begins: dt.date, ends: dt.date, span: Span) -> tuple[Finding, ...]:
    """Return that the record does not hold the days whole."""
    days = (span.clock.day_of(span.start_s), span.clock.day_of(span.end_s - 1))
    midnights = span.clock.midnights_s(days[0], (days[1] - days[0]).days + 1)
    if days == (begins, ends) and span.start_s == midnights[0] and span.end_s == midnights[-1]:
        return ()
    return (kinds.PART_OF_DAY.at("record", first=span.start_s, last=span.end_s),)


def of_run(control: Control, run: Run, made: Outcome) -> tuple[Finding, ...]:
    """Return that the site stays above the limit of the shed order, and that stores end lower than they began."""
    found, shed = list[Finding](), control.shedding
    if shed is not None and shed.quantity == "site power":
        limit_w = in_unit(shed.pick_up, shed.quantity)
        above_s = float((run.site_w > limit_w).sum()) * STEP_S
        if above_s >= _LONG_S:
            found.append(kinds.OVER_LIMIT.at("shedding", limit=limit_w, time=above_s, highest=float(run.site_w.max())))
    drawn_kwh = -stores_kwh(made)
    if drawn_kwh > _SHORT_KWH and drawn_kwh > _DRAWN * made.balance.site:
        found.append(kinds.STORES_DRAWN.at("stores", energy=drawn_kwh))
    return tuple(found)


def _after_warm_up(
    site: SimulatedSite, control: Control, whole: Span, span: Span, drivers: Drivers, progress: Progress
) -> tuple[Scenario, Run]:
    """Return the run of ``span``, the end of ``whole``, its stores as they stand after what comes before."""
    skipped = (span.start_s - whole.start_s) // STEP_S
    if skipped:
        before = site.scenario(control, replace(whole, end_s=span.start_s), cut(drivers, 0, skipped))
        warmed = simulate(before, progress)
        site = site.warmed(warmed.loads, float(warmed.charge_share[-1]), _ANEW)
        drivers = cut(drivers, skipped, len(drivers))
    scenario = site.scenario(control, span, drivers)
    return scenario, simulate(scenario, progress)
