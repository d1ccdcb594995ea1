"""A charger with a departure time, as a person describes it. Its equations stand in ``charger_kernels``."""

from pydantic import Field

from wattwright.core.fields import EnergyWh, PowerW, Share
from wattwright.loads.charger_kernels import P_EFFICIENCY, P_LEAST_W, P_TAPER_J, S_PLUGGED, S_WANTED_J
from wattwright.loads.columns import CHARGER, S_VALUE
from wattwright.loads.compiled import CompiledLoad, row
from wattwright.loads.equipment import Equipment

_WH = 3600.0


class Charger(Equipment):
    """A charger of a vehicle or a battery. Survey: plate, when it is plugged in and wanted, energy of a usual day.

    Usual values: efficiency 85 to 92 %, power falling over the last 5 to 10 % of the battery, least power 6 A of one phase
    (common practice, no source; the 6 A are the least of IEC 61851-1, from memory).
    """

    rating_w: PowerW = Field(alias="rating", gt=0, le=500_000, description="electric power at full rate")
    efficiency: Share = Field(0.9, gt=0, le=1, description="energy into the battery over energy drawn; usual: 85 to 92 %")
    taper_wh: EnergyWh = Field(0.0, alias="taper", ge=0, le=1_000_000, description="still wanted when the power begins to fall")
    least_w: PowerW = Field(1380.0, alias="least", gt=0, le=100_000, description="least power; usual: 6 A of one phase, 1.4 kW")
    wanted_wh: EnergyWh = Field(
        0.0, alias="wanted", ge=0, le=1_000_000, description="energy wanted at the start, if plugged in then"
    )

    def compiled(self, id_: str) -> CompiledLoad:
        """Return the charger as a row for the engine."""
        params = {
            **self.common(), P_EFFICIENCY: self.efficiency, P_TAPER_J: self.taper_wh * _WH,
            P_LEAST_W: min(self.least_w, self.rating_w),
        }  # fmt: skip
        state = {S_WANTED_J: self.wanted_wh * _WH, S_PLUGGED: float(self.wanted_wh > 0.0), S_VALUE: self.wanted_wh / 1000.0}
        return row(id_, CHARGER, params, state)
