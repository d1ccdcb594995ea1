"""A job as a question of sizes: its site under today's rules and under its plan, and all that sizing is given beside."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.control.programmes import Span
from wattwright.control.rules import Control
from wattwright.core.errors import JobError, Place, TariffError
from wattwright.core.findings import Finding
from wattwright.core.labour import IN_TURN, Labour
from wattwright.core.progress import SILENT, Progress
from wattwright.core.series import Series
from wattwright.demand.within.bands import PeakBands
from wattwright.generation.array import Array
from wattwright.generation.yields import Yield
from wattwright.job import kinds
from wattwright.job.array_wiring import of_strings
from wattwright.job.climate import climate, yields
from wattwright.job.days import times, within
from wattwright.job.file import Job
from wattwright.job.quotable import require_quotable
from wattwright.job.simulation import Question
from wattwright.loads.columns import P_MOST_W
from wattwright.simulate.scenario import Scenario
from wattwright.supply.sizing.answer import Quote as Quote
from wattwright.supply.sizing.asking import USUAL_INVERTER, USUAL_STORE, Asking
from wattwright.supply.sizing.confirm import Price, unpriced
from wattwright.supply.sizing.costing import USUAL, Costing
from wattwright.supply.sizing.losses import lost_on, season_of_sun
from wattwright.supply.sizing.quote import of_recorded, quote
from wattwright.supply.sizing.roofs import Layout, Roof, layouts_of, no_pv
from wattwright.supply.sizing.sizes import NOTHING, Size
from wattwright.supply.sizing.spec import Prices, Purpose
from wattwright.supply.sizing.way import Way, reference, run_of
from wattwright.tariff.bill import bill
from wattwright.tariff.tariff import Tariff
from wattwright.tariff.usage import Usage

Floats = NDArray[np.float64]
Days = tuple[dt.date, dt.date]
"""Local days, both included."""
USUAL_OUTAGE_S = 4 * 3600.0
"""The outage that is carried where nothing is asked: common practice, no source."""
_MINUTE_S = 60


@dataclass(frozen=True, slots=True, eq=False)
class QuoteCase:
    """A job's question of sizes: what is asked, the site under both sets of rules, and what there is to say of its record.

    ``yields`` are by roof: the most PV that may lie there, W, the days of weather, and what it yields over them;
    ``recorded_bill`` is the bill of the readings themselves, None without a tariff that can tell it.
    """

    asking: Asking
    today: Way
    plan: Way | None
    names: dict[str, str]
    findings: tuple[Finding, ...]
    yields: dict[str, tuple[float, float, Yield]] = field(default_factory=dict)
    recorded_bill: float | None = None

    def answer(self, progress: Progress = SILENT, labour: Labour = IN_TURN) -> Quote:
        """Return the quote. Raises Cancelled by ``progress``."""
        return self.completed(quote(self.asking, self.today, self.plan, progress, labour))

    def completed(self, made: Quote) -> Quote:
        """Return a quote with what only the job knows: what its PV loses, and the bill by the readings."""
        lost = lost_on(made.laid, self.yields)
        found = (*made.findings, *season_of_sun(made, lost), *of_recorded(self.asking.kept, self.recorded_bill, made.as_is.bill))
        return replace(made, losses=lost, recorded_bill=self.recorded_bill, findings=found)


def quote_case(
    question: Question, control: Control | None, peaks: PeakBands, outage_s: float | None = None, progress: Progress = SILENT,
    days: Days | None = None,
) -> QuoteCase:  # fmt: skip
    """Return a job's question of sizes over its record; ``control`` is what its plan sets, None where there is none.

    ``days`` are the first and the last day, else the longest stretch of the record without a gap. ``outage_s`` asks for an
    inverter that carries the site for so long, whatever the job says. Raises JobError for a site without a grid that is to have
    outages of it, WeatherError where PV has no sun, and what simulating raises.
    """
    job = question.job
    purpose, longest_s = _purpose(job, outage_s)
    begins, ends = days or question.whole_days()
    require_quotable(job, (ends - begins).days + 1, purpose, longest_s)
    made = question.simulate(begins, ends, None, progress, may_be_bare=True)
    site, free = question.site(may_be_bare=True), reference(made.scenario)
    beside_w = question.measured_pv_w(made.scenario.span) + _simulated_pv_w(job, made.scenario)
    free = replace(free, drivers=replace(free.drivers, beside_w=beside_w))
    today = Way(free, site.simulated(job.spec.control))
    layouts, told, yielded = _roofs(job, made.scenario)
    spec, tariff = job.spec.quote, question.paid()
    prices = USUAL if spec.prices is None else spec.prices
    currency = _currency(job, tariff)
    asking = Asking(
        spec=spec, purpose=purpose, outage_s=longest_s, gone=~made.scenario.drivers.grid,
        connection=made.scenario.supply.connection,
        battery=job.spec.battery or USUAL_STORE, inverter=job.spec.inverter or USUAL_INVERTER, generator=job.spec.generator,
        layouts=layouts, hidden_va=_hidden_va(question, peaks, today), hidden_on_one=question.on_one_conductor(),
        names=made.names,
        accepted=job.spec.accepted_control is not None, tariff=tariff, costing=_costing(job, prices, currency),
        clock=job.clock, seed=job.spec.seed, price=_price(job, tariff), own=_own(job),
        beside_kwh=float(beside_w.sum()) * made.scenario.step_s / 3.6e6,
    )  # fmt: skip
    plan = (
        None
        if control is None
        else Way(free, control, _order(question, free) if asking.carries else (), alone=purpose == "stand-alone")
    )
    more = [
        *told,
        *_outside(job, made.scenario.span),
        *of_strings(job.spec),
        *(_left_out(question, begins, ends) if days is None else ()),
    ]
    found = (*(one for one in more if one not in made.findings), *made.findings)
    recorded = None if purpose == "stand-alone" else asking.price(question.recorded(made.scenario.span))
    return QuoteCase(asking, today, plan, made.names, found, yielded, recorded)


def _outside(job: Job, span: Span) -> tuple[Finding, ...]:
    """Return how many of the job's outages lie outside the days of ``span``, at most one finding."""
    of = job.spec.outages
    count = sum(not within((one,), job.clock, times(span)).any() for one in of)
    return (kinds.OUTAGES_OUTSIDE.at("outages", count=count, of=len(of)),) if count else ()


