"""One question to the engine: which loads under which rules, fed by what, through which time."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.control.columns import A_FAIL_SAFE, A_LINK_S, A_MIN_OFF_S, A_MIN_ON_S, A_POWER_UP, A_RESTART_S
from wattwright.control.compiled import Compiled
from wattwright.control.programmes import Span
from wattwright.core.errors import InputError, Place, quoted
from wattwright.core.quantity import Phase
from wattwright.loads.columns import P_POWER_FACTOR, P_RATING_W, P_START_RATIO
from wattwright.loads.compiled import CompiledLoad, stack
from wattwright.simulate.arrays import Site
from wattwright.simulate.drivers import CONDUCTORS, Drivers
from wattwright.simulate.supply import Supply

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class SiteLoad:
    """A load and the conductor that feeds it; TOTAL: all evenly, UNKNOWN: the one that is then the worst."""

    load: CompiledLoad
    phase: Phase = Phase.UNKNOWN


@dataclass(frozen=True, slots=True, eq=False)
class Scenario:
    """A run of the engine: steps of ``step_s`` from the span's start, in pieces of ``fine_s`` where something may turn.

    Raises InputError where times, ids, conductors or lengths contradict one another.
    """

    span: Span
    step_s: float
    loads: tuple[SiteLoad, ...]
    control: Compiled
    supply: Supply
    drivers: Drivers
    fine_s: float = 1.0

    def __post_init__(self) -> None:
        """Hold everything against everything else."""
        _require(
            0 < self.fine_s <= self.step_s,
            "steps",
            f"{self.step_s:g} s and {self.fine_s:g} s",
            "a fine step no longer than the step",
        )
        length_s = len(self.drivers) * self.step_s
        _require(
            length_s == self.span.end_s - self.span.start_s, "drivers", f"{len(self.drivers)} steps of {self.step_s:g} s",
            f"steps that fill the span of {self.span.end_s - self.span.start_s} s",
        )  # fmt: skip
        ids = tuple(one.load.id for one in self.loads)
        _require(
            ids == self.control.load_ids, "control", quoted(", ".join(self.control.load_ids)), f"rules made for {', '.join(ids)}"
        )
        _require(
            len(self.drivers.uses) == len(ids),
            "drivers.uses",
            f"{len(self.drivers.uses)} rows",
            f"one for each of {len(ids)} loads",
        )
        known = self.supply.connection.phases
        for one in self.loads:
            _require(
                one.phase in (Phase.TOTAL, Phase.UNKNOWN, *known), f"loads.{one.load.id}.phase", quoted(one.phase.value),
                f"one of {', '.join(known)}, total or unknown",
            )  # fmt: skip
        # Column by column: numpy takes a dozen times as long for all three at once, and a search makes thousands of scenarios.
        there = np.array([np.isfinite(self.drivers.volts[:, k]).all() for k in range(CONDUCTORS)], np.bool_)
        _require(
            bool(there[: len(known)].all()) and not there[len(known) :].any(), "drivers.volts", f"{int(there.sum())} conductors",
            f"voltages of the {len(known)} conductors of the connection",
        )  # fmt: skip

    @property
    def phases(self) -> tuple[Phase, ...]:
        """Return the conductor each load is simulated on: one that is not known where the others draw the most."""
        known = self.supply.connection.phases
        if all(one.phase != Phase.UNKNOWN for one in self.loads):
            return tuple(one.phase for one in self.loads)
        busy = np.max(self.drivers.rest_w[:, : len(known)], axis=0, initial=0.0)
        for one in self.loads:
            if one.phase in known:
                busy[known.index(one.phase)] += one.load.params[P_RATING_W]
        worst = known[int(np.argmax(busy))]
        return tuple(worst if one.phase == Phase.UNKNOWN else one.phase for one in self.loads)

    @property
    def nothing_turns(self) -> bool:
        """Return whether neither a rule nor a relay nor the supply can act within a step: no rules, no delays, no limits."""
        rules, supply = self.control.rules, self.supply
        ruled = any(len(one) for one in (rules.kind, rules.locks, rules.needs, rules.shed_order, rules.manual))
        delayed = rules.actuator[:, [A_MIN_ON_S, A_MIN_OFF_S, A_RESTART_S, A_LINK_S]].any()
        kept = (rules.actuator[:, [A_FAIL_SAFE, A_POWER_UP]] < 0.0).all()
        limited = supply.connection.rating_a is not None or supply.inverter is not None or supply.generator is not None
        motors = sum(one.load.params[P_START_RATIO] > 1.0 for one in self.loads)
        return bool(not (ruled or delayed or limited) and kept and motors <= 1)

    def site(self) -> Site:
        """Return loads and supply as flat arrays."""
        stacked, supply = stack([one.load for one in self.loads]), self.supply.compiled()
        factor = stacked.params[:, P_POWER_FACTOR]
        factor = np.where(factor > 0.0, factor, 1.0)
        start_va = (stacked.params[:, P_START_RATIO] - 1.0) * stacked.params[:, P_RATING_W] / factor
        share = np.array([_shares(phase, self.supply.connection.phases) for phase in self.phases]).reshape(-1, CONDUCTORS)
        return Site(
            kinds=stacked.kinds, p=stacked.params, share=share, tan=np.sqrt(1.0 / factor**2 - 1.0),
            start_va=np.maximum(start_va, 0.0), v=supply.v, curves=supply.curves,
        )  # fmt: skip


def _shares(phase: Phase, known: tuple[Phase, ...]) -> list[float]:
    if phase == Phase.TOTAL:
        return [1.0 / len(known) if k < len(known) else 0.0 for k in range(CONDUCTORS)]
    return [float(k < len(known) and known[k] == phase) for k in range(CONDUCTORS)]


def _require(holds: bool, field: str, found: str, wanted: str) -> None:
    if not holds:
        raise InputError.one("simulate.scenario", Place(field=field), found=found, wanted=wanted)
