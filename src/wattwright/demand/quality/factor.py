"""Power factor of each conductor over the whole record, from what was measured beside its active power."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wattwright.core.basis import Basis
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.core.series import Floats
from wattwright.record.record import Channel

_LOADED = 0.1
_FEWEST = 24


@dataclass(frozen=True, slots=True)
class Factor:
    """The power factor of a conductor: over all of the record, and the tenth, middle and ninetieth percentile when loaded.

    ``mean`` is energy over apparent energy; ``how`` says what it comes from. Loaded means above a tenth of the highest apparent
    power: what little flows besides would decide the percentiles otherwise.
    """

    conductor: Phase
    mean: float
    low: float
    median: float
    high: float
    how: str


def factors(channels: Sequence[Channel]) -> tuple[Factor, ...]:
    """Return the power factor of each conductor whose active power was measured beside apparent or reactive power, or V and I.

    Of several the first of these counts. Means over an interval hide how power moved within it, so that apparent power from
    reactive power is a little low there, and that from voltage times current a little high.
    """
    return tuple(one for phase in Phase if (one := _factor(channels, phase)) is not None)


def _factor(channels: Sequence[Channel], phase: Phase) -> Factor | None:
    def of(quantity: Quantity) -> Floats | None:
        for one in channels:
            meant = one.meaning
            known = one.basis is Basis.MEASURED and meant.direction is not Direction.EXPORT and not meant.form.is_extreme
            if known and (meant.quantity, meant.phase) == (quantity, phase):
                return one.series.read_only().values
        return None

    active = of(Quantity.ACTIVE_POWER)
    if active is None:
        return None
    apparent, reactive = of(Quantity.APPARENT_POWER), of(Quantity.REACTIVE_POWER)
    volts, amps = of(Quantity.VOLTAGE), of(Quantity.CURRENT)
    if apparent is not None:
        whole, how = apparent, "active and apparent power"
    elif reactive is not None:
        whole, how = np.hypot(active, reactive), "active and reactive power"
    elif volts is not None and amps is not None:
        whole, how = volts * amps, "active power, voltage and current"
    else:
        return None
    held = ~np.isnan(active) & ~np.isnan(whole) & (active >= 0) & (whole > 0)
    loaded = held & (whole > _LOADED * float(np.max(whole[held], initial=0.0)))
    if loaded.sum() < _FEWEST:
        return None
    mean = float(active[held].sum() / whole[held].sum())
    low, median, high = (float(one) for one in np.quantile(active[loaded] / whole[loaded], (0.1, 0.5, 0.9)))
    return Factor(phase, mean, low, median, high, how)
