"""An appliance, or a few on one circuit, as its plate tells: what it does, power or current, voltage, and how it starts."""

from math import sqrt
from typing import Literal, Self

from pydantic import Field, ValidationInfo, field_validator, model_validator

from wattwright.core.fields import CurrentA, PowerW, Share, Spec, VoltageV, VolumeL

RuleSet = Literal["iec", "nec"]
Duty = Literal["heater", "motor", "compressor", "lamp", "electronics"]
System = Literal["single-phase", "split-phase", "three-phase"]
_MOST_TO_NEUTRAL_V = 277.0
_HALVED_V = (220.0, 250.0)
"""Between the two lines of a split phase; other voltages between two lines are those of three phases."""


class Appliance(Spec):
    """What is to be fed. Survey: read the plate.

    ``power_w`` is what the appliance draws, but for a motor what its shaft gives, as plates of motors have it. ``voltage_v`` is
    that between the conductors which feed it: line to neutral for single-phase, line to line for the other two.
    """

    name: str = Field("appliance", min_length=1, max_length=80, description="what it is, in words")
    duty: Duty = Field("heater", description="heater, motor (pump, fan), compressor (hermetic), lamp, electronics (capacitive)")
    power_w: PowerW | None = Field(
        None, alias="power", gt=0, le=100_000, description="rated power: what it draws; of a motor what its shaft gives"
    )
    current_a: CurrentA | None = Field(None, alias="current", gt=0, le=400, description="rated current on the plate")
    system: System = Field(
        "single-phase", description="single-phase (line and neutral), split-phase (two lines, such as 240 V), three-phase"
    )
    voltage_v: VoltageV = Field(alias="voltage", ge=100, le=480, description="between its conductors; usual: 230 V, 400 V")
    power_factor: Share | None = Field(None, gt=0, le=1, description="usual: 100 % for heaters, 75 to 90 % for motors")
    efficiency: Share | None = Field(None, gt=0, le=1, description="of a motor: shaft output over input; usual: 60 to 90 %")
    start_ratio: float | None = Field(None, ge=1, le=40, description="starting over running current; usual for motors: 5 to 8")
    continuous: bool | None = Field(None, description="whether it may run for three hours or more at a time")
    storage_l: VolumeL | None = Field(None, alias="storage", gt=0, le=100_000, description="volume of a storage water heater")
    service_factor: float | None = Field(None, ge=1, le=1.5, description="of a motor, from its plate; usual: 1 or 1.15")

    @field_validator("voltage_v")
    @classmethod
    def _to_neutral(cls, given: float, info: ValidationInfo) -> float:
        if given > _MOST_TO_NEUTRAL_V and info.data.get("system") == "single-phase":
            told = f"at most {_MOST_TO_NEUTRAL_V:g} V between line and neutral"
            raise ValueError(f"{told}|Say three-phase, or split-phase for an appliance between two lines.")
        return given

    @model_validator(mode="after")
    def _said_what_it_draws(self) -> Self:
        if self.power_w is None and self.current_a is None:
            raise ValueError('a power or a current|Read the plate and say power = "3 kW" or current = "13 A".')
        if self.storage_l is not None and self.duty != "heater":
            raise ValueError("a storage volume of a heater only|Leave it out, or say that it is a heater.")
        return self

    @property
    def loaded(self) -> int:
        """Return how many conductors carry current: two, or three in a three-phase circuit."""
        return 3 if self.system == "three-phase" else 2

    @property
    def to_earth_v(self) -> float:
        """Return the voltage between a line and neutral or earth (U0), V."""
        if self.system == "single-phase":
            return self.voltage_v
        halved = self.system == "split-phase" and _HALVED_V[0] <= self.voltage_v <= _HALVED_V[1]
        return self.voltage_v / (2.0 if halved else sqrt(3.0))

    @property
    def is_motor(self) -> bool:
        """Return whether a motor drives it, a hermetic one included."""
        return self.duty in ("motor", "compressor")
