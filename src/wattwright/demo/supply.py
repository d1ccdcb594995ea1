"""Voltage and current at the main meter, from the loads and a plain model of the network behind it."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wattwright.core.seeds import Streams
from wattwright.demo.place import NOMINAL_VOLTAGE_V
from wattwright.demo.survey import surveyed
from wattwright.demo.truth import Truth
from wattwright.demo.weather import wander

SOURCE_OHM = 0.18
"""Resistance of the network as seen from the meter: a longish rural service line."""


class Supply(NamedTuple):
    """What the main meter sees in each minute, each (minutes,)."""

    power_w: NDArray[np.float64]
    voltage_v: NDArray[np.float64]
    current_a: NDArray[np.float64]


def supply_of(known: Truth) -> Supply:
    """Return mean power, voltage and current of each minute; the current carries the loads' reactive power."""
    power_w = known.total_w
    reactive_per_w = np.array([np.tan(np.arccos(surveyed(name).power_factor)) for name in known.names])
    apparent_va = np.hypot(power_w, reactive_per_w @ known.power_w)
    day_sag_v = 2.0 * np.cos(2.0 * np.pi * (known.year.minute - 1200) / 1440.0)
    open_v = NOMINAL_VOLTAGE_V + 2.0 - day_sag_v + wander(Streams(known.seed).stream("demo.voltage"), len(power_w), 0.98, 1.2)
    # V = open - R I with I = S / V is a quadratic in V; the upper root is the running one.
    voltage_v = 0.5 * (open_v + np.sqrt(open_v**2 - 4.0 * SOURCE_OHM * apparent_va))
    return Supply(power_w, voltage_v, apparent_va / voltage_v)
