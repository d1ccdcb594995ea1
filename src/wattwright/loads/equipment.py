"""What any load states of itself, whatever its kind."""

from pydantic import Field

from wattwright.core.fields import DurationS, PowerW, Share, Spec
from wattwright.loads.columns import (
    P_MIN_OFF_S,
    P_MIN_ON_S,
    P_MOST_W,
    P_POWER_FACTOR,
    P_RATING_W,
    P_STANDBY_W,
    P_START_RATIO,
    P_START_S,
)


class Equipment(Spec):
    """A load with its rating, start and the shortest times of its own controller. Survey: read the rating plate."""

    rating_w: PowerW = Field(alias="rating", gt=0, le=1_000_000, description="electric power while it runs")
    standby_w: PowerW = Field(0.0, alias="standby", ge=0, le=10_000, description="electric power while fed and not running")
    power_factor: Share = Field(1.0, gt=0, le=1, description="usual: 100 % for heaters, 75 to 90 % for motors")
    start_ratio: float = Field(1.0, ge=1, le=12, description="starting current over running current; usual for motors: 5 to 8")
    starting_s: DurationS = Field(0.0, alias="start_time", ge=0, le=60, description="how long a start lasts; usual: 0.3 to 3 s")
    min_on_s: DurationS = Field(0.0, alias="min_on", ge=0, le=86_400, description="shortest run of its own controller")
    min_off_s: DurationS = Field(0.0, alias="min_off", ge=0, le=86_400, description="shortest rest of its own controller")

    def most_w(self) -> float:
        """Return the most it may draw at once, W."""
        return self.rating_w + self.standby_w

    def common(self) -> dict[int, float]:
        """Return the columns that mean the same for every kind."""
        return {
            P_RATING_W: self.rating_w,
            P_STANDBY_W: self.standby_w,
            P_POWER_FACTOR: self.power_factor,
            P_START_RATIO: self.start_ratio,
            P_START_S: self.starting_s,
            P_MIN_ON_S: self.min_on_s,
            P_MIN_OFF_S: self.min_off_s,
            P_MOST_W: self.most_w(),
        }


class MotorDriven(Equipment):
    """A load with a motor. Survey: the plate's power factor and starting current; else usual ones are taken.

    Source of the usual values: starting current of induction motors after IEC 60034-12, from memory.
    """

    power_factor: Share = Field(0.85, gt=0, le=1, description="usual: 75 to 90 %")
    start_ratio: float = Field(6.0, ge=1, le=12, description="starting current over running current; usual: 5 to 8")
    starting_s: DurationS = Field(0.5, alias="start_time", ge=0, le=60, description="how long a start lasts; usual: 0.3 to 3 s")
