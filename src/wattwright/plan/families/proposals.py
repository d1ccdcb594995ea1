"""Where a search begins: settings of every family that a person would try first, and those that the bound hints at."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.catalogue.schema import Gear
from wattwright.control.rules import TimeProgramme
from wattwright.loads.columns import AIR, COLD_STORE, P_RATING_W, PLAIN, PUMP, SOIL, TANK
from wattwright.loads.faults import KILL_C
from wattwright.loads.soil_kernels import P_SENSOR, P_TAW_MM
from wattwright.loads.tank_kernels import P_SET_C, U_RAISED_C
from wattwright.plan.bound.bound import Bound
from wattwright.plan.case import Case
from wattwright.plan.families.cycles import Cycle
from wattwright.plan.families.limits import Below, Surplus
from wattwright.plan.families.order import Order
from wattwright.plan.families.plan import Genes, holds
from wattwright.plan.families.set_points import SetTo
from wattwright.plan.families.times import DAY_MIN, DAYS, GRID_MIN, WEEKEND, WORKING, Line, Times, lines_of

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
_QUARTERS = DAY_MIN // GRID_MIN
_SHIFTABLE = (PLAIN, PUMP)
_WEEK_S = 7 * 86_400.0


@dataclass(frozen=True, slots=True, eq=False)
class Hints:
    """Means by quarter of an hour of the local day, (2, 96), working days and weekends apart: what proposals are made from.

    ``price`` (s, 2, 96) of one more kWh in each of the ``seasons``, months that the tariff treats alike; ``site_w`` of today,
    ``pv_w``, and ``bound_w`` (m, 2, 96) of each load in the bound.
    """

    price: Floats
    seasons: tuple[tuple[int, ...], ...]
    site_w: Floats
    pv_w: Floats
    bound_w: Floats
    peak_w: float


def hints(case: Case, price: Floats, grid_w: Floats, best: Bound) -> Hints:
    """Return the hints of a case: ``price`` and ``grid_w`` of its steps under today's rules, and its bound."""
    span, step_s = case.scenario.span, int(case.scenario.step_s)
    place = _places(span.start_s + step_s * np.arange(len(grid_w), dtype=np.int64), case)
    coarse_s = span.start_s + best.step_s * np.arange(best.loads_w.shape[1], dtype=np.int64)
    coarse = _places(coarse_s, case)
    bound_w = np.array([_by_place(one, coarse) for one in best.loads_w]).reshape(len(best.loads_w), 2, _QUARTERS)
    if best.step_s > 60 * GRID_MIN:
        # A step of an hour holds four quarters; each is as the hour.
        each = best.step_s // (60 * GRID_MIN)
        first = np.arange(_QUARTERS) // each * each
        bound_w = bound_w[:, :, first]
    taken = np.maximum(grid_w, 0.0)
    priced, seasons = _prices(price, place, span.start_s + step_s * np.arange(len(grid_w), dtype=np.int64), case)
    return Hints(
        priced, seasons, _by_place(taken, place), _by_place(case.drivers.pv_w, place), bound_w, float(taken.max(initial=0.0))
    )


def _prices(
    price: Floats, place: NDArray[np.int64], times_s: NDArray[np.int64], case: Case
) -> tuple[Floats, tuple[tuple[int, ...], ...]]:
    """Return the prices by place of each group of months that have the same, and the groups.

    A month of which the record holds less than a week goes with the one nearest to it.
    """
    months = np.asarray(case.scenario.span.clock.parts(times_s).month)
    held = {int(one): int((months == one).sum()) * case.scenario.step_s for one in np.unique(months)}
    whole = [month for month, held_s in held.items() if held_s >= _WEEK_S] or [max(held, key=lambda one: held[one])]
    groups: list[tuple[Floats, list[int]]] = []
    for month in whole:
        mine = _by_place(price[months == month], place[months == month])
        alike = next((one for one in groups if np.allclose(one[0], mine, rtol=0.02, atol=1e-9)), None)
        if alike is None:
            groups.append((mine, [month]))
        else:
            alike[1].append(month)
    for month in held:
        if month not in whole:
            near = min(whole, key=lambda one: min((one - month) % 12, (month - one) % 12))
            next(group for _, group in groups if near in group).append(month)
    return np.array([one for one, _ in groups]), tuple(tuple(one) for _, one in groups)


