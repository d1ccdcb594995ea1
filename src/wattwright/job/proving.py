"""A job's frozen promise held against a record of the time after the measures."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.errors import JobError, Place
from wattwright.core.findings import Finding, Severity, gravest_first
from wattwright.core.progress import SILENT, Progress
from wattwright.core.series import Series, of_values
from wattwright.job import adjusting, kinds as job_kinds
from wattwright.job.assessment import Assessment
from wattwright.job.boundary import WARM_ENOUGH, Boundary, boundary_of, covered, holidays, uses, whole_days
from wattwright.job.climate import is_typical
from wattwright.job.given import given
from wattwright.job.outdoors import in_file, outdoors
from wattwright.job.provable import provable
from wattwright.job.proved import Proof, Residuals
from wattwright.job.proved_level import level_found
from wattwright.job.proved_money import compared, frozen_prices, money_saved
from wattwright.job.proved_periods import moved_periods
from wattwright.job.spec import JobSpec
from wattwright.job.unsealing import Opened, opened
from wattwright.proof import kinds
from wattwright.proof.acted import acted
from wattwright.proof.choose import Baseline, baseline
from wattwright.proof.course import Acted
from wattwright.proof.events import FEWEST_DAYS, Events, events
from wattwright.proof.fitness import autocorrelations
from wattwright.proof.hours import metered
from wattwright.proof.limits import like_before, limits, within
from wattwright.proof.models.record import Grain, UseRecord, beside_midnight_s, between, first_and_last, tells
from wattwright.proof.normal import Normalised, normalised
from wattwright.proof.occupancy import other_use
from wattwright.proof.running import one_year, running
from wattwright.proof.savings import Savings, savings
from wattwright.proof.seal import Seal
from wattwright.proof.under import kept_under
from wattwright.sky.door import read_weather
from wattwright.sky.weather import Element

_HOUR_S, _YEAR_D, _FEWEST_LIKE_D = 3600, 330.0, 28
_CHANNEL = "the record itself"
_LEFT = 0.75
"""So much of what was read must be left by agreed adjustments for a claim; common practice, no source."""
_OTHER_METER = 0.5, 2.0
"""Shares of what the model tells beyond which the record is taken for another meter or unit: common practice, no source."""
_ALIKE = 0.02
"""Two records of the same days may differ by so much, as by rounding and repairs; common practice, no source."""
_LAGS = 21
"""Three weeks of days: a working week shows at seven."""
_NEWS_D = 7.0
"""Fewer days read tell no day from which a saving will show: a week; common practice, no source."""
_OVER = 0.97
"""So much of the months agreed on must have been read before a claim is made; common practice, no source."""


@dataclass(frozen=True, slots=True, eq=False)
class _After:
    """The time after the measures: its boundary, its power, its temperature, and what to say of them."""

    bound: Boundary
    power: Series
    warm: Series | None
    findings: tuple[Finding, ...]


def prove(assessment: Assessment, file: Path, weather: Path | None = None, progress: Progress = SILENT) -> Proof:
    """Return what the record in ``file`` shows of the job's frozen promise; ``weather`` is measured weather of its days.

    Raises FileError, RecordError, WeatherError, JobError: as ``opened`` does, and where the record holds no day after the
    measures or lacks what the frozen model needs.
    """
    held = opened(assessment)
    progress.at("reading the time after", 0, 3)
    after = _after(assessment, held, file, weather)
    seal, main, agreed = held.seal, held.baselines[0], assessment.job.spec.adjustments
    level, seed, clock = seal.plan.confidence, seal.seed, SiteClock(seal.zone)
    grains = tuple(one.record.grain for one in held.baselines if tells(after.power, one.record.grain, clock))
    read = uses(held.spec, after.power, after.warm, grains)
    left = [adjusting.adjusted(one, agreed, clock) for one in read]
    if not len(left[0]):
        raise _nothing(assessment, after.power, seal)
    records, of_limits = _like_before(held, left)
    if not len(records[0]):
        raise _unlike(assessment, left[0], held)
    progress.at("telling the saving", 1, 3)
    told, course = savings(main, records[0], level, seed), running(main, records[0], level, seed)
    hours = next((one for one in records if one.grain is Grain.HOUR), None)
    money, money_today, of_money = money_saved(assessment, held, hours, clock)
    of_periods = moved_periods(held, hours, frozen_prices(held, clock), clock)
    stepped = _events(main, records[0], seed)
    progress.at("looking at what acted", 2, 3)
    did, otherwise = _why(held, after, main, records[0], clock)
    wanted = (_months_on(seal.plan.after, seal.plan.months) - seal.plan.after).days
    days, left_days, read_days = (float(one.days.sum()) for one in (records[0], left[0], read[0]))
    is_whole = read_days >= _OVER * wanted and left_days >= _LEFT * read_days
    beside, of_promise = compared(seal.promise, money, days, is_whole=is_whole)
    early = _why_no_claim(after, seal, (left_days, read_days, float(wanted)), told)
    news = (clock.day_of(int(records[0].starts_s[0])), told.saved_kwh / days)
    is_other = any(one.code == kinds.OTHER_METER.code for one in early)
    # A few days, or another meter's, tell no day; what was promised has its own.
    says_nothing = is_other or days < _NEWS_D
    when, of_provable = provable(main, seal.promise, None if says_nothing else news, seal.plan, clock, seed)
    normal, of_normal = (None, ()) if is_other else _normal(assessment, held.spec, main, records[0], level, seed)
    made = adjusting.told(read[0], agreed, clock)
    of_saving = () if is_other else told.findings
    of_reading = (one for one in after.bound.record.findings if one.severity is not Severity.NOTE)
    found = (
        *held.findings, *after.findings, *of_reading, *early, *of_limits, *of_saving, *of_money, *of_promise,
        *of_normal, *of_provable, *stepped.findings, *(finding for one in did for finding in one.findings), *otherwise,
        *of_periods, *adjusting.findings(read[0], agreed, clock),
    )  # fmt: skip
    source, fit = after.bound.record.source, seal.main
    return Proof(
        fingerprint=seal.fingerprint, option=seal.plan.option, boundary=seal.plan.boundary_name, record=source.name,
        sha256=source.sha256, model=fit.model, cv_rmse=fit.cv_rmse, unseen_cv_rmse=fit.unseen_cv_rmse, nmbe=fit.nmbe, r2=fit.r2,
        first=clock.day_of(int(records[0].starts_s[0])), last=clock.day_of(int(course.ends_s[-1]) - 1), days=days,
        wanted_days=float(wanted), is_whole=is_whole, saving=told, money=money, money_today=money_today, compared=beside,
        normal=normal, events=stepped.found, adjusted=made, running=course,
        residuals=_residuals(main), provable=when, promise=seal.promise, acted=did,
        given=given(assessment.job, file, weather),
        findings=gravest_first(found),
    )  # fmt: skip


def _after(assessment: Assessment, held: Opened, file: Path, weather: Path | None) -> _After:
    """Return the time after the measures, as far as it was agreed on."""
    seal, job = held.seal, assessment.job
    clock = SiteClock(seal.zone)
    bound = boundary_of(assessment, seal.plan.boundary, file)
    begins_s = int(clock.midnights_s(seal.plan.after, 1)[0])
    ends_s = int(clock.midnights_s(_months_on(seal.plan.after, seal.plan.months), 1)[0])
    whole = bound.power
    power = between(whole, begins_s, ends_s)
    if not len(power) or np.isnan(power.values).all():
        raise _nothing(assessment, whole, seal)
    if not tells(power, seal.main.grain, clock):
        raise _too_long(file, power, seal)
    outside_s = (len(whole) - len(power)) * whole.step_s
    found: tuple[Finding, ...] = (
        (kinds.LEFT_BEFORE.at(file.name, time=outside_s, after=str(seal.plan.after)),) if outside_s >= DAY_S else ()
    )
    days = whole_days(power, clock, "of the time after", file.name)
    found += (*days, *_overlap(held, whole, clock))
    if not days and seal.model(Grain.HOUR) is not None and not tells(power, Grain.HOUR, clock):
        found += (kinds.NO_HOURS.at(file.name, step=power.step_s),)
    if not held.baselines[0].record.has_temperature:
        found += (kinds.WEATHER_UNUSED.at(weather.name, file=weather.name),) if weather is not None else ()
        return _After(bound, power, None, found)
    frozen = next((job.inside(one.path) for one in seal.files if one.role == "weather"), None)
    short = ""
    for path in dict.fromkeys((weather, None, frozen)):
        beside = outdoors(bound.record, None, seal.zone) if path is None else in_file(path, seal.zone)
        warm = None if beside is None else beside.temperature
        share = covered(held.spec, power, warm, held.baselines[0].record.grain)
        if share >= WARM_ENOUGH:
            return _After(bound, power, warm, found + _other_weather(path, frozen))
        if beside is None and weather is not None and path == weather:
            found += (job_kinds.NO_TEMPERATURE.at(weather.name, file=weather.name),)
            short = f", and none at all in {weather.name}"
        elif weather is not None and path == weather:
            found += (kinds.WEATHER_AFTER_SHORT.at(weather.name, file=weather.name, share=share),)
            short = f" but in {weather.name}, which knows {assessment.show.percent(share)} of them"
    raise JobError.one(
        "proof.no-weather", Place(str(file)), found=f"no outdoor temperature of these days{short}",
        wanted="measured weather of the time after, since the frozen model follows it",
        next_step="Name a file with --weather that covers the days of the record.",
    )  # fmt: skip


def _overlap(held: Opened, whole: Series, clock: SiteClock) -> tuple[Finding, ...]:
    """Return that the new record tells other energy than the baseline of the days that both hold, where it does."""
    start_s, end_s = max(whole.start_s, held.power.start_s), min(whole.end_s, held.power.end_s)
    if end_s - start_s < 2 * DAY_S or not all(tells(one, Grain.DAY, clock) for one in (whole, held.power)):
        return ()
    new, old = (uses(held.spec, one.part(start_s, end_s), None, (Grain.DAY,))[0] for one in (whole, held.power))
    both = np.intersect1d(new.starts_s, old.starts_s)
    told, was = (float(one.energy_kwh[np.isin(one.starts_s, both)].sum()) for one in (new, old))
    if was <= 0 or abs(told / was - 1) <= _ALIKE:
        return ()
    return (kinds.OVERLAP_DIFFERS.at("record", days=len(both), share=told / was),)


def _other_weather(now: Path | None, frozen: Path | None) -> tuple[Finding, ...]:
    """Return that the temperature after is logged with the record and that before is not, or the other way round."""
    if (now is None) == (frozen is None):
        return ()
    names = [_CHANNEL if one is None else one.name for one in (now, frozen)]
    return (kinds.OTHER_WEATHER.at("record", now=names[0], was=names[1]),)


def _too_long(file: Path, power: Series, seal: Seal) -> JobError:
    step = f"{power.step_s / _HOUR_S:g} h"
    beside = f", which begin up to {beside_midnight_s(power, SiteClock(seal.zone)) / _HOUR_S:g} h beside midnight"
    return JobError.one(
        "proof.long-readings", Place(str(file)), found=f"readings of {step} each{beside if power.step_s == DAY_S else ''}",
        wanted=f"readings that tell the {seal.main.grain.value}s of the site's clock, as the frozen model has them",
        next_step="Give a record of an hour's step or less. Nothing was worked out.",
    )  # fmt: skip


def _residuals(main: Baseline) -> Residuals:
    record = main.record
    warm = record.mean_c if record.has_temperature else np.full(len(record), np.nan)
    lags = min(_LAGS, len(record) // 4)
    alike = autocorrelations(main.residual_kwh, lags)
    told = record.energy_kwh - main.residual_kwh
    return Residuals(record.grain.value, record.starts_s, main.residual_kwh, told, warm, alike)


def _like_before(held: Opened, left: Sequence[UseRecord]) -> tuple[list[UseRecord], tuple[Finding, ...]]:
    """Return what is left of the time after that is like a time of the baseline, and what limits a claim."""
    main, fit, over = held.baselines[0].record, held.seal.main, held.baselines[0].residual_kwh
    seen = left[0].part(like_before(main, left[0]))
    records = [seen, *(one.part(within(seen, one)) if len(seen) else one for one in left[1:])]
    found = list(limits(main, fit.model, fit.unseen_cv_rmse, over))
    days, read = float(seen.days.sum()), float(left[0].days.sum())
    if days < read:
        found.append(kinds.UNSEEN.at("baseline", days=round(read - days), read=round(read)))
    if days < read and days < _FEWEST_LIKE_D:
        found.append(kinds.FEW_LIKE.at("baseline", days=round(days)))
    return records, tuple(found)


def _unlike(assessment: Assessment, left: UseRecord, held: Opened) -> JobError:
    clock = SiteClock(held.seal.zone)
    first, last = clock.day_of(int(left.starts_s[0])), clock.day_of(int(left.starts_s[-1]))
    seen = first_and_last(held.power, clock)
    return JobError.one(
        "proof.unlike-before", Place(assessment.job.path.name, field="measurement"),
        found=f"no day from {first} to {last} of a season and temperature that the baseline saw",
        wanted=f"days like those from {seen[0]} to {seen[1]}",
        next_step="Wait until that season comes round again: of others no saving can be told. Nothing was worked out.",
    )  # fmt: skip


def _why_no_claim(
    after: _After, seal: Seal, days: tuple[float, float, float], told: Savings
) -> tuple[Finding, ...]:  # fmt: skip
    """Return what stands in the way of a claim, whatever the figures say; ``days`` are left, were read and were wanted."""
    left, read, wanted = days
    found = list[Finding]()
    # The last of whole days may end beside midnight.
    ends_s = after.power.end_s + after.power.step_s // 2
    is_over = ends_s >= int(SiteClock(seal.zone).midnights_s(_months_on(seal.plan.after, seal.plan.months), 1)[0])
    if read < _OVER * wanted:
        kind = kinds.HOLES if is_over else kinds.EARLY
        found.append(kind.at("record", days=round(read), wanted=round(wanted)))
    if left < _LEFT * read:
        found.append(kinds.MUCH_LEFT_OUT.at("adjustments", days=round(left), read=round(read)))
    share = told.used_kwh / told.expected_kwh if told.expected_kwh > 0 else 1.0
    if not _OTHER_METER[0] <= share <= _OTHER_METER[1]:
        found.append(kinds.OTHER_METER.at("record", share=share))
    return tuple(found)


def _nothing(assessment: Assessment, power: Series, seal: Seal) -> JobError:
    first, last = first_and_last(power, SiteClock(seal.zone))
    return JobError.one(
        "proof.nothing-after", Place(assessment.job.path.name, field="measurement.after"),
        found=f"a record from {first} to {last}",
        wanted=f"whole days read from {seal.plan.after} on, not all of them left out",
        next_step="Give the record of the time after the measures.",
    )  # fmt: skip


def _months_on(day: dt.date, months: int) -> dt.date:
    """Return the day so many months later, the last of its month where there is no such day."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    following = dt.date(year + (month == 11), (month + 1) % 12 + 1, 1)
    return min(dt.date(year, month + 1, 1) + dt.timedelta(days=day.day - 1), following - dt.timedelta(days=1))


