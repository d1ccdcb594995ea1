"""Repeat-cycle timers: on for a time, off for a time, over and over."""

from dataclasses import dataclass, field, replace

import numpy as np

from wattwright.catalogue.fits import Asked
from wattwright.catalogue.schema import Gear
from wattwright.control.rules import AnyRule, RepeatCycle
from wattwright.plan.families.gene import on_grid

_STEP_S = 300.0


@dataclass(frozen=True, slots=True)
class Cycle:
    """A load is on for ``on_for_s`` and off for ``off_for_s``."""

    load: str
    gear: Gear = field(hash=False)
    on_for_s: float
    off_for_s: float

    @property
    def family(self) -> str:
        """Return the name of the family."""
        return "repeat-cycle timer"

    def rules(self, number: int) -> tuple[AnyRule, ...]:
        """Return the timer."""
        told = {"on_for": f"{self.on_for_s:g} s", "off_for": f"{self.off_for_s:g} s"}
        return (
            RepeatCycle.model_validate({"id": f"plan-{number}-cycle", "load": self.load, "kind": "repeat-cycle timer", **told}),
        )

    def asks(self) -> Asked:
        """Return what it asks of a timer."""
        return Asked("repeat-cycle timer", cycle_s={"on-time": self.on_for_s, "off-time": self.off_for_s})

    def moved(self, chance: np.random.Generator) -> "Cycle":
        """Return it with another on- or off-time."""
        by = _STEP_S * float(chance.choice((1, 2, 3))) * (1.0 if chance.random() < 0.5 else -1.0)
        if chance.random() < 0.5:
            return replace(self, on_for_s=on_grid(self.on_for_s + by, _STEP_S, 2.0 * _STEP_S, 36_000.0))
        return replace(self, off_for_s=on_grid(self.off_for_s + by, _STEP_S, 2.0 * _STEP_S, 36_000.0))
