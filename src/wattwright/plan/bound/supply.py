"""The supply in a linear programme: connection, PV, battery and generator, each free to do what serves best within its limits."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.plan.bound.linear import Linear, Term
from wattwright.plan.bound.steps import Steps
from wattwright.simulate.columns import (
    V_BATTERY_J,
    V_CHARGE_SHARE,
    V_CHARGE_W,
    V_DISCHARGE_SHARE,
    V_DISCHARGE_W,
    V_GENERATOR_VA,
    V_GENERATOR_W,
    V_IDLE_W,
    X_BATTERY_J,
)  # fmt: skip

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
_KWH_J = 3.6e6


@dataclass(frozen=True, slots=True, eq=False)
class Fed:
    """Columns of each step, (n,), kW: import, export, PV that nothing takes, the rest that is not served; the battery's end."""

    imported: Ints
    exported: Ints
    spilled: Ints
    unserved: Ints
    battery_end: Ints | None
    battery_start_kwh: float
    most: Floats


def feed(program: Linear, steps: Steps, loads: list[Ints], most_w: Floats) -> Fed:
    """Balance every step: import + PV + battery + generator = rest + loads + own draw + export.

    ``loads`` are the columns of each load, ``most_w`` (m,) what each may draw. Where the grid is gone in part of a step, the
    rest may go unserved and the inverter need not draw anything.
    """
    n, compiled = len(steps), steps.case.scenario.supply.compiled()
    v, away, rest, sun = compiled.v, ~steps.grid, steps.rest_w / 1000.0, steps.pv_w / 1000.0
    idle_kw = np.where(away, 0.0, v[V_IDLE_W] / 1000.0)
    spilled = program.columns(n, 0.0, sun)
    generator = program.columns(n, 0.0, np.where(away, v[V_GENERATOR_W] / 1000.0 if v[V_GENERATOR_VA] > 0.0 else 0.0, 0.0))
    unserved = program.columns(n, 0.0, np.where(away, np.maximum(rest, 0.0), 0.0))
    into, out, end = _battery(program, steps, v, float(compiled.x[X_BATTERY_J]) / _KWH_J)
    charge_kw = v[V_CHARGE_W] / 1000.0 if len(into) else 0.0
    most = np.maximum(rest, 0.0) + float(most_w.sum()) / 1000.0 + charge_kw + idle_kw
    imported, exported = program.columns(n, 0.0, most), program.columns(n, 0.0, sun + v[V_DISCHARGE_W] / 1000.0)
    terms: list[Term] = [(imported, 1.0), (exported, -1.0), (spilled, -1.0), (generator, 1.0), (unserved, 1.0)]
    terms += [(one, -1.0) for one in loads] + [(into, -1.0), (out, 1.0)] * bool(len(into))
    needed = rest + idle_kw - sun
    program.rows(terms, needed, needed)
    return Fed(imported, exported, spilled, unserved, end, float(compiled.x[X_BATTERY_J]) / _KWH_J, most)


def _battery(program: Linear, steps: Steps, v: Floats, start_kwh: float) -> tuple[Ints, Ints, Ints | None]:
    """Return the columns of what goes in and out, kW, and of what is held at the end, kWh; empty without a battery."""
    if v[V_BATTERY_J] <= 0.0:
        nothing = np.zeros(0, np.int64)
        return nothing, nothing, None
    n, h = len(steps), steps.hours
    into, out = program.columns(n, 0.0, v[V_CHARGE_W] / 1000.0), program.columns(n, 0.0, v[V_DISCHARGE_W] / 1000.0)
    held = program.columns(n + 1, 0.0, v[V_BATTERY_J] / _KWH_J)
    program.rows([(held[:1], 1.0)], start_kwh, start_kwh)
    program.rows([(held[1:], 1.0), (held[:-1], -1.0), (into, -v[V_CHARGE_SHARE] * h), (out, h / v[V_DISCHARGE_SHARE])], 0.0, 0.0)
    return into, out, held[-1:]