def _places(times_s: NDArray[np.int64], case: Case) -> NDArray[np.int64]:
    parts = case.scenario.span.clock.parts(times_s)
    return np.asarray((parts.weekday >= 5) * _QUARTERS + parts.minute // GRID_MIN, np.int64)


def _by_place(values: Floats, place: NDArray[np.int64]) -> Floats:
    count = np.bincount(place, minlength=2 * _QUARTERS)
    total = np.bincount(place, values, minlength=2 * _QUARTERS)
    return np.asarray(total / np.maximum(count, 1)).reshape(2, _QUARTERS)


def proposals(case: Case, i: int, gear: Sequence[Gear], known: Hints) -> tuple[Genes, ...]:
    """Return the first settings to try for load ``i``, those that some gear holds, each once."""
    found: dict[Genes, None] = {}
    for one in (
        *_times(case, i, gear, known),
        *_limits(case, i, gear, known),
        *_set_points(case, i, gear),
        *_cycles(case, i, gear),
    ):
        if holds(one):
            found[one] = None
    return tuple(found)


def orders(case: Case, gear: Sequence[Gear], known: Hints) -> tuple[Order, ...]:
    """Return the first shed orders to try: the largest loads first and last, at shares of today's peak."""
    wide = [one for one in gear if "shedding" in one.functions and "site power" in one.sees]
    ratings = {id_: float(one.load.params[P_RATING_W]) for id_, one in zip(case.ids, case.scenario.loads, strict=True)}
    may = [id_ for id_, free in zip(case.ids, case.switchable, strict=True) if free]
    if not wide or not may:
        return ()
    smallest = sorted(may, key=lambda one: (ratings[one], one))
    found = []
    for pick in _picks(case, known, (0.5, 0.6, 0.7, 0.8)):
        for turn in (smallest, smallest[::-1]):
            restore = max(100.0, pick - 100.0 * np.ceil(1.1 * max(ratings[one] for one in turn) / 100.0))
            if pick > restore:
                found.append(Order(wide[0], tuple(turn), pick, float(restore)))
    return tuple(dict.fromkeys(one for one in found if holds(one)))


def _times(case: Case, i: int, gear: Sequence[Gear], known: Hints) -> Iterator[Times]:
    """Yield programmes: the cheap hours, all but the busy ones, the sunny ones, those of the bound, today's at other hours."""
    today = next((one for one in case.today.rules if one.load == case.ids[i] and isinstance(one, TimeProgramme)), None)
    months = () if today is None else today.months
    open_ = today is not None and today.other_months == "open"
    switches = [one for one in gear if "time programme" in one.functions and (one.months or not months)]
    if not switches:
        return
    for lines in _wanted(i, known, months):
        for switch in switches:
            made = Times(case.ids[i], switch, lines, months, open_, _within(known.seasons, months))
            if lines and len(lines) <= switch.entries and holds(made):
                yield made
                break
    if case.scenario.loads[i].load.kind in _SHIFTABLE:
        yield from _elsewhere(case, i, switches[0], months, open_)


def _wanted(i: int, known: Hints, months: tuple[int, ...]) -> Iterator[tuple[Line, ...]]:
    """Yield lines for the cheap hours, by season where prices differ, all but the busy ones, the sunny, the bound's."""
    yearly = known.price.mean(axis=0)
    for share in (0.3, 0.5, 0.7):
        yield _lines(yearly <= np.quantile(yearly, share, axis=1, keepdims=True))
    seasons = _within(known.seasons, months)
    if len(seasons) > 1:
        for share in (0.3, 0.5, 0.7):
            cheap = [one <= np.quantile(one, share, axis=1, keepdims=True) for one in known.price]
            kept = zip(known.seasons, cheap, strict=True)
            yield tuple(line for mine, one in kept for line in _lines(one, tuple(m for m in mine if not months or m in months)))
    for share in (0.75, 0.85, 0.92):
        yield _lines(known.site_w <= np.quantile(known.site_w, share))
    if known.pv_w.any():
        yield _lines(known.pv_w >= 0.3 * known.pv_w.max())
    best = known.bound_w[i]
    for share in (0.05, 0.2, 0.4):
        yield _lines(best >= share * best.max())


def _lines(wanted: Bools, months: tuple[int, ...] | None = None) -> tuple[Line, ...]:
    """Return the lines of wanted quarters of working days and weekends, (2, 96); none in a season of no months."""
    if months == ():
        return ()
    working, weekend = wanted
    alike = np.array_equal(working, weekend)
    lines = lines_of(working) if alike else (*lines_of(working, WORKING), *lines_of(weekend, WEEKEND))
    return tuple(sorted(replace(one, months=months or ()) for one in lines))


def _within(seasons: tuple[tuple[int, ...], ...], months: tuple[int, ...]) -> tuple[tuple[int, ...], ...]:
    """Return the months of each season in which a load is used at all."""
    kept = (tuple(month for month in one if not months or month in months) for one in seasons)
    return tuple(one for one in kept if one)


def _elsewhere(case: Case, i: int, gear: Gear, months: tuple[int, ...], open_: bool) -> Iterator[Times]:
    """Yield one stretch as long as the longest day asks for, every two hours."""
    hours = float(case.least_kwh[i].max(initial=0.0)) / max(float(case.most_w[i]) / 1000.0, 1e-9)
    length = min(GRID_MIN * int(np.ceil(60.0 * hours / GRID_MIN)), DAY_MIN - GRID_MIN) or 8 * 60
    for on in range(0, DAY_MIN, 120):
        yield Times(case.ids[i], gear, (Line(on, (on + length) % DAY_MIN, DAYS),), months, open_)


def _picks(case: Case, known: Hints, shares: Sequence[float]) -> list[float]:
    """Return pick-up values to try, W: shares of today's peak, and of an inverter that is to carry the site without a grid."""
    inverter = case.scenario.supply.inverter
    carries = case.weights.unserved > 0.0 and inverter is not None and inverter.role != "beside the grid"
    held = [known.peak_w, *([inverter.rating_va] if carries and inverter is not None else [])]
    return list(dict.fromkeys(100.0 * max(round(share * one / 100.0), 2) for one in held for share in shares))


def _limits(case: Case, i: int, gear: Sequence[Gear], known: Hints) -> Iterator[Genes]:
    rating = float(case.scenario.loads[i].load.params[P_RATING_W])
    sees = [one for one in gear if "limit" in one.functions and "site power" in one.sees]
    for pick in _picks(case, known, (0.4, 0.5, 0.6, 0.7, 0.8)) if sees else ():
        drop = max(100.0 * round((pick - 1.1 * rating) / 100.0), 100.0)
        yield Below(case.ids[i], sees[0], pick, min(drop, pick))
    surplus = [one for one in gear if "limit" in one.functions and "export power" in one.sees]
    if known.pv_w.any() and surplus:
        for share in (0.3, 0.6, 1.0):
            yield Surplus(case.ids[i], surplus[0], 100.0 * max(round(share * rating / 100.0), 1), 100.0)


def _set_points(case: Case, i: int, gear: Sequence[Gear]) -> Iterator[SetTo]:
    load = case.scenario.loads[i].load
    probes = [one for one in gear if "set point" in one.functions and "load value" in one.sees]
    if not probes:
        return
    heated_through = bool(case.drivers.uses[i, :, U_RAISED_C].any())
    # Stored below 60 degC only where somebody has seen to it that the tank is heated through.
    if load.kind == TANK and (heated_through or load.params[P_SET_C] < KILL_C):
        own = float(load.params[P_SET_C])
        for lower in (3.0, 6.0, 9.0):
            yield SetTo(case.ids[i], probes[0], round(own - lower), 5.0, "below", 40.0, own)
    if load.kind == SOIL and load.params[P_SENSOR] == 0.0:
        taw = float(load.params[P_TAW_MM])
        for share in (0.2, 0.35, 0.5):
            yield SetTo(case.ids[i], probes[0], round(2.0 * share * taw) / 2.0, 2.0, "above", 0.5, max(0.5, round(taw)))


def _cycles(case: Case, i: int, gear: Sequence[Gear]) -> Iterator[Cycle]:
    timers = [one for one in gear if "repeat-cycle timer" in one.functions and one.cycle is not None]
    if timers and case.scenario.loads[i].load.kind in (PUMP, AIR, COLD_STORE):
        for on, off in ((1200.0, 2400.0), (1800.0, 1800.0), (2700.0, 900.0)):
            yield Cycle(case.ids[i], timers[0], on, off)
