"""From when on a saving can be shown: told at freezing of what is promised, and again once there is news."""

import datetime as dt

from wattwright.core.clock import SiteClock
from wattwright.core.findings import Finding
from wattwright.job.proved import Provable
from wattwright.proof import kinds
from wattwright.proof.choose import Baseline
from wattwright.proof.running import least_shown_kwh, weeks_until_shown
from wattwright.proof.seal import Promise, SealedPlan

_MONTH_D, _WEEK_D = 30.4375, 7
Told = tuple[Provable | None, tuple[Finding, ...]]


def provable(
    main: Baseline, promise: Promise | None, news: tuple[dt.date, float] | None, plan: SealedPlan, clock: SiteClock, seed: int
) -> Told:  # fmt: skip
    """Return from when on the saving should show: that promised, or where none was that found so far.

    ``news`` is the first day that was read and the energy saved a day since, kWh; None where it says nothing.
    """
    if promise is not None:
        since, a_day = plan.after, promise.energy_kwh / promise.days
    elif news is not None:
        since, a_day = news
    else:
        return None, ()
    if promise is not None and a_day <= 0:
        return None, (kinds.SHIFTED.at("plan", energy=a_day),)
    if a_day <= 0:
        return None, ()
    weeks = max(round(plan.months * _MONTH_D / _WEEK_D) - (since - plan.after).days // _WEEK_D, 1)
    week = weeks_until_shown(main, int(clock.midnights_s(since, 1)[0]), a_day, weeks, plan.confidence, seed)
    day = None if week is None else since + dt.timedelta(days=_WEEK_D * week)
    found = () if day is not None else (kinds.NEVER_PROVABLE.at("plan", saving=a_day, months=months_in_words(plan.months)),)
    return Provable(day, a_day, promise is not None), found


def expected(
    main: Baseline, promise: Promise | None, plan: SealedPlan, clock: SiteClock, seed: int
) -> tuple[Finding, ...]:  # fmt: skip
    """Return what to know before anything is frozen: when what is promised can be shown, and the least that can be."""
    weeks = round(plan.months * _MONTH_D / _WEEK_D)
    least = least_shown_kwh(main, _begins_s(plan, clock), weeks, plan.confidence, seed)
    share = least * float(main.record.days.sum()) / float(main.record.energy_kwh.sum())
    smallest = kinds.LEAST_SHOWN.at(
        "baseline", months=months_in_words(plan.months), least=least, share=share, confidence=plan.confidence
    )
    made, found = provable(main, promise, None, plan, clock, seed)
    if made is not None and made.day is not None:
        count = (made.day - plan.after).days // _WEEK_D
        told = kinds.PROVABLE.at("plan", saving=made.saved_a_day_kwh, weeks=count, confidence=plan.confidence)
        return (told, smallest)
    return (*found, smallest)


def _begins_s(plan: SealedPlan, clock: SiteClock) -> int:
    return int(clock.midnights_s(plan.after, 1)[0])


def months_in_words(months: int) -> str:
    """Return so many months as they are said."""
    return "1 month" if months == 1 else f"{months} months"
