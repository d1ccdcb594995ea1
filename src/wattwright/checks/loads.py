"""Loads against closed forms, published days of draws, worked values and other libraries' tables."""

from functools import lru_cache, partial
from math import log

import numpy as np
from numpy.typing import NDArray

from wattwright.checks.registry import Confidence, register
from wattwright.core.fields import Held
from wattwright.loads.cold_kernels import S_AIR_C
from wattwright.loads.cold_store import ColdStore
from wattwright.loads.columns import (
    S_ENERGY_J,
    S_RUN_S,
    S_SINCE,
    S_STARTS,
    S_VALUE,
    W_AIR_C,
    W_COLD_WATER_C,
    W_ET0_MM_S,
    W_HUMIDITY_RATIO,
    WEATHER,
)
from wattwright.loads.compiled import CompiledLoad, stack
from wattwright.loads.draws import EU_PROFILES, flows_l_s
from wattwright.loads.evapotranspiration import reference_mm_day, saturation_kpa
from wattwright.loads.humidity import DryRoom
from wattwright.loads.irrigation import Irrigation
from wattwright.loads.kernels import advance
from wattwright.loads.moist_air_kernels import SEA_LEVEL_PA, humidity_ratio, saturation_pa
from wattwright.loads.pool_pump import PoolPump, filtered
from wattwright.loads.pump_kernels import duty
from wattwright.loads.room import Room
from wattwright.loads.tank_kernels import S_DRAWN_J
from wattwright.loads.water_heater import WaterHeater, loss_w_per_k

Floats = NDArray[np.float64]
_FLOAT = "floating point"
_ROUNDED = "the printed value is rounded"
_DAY_S = 86_400


class _Alone:
    """One load stepped by hand."""

    def __init__(self, load: CompiledLoad, **weather: float) -> None:
        held = stack([load])
        self.kind, self.params, self.states = int(held.kinds[0]), held.params, held.states
        self.weather, self.use = np.zeros(WEATHER), np.zeros(2)
        self.weather[W_AIR_C], self.weather[W_COLD_WATER_C] = weather.get("air_c", 20.0), 10.0
        self.weather[W_HUMIDITY_RATIO], self.weather[W_ET0_MM_S] = weather.get("ratio", 0.0), weather.get("et0_mm_s", 0.0)

    def step(self, time_s: float, closed: bool = True) -> Floats:
        """Let time pass and return the load's state."""
        advance(self.kind, self.params, self.states, 0, closed, time_s, self.weather, self.use)
        return np.asarray(self.states[0])


def _tank(litres: float = 150.0, watts: float = 2000.0, start_c: float = 60.0, loss_w_k: float = 1.5, nodes: int = 1) -> _Alone:
    spec = WaterHeater(
        volume_l=Held(litres),
        rating_w=Held(watts),
        set_c=Held(60.0),
        limit_c=Held(80.0),
        start_c=Held(start_c),
        loss_w_k=loss_w_k,
        nodes=nodes,
    )  # fmt: skip
    return _Alone(spec.compiled("tank"))


def _cooled(hours: float) -> float:
    return float(_tank().step(3600.0 * hours, closed=False)[S_VALUE])


def _heated_h(loss_w_k: float) -> float:
    # Four hours are too short to cool by the differential again, so there is a single run.
    return float(_tank(start_c=15.0, loss_w_k=loss_w_k).step(4 * 3600.0)[S_RUN_S]) / 3600.0


def _drawn_kwh(profile: str) -> float:
    tank = _tank(litres=400.0, watts=9000.0, nodes=6)
    for flow in flows_l_s(EU_PROFILES[profile], 60, 40.0, 10.0):
        tank.use[0] = flow
        tank.step(60.0)
    return float(tank.states[0, S_DRAWN_J]) / 3.6e6


for _hours, _celsius in ((6.0, 57.99), (12.0, 56.08), (24.0, 52.54)):
    register(
        f"loads.tank-cools-{_hours:.0f}h",
        f"150 l at 60 degC, 1.5 W/K, after {_hours:.0f} h in a room of 20 degC",
        unit="degC",
        source="closed form of one node: 20 + 40 exp(-t / 116.3 h)",
        confidence=Confidence.CLOSED_FORM,
        published=_celsius,
        tolerance=0.005,
        why=_ROUNDED,
        ours=partial(_cooled, _hours),
    )
