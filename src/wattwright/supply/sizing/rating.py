"""The rating of an inverter that carries the site: the smallest on offer that the engine never trips."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.core.progress import SILENT, Progress
from wattwright.simulate.columns import X_INVERTER_OVER_S, X_TRIPS
from wattwright.simulate.run import simulate
from wattwright.simulate.scenario import Scenario
from wattwright.simulate.supply import Battery, Connection, Inverter, Supply

_ENDLESS = Battery.model_validate(
    {"capacity": "10 MWh", "charge_power": "1 MW", "discharge_power": "1 MW", "start": "100 %", "floor": "0 %", "back": "1 %"}
)
_STRONG = Inverter.model_validate({"rating": "1 MVA", "role": "carries the site in outages"})


@dataclass(frozen=True, slots=True)
class Tried:
    """A rating held against all that the site draws: how often it trips, and how long it carries more than its rating."""

    rating_va: float
    trips: int
    above_s: float


@dataclass(frozen=True, slots=True)
class Rating:
    """The smallest rating that never trips, None where none on offer does; what was tried, and what hidden peaks added."""

    rating_va: float | None
    tried: tuple[Tried, ...]
    hidden_va: float


def least_rating(
    scenario: Callable[[float], Scenario], like: Inverter, ratings_va: tuple[float, ...], hidden_va: float = 0.0,
    taken_over: tuple[float, float] = (0.0, 0.0), progress: Progress = SILENT,
) -> Rating:  # fmt: skip
    """Return the least of ``ratings_va`` (rising) that carries the site at any hour, by the engine.

    ``scenario`` gives the site under its rules for a rating, since an order to shed is set by it; ``like`` says which overloads
    an inverter bears; ``hidden_va`` is what the record's means may hide, for which each rating is taken less. An endless battery
    stands behind it: what trips is the rating alone. A larger one is never past its withstand for longer on the same load, so
    halves are tried. ``taken_over`` is what runs when the grid is lost, VA, and for how many s until loads have gone: it must be
    borne as well. Raises Cancelled by ``progress``.
    """
    tried: dict[float, Tried] = {}
    low, high = 0, len(ratings_va)
    while low < high:
        progress.at("ratings of the inverter", len(tried), max(1.0, np.ceil(np.log2(len(ratings_va) + 1))))
        middle = (low + high) // 2
        rating = ratings_va[middle]
        tried[rating] = _tried(scenario(rating), like, rating, rating - hidden_va, taken_over)
        low, high = (low, middle) if tried[rating].trips == 0 else (middle + 1, high)
    return Rating(ratings_va[low] if low < len(ratings_va) else None, tuple(tried[one] for one in sorted(tried)), hidden_va)


def through_outages(
    rating: Rating, scenario: Callable[[float], Scenario], like: Inverter, ratings_va: tuple[float, ...], grid: NDArray[np.bool_]
) -> Rating:  # fmt: skip
    """Return a rating raised to the least of ``ratings_va`` (rising) that outages of ``grid`` (n,) do not trip either.

    What starts as the grid goes, or has cooled down since, differs from the site that never had one. None where none does.
    """
    tried = {one.rating_va: one for one in rating.tried}
    for rating_va in (one for one in ratings_va if rating.rating_va is not None and one >= rating.rating_va):
        inverter = like.model_copy(
            update={"rating_va": rating_va - rating.hidden_va, "role": "carries the site in outages", "idle_w": 0.0}
        )
        run = simulate(endless(scenario(rating_va), grid, inverter))
        trips = int(run.supply[X_TRIPS])
        if trips == 0:
            return replace(rating, rating_va=rating_va, tried=tuple(tried[one] for one in sorted(tried)))
        tried[rating_va] = Tried(rating_va, trips, float(run.supply[X_INVERTER_OVER_S]))
    return replace(rating, rating_va=None, tried=tuple(tried[one] for one in sorted(tried)))


def _tried(scenario: Scenario, like: Inverter, rating_va: float, left_va: float, taken_over: tuple[float, float]) -> Tried:
    """Return how a rating fares; one that hidden peaks use up, or that cannot take the site over, trips without being asked."""
    if left_va <= 0.0 or not bears(like, taken_over[0] / left_va, taken_over[1]):
        return Tried(rating_va, 1, float(len(scenario.drivers) * scenario.step_s))
    inverter = like.model_copy(update={"rating_va": left_va, "role": "stand-alone"})
    connection = scenario.supply.connection
    run = simulate(replace(scenario, supply=Supply(connection=connection, battery=_ENDLESS, inverter=inverter)))
    return Tried(rating_va, int(run.supply[X_TRIPS]), float(run.supply[X_INVERTER_OVER_S]))


def endless(scenario: Scenario, grid: NDArray[np.bool_], inverter: Inverter = _STRONG) -> Scenario:
    """Return a site that only its ``inverter`` limits, through outages of the grid, (n,): what it would take in them."""
    supply = Supply(connection=scenario.supply.connection, battery=_ENDLESS, inverter=inverter)
    return replace(scenario, supply=supply, drivers=replace(scenario.drivers, grid=grid))


def bears(like: Inverter, ratio: float, time_s: float) -> bool:
    """Return whether an inverter bears so many times its rating for so long, by its withstand."""
    return ratio <= 1.0 or any(ratio <= most and time_s <= holds_s for most, holds_s in like.withstands)


def unlimited(connection: Connection) -> Connection:
    """Return a connection that never trips."""
    return connection.model_copy(update={"rating_a": None})
