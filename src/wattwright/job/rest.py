"""What the record says of the site beside the loads that are simulated: power and reactive power by conductor, and voltage."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.findings import Finding
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.core.series import Series
from wattwright.job import kinds
from wattwright.job.spec import SupplySpec
from wattwright.record.record import Channel, Record
from wattwright.simulate.drivers import CONDUCTORS

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Rest:
    """``watts``, ``vars_`` and ``volts``, each (n, 3) by conductor; NaN volts where there is no conductor."""

    watts: Floats
    vars_: Floats
    volts: Floats
    findings: tuple[Finding, ...]


def rest_of_site(
    record: Record, supply: SupplySpec, phases: Sequence[Phase], times_s: NDArray[np.int64], rest_w: Floats, modelled_var: Floats
) -> Rest:
    """Return the rest of the site at ``times_s`` (n,), its power ``rest_w`` (n,) spread over ``phases`` as the record has it.

    ``modelled_var`` (n,) is the reactive power of the loads that are simulated, which is not the rest's.
    """
    found: list[Finding] = []
    shares = shares_of(record, phases, times_s)
    if shares is None:
        shares = np.full((len(times_s), len(phases)), 1.0 / len(phases))
        if len(phases) > 1:
            found.append(kinds.EVENLY.at(record.source.name, count=len(phases)))
    reactive = _reactive(record, phases, times_s)
    if reactive is None:
        reactive = rest_w * np.sqrt(1.0 / supply.power_factor**2 - 1.0)
        found.append(kinds.NOT_REACTIVE.at(record.source.name, factor=supply.power_factor))
    else:
        reactive = np.maximum(reactive - modelled_var, 0.0)
    volts = np.full((len(times_s), CONDUCTORS), np.nan)
    for k, phase in enumerate(phases):
        read = _one(record, Quantity.VOLTAGE, phase, len(phases))
        volts[:, k] = supply.voltage_v if read is None else _filled(sampled(read.series, times_s), supply.voltage_v)
    return Rest(_wide(rest_w[:, np.newaxis] * shares), _wide(reactive[:, np.newaxis] * shares), volts, tuple(found))


def sampled(series: Series, times_s: NDArray[np.int64]) -> Floats:
    """Return the values of the intervals in which ``times_s`` (n,) lie, NaN outside the series."""
    places = (times_s - series.start_s) // series.step_s
    inside = (places >= 0) & (places < len(series))
    values: Floats = np.where(inside, series.values[np.clip(places, 0, len(series) - 1)], np.nan)
    return values


def _wide(values: Floats) -> Floats:
    held = np.zeros((len(values), CONDUCTORS))
    held[:, : values.shape[1]] = values
    return held


def _filled(values: Floats, usual: float) -> Floats:
    """Return readings with gaps, and what can be no voltage of this supply, replaced by the nominal one."""
    held: Floats = np.where(np.isnan(values) | (np.abs(values / usual - 1.0) > 0.3), usual, values)
    return held


def _one(record: Record, quantity: Quantity, phase: Phase, conductors: int) -> Channel | None:
    """Return the channel of a conductor; where there is a single one, that of the whole will do."""
    wanted = (phase, Phase.TOTAL, Phase.UNKNOWN) if conductors == 1 else (phase,)
    known = [c for c in record.of(quantity) if c.meaning.direction is not Direction.EXPORT]
    return next((c for one in wanted for c in known if c.meaning.phase is one), None)


def shares_of(record: Record, phases: Sequence[Phase], times_s: NDArray[np.int64]) -> Floats | None:
    """Return the share of each conductor in the site's power, (n, conductors), None where the record does not tell them apart."""
    read = [_one(record, Quantity.ACTIVE_POWER, phase, len(phases)) for phase in phases]
    if len(phases) == 1:
        return np.ones((len(times_s), 1))
    if any(one is None for one in read):
        return None
    values = np.stack([np.maximum(np.nan_to_num(sampled(one.series, times_s)), 0.0) for one in read if one is not None], axis=1)
    total = values.sum(axis=1, keepdims=True)
    return np.where(total > 0.0, values / np.where(total > 0.0, total, 1.0), 1.0 / len(phases))


def _reactive(record: Record, phases: Sequence[Phase], times_s: NDArray[np.int64]) -> Floats | None:
    """Return the reactive power of the site, var, from what was measured: itself, apparent power, or current and voltage."""
    read = _summed(record, Quantity.REACTIVE_POWER, phases, times_s)
    if read is not None:
        return np.nan_to_num(np.abs(read))
    active = _summed(record, Quantity.ACTIVE_POWER, phases, times_s)
    apparent = _summed(record, Quantity.APPARENT_POWER, phases, times_s)
    if apparent is None:
        amps = [_one(record, Quantity.CURRENT, phase, len(phases)) for phase in phases]
        volts = [_one(record, Quantity.VOLTAGE, phase, len(phases)) for phase in phases]
        pairs = [(a, v) for a, v in zip(amps, volts, strict=True) if a is not None and v is not None]
        if len(pairs) == len(phases):
            apparent = np.sum([sampled(a.series, times_s) * sampled(v.series, times_s) for a, v in pairs], axis=0)
    if apparent is None or active is None:
        return None
    return np.sqrt(np.maximum(np.nan_to_num(apparent) ** 2 - np.nan_to_num(active) ** 2, 0.0))


def _summed(record: Record, quantity: Quantity, phases: Sequence[Phase], times_s: NDArray[np.int64]) -> Floats | None:
    """Return a quantity of the whole site: the total where it was read, else the sum of the conductors."""
    known = [c for c in record.of(quantity) if c.meaning.direction is not Direction.EXPORT]
    whole = next((c for c in known if c.meaning.phase in (Phase.TOTAL, Phase.UNKNOWN)), None)
    if whole is not None:
        return sampled(whole.series, times_s)
    read = [_one(record, quantity, phase, len(phases)) for phase in phases]
    if any(one is None for one in read):
        return None
    return np.asarray(np.sum([sampled(one.series, times_s) for one in read if one is not None], axis=0))
