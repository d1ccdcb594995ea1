"""What a plan comes to on a case: its figures by the engine, and what it may not do."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.control.rules import Control
from wattwright.loads.columns import P_START_RATIO, PLAIN, S_STORED_J, TANK, W_AIR_C
from wattwright.loads.faults import KILL_C
from wattwright.loads.refill import stored_per_electric
from wattwright.loads.tank_kernels import P_SET_C, U_RAISED_C
from wattwright.plan.bound.money import weights_of
from wattwright.plan.case import PEAK_S, SPARE_H, Case
from wattwright.plan.loading import releases_of
from wattwright.plan.score_kernels import longest_below
from wattwright.simulate.columns import (
    BEGINS,
    CLOSES,
    OPENS,
    X_BATTERY_J,
    X_EXPORT_J,
    X_INVERTER_OVER_S,
    X_OVER_S,
    X_SPILLED_J,
    X_TRIPS,
    X_UNSERVED_J,
)  # fmt: skip
from wattwright.simulate.comfort import heat_ups
from wattwright.simulate.outcome import most_in_hour
from wattwright.simulate.run import Run, simulate
from wattwright.tariff.compiled import CompiledTariff, cost
from wattwright.tariff.kernels import CONSTANT, CONTINUED, DEMAND, EXPORT, RANGE

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
_WEEK_DAYS = 7
_HELD_OUT = 3
_KWH_J = 3.6e6
MOST_STARTS_H = 6.0
"""Starts of a motor in an hour: common practice, no source."""
_SMALL = 1e-6
_DARK_SHARE, _DARK_KWH = 0.01, 0.05
"""How much more of the site may be without power than under today's rules: what nobody notices; common practice, no source."""
_OVER_S = 1.0
"""How much longer than today the supply may carry more than its rating: what differs by less is the same."""
_REACHED_K = 1.0
_WEEK_S = 7 * 86_400.0


@dataclass(frozen=True, slots=True)
class Figures:
    """What came of a plan.

    ``cost``: money over the whole stretch, what stores hold more at the end taken off; nought without a tariff. ``peak_w``: the
    highest mean import over 15 min of the clock; ``pv_lost_kwh`` exported or spilled; ``unserved_kwh`` in the dark. By load,
    (m,): ``unmet`` in the unit of its kind, ``energy_kwh``, ``starts``, ``moves`` of its contact, ``starts_in_hour`` the most in
    any. ``short`` is by how many hours of a day each load misses what it must be given, or runs longer than it may, and
    ``heat_ups_missed`` how often a tank was not heated through; ``longest_cool_s`` is how long a tank that is set to 60 degC or
    more was colder than that at a stretch. ``carried_ratio`` is the highest current of a conductor as a share of the rating of
    the connection, 0 where it has none; ``over_s`` is how long connection or inverter carried more than its rating, and
    ``released_ratio`` what loads released at one time take of a rating with the rest of the site at its highest of that hour,
    0 where none are. ``value`` is what the plan's weights make of it; ``fitted`` and ``held_out`` what they make of the whole
    stretch by the weeks that a search looks at, and by those it does not.
    """

    value: float
    fitted: float
    held_out: float
    cost: float
    peak_w: float
    pv_lost_kwh: float
    unserved_kwh: float
    trips: int
    unmet: tuple[float, ...]
    energy_kwh: tuple[float, ...]
    starts: tuple[int, ...]
    moves: tuple[int, ...]
    starts_in_hour: tuple[int, ...]
    short: tuple[float, ...]
    heat_ups_missed: tuple[int, ...]
    longest_cool_s: tuple[float, ...]
    carried_ratio: float = 0.0
    over_s: float = 0.0
    released_ratio: float = 0.0


