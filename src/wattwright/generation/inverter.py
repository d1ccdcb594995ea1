"""What an inverter of PV gives: efficiency by part load, its limit, and the two weighted efficiencies of data sheets.

By Dobos 2014 (NREL/TP-6A20-62641) from one nominal efficiency, or from the points of a data sheet; between these the loss is
taken straight, and below the first it stays what it is there.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from wattwright.sky.models import inverter_w

Floats = NDArray[np.float64]
Curve = tuple[tuple[float, float], ...]
EUROPEAN: Final = ((0.05, 0.03), (0.10, 0.06), (0.20, 0.13), (0.30, 0.10), (0.50, 0.48), (1.00, 0.20))
"""Load over rating and weight: European efficiency (EN 50530, IEC 62891), as three public pages agree on."""
CEC: Final = ((0.10, 0.04), (0.20, 0.05), (0.30, 0.12), (0.50, 0.21), (0.75, 0.53), (1.00, 0.05))
"""Load over rating and weight: weighted efficiency of the California Energy Commission, as three public pages agree on."""


def direct_limit_w(limit_w: float, nominal: float, curve: Curve = ()) -> float:
    """Return the direct current's power, W, at which an inverter reaches its limit of alternating current."""
    return limit_w / (curve[-1][1] if curve else nominal)


def given_w(direct_w: Floats, limit_w: float, nominal: float, curve: Curve = ()) -> Floats:
    """Return the alternating current's power, W, from that of the direct current, shape as ``direct_w``; at most ``limit_w``.

    More than it takes is turned down. ``nominal`` is its efficiency at full load, for Dobos' form; it is not used with a
    ``curve`` of load over rating and efficiency, the last at full load.
    """
    most_w = direct_limit_w(limit_w, nominal, curve)
    # The inverter turns down what is more than it takes; far beyond that Dobos' efficiency would fall below nought.
    taken_w = np.clip(direct_w, 0.0, most_w)
    if curve:
        loads, shares = (np.array([one[k] for one in curve]) for k in (0, 1))
        made = taken_w - most_w * np.interp(taken_w / most_w, loads, loads * (1.0 - shares))
    else:
        made = inverter_w(taken_w, most_w, nominal)
    return np.asarray(np.clip(made, 0.0, limit_w), np.float64)


def efficiency(load_ratio: Floats, nominal: float, curve: Curve = ()) -> Floats:
    """Return the efficiency at loads over the rating, both of direct current, above nought; shape as ``load_ratio``."""
    loads = np.asarray(load_ratio, np.float64)
    # An inverter that takes 1 W at most, so that load over rating is power.
    return given_w(loads, 1.0 / direct_limit_w(1.0, nominal, curve), nominal, curve) / loads


def weighted(nominal: float, curve: Curve = (), weights: Curve = EUROPEAN) -> float:
    """Return a weighted efficiency: that at each load of ``weights`` times its weight, added up."""
    loads, shares = (np.array([one[k] for one in weights]) for k in (0, 1))
    return float(shares @ efficiency(loads, nominal, curve))
