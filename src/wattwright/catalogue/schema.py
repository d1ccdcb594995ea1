"""What a class of gear can be set to: quantities it sees, steps of times and thresholds, entries, and how long it takes."""

from typing import Literal, Self

from pydantic import Field, model_validator

from wattwright.core.fields import DurationS, Spec

Function = Literal["time programme", "repeat-cycle timer", "limit", "set point", "shedding"]
Seen = Literal[
    "site power", "export power", "current", "voltage", "state of charge", "outdoor temperature", "grid voltage", "load value"
]  # fmt: skip


class Grid(Spec):
    """The values a setting can take: from, to, and the step between, in the unit the setting is held in."""

    least: float = Field(alias="from", description="lowest value")
    most: float = Field(alias="to", description="highest value")
    step: float = Field(gt=0, description="step between values")

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.most < self.least:
            raise ValueError("an end at or above the beginning|Exchange the two.")
        return self

    def nearest(self, value: float) -> float:
        """Return the value of the grid that lies nearest; of two the lower."""
        from math import ceil, floor

        steps = floor((self.most - self.least) / self.step + 1e-9)
        wanted = ceil((value - self.least) / self.step - 0.5 - 1e-9)
        return self.least + min(max(wanted, 0), steps) * self.step

    def holds(self, value: float) -> bool:
        """Return whether a value can be set, rounding aside."""
        return abs(self.nearest(value) - value) <= 1e-6 * max(1.0, abs(value), self.step)


class Gear(Spec):
    """A class of controller or relay."""

    id: str = Field(pattern=r"^[a-z][a-z0-9-]*$", description="stable id")
    name: str = Field(description="what it is, in words")
    functions: tuple[Function, ...] = Field(min_length=1, description="kinds of rules it can work")
    sees: tuple[Seen, ...] = Field((), description="quantities it can look at")
    entries: int = Field(1, ge=0, description="entries in all: lines of a programme, limits and set points count one each")
    loads: int = Field(1, ge=1, description="loads it switches")
    sun: bool = Field(False, description="whether it knows sunrise and sunset")
    holidays: bool = Field(False, description="whether it knows public holidays")
    months: bool = Field(False, description="whether its entries can rest in some months")
    time_step_s: DurationS = Field(60.0, alias="time_step", gt=0, description="step of the times of a programme")
    thresholds: dict[Seen, Grid] = Field({}, description="values that thresholds can take, for each quantity")
    differential: Grid | None = Field(None, description="values that a differential can take; any if left out")
    delay: Grid = Field(Grid(least=0, most=0, step=1), description="values that on- and off-delays can take, s")
    minimum: Grid = Field(Grid(least=0, most=0, step=1), description="values that minimum on- and off-times can take, s")
    cycle: Grid | None = Field(None, description="values that the times of a repeat cycle can take, s")
    interval_s: DurationS = Field(0.0, alias="measures_every", ge=0, description="shortest measuring interval")
    report_s: DurationS = Field(0.0, alias="reports_after", ge=0, description="time from measuring to seeing the value")
    link_s: DurationS = Field(0.0, alias="link_delay", ge=0, description="time of a command on its way")
    link_loss_share: float = Field(0.0, alias="link_loss", ge=0, le=1, description="share of commands that are lost")
    contactor_s: DurationS = Field(0.0, alias="contactor", ge=0, description="time of relay and contactor")
    source: str = Field(description="where the figures come from")


class GearFile(Spec):
    """A file of gear classes."""

    gear: tuple[Gear, ...] = Field(min_length=1, description="classes of gear")
