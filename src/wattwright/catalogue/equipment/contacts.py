"""What a contact may switch, by utilisation category, and what a coil takes."""

from typing import Literal, Self

from pydantic import Field, model_validator

from wattwright.core.fields import ApparentPowerVA, CurrentA, Spec, VoltageV

Category = Literal[
    "AC-1", "AC-3", "AC-5a", "AC-5b", "AC-6b", "AC-7a", "AC-7b", "AC-8a", "AC-8b", "AC-12", "AC-14", "AC-15"
]  # fmt: skip
"""Utilisation categories of IEC 60947-4-1, IEC 60947-5-1 and IEC 61095."""


class Contact(Spec):
    """What may be switched: a rated current for each category, the voltages, the poles, and how often.

    Survey: the rating plate of the device gives a current for each kind of load; what it does not name is not rated for.
    """

    ratings: dict[Category, CurrentA] = Field(min_length=1, description="rated operational current for each category")
    most_v: VoltageV = Field(
        alias="most_voltage", gt=0, le=1000, description="highest voltage between its terminals; usual: 250 V"
    )
    least_v: VoltageV = Field(
        0.0, alias="least_voltage", ge=0, description="lowest voltage it still makes contact at; usual: 12 V"
    )
    least_a: CurrentA = Field(
        0.0, alias="least_current", ge=0, description="lowest current it still makes contact at; usual: 10 mA"
    )
    make_a: CurrentA | None = Field(
        None,
        alias="make",
        gt=0,
        description="peak it closes on without welding, a few milliseconds long; ten times a plain relay",
    )
    poles: int = Field(1, ge=1, le=4, description="live poles it opens together")
    opens: int = Field(0, ge=0, le=4, description="further contacts that open when it is energised (NC)")
    life: dict[Category, int] = Field(
        {}, description="switchings at rated current, for each category; usual: 30,000 to 1,000,000"
    )

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.least_v > self.most_v:
            raise ValueError("a highest voltage at or above the lowest|Exchange the two.")
        if unrated := [one for one in self.life if one not in self.ratings]:
            raise ValueError(f"a rating for {unrated[0]} beside its life|Add the current, or take the life out.")
        if any(current <= 0 for current in self.ratings.values()) or any(count < 1 for count in self.life.values()):
            raise ValueError("ratings and lives above nought|Leave out what it is not rated for.")
        return self


class Coil(Spec):
    """What pulls a contactor in: its voltage, what it takes to close and to hold, and where it closes."""

    rated_v: VoltageV = Field(alias="voltage", gt=0, le=500, description="rated control voltage Us")
    closing_va: ApparentPowerVA = Field(alias="closing", gt=0, le=5000, description="taken while it closes; usual: 10 to 200 VA")
    holding_va: ApparentPowerVA = Field(alias="holding", gt=0, le=500, description="taken while it is held; usual: 2 to 20 VA")
    picks_up: float = Field(
        0.85, gt=0, le=1, description="share of its voltage at which it closes for certain; IEC 60947-4-1: 85 %"
    )
    suppressed: bool = Field(False, description="whether the part that damps its switching peak is built in")
