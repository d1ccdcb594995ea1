"""The quality of a supply as far as a record shows it: checks made on stated inputs, never a claim that the supply complies."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wattwright.core.clock import SiteClock
from wattwright.core.findings import Finding
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.demand.quality import kinds
from wattwright.demand.quality.factor import Factor, factors
from wattwright.demand.quality.limits import Limit, over_current, under_current, voltage_limits
from wattwright.demand.quality.voltage import (
    INNER,
    OUTER,
    TEN_MIN_S,
    Extreme,
    Unbalance,
    Voltage,
    deviation,
    extremes,
    unbalance,
    voltage,
)
from wattwright.record.record import Channel, Record

_THREE = (Phase.L1, Phase.L2, Phase.L3)
_SUMS = (Phase.TOTAL, Phase.UNKNOWN)
_MOST_UNBALANCE = 0.02
_POOR_FACTOR = 0.9


@dataclass(frozen=True, slots=True)
class Ratings:
    """What a person wrote of the supply: voltage to neutral in V and rating of the main protection in A, None where unknown.

    ``conductors`` is how many live ones it has: the rating is of each.
    """

    voltage_v: float | None = None
    protection_a: float | None = None
    conductors: int = 1

    def is_of_one(self, channel: Channel) -> bool:
        """Return whether a channel's current is that of one live conductor, and not a sum over several."""
        return self.conductors == 1 or channel.meaning.phase not in _SUMS


@dataclass(frozen=True, slots=True, eq=False)
class Current:
    """One current channel with its lowest and highest reading in A, and the mean of all."""

    channel: Channel
    lowest: Extreme
    highest: Extreme
    mean_a: float


@dataclass(frozen=True, slots=True, eq=False)
class SupplyQuality:
    """What the record says of the supply: voltages, currents, unbalance, power factors, and limits proposed for relays."""

    step_s: int
    voltages: tuple[Voltage, ...]
    currents: tuple[Current, ...]
    unbalances: tuple[Unbalance, ...]
    factors: tuple[Factor, ...]
    limits: tuple[Limit, ...]
    findings: tuple[Finding, ...]


def supply_quality(record: Record, clock: SiteClock, ratings: Ratings | None = None) -> SupplyQuality:
    """Return what ``record`` says of the quality of its supply, held against what is known of it in ``ratings``."""
    ratings = ratings or Ratings()
    volts, amps = _read(record, Quantity.VOLTAGE), _read(record, Quantity.CURRENT)
    voltages = tuple(voltage(one, record.channels, ratings.voltage_v, clock) for one in volts)
    currents = tuple(_current(one, record) for one in amps)
    uneven = _unbalances(volts, currents, clock)
    found_factors = factors(record.channels)
    limits, notes = _limits(voltages, currents, ratings)
    findings = [
        *([] if volts or amps else [kinds.NOTHING_READ.at("supply")]),
        *_of_voltages(voltages, ratings),
        *(_uneven(one) for one in uneven if one.of == "voltage" and one.high > _MOST_UNBALANCE),
        *(
            kinds.POOR_FACTOR.at("supply", conductor=_named(one.conductor), mean=one.mean)
            for one in found_factors
            if one.mean < _POOR_FACTOR
        ),
        *notes,
    ]
    step_s = record.channels[0].series.step_s
    return SupplyQuality(step_s, voltages, currents, uneven, found_factors, limits, tuple(findings))


def _read(record: Record, quantity: Quantity) -> list[Channel]:
    return [one for one in record.of(quantity) if one.series.read_only().present.any()]


def _named(phase: Phase) -> str:
    return "the whole supply" if phase in (Phase.TOTAL, Phase.UNKNOWN) else phase.value


def _current(channel: Channel, record: Record) -> Current:
    low, high = extremes(channel, record.channels)
    return Current(channel, low, high, float(np.nanmean(channel.series.read_only().values)))


