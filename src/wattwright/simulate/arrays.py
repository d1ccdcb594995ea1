"""The flat arrays in which a site travels through the loop."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wattwright.control.kernels import Standing

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


class Site(NamedTuple):
    """Loads and supply: n loads.

    ``kinds`` (n,), ``p`` (n, PARAMS), ``share`` (n, 3) of each by conductor, ``tan`` (n,) reactive over active power,
    ``start_va`` (n,) what a start draws beyond running, ``v`` (SUPPLY,), ``curves`` (3, POINTS, 2) withstand of connection,
    inverter and generator.
    """

    kinds: Ints
    p: Floats
    share: Floats
    tan: Floats
    start_va: Floats
    v: Floats
    curves: Floats


class Course(NamedTuple):
    """What comes from outside in each step, as ``simulate.drivers.Drivers`` tells."""

    rest_w: Floats
    rest_var: Floats
    weather: Floats
    uses: Floats
    grid: Bools
    linked: Bools
    volts: Floats
    pv_w: Floats
    beside_w: Floats


class State(NamedTuple):
    """How everything stands between two pieces.

    ``loads`` (n, STATES), ``standing`` of rules and contacts, ``x`` (STANDING,) of the supply, ``phase_a`` (3,) the currents and
    ``clock`` (CLOCK,) the power measured last and what the loop itself remembers, ``last_w`` (n,) each load's power. All of them
    are views of ``every``, so that a state is copied in one go.
    """

    loads: Floats
    standing: Standing
    x: Floats
    phase_a: Floats
    clock: Floats
    last_w: Floats
    every: Floats


class Work(NamedTuple):
    """Room to work in, and how everything stood before the piece.

    ``watts``, ``vars_`` (ROWS, 3) sums by conductor; ``net_a`` (ROWS, 3), ``net_w`` (ROWS,) what the supply carries of them;
    ``surge_va`` (3,); ``signals``, ``least``, ``most`` (SIGNALS + n,); ``used_w`` (n,); ``apart`` (n,): EVEN, UNEVEN or SWITCHED;
    ``runs``, ``closed`` (n,) before the piece; ``counts`` (n, 2): starts and running time.
    """

    watts: Floats
    vars_: Floats
    net_a: Floats
    net_w: Floats
    surge_va: Floats
    signals: Floats
    least: Floats
    most: Floats
    used_w: Floats
    apart: Floats
    runs: Bools
    closed: Bools
    counts: Floats


class Written(NamedTuple):
    """What is kept of each of n steps, as ``simulate.run.Run`` tells, and the events (e, EVENT).

    ``loads_w`` and ``values`` lie step by step here: (n, loads).
    """

    site_w: Floats
    grid_w: Floats
    loads_w: Floats
    values: Floats
    charge_share: Floats
    peak_w: Floats
    peak_va: Floats
    phase_a: Floats
    supplied: Floats
    events: Floats
