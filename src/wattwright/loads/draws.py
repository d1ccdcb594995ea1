"""Published days of hot water draws, as wanted flows at use temperature.

Source: Regulation (EU) 812/2013, Annex VII, Table 3 (energies and times from an independent copy whose sums agree; the
flows of profile XL follow the pattern of the others, from memory).
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S
from wattwright.loads.tank_kernels import HEAT_J_L_K

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Draw:
    """One draw: minute of the day, useful energy in kWh, flow in l/min."""

    minute: int
    energy_kwh: float
    flow_l_min: float


def _draws(text: str) -> tuple[Draw, ...]:
    """Read "07:00 07:30 = 0.105 @ 3; ..." as draws in the order of the day."""
    found = []
    for group in text.split(";"):
        times, _, size = group.partition("=")
        energy, _, flow = size.partition("@")
        for time in times.split():
            hour, _, minute = time.partition(":")
            found.append(Draw(60 * int(hour) + int(minute), float(energy), float(flow)))
    return tuple(sorted(found, key=lambda one: one.minute))


_SMALL_DAY = "08:30 08:45 09:00 09:30 10:30 11:30 11:45 14:30 15:30 16:30 18:00 18:15 18:30 19:00 = 0.105 @ 3"
EU_PROFILES: Final = {
    "S": _draws(
        "07:00 07:30 08:30 09:30 11:30 11:45 18:00 18:15 = 0.105 @ 3; 12:45 = 0.315 @ 4; 20:30 = 0.420 @ 4; 21:30 = 0.525 @ 5"
    ),
    "M": _draws(
        f"{_SMALL_DAY}; 07:00 07:30 08:01 08:15 21:15 = 0.105 @ 3; 07:05 21:30 = 1.4 @ 6; 12:45 = 0.315 @ 4; 20:30 = 0.735 @ 4"
    ),
    "L": _draws(
        f"{_SMALL_DAY}; 07:00 07:30 07:45 08:25 21:30 = 0.105 @ 3; 07:05 = 1.4 @ 6; 08:05 21:00 = 3.605 @ 10; 12:45 = 0.315 @ 4; "
        "20:30 = 0.735 @ 4"
    ),
    "XL": _draws(
        "07:00 07:26 08:01 08:15 08:30 08:45 09:00 09:30 10:00 10:30 11:00 11:30 11:45 14:30 15:00 15:30 16:00 16:30 17:00 18:00 "
        "18:15 18:30 19:00 21:15 = 0.105 @ 3; 07:15 = 1.82 @ 6; 07:45 20:46 21:30 = 4.42 @ 10; 12:45 20:30 = 0.735 @ 4"
    ),
}
"""The days by their names; the useful energy of each day is published as 2.100, 5.845, 11.655 and 19.070 kWh."""


def flows_l_s(draws: tuple[Draw, ...], step_s: int, use_c: float, cold_c: float) -> Floats:
    """Return a day of wanted flows at ``use_c``, l/s, mean of each step of ``step_s``; shape (86,400 / step_s,).

    Each draw flows at its rate until its energy above ``cold_c`` is drawn; what begins before midnight and runs on comes at the
    day's beginning. Raises ValueError where the use temperature is not above the cold water.
    """
    if use_c <= cold_c:
        raise ValueError("water is used warmer than it comes")
    seconds = np.zeros(DAY_S)
    for one in draws:
        litres = one.energy_kwh * 3.6e6 / (HEAT_J_L_K * (use_c - cold_c))
        whole, rest = divmod(litres / (one.flow_l_min / 60.0), 1.0)
        at = (60 * one.minute + np.arange(int(whole) + 1)) % DAY_S
        np.add.at(seconds, at, one.flow_l_min / 60.0 * np.append(np.ones(int(whole)), rest))
    return np.asarray(seconds.reshape(-1, step_s).mean(axis=1))
