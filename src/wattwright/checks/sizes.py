"""Sizes against cases worked out by hand: loss of load, use of PV on site, and the lowest peak a battery can reach."""

from functools import partial

import numpy as np
from numpy.typing import NDArray

from wattwright.checks.registry import Confidence, register
from wattwright.supply.sizing.columns import (
    SIZES,
    SUMS,
    Y_EXPORT_J,
    Y_IMPORT_J,
    Y_PEAK_W,
    Y_UNSERVED_J,
    Z_CHARGE_W,
    Z_DISCHARGE_W,
    Z_FULL_J,
    Z_INVERTER_W,
    Z_PV_W,
    Z_SHAVE_W,
)  # fmt: skip

Floats = NDArray[np.float64]
_KWH_J = 3.6e6
_ENDLESS_W = 1e9


def _size(full_kwh: float, *, pv: float = 1.0, out_kw: float = 1e6, charge_w: float = _ENDLESS_W, shave_w: float = 0.0) -> Floats:
    z = np.zeros((SIZES, 1))
    z[Z_PV_W], z[Z_FULL_J], z[Z_INVERTER_W] = pv, full_kwh * _KWH_J, _ENDLESS_W
    z[Z_CHARGE_W], z[Z_DISCHARGE_W], z[Z_SHAVE_W] = charge_w, out_kw * 1000.0, shave_w
    return z


def _sums(
    site_w: Floats, pv_w: Floats, grid: float, z: Floats, held_kwh: float, share: float = 1.0, step_s: float = 3600.0
) -> tuple[Floats, float]:  # fmt: skip
    """Return the sums of one size and what its battery then holds, kWh."""
    from wattwright.supply.sizing.sweep_kernels import sweep

    y, held_j = np.zeros((SUMS, 1)), np.array([held_kwh * _KWH_J])
    there = np.full(len(site_w), grid)
    sweep(site_w, pv_w, np.zeros(len(site_w)), there, z, held_j, y, np.zeros((0, 1)), 1.0, share, share, step_s)
    return y[:, 0], float(held_j[0]) / _KWH_J


def _ten_days(usable_kwh: float) -> float:
    """Return the share unserved of ten days of 4 kWh each, PV of 5, 1, 0, 2, 6, 7, 1, 0, 0, 5 kWh, the battery full at first."""
    pv_w = np.array([5, 1, 0, 2, 6, 7, 1, 0, 0, 5]) * 1000.0 / 24.0
    made, _ = _sums(np.full(10, 4000.0 / 24.0), pv_w, 0.0, _size(usable_kwh), usable_kwh, step_s=86_400.0)
    return float(made[Y_UNSERVED_J]) / _KWH_J / 40.0


def _autonomy(days: int) -> float:
    """Return what so many days without sun leave unserved of a battery that holds as many days' energy, kWh."""
    made, _ = _sums(np.full(24 * days, 500.0), np.zeros(24 * days), 0.0, _size(12.0 * days), 12.0 * days)
    return float(made[Y_UNSERVED_J]) / _KWH_J


def _own_use(full_kwh: float, share: float) -> float:
    """Return what a battery saves on a day of 0.8 kW and 29 kWh of PV, bought at 0.30 and sold at 0.05, its end as its start."""
    pv_w = np.zeros(24)
    pv_w[6:18] = np.array([0.5, 1, 2, 3, 3.5, 4, 4, 3.5, 3, 2, 1, 0.5]) * 1000.0
    site_w = np.full(24, 800.0)
    _, first_kwh = _sums(site_w, pv_w, 1.0, _size(full_kwh), 0.0, share)
    made, last_kwh = _sums(site_w, pv_w, 1.0, _size(full_kwh), first_kwh, share)
    bare, _ = _sums(site_w, pv_w, 1.0, _size(0.0), 0.0)
    cost, plain = (float(one[Y_IMPORT_J] * 0.30 - one[Y_EXPORT_J] * 0.05) / _KWH_J for one in (made, bare))
    return plain - cost + (last_kwh - first_kwh) / share * 0.05


def _lowest_peak(full_kwh: float, out_kw: float, share: float) -> float:
    """Return the lowest level to which a full battery shaves a load of 2 to 10 kW, kW, by halving."""
    load_w = np.array([2, 2, 2, 2, 3, 5, 8, 10, 9, 7, 4, 2]) * 1000.0
    low, high = 0.0, 10_000.0
    while high - low > 1e-6:
        level = 0.5 * (low + high)
        z = _size(full_kwh, pv=0.0, out_kw=out_kw, charge_w=0.0, shave_w=level)
        made, _ = _sums(load_w, np.zeros(12), 1.0, z, full_kwh, share)
        low, high = (low, level) if made[Y_PEAK_W] <= level + 1e-7 else (level, high)
    return high / 1000.0


for _whole, _lost in ((4, 0.300), (6, 0.225), (8, 0.175), (10, 0.125)):
    register(
        f"sizing.lpsp-{_whole}",
        f"loss of power supply probability of ten days with {_whole} kWh of storage",
        unit="",
        source="worked out by hand, day by day: charge and serve, then clip",
        confidence=Confidence.CLOSED_FORM,
        published=_lost,
        tolerance=1e-12,
        why="rounding of floats",
        ours=partial(_ten_days, float(_whole)),
    )
for _days in (1, 3, 5):
    register(
        f"sizing.autonomy-{_days}",
        f"unserved in {_days} days without sun of a battery of as many days' energy, full at first",
        unit="kWh",
        source="energy held is energy used, no losses",
        confidence=Confidence.CLOSED_FORM,
        published=0.0,
        tolerance=1e-9,
        why="rounding of floats",
        ours=partial(_autonomy, _days),
    )
for _kwh, _share, _saved in ((5.0, 1.0, 1.250), (5.0, 0.95, 1.161842), (8.0, 1.0, 2.000), (30.0, 0.95, 2.494903)):
    register(
        f"sizing.own-use-{_kwh:g}-{100 * _share:g}",
        f"saving of {_kwh:g} kWh of battery on a day of PV, {100 * _share:g} % each way: the optimum of any dispatch",
        unit="EUR",
        source="closed form: stored surplus replaces import as far as surplus, deficit and size go",
        confidence=Confidence.CLOSED_FORM,
        published=_saved,
        tolerance=6e-7,
        why="six decimals",
        ours=partial(_own_use, _kwh, _share),
    )
for _kwh, _kw, _share, _peak in (
    (3.0, 1e6, 1.0, 8.0), (6.0, 1e6, 1.0, 7.0), (10.0, 1e6, 1.0, 6.0), (6.0, 2.0, 1.0, 8.0), (6.0, 1e6, 0.9, 7.2),
    (5.4, 1e6, 0.9, 7.38),
):  # fmt: skip
    register(
        "sizing." + f"peak-{_kwh:g}-{_kw:g}-{100 * _share:g}".replace("1e+06", "any").replace(".", "-"),
        f"lowest peak with {_kwh:g} kWh, {'any power' if _kw > 1e5 else f'{_kw:g} kW'}, {100 * _share:g} % out",
        unit="kW",
        source="water-filling: the lowest level above which lies no more than the battery gives",
        confidence=Confidence.CLOSED_FORM,
        published=_peak,
        tolerance=1e-6,
        why="found by halving",
        ours=partial(_lowest_peak, _kwh, _kw, _share),
    )
