"""Channels worked out from others: net from import and export, power from current and voltage, power factor from powers."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from wattwright.core.basis import Basis
from wattwright.core.errors import quoted
from wattwright.core.findings import Finding
from wattwright.core.quality import Quality
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.core.series import Series
from wattwright.record import kinds
from wattwright.record.record import Channel, Form, Meaning
from wattwright.record.spec import LayoutSpec

Floats = NDArray[np.float64]
POWER_FACTOR = 0.95
"""The power factor of a mixed supply where none is given: common practice, no source."""
LOW_POWER_FACTOR = 0.8
"""Small motors without much beside them: the lower end of what is usual; common practice, no source."""
_CONDUCTORS = (Phase.L1, Phase.L2, Phase.L3, Phase.LEG_A, Phase.LEG_B, Phase.TOTAL)


def derived(channels: Sequence[Channel], said: LayoutSpec) -> tuple[tuple[Channel, ...], list[Finding]]:
    """Return the channels that follow from ``channels``, and what is to be said about them; none that was read is made again."""
    made = [*_net(channels)]
    notes: list[Finding] = []
    if not _of(channels, Quantity.ACTIVE_POWER):
        powers, notes = _powers(channels, said)
        made += powers
    made += _factors([*channels, *made])
    if said.power_factor and not any(one.basis is Basis.ASSUMED for one in made):
        notes.append(kinds.FACTOR_UNUSED.at("columns", factor=said.power_factor))
    taken = {one.id for one in channels}
    return tuple(replace(one, id=f"{one.id}-worked-out") if one.id in taken else one for one in made), notes


def _of(channels: Iterable[Channel], quantity: Quantity, phase: Phase | None = None) -> list[Channel]:
    return [c for c in channels if c.meaning.quantity is quantity and (phase is None or c.meaning.phase is phase)]


def _made(id_: str, parts: Sequence[Channel], values: Floats, meaning: Meaning, basis: Basis = Basis.CALCULATED) -> Channel:
    """Return a channel of ``values`` (n,) worked out from ``parts``; its quality is the worst of theirs."""
    first = parts[0].series
    worst = np.max([one.series.quality for one in parts], axis=0)
    valid = worst == np.uint8(Quality.VALID)
    quality = np.where(np.isnan(values), np.uint8(Quality.MISSING), np.where(valid, np.uint8(Quality.DERIVED), worst))
    series = Series(first.start_s, first.step_s, values, quality.astype(np.uint8), np.full(len(values), np.nan))
    return Channel(id_, f"{id_} (worked out)", parts[0].meter, meaning, series, basis)


def _from(parts: Sequence[Channel], quantity: Quantity, phase: Phase, direction: Direction, how: str) -> Meaning:
    columns = ", ".join(quoted(one.column) for one in parts)
    return Meaning(quantity, Form.MEAN, quantity.unit, 1.0, phase, direction, f"{how} of {columns}")


def _net(channels: Sequence[Channel]) -> list[Channel]:
    """Return net active power, import less export, of each conductor that has one of each and no net."""
    out = []
    for phase in _CONDUCTORS:
        by_way = {
            way: [c for c in _of(channels, Quantity.ACTIVE_POWER, phase) if c.meaning.direction is way] for way in Direction
        }
        into, back = by_way[Direction.IMPORT], by_way[Direction.EXPORT]
        if len(into) != 1 or len(back) != 1 or by_way[Direction.NET]:
            continue
        parts = [into[0], back[0]]
        meaning = _from(parts, Quantity.ACTIVE_POWER, phase, Direction.NET, "import less export")
        out.append(_made(_id("net-power", phase), parts, parts[0].series.values - parts[1].series.values, meaning))
    return out


def _id(name: str, phase: Phase) -> str:
    return name if phase is Phase.TOTAL else f"{name}-{phase.value.lower()}"


def _powers(channels: Sequence[Channel], said: LayoutSpec) -> tuple[list[Channel], list[Finding]]:
    """Return active power conductor by conductor, from apparent power or current and voltage; none where neither is there."""
    out: list[Channel] = []
    notes: list[Finding] = []
    for phase in _CONDUCTORS:
        apparent, volts_too = _apparent(channels, phase, said)
        if apparent is None:
            continue
        parts, size, how = apparent
        values, more, basis, factor = _active(channels, phase, size, said)
        meaning = _from([*parts, *more], Quantity.ACTIVE_POWER, phase, Direction.IMPORT, how)
        basis = Basis.ASSUMED if not volts_too else basis
        out.append(_made(_id("power", phase), [*parts, *more], values, meaning, basis))
        if factor:
            notes.append(_factor_note(out[-1], size, factor, bool(said.power_factor)))
        if not volts_too:
            notes.append(kinds.NOMINAL_VOLTAGE.at("columns", column=parts[0].column, volts=said.voltage_v or 0.0))
    amps = _of(channels, Quantity.CURRENT)
    if out and len(alike := _of(amps, Quantity.CURRENT, Phase.TOTAL)) > 1:
        others = ", ".join(quoted(one.column) for one in alike[1:12])
        notes.append(kinds.SEVERAL_CURRENTS.at("columns", column=alike[0].column, others=others))
    if amps and not out:
        notes.append(kinds.CURRENT_ONLY.at("columns", columns=", ".join(quoted(one.column) for one in amps[:12])))
    return out, notes


def _apparent(
    channels: Sequence[Channel], phase: Phase, said: LayoutSpec
) -> tuple[tuple[list[Channel], Floats, str] | None, bool]:
    """Return what gives the apparent power of a conductor, its size in VA, and how; and whether its voltage was measured."""
    read = _of(channels, Quantity.APPARENT_POWER, phase)
    if read:
        return ([read[0]], read[0].series.values, "apparent power"), True
    amps = _of(channels, Quantity.CURRENT, phase)
    if not amps:
        return None, True
    volts = _of(channels, Quantity.VOLTAGE, phase) or _of(channels, Quantity.VOLTAGE)
    if volts:
        return ([amps[0], volts[0]], amps[0].series.values * volts[0].series.values, "current times voltage"), True
    if said.voltage_v:
        return ([amps[0]], amps[0].series.values * said.voltage_v, "current times the nominal voltage"), False
    return None, True


def _active(
    channels: Sequence[Channel], phase: Phase, size: Floats, said: LayoutSpec
) -> tuple[Floats, list[Channel], Basis, float]:
    """Return the active power in W of an apparent power, the channels used, its basis, and the power factor if assumed."""
    if said.power_factor:
        return size * said.power_factor, [], Basis.ASSUMED, said.power_factor
    factor = _of(channels, Quantity.POWER_FACTOR, phase) or _of(channels, Quantity.POWER_FACTOR, Phase.TOTAL)
    if factor:
        return size * np.abs(factor[0].series.values), [factor[0]], Basis.CALCULATED, 0.0
    reactive = _of(channels, Quantity.REACTIVE_POWER, phase)
    if reactive:
        square = size**2 - reactive[0].series.values ** 2
        return np.sqrt(np.maximum(square, 0.0)), [reactive[0]], Basis.CALCULATED, 0.0
    return size * POWER_FACTOR, [], Basis.ASSUMED, POWER_FACTOR


def _factor_note(channel: Channel, size: Floats, factor: float, said: bool) -> Finding:
    """Return the finding that says what an assumed power factor leaves open: the energy over power factors of 0.8 to 1."""
    apparent = float(np.nansum(size)) * channel.series.step_s / 3.6e6
    kind = kinds.FACTOR_SAID if said else kinds.FACTOR_ASSUMED
    return kind.at(
        "columns", column=channel.id, factor=factor, energy=apparent * factor, low=apparent * LOW_POWER_FACTOR, high=apparent,
        least=LOW_POWER_FACTOR,
    )  # fmt: skip


def _factors(channels: Sequence[Channel]) -> list[Channel]:
    """Return the power factor of each conductor whose active power was read beside its apparent or reactive power."""
    out = []
    for phase in _CONDUCTORS:
        active = [c for c in _of(channels, Quantity.ACTIVE_POWER, phase) if c.basis is Basis.MEASURED]
        active = [c for c in active if c.meaning.direction is not Direction.EXPORT]
        if not active or _of(channels, Quantity.POWER_FACTOR, phase):
            continue
        for quantity, size in _SIZES.items():
            other = [c for c in _of(channels, quantity, phase) if c.meaning.direction is not Direction.EXPORT]
            if other:
                power = active[0].series.values
                whole = size(power, other[0].series.values)
                values = np.divide(power, whole, out=np.full(len(power), np.nan), where=whole > 0)
                parts = [active[0], other[0]]
                meaning = _from(parts, Quantity.POWER_FACTOR, phase, Direction.NONE, "power factor")
                out.append(_made(_id("power-factor", phase), parts, np.clip(values, -1.0, 1.0), meaning))
                break
    return out


_SIZES: dict[Quantity, Callable[[Floats, Floats], Floats]] = {
    Quantity.APPARENT_POWER: lambda _, apparent: apparent,
    Quantity.REACTIVE_POWER: np.hypot,
}