def _left_out(question: Question, begins: dt.date, ends: dt.date) -> tuple[Finding, ...]:
    """Return that the record has gaps, so that its longest stretch without one is taken."""
    first, last = question.days()
    of, taken = (last - first).days + 1, (ends - begins).days + 1
    if taken == of:
        return ()
    return (kinds.STRETCH.at("repair.gaps", taken=taken, of=of, first=begins.isoformat(), last=ends.isoformat()),)


def _purpose(job: Job, outage_s: float | None) -> tuple[Purpose, float | None]:
    """Return what the quote is for, and the longest outage that is to be carried."""
    spec, inverter = job.spec.quote, job.spec.inverter
    purpose: Purpose = spec.purpose or (inverter.role if inverter is not None else "beside the grid")
    if outage_s is not None:
        if purpose == "stand-alone":
            raise JobError.one(
                "job.no-grid-to-lose", Place(str(job.path), field="inverter.role"), found="a site without a grid",
                wanted="one that can lose its grid", next_step="Leave --backup out, or change the purpose under [quote].",
            )  # fmt: skip
        return "carries the site in outages", outage_s
    if purpose != "carries the site in outages":
        return purpose, None
    usual_s = None if job.spec.outages else USUAL_OUTAGE_S
    return purpose, spec.outage_s if spec.outage_s is not None else usual_s


def _own(job: Job) -> tuple[str, ...]:
    """Return what is there already and is to be quoted again."""
    supposed = tuple(one for one in job.spec.pv if not one.meter)
    there = {"battery": job.spec.battery, "inverter": job.spec.inverter, "PV without a meter": supposed}
    return () if job.spec.quote.keeps else tuple(name for name, one in there.items() if one)


def _simulated_pv_w(job: Job, scenario: Scenario) -> Floats:
    """Return what PV that is simulated and stays gives beside the grid, W, (n,); nothing where it is to be quoted."""
    supposed = tuple(one for one in job.spec.pv if not one.meter)
    times_s = times(scenario.span)
    if not (supposed and job.spec.quote.keeps):
        return np.zeros(len(times_s))
    return climate(job.spec.weather, job.inside, job.spec.site, times_s, (), supposed, seed=job.spec.seed).pv_w