for _loss, _hours in ((1.5, 3.978), (0.0, 3.925)):
    register(
        f"loads.tank-heats-loss-{_loss:g}",
        f"150 l from 15 to 60 degC at 2 kW, {_loss:g} W/K",
        unit="h",
        source="closed form of one node",
        confidence=Confidence.CLOSED_FORM,
        published=_hours,
        tolerance=0.0006,
        why=_ROUNDED,
        ours=partial(_heated_h, _loss),
    )
for _profile, _kwh in (("M", 5.845), ("L", 11.655), ("XL", 19.070)):
    register(
        f"loads.profile-{_profile}",
        f"useful energy drawn from a layered tank in a day of profile {_profile}",
        unit="kWh",
        source="Regulation (EU) 812/2013, Annex VII, table 3",
        confidence=Confidence.PUBLISHED,
        published=_kwh,
        tolerance=0.005 * _kwh,
        why="0.5 %",
        ours=partial(_drawn_kwh, _profile),
    )
register(
    "loads.tank-loss-200",
    "usual standing loss of 200 l",
    unit="W/K",
    source="Regulation (EU) 812/2013, Annex II, class C over 45 K",
    confidence=Confidence.FROM_MEMORY,
    published=1.911,
    tolerance=0.0006,
    why=_ROUNDED,
    ours=partial(loss_w_per_k, 200.0),
)


@lru_cache(maxsize=8)
def _cycle(differential_k: float) -> tuple[float, float]:
    """Return (run in minutes, cycles in an hour) of 6 kW, 2 kWh/K and 0.2 kW/K at 20 degC, frost outdoors."""
    spec = Room(rating_w=Held(6000.0), heat_kwh_k=2.0, loss_w_k=200.0, differential_k=Held(differential_k))
    room = _Alone(spec.compiled("room"), air_c=0.0)
    begins, runs = list[float](), list[float]()
    clock, starts = 0.0, 0.0
    while len(begins) < 6:
        state, clock = room.step(60.0), clock + 60.0
        if state[S_STARTS] > starts:
            starts = state[S_STARTS]
            begins.append(clock - state[S_SINCE])
            runs.append(state[S_RUN_S] - state[S_SINCE])
    return (runs[-1] - runs[1]) / 4.0 / 60.0, 4.0 * 3600.0 / (begins[-1] - begins[1])


def _run_min(differential_k: float) -> float:
    return _cycle(differential_k)[0]


def _rate_h(differential_k: float) -> float:
    return _cycle(differential_k)[1]


for _differential, _run, _rate in ((0.5, 30.006, 1.33312), (1.0, 60.05, 0.66625), (2.0, 120.40, 0.33250)):
    register(
        f"loads.thermostat-run-{_differential:g}K",
        f"run of a thermostat's cycle, differential {_differential:g} K, load two thirds",
        unit="min",
        source="closed form: tau ln((T_end - T_low) / (T_end - T_high))",
        confidence=Confidence.CLOSED_FORM,
        published=_run,
        tolerance=0.001 * _run,
        why="0.1 %",
        ours=partial(_run_min, _differential),
    )
    register(
        f"loads.thermostat-rate-{_differential:g}K",
        f"cycles in an hour, differential {_differential:g} K, load two thirds",
        unit="1/h",
        source="closed form of the first-order body",
        confidence=Confidence.CLOSED_FORM,
        published=_rate,
        tolerance=0.001 * _rate,
        why="0.1 %",
        ours=partial(_rate_h, _differential),
    )
register(
    "loads.thermostat-parabola",
    "cycles in an hour by 4 N X (1 - X), N = 3 at half load, load two thirds, differential 0.5 K",
    unit="1/h",
    source="thermostat curve of NEMA DC 3 (the standard from memory, the formula derived)",
    confidence=Confidence.CLOSED_FORM,
    published=4.0 * 6.0 / (4.0 * 2.0 * 0.5) * (2.0 / 3.0) * (1.0 / 3.0),
    tolerance=0.0015,
    why="the parabola is the limit of small differentials",
    ours=partial(_rate_h, 0.5),
)


def _coast() -> float:
    spec = ColdStore(
        rating_w=Held(1000.0), heat_kwh_k=3.0, loss_w_k=15.0, set_c=Held(-20.0), limit_c=Held(-18.0), room_c=Held(25.0)
    )  # fmt: skip
    store, hours = _Alone(spec.compiled("store")), 0.0
    while store.step(36.0, closed=False)[S_AIR_C] < -18.0:
        hours += 0.01
    return hours + 0.01


