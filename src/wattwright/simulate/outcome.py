"""What a run means: energy, peaks, currents, comfort, wear, stores, every switching, and what a person should know of it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.control.columns import C_CUTS, CAUSE_SHED
from wattwright.core.findings import Finding
from wattwright.core.series import Series, clock_windows, of_values
from wattwright.simulate.balance import Balance, balance
from wattwright.simulate.columns import (
    BEGINS,
    CAUSES,
    CLOSES,
    OPENS,
    TRIPS,
    WHAT,
    X_INVERTER_OVER_S,
    X_OVER_S,
)
from wattwright.simulate.comfort import Comfort, comfort
from wattwright.simulate.judge import judge
from wattwright.simulate.run import Run
from wattwright.simulate.scenario import Scenario

Floats = NDArray[np.float64]
WINDOWS_S = (60, 900, 1800, 3600)
_KWH_J = 3.6e6
_HOUR_S = 3600.0
_YEAR_S = 8760 * _HOUR_S


@dataclass(frozen=True, slots=True)
class Switching:
    """One thing that happened: when (UTC seconds), to which load (empty: the supply), what, and why."""

    time_s: float
    load: str
    what: str
    cause: str


@dataclass(frozen=True, slots=True)
class Peak:
    """The highest mean import over a window of the site's clock: how long the window is, the mean, and when it begins (UTC)."""

    window_s: int
    power_w: float
    start_s: int


@dataclass(frozen=True, slots=True)
class Conductor:
    """One conductor of the supply: its name, highest current, the rating (None: no limit), and for how long above it."""

    name: str
    highest_a: float
    rating_a: float | None
    above_s: float


@dataclass(frozen=True, slots=True)
class LoadOutcome:
    """What became of one load.

    ``stored_kwh`` is what its store holds beyond the start; ``starts_in_hour`` the most in any hour; ``contact_moves_a_year`` how
    often its contact moves in a year like this; ``shed`` how often it was shed, ``cuts`` how often that cut a minimum on-time.
    """

    id: str
    phase: str
    energy_kwh: float
    stored_kwh: float
    comfort: Comfort | None
    starts: int
    starts_in_hour: int
    running_h: float
    contact_moves_a_year: float
    shed: int
    cuts: int


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """All of it. ``import_w`` is the power through the connection (export negative) as a series that a tariff can bill."""

    loads: tuple[LoadOutcome, ...]
    import_w: Series
    peaks: tuple[Peak, ...]
    conductors: tuple[Conductor, ...]
    balance: Balance
    inverter_above_s: float
    trips: int
    switchings: tuple[Switching, ...]
    findings: tuple[Finding, ...]


def outcome(scenario: Scenario, run: Run) -> Outcome:
    """Return what a run of a scenario means."""
    series = of_values(scenario.span.start_s, int(scenario.step_s), run.grid_w)
    loads = tuple(_load(scenario, run, i) for i in range(len(scenario.loads)))
    conductors = _conductors(scenario, run)
    return Outcome(
        loads=loads, import_w=series, peaks=_peaks(scenario, series), conductors=conductors, balance=balance(run),
        inverter_above_s=float(run.supply[X_INVERTER_OVER_S]), trips=_count(run, what=TRIPS),
        switchings=switchings(scenario, run), findings=(),
    )  # fmt: skip


def switchings(scenario: Scenario, run: Run) -> tuple[Switching, ...]:
    """Return every event of a run in words, in the order of time."""
    ids = [one.load.id for one in scenario.loads]
    order = np.argsort(run.events[:, 0], kind="stable")
    return tuple(
        Switching(
            scenario.span.start_s + float(at), ids[int(load)] if load >= 0 else "", WHAT[int(what)],
            CAUSES[int(cause)] if int(cause) in CAUSES else scenario.control.cause(cause),
        )
        for at, load, what, cause in run.events[order]
    )  # fmt: skip
