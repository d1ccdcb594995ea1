"""The storage water heater as a person describes it. Its equations stand in ``tank_kernels``."""

from math import isfinite

from pydantic import Field

from wattwright.core.fields import DifferenceK, PowerW, Spec, TemperatureC, VolumeL
from wattwright.loads.columns import P_MIN_OFF_S, P_MIN_ON_S, P_MOST_W, P_POWER_FACTOR, P_RATING_W, P_STANDBY_W, S_VALUE, TANK
from wattwright.loads.compiled import CompiledLoad, row
from wattwright.loads.tank_kernels import (
    MOST_NODES,
    P_AMBIENT_C,
    P_CONDUCT_W_K,
    P_DIFFERENTIAL_K,
    P_ELEMENT,
    P_LIMIT_C,
    P_NODES,
    P_SENSOR,
    P_SET_C,
    P_UA_W_K,
    P_UPPER_ELEMENT,
    P_UPPER_SENSOR,
    P_UPPER_W,
    P_USE_C,
    P_VOLUME_L,
    S_NODE,
)  # fmt: skip

_WATER_W_M_K = 0.64
"""Conductivity of water between 50 and 60 degC: IAPWS, by way of CoolProp."""


def loss_w_per_k(volume_l: float) -> float:
    """Return a usual standing loss, W/K: the limit of energy class C, (16.66 + 8.33 V^0.4) W at 45 K.

    Source: Regulation (EU) 812/2013, Annex II, from memory; checked against two articles that quote it.
    """
    return float((16.66 + 8.33 * volume_l**0.4) / 45.0)


class WaterHeater(Spec):
    """A storage water heater with one element, or two of which the upper goes first.

    Survey: content and rating from the plate, thermostat and limit as set, where it stands, who draws when, mixing valve.
    """

    volume_l: VolumeL = Field(alias="volume", gt=0, le=5000, description="content; usual in a home: 80 to 300 l")
    rating_w: PowerW = Field(alias="rating", gt=0, le=200_000, description="rating of the element, the lower of two")
    upper_w: PowerW = Field(0.0, alias="upper_rating", ge=0, le=200_000, description="rating of an upper element, if any")
    set_c: TemperatureC = Field(60.0, alias="set_point", ge=20, le=95, description="thermostat; usual: 60 degC")
    differential_k: DifferenceK = Field(5.0, alias="differential", gt=0, le=30, description="off less on; usual: 5 K")
    limit_c: TemperatureC = Field(
        75.0,
        alias="limit",
        ge=20,
        le=99,
        description="the heater's own highest setting, passed by no rule; usual: 75 degC",
    )
    loss_w_k: float | None = Field(
        None, alias="loss_w_per_k", ge=0, le=50, description="standing loss, W/K; that of energy class C if left out"
    )
    room_c: TemperatureC = Field(20.0, alias="room", ge=-30, le=60, description="temperature about the tank")
    outdoors: bool = Field(False, description="whether it stands outdoors, at the temperature of the weather")
    use_c: TemperatureC = Field(40.0, alias="use", ge=20, le=60, description="temperature of the water used; usual: 40 degC")
    nodes: int = Field(6, ge=1, le=MOST_NODES, description="layers reckoned with: 1 a mixed tank, 2 two zones, 6 usual")
    height_to_width: float = Field(2.5, gt=0.3, le=6, description="height over diameter; usual: 2 to 3")
    start_c: TemperatureC | None = Field(None, alias="start", ge=0, le=99, description="at the start; the set point if left out")

    def compiled(self, id_: str) -> CompiledLoad:
        """Return the heater as a row for the engine."""
        loss = self.loss_w_k if self.loss_w_k is not None else loss_w_per_k(self.volume_l)
        start = self.start_c if self.start_c is not None else min(self.set_c, self.limit_c)
        params = {
            P_RATING_W: self.rating_w, P_STANDBY_W: 0.0, P_POWER_FACTOR: 1.0, P_MIN_ON_S: 0.0, P_MIN_OFF_S: 0.0,
            P_MOST_W: max(self.rating_w, self.upper_w),
            P_VOLUME_L: self.volume_l, P_NODES: float(self.nodes), P_UA_W_K: loss,
            P_AMBIENT_C: float("nan") if self.outdoors else self.room_c,
            P_SET_C: self.set_c, P_DIFFERENTIAL_K: self.differential_k,
            P_USE_C: self.use_c, P_ELEMENT: float(self.nodes - 1), P_SENSOR: float(_lower_third(self.nodes)),
            P_UPPER_W: self.upper_w,
            P_UPPER_ELEMENT: float(self.nodes // 3), P_UPPER_SENSOR: float(self.nodes // 4), P_LIMIT_C: self.limit_c,
            P_CONDUCT_W_K: self._conduction_w_k(),
        }  # fmt: skip
        return row(id_, TANK, params, {S_VALUE: start, **{S_NODE + k: start for k in range(self.nodes)}})

    def _conduction_w_k(self) -> float:
        """Return the conduction between two layers, W/K: k A / dx of a cylinder."""
        if self.nodes == 1:
            return 0.0
        width_m = (4.0 * self.volume_l / 1000.0 / (3.141592653589793 * self.height_to_width)) ** (1 / 3)
        area_m2, apart_m = 3.141592653589793 * width_m**2 / 4.0, self.height_to_width * width_m / self.nodes
        conduct = _WATER_W_M_K * area_m2 / apart_m
        return conduct if isfinite(conduct) else 0.0


def _lower_third(nodes: int) -> int:
    """Return the layer in which the thermostat of the lower element sits: a third up from the bottom."""
    return max(0, nodes - 1 - nodes // 3)
