"""The site under one set of rules, and what becomes of it when a link is lost or a contact welded."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.control.compiled import compile_control
from wattwright.control.rules import Control, Limit, Shedding, in_unit
from wattwright.core.quantity import Phase
from wattwright.loads.columns import P_MOST_W, P_POWER_FACTOR
from wattwright.simulate.run import Run, simulate
from wattwright.simulate.scenario import Scenario
from wattwright.simulate.supply import Supply
from wattwright.supply.sizing.rating import unlimited

LOST_SHARE, THERE_SHARE = 0.8, 0.9
LOST_AFTER_S, THERE_AFTER_S = 2.0, 60.0
"""Shares of nominal voltage, and times, by which a relay tells that the grid is gone, and back: common practice, no source."""
LOW_SHARE, ENOUGH_SHARE = 0.4, 0.6
"""Charges of a stand-alone battery at which loads go and come back: common practice, no source."""
CONTACTOR_S = 0.1
"""Relay and contactor: common practice, no source."""
SHED_SHARE, BACK_SHARE = 0.9, 0.7
"""Shares of the inverter's rating at which loads go and come back: common practice, no source."""


@dataclass(frozen=True, slots=True, eq=False)
class Way:
    """The site under ``control``, with the grid always there and no sources of its own.

    ``order`` are the loads that may go where the inverter carries the site, the first to go first; empty where none may. They
    stay off without the grid, or where ``alone`` while the battery is low, and are shed below the rating. ``set_va`` is the
    rating they are set by, whatever the inverter's; ``link_lost``: no command reaches a contact.
    """

    scenario: Scenario
    control: Control
    order: tuple[str, ...] = ()
    alone: bool = False
    set_va: float | None = None
    link_lost: bool = False

    def under(self, rating_va: float) -> Scenario:
        """Return the scenario for an inverter of so many VA: what may be shed is, below its rating."""
        control = self.carried(rating_va)
        ids, span = [one.load.id for one in self.scenario.loads], self.scenario.span
        drivers = self.scenario.drivers
        if self.link_lost:
            drivers = replace(drivers, linked=np.zeros(len(drivers), np.bool_))
        return replace(self.scenario, control=compile_control(control, ids, span), drivers=drivers)

    def held_off(self) -> tuple[Limit, ...]:
        """Return what keeps the loads of the order off: a relay on the grid's side of the changeover each, or on the charge."""
        volts = self.scenario.supply.connection.voltage_v
        seen = {
            "quantity": "grid voltage", "pick_up": f"{LOST_SHARE * volts:.0f} V", "drop_out": f"{THERE_SHARE * volts:.0f} V",
            "on_delay": f"{LOST_AFTER_S:g} s", "off_delay": f"{THERE_AFTER_S:g} s",
        }  # fmt: skip
        if self.alone:
            seen = {"quantity": "state of charge", "pick_up": f"{100 * LOW_SHARE:g} %", "drop_out": f"{100 * ENOUGH_SHARE:g} %"}
        made = {"kind": "limit", "acts": "below", **seen}
        return tuple(
            Limit.model_validate({**made, "id": f"held-off-{place}", "load": load})
            for place, load in enumerate(self.order, start=1)
        )

    @property
    def response_s(self) -> float:
        """Return how long the loads of the order may still run after the grid is lost, s."""
        links = (self.control.actuator(one).link_s for one in self.order)
        return LOST_AFTER_S + max(links, default=0.0) + CONTACTOR_S

    def fits(self, rating_va: float) -> bool:
        """Return whether each load that is shed below a rating may still run alone: what never could would never come back."""
        most_w = [float(one.load.params[P_MOST_W]) for one in self.scenario.loads if one.load.id in self.order]
        rest_w = float(np.median(self.scenario.drivers.rest_w.sum(axis=1)))
        return not self.alone or BACK_SHARE * rating_va >= max(most_w, default=0.0) + rest_w

    def carried(self, rating_va: float) -> Control:
        """Return the rules where an inverter of so many VA carries the site, now and then or always.

        Who is kept off without the grid need not be shed, and an order to shed would act with the grid too.
        """
        if not self.order:
            return self.control
        shedding = self.shedding(self.set_va or rating_va) if self.alone else self.control.shedding
        return self.control.model_copy(update={"shedding": shedding, "rules": (*self.control.rules, *self.held_off())})

    def shedding(self, rating_va: float) -> Shedding:
        """Return the order to shed below a rating; one that is there already keeps its loads and times, and no higher values."""
        there = self.control.shedding
        pick_w, restore_w = SHED_SHARE * rating_va, BACK_SHARE * rating_va
        if there is not None and there.quantity == "site power":
            pick_w = min(pick_w, in_unit(there.pick_up, there.quantity))
            restore_w = min(restore_w, in_unit(there.restore, there.quantity))
            return there.model_copy(update={"pick_up": f"{pick_w:.0f} W", "restore": f"{restore_w:.0f} W"})
        return Shedding.model_validate(
            {
                "pick_up": f"{pick_w:.0f} W", "restore": f"{restore_w:.0f} W", "order": self.order, "delay": "2 s",
                "next_after": "2 s", "back_after": "300 s", "measured_every": "1 s", "reported_after": "1 s",
            }
        )  # fmt: skip

    def welded(self, load: str) -> "Way":
        """Return it with the contact of a load welded: it stays fed whatever the rules say."""
        kept = self.control.shedding
        if kept is not None:
            left = tuple(one for one in kept.order if one != load)
            kept = kept.model_copy(update={"order": left}) if left else None
        control = self.control.model_copy(
            update={
                "rules": tuple(one for one in self.control.rules if one.load != load), "shedding": kept,
                "interlocks": tuple(one for one in self.control.interlocks if load not in one.loads),
                "overrides": tuple(one for one in self.control.overrides if one.load != load),
                "returns": tuple(one for one in self.control.returns if one != load),
            }
        )  # fmt: skip
        return replace(self, control=control, order=tuple(one for one in self.order if one != load))

    def held_off_w(self, run: Run) -> NDArray[np.float64]:
        """Return what the loads that stay off without the grid take with it in a run, W, (n,)."""
        off = [one.load.id in self.order and not self.alone for one in self.scenario.loads]
        return np.asarray(run.loads_w[np.array(off, np.bool_)].sum(axis=0))

    def held_a(self, load: str) -> float:
        """Return what a load of the order takes at most in its conductor, A: what its contactor must bear."""
        one = next(each for each in self.scenario.loads if each.load.id == load)
        connection = self.scenario.supply.connection
        conductors = len(connection.phases) if one.phase is Phase.TOTAL else 1
        factor = float(one.load.params[P_POWER_FACTOR]) or 1.0
        return float(one.load.params[P_MOST_W]) / factor / connection.voltage_v / conductors

    def unlinked(self) -> "Way":
        """Return it with the link lost all the time."""
        return replace(self, link_lost=True)

    @property
    def switched(self) -> tuple[str, ...]:
        """Return the ids of loads that rules or the order to shed switch, the largest first."""
        named = {one.load for one in self.control.rules} | set(self.order)
        named |= set(self.control.shedding.order) if self.control.shedding is not None else set()
        of = {one.load.id: float(one.load.params[P_MOST_W]) for one in self.scenario.loads}
        return tuple(sorted((one for one in of if one in named), key=lambda one: -of[one]))


def reference(scenario: Scenario) -> Scenario:
    """Return a site as if the grid were always there and strong, with no sources of its own."""
    drivers, there = scenario.drivers, np.ones(len(scenario.drivers), np.bool_)
    return replace(
        scenario, supply=Supply(connection=unlimited(scenario.supply.connection)),
        drivers=replace(drivers, grid=there, linked=there, pv_w=np.zeros(len(drivers))),
    )  # fmt: skip


def run_of(way: Way) -> Run:
    """Return what the site takes under its rules while nothing limits it."""
    plain = replace(way, order=()).under(0.0)
    return simulate(plain)
