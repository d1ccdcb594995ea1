"""What a person says of strings of PV modules in the job file: the modules, their tracker, and what opens and guards them."""

from typing import Literal

from pydantic import Field

from wattwright.core.fields import LengthM
from wattwright.generation.string import Strings


class StringsSpec(Strings):
    """Strings side by side on one tracker. Survey: data sheets of module and inverter, and what is fitted on the roof."""

    array: int = Field(1, ge=1, description="which of the [[pv]] arrays they belong to, in order from 1")
    length_m: LengthM | None = Field(
        None, alias="length", gt=0, le=1000, description="route from the modules to the inverter, one way; for the drop"
    )
    isolator: str = Field("", max_length=80, description="where their direct-current isolator is; asked if left out")
    surge: Literal["fitted", "not fitted"] | None = Field(None, description="surge protection on the direct-current side")
