"""A storage water heater fitted to its runs in a record: rating, hot water, standing loss, differential and set point.

What is used: the height of its power steps; the mean power on days on which hot water is drawn; the rest and the run of cycles
in which nobody draws, where there are such. Those are told by being alike: three or more in a row whose rests and runs hardly
differ, and hardly any longer rest elsewhere. In them the store goes from set point to set point with its loss alone, so that
rest and run show loss and differential; on the other days the mean power is loss and hot water together.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.series import Series, of_values
from wattwright.loads.columns import S_RUN, S_STORED_J, USES
from wattwright.loads.compiled import CompiledLoad
from wattwright.loads.tank_kernels import P_UA_W_K, U_FLOW_L_S
from wattwright.loads.water_heater import WaterHeater, loss_w_per_k
from wattwright.simulate.fit.days import HOURS, by_hour, day_means, hours_of, whole_days
from wattwright.simulate.fit.identify import Model, Parameter
from wattwright.simulate.fit.kernels import alone, undisturbed
from wattwright.simulate.fit.runs import Runs, on_share
from wattwright.simulate.fit.statistics import Estimate, robust_mean, serial_mean
from wattwright.simulate.fit.today import Today

Floats = NDArray[np.float64]
_ALIKE = 0.04
"""Cycles are alike when rests and runs differ from their mean by less than this share."""
_IN_A_ROW = 3
_FEW_LONGER, _LONGER_SHARE, _MOST_SHARE = 3, 0.02, 0.5
_STEP_S = 600.0
_WARM_UP_DAYS, _DAYS = 2, 10


@dataclass(frozen=True, slots=True, eq=False)
class StoreSeen:
    """What a record shows of a store.

    ``level`` is its power step (W), ``drawing`` its mean power on drawing days (W), ``rest`` and ``run`` those of cycles without
    draws (s; None where there are none), ``still_s`` the stretches without draws (begin, end), ``by_hour`` (2, 24) its mean
    power by hour on weekdays and weekends on which hot water was drawn (W).
    """

    level: Estimate
    drawing: Estimate
    rest: Estimate | None
    run: Estimate | None
    still_s: tuple[tuple[float, float], ...]
    by_hour: Floats

    def statistics(self) -> tuple[Estimate, ...]:
        """Return the statistics that are fitted, those there are."""
        still = () if self.rest is None or self.run is None else (self.rest, self.run)
        return (self.level, self.drawing, *still)


def seen_of(runs: Runs, series: Series, clock: SiteClock) -> StoreSeen | None:
    """Return what the ``runs`` of a store in ``series`` show; None where they are too few."""
    if len(runs) < _IN_A_ROW:
        return None
    level = robust_mean(runs.level_w)
    still = still_cycles(runs)
    stretches = tuple((float(runs.off_s[a]), float(runs.off_s[b])) for a, b in still)
    power = of_values(series.start_s, series.step_s, np.where(series.present, on_share(runs, series) * level.value, np.nan))
    days = whole_days(power, clock, stretches)
    if len(days) < _IN_A_ROW:
        return None
    rests = np.concatenate([runs.rest_s[a:b] for a, b in still]) if still else np.zeros(0)
    cycles = np.concatenate([runs.run_s[a + 1 : b + 1] for a, b in still]) if still else np.zeros(0)
    rest, run = (robust_mean(rests), robust_mean(cycles)) if still else (None, None)
    return StoreSeen(level, serial_mean(day_means(power, days)), rest, run, stretches, by_hour(power, clock, days))


def still_cycles(runs: Runs) -> tuple[tuple[int, int], ...]:
    """Return the cycles without draws as (first, last): from the end of run ``first`` to the end of run ``last``."""
    rests, lasts = runs.rest_s, runs.run_s[1:]
    groups, begin = [], 0
    for k in range(1, len(rests) + 1):
        part = slice(begin, k + 1)
        if k < len(rests) and _alike(rests[part]) and _alike(lasts[part]):
            continue
        if k - begin >= _IN_A_ROW:
            groups.append((begin, k))
        begin = k
    if not groups:
        return ()
    longest = max(float(rests[a:b].mean()) for a, b in groups)
    # No draw makes a rest longer: where many are, the cycles were alike by chance. A run that was not found may make a few.
    if (rests > (1.0 + _ALIKE) * longest).sum() > max(_FEW_LONGER, _LONGER_SHARE * len(rests)):
        return ()
    still = tuple((a, b) for a, b in groups if float(rests[a:b].mean()) > (1.0 - _ALIKE) * longest)
    # A store that is drawn on alike every day cycles alike too, so what is usual is not taken for an absence.
    lasts_s = sum(float(runs.off_s[b] - runs.off_s[a]) for a, b in still)
    return still if lasts_s <= _MOST_SHARE * float(runs.off_s[-1] - runs.off_s[0]) else ()


def _alike(values: Floats) -> bool:
    return bool(np.abs(values - values.mean()).max() <= _ALIKE * values.mean())


def parameters_of(heater: WaterHeater, known: frozenset[str]) -> tuple[Parameter, ...]:
    """Return what of a store is fitted, the most worth knowing first; usual ranges are common practice, no source."""
    usual_loss = loss_w_per_k(heater.volume_l)
    loss = heater.loss_w_k if heater.loss_w_k is not None else usual_loss
    every = (
        ("rating_w", "W", heater.rating_w, 0.7 * heater.rating_w, 1.3 * heater.rating_w),
        ("draw_l", "litre/day", 150.0, 30.0, 400.0),
        ("loss_w_k", "W/K", loss, 0.5 * usual_loss, 2.0 * usual_loss),
        ("differential_k", "K", heater.differential_k, 2.0, 12.0),
        ("set_c", "degC", heater.set_c, 50.0, 70.0),
    )
    return tuple(Parameter(name, unit, usual, low, high, name in known) for name, unit, usual, low, high in every)


def with_values(heater: WaterHeater, value: Floats) -> WaterHeater:
    """Return the heater with fitted values, in the order of ``parameters_of``; the daily draw is none of its own."""
    rating_w, _, loss_w_k, differential_k, set_c = value.tolist()
    return heater.model_copy(
        update={"rating_w": rating_w, "loss_w_k": loss_w_k, "differential_k": differential_k, "set_c": set_c, "start_c": set_c}
    )


def shape_of(seen: StoreSeen, loss_w: float) -> Floats:
    """Return how a day's hot water falls on its hours by day type, shape (2, 24), 1 on the mean: power over the standing loss."""
    over = np.maximum(seen.by_hour - loss_w, 0.0)
    weekday_share = 5.0 / 7.0 if over[0].any() and over[1].any() else float(over[0].any())
    mean = weekday_share * over[0].mean() + (1.0 - weekday_share) * over[1].mean()
    return over / mean if mean > 0.0 else np.ones((2, HOURS))