register(
    "loads.cold-store-coast",
    "coast-down of a store of 3 kWh/K and 15 W/K from -20 to -18 degC, 25 degC outside",
    unit="h",
    source="closed form: 200 h x ln(45/43)",
    confidence=Confidence.CLOSED_FORM,
    published=200.0 * log(45.0 / 43.0),
    tolerance=0.01,
    why="looked at every hundredth of an hour",
    ours=_coast,
)


def _turnover(speed: float) -> float:
    """Return the energy of one turnover of 60 m3, kWh."""
    spec = PoolPump(rating_w=Held(1100.0), pool_l=Held(60_000.0), flow_m3_h=15.0, speed=Held(speed))
    pump = _Alone(spec.compiled("pump"))
    while pump.step(60.0)[S_VALUE] < 1.0 - 1e-9:
        pass
    return float(pump.states[0, S_ENERGY_J]) / 3.6e6


def _filtered_per_cent(turnovers: float) -> float:
    return 100.0 * filtered(turnovers)


def _power_kw(speed: float) -> float:
    return 1.1 * duty(speed, 0.0, 1.3)[1]


for _speed, _kw, _kwh in ((1.0, 1.1, 4.40), (0.8, 0.563, 2.816), (0.5, 0.1375, 1.10)):
    register(
        f"loads.pump-power-{100 * _speed:.0f}",
        f"power of a pump of 1.1 kW at {_speed:.0%} of its speed",
        unit="kW",
        source="affinity laws",
        confidence=Confidence.CLOSED_FORM,
        published=_kw,
        tolerance=0.0003,
        why=_ROUNDED,
        ours=partial(_power_kw, _speed),
    )
    register(
        f"loads.pump-turnover-{100 * _speed:.0f}",
        f"energy of one turnover of 60 m3 at {_speed:.0%} of the speed, 15 m3/h at full speed",
        unit="kWh",
        source="affinity laws",
        confidence=Confidence.CLOSED_FORM,
        published=_kwh,
        tolerance=1e-6,
        why=_FLOAT,
        ours=partial(_turnover, _speed),
    )
for _turnovers, _share in ((1.0, 63.2), (2.0, 86.5), (3.0, 95.0), (4.0, 98.2)):
    register(
        f"loads.filtered-{_turnovers:.0f}",
        f"share of the water filtered after {_turnovers:.0f} turnovers",
        unit="%",
        source="Gage and Bidwell's relation of perfect mixing",
        confidence=Confidence.PUBLISHED,
        published=_share,
        tolerance=0.05,
        why=_ROUNDED,
        ours=partial(_filtered_per_cent, _turnovers),
    )


def _zone(held: float, wilts: float, roots_m: float, share: float, start_mm: float = 0.0) -> Irrigation:
    return Irrigation(
        rating_w=Held(750.0),
        area_m2=Held(100.0),
        pumped_l_h=1200.0,
        efficiency=Held(0.9),
        field_capacity=Held(held),
        wilting_point=Held(wilts),
        roots_m=Held(roots_m),
        depletable=Held(share),
        follows_etc=False,
        crop=1.2,
        start_mm=start_mm,
    )  # fmt: skip


def _readily_mm(held: float, wilts: float, roots_m: float, share: float) -> float:
    return share * _zone(held, wilts, roots_m, share).available_mm()


_CROPS = (("onion", 0.4, 0.3), ("tomato", 0.8, 0.4), ("maize", 1.2, 0.55))
for _soil, _held, _wilts, _readily in (
    ("loamy sand", 0.15, 0.06, (11.0, 29.0, 59.0)),
    ("silt", 0.32, 0.15, (20.0, 54.0, 112.0)),
    ("silty clay", 0.35, 0.23, (14.0, 38.0, 79.0)),
):
    for (_crop, _roots, _p), _mm in zip(_CROPS, _readily, strict=True):
        register(
            f"loads.soil-36-{_soil.replace(' ', '-')}-{_crop}",
            f"readily available water of {_crop} on {_soil}",
            unit="mm",
            source="FAO Irrigation and Drainage Paper 56, example 36",
            confidence=Confidence.FROM_MEMORY,
            published=_mm,
            tolerance=0.5,
            why="printed in whole millimetres",
            ours=partial(_readily_mm, _held, _wilts, _roots, _p),
        )


