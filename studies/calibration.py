"""Invented sites with drawn truths, calibrated from their records: how often 90 % intervals hold, and what is named as blind."""

import datetime as dt
import multiprocessing
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
from scipy.signal import lfilter
from scipy.stats import binom

from wattwright.control.rules import TimeProgramme
from wattwright.core.clock import SiteClock
from wattwright.core.fields import Held
from wattwright.core.seeds import Streams
from wattwright.core.series import Series, of_values
from wattwright.loads.columns import USES
from wattwright.loads.tank_kernels import U_FLOW_L_S
from wattwright.loads.water_heater import WaterHeater, loss_w_per_k
from wattwright.simulate.calibrate import CalibratedLoad, Programmed, Store, calibrate, usual_weather
from wattwright.simulate.fit.kernels import alone

DRAWS = 400
SEED = 4421
DAYS, AWAY = 63, (30, 37)
"""Days of the record, and from which day to which nobody is home: (0, 0) is never."""
MINUTES = 1440
START_S = 1_709_510_400  # Monday 4 March 2024, 00:00 UTC: no change of the clock in the zone taken
CLOCK = SiteClock("Africa/Nairobi")
KNOWN = frozenset({"set_c"})
Site = dict[str, tuple[bool, bool]]
"""For each parameter whether it is claimed to be told, and whether its interval holds the truth."""


@dataclass(frozen=True)
class Truth:
    """What a site was made of: the heater's and the pump's parameters by the names they are fitted under."""

    volume_l: float
    heater: dict[str, float]
    pump: dict[str, float]


def drawn(draws: np.random.Generator) -> Truth:
    """Return a site at random."""
    volume = float(draws.uniform(100, 250))
    on = float(draws.uniform(7 * 3600, 11 * 3600))
    return Truth(
        volume,
        {
            "rating_w": float(draws.uniform(1600, 3000)),
            "draw_l": float(draws.uniform(90, 220)),
            "loss_w_k": loss_w_per_k(volume) * float(draws.uniform(0.7, 1.5)),
            "differential_k": float(draws.uniform(3, 8)),
            "set_c": float(draws.uniform(54, 66)),
        },
        {
            "rating_w": float(draws.uniform(600, 1100)),
            "on_1": on,
            "off_1": on + float(draws.uniform(3, 7)) * 3600.0,
        },
    )


def hot_water(truth: Truth, draws: np.random.Generator, away: tuple[int, int]) -> np.ndarray:
    """Return the wanted flow of each minute, l/s: twenty draws a day, days of which neighbours are alike, none while away."""
    flow = np.zeros(DAYS * MINUTES)
    size = 0.0
    for day in range(DAYS):
        size = 0.3 * size + float(draws.normal(0, 0.25))
        litres = truth.heater["draw_l"] * np.exp(size - 0.5 * 0.25**2 / (1 - 0.3**2))
        parts = draws.gamma(0.7, size=20)
        clock = np.where(draws.random(20) < 0.5, draws.normal(7.5, 1.0, 20), draws.normal(19.5, 1.5, 20))
        for share, hour in zip(parts / parts.sum(), clock, strict=True):
            if not away[0] <= day < away[1]:
                lasts = max(1, round(litres * share / 6.0))
                begin = day * MINUTES + int(np.clip(hour, 5.5, 22.5) * 60)
                flow[begin : begin + lasts] += litres * share / lasts / 60.0
    return flow


def rest(draws: np.random.Generator) -> np.ndarray:
    """Return the rest of the site in W: a day's shape, noise of which neighbours are alike, never below 20 W."""
    minutes = np.arange(DAYS * MINUTES)
    noise = lfilter([1.0], [1.0, -0.98], draws.normal(0, 12.0, len(minutes)))
    shape = 350 + 150 * np.sin(2 * np.pi * (minutes / MINUTES - 0.45)) + 80 * np.sin(4 * np.pi * minutes / MINUTES)
    return np.maximum(shape + noise, 20.0)


def heater_spec(truth: Truth, values: dict[str, float]) -> WaterHeater:
    """Return the heater with some values, the rest as usual; content and room are read on site."""
    held = {name: Held(values[name]) for name in ("rating_w", "differential_k", "set_c") if name in values}
    return WaterHeater(volume_l=Held(truth.volume_l), nodes=1, loss_w_k=values.get("loss_w_k"), limit_c=Held(90.0), **held)


