"""Active power against voltage times current, and against reactive and apparent power, of the same conductor."""

from itertools import permutations

import numpy as np

from wattwright.core.findings import Finding
from wattwright.core.quantity import Phase, Quantity
from wattwright.core.series import Floats
from wattwright.record.faults import kinds
from wattwright.record.faults.seen import LEGS, THREE, Seen

_LEAST_READINGS = 24
_OVER, _OF_HIGHEST = 1.1, 0.02
_OFTEN = 0.01
_LOADED = 0.1
_STEADY = 0.2
_TRIANGLE = (0.93, 1.5)
"""Means of an interval and harmonics lift apparent power above the other two, never below: common practice, no source."""


def beyond_volts_times_amps(seen: Seen) -> list[Finding]:
    """Return findings where active power is above what voltage times current of its conductor can give.

    Where exchanged currents explain it, or a fixed ratio, they are named.
    """
    held = {phase: three for phase in (Phase.TOTAL, *THREE, *LEGS) if (three := _three(seen, phase)) is not None}
    odd = [phase for phase, (power, volts, amps) in held.items() if _beyond(power, volts * amps).mean() > _OFTEN]
    if not odd:
        return []
    moved = _moved({phase: three for phase, three in held.items() if phase is not Phase.TOTAL})
    notes = []
    for phase in odd:
        power, volts, amps = held[phase]
        channel = seen.one(Quantity.ACTIVE_POWER, phase)
        if channel is not None:
            conductor = "" if phase is Phase.TOTAL else f" of {phase.value}"
            count, how = int(_beyond(power, volts * amps).sum()), moved or _ratio(power, volts * amps, phase)
            notes.append(
                kinds.BEYOND_VOLT_AMPERES.at("columns", column=channel.column, conductor=conductor, count=count, how=how)
            )
    return notes


def _three(seen: Seen, phase: Phase) -> tuple[Floats, Floats, Floats] | None:
    """Return power, voltage and current of a conductor where all were read; None where too little of it was."""
    found = [seen.one(quantity, phase) for quantity in (Quantity.ACTIVE_POWER, Quantity.VOLTAGE, Quantity.CURRENT)]
    values = [np.abs(one.series.values) for one in found if one is not None]
    if len(values) < 3:
        return None
    held = ~np.isnan(values).any(axis=0)
    if int(held.sum()) < _LEAST_READINGS:
        return None
    power, volts, amps = (np.where(held, one, 0.0) for one in values)
    return power, volts, amps


def _beyond(power: Floats, apparent: Floats) -> "np.typing.NDArray[np.bool_]":
    return np.asarray(power > _OVER * apparent + _OF_HIGHEST * float(max(apparent.max(), power.max() / 10)))


def _moved(held: "dict[Phase, tuple[Floats, Floats, Floats]]") -> str:
    """Return in words which conductors' currents, exchanged, make every power possible; empty where none do."""
    phases = list(held)
    if len(phases) < 2:
        return ""

    def fault(order: tuple[int, ...]) -> tuple[float, float]:
        """Return the share of powers that cannot be, and how unevenly the powers follow those currents."""
        pairs = [(held[phases[i]][0], held[phases[i]][1] * held[phases[j]][2]) for i, j in enumerate(order)]
        return max(float(_beyond(p, s).mean()) for p, s in pairs), float(sum(np.abs(p - s).sum() for p, s in pairs))

    best = min(permutations(range(len(phases))), key=fault)
    names = [phases[i].value for i, j in enumerate(best) if i != j]
    return (
        f"; with the currents of {' and '.join(names)} exchanged every power can be" if names and fault(best)[0] <= _OFTEN else ""
    )


def _ratio(power: Floats, apparent: Floats, phase: Phase) -> str:
    """Return in words the fixed ratio of power to voltage times current; empty where it is none."""
    loaded = apparent > _LOADED * float(apparent.max())
    ratios = power[loaded] / apparent[loaded]
    low, middle, high = np.quantile(ratios, (0.1, 0.5, 0.9)).tolist() if len(ratios) else (0.0, 0.0, 0.0)
    if middle <= _OVER or high - low > _STEADY * middle:
        return ""
    three = ", or the power is that of several conductors beside voltage and current of one" if phase is Phase.TOTAL else ""
    return f"; it is {middle:,.3g} times as much all the time, as with a wrong transformer ratio or unit{three}"


def unlike_apparent(seen: Seen) -> list[Finding]:
    """Return findings where apparent power is not what active and reactive power of the same conductor make."""
    notes = []
    for phase in (Phase.TOTAL, *THREE, *LEGS):
        found = [seen.one(q, phase) for q in (Quantity.ACTIVE_POWER, Quantity.REACTIVE_POWER, Quantity.APPARENT_POWER)]
        columns = [one.column for one in found if one is not None]
        if len(columns) < 3:
            continue
        active, reactive, apparent = (one.series.values for one in found if one is not None)
        whole = np.hypot(active, reactive)
        loaded = np.abs(active) > _LOADED * float(np.nanmax(np.abs(active)))
        with np.errstate(divide="ignore", invalid="ignore"):
            ratios = apparent[loaded] / whole[loaded]
        ratios = ratios[np.isfinite(ratios)]
        ratio = float(np.median(ratios)) if len(ratios) >= _LEAST_READINGS else 1.0
        if not _TRIANGLE[0] <= ratio <= _TRIANGLE[1]:
            first, second, third = columns
            notes.append(kinds.UNLIKE_APPARENT.at("columns", active=first, reactive=second, apparent=third, ratio=ratio))
    return notes
