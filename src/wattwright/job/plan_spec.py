"""What a person asks of a plan, in the job file."""

from typing import Literal, Self

from pydantic import Field, model_validator

from wattwright.core.fields import Spec

Objective = Literal["cost", "peak", "own-use", "autonomy"]


class ComfortSpec(Spec):
    """How much of its service a load may fail to give in a day, beside what it fails to give under today's rules."""

    load: str = Field(description="id of the load")
    a_day: float = Field(
        ge=0, description="litres of a tank, K h of a room or store, % h of damp air, mm of soil, m3 of a pool, kWh of a charger"
    )


class WeightSpec(Spec):
    """What one unit of each figure weighs against the others, in place of a single objective."""

    cost: float = Field(0.0, ge=0, description="of one unit of the tariff's currency")
    peak: float = Field(0.0, ge=0, description="of one kW of the highest 15 min in the stretch")
    own_use: float = Field(0.0, ge=0, description="of one kWh of PV that is given away or not taken")
    autonomy: float = Field(0.0, ge=0, description="of one kWh that is not served without the grid")

    @model_validator(mode="after")
    def _weighs(self) -> Self:
        if not (self.cost or self.peak or self.own_use or self.autonomy):
            raise ValueError("at least one weight above nought|Write cost = 1, or take [plan.weights] out.")
        return self


class PlanSpec(Spec):
    """What a plan is to reach, and what it may do."""

    objective: Objective = Field(
        "cost", description="least cost, least peak, most PV used on site, or most served without the grid"
    )
    weights: WeightSpec | None = Field(None, description="several objectives together, in place of one")
    controllers: int = Field(2, ge=1, le=20, description="most controllers of the option with few")
    gear: str = Field("", description="path of a file of gear, from the folder of job.toml; the generic range if empty")
    comfort: tuple[ComfortSpec, ...] = Field((), description="how much of its service each load may fail to give")
