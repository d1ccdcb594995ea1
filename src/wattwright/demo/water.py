"""The two storage water heaters: draws by people, losses, and a thermostat nobody controls today."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.demo.pulses import Pulses

WATER_WH_PER_L_K = 1.163
"""Heat to warm one litre of water by one kelvin: 4.187 kJ/(kg K), 1 kg per litre."""
MIXED_C = 40.0
HOT_C = 60.0


@dataclass(frozen=True, slots=True)
class Tank:
    """A well mixed tank whose thermostat cuts in `differential_k` below 60 C."""

    volume_l: float
    rating_w: float
    loss_w: float
    """Standing loss while hot, taken as constant."""
    differential_k: float

    def heat_wh(self, kelvin: float) -> float:
        """Return the heat for a temperature change of the whole tank, Wh."""
        return self.volume_l * WATER_WH_PER_L_K * kelvin


@dataclass(frozen=True, slots=True)
class Heating:
    """The running times of a heater over the year and the heat that explains them, Wh."""

    pulses: Pulses
    drawn_wh: float
    lost_wh: float
    owed_wh: float
    """Heat missing from a full tank at the end of the year; the tank is full at the start."""
    most_owed_wh: float
    """The most heat that was ever missing: it tells how cold the tank once was."""


def draw_heat_wh(mixed_l: NDArray[np.float64], cold_c: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the heat (k,), Wh, in draws of `mixed_l` litres at 40 C made from cold water of `cold_c`."""
    return np.asarray(mixed_l * WATER_WH_PER_L_K * (MIXED_C - cold_c))


def heat_tank(tank: Tank, when: NDArray[np.float64], heat_wh: NDArray[np.float64], minutes: int) -> Heating:
    """Return how the heater answers draws (k,) at sorted minutes `when` (k,), solved from event to event."""
    loss, gain = tank.loss_w / 60.0, (tank.rating_w - tank.loss_w) / 60.0
    cut_in = tank.heat_wh(tank.differential_k)
    owed, most, now, on_since = 0.0, 0.0, 0.0, -1.0
    starts: list[float] = []
    ends: list[float] = []
    for event, wanted in zip([*when.tolist(), float(minutes)], [*heat_wh.tolist(), 0.0], strict=True):
        while now < event:
            rate, goal = (-gain, 0.0) if on_since >= 0.0 else (loss, cut_in)
            wait = (goal - owed) / rate
            if now + wait > event:
                owed, now = owed + rate * (event - now), event
            elif on_since >= 0.0:
                starts.append(on_since)
                ends.append(now + wait)
                owed, now, on_since = 0.0, now + wait, -1.0
            else:
                owed, now = cut_in, now + wait
                on_since = now
        owed += wanted
        most = max(most, owed)
        if owed >= cut_in and on_since < 0.0:
            on_since = now
    if on_since >= 0.0:
        starts.append(on_since)
        ends.append(float(minutes))
    run = Pulses(np.array(starts), np.array(ends), np.full(len(starts), tank.rating_w))
    return Heating(run, float(heat_wh.sum()), loss * minutes, owed, most)
