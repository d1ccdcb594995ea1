"""One decision of a plan: a family of rules for one load, at one setting that its gear can hold."""

from typing import Protocol

import numpy as np

from wattwright.catalogue.fits import Asked
from wattwright.catalogue.schema import Gear
from wattwright.control.rules import AnyRule


class Gene(Protocol):
    """A setting of one family for one load: hashable, so that a plan is tried once."""

    @property
    def load(self) -> str:
        """Return the id of the load it switches."""

    @property
    def gear(self) -> Gear:
        """Return the class of gear it is set on."""

    @property
    def family(self) -> str:
        """Return the name of its family, as a person knows it."""

    def rules(self, number: int) -> tuple[AnyRule, ...]:
        """Return its rules, with ids that hold ``number``."""

    def asks(self) -> Asked:
        """Return what it asks of its gear."""

    def moved(self, chance: np.random.Generator) -> "Gene":
        """Return it a step away on the grid of its gear."""


def on_grid(value: float, step: float, low: float, high: float) -> float:
    """Return the value of a grid from ``low`` in steps that lies nearest, no higher than ``high``."""
    steps = round((min(max(value, low), high) - low) / step)
    found = low + steps * step
    return found if found <= high + 1e-9 else found - step
