"""A greenhouse, as a person describes it. Its equations stand in ``greenhouse_kernels``."""

from math import inf

from pydantic import Field

from wattwright.core.fields import AreaM2, DifferenceK, PowerW, Share, TemperatureC
from wattwright.loads.columns import GREENHOUSE, S_VALUE
from wattwright.loads.compiled import CompiledLoad, row
from wattwright.loads.equipment import Equipment
from wattwright.loads.greenhouse_kernels import (
    P_AIR_KG,
    P_BEGIN_C,
    P_CEASE_C,
    P_EVAPORATED,
    P_HEAT_J_K,
    P_HIGH_C,
    P_LEAK_KG_S,
    P_LOW_C,
    P_SUN_M2,
    P_UA_W_K,
    P_VENT_C,
    P_VENT_KG_S,
    P_VENT_SPAN_K,
    S_AIR_C,
    S_RATIO,
)  # fmt: skip
from wattwright.loads.moist_air_kernels import SEA_LEVEL_PA, air_kg_m3, humidity_ratio

_HOUR_S = 3600.0
_FLOOR_J_K_M2 = 150_000.0


class Greenhouse(Equipment):
    """A greenhouse heated by electricity. Survey: cover and its area, floor, vents, heater's plate, coldest the plants bear.

    Usual values: U of single glass 6 W/(m2 K), of double sheets 3 to 4; sun let through 60 to 80 %; a share of 40 to 50 % of it
    evaporates where the plants cover the ground; ground and benches hold 150 kJ/K a m2: common practice, no source.
    """

    rating_w: PowerW = Field(alias="rating", gt=0, le=500_000, description="electric power of the heater")
    floor_m2: AreaM2 = Field(alias="floor", gt=0, le=100_000, description="ground covered")
    cover_m2: AreaM2 = Field(alias="cover", gt=0, le=500_000, description="glass or film that meets the outdoors")
    cover_w_m2_k: float = Field(6.0, gt=0, le=12, description="U of the cover, W/(m2 K); usual: 6 single glass, 3 to 4 double")
    passes: Share = Field(
        0.7, alias="lets_through", ge=0, le=1, description="share of the level's sun let through; usual: 60 to 80 %"
    )
    evaporated: Share = Field(0.4, ge=0, lt=1, description="share of the sun that evaporates water; usual: 40 to 50 %")
    height_m3_m2: float = Field(2.5, gt=0, le=20, description="air over each m2 of floor, m3; usual: 2 to 4")
    changes: float = Field(
        1.0, alias="air_changes", gt=0, le=20, description="air changes an hour with shut vents; usual: 0.5 to 2"
    )
    vent_changes: float = Field(30.0, ge=0, le=120, description="air changes an hour with open vents; usual: 20 to 60")
    vent_c: TemperatureC = Field(24.0, alias="vents_from", ge=0, le=50, description="where the vents begin to open")
    vent_span_k: DifferenceK = Field(4.0, alias="vents_over", gt=0, le=20, description="how much warmer they are open")
    set_c: TemperatureC = Field(
        5.0, alias="set_point", ge=-5, le=35, description="where the heater begins; against frost: 3 to 5 degC"
    )
    differential_k: DifferenceK = Field(1.0, alias="differential", gt=0, le=10, description="how much warmer it ceases")
    low_c: TemperatureC = Field(3.0, alias="low", ge=-20, le=40, description="too cold for the plants below this")
    high_c: TemperatureC | None = Field(None, alias="high", ge=0, le=60, description="too warm above this; left out: not counted")
    start_c: TemperatureC = Field(10.0, alias="start", ge=-30, le=60, description="at the start")
    humidity: Share = Field(0.7, alias="start_humidity", gt=0, le=1, description="humidity at the start")

    def compiled(self, id_: str) -> CompiledLoad:
        """Return the greenhouse as a row for the engine."""
        ratio = humidity_ratio(self.start_c, self.humidity, SEA_LEVEL_PA)
        air_kg = air_kg_m3(self.start_c, ratio, SEA_LEVEL_PA) * self.floor_m2 * self.height_m3_m2
        params = {
            **self.common(),
            P_HEAT_J_K: _FLOOR_J_K_M2 * self.floor_m2, P_UA_W_K: self.cover_w_m2_k * self.cover_m2,
            P_BEGIN_C: self.set_c, P_CEASE_C: self.set_c + self.differential_k,
            P_SUN_M2: self.floor_m2 * self.passes, P_EVAPORATED: self.evaporated, P_AIR_KG: air_kg,
            P_LEAK_KG_S: air_kg * self.changes / _HOUR_S, P_VENT_KG_S: air_kg * self.vent_changes / _HOUR_S,
            P_VENT_C: self.vent_c, P_VENT_SPAN_K: self.vent_span_k, P_LOW_C: self.low_c,
            P_HIGH_C: inf if self.high_c is None else self.high_c,
        }  # fmt: skip
        return row(id_, GREENHOUSE, params, {S_VALUE: self.start_c, S_AIR_C: self.start_c, S_RATIO: ratio})
