"""Invented sites, minute by minute, with the power of each load known: homes, nurseries, workshops and cold stores.

What has physics (hot water, rooms, cold stores) is stepped by the engine's own load models; what people switch is drawn.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from scipy.signal import lfilter

from wattwright.core.fields import Held
from wattwright.core.seeds import Streams
from wattwright.loads.cold_kernels import U_DOOR
from wattwright.loads.cold_store import ColdStore
from wattwright.loads.columns import USES, W_AIR_C, W_SUN_W_M2
from wattwright.loads.compiled import CompiledLoad
from wattwright.loads.room import Room
from wattwright.loads.tank_kernels import U_FLOW_L_S
from wattwright.loads.water_heater import WaterHeater
from wattwright.simulate.calibrate import usual_weather
from wattwright.simulate.fit.kernels import alone

MINUTES = 1440
YEAR_DAYS = 364.0
START_S = 1_709_510_400
"""Monday 4 March 2024, 00:00 UTC."""
ZONE = "Africa/Nairobi"
"""A zone whose clock never changes; its days begin at 21:00 UTC, so a site begins there too."""
BEGIN_S = START_S - 3 * 3600
Floats = np.ndarray


@dataclass(frozen=True)
class InventedSite:
    """A site: its kind, the power of each load minute by minute in W, (minutes,), each load's rating in W, and the rest."""

    kind: str
    loads: Mapping[str, Floats]
    ratings: Mapping[str, float]
    rest_w: Floats

    @property
    def power_w(self) -> Floats:
        """Return the whole power minute by minute in whole watts, (minutes,)."""
        return np.round(sum(self.loads.values(), start=self.rest_w))


def stepped(load: CompiledLoad, minutes: int, weather: Floats, uses: Floats) -> Floats:
    """Return the power of one load left alone, W, (minutes,)."""
    fed = np.ones(minutes, np.bool_)
    return alone(load.kind, load.params.reshape(1, -1), load.state.reshape(1, -1).copy(), fed, 60.0, weather, uses)


def runs(begins_min: Floats, lasts_min: Floats, rating_w: float, minutes: int) -> Floats:
    """Return the power of a load that runs from each beginning for so long, W, (minutes,); what overlaps is one run."""
    fine = np.zeros(minutes * 6 + 1)
    first = np.clip(np.round(begins_min * 6).astype(int), 0, minutes * 6)
    last = np.clip(np.round((begins_min + lasts_min) * 6).astype(int), 0, minutes * 6)
    np.add.at(fine, first, 1.0)
    np.add.at(fine, last, -1.0)
    on = np.cumsum(fine[:-1]) > 0.5
    return rating_w * on.reshape(minutes, 6).mean(axis=1)


def at_hours(draws: np.random.Generator, days: int, each_day: float, hours: tuple[float, ...], spread_h: float) -> Floats:
    """Return when something is begun, in minutes: so many times a day on average, about one of ``hours``."""
    count = draws.poisson(each_day * days)
    day = draws.integers(0, days, count)
    hour = draws.choice(np.array(hours), count) + draws.normal(0, spread_h, count)
    return day * MINUTES + np.clip(hour, 0.0, 23.8) * 60


def wandering(draws: np.random.Generator, minutes: int, level_w: float) -> Floats:
    """Return a rest about a level in W: a day's shape and noise of which neighbours are alike, never below a tenth of it."""
    noise = lfilter([1.0], [1.0, -0.97], draws.normal(0, 0.02 * level_w, minutes))
    shape = 1 + 0.3 * np.sin(2 * np.pi * (np.arange(minutes) / MINUTES - 0.4))
    return np.maximum(level_w * shape + noise, 0.1 * level_w)


def outdoors(draws: np.random.Generator, minutes: int, begins_day: float) -> Floats:
    """Return weather for every minute, (minutes, WEATHER): air that swings by day and wanders, and a clear sun.

    ``begins_day``: how many days after the middle of spring, of a year of 364.
    """
    weather = np.tile(usual_weather(), (minutes, 1))
    at = np.arange(minutes) / MINUTES
    season = 8.0 * np.sin(2 * np.pi * (at + begins_day) / YEAR_DAYS)
    slow = lfilter([1.0], [1.0, -0.9995], draws.normal(0, 0.05, minutes))
    weather[:, W_AIR_C] = 12.0 + season + 4.0 * np.sin(2 * np.pi * (at - 0.4)) + slow
    weather[:, W_SUN_W_M2] = np.maximum(0.0, 600.0 * np.sin(2 * np.pi * (at - 0.25)))
    return weather


