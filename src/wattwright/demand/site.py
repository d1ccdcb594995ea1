"""The site's power: the channel that measures the whole, or the sum of its conductors."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from wattwright.core.basis import Basis, Grounds, collect, grounds
from wattwright.core.clock import SiteClock
from wattwright.core.errors import InputError, Place, RecordError
from wattwright.core.findings import Finding
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.core.series import Series
from wattwright.demand import kinds
from wattwright.record.bands import BAND_SHARE
from wattwright.record.estimate import Filled, Method, repair
from wattwright.record.kinds import REGISTER_DAILY
from wattwright.record.record import Channel, Form, Record
from wattwright.record.registered import Known, known_spans, register_for
from wattwright.record.registers import MOST_W

CONDUCTORS = "conductors"
"""What a person writes for the channel to have the conductors added up, although a column holds a total."""
_CONDUCTORS = (Phase.L1, Phase.L2, Phase.L3, Phase.LEG_A, Phase.LEG_B)


@dataclass(frozen=True, slots=True, eq=False)
class SitePower:
    """Active power drawn by the site in W, the ids of the channels it comes from, what it rests on, and the gaps filled in it."""

    series: Series
    channels: tuple[str, ...]
    grounds: Grounds
    findings: tuple[Finding, ...]
    filled: tuple[Filled, ...] = ()
    band_kwh: tuple[float, float] | None = None

    def repaired(
        self, clock: SiteClock, holidays: frozenset[date] = frozenset(), known: Sequence[Known] = (),
        without: frozenset[Method] = frozenset(),
    ) -> "SitePower":  # fmt: skip
        """Return the same power with its gaps filled by the published rules, on the site's clock and calendar.

        ``known`` are spans over which a register shows the total, ``without`` the rules that were refused.
        """
        made = repair(self.series, clock, holidays, known, without)
        if not made.filled:
            return self
        where, by_register = " + ".join(self.channels), sum(one.method is Method.REGISTER for one in made.filled)
        gaps, energy = len(made.filled), made.energy_kwh
        if made.band_kwh is None:
            note = kinds.FILLED_OPEN.at(where, gaps=gaps, energy=energy, registered=by_register)
        else:
            low, high = made.band_kwh
            note = kinds.FILLED.at(where, low=low, high=high, band=BAND_SHARE, gaps=gaps, energy=energy, registered=by_register)
        source = ", ".join(dict.fromkeys(one.method.value for one in made.filled))
        ground = collect([self.grounds, grounds(Basis.ESTIMATED, source)])
        notes = (*self.findings, note)
        return replace(self, series=made.series, grounds=ground, findings=notes, filled=made.filled, band_kwh=made.band_kwh)


def register_spans(power: SitePower, record: Record) -> tuple[Known, ...]:
    """Return the spans with gaps over which a register in ``record`` shows what the site took.

    A register that counts one way says nothing of a power that runs both ways.
    """
    if (power.series.values < 0).any() or not (~power.series.present).any():
        return ()
    measured = [record.channel(id_) for id_ in power.channels]
    if len(measured) == 1:
        register = register_for(measured[0], record.channels)
    else:
        whole = (c for c in record.of(Quantity.ACTIVE_POWER) if c.meaning.phase is Phase.TOTAL)
        counting = (c for c in whole if c.meaning.form is Form.REGISTER and c.meaning.direction is Direction.IMPORT)
        register = next(counting, None)
    return () if register is None else known_spans(power.series, register, record.layout.stamps)


def counted_in_gaps(power: SitePower, record: Record) -> float:
    """Return the energy in kWh that a register, itself the power of the site, counted while nothing was read of it.

    Nothing for a count that begins anew every day, and for a rise that no supply carries: there the meter was replaced.
    """
    channels = [record.channel(id_) for id_ in power.channels]
    daily = any(one.code == REGISTER_DAILY.code for one in record.findings)
    if power.filled or daily or len(channels) > 1 or channels[0].meaning.form is not Form.REGISTER:
        return 0.0
    spans = register_spans(power, record)
    return sum(one.energy_kwh for one in spans if one.energy_kwh <= MOST_W * (one.end_s - one.start_s) / 3.6e6)


def site_power(record: Record, channel: str = "") -> SitePower:
    """Return the power of the site in ``record``, or of the one ``channel`` named; "conductors" names the sum of the conductors.

    Raises RecordError when the record holds no active power, or no channel of that name.
    """
    conductors = _conductors(record)
    summed = channel == CONDUCTORS and len(conductors) > 1
    if channel and not summed:
        return _single(record, _named(record, channel))
    main = record.main
    if main is None:
        raise _no_power(record)
    if not summed and (main.meaning.phase is Phase.TOTAL or len(conductors) < 2):
        return _single(record, main)
    total = np.sum([one.series.values for one in conductors], axis=0)
    quality = np.max([one.series.quality for one in conductors], axis=0)
    raw = np.full(len(total), np.nan)
    series = Series(main.series.start_s, main.series.step_s, total, quality, raw)
    ids = tuple(one.id for one in conductors)
    note = kinds.NO_POWER.at(record.source.name, count=len(ids), channels=", ".join(ids))
    return SitePower(series, ids, _grounds_of(series, record, conductors), (note,))


def _conductors(record: Record) -> list[Channel]:
    power = record.of(Quantity.ACTIVE_POWER)
    return [c for c in power if c.meaning.phase in _CONDUCTORS and c.meaning.direction is not Direction.EXPORT]


def _single(record: Record, channel: Channel) -> SitePower:
    return SitePower(channel.series, (channel.id,), _grounds_of(channel.series, record, [channel]), ())


def _grounds_of(series: Series, record: Record, channels: Sequence[Channel]) -> Grounds:
    parts = [grounds(Basis.MEASURED, record.source.name)]
    parts += [grounds(one.basis, one.meaning.why) for one in channels if one.basis is not Basis.MEASURED]
    if series.estimated.any():
        parts.append(grounds(Basis.ESTIMATED, record.source.name))
    return collect(parts)


def _named(record: Record, channel: str) -> Channel:
    for one in record.all:
        if channel in (one.id, one.column):
            if one.meaning.form.is_extreme:
                raise _wrong_channel(record, channel, f"the {one.meaning.form.value}, which adds up to no energy")
            if one.meaning.quantity is Quantity.ACTIVE_POWER:
                return one
            raise _wrong_channel(record, channel, f"a channel of {one.meaning.quantity.value}")
    raise _wrong_channel(record, channel, f'no channel "{channel}"')


def _wrong_channel(record: Record, channel: str, found: str) -> InputError:
    known = ", ".join(c.id for c in record.of(Quantity.ACTIVE_POWER)) or "none"
    return RecordError.one(
        "demand.channel",
        Place(record.source.name, column=channel),
        found=found,
        wanted=f"a channel of active power: {known}",
        next_step="Name one of these.",
    )


def _held(channel: Channel) -> str:
    """Return what a channel holds, with its form where that is why it is no power."""
    meaning = channel.meaning
    return f"{meaning.quantity.value}, {meaning.form.value}" if meaning.form.is_extreme else meaning.quantity.value


def _no_power(record: Record) -> InputError:
    known = ", ".join(f"{c.column} ({_held(c)})" for c in record.channels)
    return RecordError.one(
        "demand.no-power",
        Place(record.source.name),
        found=known or "no channel",
        wanted="a channel of active power or energy",
        next_step="Say in the job file which column holds it.",
    )
