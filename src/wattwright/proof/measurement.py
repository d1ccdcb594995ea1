"""What a person says of how a saving is to be proved, in the job file: the boundary, the periods, and adjustments agreed on."""

from datetime import date
from typing import Self

from pydantic import Field, field_validator, model_validator

from wattwright.core.fields import EnergyWh, Share, Spec

_EARLIEST, _LATEST = 1970, 2199
"""Years of a measurement; meters with a clock are no older, and public holidays are known no further."""


def _in_reach(day: date | None) -> date | None:
    if day is not None and not _EARLIEST <= day.year <= _LATEST:
        raise ValueError(f"a day of the years {_EARLIEST} to {_LATEST}|Write the day as year-month-day, such as 2027-03-01.")
    return day


class MeasurementSpec(Spec):
    """The measurement plan as far as a person writes it; what is left out is proposed, and said to be."""

    boundary: str = Field(
        "",
        description="id of the meter that is held to account, such as a sub-meter of one load; the main meter if empty",
    )
    begins: date | None = Field(None, alias="from", description="first day of the baseline; that of the record if left out")
    until: date | None = Field(None, description="first day no longer of the baseline; the end of the record if left out")
    after: date | None = Field(None, description="first day after the measures; the first day after the baseline if left out")
    months: int = Field(12, ge=1, le=60, description="how many months after the measures are held to account")
    confidence: Share = Field(0.90, ge=0.5, le=0.99, description="confidence of the band, 90 % if left out")
    weather: str = Field(
        "",
        description="path of a file of measured weather of the place and days of the baseline, from the folder of job.toml; a "
        "temperature in the record if left out",
    )
    static_factors: tuple[str, ...] = Field(
        (), description="what must stay as it is for a difference to be a saving, such as rooms let and hours kept"
    )
    responsible: str = Field("", max_length=80, description="who reads the meter and tells of changes on site")
    accuracy: str = Field("", max_length=80, description="class or accuracy of the meter, from its plate")

    _days = field_validator("begins", "until", "after")(_in_reach)

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.begins is not None and self.until is not None and self.until <= self.begins:
            raise ValueError("a baseline that ends after it begins|Exchange from and until.")
        if self.after is not None and self.until is not None and self.after < self.until:
            raise ValueError("measures after the baseline|Let the baseline end before they begin.")
        return self


class AdjustmentSpec(Spec):
    """A non-routine event that both sides agreed to take out of the claim. None is ever applied that does not stand here."""

    begins: date = Field(alias="from", description="first day of the event")
    until: date = Field(description="first day after it")
    leave_out: bool = Field(False, description="true where its days are left out of the claim altogether")
    a_day_wh: EnergyWh | None = Field(
        None,
        alias="a_day",
        description="what was used more in each of its days for this reason, less with a minus: it is taken off",
    )
    why: str = Field(min_length=1, max_length=200, description="what it was, and why it is no part of the measures")
    agreed_by: str = Field(min_length=1, max_length=120, description="who agreed on it, on both sides")

    _days = field_validator("begins", "until")(_in_reach)

    @model_validator(mode="after")
    def _is_one(self) -> Self:
        if self.until <= self.begins:
            raise ValueError("an event that ends after it begins|Exchange from and until.")
        if self.leave_out == (self.a_day_wh is not None):
            raise ValueError("either days that are left out, or an energy a day|Write leave_out = true, or a_day, and not both.")
        return self
