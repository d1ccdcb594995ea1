"""A tank in layers against scipy's integrator."""

from functools import lru_cache, partial
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from wattwright.checks.registry import Confidence, register
from wattwright.core.fields import Held
from wattwright.loads.columns import W_AIR_C, W_COLD_WATER_C, WEATHER
from wattwright.loads.compiled import stack
from wattwright.loads.draws import EU_PROFILES, flows_l_s
from wattwright.loads.kernels import advance
from wattwright.loads.tank_kernels import P_CONDUCT_W_K, S_NODE
from wattwright.loads.water_heater import WaterHeater

Floats = NDArray[np.float64]
_LAYERS, _LITRES, _LOSS_W_K, _USE_C, _COLD_C, _ROOM_C = 6, 300.0, 2.0, 40.0, 10.0, 20.0
_WATER_J_L_K = 4186.8


def _heater() -> WaterHeater:
    return WaterHeater(
        volume_l=Held(_LITRES), rating_w=Held(2000.0), loss_w_k=_LOSS_W_K, nodes=_LAYERS, room_c=Held(_ROOM_C),
        use_c=Held(_USE_C), set_c=Held(60.0),
    )  # fmt: skip


def _flows() -> list[float]:
    return [float(one) for one in flows_l_s(EU_PROFILES["M"], 60, _USE_C, _COLD_C)]


@lru_cache(maxsize=1)
def _ours() -> Floats:
    """Return the layers after a day of draws without heat, degC, (layers,)."""
    held = stack([_heater().compiled("tank")])
    weather = np.zeros(WEATHER)
    weather[W_AIR_C], weather[W_COLD_WATER_C] = _ROOM_C, _COLD_C
    for flow in _flows():
        advance(int(held.kinds[0]), held.params, held.states, 0, False, 60.0, weather, np.array([flow, 0.0]))
    return np.asarray(held.states[0, S_NODE : S_NODE + _LAYERS])


@lru_cache(maxsize=1)
def _theirs() -> Floats:
    """Return the same by scipy's RK45, from change to change of the flow."""
    from scipy.integrate import solve_ivp

    conduct = float(_heater().compiled("tank").params[P_CONDUCT_W_K])
    layer_j_k = _LITRES / _LAYERS * _WATER_J_L_K

    def slope(_: float, now: Floats, flow: float) -> Floats:
        # The valve mixes cold water in, so that the taps have their use temperature while the top is warmer.
        drawn = flow * (_USE_C - _COLD_C) / (now[0] - _COLD_C) if now[0] > _USE_C else flow
        under = np.append(now[1:], _COLD_C)
        gain_w = drawn * _WATER_J_L_K * (under - now) - _LOSS_W_K / _LAYERS * (now - _ROOM_C)
        falls_w = conduct * -np.diff(now)
        gain_w[:-1] -= falls_w
        gain_w[1:] += falls_w
        return np.asarray(gain_w / layer_j_k)

    layers = np.full(_LAYERS, 60.0)
    for flow, minutes in groupby(_flows()):
        lasts_s = 60.0 * len(list(minutes))
        layers = solve_ivp(slope, (0.0, lasts_s), layers, method="RK45", rtol=1e-8, atol=1e-8, args=(flow,)).y[:, -1]
    return np.asarray(layers)


def _layer(of: str, place: int) -> float:
    # What an adaptive step decides in the last digits differs from machine to machine.
    return round(float((_ours() if of == "ours" else _theirs())[place]), 4)


for _place, _name in ((0, "highest"), (2, "third"), (5, "lowest")):
    register(
        f"loads.layers-{_name}",
        f"the {_name} of six layers of a tank of 300 l after a day of draws (profile M) without heat",
        unit="°C",
        source="scipy.integrate.solve_ivp, RK45, rtol 1e-8",
        confidence=Confidence.REFERENCE_LIBRARY,
        published=partial(_layer, "theirs", _place),
        ours=partial(_layer, "ours", _place),
        tolerance=0.05,
        why="ours takes steps of a fixed share of a layer's water",
    )