@lru_cache(maxsize=1)
def _dry_days() -> tuple[float, ...]:
    zone = _Alone(_zone(0.32, 0.12, 0.8, 0.4, 55.0).compiled("zone"))
    found = []
    for etc in (6.0, 6.0, 4.8, 5.4, 5.4, 5.4, 6.0, 6.0, 6.0, 6.0):
        zone.weather[W_ET0_MM_S] = etc / 1.2 / _DAY_S
        found.append(float(zone.step(_DAY_S, closed=False)[S_VALUE]))
    return tuple(found)


def _dry_day(index: int) -> float:
    return _dry_days()[index]


for _day, _mm in enumerate((61.0, 67.0, 71.7, 76.6, 81.3, 85.7, 90.4, 94.7, 98.8, 102.6)):
    register(
        f"loads.soil-37-day-{_day + 1:02}",
        f"depletion after {_day + 1} dry days from 55 mm, TAW 160 mm, p 0.40",
        unit="mm",
        source="FAO Irrigation and Drainage Paper 56, example 37; its days from memory, equations 84 and 85 sure",
        confidence=Confidence.FROM_MEMORY,
        published=_mm,
        tolerance=0.06,
        why=_ROUNDED,
        ours=partial(_dry_day, _day),
    )


def _brussels() -> float:
    low, high = np.array([12.3]), np.array([21.5])
    vapour = (0.84 * saturation_kpa(low) + 0.63 * saturation_kpa(high)) / 2.0
    return float(reference_mm_day(low, high, vapour, np.array([2.078]), np.array([22.07]), np.array([187.0]), 50.80, 100.0)[0])


register(
    "loads.et0-brussels",
    "reference evapotranspiration, 6 July, 50.80 N, 100 m (FAO-56, example 18)",
    unit="mm",
    source="pyet 1.5.0, pm_fao56; the paper prints 3.9",
    confidence=Confidence.REFERENCE_LIBRARY,
    published=3.880,
    tolerance=0.02,
    why="constants in fewer digits",
    ours=_brussels,
)

for _celsius, _rh, _ratio in (
    (20.0, 0.5, 0.007262),
    (25.0, 0.6, 0.011895),
    (30.0, 0.8, 0.021573),
    (0.0, 0.8, 0.003016),
    (-5.0, 0.8, 0.001979),
):
    register(
        f"loads.humidity-ratio-{_celsius:g}C-{100 * _rh:.0f}",
        f"water in air of {_celsius:g} degC and {_rh:.0%}",
        unit="kg/kg",
        source="psychrolib 2.5.0",
        confidence=Confidence.REFERENCE_LIBRARY,
        published=_ratio,
        tolerance=1e-6,
        why=_ROUNDED,
        ours=partial(humidity_ratio, _celsius, _rh, SEA_LEVEL_PA),
    )
for _celsius, _pa in ((-20.0, 103.26), (5.0, 872.49), (20.0, 2338.8), (50.0, 12349.9)):
    register(
        f"loads.saturation-{_celsius:g}C",
        f"pressure of saturated vapour at {_celsius:g} degC",
        unit="Pa",
        source="psychrolib 2.5.0",
        confidence=Confidence.REFERENCE_LIBRARY,
        published=_pa,
        tolerance=5e-5 * _pa,
        why=_ROUNDED,
        ours=partial(saturation_pa, _celsius),
    )


def _taken_l_day() -> float:
    spec = DryRoom(
        rating_w=Held(300.0), room_m3=75.0, takes_l_day=Held(12.0), begin=Held(0.601), cease=Held(0.599), start=Held(0.6)
    )  # fmt: skip
    room = _Alone(spec.compiled("room"), ratio=0.004858)
    room.use[0] = 0.40 / 3600.0
    for _ in range(10 * 24):
        room.step(3600.0)
    # Standing at 60 %, it takes its rating whenever it runs.
    return 12.0 * float(room.states[0, S_RUN_S]) / (10 * _DAY_S)


register(
    "loads.dehumidifier",
    "water taken in a day: 75 m3 at 20 degC, 60 %, 0.5 air changes, 0.4 kg/h, 5 degC, 90 % outdoors",
    unit="l/day",
    source="moisture balance worked by hand with air of 1.2 kg/m3",
    confidence=Confidence.CLOSED_FORM,
    published=5.41,
    tolerance=0.06,
    why="ours has the room's 1.187 kg/m3",
    ours=_taken_l_day,
)
