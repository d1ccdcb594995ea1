"""A pool's filter pump, as a person describes it. Its equations stand in ``pump_kernels``."""

from math import exp
from typing import Self

from pydantic import Field, model_validator

from wattwright.core.fields import PowerW, Share, VolumeL
from wattwright.loads.columns import P_RATING_W, PUMP
from wattwright.loads.compiled import CompiledLoad, row
from wattwright.loads.equipment import MotorDriven
from wattwright.loads.pump_kernels import P_FLOW_M3_S, P_POOL_M3, P_TURNOVERS, S_DAY_LEFT_S, duty


class PoolPump(MotorDriven):
    """A pool's filter pump. Survey: water in the pool, flow by the gauge or the pump's curve, filter, how chlorine is dosed.

    Usual values: the whole pool in 6 to 8 h (a pool builder's data page); a day's turnovers 1 to 3.
    """

    rating_w: PowerW = Field(alias="rating", gt=0, le=100_000, description="electric power at full speed")
    pool_l: VolumeL = Field(alias="pool", gt=0, le=5_000_000, description="water in the pool; usual in a home: 30 to 80 m3")
    flow_m3_h: float = Field(gt=0, le=2000, description="flow at full speed, m3/h; usual: 8 to 20 in a home")
    speed: Share = Field(1.0, gt=0.1, le=1.2, description="speed over full speed, where it can be set")
    static: Share = Field(
        0.0, alias="height_share", ge=0, le=0.95, description="share of the head that is height; 0 for a pool's loop"
    )
    shut_off: float = Field(1.3, gt=1, le=3, description="head at no flow over head at full flow; usual: 1.2 to 1.5")
    turnovers: float = Field(1.0, alias="turnovers_per_day", ge=0, le=24, description="turnovers wanted in a day; usual: 1 to 3")

    @model_validator(mode="after")
    def _lifts(self) -> Self:
        if self.shut_off * self.speed**2 <= self.static:
            raise ValueError("a speed at which the pump lifts the water|Raise the speed, or enter a smaller share of height.")
        return self

    def most_w(self) -> float:
        """Return what it draws at its speed, W."""
        return self.rating_w * duty(self.speed, self.static, self.shut_off)[1] + self.standby_w

    def compiled(self, id_: str) -> CompiledLoad:
        """Return the pump as a row for the engine."""
        flow, power = duty(self.speed, self.static, self.shut_off)
        params = {
            **self.common(), P_RATING_W: self.rating_w * power, P_POOL_M3: self.pool_l / 1000.0,
            P_FLOW_M3_S: self.flow_m3_h / 3600.0 * flow, P_TURNOVERS: self.turnovers,
        }  # fmt: skip
        return row(id_, PUMP, params, {S_DAY_LEFT_S: 86_400.0})


def filtered(turnovers: float) -> float:
    """Return the share of the water that went through the filter at least once, when it mixes well.

    Source: 1 - exp(-N) of perfect mixing (Gage and Bidwell's relation): 63.2, 86.5, 95.0 and 98.2 % for 1 to 4 turnovers.
    """
    return 1.0 - exp(-turnovers)
