"""Invented sites run through the engine: what switched in each is known to the minute, and none of it is told to the finder."""

import datetime as dt
from dataclasses import dataclass

import numpy as np

from tests.simulate.sites import heater, motor, room, scenario
from wattwright.core.fields import Held
from wattwright.core.seeds import Streams
from wattwright.loads.cold_store import ColdStore
from wattwright.loads.water_heater import WaterHeater
from wattwright.simulate.drivers import steady
from wattwright.simulate.run import simulate

DAYS, DAY = 21, 1440
KINDS = ("house", "nursery", "workshop", "cold store")


@dataclass(frozen=True)
class Site:
    """A site's power and that of each of its loads that switch, W, minute by minute."""

    power_w: np.ndarray
    loads_w: dict[str, np.ndarray]


def site(kind: str, seed: int, days: int = DAYS) -> Site:
    """Return an invented site of a kind; the seed draws ratings, habits and the rest."""
    draws = Streams(seed).stream(f"tests/switched/{kind}")
    loads, told, uses = {"house": _house, "nursery": _nursery, "workshop": _workshop, "cold store": _cold}[kind](draws, days)
    steps = days * DAY
    drivers = steady(steps, len(loads), rest_w=0.0, air_c=float(draws.uniform(2, 8)))
    for k, use in uses.items():
        drivers.uses[k, :, 0] = use
    drivers.rest_w[:, 0] = rest(draws, days, large=kind in ("workshop",))
    run = simulate(scenario(loads, told, drivers=drivers, fine_s=5.0))
    return Site(run.site_w, {one.id: run.loads_w[k] for k, one in enumerate(loads)})


def rest(draws, days: int, *, large: bool = False) -> np.ndarray:
    """Base load, an evening rise, a refrigerator's cycles and short appliances of any size: what does not come back alike."""
    steps, minute = days * DAY, np.arange(days * DAY) % DAY
    power = draws.uniform(120, 300) + 120 * np.exp(-(((minute - 1240) / 130) ** 2)) + draws.normal(0, 4, steps)
    cycle, phase = int(draws.integers(40, 70)), int(draws.integers(0, 40))
    power += 90.0 * (((np.arange(steps) + phase) % cycle) < cycle // 3)
    for _ in range(int(days * (30 if large else 14))):
        at = int(np.clip(draws.choice([450, 750, 1140]) + draws.normal(0, 110), 0, DAY - 1)) + DAY * int(draws.integers(0, days))
        power[at : at + int(draws.integers(2, 35))] += draws.uniform(100, 2600)
    return power


def _tank(id_, watts, litres):
    return WaterHeater(volume_l=Held(litres), rating_w=Held(watts), nodes=1).compiled(id_)


def _showers(draws, days, litres_s=0.12):
    use = np.zeros(days * DAY)
    for day in range(days):
        for hour, count in ((7, 2), (13, 1), (20, 2)):
            for _ in range(int(draws.integers(0, count + 1))):
                at = day * DAY + hour * 60 + int(draws.integers(-60, 60))
                use[max(0, at) : at + int(draws.integers(3, 10))] = litres_s
    return use


def _times(load, *lines):
    times = [{"on": dt.time.fromisoformat(on), "off": dt.time.fromisoformat(off)} for on, off in lines]
    return {"id": f"{load}-times", "load": load, "kind": "time programme", "times": times}


def _house(draws, days):
    loads = [_tank("tank", float(draws.uniform(1800, 3200)), 150.0), motor("pool", float(draws.uniform(1050, 1400)))]
    return loads, {"rule": [_times("pool", ("10:07:20", "15:40:10"))]}, {0: _showers(draws, days)}


def _nursery(draws, days):
    loads = [motor("pump", float(draws.uniform(1200, 1700))), heater("bench", float(draws.uniform(2100, 3000)))]
    told = {
        "rule": [
            _times("pump", ("05:30:20", "06:45:00"), ("20:15:00", "21:20:30")),
            {"id": "bench-times", "load": "bench", "kind": "repeat-cycle timer", "on_for": "17 min", "off_for": "43 min"},
        ]
    }
    return loads, told, {}


def _workshop(draws, days):
    loads = [motor("compressor", float(draws.uniform(3500, 5500))), room("room", float(draws.uniform(5800, 8000)))]
    rule = {"id": "air", "load": "compressor", "kind": "repeat-cycle timer", "on_for": "9 min", "off_for": "34 min"}
    return loads, {"rule": [rule]}, {}


def _cold(draws, days):
    watts = float(draws.uniform(1500, 2600))
    store = ColdStore(
        rating_w=Held(watts), heat_kwh_k=1.2, loss_w_k=60.0, set_c=Held(-20.0), limit_c=Held(-18.0), room_c=Held(18.0),
        differential_k=Held(2.0), probe_s=Held(300.0),
    ).compiled("cold")  # fmt: skip
    return [store, motor("fan", float(draws.uniform(1050, 1250)))], {"rule": [_times("fan", ("06:00:30", "11:30:15"))]}, {}


def f1(found, truth) -> float:
    """F1 by interval: twice the hits over all that was said and all that was so (both boolean)."""
    return float(2 * (found & truth).sum() / max(1, found.sum() + truth.sum()))