def model_of(heater: WaterHeater, seen: StoreSeen, weather: Floats) -> Model:
    """Return the simulated statistics of a store as a function of its parameters; ``weather`` (WEATHER,) is the record's mean."""
    standing_w = heater.compiled("store").params[P_UA_W_K] * max(heater.set_c - heater.room_c, 0.0)
    day = shape_of(seen, standing_w).mean(axis=0)
    # Water is drawn in pieces and not evenly, so that the store is cooler than its differential alone would have it.
    a_day = np.zeros((HOURS, int(3600 / _STEP_S)))
    a_day[:, 0] = day
    day = a_day.ravel() / a_day.mean()
    uses = np.zeros((len(day) * (_WARM_UP_DAYS + _DAYS), USES))
    many = np.tile(weather, (len(uses), 1))
    still = seen.rest is not None

    def model(value: Floats) -> Floats:
        load = with_values(heater, value).compiled("store")
        uses[:, U_FLOW_L_S] = np.tile(day, _WARM_UP_DAYS + _DAYS) * float(value[1]) / DAY_S
        drawing_w = _mean_w(load, uses, many)
        if not still:
            return np.array([value[0], drawing_w])
        return np.array([value[0], drawing_w, *_cycle(load, weather)])

    return model


def _mean_w(load: CompiledLoad, uses: Floats, weather: Floats) -> float:
    """Return the mean power after a warm-up, less what the store holds more at the end than then."""
    p, s = load.params.reshape(1, -1), load.state.reshape(1, -1).copy()
    begin = int(_WARM_UP_DAYS * DAY_S / _STEP_S)
    fed = np.ones(len(uses), np.bool_)
    alone(load.kind, p, s, fed[:begin], _STEP_S, weather[:begin], uses[:begin])
    held_j = float(s[0, S_STORED_J])
    power_w = alone(load.kind, p, s, fed[begin:], _STEP_S, weather[begin:], uses[begin:])
    return float(power_w.mean()) - (float(s[0, S_STORED_J]) - held_j) / (_DAYS * DAY_S)


def _cycle(load: CompiledLoad, weather: Floats) -> tuple[float, float]:
    s = load.state.reshape(1, -1).copy()
    s[0, S_RUN] = 0.0
    return undisturbed(load.kind, load.params.reshape(1, -1), s, _STEP_S, 20_000, 4, weather, np.zeros(USES))


def today(one_id: str, heater: WaterHeater, value: Floats, seen: StoreSeen, series: Series, clock: SiteClock) -> Today:
    """Return the store with the fitted values and hot water by hour and day type, none in the stretches without draws.

    Its runs will fall at other minutes than the record's; energy and hours agree.
    """
    load = with_values(heater, value).compiled(one_id)
    times_s = series.times_s
    shape = shape_of(seen, float(load.params[P_UA_W_K]) * (value[4] - heater.room_c))
    flow = shape[hours_of(times_s, clock)] * value[1] / DAY_S
    if _STEP_S % series.step_s == 0:
        flow *= (times_s % 3600 < _STEP_S) * (3600 / _STEP_S)
    for begin, end in seen.still_s:
        flow[(times_s >= begin) & (times_s < end)] = 0.0
    uses = np.zeros((len(series), USES))
    uses[:, U_FLOW_L_S] = flow
    return Today(load, uses)
