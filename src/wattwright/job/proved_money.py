"""What a saving is in money: at the prices that were frozen, and at today's where those are others; and against the promise."""

from dataclasses import replace

from wattwright.core.clock import SiteClock
from wattwright.core.errors import InputError, TariffError
from wattwright.core.files import read_bytes
from wattwright.core.findings import Finding
from wattwright.job import kinds as job_kinds
from wattwright.job.assessment import Assessment
from wattwright.job.costs import chosen
from wattwright.job.file import Job
from wattwright.job.proved import Compared
from wattwright.job.unsealing import Opened
from wattwright.proof import kinds
from wattwright.proof.costs import CostSaved, cost_saved
from wattwright.proof.models.record import Grain, UseRecord
from wattwright.proof.seal import Promise, SealedTariff
from wattwright.tariff.load import parse_tariff
from wattwright.tariff.tariff import Tariff

_SOUGHT = {
    "peak": "a lower peak of a quarter of an hour", "own-use": "more of the PV used on the site",
    "autonomy": "more of the site served where the grid is gone", "several": "several ends at once",
}  # fmt: skip
Priced = tuple[CostSaved | None, CostSaved | None, tuple[Finding, ...]]


def sealed_tariff(job: Job) -> SealedTariff | None:
    """Return the tariff that a job pays, with the text of the file it stands in, None where the job names none."""
    paid = _now(job)
    for name in () if paid is None else job.spec.tariff.files:
        text = read_bytes(job.inside(name)).decode("utf-8")
        if paid in parse_tariff(text, name).tariffs:
            return SealedTariff(path=name, id=paid.id, text=text)
    return None


def money_saved(assessment: Assessment, held: Opened, after: UseRecord | None, clock: SiteClock) -> Priced:
    """Return the bill saved at frozen prices, and at today's where they are others; None where it cannot be told, and why.

    Of the frozen tariff the prices of the last day of the baseline are held on to, since that is what was promised by.
    """
    if held.seal.tariff is None and not assessment.job.spec.tariff.files:
        return None, None, (job_kinds.NO_TARIFF.at("tariff"),)
    hourly, plan, seed = held.of(Grain.HOUR), held.seal.plan, held.seal.seed
    if hourly is None or after is None or not len(after):
        return None, None, ()
    found = list[Finding]()
    try:
        now = _now(assessment.job)
    except InputError as error:
        now, found = None, [_no_prices(error)]
    frozen = frozen_prices(held, clock)
    then = None if frozen is None else cost_saved(hourly, after, frozen, clock, plan.confidence, seed)
    today = None
    try:
        if now is not None and not _is_same(now, frozen, held, clock):
            today = cost_saved(hourly, after, now, clock, plan.confidence, seed)
    except TariffError as error:
        found.append(_no_prices(error))
    told = then or today
    # Other words for the same prices, as a version more, are no other prices.
    return then, None if today == then else today, (*found, *(() if told is None else told.findings))


def _no_prices(error: InputError) -> Finding:
    return kinds.NO_PRICES.at("tariff", why=error.faults[0].sentence().rstrip("."))


def _is_same(now: Tariff, frozen: Tariff | None, held: Opened, clock: SiteClock) -> bool:
    """Return whether the tariff of today is the frozen one, unchanged and without an end."""
    is_open = len(now.versions) == 1 and now.versions[0].last is None
    return frozen is not None and is_open and _last_prices(now, held, clock) == frozen


def _now(job: Job) -> Tariff | None:
    spec = job.spec.tariff
    return chosen([job.inside(one) for one in spec.files], spec.paid, (), job.place)[0] if spec.files else None


def frozen_prices(held: Opened, clock: SiteClock) -> Tariff | None:
    """Return the frozen tariff at the prices of the last day of the baseline, None where none was frozen."""
    kept = held.seal.tariff
    return None if kept is None else _last_prices(parse_tariff(kept.text, kept.path).tariff(kept.id), held, clock)


def _last_prices(tariff: Tariff, held: Opened, clock: SiteClock) -> Tariff:
    """Return a tariff whose prices of the last day of the baseline hold for ever."""
    day = clock.day_of(held.seal.end_s - 1)
    try:
        version = tariff.version_on(day)
    except TariffError:
        version = tariff.versions[-1]
    return replace(tariff, versions=(version.model_copy(update={"first": None, "last": None}),))


def compared(
    promise: Promise | None, money: CostSaved | None, days: float, *, is_whole: bool
) -> tuple[Compared | None, tuple[Finding, ...]]:
    """Return what was promised for as many days as were read beside what was found of it; None where a meter cannot tell that.

    Only money stands beside money: kWh that were promised are PV used on the site or a site served, and a peak is one of a
    quarter of an hour. ``is_whole`` says whether the time agreed on was read; before, its seasons may be others.
    """
    if promise is None:
        return None, ()
    unit = promise.unit
    if promise.objective != "cost":
        return None, (kinds.NOT_COMPARED.at("plan", sought=_SOUGHT[promise.objective]),)
    if money is None or unit != money.currency:
        return None, ()
    ends = [promise.saving, *(one for one in (promise.low, promise.high) if one is not None)]
    promised = [one * days / promise.days for one in ends]
    found = (money.saved_money, money.low_money, money.high_money)
    made = Compared(unit, promised[0], min(promised), max(promised), *found, is_whole)
    if is_whole and made.found_high < made.promised_low:
        short = kinds.LESS_THAN_PROMISED.at("plan", promised=made.promised, found=made.found, unit=unit, most=made.found_high)
        return made, (short,)
    return made, ()
