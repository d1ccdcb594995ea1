"""An irrigation pump with its zone, as a person describes it. Its equations stand in ``soil_kernels``."""

from typing import Final, Self

from pydantic import Field, model_validator

from wattwright.core.fields import AreaM2, LengthM, PowerW, Share
from wattwright.loads.columns import S_VALUE, SOIL
from wattwright.loads.compiled import CompiledLoad, row
from wattwright.loads.equipment import MotorDriven
from wattwright.loads.soil_kernels import (
    P_ADJUSTED,
    P_BEGIN_MM,
    P_CEASE_MM,
    P_CROP,
    P_DEPLETABLE,
    P_INFILTRATION_MM_S,
    P_IRRIGATION_MM_S,
    P_J_PER_MM,
    P_SENSOR,
    P_TAW_MM,
    S_DAY_MM,
    S_DEPLETION_MM,
    S_STRESS,
)  # fmt: skip

TABLE_ETC_MM: Final = 5.0
"""ETc at which the table's p holds, mm/d."""


class Irrigation(MotorDriven):
    """An irrigation pump or valve and the zone it waters. Survey: soil, crop and its roots, area, flow, what the zone loses.

    Usual values: field capacity, wilting point, roots, Kc and p by FAO Irrigation and Drainage Paper 56, tables 12, 19 and 22;
    what soils take of rain: sand over 30 mm/h, loam 10 to 20, clay 1 to 5; efficiency: sprinklers 75 %, drip 90 % (FAO
    irrigation training manuals, from memory).
    """

    rating_w: PowerW = Field(alias="rating", gt=0, le=500_000, description="electric power of the pump")
    area_m2: AreaM2 = Field(alias="area", gt=0, le=10_000_000, description="ground watered")
    pumped_l_h: float = Field(alias="litres_per_hour", gt=0, le=10_000_000, description="flow into the zone, l/h")
    efficiency: Share = Field(0.75, gt=0, le=1, description="share that reaches the roots; usual: sprinkler 75 %, drip 90 %")
    field_capacity: Share = Field(
        alias="field_capacity", gt=0, lt=0.7, description="water held against gravity; loam: 20 to 30 %"
    )
    wilting_point: Share = Field(alias="wilting_point", ge=0, lt=0.6, description="water no root gets; loam: 7 to 17 %")
    roots_m: LengthM = Field(alias="roots", gt=0, le=5, description="depth of the roots; usual: 0.3 to 1.5 m")
    depletable: Share = Field(
        0.5, gt=0, lt=1, description="share of the water used before the crop suffers, p; usual: 30 to 60 %"
    )
    follows_etc: bool = Field(True, description="whether p follows the day's evapotranspiration")
    crop: float = Field(1.0, alias="crop_coefficient", gt=0, le=2, description="Kc; usual: 0.3 to 1.2")
    infiltration_mm_h: float = Field(20.0, gt=0, le=1000, description="rain the soil takes, mm/h; loam: 10 to 20")
    begin_mm: float | None = Field(None, gt=0, le=1000, description="depletion at which its own sensor starts the pump, mm")
    cease_mm: float = Field(0.0, ge=0, le=1000, description="depletion at which it stops again, mm")
    start_mm: float = Field(0.0, ge=0, le=1000, description="depletion at the start, mm")

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.wilting_point >= self.field_capacity:
            raise ValueError("a wilting point below the field capacity|Exchange them, or take them from the table of soils.")
        if self.begin_mm is not None and self.cease_mm >= self.begin_mm:
            raise ValueError("a depletion to begin at that is greater than the one to cease at|Exchange them.")
        if max(self.start_mm, self.begin_mm or 0.0) > self.available_mm():
            raise ValueError("depletions no greater than the water the soil holds for the roots|Lower them.")
        return self

    def available_mm(self) -> float:
        """Return the total available water TAW, mm (FAO-56, equation 82)."""
        return 1000.0 * (self.field_capacity - self.wilting_point) * self.roots_m

    def net_mm_h(self) -> float:
        """Return what reaches the roots in an hour of pumping, mm."""
        return self.pumped_l_h * self.efficiency / self.area_m2

    def compiled(self, id_: str) -> CompiledLoad:
        """Return pump and zone as a row for the engine."""
        rate = self.net_mm_h() / 3600.0
        params = {
            **self.common(),
            P_TAW_MM: self.available_mm(), P_DEPLETABLE: self.depletable, P_CROP: self.crop,
            P_ADJUSTED: float(self.follows_etc), P_IRRIGATION_MM_S: rate, P_INFILTRATION_MM_S: self.infiltration_mm_h / 3600.0,
            P_SENSOR: float(self.begin_mm is not None), P_BEGIN_MM: self.begin_mm or 0.0, P_CEASE_MM: self.cease_mm,
            P_J_PER_MM: self.rating_w / rate,
        }  # fmt: skip
        state = {S_VALUE: self.start_mm, S_DEPLETION_MM: self.start_mm, S_STRESS: 1.0, S_DAY_MM: TABLE_ETC_MM}
        return row(id_, SOIL, params, state)
