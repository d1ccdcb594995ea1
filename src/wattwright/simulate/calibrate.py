"""Today's loads fitted to the record: what each really draws and when, what of it the record can tell, and the rest of the site.

Programmed loads are found first, by the times of their programmes, then the others by their power steps in what is left. What
the loads were seen to draw is taken from the site's power: what remains is the rest of the site and stays as it is in every
option. No residuals minute by minute are used, since a thermostat's phase is chance: the fit is to power steps, mean powers of
days, cycles without draws and times of switching, as each kind's module says. Then the engine runs today with the fitted values.
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.control.programmes import Span
from wattwright.control.rules import TimeProgramme
from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.findings import Finding, gravest_first
from wattwright.core.series import Series, clock_windows, of_values
from wattwright.loads.columns import W_AIR_C, W_COLD_WATER_C, WEATHER
from wattwright.loads.water_heater import WaterHeater
from wattwright.simulate.fit import duty, kinds, programme, store
from wattwright.simulate.fit.findings import fit_findings, rest_findings, store_findings
from wattwright.simulate.fit.identify import FittedParameter, fit
from wattwright.simulate.fit.runs import Runs, on_share, own_runs, site_runs
from wattwright.simulate.fit.statistics import Goodness, goodness
from wattwright.simulate.fit.today import Today, today_w

Floats = NDArray[np.float64]
_HOUR_S = 3600
_SEEN_SHARE = 0.25
"""Share of its runs that must be found for a programmed load to be seen: chance finds some. Common practice, no source."""
_FEW_UNPAIRED, _MIXED_SHARE, _SOME_RUNS = 5, 0.2, 10


@dataclass(frozen=True, slots=True)
class Programmed:
    """A load on a time programme as it is entered: id, about its rating, and today's programme."""

    id: str
    rating_w: float
    programme: TimeProgramme


@dataclass(frozen=True, slots=True)
class Store:
    """A storage water heater, fed all day, as it is entered, and the names of those of its values that were read on site."""

    id: str
    heater: WaterHeater
    known: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Cycling:
    """Any other load that comes and goes by itself, as it is entered: id and about its rating."""

    id: str
    rating_w: float


Entered = Programmed | Store | Cycling


@dataclass(frozen=True, slots=True, eq=False)
class CalibratedLoad:
    """A load as fitted: its parameters, the runs found, and its power as seen and as simulated, W, shape (n,) each.

    ``by_hour`` and ``by_day`` tell how closely the simulated power follows the seen one over whole hours and days of the clock.
    """

    id: str
    parameters: tuple[FittedParameter, ...]
    runs: Runs
    seen_w: Floats
    simulated_w: Floats
    by_hour: Goodness
    by_day: Goodness

    def parameter(self, name: str) -> FittedParameter:
        """Return the parameter called ``name``; raises KeyError where there is none."""
        found = {one.name: one for one in self.parameters}
        return found[name]


@dataclass(frozen=True, slots=True, eq=False)
class Calibration:
    """Today as fitted: loads that were seen, the rest of the site (W, shape (n,)), how closely the site is followed, findings."""

    loads: tuple[CalibratedLoad, ...]
    rest_w: Floats
    by_hour: Goodness
    by_day: Goodness
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Made:
    """A fitted load before it is simulated: ``today`` for the engine, or its power where there is nothing to simulate."""

    id: str
    parameters: tuple[FittedParameter, ...]
    runs: Runs
    today: Today | Floats
    findings: tuple[Finding, ...] = ()


def usual_weather() -> Floats:
    """Return weather for a store indoors where none is given, shape (WEATHER,): 15 degC outdoors, cold water of 10 degC."""
    weather = np.zeros(WEATHER)
    weather[[W_AIR_C, W_COLD_WATER_C]] = 15.0, 10.0
    return weather


