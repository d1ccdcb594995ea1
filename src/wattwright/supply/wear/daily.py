"""How long batteries last that give a share of their energy every day: for ranking many sizes by what passes through them."""

import numpy as np

from wattwright.supply.wear.ageing import ageing
from wattwright.supply.wear.cycles import Floats
from wattwright.supply.wear.spec import Wear

_DAY_S, _DAYS = 86_400.0, 365
_DEPTHS = np.concatenate((np.linspace(0.0, 1.0, 26), (1.5, 2.0, 3.0, 5.0, 10.0)))
_YEARS = 1


def life_years(spec: Wear, given_share: Floats) -> Floats:
    """Return the life, (m,) years, of batteries giving ``given_share`` (m,) of all they hold each day, in one cycle from full.

    More than all is given in as many whole cycles as it takes. Days are taken to be alike: unlike ones wear more or less, as
    the depths that a data sheet bears have it, so what is quoted is aged by its simulated charge. Common practice, no source.
    """
    wear = np.array([1.0 / _life(spec, float(one)) for one in _DEPTHS])
    # Wear between two depths is drawn straight, and goes on with what passes through beyond the last.
    beyond = np.maximum(np.asarray(given_share) / _DEPTHS[-1], 1.0)
    return np.asarray(1.0 / (np.interp(given_share, _DEPTHS, wear) * beyond))


def _life(spec: Wear, share: float) -> float:
    depth, cycles = min(share, 1.0), max(share, 1.0)
    charge = np.tile((1.0, 1.0 - depth), _DAYS)
    return ageing(spec, charge, _DAY_S / 2.0 / cycles, _YEARS).life_years
