"""What a person may say about a meter file when the file does not say it itself."""

from typing import Literal, Self

from pydantic import Field, model_validator

from wattwright.core.fields import CurrentA, DurationS, Spec, VoltageV
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.record.record import Form


class ColumnSpec(Spec):
    """What one column holds."""

    column: str = Field(description="name of the column as it stands in the file, or its number from 1")
    id: str = Field("", pattern=r"^[a-z0-9-]*$", description="stable id of the channel; made from the name if left out")
    quantity: Quantity = Field(description="what is measured")
    form: Form = Field(Form.MEAN, description="how the numbers stand for the quantity")
    unit: str = Field("", description="unit of the numbers as they stand in the file, such as kWh; empty for W, V, A, ...")
    phase: Phase = Field(Phase.TOTAL, description="conductor the channel sees")
    direction: Direction = Field(Direction.IMPORT, description="which way energy is counted")
    ct_rating_a: CurrentA | None = Field(
        None, alias="ct_rating", gt=0, description="rated primary current of the transformer the column is measured through"
    )


class LayoutSpec(Spec):
    """How a meter file is to be read; everything left out is worked out from the file."""

    date_order: Literal["", "day first", "month first", "year first"] = Field(
        "", description="order of day, month and year in the stamps"
    )
    stamps: Literal["", "start", "end"] = Field("", description="which end of its interval a stamp marks")
    clock: Literal["", "site", "standard time", "UTC"] = Field(
        "", description="clock of stamps without an offset: the site's with daylight saving, standard time all year, or UTC"
    )
    decimal: Literal["", ".", ","] = Field("", description="decimal mark")
    delimiter: Literal["", ",", ";", "tab", "|", "space"] = Field("", description="what separates the columns")
    unreadable: Literal["refuse", "missing"] = Field(
        "refuse", description="what to do with text where a number should stand: refuse the file, or count it as missing"
    )
    irregular: Literal["", "hold"] = Field(
        "", description="readings at no fixed step: hold each until the next one and average over the step"
    )
    step_s: DurationS | None = Field(
        None, alias="step", ge=1, le=86_400, description="step over which held readings are averaged; 1 min if left out"
    )
    hold_at_most_s: DurationS | None = Field(
        None, alias="hold_at_most", ge=1, description="how long a reading is held at most; 1 day if left out"
    )
    power_factor: float = Field(
        0.0,
        ge=0,
        le=1,
        description="power factor by which power is worked out where a file gives only currents or apparent power",
    )
    voltage_v: VoltageV | None = Field(
        None,
        alias="voltage",
        gt=0,
        le=1000,
        description="nominal voltage to neutral of the supply, where a file gives only currents",
    )
    part: str = Field("", description="which of several meters in the file to take: its name as it is told, or its number from 1")
    turned: tuple[str, ...] = Field(
        (), description="columns whose current transformer is clamped the wrong way round: their sign is turned"
    )
    columns: tuple[ColumnSpec, ...] = Field((), description="what the columns hold, where their names do not say it")

    @model_validator(mode="after")
    def _holds(self) -> Self:
        if not self.irregular and (self.step_s or self.hold_at_most_s):
            raise ValueError('step and hold_at_most only beside irregular = "hold"|Write irregular = "hold", or leave them out.')
        if self.step_s and self.step_s % 1:
            raise ValueError("a step of whole seconds|Write it in whole seconds.")
        return self