def calibrate(
    series: Series,
    clock: SiteClock,
    entered: Sequence[Entered],
    *,
    own_meter: bool = False,
    weather: Floats | None = None,
    holidays: frozenset[dt.date] = frozenset(),
) -> Calibration:
    """Return today's loads fitted to a record of power (W).

    ``own_meter`` says that the record is of the one load entered alone. ``weather`` (WEATHER,) is the mean of the record's time.
    """
    span = Span(series.start_s, series.end_s, clock, holidays)
    mean_weather = usual_weather() if weather is None else weather
    made, findings, left = list[_Made](), list[Finding](), series
    for one in sorted(entered, key=lambda load: not isinstance(load, Programmed)):
        rating_w = one.heater.rating_w if isinstance(one, Store) else one.rating_w
        runs = own_runs(left, rating_w) if own_meter else site_runs(left, rating_w)
        mixed = runs.unpaired > max(_FEW_UNPAIRED, _MIXED_SHARE * runs.edges) and not isinstance(one, Programmed)
        fitted = None if mixed else _made(one, runs, left, clock, mean_weather)
        if mixed and len(runs) >= _SOME_RUNS:
            findings.append(kinds.MIXED_UP.at(one.id, load=one.id, rating=rating_w, edges=runs.edges, unpaired=runs.unpaired))
        elif fitted is None:
            findings.append(kinds.NOT_SEEN.at(one.id, load=one.id, rating=rating_w, step=float(series.step_s)))
        if fitted is None:
            continue
        made.append(fitted)
        findings.extend(fitted.findings)
        left = replace(left, values=left.values - _seen_w(fitted, left))
    loads = _simulated(made, series, span, mean_weather)
    total_w = left.values + np.sum([load.simulated_w for load in loads], axis=0)
    free = sum(not one.held for load in loads for one in load.parameters)
    by_hour, by_day = (_close(series.values, total_w, series, clock, free, window_s) for window_s in (_HOUR_S, DAY_S))
    if not own_meter:
        findings.extend(rest_findings(left, series.values - left.values))
    if loads:
        findings.extend(fit_findings(by_day, free))
    return Calibration(loads, left.values, by_hour, by_day, gravest_first(tuple(findings)))


def _made(one: Entered, runs: Runs, left: Series, clock: SiteClock, weather: Floats) -> _Made | None:
    """Return the load fitted as its kind is, None where it is not seen."""
    if isinstance(one, Programmed):
        return _programmed(one, runs, left, clock)
    if isinstance(one, Store):
        return _store(one, runs, left, clock, weather)
    seen = duty.seen_of(runs, left, clock)
    if seen is None:
        return None
    parameters = fit(duty.parameters_of(one.rating_w), seen.statistics(), np.asarray)
    return _Made(one.id, parameters, runs, duty.today_w(_values(parameters), seen, left, clock))


def _programmed(one: Programmed, runs: Runs, left: Series, clock: SiteClock) -> _Made | None:
    # Among many loads alike few of its runs are paired rightly: then its clock tells more of them.
    by_clock = programme.runs_by_clock(left, one.rating_w, one.programme, clock)
    found = [programme.seen_of(each, one.programme, clock) for each in (runs, by_clock)]
    seen = max((each for each in found if each is not None), key=lambda each: len(each.runs), default=None)
    if seen is None or len(seen.runs) < _SEEN_SHARE * programme.runs_expected(one.programme, left, clock):
        return None
    parameters = fit(programme.parameters_of(one.rating_w, one.programme, seen), seen.statistics(), np.asarray)
    today = programme.today(one.id, one.programme, seen, _values(parameters), len(left))
    return _Made(one.id, parameters, seen.runs, today)


def _store(one: Store, runs: Runs, left: Series, clock: SiteClock, weather: Floats) -> _Made | None:
    seen = store.seen_of(runs, left, clock)
    if seen is None:
        return None
    model = store.model_of(one.heater, seen, weather)
    parameters = fit(store.parameters_of(one.heater, one.known), seen.statistics(), model)
    today = store.today(one.id, one.heater, _values(parameters), seen, left, clock)
    return _Made(one.id, parameters, runs, today, store_findings(one.id, parameters, runs, seen, left))


def _values(parameters: Sequence[FittedParameter]) -> Floats:
    return np.array([one.value for one in parameters])


def _seen_w(made: _Made, series: Series) -> Floats:
    """Return what the runs of a load drew at its fitted rating, the first of its parameters."""
    return np.asarray(made.parameters[0].value * on_share(made.runs, series))


def _simulated(made: Sequence[_Made], series: Series, span: Span, weather: Floats) -> tuple[CalibratedLoad, ...]:
    """Return the loads with today's power: one run of the engine for all of which there is something to simulate."""
    todays = {one.id: one.today for one in made if isinstance(one.today, Today)}
    ran = dict(zip(todays, today_w(tuple(todays.values()), series, span, weather), strict=True)) if todays else {}
    loads = []
    for one in made:
        simulated_w = ran[one.id] if isinstance(one.today, Today) else one.today
        seen_w = np.where(series.present, _seen_w(one, series), np.nan)
        free = sum(not each.held for each in one.parameters)
        close = [_close(seen_w, simulated_w, series, span.clock, free, window_s) for window_s in (_HOUR_S, DAY_S)]
        loads.append(CalibratedLoad(one.id, one.parameters, one.runs, np.nan_to_num(seen_w), simulated_w, *close))
    return tuple(loads)


def _close(recorded: Floats, simulated: Floats, series: Series, clock: SiteClock, fitted: int, window_s: int) -> Goodness:
    both = ~(np.isnan(recorded) | np.isnan(simulated))
    means = [
        clock_windows(of_values(series.start_s, series.step_s, np.where(both, one, np.nan)), window_s, clock)
        for one in (recorded, simulated)
    ]
    real, made = (np.where(one.full, one.mean, np.nan) for one in means)
    return goodness(real, made, fitted)
