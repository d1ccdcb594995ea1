"""How often the grid goes and for how long, as a person says it; nothing is taken where nobody said."""

from typing import Self

from pydantic import Field, model_validator

from wattwright.core.fields import DurationS, Spec

MOST_S = 3 * 86400.0
"""The longest outage that is followed: three days."""


class OutageRate(Spec):
    """Outages of the grid. Survey: the operator's published figures for the place, or what the people there wrote down."""

    a_year: float = Field(ge=0, le=1000, allow_inf_nan=False, description="outages in a year, on average")
    durations_s: tuple[DurationS, ...] = Field(
        alias="durations", min_length=1, max_length=50, description="how long they last, each as likely as the others"
    )
    holds_s: DurationS | None = Field(
        None, alias="holds", gt=0, le=MOST_S, description="how long the site should be carried; the longest duration if left out"
    )
    years: int = Field(1000, ge=100, le=100_000, description="years drawn for the band of hours lost")

    @model_validator(mode="after")
    def _followed(self) -> Self:
        if any(not 0.0 < one <= MOST_S for one in self.durations_s):
            raise ValueError("durations above nought and up to 3 days|Leave longer ones out, and say so to the client.")
        return self

    @property
    def target_s(self) -> float:
        """Return how long the site should be carried, s."""
        return max(self.durations_s) if self.holds_s is None else self.holds_s