def _unbalances(volts: Sequence[Channel], currents: Sequence[Current], clock: SiteClock) -> tuple[Unbalance, ...]:
    """Return the unbalance of voltages over time, and of currents between the means of the record, where there are three."""
    found = []
    of_volts = {one.meaning.phase: one for one in volts}
    if all(phase in of_volts for phase in _THREE):
        told = unbalance([of_volts[phase] for phase in _THREE], clock)
        found += [] if told is None else [told]
    of_amps = {one.channel.meaning.phase: one for one in currents if one.channel.meaning.direction is not Direction.EXPORT}
    if all(phase in of_amps for phase in _THREE):
        three = [of_amps[phase] for phase in _THREE]
        series = [one.channel.series.read_only() for one in three]
        values = np.array([one.values for one in series])
        away, mean = deviation(values), float(deviation(np.array([[one.mean_a] for one in three]))[0])
        # When most current flows unbalance matters most.
        total = np.where(np.isnan(away), -np.inf, values.sum(axis=0))
        at = int(np.argmax(total))
        if np.isfinite(total[at]):
            found.append(Unbalance("current", mean, float(away[at]), Extreme(float(away[at]), int(series[0].times_s[at]))))
    return tuple(found)


def _uneven(one: Unbalance) -> Finding:
    return kinds.UNBALANCED.at("supply", high=one.high)


def _of_voltages(voltages: Sequence[Voltage], ratings: Ratings) -> list[Finding]:
    found: list[Finding] = []
    if not voltages:
        return found
    nominal = next((one.nominal_v for one in voltages if one.nominal_v == one.nominal_v), None)
    if ratings.voltage_v is None and nominal is not None:
        found.append(kinds.NOMINAL_ASSUMED.at("supply", nominal=nominal))
    step_s = voltages[0].channel.series.step_s
    found.append(kinds.WITHIN_STEP.at("supply", step=step_s))
    if step_s > TEN_MIN_S or TEN_MIN_S % step_s:
        found.append(kinds.STEP_TOO_LONG.at("supply", step=step_s))
    for one in voltages:
        found += _of_voltage(one)
    return found


def _of_voltage(one: Voltage) -> list[Finding]:
    column, nominal = one.channel.column, one.nominal_v
    if nominal != nominal:
        return [kinds.NOT_NOMINAL.at(column, column=column, median=one.median_v)]
    found = []
    judged = [week for week in one.weeks if week.judged]
    if one.step_s == TEN_MIN_S and not judged:
        found.append(kinds.NO_WEEK.at(column, column=column, days=one.days))
    failed = [week for week in judged if not week.passes_most]
    if failed:
        low, high = (share * nominal for share in INNER)
        found.append(kinds.OUTSIDE_OFTEN.at(column, column=column, weeks=len(failed), judged=len(judged), low=low, high=high))
    beyond = sum(week.beyond for week in judged)
    if beyond:
        low, high = (share * nominal for share in OUTER)
        found.append(kinds.BEYOND.at(column, column=column, count=beyond, low=low, high=high))
    if one.interrupted_s:
        found.append(kinds.INTERRUPTED.at(column, column=column, length=one.interrupted_s, start=one.interrupted_from_s))
    return found


def _limits(
    voltages: Sequence[Voltage], currents: Sequence[Current], ratings: Ratings
) -> tuple[tuple[Limit, ...], list[Finding]]:
    limits = [limit for one in voltages for limit in voltage_limits(one)]
    notes = [
        kinds.WOULD_OPERATE.at(one.column, name=one.name, column=one.column, length=one.passed_s, longest=one.stretch_s)
        for one in limits
        if one.stretch_s > one.on_delay_s
    ]
    for one in currents:
        column = one.channel.column
        if ratings.protection_a is not None and not ratings.is_of_one(one.channel):
            notes.append(kinds.NO_CONDUCTOR.at(column, column=column, count=ratings.conductors))
        elif ratings.protection_a is not None:
            over = over_current(one.channel, one.highest, ratings.protection_a)
            limits.append(over)
            if over.passed_s:
                rating, total, longest = ratings.protection_a, over.passed_s, over.stretch_s
                notes.append(kinds.OVER_RATING.at(column, column=column, rating=rating, length=total, longest=longest))
        under = under_current(one.channel, one.lowest, one.highest)
        if under is None:
            notes.append(kinds.NO_LOW_CURRENT.at(column, column=column, lowest=one.lowest.value))
        else:
            limits.append(under)
    if currents and ratings.protection_a is None:
        notes.append(kinds.NO_RATING.at("supply"))
    return tuple(limits), notes
