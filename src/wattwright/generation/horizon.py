"""What a horizon of hills, trees and houses takes from a slope: the sun while it stands behind, and part of the sky.

The beam and the bright sky about the sun are cut while the sun is behind the horizon at mid-interval. The even sky, and with it
the bright band above the horizon, keeps the share of it that the slope still sees. Light from the ground is left as it is.
"""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Horizon = tuple[tuple[float, float], ...]
_AZIMUTHS_DEG = np.arange(0.0, 360.0, 0.25) + 0.125


def height_deg(horizon: Horizon, azimuth_deg: Floats) -> Floats:
    """Return how high the horizon stands at azimuths from north, degrees, shape as given; straight between its points."""
    at, high = (np.array([one[k] for one in horizon]) for k in (0, 1))
    return np.asarray(np.interp(azimuth_deg, at, high, period=360.0), np.float64)


def sky_share(horizon: Horizon, tilt_deg: float, azimuth_deg: float) -> float:
    """Return which share of an even sky's light on a slope is left by a horizon of one point or more: 1 for a level one.

    The light of an even sky is the integral of the cosine of incidence over what is seen of it; by height in closed form, over
    the azimuth in small steps.
    """
    return _seen(np.radians(height_deg(horizon, _AZIMUTHS_DEG)), tilt_deg, azimuth_deg) / _seen(
        np.zeros(len(_AZIMUTHS_DEG)), tilt_deg, azimuth_deg
    )


def _seen(low: Floats, tilt_deg: float, azimuth_deg: float) -> float:
    tilt = np.radians(tilt_deg)
    across = np.sin(tilt) * np.cos(np.radians(_AZIMUTHS_DEG - azimuth_deg))
    # Behind the slope its own plane hides the sky up to the height at which the cosine of incidence is nought.
    own = np.arctan2(np.maximum(-across, 0.0), np.cos(tilt))
    from_ = np.maximum(low, own)
    even = 0.5 * (np.cos(tilt) * np.cos(from_) ** 2 + across * (np.pi / 2.0 - from_ - np.sin(from_) * np.cos(from_)))
    return float(np.mean(even))
