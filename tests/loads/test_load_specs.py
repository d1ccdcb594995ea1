"""What a person writes about a load: names met once, units read, every field said in words, and rows that can be stacked."""

import numpy as np
import pytest

from wattwright.loads.charger import Charger
from wattwright.loads.cold_store import ColdStore
from wattwright.loads.columns import P_MOST_W, PARAMS, STATES, USES, WEATHER
from wattwright.loads.compiled import stack
from wattwright.loads.greenhouse import Greenhouse
from wattwright.loads.humidity import DryRoom
from wattwright.loads.irrigation import Irrigation
from wattwright.loads.kernels import advance
from wattwright.loads.plain import Motor, Resistive
from wattwright.loads.pool_pump import PoolPump
from wattwright.loads.room import Room
from wattwright.loads.water_heater import WaterHeater

WRITTEN = {
    WaterHeater: {"volume": "150 l", "rating": "2 kW", "set_point": "60 °C"},
    Room: {
        "rating": "1.5 kW", "mode": "cool", "heat_kwh_per_k": 2, "loss_w_per_k": 150, "set_point": "24 °C", "sunlit_area": "2 m2",
    },
    ColdStore: {
        "rating": "1.5 kW", "heat_kwh_per_k": 3, "loss_w_per_k": 15, "set_point": "-22 °C", "limit": "-18 °C", "min_off": "5 min",
        "defrosts_per_day": 4, "defrost": "2 kW", "drip": "3 min", "room": "25 °C",
    },
    PoolPump: {"rating": "1.1 kW", "pool": "60 m3", "flow_m3_h": 15, "speed": "80 %"},
    Irrigation: {
        "rating": "750 W", "area": "100 m2", "litres_per_hour": 1200, "field_capacity": "32 %", "wilting_point": "12 %",
        "roots": "0.8 m", "start_mm": 30,
    },
    DryRoom: {"rating": "300 W", "room_m3": 75, "takes_per_day": "12 l", "begin": "62 %", "cease": "58 %", "start": "70 %"},
    Greenhouse: {"rating": "6 kW", "floor": "50 m2", "cover": "120 m2", "start": "8 °C", "start_humidity": "70 %"},
    Charger: {"rating": "7.2 kW", "taper": "2 kWh", "wanted": "10 kWh"},
    Motor: {"rating": "750 W", "start_time": "1 s", "start_ratio": 7},
    Resistive: {"rating": "250 W"},
}  # fmt: skip


@pytest.mark.parametrize("kind", WRITTEN, ids=lambda one: one.__name__)
def test_fields_are_named_once_and_described(kind) -> None:
    """No name or alias stands for two fields, and each field says what it is; the class says what to ask on site."""
    fields = kind.model_fields
    names = [*fields, *(field.alias for name, field in fields.items() if field.alias not in (None, name))]
    assert len(names) == len(set(names))
    assert [name for name, field in fields.items() if not field.description] == []
    assert "Survey:" in kind.__doc__


@pytest.mark.kernel
def test_all_kinds_run_side_by_side() -> None:
    """Each kind is read as a person writes it; stacked, they run through a day of weather, and every state stays a number."""
    loads = [kind.model_validate(written).compiled(kind.__name__) for kind, written in WRITTEN.items()]
    held = stack(loads)
    assert held.params.shape == (len(loads), PARAMS)
    assert held.states.shape == (len(loads), STATES)
    weather, use = np.zeros(WEATHER), np.zeros(USES)
    used = np.zeros(len(loads))
    for k in range(288):
        weather[:] = 15 + 10 * np.sin(k / 46), 12.0, max(0.0, 800 * np.sin(k / 46)), 0.006, 5 / 86_400, 0.0, 2.0
        for i, kind in enumerate(held.kinds):
            joules = advance(int(kind), held.params, held.states, i, k % 7 > 0, 300.0, weather, use)
            assert joules <= 300 * held.params[i, P_MOST_W] * (1 + 1e-12)
            used[i] += joules
    assert not np.isnan(held.states).any()
    assert (used >= 0.0).all()
    assert used[held.ids.index("Resistive")] == pytest.approx(250 * 300 * sum(k % 7 > 0 for k in range(288)))


def test_the_most_a_load_may_draw() -> None:
    """A cold store's defrost heater may draw more than its compressor, a slowed pump less than its rating (cube of 80 %)."""
    store = ColdStore.model_validate({**WRITTEN[ColdStore], "fan": "100 W", "defrost": "2 kW", "standby": "5 W"})
    pump = PoolPump.model_validate(WRITTEN[PoolPump])
    heater = WaterHeater.model_validate({**WRITTEN[WaterHeater], "upper_rating": "3 kW"})
    most = [one.compiled("x").params[P_MOST_W] for one in (store, pump, heater)]
    assert most == pytest.approx([2005.0, 1100 * 0.512, 3000.0])
