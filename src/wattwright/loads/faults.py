"""What is wrong with a load as entered, or needs care: findings from its spec, before anything is reckoned."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Final

from wattwright.core.findings import Finding, gravest_first
from wattwright.loads import kinds
from wattwright.loads.cold_kernels import cooling_performance
from wattwright.loads.cold_store import ColdStore
from wattwright.loads.equipment import Equipment
from wattwright.loads.greenhouse import Greenhouse
from wattwright.loads.humidity import DryRoom
from wattwright.loads.irrigation import Irrigation
from wattwright.loads.pool_pump import PoolPump
from wattwright.loads.pump_kernels import duty
from wattwright.loads.room import Room
from wattwright.loads.water_heater import WaterHeater

KILL_C: Final = 60.0
"""Stored water at or above this lets no Legionella grow, and burns."""
FROZEN_C: Final = -18.0
_FREEZER_C: Final = -12.0
"""Stores set colder than this are taken for freezers."""
_MOST_STARTS_H: Final = 6.0
_LEAST_REST_S: Final = 180.0
_LONGEST_TURNOVER_H: Final = 8.0
_MOULD: Final = 0.8


@dataclass(frozen=True, slots=True)
class HotWater:
    """What the survey says beside the heater: whether it is heated through regularly, and whether a mixing valve is fitted."""

    pasteurised: bool = False
    mixing_valve: bool = False


def faults(name: str, load: Any, hot_water: HotWater | None = None) -> tuple[Finding, ...]:
    """Return the findings about the load called ``name``, the gravest first; none for kinds of which there is nothing to say."""
    if isinstance(load, WaterHeater):
        return gravest_first(tuple(_water_heater(name, load, hot_water or HotWater())))
    return gravest_first(tuple(_BY_KIND[type(load)](name, load))) if type(load) in _BY_KIND else ()


def starts_per_hour(power_w: float, heat_wh_k: float, differential_k: float, load: Equipment) -> float:
    """Return the most starts in an hour a thermostat makes: Q / (4 C D) at half load, or what the shortest times leave."""
    free = power_w / (4.0 * heat_wh_k * differential_k)
    least_s = load.min_on_s + load.min_off_s
    return min(free, 3600.0 / least_s) if least_s > 0.0 else free


def _water_heater(name: str, heater: WaterHeater, survey: HotWater) -> Iterator[Finding]:
    set_c = min(heater.set_c, heater.limit_c)
    if set_c < KILL_C and not survey.pasteurised:
        yield kinds.HEATER_LUKEWARM.at(name, set=set_c)
    hottest = max(set_c, KILL_C) if survey.pasteurised else set_c
    if hottest >= KILL_C and not survey.mixing_valve:
        yield kinds.SCALD.at(name, hottest=hottest)
    if heater.set_c > heater.limit_c:
        yield kinds.HEATER_LIMIT.at(name, set=heater.set_c, limit=heater.limit_c)
    if set_c - heater.differential_k < heater.use_c:
        yield kinds.HEATER_FALLS_SHORT.at(name, begins=set_c - heater.differential_k, use=heater.use_c)


def _cycles(name: str, load: Equipment, power_w: float, heat_wh_k: float, differential_k: float) -> Iterator[Finding]:
    rate = starts_per_hour(power_w, heat_wh_k, differential_k, load)
    # Plain resistances start without harm; what has a starting current has a motor.
    if rate > _MOST_STARTS_H and load.start_ratio > 1.0:
        needed = power_w / (4.0 * heat_wh_k * _MOST_STARTS_H)
        yield kinds.SHORT_CYCLE.at(name, differential=differential_k, rate=rate, most=_MOST_STARTS_H, needed=needed)


def _rests(name: str, load: Equipment) -> Iterator[Finding]:
    if load.min_off_s < _LEAST_REST_S:
        yield kinds.NO_REST.at(name, rest=load.min_off_s)


def _room(name: str, room: Room) -> Iterator[Finding]:
    yield from _cycles(name, room, room.cop * room.rating_w, 1000.0 * room.heat_kwh_k, room.differential_k)
    if room.start_ratio > 1.0:
        yield from _rests(name, room)


def _cold_store(name: str, store: ColdStore) -> Iterator[Finding]:
    begins = store.set_c + store.differential_k
    if store.set_c <= _FREEZER_C and max(begins, store.limit_c) > FROZEN_C:
        yield kinds.FREEZER_WARM.at(name, warmest=max(begins, store.limit_c))
    elif begins > store.limit_c:
        yield kinds.STORE_OVER_LIMIT.at(name, begins=begins, limit=store.limit_c)
    cop = cooling_performance(store.carnot, store.set_c - store.evaporating_k, store.condensing_least_c)
    yield from _cycles(name, store, cop * store.rating_w, 1000.0 * store.heat_kwh_k, store.differential_k)
    yield from _rests(name, store)


def _pool_pump(name: str, pump: PoolPump) -> Iterator[Finding]:
    hours = pump.pool_l / 1000.0 / (pump.flow_m3_h * duty(pump.speed, pump.static, pump.shut_off)[0])
    if hours > _LONGEST_TURNOVER_H:
        yield kinds.TURNOVER_SLOW.at(name, turnover=3600.0 * hours)
    if hours * pump.turnovers > 24.0:
        yield kinds.TURNOVER_NEVER.at(name, wanted=pump.turnovers, needs=hours * pump.turnovers)
    yield kinds.POOL_CHEMICALS.at(name, volume=pump.pool_l / 1000.0)


def _irrigation(name: str, zone: Irrigation) -> Iterator[Finding]:
    readily = zone.depletable * zone.available_mm()
    if zone.begin_mm is not None and zone.begin_mm > readily:
        yield kinds.IRRIGATES_LATE.at(name, begins=zone.begin_mm, readily=readily)
    rate = zone.pumped_l_h / zone.area_m2
    if rate > zone.infiltration_mm_h:
        yield kinds.RUNS_OFF.at(name, rate=rate, takes=zone.infiltration_mm_h)


def _dry_room(name: str, room: DryRoom) -> Iterator[Finding]:
    if max(room.begin, room.limit) >= _MOULD:
        yield kinds.DAMP.at(name, humidity=max(room.begin, room.limit))
    if room.takes_l_day > 0.0:
        yield from _rests(name, room)


def _greenhouse(name: str, house: Greenhouse) -> Iterator[Finding]:
    if house.set_c < house.low_c:
        yield kinds.GREENHOUSE_LATE.at(name, begins=house.set_c, low=house.low_c)
    ceases = house.set_c + house.differential_k
    if house.vent_c <= ceases and house.vent_changes > 0.0:
        yield kinds.GREENHOUSE_AGAINST.at(name, vents=house.vent_c, ceases=ceases)


_BY_KIND: Final[dict[type, Callable[[str, Any], Iterator[Finding]]]] = {
    Room: _room,
    ColdStore: _cold_store,
    PoolPump: _pool_pump,
    Irrigation: _irrigation,
    DryRoom: _dry_room,
    Greenhouse: _greenhouse,
}