def _events(main: Baseline, record: UseRecord, seed: int) -> Events:
    if record.grain is not Grain.DAY or len(record) < 4 * FEWEST_DAYS:
        return Events((), ())
    return events(main, record, seed)


def _normal(
    assessment: Assessment, spec: JobSpec, main: Baseline, record: UseRecord, level: float, seed: int
) -> tuple[Normalised | None, tuple[Finding, ...]]:
    """Return the savings of a normal year, None where either side has less than about a year."""
    if min(main.record.span_days, record.span_days) < _YEAR_D:
        return None, ()
    after = baseline(record)
    if not isinstance(after, Baseline):
        return None, (kinds.NO_NORMAL.at("normal"),)
    normal, year = _normal_year(assessment, spec, main.record)
    return normalised(main, after, normal, year, level, seed), ()


def _normal_year(assessment: Assessment, spec: JobSpec, before: UseRecord) -> tuple[UseRecord, str]:
    """Return the stretches of a normal year: of the job's typical weather where it has some, else those of the baseline."""
    job = assessment.job
    if not (before.has_temperature and spec.weather.file):
        return _own_year(before)
    year = job.clock.day_of(int(before.starts_s[0])).year
    weather = read_weather(job.inside(spec.weather.file), year, spec.site.zone)
    if not is_typical(weather) or Element.TEMPERATURE not in weather.values:
        return _own_year(before)
    warm = of_values(weather.start_s, weather.step_s, weather.values[Element.TEMPERATURE])
    steps = len(weather) * weather.step_s // _HOUR_S
    any_use = of_values(weather.start_s, _HOUR_S, np.ones(steps))
    return uses(spec, any_use, warm, (before.grain,))[0], f"the typical year of {Path(spec.weather.file).name}"


def _own_year(before: UseRecord) -> tuple[UseRecord, str]:
    return one_year(before, int(before.starts_s[0])), "the year of the baseline"


def _why(
    held: Opened, after: _After, main: Baseline, record: UseRecord, clock: SiteClock
) -> tuple[tuple[Acted, ...], tuple[Finding, ...]]:
    """Return what became of the planned programmes, and, of the whole site, whether it is used otherwise and its limits kept."""
    if not after.bound.is_whole:
        own = [one for one in held.seal.loads if one.meter == held.seal.plan.boundary]
        levels = level_found(after.power, own[0]) if len(own) == 1 else ()
        return metered(after.power, own, clock, holidays(held.spec, after.power)), levels
    # What is held against before falls on its own holidays.
    off = holidays(held.spec, after.power) | holidays(held.spec, held.power)
    did = acted(after.power, held.seal.loads, clock, off, held.power)
    under = kept_under(held.seal, held.power, after.power, record, clock)
    return did, (*other_use(held.power, after.power, main, record, clock), *under)