class Scorer:
    """A case with its tariff compiled once, that says what any rules come to on it."""

    def __init__(self, case: Case) -> None:
        """Take a case. Raises TariffError where its tariff cannot be compiled on the engine's steps."""
        self.case = case
        self.tariff: CompiledTariff | None = case.compiled_tariff(int(case.scenario.step_s))
        self.held_out = held_out(case)
        raised = case.drivers.uses[:, :, U_RAISED_C]
        self.releases = releases_of(case)
        self.raised = tuple(one.load.kind == TANK and bool(raised[i].any()) for i, one in enumerate(case.scenario.loads))

    @property
    def end_price(self) -> float:
        """Return the price of one more kWh in the last step."""
        return 0.0 if self.tariff is None else float(self.tariff.import_price[-1])

    def run(self, control: Control) -> Run:
        """Return the engine's run of the case under ``control``."""
        return simulate(self.case.under(control))

    def tried(self, control: Control) -> Figures:
        """Return what the case comes to under ``control``, with what it releases together."""
        return self.under(control, self.run(control))

    def under(self, control: Control, run: Run) -> Figures:
        """Return what a run under ``control`` comes to, with what that releases together."""
        return replace(self.figures(run), released_ratio=self.releases.ratio(control))

    def figures(self, run: Run) -> Figures:
        """Return what a run comes to; what is released together is a matter of its rules."""
        case, x = self.case, run.supply
        money = 0.0 if self.tariff is None else cost(self.tariff, run.grid_w).total - self.worth(run)
        peak = self.peak_w(run.grid_w)
        lost, unserved = float(x[X_EXPORT_J] + x[X_SPILLED_J]) / _KWH_J, float(x[X_UNSERVED_J]) / _KWH_J
        weights = case.weights
        value = weights.cost * money + weights.peak * peak / 1000.0 + weights.pv * lost + weights.unserved * unserved
        events = [run.events[run.events[:, 1] == i] for i in range(len(case.ids))]
        begun = [one[one[:, 2] == BEGINS, 0] for one in events]
        fitted, held = (self._partly(run, seen) for seen in (~self.held_out, self.held_out))
        return Figures(
            value=value, fitted=fitted, held_out=held, cost=money, peak_w=peak, pv_lost_kwh=lost,
            unserved_kwh=unserved, trips=int(x[X_TRIPS]),
            unmet=_floats(run.unmet), energy_kwh=_floats(run.energy_j / _KWH_J), starts=tuple(int(one) for one in run.starts),
            moves=tuple(int(np.isin(one[:, 2], (OPENS, CLOSES)).sum()) for one in events),
            starts_in_hour=tuple(most_in_hour(one) for one in begun), short=self._short(run), heat_ups_missed=self._missed(run),
            longest_cool_s=self._cool(run), carried_ratio=self._carried(run),
            over_s=float(np.max(x[[X_OVER_S, X_OVER_S + 1, X_OVER_S + 2, X_INVERTER_OVER_S]])),
        )  # fmt: skip

    def _partly(self, run: Run, seen: Bools) -> float:
        """Return the value of the whole stretch as some of its steps tell it; nought where these are none.

        What adds up from step to step is raised to the whole; peaks, charges on demand and fixed ones are as they stand. What
        stores hold at the end, and what is spilled, cannot be told apart by step and count in full.
        """
        share = float(seen.mean())
        if not share:
            return 0.0
        weights, hours, value = self.case.weights, self.case.scenario.step_s / 3600.0, 0.0
        if weights.unserved:
            value += weights.unserved * float(np.sum(self.unserved_w(run)[seen])) * hours / 1000.0 / share
        if weights.cost:
            value += weights.cost * (self._partly_paid(run, seen) - self.worth(run))
        if weights.peak:
            value += weights.peak * self.peak_w(np.where(seen, run.grid_w, 0.0)) / 1000.0
        if weights.pv:
            exported_kwh = float(np.sum(np.maximum(-run.grid_w[seen], 0.0))) * hours / 1000.0
            value += weights.pv * (exported_kwh / share + float(run.supply[X_SPILLED_J]) / _KWH_J)
        return value

    def _partly_paid(self, run: Run, seen: Bools) -> float:
        """Return what the whole stretch would cost by some of its steps, levies within; nought without a tariff."""
        if self.tariff is None:
            return 0.0
        arrays = self.tariff.arrays
        paid = weights_of(arrays) * cost(self.tariff, np.where(seen, run.grid_w, np.nan)).by_line
        adds_up = np.isin(arrays.kind, (RANGE, CONTINUED, EXPORT))
        return float(paid[adds_up].sum()) / float(seen.mean()) + float(paid[np.isin(arrays.kind, (CONSTANT, DEMAND))].sum())

    def unserved_w(self, run: Run) -> Floats:
        """Return the power of the rest of the site that is not served, (n,), means over the steps."""
        rest_w = self.case.drivers.rest_w
        return np.asarray((1.0 - run.supplied) * (rest_w[:, 0] + rest_w[:, 1] + rest_w[:, 2]))

    def worth(self, run: Run) -> float:
        """Return what all stores hold at the end beyond the beginning is worth at the price of the last step."""
        scenario, outdoor_c = self.case.scenario, float(self.case.drivers.weather[-1, W_AIR_C])
        held = [float(one.load.state[S_STORED_J]) for one in scenario.loads]
        per = [stored_per_electric(one.load, outdoor_c) for one in scenario.loads]
        electric_j = sum((float(run.stored_j[i]) - held[i]) / per[i] for i in range(len(held)))
        battery = scenario.supply.battery
        if battery is not None:
            began_j = float(scenario.supply.compiled().x[X_BATTERY_J])
            electric_j += (float(run.supply[X_BATTERY_J]) - began_j) / battery.charge_efficiency
        return self.end_price * electric_j / _KWH_J

    def peak_w(self, grid_w: Floats) -> float:
        """Return the highest mean import over a quarter of an hour of the clock; where there is no whole one, over a step.

        Clocks differ from UTC by whole quarters of an hour.
        """
        step_s, taken = int(self.case.scenario.step_s), np.maximum(grid_w, 0.0)
        size = max(PEAK_S // step_s, 1)
        first = -self.case.scenario.span.start_s % PEAK_S // step_s
        whole = (len(taken) - first) // size
        means = taken[first : first + whole * size].reshape(whole, size).mean(axis=1) if whole > 0 else taken
        return float(np.max(means, initial=0.0))

    def _short(self, run: Run) -> tuple[float, ...]:
        """Return by how many hours loads without a store miss what they are to be given in a day, or run beyond it, by load."""
        case, hours = self.case, self.case.scenario.step_s / 3600.0
        found = []
        for i, (one, least) in enumerate(zip(case.scenario.loads, case.least_kwh, strict=True)):
            if one.load.kind != PLAIN:
                found.append(0.0)
                continue
            lacking = (least - np.add.reduceat(run.loads_w[i], case.days[:-1]) * hours / 1000.0) / max(
                float(case.most_w[i]) / 1000.0, 1e-9
            )
            found.append(float(np.max(np.maximum(lacking, -lacking - SPARE_H), initial=0.0)))
        return tuple(found)

    def _carried(self, run: Run) -> float:
        connection = self.case.scenario.supply.connection
        if connection.rating_a is None:
            return 0.0
        return max(float(run.phase_a[:, k].max()) for k in range(len(connection.phases))) / connection.rating_a

    def _cool(self, run: Run) -> tuple[float, ...]:
        found = []
        for i, one in enumerate(self.case.scenario.loads):
            hot = one.load.kind == TANK and one.load.params[P_SET_C] >= KILL_C
            found.append(longest_below(run.values[i], KILL_C - _REACHED_K) * self.case.scenario.step_s if hot else 0.0)
        return tuple(found)

    def _missed(self, run: Run) -> tuple[int, ...]:
        uses = self.case.drivers.uses
        return tuple(
            len(heat_ups(run.values[i], uses[i, :, U_RAISED_C])[0]) if raised else 0 for i, raised in enumerate(self.raised)
        )


def held_out(case: Case) -> Bools:
    """Return the steps that a search does not look at, (n,): every third week; none of a stretch shorter than six weeks.

    None either where what is not served counts: outages are too few for some of them to be held back.
    """
    seen = np.zeros(len(case.drivers), np.bool_)
    if case.weights.unserved:
        return seen
    weeks = (len(case.days) - 1) // _WEEK_DAYS
    for week in range(1, weeks if weeks >= 2 * _HELD_OUT else 0, _HELD_OUT):
        seen[case.days[week * _WEEK_DAYS] : case.days[(week + 1) * _WEEK_DAYS]] = True
    return seen


@dataclass(frozen=True, slots=True)
class Breach:
    """Something a plan does that it may not: of which load ("" of the site), what, and by what share of the allowance."""

    load: str
    what: str
    by: float


def breaches(case: Case, today: Figures, made: Figures) -> tuple[Breach, ...]:
    """Return what a plan may not do, beside what today's rules do already."""
    return tuple(_breaches(case, today, made))


def _breaches(case: Case, today: Figures, made: Figures) -> Iterator[Breach]:
    for i, id_ in enumerate(case.ids):
        most = float(case.most_unmet[i])
        if made.unmet[i] > most + _SMALL * max(most, 1.0):
            yield Breach(id_, "comfort", (made.unmet[i] - most) / max(most, 1.0))
        if made.short[i] > max(today.short[i], 0.0) + _SMALL:
            yield Breach(id_, "hours", made.short[i])
        if made.longest_cool_s[i] > max(_WEEK_S, today.longest_cool_s[i]):
            yield Breach(id_, "kept hot", made.longest_cool_s[i] / _WEEK_S)
        if made.heat_ups_missed[i] > today.heat_ups_missed[i]:
            yield Breach(id_, "heating through", float(made.heat_ups_missed[i] - today.heat_ups_missed[i]))
        most_starts = max(MOST_STARTS_H, today.starts_in_hour[i])
        if case.scenario.loads[i].load.params[P_START_RATIO] > 1.0 and made.starts_in_hour[i] > most_starts:
            yield Breach(id_, "starts", made.starts_in_hour[i] / most_starts - 1.0)
    dark_kwh = made.unserved_kwh - (1.0 + _DARK_SHARE) * today.unserved_kwh - _DARK_KWH
    if dark_kwh > 0.0:
        yield Breach("", "darkness", dark_kwh)
    if made.trips > today.trips:
        yield Breach("", "trips", float(made.trips - today.trips))
    yield from _overloads(case, today, made)


def _overloads(case: Case, today: Figures, made: Figures) -> Iterator[Breach]:
    """Yield where the supply is to carry more than it is rated for, and more than it carries today."""
    for now, then in ((today.carried_ratio, made.carried_ratio), (today.released_ratio, made.released_ratio)):
        if then > max(1.0, now) + _SMALL:
            yield Breach("", "overload", then / max(1.0, now) - 1.0)
    if made.over_s > today.over_s + _OVER_S:
        yield Breach("", "time of overload", made.over_s / max(today.over_s, 60.0))
    if case.agreed_w is not None and made.peak_w > max(case.agreed_w, today.peak_w) * (1.0 + _SMALL):
        yield Breach("", "agreed power", made.peak_w / max(case.agreed_w, today.peak_w) - 1.0)


def _floats(values: Floats) -> tuple[float, ...]:
    return tuple(float(one) for one in values)