def _heater(draws: np.random.Generator, minutes: int, rating_w: float) -> Floats:
    days = minutes // MINUTES
    uses = np.zeros((minutes, USES))
    for begin in at_hours(draws, days, 14.0, (7.0, 7.5, 12.5, 19.0, 20.5), 1.0).astype(int):
        uses[begin : begin + int(draws.integers(1, 8)), U_FLOW_L_S] = 0.1
    spec = WaterHeater(volume_l=Held(float(draws.uniform(100, 250))), nodes=1, limit_c=Held(90.0), rating_w=Held(rating_w))
    return stepped(spec.compiled("heater"), minutes, np.tile(usual_weather(), (minutes, 1)), uses)


def _cold(draws: np.random.Generator, minutes: int, rating_w: float, weather: Floats) -> Floats:
    uses = np.zeros((minutes, USES))
    for begin in at_hours(draws, minutes // MINUTES, 12.0, (6.0, 9.0, 12.0, 17.0), 1.5).astype(int):
        uses[begin : begin + int(draws.integers(1, 6)), U_DOOR] = 1.0
    spec = ColdStore(
        rating_w=Held(rating_w),
        heat_kwh_k=rating_w / 1000 * float(draws.uniform(0.15, 0.4)),
        loss_w_k=rating_w * float(draws.uniform(0.03, 0.06)),
        set_c=Held(3.0),
        limit_c=Held(8.0),
        door_w_k=rating_w * 0.1,
    )
    return stepped(spec.compiled("cold"), minutes, weather, uses)


def _room(draws: np.random.Generator, minutes: int, rating_w: float, weather: Floats) -> Floats:
    spec = Room(
        rating_w=Held(rating_w),
        heat_kwh_k=rating_w / 1000 * float(draws.uniform(0.3, 0.8)),
        loss_w_k=rating_w * float(draws.uniform(0.03, 0.06)),
        cop=1.0,
    )
    return stepped(spec.compiled("room"), minutes, weather, np.zeros((minutes, USES)))


def home(draws: np.random.Generator, days: int, begins_day: float = 0.0) -> InventedSite:
    """Return a home: hot water, a heater or none, a refrigerator, and what people switch on."""
    minutes = days * MINUTES
    weather = outdoors(draws, minutes, begins_day)
    loads: dict[str, Floats] = {}
    ratings: dict[str, float] = {}

    def add(name: str, low_w: float, high_w: float, make: Callable[[float], Floats]) -> None:
        ratings[name] = float(np.round(draws.uniform(low_w, high_w), -1))
        loads[name] = make(ratings[name])

    add("water heater", 1500, 3000, lambda w: _heater(draws, minutes, w))
    add("refrigerator", 90, 160, lambda w: _cold(draws, minutes, w, weather))
    if draws.random() < 0.5:
        add("heater", 1000, 2500, lambda w: _room(draws, minutes, w, weather))
    for name, low, high, each_day, hours, lasts in (
        ("kettle", 1800, 2400, 5.0, (7.0, 10.0, 16.0, 20.0), (1.5, 4.0)),
        ("hob ring", 1200, 2200, 3.0, (12.0, 18.5, 19.0), (5.0, 25.0)),
        ("oven", 2000, 2800, 0.7, (12.0, 18.5), (15.0, 50.0)),
        ("washing machine", 1800, 2200, 0.7, (9.0, 14.0, 19.0), (12.0, 22.0)),
        ("dryer", 2000, 2600, 0.4, (11.0, 16.0, 21.0), (35.0, 70.0)),
        ("screens", 100, 250, 2.0, (18.0, 20.0), (60.0, 180.0)),
        ("lighting", 150, 400, 2.0, (6.5, 18.0), (60.0, 240.0)),
    ):
        begins = at_hours(draws, days, each_day * float(draws.uniform(0.5, 1.5)), hours, 1.2)
        add(name, low, high, lambda w, b=begins, span=lasts: runs(b, draws.uniform(*span, len(b)), w, minutes))
    return InventedSite("home", loads, ratings, wandering(draws, minutes, float(draws.uniform(80, 300))))


def nursery(draws: np.random.Generator, days: int, begins_day: float = 0.0) -> InventedSite:
    """Return a nursery: irrigation by programme, a glasshouse heater, a cold room, lamps in the evening."""
    minutes = days * MINUTES
    weather = outdoors(draws, minutes, begins_day)
    pump, heat, cold, lamp = (
        float(np.round(draws.uniform(*span), -1)) for span in ((1500, 4000), (2000, 6000), (800, 2000), (500, 2000))
    )
    day = np.arange(days) * MINUTES
    hour = float(draws.uniform(5.0, 8.0)) * 60
    begins = np.concatenate([day + hour, day[::2] + hour + 720])
    lengths = np.full(len(begins), float(draws.uniform(25, 90)))
    evening = day + float(draws.uniform(16.0, 18.5)) * 60
    loads = {
        "irrigation pump": runs(begins, lengths, pump, minutes),
        "glasshouse heater": _room(draws, minutes, heat, weather),
        "cold room": _cold(draws, minutes, cold, weather),
        "lamps": runs(evening, np.full(days, float(draws.uniform(90, 300))), lamp, minutes),
    }
    ratings = {"irrigation pump": pump, "glasshouse heater": heat, "cold room": cold, "lamps": lamp}
    return InventedSite("nursery", loads, ratings, wandering(draws, minutes, float(draws.uniform(200, 600))))


def workshop(draws: np.random.Generator, days: int, _begins_day: float = 0.0) -> InventedSite:
    """Return a workshop: machines in working hours of five days a week, a compressor, lighting; none feels the weather."""
    minutes = days * MINUTES
    working = np.array([one for one in range(days) if one % 7 < 5])
    loads, ratings = {}, {}
    for name, low, high, each_day, span in (
        ("saw", 2000, 5500, 20.0, (0.5, 6.0)), ("lathe", 1500, 7500, 8.0, (5.0, 40.0)), ("welder", 3000, 9000, 15.0, (0.3, 3.0)),
        ("extractor", 1000, 3000, 6.0, (15.0, 90.0)),
    ):  # fmt: skip
        count = draws.poisson(each_day * len(working))
        begins = draws.choice(working, count) * MINUTES + draws.uniform(7.5, 16.5, count) * 60
        ratings[name] = float(np.round(draws.uniform(low, high), -1))
        loads[name] = runs(begins, draws.uniform(*span, count), ratings[name], minutes)
    ratings["compressor"] = float(np.round(draws.uniform(2000, 7500), -1))
    every = np.concatenate([one * MINUTES + np.arange(450, 1000, float(draws.uniform(8, 25))) for one in working])
    loads["compressor"] = runs(every, draws.uniform(2.0, 6.0, len(every)), ratings["compressor"], minutes)
    ratings["lighting"] = float(np.round(draws.uniform(400, 1500), -1))
    loads["lighting"] = runs(working * MINUTES + 440.0, np.full(len(working), 590.0), ratings["lighting"], minutes)
    return InventedSite("workshop", loads, ratings, wandering(draws, minutes, float(draws.uniform(150, 500))))


def cold_store(draws: np.random.Generator, days: int, begins_day: float = 0.0) -> InventedSite:
    """Return a cold store: three rooms with their own compressors, defrosting by the clock, lighting by day."""
    minutes = days * MINUTES
    weather = outdoors(draws, minutes, begins_day)
    loads, ratings = {}, {}
    for name in ("room 1", "room 2", "room 3"):
        ratings[name] = float(np.round(draws.uniform(1500, 7000), -1))
        loads[name] = _cold(draws, minutes, ratings[name], weather)
    ratings["defrost"] = float(np.round(draws.uniform(1500, 4000), -1))
    begins = (np.arange(days)[:, None] * MINUTES + np.array([120.0, 600.0, 1080.0])).ravel()
    loads["defrost"] = runs(begins, draws.uniform(12.0, 25.0, len(begins)), ratings["defrost"], minutes)
    ratings["lighting"] = float(np.round(draws.uniform(200, 900), -1))
    loads["lighting"] = runs(np.arange(days) * MINUTES + 360.0, np.full(days, 720.0), ratings["lighting"], minutes)
    return InventedSite("cold store", loads, ratings, wandering(draws, minutes, float(draws.uniform(200, 800))))


KINDS = (home, nursery, workshop, cold_store)


def invented_site(seed: int, number: int, days: int, begins_day: float = 0.0) -> InventedSite:
    """Return the site of a number: the four kinds in turn, drawn from a stream of its own.

    ``begins_day``: how many days after the middle of spring its weather begins; its clock begins in March all the same.
    """
    return KINDS[number % len(KINDS)](Streams(seed).stream(f"invented site {number}"), days, begins_day)