def _currency(job: Job, tariff: Tariff | None) -> str:
    """Return the currency of the prices, the tariff's or their own; empty where there are none. Raises JobError for two."""
    prices = job.spec.quote.prices
    if prices is None or tariff is None:
        return "" if prices is None else prices.currency
    if prices.currency not in ("", tariff.currency):
        raise JobError.one(
            "job.two-currencies", Place(str(job.path), field="quote.prices.currency"), found=f'"{prices.currency}"',
            wanted=f'prices in the currency of the tariff, "{tariff.currency}": two cannot be set against each other',
            next_step="Take currency out, and write the prices in that of the tariff.",
        )  # fmt: skip
    return tariff.currency


def _costing(job: Job, prices: Prices, currency: str) -> Costing:
    """Return what things cost; a generator with a price is bought."""
    generator, spec = job.spec.generator, job.spec.quote
    bought_w = generator.rating_w if generator is not None and prices.generator is not None else 0.0
    return Costing(prices, spec.money, currency, _kept(job), bought_w)


def _kept(job: Job) -> Size:
    """Return what is there already and stays, beside PV that is measured."""
    battery, inverter = job.spec.battery, job.spec.inverter
    if not job.spec.quote.keeps:
        return NOTHING
    return Size(0.0, battery.capacity_wh if battery is not None else 0.0, inverter.rating_va if inverter is not None else 0.0)


def _roofs(
    job: Job, scenario: Scenario
) -> tuple[tuple[Layout, ...], tuple[Finding, ...], dict[str, tuple[float, float, Yield]]]:  # fmt: skip
    """Return the choices of roofs that PV could lie on, what to say of their sun, and what each would yield."""
    named, times_s = quoted_roofs(job), times(scenario.span)
    if not named:
        return (no_pv(len(times_s)),), (), {}
    names, arrays = tuple(named), tuple(named.values())
    made = [climate(job.spec.weather, job.inside, job.spec.site, times_s, (), (one,), seed=job.spec.seed) for one in arrays]
    roofs = tuple(Roof(name, each.pv_w, one.peak_w) for name, one, each in zip(names, arrays, made, strict=True))
    found = yields(job.spec.weather, job.inside, job.spec.site, scenario.span.start_s, arrays, job.spec.seed)
    told = {name: (one.peak_w, *each) for name, one, each in zip(names, arrays, found, strict=True)}
    return layouts_of(roofs), made[0].findings, told


def quoted_roofs(job: Job) -> dict[str, Array]:
    """Return by their names the roofs that PV could be quoted for: those named for it, else what is to be quoted anew."""
    supposed = tuple(one for one in job.spec.pv if not one.meter)
    arrays = job.spec.quote.pv or (() if job.spec.quote.keeps else supposed)
    return dict(zip(_roof_names(arrays), arrays, strict=True))


def _roof_names(arrays: Sequence[Array]) -> list[str]:
    """Return a name for each roof by how it lies; those that lie alike are told apart by their place in the job."""
    found = [f"tilt {one.tilt_deg:g}\N{DEGREE SIGN}, heading {one.azimuth_deg:g}\N{DEGREE SIGN}" for one in arrays]
    return [name if found.count(name) == 1 else f"roof {place}: {name}" for place, name in enumerate(found, start=1)]


def _hidden_va(question: Question, peaks: PeakBands, today: Way) -> float:
    """Return by how much the highest minute may lie above what the simulation shows, VA."""
    highest_w = max((one.whole.high_w for one in peaks.windows if one.window_s == _MINUTE_S), default=0.0)
    supply = question.job.spec.supply
    factor = supply.power_factor if supply is not None else 1.0
    return max(0.0, highest_w - float(run_of(today).peak_w.max())) / factor


def _order(question: Question, scenario: Scenario) -> tuple[str, ...]:
    """Return the loads that may be shed where the inverter carries the site, the largest first."""
    control = question.site(may_be_bare=True).simulated(question.job.spec.control)
    may = {one.id for one in question.job.spec.loads if one.controllable and not control.actuator(one.id).never}
    found = [(float(one.load.params[P_MOST_W]), one.load.id) for one in scenario.loads if one.load.id in may]
    return tuple(id_ for _, id_ in sorted(found, reverse=True))


def _price(job: Job, tariff: Tariff | None) -> Price:
    """Return what tells the exact bill of an import."""
    if tariff is None:
        return unpriced

    def price(import_w: Series) -> float | None:
        try:
            return float(bill(tariff, Usage(imported=import_w), job.clock).total)
        except TariffError:
            return None

    return price
