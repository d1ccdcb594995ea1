"""What a person may say about a meter file when the file does not say it itself."""

from typing import Literal

from pydantic import Field

from wattwright.core.fields import CurrentA, Spec
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
    part: str = Field("", description="which of several meters in the file to take: its name as it is told, or its number from 1")
    turned: tuple[str, ...] = Field(
        (), description="columns whose current transformer is clamped the wrong way round: their sign is turned"
    )
    columns: tuple[ColumnSpec, ...] = Field((), description="what the columns hold, where their names do not say it")
