"""Shedding: loads go in turn while the supply is above a limit, and come back in turn below another."""

from dataclasses import dataclass, field, replace

import numpy as np

from wattwright.catalogue.fits import Asked
from wattwright.catalogue.schema import Gear
from wattwright.control.rules import Shedding
from wattwright.plan.families.gene import on_grid

_STEP_W = 100.0


@dataclass(frozen=True, slots=True)
class Order:
    """A shed order on one class of gear: the loads in turn, and the site's power at which they go and come back."""

    gear: Gear = field(hash=False)
    loads: tuple[str, ...]
    pick_up_w: float
    restore_w: float
    delay_s: float = 5.0
    back_s: float = 300.0

    @property
    def family(self) -> str:
        """Return the name of the family."""
        return "shed order"

    def shedding(self) -> Shedding:
        """Return it as a rule, measured as its gear measures."""
        return Shedding.model_validate(
            {
                "quantity": "site power", "pick_up": f"{self.pick_up_w:g} W", "restore": f"{self.restore_w:g} W",
                "order": self.loads, "delay": f"{self.delay_s:g} s", "next_after": "15 s", "back_after": f"{self.back_s:g} s",
                "measured_every": f"{self.gear.interval_s:g} s", "reported_after": f"{self.gear.report_s:g} s",
            }
        )  # fmt: skip

    def asks(self) -> Asked:
        """Return what it asks of a controller that sheds."""
        return Asked(
            "shedding", "site power", loads=len(self.loads), entries=len(self.loads),
            thresholds={"pick-up": self.pick_up_w, "restore": self.restore_w},
            delays_s={"delay": self.delay_s, "back": self.back_s, "next": 15.0},
        )  # fmt: skip

    def moved(self, chance: np.random.Generator) -> "Order":
        """Return it with another threshold, delay or turn."""
        turn = float(chance.random())
        if turn < 0.15 and len(self.loads) > 1:
            return replace(self, loads=tuple(str(one) for one in chance.permutation(self.loads)))
        if turn < 0.3:
            return replace(self, back_s=float(chance.choice((60.0, 120.0, 300.0, 600.0))))
        by = _STEP_W * float(chance.choice((1, 2, 5, 10))) * (1.0 if chance.random() < 0.5 else -1.0)
        pick = on_grid(self.pick_up_w + (by if turn < 0.7 else 0.0), _STEP_W, 2 * _STEP_W, 100_000.0)
        restore = on_grid(self.restore_w + by, _STEP_W, _STEP_W, 100_000.0)
        return replace(self, pick_up_w=pick, restore_w=min(restore, pick - _STEP_W))