def record(truth: Truth, draws: np.random.Generator, away: tuple[int, int]) -> Series:
    """Return the site's power minute by minute, in whole watts."""
    load = heater_spec(truth, truth.heater).compiled("heater")
    minutes = np.arange(DAYS * MINUTES)
    uses = np.zeros((len(minutes), USES))
    uses[:, U_FLOW_L_S] = hot_water(truth, draws, away)
    weather = np.tile(usual_weather(), (len(minutes), 1))
    fed = np.ones(len(minutes), np.bool_)
    heater_w = alone(load.kind, load.params.reshape(1, -1), load.state.reshape(1, -1).copy(), fed, 60.0, weather, uses)
    of_day = 60.0 * CLOCK.parts(START_S + 60 * minutes).minute
    passed = [np.clip((of_day + 60.0 - truth.pump[end]) / 60.0, 0.0, 1.0) for end in ("on_1", "off_1")]
    pump_w = truth.pump["rating_w"] * (passed[0] - passed[1])
    return of_values(START_S, 60, np.round(heater_w + pump_w + rest(draws)))


def clock_time(of_day_s: float) -> dt.time:
    """Return a time of the day for a programme, in whole minutes."""
    whole = round(of_day_s / 60) % MINUTES
    return dt.time(whole // 60, whole % 60)


def entered(truth: Truth, draws: np.random.Generator, known: frozenset[str]) -> tuple[Programmed, Store]:
    """Return the loads as a person enters them: plates and times not quite right."""
    plate = {"rating_w": truth.heater["rating_w"] * float(draws.uniform(0.9, 1.1))}
    plate |= {name: truth.heater[name] for name in known}
    times = {end: truth.pump[f"{end}_1"] + 60.0 * float(draws.integers(-20, 21)) for end in ("on", "off")}
    programme = TimeProgramme.model_validate(
        {
            "kind": "time programme",
            "id": "filtering",
            "load": "pump",
            "times": ({end: clock_time(of_day_s) for end, of_day_s in times.items()},),
        }
    )
    pump = Programmed("pump", truth.pump["rating_w"] * float(draws.uniform(0.9, 1.1)), programme)
    return pump, Store("heater", heater_spec(truth, plate), known)


def holds(load: CalibratedLoad, truth: dict[str, float]) -> Site:
    """Return for each parameter that is not known whether it is claimed to be told, and whether its interval holds the truth."""
    every = {one.name: one for one in load.parameters if not one.known}
    return {
        f"{load.id} {name}": (one.identifiable, bool(one.low <= truth[name] <= one.high)) for name, one in every.items()
    }  # fmt: skip


def site(number: int, known: frozenset[str], away: tuple[int, int]) -> Site:
    """Return for each parameter of a site whether it is claimed, and whether it holds; a load that is not seen is left out."""
    draws = Streams(SEED).stream(f"studies/calibration/{number}")
    truth = drawn(draws)
    series = record(truth, draws, away)
    found = {one.id: one for one in calibrate(series, CLOCK, entered(truth, draws, known)).loads}
    result = Site()
    for id_, true in (("pump", truth.pump), ("heater", truth.heater)):
        result |= holds(found[id_], true) if id_ in found else {}
    return result


def sites(known: frozenset[str], away: tuple[int, int]) -> list[Site]:
    """Return what came of every site, worked out by two processes."""
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        return list(pool.map(partial(site, known=known, away=away), range(DRAWS), chunksize=20))


def named(found: list[Site], planted: tuple[str, ...]) -> float:
    """Return the share of the sites in which all of the planted parameters are named as not to be told."""
    return round(float(np.mean([all(not one[f"heater {name}"][0] for name in planted) for one in found])), 4)


def run() -> dict[str, Any]:
    """Return the share of 90 % intervals that hold for each parameter, and how often what is planted is named."""
    # Once in this process, so that every module an answer comes from is loaded, and so listed, here.
    site(0, KNOWN, AWAY)
    plain = sites(KNOWN, AWAY)
    low, high = binom.interval(0.999, DRAWS, 0.9)
    result: dict[str, Any] = {"sites": DRAWS, "binomial at 90 %, central 99.9 % of the shares": [low / DRAWS, high / DRAWS]}
    for name in plain[0]:
        told = [one[name] for one in plain if name in one]
        held = sum(holds for claimed, holds in told if claimed)
        result[f"{name}: sites in which it is claimed to be told"] = sum(claimed for claimed, _ in told)
        result[f"{name}: share of 90 % intervals that held"] = round(held / sum(claimed for claimed, _ in told), 4)
        result[f"{name}: within the binomial"] = bool(low <= held <= high)
    unknown = sites(frozenset(), AWAY)
    result["set point not read: share in which it is named beside the standing loss"] = named(unknown, ("set_c", "loss_w_k"))
    never = sites(KNOWN, (0, 0))
    planted = ("draw_l", "loss_w_k")
    result["nobody ever away: share in which hot water and standing loss are named"] = named(never, planted)
    result["nobody ever away: share in which the differential is named"] = named(never, ("differential_k",))
    return result
