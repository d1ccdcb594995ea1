"""Whether something that a rule looks at can have met its threshold within a piece."""

import numpy as np
from numpy.typing import NDArray

from wattwright.control.columns import (
    AMPS,
    C_SHED,
    CHARGE,
    EXPORT_W,
    H_PICK_UP,
    H_RESTORE,
    LIMIT,
    NO_SAY,
    Q_ACTIVE,
    Q_CONTACT,
    SIGNALS,
    SITE_W,
)
from wattwright.control.kernels import Rules
from wattwright.control.rule_kernels import turns
from wattwright.core.kernels import lean_kernel
from wattwright.loads.columns import S_RUN, S_VALUE
from wattwright.simulate.arrays import Site, State, Work
from wattwright.simulate.columns import END, HIGH, LOW, MEAN, PEAK, ROWS
from wattwright.simulate.supply_kernels import carried_w

Floats = NDArray[np.float64]


@lean_kernel
def turned(rules: Rules, state: State, work: Work, charge_share: float, blind: bool) -> bool:
    """Return whether a rule, the shedding or a needed load can have turned within the piece; ``blind``: no rule measures."""
    for w in range(len(rules.needs)):
        i = rules.needs[w, 1]
        if (state.loads[i, S_RUN] > 0.0) != work.runs[i]:
            return True
    if blind:
        return False
    _bounds(state, work, charge_share)
    for j in range(len(rules.kind)):
        if rules.kind[j] == LIMIT and state.standing.rules[j, Q_CONTACT] != NO_SAY:
            active, signal = state.standing.rules[j, Q_ACTIVE] > 0.0, rules.signal[j]
            if turns(rules.settings[j], active, work.least[signal]) or turns(rules.settings[j], active, work.most[signal]):
                return True
    return len(rules.shed_order) > 0 and _sheds(rules, state, work)


@lean_kernel
def _sheds(rules: Rules, state: State, work: Work) -> bool:
    """Return whether the value held against the limit may have let a load go or come back."""
    contacts, order, h = state.standing.contacts, rules.shed_order, rules.shed
    more = work.most[rules.shed_signal] >= h[H_PICK_UP] and contacts[order[len(order) - 1], C_SHED] == 0.0
    return bool(more or (work.least[rules.shed_signal] <= h[H_RESTORE] and contacts[order[0], C_SHED] > 0.0))


@lean_kernel
def _bounds(state: State, work: Work, charge_share: float) -> None:
    """Write the least and the most of each quantity within the piece; a load's value and the charge as they are at its end."""
    for signal in range(len(work.least)):
        work.least[signal] = work.most[signal] = work.signals[signal]
    low_w, high_w = work.net_w[LOW], work.net_w[HIGH]
    work.least[SITE_W], work.most[SITE_W] = low_w, high_w
    work.least[EXPORT_W], work.most[EXPORT_W] = max(0.0, -high_w), max(0.0, -low_w)
    work.least[AMPS + 3] = work.most[AMPS + 3] = 0.0
    for k in range(3):
        work.least[AMPS + k], work.most[AMPS + k] = work.net_a[LOW, k], work.net_a[HIGH, k]
        # A conductor that is not there is NaN, and no comparison with it holds.
        if work.net_a[LOW, k] > work.least[AMPS + 3]:
            work.least[AMPS + 3] = work.net_a[LOW, k]
        if work.net_a[HIGH, k] > work.most[AMPS + 3]:
            work.most[AMPS + 3] = work.net_a[HIGH, k]
    work.least[CHARGE] = work.most[CHARGE] = charge_share
    for i in range(len(state.loads)):
        work.least[SIGNALS + i] = work.most[SIGNALS + i] = state.loads[i, S_VALUE]


@lean_kernel
def carry(
    site: Site, x: Floats, work: Work, fed_by: float, pv_w: float, beside_w: float, fine_s: float, is_even: bool
) -> None:  # fmt: skip
    """Write what the supply carries in each row: own sources follow the site's power as far as they reach."""
    for row in range(1, ROWS):
        work.net_w[row] = work.net_w[MEAN]
        if not is_even:
            site_w = work.watts[row, 0] + work.watts[row, 1] + work.watts[row, 2]
            work.net_w[row] = carried_w(site.v, x, fed_by, site_w, pv_w, beside_w, fine_s)


@lean_kernel
def amps(work: Work, volts: Floats, conductors: int, is_even: bool) -> None:
    """Write the currents of each conductor, own sources spread evenly over all; where there is none they stay NaN.

    The least and the most are bounds: of powers of both signs the least current is nought.
    """
    for k in range(conductors):
        work.net_a[:, k] = _amps(_net_w(work, MEAN, k, conductors), work.vars_[MEAN, k], volts[k])
        if is_even:
            continue
        for row in (PEAK, END):
            work.net_a[row, k] = _amps(_net_w(work, row, k, conductors), work.vars_[row, k], volts[k])
        low_w, high_w = _net_w(work, LOW, k, conductors), _net_w(work, HIGH, k, conductors)
        low_var, high_var = work.vars_[LOW, k], work.vars_[HIGH, k]
        work.net_a[LOW, k] = _amps(_nearest(low_w, high_w), _nearest(low_var, high_var), volts[k])
        work.net_a[HIGH, k] = _amps(max(abs(low_w), abs(high_w)), max(abs(low_var), abs(high_var)), volts[k])


@lean_kernel
def _net_w(work: Work, row: int, k: int, conductors: int) -> float:
    """Return what conductor ``k`` carries, W."""
    own_w = work.watts[row, 0] + work.watts[row, 1] + work.watts[row, 2] - work.net_w[row]
    return float(work.watts[row, k] - own_w / conductors)


@lean_kernel
def _amps(power_w: float, power_var: float, volts: float) -> float:
    return float(np.sqrt(power_w * power_w + power_var * power_var) / volts)


@lean_kernel
def _nearest(low: float, high: float) -> float:
    """Return how near to nought a value between two bounds comes."""
    return 0.0 if low <= 0.0 <= high else min(abs(low), abs(high))
