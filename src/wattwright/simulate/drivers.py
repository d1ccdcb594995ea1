"""What comes to a site from outside in each step: the rest of the site, weather, uses, the grid, the link, voltage and sun."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.errors import OwnFault
from wattwright.loads.columns import USES, W_AIR_C, W_COLD_WATER_C, WEATHER

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
CONDUCTORS = 3


@dataclass(frozen=True, slots=True, eq=False)
class Drivers:
    """One row for each of n steps.

    ``rest_w``, ``rest_var`` (n, 3): active and reactive power of what is not simulated, by conductor; ``weather`` (n, WEATHER);
    ``uses`` (loads, n, USES); ``grid``, ``linked`` (n,): whether grid and link are there; ``volts`` (n, 3): between conductor and
    neutral, NaN where there is no conductor; ``pv_w`` (n,): AC power the PV could give; ``beside_w`` (n,): that of PV with
    an inverter of its own, which gives beside the grid only. Raises OwnFault where shapes differ.
    """

    rest_w: Floats
    rest_var: Floats
    weather: Floats
    uses: Floats
    grid: Bools
    linked: Bools
    volts: Floats
    pv_w: Floats
    beside_w: Floats

    def __post_init__(self) -> None:
        """Hold the shapes against one another."""
        n = len(self)
        wanted = {
            "rest_w": (n, CONDUCTORS), "rest_var": (n, CONDUCTORS), "weather": (n, WEATHER),
            "uses": (len(self.uses), n, USES), "grid": (n,), "linked": (n,), "volts": (n, CONDUCTORS), "pv_w": (n,),
            "beside_w": (n,),
        }  # fmt: skip
        for name, shape in wanted.items():
            found = getattr(self, name).shape
            if found != shape:
                raise OwnFault(f"drivers: {name} has the shape {found} instead of {shape}")

    def __len__(self) -> int:
        """Return the number of steps."""
        return len(self.grid)


def steady(
    steps: int, loads: int, *, volts: tuple[float, ...] = (230.0,), rest_w: float = 0.0, air_c: float = 15.0,
    cold_water_c: float = 12.0, pv_w: float = 0.0,
) -> Drivers:  # fmt: skip
    """Return drivers that stay the same for all steps: the rest spread evenly over the conductors, grid and link there."""
    weather, fed = np.zeros((steps, WEATHER)), np.full((steps, CONDUCTORS), np.nan)
    weather[:, W_AIR_C], weather[:, W_COLD_WATER_C] = air_c, cold_water_c
    fed[:, : len(volts)] = volts
    rest = np.zeros((steps, CONDUCTORS))
    rest[:, : len(volts)] = rest_w / len(volts)
    return Drivers(
        rest_w=rest, rest_var=np.zeros((steps, CONDUCTORS)), weather=weather, uses=np.zeros((loads, steps, USES)),
        grid=np.ones(steps, np.bool_), linked=np.ones(steps, np.bool_), volts=fed, pv_w=np.full(steps, pv_w),
        beside_w=np.zeros(steps),
    )  # fmt: skip
