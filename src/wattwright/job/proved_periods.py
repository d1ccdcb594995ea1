"""Rules by the clock against the price periods they were planned for: in which of them use fell, and in which it rose."""

from wattwright.control.rules import Control, TimeProgramme
from wattwright.core.clock import SiteClock
from wattwright.core.fields import KEPT
from wattwright.core.findings import Finding
from wattwright.job import kinds
from wattwright.job.unsealing import Opened
from wattwright.proof.models.record import Grain, UseRecord
from wattwright.proof.periods import moved
from wattwright.proof.seal import Seal
from wattwright.tariff.periods import period_index
from wattwright.tariff.tariff import Tariff


def moved_periods(held: Opened, after: UseRecord | None, frozen: Tariff | None, clock: SiteClock) -> tuple[Finding, ...]:
    """Return by how much use fell or rose in each period of the ``frozen`` prices, where the plan switches by the clock.

    Nothing where there is no such plan, no model of hours, or one price for all hours.
    """
    hourly = held.of(Grain.HOUR)
    if hourly is None or after is None or frozen is None or not len(after) or not _by_clock(held.seal):
        return ()
    spec = frozen.versions[0]
    if len(spec.periods) < 2:
        return ()
    told = moved(
        hourly, after, period_index(spec, hourly.record.starts_s, clock), period_index(spec, after.starts_s, clock), spec.periods
    )
    clear = [one for one in told if one.is_clear]
    if told and not clear:
        least = max(one.least_kwh for one in told)
        return (kinds.PERIODS_UNTOLD.at("tariff", periods=", ".join(spec.periods), least=least),)
    return tuple(
        kinds.PERIOD_MOVED.at(
            one.period, period=one.period, energy=abs(one.less_kwh), way="less" if one.less_kwh > 0 else "more",
            expected=one.expected_kwh, error=one.error_kwh,
        )
        for one in clear
    )  # fmt: skip


def _by_clock(seal: Seal) -> bool:
    """Return whether a time programme is among the rules that were frozen."""
    rules = (rule for load in seal.loads for rule in Control.model_validate({"rules": load.rules}, context=KEPT).rules)
    return any(isinstance(rule, TimeProgramme) for rule in rules)
