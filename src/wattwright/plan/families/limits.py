"""Limits on what the site draws: a load goes while the site is above one, and comes back below another."""

from dataclasses import dataclass, field, replace

import numpy as np

from wattwright.catalogue.fits import Asked
from wattwright.catalogue.schema import Gear
from wattwright.control.rules import AnyRule, Limit
from wattwright.plan.families.gene import on_grid

_DELAYS_S = (0.0, 5.0, 15.0, 60.0, 300.0)


@dataclass(frozen=True, slots=True)
class Below:
    """A load is off while the site draws more than ``pick_up_w`` and comes back at ``drop_out_w``, after its delays."""

    load: str
    gear: Gear = field(hash=False)
    pick_up_w: float
    drop_out_w: float
    on_delay_s: float = 5.0
    off_delay_s: float = 300.0
    most_w: float = 20_000.0

    @property
    def family(self) -> str:
        """Return the name of the family."""
        return "limit on the site's power"

    def rules(self, number: int) -> tuple[AnyRule, ...]:
        """Return the limit, measured as its gear measures."""
        return (
            Limit.model_validate(
                {
                    "id": f"plan-{number}-limit", "load": self.load, "kind": "limit", "quantity": "site power", "acts": "above",
                    "pick_up": f"{self.pick_up_w:g} W", "drop_out": f"{self.drop_out_w:g} W",
                    "on_delay": f"{self.on_delay_s:g} s",
                    "off_delay": f"{self.off_delay_s:g} s", "measured_every": f"{self.gear.interval_s:g} s",
                    "reported_after": f"{self.gear.report_s:g} s",
                }
            ),
        )  # fmt: skip

    def asks(self) -> Asked:
        """Return what it asks of a limit."""
        return Asked(
            "limit", "site power", thresholds={"pick-up": self.pick_up_w, "drop-out": self.drop_out_w},
            delays_s={"on-delay": self.on_delay_s, "off-delay": self.off_delay_s},
        )  # fmt: skip

    def moved(self, chance: np.random.Generator) -> "Below":
        """Return it with another threshold or delay."""
        turn, step = float(chance.random()), _step(self.gear)
        if turn < 0.25:
            return replace(self, off_delay_s=float(chance.choice(_DELAYS_S[1:])))
        by = step * float(chance.choice((1, 2, 5, 10))) * (1.0 if chance.random() < 0.5 else -1.0)
        pick, drop = self.pick_up_w + (by if turn < 0.8 else 0.0), self.drop_out_w + by
        pick = on_grid(pick, step, step, self.most_w)
        return replace(self, pick_up_w=pick, drop_out_w=min(on_grid(drop, step, 0.0, self.most_w), pick))


@dataclass(frozen=True, slots=True)
class Surplus:
    """A load is on only while the site gives back more than ``pick_up_w``, until it gives back less than ``drop_out_w``."""

    load: str
    gear: Gear = field(hash=False)
    pick_up_w: float
    drop_out_w: float
    off_delay_s: float = 300.0
    beside: bool = False

    @property
    def family(self) -> str:
        """Return the name of the family."""
        return "switching by PV surplus"

    def rules(self, number: int) -> tuple[AnyRule, ...]:
        """Return the limit on export."""
        return (
            Limit.model_validate(
                {
                    "id": f"plan-{number}-surplus", "load": self.load, "kind": "limit", "quantity": "export power",
                    "acts": "above", "pick_up": f"{self.pick_up_w:g} W", "drop_out": f"{self.drop_out_w:g} W",
                    "on_delay": "60 s", "off_delay": f"{self.off_delay_s:g} s", "contact": "closes", "beside": self.beside,
                    "measured_every": f"{self.gear.interval_s:g} s", "reported_after": f"{self.gear.report_s:g} s",
                }
            ),
        )  # fmt: skip

    def asks(self) -> Asked:
        """Return what it asks of a limit on export."""
        return Asked(
            "limit", "export power", thresholds={"pick-up": self.pick_up_w, "drop-out": self.drop_out_w},
            delays_s={"on-delay": 60.0, "off-delay": self.off_delay_s},
        )  # fmt: skip

    def moved(self, chance: np.random.Generator) -> "Surplus":
        """Return it with another threshold or delay."""
        if chance.random() < 0.25:
            return replace(self, off_delay_s=float(chance.choice(_DELAYS_S[1:])))
        step = 100.0
        by = step * float(chance.choice((1, 2, 5, 10))) * (1.0 if chance.random() < 0.5 else -1.0)
        pick = on_grid(self.pick_up_w + by, step, step, 20_000.0)
        return replace(self, pick_up_w=pick, drop_out_w=min(self.drop_out_w, pick))


def _step(gear: Gear) -> float:
    grid = gear.thresholds.get("site power")
    return 100.0 if grid is None else grid.step
