"""Findings about loads as entered: each comes where it should, and a load without fault is left alone."""

import pytest

from wattwright.core.fields import Held
from wattwright.core.findings import Severity
from wattwright.core.show import Show
from wattwright.loads.cold_store import ColdStore
from wattwright.loads.faults import HotWater, faults, starts_per_hour
from wattwright.loads.greenhouse import Greenhouse
from wattwright.loads.humidity import DryRoom
from wattwright.loads.irrigation import Irrigation
from wattwright.loads.plain import Resistive
from wattwright.loads.pool_pump import PoolPump
from wattwright.loads.room import Room
from wattwright.loads.water_heater import WaterHeater

BARE = {
    "mode", "heat_kwh_k", "loss_w_k", "cop", "start_ratio", "flow_m3_h", "turnovers", "pumped_l_h", "begin_mm",
    "infiltration_mm_h", "room_m3", "vent_changes",
}  # fmt: skip
GOOD = {
    WaterHeater: {"volume_l": 150, "rating_w": 2000, "set_c": 60},
    Room: {"rating_w": 1500, "heat_kwh_k": 3.0, "loss_w_k": 150.0},
    ColdStore: {"rating_w": 1500, "heat_kwh_k": 3.0, "loss_w_k": 15.0, "set_c": -22, "limit_c": -18, "min_off_s": 300},
    PoolPump: {"rating_w": 1100, "pool_l": 60_000, "flow_m3_h": 15.0},
    Irrigation: {
        "rating_w": 750, "area_m2": 100, "pumped_l_h": 1200.0, "field_capacity": 0.3, "wilting_point": 0.1, "roots_m": 0.5,
    },
    DryRoom: {"rating_w": 300, "room_m3": 75.0, "takes_l_day": 12, "min_off_s": 300},
    Greenhouse: {"rating_w": 6000, "floor_m2": 50, "cover_m2": 120},
    Resistive: {"rating_w": 250},
}  # fmt: skip


def made(kind, **given):
    return kind(**{key: value if key in BARE else Held(value) for key, value in {**GOOD[kind], **given}.items()})


def codes(load, survey=None) -> list[str]:
    return [one.code.removeprefix("loads.") for one in faults("load", load, survey)]


@pytest.mark.parametrize("kind", GOOD, ids=lambda one: one.__name__)
def test_a_good_load_has_no_fault(kind) -> None:
    """Usual values give no finding; a pool's pump always reminds of its chemicals."""
    found = codes(made(kind), HotWater(pasteurised=True, mixing_valve=True))
    assert found == (["pool-chemicals"] if kind is PoolPump else [])


@pytest.mark.parametrize(
    ("kind", "given", "code"),
    [
        (WaterHeater, {"set_c": 50}, "heater-lukewarm"),
        (WaterHeater, {"set_c": 60}, "scald"),
        (WaterHeater, {"set_c": 80, "limit_c": 75}, "heater-limit"),
        (WaterHeater, {"set_c": 42, "differential_k": 5}, "heater-falls-short"),
        (Room, {"differential_k": 0.1, "heat_kwh_k": 0.3, "cop": 3.0, "start_ratio": 5.0}, "short-cycle"),
        (Room, {"start_ratio": 5.0}, "no-rest"),
        (ColdStore, {"min_off_s": 60}, "no-rest"),
        (ColdStore, {"heat_kwh_k": 0.02, "differential_k": 0.5}, "short-cycle"),
        (ColdStore, {"limit_c": -15}, "freezer-warm"),
        (ColdStore, {"set_c": -19}, "freezer-warm"),
        (ColdStore, {"set_c": 4, "limit_c": 5}, "store-over-limit"),
        (PoolPump, {"flow_m3_h": 6.0}, "turnover-slow"),
        (PoolPump, {"turnovers": 7.0}, "turnover-never"),
        (Irrigation, {"begin_mm": 60.0}, "irrigates-late"),
        (Irrigation, {"infiltration_mm_h": 5.0}, "runs-off"),
        (DryRoom, {"limit": 0.85}, "damp"),
        (DryRoom, {"min_off_s": 0}, "no-rest"),
        (Greenhouse, {"set_c": 2}, "greenhouse-late"),
        (Greenhouse, {"vent_c": 5}, "greenhouse-against"),
    ],
)
def test_each_fault_is_found(kind, given: dict, code: str) -> None:
    """One value out of its place gives its finding."""
    assert code in codes(made(kind, **given))


def test_raising_the_store_makes_a_valve_needed() -> None:
    """A store at 50 degC that is heated through to 60 is not lukewarm, and can scald; with a valve it has no fault."""
    heater = made(WaterHeater, set_c=50)
    assert codes(heater, HotWater(pasteurised=True)) == ["scald"]
    assert codes(heater, HotWater(pasteurised=True, mixing_valve=True)) == []


def test_a_store_without_freezing_is_no_freezer() -> None:
    """A chilled store of 2 degC with a limit of 5 has no fault; a fan without compressor needs no rest."""
    assert codes(made(ColdStore, set_c=2, limit_c=5)) == []
    fan = DryRoom(rating_w=Held(50), room_m3=75.0, fan_m3_h=100.0)
    assert codes(fan) == []


def test_gravest_comes_first() -> None:
    """A pump that never reaches its turnovers says so before it reminds of chlorine."""
    found = faults("pump", made(PoolPump, flow_m3_h=2.0))
    assert [one.severity for one in found] == [Severity.STOP, Severity.LOOK, Severity.NOTE]
    assert found[1].says(Show()).startswith("The pump takes")


def test_starts_are_those_of_the_derivation() -> None:
    """6 kW, 2 kWh/K, 1 K: 0.75 starts an hour at half load; 5 min on and off allow 6 (by hand)."""
    room = made(Room)
    assert starts_per_hour(6000, 2000, 1.0, room) == 0.75
    assert starts_per_hour(6000, 2.0, 1.0, made(Room, min_on_s=300, min_off_s=300)) == 6.0
