"""Set points: another temperature, humidity or depletion, by a controller with a probe in series with the load's own."""

from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from wattwright.catalogue.fits import Asked
from wattwright.catalogue.schema import Gear
from wattwright.control.rules import AnyRule, SetPoint
from wattwright.plan.families.gene import on_grid


@dataclass(frozen=True, slots=True)
class SetTo:
    """A load is fed while its value is short of a set point, by a differential; ``calls`` says on which side that is."""

    load: str
    gear: Gear = field(hash=False)
    set_point: float
    differential: float
    calls: Literal["below", "above"]
    low: float
    high: float

    @property
    def family(self) -> str:
        """Return the name of the family."""
        return "set point"

    def rules(self, number: int) -> tuple[AnyRule, ...]:
        """Return the two-point rule."""
        return (
            SetPoint.model_validate(
                {
                    "id": f"plan-{number}-set-point", "load": self.load, "kind": "set point", "quantity": "load value",
                    "calls": self.calls, "set_point": self.set_point, "differential": self.differential,
                    "measured_every": f"{self.gear.interval_s:g} s", "reported_after": f"{self.gear.report_s:g} s",
                }
            ),
        )  # fmt: skip

    def asks(self) -> Asked:
        """Return what it asks of a controller with a probe."""
        return Asked("set point", "load value", thresholds={"set point": self.set_point}, differential=self.differential)

    def moved(self, chance: np.random.Generator) -> "SetTo":
        """Return it with another set point or differential."""
        by = 0.5 * float(chance.choice((1, 2, 4))) * (1.0 if chance.random() < 0.5 else -1.0)
        if chance.random() < 0.3:
            return replace(self, differential=on_grid(self.differential + by, 0.5, 0.5, 10.0))
        return replace(self, set_point=on_grid(self.set_point + by, 0.5, self.low, self.high))
