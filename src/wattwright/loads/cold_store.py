"""A cold room or freezer, as a person describes it. Its equations stand in ``cold_kernels``."""

from math import inf, nan

from pydantic import Field

from wattwright.core.fields import DifferenceK, DurationS, PowerW, Share, TemperatureC
from wattwright.loads.cold_kernels import (
    P_BEGIN_C,
    P_CARNOT,
    P_CEASE_C,
    P_CONDENSER_C,
    P_CONDENSING_K,
    P_CONDENSING_LEAST_C,
    P_DEFROST_S,
    P_DEFROST_W,
    P_DOOR_W_K,
    P_DRIP_S,
    P_EVAPORATING_C,
    P_EVERY_S,
    P_FAN_W,
    P_HEAT_J_K,
    P_INSIDE,
    P_LIMIT_C,
    P_PROBE_S,
    P_ROOM_C,
    P_UA_W_K,
    S_AIR_C,
    S_PHASE_LEFT_S,
    S_PROBE_C,
)  # fmt: skip
from wattwright.loads.columns import COLD_STORE, S_VALUE
from wattwright.loads.compiled import CompiledLoad, row
from wattwright.loads.equipment import MotorDriven

J_KWH = 3.6e6
MELT_J_KG = 334_000.0
"""Heat that melts ice."""


class ColdStore(MotorDriven):
    """A cold room, freezer or cold cabinet. Survey: goods and their limit, plate of the unit, defrosts, doors, alarm.

    Usual values: shortest rest of the compressor 3 to 5 min, 2 to 6 defrosts a day of 15 to 45 min, share of the ideal machine
    30 to 50 %: common practice, no source. Frozen goods hold 1.9 kJ/(kg K), chilled ones 3.3 to 3.9 (ASHRAE Handbook
    Refrigeration, from memory).
    """

    rating_w: PowerW = Field(alias="rating", gt=0, le=500_000, description="electric power of the compressor")
    heat_kwh_k: float = Field(alias="heat_kwh_per_k", gt=0, le=1000, description="heat that goods and shell hold, kWh/K")
    loss_w_k: float = Field(alias="loss_w_per_k", gt=0, le=10_000, description="loss through walls, W/K; usual: 0.25 W/K a m2")
    set_c: TemperatureC = Field(alias="set_point", ge=-60, le=20, description="where the compressor ceases")
    differential_k: DifferenceK = Field(
        2.0, alias="differential", gt=0, le=15, description="how much warmer it begins; usual: 1 to 3 K"
    )
    limit_c: TemperatureC = Field(alias="limit", ge=-60, le=25, description="the goods may be no warmer; usual: -18 or 5 degC")
    room_c: TemperatureC | None = Field(None, alias="room", ge=-30, le=60, description="air about it; the weather's if left out")
    condenser_c: TemperatureC | None = Field(
        None, alias="condenser", ge=-30, le=60, description="air at the condenser; the weather's if left out"
    )
    carnot: Share = Field(0.4, gt=0, le=1, description="share of the ideal machine; usual: 30 to 50 %")
    evaporating_k: DifferenceK = Field(
        8.0, alias="evaporating_below", ge=0, le=30, description="below the set point; usual: 6 to 10 K"
    )
    condensing_k: DifferenceK = Field(12.0, alias="condensing_above", ge=0, le=40, description="above its air; usual: 10 to 15 K")
    condensing_least_c: TemperatureC = Field(
        25.0, alias="condensing_least", ge=0, le=60, description="kept at least; usual: 25 degC"
    )
    door_w_k: float = Field(0.0, alias="door_w_per_k", ge=0, le=10_000, description="further loss while the door is open, W/K")
    fan_w: PowerW = Field(0.0, alias="fan", ge=0, le=20_000, description="fans and lights inside, while it is fed")
    probe_s: DurationS = Field(
        1200.0, alias="probe", gt=0, le=86_400, description="time constant of the goods; usual: 10 to 30 min"
    )
    defrosts: float = Field(0.0, alias="defrosts_per_day", ge=0, le=24, description="defrosts in a day; usual: 2 to 6")
    defrost_w: PowerW = Field(0.0, alias="defrost", ge=0, le=100_000, description="defrost heater; 0 where the fan melts the ice")
    defrost_s: DurationS = Field(
        1800.0, alias="defrost_longest", gt=0, le=7200, description="longest defrost; usual: 15 to 45 min"
    )
    ice_kg: float | None = Field(None, ge=0, le=500, description="ice on the coil at a defrost, kg; ends it when it is melted")
    drip_s: DurationS = Field(180.0, alias="drip", ge=0, le=3600, description="rest after a defrost; usual: 2 to 5 min")
    inside: Share = Field(0.5, ge=0, le=1, description="share of the defrost heat that stays in the store; usual: 50 %")
    start_c: TemperatureC | None = Field(
        None, alias="start", ge=-60, le=60, description="at the start; the set point if left out"
    )

    def defrost_time_s(self) -> float:
        """Return how long a defrost lasts: until the ice is melted by what does not stay in the store, or the longest, s."""
        melts_w = self.defrost_w * (1.0 - self.inside)
        if self.ice_kg is None or melts_w <= 0.0:
            return self.defrost_s
        return max(1.0, min(self.defrost_s, self.ice_kg * MELT_J_KG / melts_w))

    def most_w(self) -> float:
        """Return the most it may draw at once: compressor and fan, or the defrost heater, W."""
        return max(self.rating_w + self.fan_w, self.defrost_w) + self.standby_w

    def compiled(self, id_: str) -> CompiledLoad:
        """Return the store as a row for the engine."""
        start = self.start_c if self.start_c is not None else self.set_c
        lasts = self.defrost_time_s()
        every = max(60.0, 86_400.0 / self.defrosts - lasts - self.drip_s) if self.defrosts > 0.0 else inf
        params = {
            **self.common(),
            P_HEAT_J_K: self.heat_kwh_k * J_KWH, P_UA_W_K: self.loss_w_k,
            P_BEGIN_C: self.set_c + self.differential_k, P_CEASE_C: self.set_c,
            P_ROOM_C: nan if self.room_c is None else self.room_c,
            P_CONDENSER_C: nan if self.condenser_c is None else self.condenser_c,
            P_CARNOT: self.carnot, P_EVAPORATING_C: self.set_c - self.evaporating_k, P_CONDENSING_K: self.condensing_k,
            P_CONDENSING_LEAST_C: self.condensing_least_c, P_DOOR_W_K: self.door_w_k, P_FAN_W: self.fan_w,
            P_PROBE_S: self.probe_s, P_LIMIT_C: self.limit_c, P_EVERY_S: every, P_DEFROST_W: self.defrost_w,
            P_DEFROST_S: lasts, P_DRIP_S: self.drip_s, P_INSIDE: self.inside,
        }  # fmt: skip
        return row(id_, COLD_STORE, params, {S_VALUE: start, S_AIR_C: start, S_PROBE_C: start, S_PHASE_LEFT_S: every})
