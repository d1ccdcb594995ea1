"""A room whose air is kept dry, as a person describes it. Its equations stand in ``air_kernels``."""

from math import nan
from typing import Self

from pydantic import Field, model_validator

from wattwright.core.fields import PowerW, Share, TemperatureC, VolumeL
from wattwright.loads.air_kernels import (
    P_AIR_KG,
    P_BEGIN,
    P_CEASE,
    P_DRY_KG_S,
    P_FAN_KG_S,
    P_J_PER_KG,
    P_LEAK_KG_S,
    P_LIMIT,
    P_PRESSURE_PA,
    P_ROOM_C,
    S_RATIO,
)
from wattwright.loads.columns import AIR, S_VALUE
from wattwright.loads.compiled import CompiledLoad, row
from wattwright.loads.equipment import MotorDriven
from wattwright.loads.moist_air_kernels import SEA_LEVEL_PA, air_kg_m3, humidity_ratio

_DAY_S, _HOUR_S = 86_400.0, 3600.0
_USUAL_C = 20.0


class DryRoom(MotorDriven):
    """A room with a dehumidifier, a fan to the outdoors, or one of them. Survey: volume, sources of water, plate, hygrostat.

    Usual values: 0.3 to 1 air change an hour; walls and goods buffer 1 to 10 times the air's own water: common practice, no
    source. Above 80 % at a cold surface for days mould grows (EN ISO 13788).
    """

    rating_w: PowerW = Field(alias="rating", gt=0, le=100_000, description="electric power while it runs")
    room_m3: float = Field(gt=0, le=100_000, description="volume of the room, m3")
    changes: float = Field(0.5, alias="air_changes", gt=0, le=20, description="air changes an hour by leaks; usual: 0.3 to 1")
    buffer: float = Field(1.0, ge=1, le=50, description="what walls and goods hold, as a multiple of the air's own")
    room_c: TemperatureC = Field(_USUAL_C, alias="room", ge=-10, le=50, description="temperature of the room")
    unheated: bool = Field(False, description="whether it is as warm as the outdoors")
    takes_l_day: VolumeL = Field(0.0, alias="takes_per_day", ge=0, le=10_000, description="water the dehumidifier takes in a day")
    rated_c: TemperatureC = Field(
        _USUAL_C, alias="rated_at", ge=0, le=50, description="at what temperature; usual: 20 or 30 degC"
    )
    rated: Share = Field(0.6, alias="rated_humidity", gt=0, le=1, description="at what humidity; usual: 60 or 80 %")
    fan_m3_h: float = Field(0.0, ge=0, le=1_000_000, description="outdoor air the fan moves, m3/h")
    begin: Share = Field(0.62, gt=0, lt=1, description="humidity at which the hygrostat starts it")
    cease: Share = Field(0.58, gt=0, lt=1, description="humidity at which it stops it; usual: 3 to 5 points lower")
    limit: Share = Field(0.65, gt=0, lt=1, description="too damp above this")
    start: Share = Field(0.6, gt=0, le=1, description="humidity at the start")
    pressure_pa: float = Field(SEA_LEVEL_PA, ge=50_000, le=110_000, description="pressure of the air, Pa; 89,875 at 1000 m")

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.cease >= self.begin:
            raise ValueError("a humidity to begin at that is above the one to cease at|Exchange them.")
        if self.takes_l_day <= 0.0 and self.fan_m3_h <= 0.0:
            raise ValueError("a dehumidifier, a fan or both|Enter what it takes in a day, or what air it moves.")
        return self

    def compiled(self, id_: str) -> CompiledLoad:
        """Return the room as a row for the engine."""
        ratio = humidity_ratio(self.room_c, self.start, self.pressure_pa)
        dry_kg_m3 = air_kg_m3(self.room_c, ratio, self.pressure_pa)
        rated_kg_s = self.takes_l_day / _DAY_S
        params = {
            **self.common(),
            P_AIR_KG: dry_kg_m3 * self.room_m3 * self.buffer, P_LEAK_KG_S: dry_kg_m3 * self.room_m3 * self.changes / _HOUR_S,
            P_FAN_KG_S: dry_kg_m3 * self.fan_m3_h / _HOUR_S,
            P_DRY_KG_S: rated_kg_s / humidity_ratio(self.rated_c, self.rated, SEA_LEVEL_PA),
            P_ROOM_C: nan if self.unheated else self.room_c, P_PRESSURE_PA: self.pressure_pa,
            P_BEGIN: self.begin, P_CEASE: self.cease, P_LIMIT: self.limit,
            P_J_PER_KG: self.rating_w / rated_kg_s if rated_kg_s > 0.0 else 0.0,
        }  # fmt: skip
        return row(id_, AIR, params, {S_VALUE: 100.0 * self.start, S_RATIO: ratio})
