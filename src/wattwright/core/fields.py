"""Field types for specs: what a person writes with a unit, held as a float in ours.

Use them in pydantic models, for example ``rating_w: PowerW = Field(description=...)``. In TOML the person writes the
name without the unit (``rating = "2.4 kW"``) by way of the field's alias.
"""

from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, ValidationInfo, WithJsonSchema

from wattwright.core.errors import UnitError
from wattwright.core.units import EXAMPLES, parse

KEPT = "kept"
"""Context in which a spec is read back from where we kept it: numbers stand in the unit of their field."""


def _reader(unit: str) -> BeforeValidator:
    def read(given: Any, known: ValidationInfo) -> Any:
        if isinstance(given, str):
            try:
                return parse(given, unit)
            except UnitError as error:
                fault = error.faults[0]
                raise ValueError(f"{fault.wanted}|{fault.next_step}") from error
        if isinstance(given, Held):
            return given.value
        if known.context == KEPT:
            return given
        raise ValueError(f'text with a number and its unit, for example "{EXAMPLES[unit]}"|Put it in quotes.')

    return BeforeValidator(read)


class Held:
    """A number already in the unit we hold, for code that builds specs without writing units out."""

    __slots__ = ("value",)

    def __init__(self, value: float) -> None:
        """Hold ``value``, in the field's own unit."""
        self.value = value


def _written(unit: str) -> WithJsonSchema:
    return WithJsonSchema({"type": "string", "description": "a number with its unit", "examples": [EXAMPLES[unit]]})


PowerW = Annotated[float, _reader("W"), _written("W")]
ApparentPowerVA = Annotated[float, _reader("VA"), _written("VA")]
EnergyWh = Annotated[float, _reader("Wh"), _written("Wh")]
VoltageV = Annotated[float, _reader("V"), _written("V")]
CurrentA = Annotated[float, _reader("A"), _written("A")]
DurationS = Annotated[float, _reader("s"), _written("s")]
VolumeL = Annotated[float, _reader("litre"), _written("litre")]
TemperatureC = Annotated[float, _reader("degC"), _written("degC")]
DifferenceK = Annotated[float, _reader("delta_degC"), _written("delta_degC")]
LengthM = Annotated[float, _reader("m"), _written("m")]
AreaM2 = Annotated[float, _reader("m2"), _written("m2")]
ResistanceOhm = Annotated[float, _reader("ohm"), _written("ohm")]
Share = Annotated[float, _reader("1"), _written("1")]


class Spec(BaseModel):
    """Base of everything a person writes: frozen, no unknown fields, aliases in files and names in code."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True, validate_default=False)
