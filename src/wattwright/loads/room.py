"""A room heated or cooled, as a person describes it. Its equations stand in ``room_kernels``."""

from math import inf
from typing import Literal, Self

from pydantic import Field, model_validator

from wattwright.core.fields import AreaM2, DifferenceK, PowerW, TemperatureC
from wattwright.loads.columns import ROOM, S_VALUE
from wattwright.loads.compiled import CompiledLoad, row
from wattwright.loads.equipment import Equipment
from wattwright.loads.room_kernels import (
    P_BEGIN_C,
    P_CEASE_C,
    P_COP,
    P_COP_AT_C,
    P_COP_LEAST,
    P_COP_PER_K,
    P_EXCHANGE_W_K,
    P_HEAT_J_K,
    P_HIGH_C,
    P_LOW_C,
    P_MASS_J_K,
    P_SIGN,
    P_SUN_M2,
    P_UA_W_K,
    S_AIR_C,
    S_MASS_C,
)  # fmt: skip

J_KWH = 3.6e6
_WANTED_K = 1.0


class Room(Equipment):
    """A room with one unit. Survey: floor area and build, glass and where it looks, plate of the unit, thermostat's setting.

    Usual values: heat held 45 Wh/K for each m2 of floor in a building of medium weight (EN ISO 13790, table 12, from memory);
    loss from U-values and 0.34 Wh/(m3 K) for the air that leaks.
    """

    rating_w: PowerW = Field(alias="rating", gt=0, le=500_000, description="electric power of the unit while it runs")
    mode: Literal["heat", "cool"] = Field("heat", description="what the unit does")
    heat_kwh_k: float = Field(alias="heat_kwh_per_k", gt=0, le=1000, description="heat the room holds, kWh/K; usual: 1 to 5")
    loss_w_k: float = Field(
        alias="loss_w_per_k", gt=0, le=50_000, description="loss with the air that leaks, W/K; usual: 30 to 300"
    )
    mass_kwh_k: float = Field(
        0.0,
        alias="mass_kwh_per_k",
        ge=0,
        le=1000,
        description="heat that walls and floors hold apart from the air; 0: all in one",
    )
    exchange_w_k: float = Field(
        500.0,
        alias="exchange_w_per_k",
        gt=0,
        le=100_000,
        description="between air and mass, W/K; usual: 9 W/K for each m2 of surface",
    )
    set_c: TemperatureC = Field(20.0, alias="set_point", ge=-30, le=60, description="middle of the thermostat's band")
    differential_k: DifferenceK = Field(
        1.0, alias="differential", gt=0, le=20, description="between where it begins and ceases; usual: 0.5 to 1 K"
    )
    cop: float = Field(
        1.0, gt=0, le=15, description="heat or cold given over power drawn; 1 for plain electric heat, else 2 to 5"
    )
    cop_per_k: float = Field(0.0, ge=-1, le=1, description="its change for each kelvin that the outdoor air is warmer")
    cop_at_c: TemperatureC = Field(7.0, alias="cop_at", ge=-30, le=60, description="outdoor temperature at which it holds")
    cop_least: float = Field(1.0, gt=0, le=15, description="what it never falls below")
    sun_m2: AreaM2 = Field(
        0.0,
        alias="sunlit_area",
        ge=0,
        le=1000,
        description="glass times what it lets through and sees of the sun; 20 to 40 % of it",
    )
    low_c: TemperatureC | None = Field(
        None, alias="low", ge=-30, le=60, description="too cold below this; left out: 1 K under the set point when heating"
    )
    high_c: TemperatureC | None = Field(
        None, alias="high", ge=-30, le=60, description="too warm above this; left out: 1 K over the set point when cooling"
    )
    start_c: TemperatureC | None = Field(
        None, alias="start", ge=-50, le=80, description="at the start; the set point if left out"
    )

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.low_c is not None and self.high_c is not None and self.low_c >= self.high_c:
            raise ValueError("a low limit below the high one|Exchange them.")
        return self

    def band(self) -> tuple[float, float]:
        """Return (too cold below, too warm above), degC."""
        heats = self.mode == "heat"
        low = self.low_c if self.low_c is not None else self.set_c - _WANTED_K if heats else -inf
        high = self.high_c if self.high_c is not None else inf if heats else self.set_c + _WANTED_K
        return low, high

    def compiled(self, id_: str) -> CompiledLoad:
        """Return the room as a row for the engine."""
        sign = 1.0 if self.mode == "heat" else -1.0
        start = self.start_c if self.start_c is not None else self.set_c
        low, high = self.band()
        params = {
            **self.common(),
            P_HEAT_J_K: self.heat_kwh_k * J_KWH, P_UA_W_K: self.loss_w_k, P_SIGN: sign,
            P_MASS_J_K: self.mass_kwh_k * J_KWH, P_EXCHANGE_W_K: self.exchange_w_k,
            P_BEGIN_C: self.set_c - sign * self.differential_k / 2, P_CEASE_C: self.set_c + sign * self.differential_k / 2,
            P_COP: self.cop, P_COP_PER_K: self.cop_per_k, P_COP_AT_C: self.cop_at_c, P_COP_LEAST: self.cop_least,
            P_SUN_M2: self.sun_m2, P_LOW_C: low, P_HIGH_C: high,
        }  # fmt: skip
        return row(id_, ROOM, params, {S_VALUE: start, S_AIR_C: start, S_MASS_C: start})
