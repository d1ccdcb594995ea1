"""What a person says of how a battery ages: its data sheet, or the name of a published model."""

from math import inf
from typing import Literal, Self

from pydantic import Field, model_validator

from wattwright.core.fields import Share, Spec, TemperatureC
from wattwright.supply.wear.usual import usual

Chemistry = Literal["lithium iron phosphate", "lead-acid"]
Model = Literal["data sheet", "Xu 2018"]
DepthPoints = tuple[tuple[float, float], ...]
COOLEST_C, WARMEST_C = -30.0, 60.0


class Wear(Spec):
    """How a battery ages. Survey: cycle life by depth and life at rest from its data sheet, and how warm its place is.

    Usual values of each chemistry stand in for what is left out, and a finding says so (common practice, no source).
    """

    model: Model = Field(
        "data sheet",
        description="cycles by depth with Miner's sum beside a life at rest; or Xu et al. 2018, of lithium manganese oxide",
    )
    chemistry: Chemistry = Field("lithium iron phosphate", description="whose usual values stand in for what is left out")
    end_share: Share = Field(
        0.8, ge=0.5, lt=1, description="share of its capacity at which a battery counts as worn out; usual: 80 %"
    )
    cell_c: TemperatureC = Field(
        25.0,
        alias="cells",
        ge=COOLEST_C,
        le=WARMEST_C,
        description="how warm its cells are; usual: as its room",
    )
    depth: DepthPoints = Field(
        (), max_length=12, description="pairs: depth of discharge (1 for all) and cycles until the end of life at 25 degC"
    )
    calendar_years: float | None = Field(None, gt=0, le=60, description="years until the end of life at rest, at 25 degC")
    warm_factor: float | None = Field(
        None, ge=1, le=4, description="how many times faster it ages at rest at 35 than at 25 degC; usual: 1.5 to 2"
    )

    @model_validator(mode="after")
    def _falls(self) -> Self:
        depths, counts = [one for one, _ in self.depth], [one for _, one in self.depth]
        rises = depths == sorted(set(depths)) and counts == sorted(set(counts), reverse=True)
        if not rises or any(not 0 < one <= 1 for one in depths) or any(not 1 <= one < inf for one in counts):
            raise ValueError(
                "pairs of a depth over 0 up to 1 and a number of cycles, depths rising and cycles falling|"
                "Put the shallowest first; read the data sheet again where deeper cycles seem to last longer."
            )
        if self.model == "Xu 2018" and self.chemistry == "lead-acid":
            raise ValueError("the data sheet's model for lead-acid|Xu et al. fitted theirs to lithium cells.")
        return self

    @property
    def left_out(self) -> tuple[str, ...]:
        """Return what the data sheet should say and was left out."""
        given = {"cycles by depth": bool(self.depth), "life at rest": self.calendar_years is not None}
        given["ageing when warm"] = self.warm_factor is not None
        return tuple(name for name, known in given.items() if not known)

    @property
    def depth_points(self) -> DepthPoints:
        """Return depth and cycles as written, or the usual ones."""
        return self.depth or tuple((float(one), float(count)) for one, count in usual()[self.chemistry]["depth"])

    @property
    def rest_years(self) -> float:
        """Return the years at rest at 25 degC as written, or the usual ones."""
        return float(usual()[self.chemistry]["calendar_years"]) if self.calendar_years is None else self.calendar_years

    @property
    def warmth_factor(self) -> float:
        """Return how many times faster it ages at 35 than at 25 degC, as written, or the usual."""
        return float(usual()[self.chemistry]["warm_factor"]) if self.warm_factor is None else self.warm_factor
