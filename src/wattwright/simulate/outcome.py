"""What a run means: energy, peaks, currents, comfort, wear, stores, every switching, and what a person should know of it."""

import numpy as np
from numpy.typing import NDArray

from wattwright.control.columns import C_CUTS, CAUSE_SHED
from wattwright.core.series import Series, clock_windows, of_values
from wattwright.loads.columns import S_STORED_J
from wattwright.simulate.columns import (
    BEGINS,
    CAUSES,
    CLOSES,
    OPENS,
    WHAT,
    X_BATTERY_J,
    X_CHARGE_J,
    X_DARK_S,
    X_DISCHARGE_J,
    X_EXPORT_J,
    X_GENERATOR_J,
    X_IMPORT_J,
    X_INVERTER_OVER_S,
    X_LOST_J,
    X_OVER_S,
    X_PV_J,
    X_SITE_J,
    X_SPILLED_J,
    X_TRIPS,
    X_UNSERVED_J,
)  # fmt: skip
from wattwright.simulate.comfort import comfort
from wattwright.simulate.judge import findings
from wattwright.simulate.results import Balance, Conductor, LoadOutcome, Outcome, Peak, Switching
from wattwright.simulate.run import Run
from wattwright.simulate.scenario import Scenario

Floats = NDArray[np.float64]
WINDOWS_S = (60, 900, 1800, 3600)
_KWH_J = 3.6e6
_HOUR_S = 3600.0
_YEAR_S = 8760 * _HOUR_S


def outcome(scenario: Scenario, run: Run) -> Outcome:
    """Return what a run of a scenario means; ``import_w`` of a step that is no whole number of seconds cannot be had."""
    series = of_values(scenario.span.start_s, int(scenario.step_s), run.grid_w)
    loads = tuple(_load(scenario, run, i) for i in range(len(scenario.loads)))
    conductors, told = _conductors(scenario, run), switchings(scenario, run)
    return Outcome(
        loads=loads, import_w=series, peaks=_peaks(scenario, series), conductors=conductors, balance=_balance(scenario, run),
        inverter_above_s=float(run.supply[X_INVERTER_OVER_S]), trips=int(run.supply[X_TRIPS]),
        switchings=told, findings=findings(scenario, run, loads, conductors, told),
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


def most_in_hour(times_s: Floats) -> int:
    """Return the most of the instants ``times_s`` that lie within any hour, its end left out."""
    times = np.sort(times_s)
    ends = np.searchsorted(times, times + _HOUR_S, side="left")
    return int(np.max(ends - np.arange(len(times)), initial=0))


def _load(scenario: Scenario, run: Run, i: int) -> LoadOutcome:
    mine = run.events[run.events[:, 1] == i]
    moves = mine[(mine[:, 2] == OPENS) | (mine[:, 2] == CLOSES)]
    shed_s = moves[(moves[:, 2] == OPENS) & (moves[:, 3] == CAUSE_SHED), 0]
    length_s, held_j = len(run.site_w) * scenario.step_s, float(scenario.loads[i].load.state[S_STORED_J])
    return LoadOutcome(
        id=scenario.loads[i].load.id, phase=scenario.phases[i].value, energy_kwh=float(run.energy_j[i]) / _KWH_J,
        stored_kwh=(float(run.stored_j[i]) - held_j) / _KWH_J, comfort=comfort(scenario.loads[i].load.kind, float(run.unmet[i])),
        starts=int(run.starts[i]), starts_in_hour=most_in_hour(mine[mine[:, 2] == BEGINS, 0]),
        running_h=float(run.run_s[i]) / _HOUR_S, contact_moves_a_year=len(moves) * _YEAR_S / length_s if length_s else 0.0,
        shed=len(shed_s), shed_in_hour=most_in_hour(shed_s), cuts=int(run.contacts[i, C_CUTS]),
    )  # fmt: skip


def _peaks(scenario: Scenario, series: Series) -> tuple[Peak, ...]:
    """Return the highest mean of each window that holds whole steps; only windows that were simulated throughout count."""
    found = []
    for window_s in WINDOWS_S:
        windows = clock_windows(series, window_s, scenario.span.clock)
        means = np.where(windows.full, windows.mean, -np.inf)
        if window_s >= series.step_s and windows.full.any():
            best = int(np.argmax(means))
            found.append(Peak(window_s, float(means[best]), int(windows.starts_s[best])))
    return tuple(found)


def _conductors(scenario: Scenario, run: Run) -> tuple[Conductor, ...]:
    return tuple(
        Conductor(
            phase.value, float(np.max(run.phase_a[:, k], initial=0.0)), scenario.supply.connection.rating_a,
            float(run.supply[X_OVER_S + k]),
        )
        for k, phase in enumerate(scenario.supply.connection.phases)
    )  # fmt: skip


def _balance(scenario: Scenario, run: Run) -> Balance:
    x, began_j = run.supply, float(scenario.supply.compiled().x[X_BATTERY_J])
    columns = {
        "imported": X_IMPORT_J, "exported": X_EXPORT_J, "pv": X_PV_J, "spilled": X_SPILLED_J, "generator": X_GENERATOR_J,
        "charge": X_CHARGE_J, "discharge": X_DISCHARGE_J, "lost": X_LOST_J, "site": X_SITE_J, "unserved": X_UNSERVED_J,
    }  # fmt: skip
    sums = {name: float(x[column]) / _KWH_J for name, column in columns.items()}
    return Balance(**sums, battery_rise=(float(x[X_BATTERY_J]) - began_j) / _KWH_J, dark_s=float(x[X_DARK_S]))
