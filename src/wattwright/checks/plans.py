"""The bound of a plan against optima that can be worked out by hand: stores, batteries, peaks, cheap hours, interlocks."""

from collections.abc import Mapping, Sequence
from functools import partial

import numpy as np
from numpy.typing import NDArray

from wattwright.checks.registry import Confidence, register
from wattwright.control.compiled import compile_control
from wattwright.control.programmes import Span
from wattwright.control.rules import Control
from wattwright.core.clock import SiteClock
from wattwright.core.fields import Held
from wattwright.core.quantity import Phase
from wattwright.loads.compiled import CompiledLoad
from wattwright.loads.plain import Resistive
from wattwright.loads.tank_kernels import HEAT_J_L_K
from wattwright.loads.water_heater import WaterHeater
from wattwright.plan.bound.bound import bound
from wattwright.plan.case import OBJECTIVES, Case
from wattwright.simulate.drivers import steady
from wattwright.simulate.scenario import Scenario, SiteLoad
from wattwright.simulate.supply import Battery, Connection, Inverter, Supply
from wattwright.tariff.load import parse_tariff

Floats = NDArray[np.float64]
_DAY = 1440
_HEAD = '[[tariff]]\nid = "one"\nname = "One"\ncurrency = "EUR"\n'
_TWO = 'rest = "day"\n[[tariff.window]]\nperiod = "night"\nfrom = "23:00"\nto = "05:00"\n' + (
    '[[tariff.energy]]\nlabel = "Energy"\nprices = { day = "0.30", night = "0.10" }\n'
)
"""10 ct in the first five hours of the day and in its last, so that what is stored at the end is worth 10; else 30 ct."""
_THREE = (
    'rest = "day"\n[[tariff.window]]\nperiod = "low"\nfrom = "02:00"\nto = "05:00"\n'
    '[[tariff.window]]\nperiod = "night"\nfrom = "22:00"\nto = "06:00"\n'
    '[[tariff.energy]]\nlabel = "Energy"\nprices = { day = "0.30", night = "0.20", low = "0.10" }\n'
)
_FLAT = '[[tariff.energy]]\nlabel = "Energy"\nprice = "0.20"\n'
_DEMAND = (
    '[[tariff.energy]]\nlabel = "Energy"\nprice = "0"\n[[tariff.demand]]\nlabel = "Demand"\nprice = "31"\nwindow = "60 min"\n'
)
"""31 a kW and month: one of 31 days bills one kW with one unit of money."""
_BLOCKS = (
    '[[tariff.energy]]\nlabel = "Energy"\npart_month = "whole"\n'
    'blocks = [{ upto_kwh = "10", price = "0.10" }, { price = "0.30" }]\n'
)
_LEVY = '[[tariff.levy]]\nlabel = "Value added tax"\npercent = "20"\n'
_SOLD = '[tariff.export]\nlabel = "Feed-in"\nprice = "0.05"\n'


def _case(
    loads: Sequence[CompiledLoad], text: str, *, least: Mapping[int, float] | None = None, rest_kw: Sequence[float] = (0.0,) * 24,
    pv_kw: Sequence[float] = (0.0,) * 24, flow_l_s: Sequence[float] = (0.0,) * 24, supply: Supply | None = None,
    objective: str = "cost", told: Mapping[str, object] | None = None,
) -> float:  # fmt: skip
    """Return the bound of one day, 1 January 2025 in UTC; ``least`` kWh of each plain load, the rest by hours of the day."""
    span = Span(1_735_689_600, 1_735_689_600 + 86_400, SiteClock("UTC"))
    drivers = steady(_DAY, len(loads), air_c=10.0, cold_water_c=10.0)
    drivers.rest_w[:, 0], drivers.pv_w[:] = np.repeat(rest_kw, 60) * 1000.0, np.repeat(pv_kw, 60) * 1000.0
    for i in range(len(loads)):
        drivers.uses[i, :, 0] = np.repeat(flow_l_s, 60)
    rules, ids = Control.model_validate(told or {}), [one.id for one in loads]
    scenario = Scenario(
        span, 60.0, tuple(SiteLoad(one, Phase.TOTAL) for one in loads), compile_control(rules, ids, span),
        supply or Supply(connection=Connection()), drivers,
    )  # fmt: skip
    asked = np.array([[(least or {}).get(i, 0.0)] for i in range(len(loads))]).reshape(len(loads), 1)
    made = Case(
        scenario, rules, {}, parse_tariff(_HEAD + text).tariff(), np.ones(len(loads), np.bool_), np.zeros(len(loads)),
        np.array([0, _DAY]), asked, OBJECTIVES[objective],
    )  # fmt: skip
    return bound(made, 3600).value


def _pump(rating_kw: float = 1.0, id_: str = "pump") -> CompiledLoad:
    return Resistive(rating_w=Held(1000.0 * rating_kw)).compiled(id_)


def _tank(rating_kw: float, litres: float, loss_w_k: float = 0.0, start_c: float = 40.0) -> CompiledLoad:
    """A mixed tank in a room of 10 degC, fed at 10 degC, hot at 60 degC, begun at the 40 degC at which its water is wanted."""
    return WaterHeater(
        volume_l=Held(litres), rating_w=Held(1000.0 * rating_kw), loss_w_k=loss_w_k, room_c=Held(10.0), nodes=1, set_c=Held(60.0),
        use_c=Held(40.0), start_c=Held(start_c),
    ).compiled("tank")  # fmt: skip


def _at(hours: Mapping[int, float]) -> tuple[float, ...]:
    return tuple(hours.get(hour, 0.0) for hour in range(24))


def _flow(kwh: float) -> float:
    """Return the flow at 40 degC from 10 degC that draws so much heat in an hour, l/s."""
    return kwh * 1000.0 / (HEAT_J_L_K * 30.0)


def _left(loss_w_k: float, litres: float, hours: float) -> float:
    """Return the share of its heat that a mixed tank keeps over some hours: exp(-t UA / C)."""
    return float(np.exp(-hours * 3600.0 * loss_w_k / (litres * HEAT_J_L_K)))


def _night_heat(loss_w_k: float, litres: float, drawn_kwh: float, hours: float, after: float) -> float:
    """Return what a mixed tank must be heated with, and owes, where it is heated in a moment before the last cheap hour ends.

    Five hours before it stands at 40 degC; ``hours`` later begins the hour of the draw, at the end of which it is at what is
    left of 40 degC; it is drawn evenly, and ends ``after`` hours later.
    """
    least_kwh = litres * HEAT_J_L_K * 30.0 / 3.6e6
    gone = -float(np.log(_left(loss_w_k, litres, 1.0)))
    needed = (least_kwh + drawn_kwh * float(np.expm1(gone)) / gone) / _left(loss_w_k, litres, hours)
    owed = least_kwh * (1.0 - _left(loss_w_k, litres, after + 1.0))
    return needed - least_kwh * _left(loss_w_k, litres, 5.0) + owed


def _stored(capacity_kwh: float, power_kw: float, share: float = 1.0, start: float = 0.0) -> Supply:
    """A battery that keeps ``share`` of what goes in and of what comes out."""
    battery = Battery(
        capacity_wh=Held(1000.0 * capacity_kwh), charge_w=Held(1000.0 * power_kw), discharge_w=Held(1000.0 * power_kw),
        charge_efficiency=Held(share), discharge_efficiency=Held(share), reserve=Held(0.0), floor=Held(0.0), start=Held(start),
    )  # fmt: skip
    return Supply(connection=Connection(), battery=battery, inverter=Inverter(rating_va=Held(50_000.0)))


_EVENING = _at({18: 3.0, 19: 3.0})
_LATE = _at({20: 4.0})
_TOGETHER = {"interlock": [{"kind": "never both", "loads": ["one", "two"]}]}
_PAIR = (_pump(2.0, "one"), _pump(2.0, "two"))
_HEAT_KWH = 20.0 * 100.0 * HEAT_J_L_K / 3.6e6
"""What 100 l hold between 40 and 60 degC."""

_CASES: tuple[tuple[str, str, str, float, partial[float]], ...] = (
    ("cheapest-hours", "a pump of 1 kW with 4 h to run: all of them in the cheap night", "4 h x 1 kW x 0.10", 0.40,
     partial(_case, [_pump()], _TWO, least={0: 4.0})),
    ("cheap-hours-run-out", "the same with 10 h to run, and six cheap hours", "6 x 0.10 + 4 x 0.30", 1.80,
     partial(_case, [_pump()], _TWO, least={0: 10.0})),
    ("three-prices", "5 h to run under three prices: three low hours, two of the night", "3 x 0.10 + 2 x 0.20", 0.70,
     partial(_case, [_pump()], _THREE, least={0: 5.0})),
    ("three-prices-whole", "20 h to run under three prices", "3 x 0.10 + 5 x 0.20 + 12 x 0.30", 4.90,
     partial(_case, [_pump()], _THREE, least={0: 20.0})),
    ("two-pumps", "two pumps, 8 h and 2 h, the hours are not shared out between them", "6 x 0.10 + 2 x 0.30 + 2 x 0.10", 1.40,
     partial(_case, [_pump(), _pump(1.0, "other")], _TWO, least={0: 8.0, 1: 2.0})),
    ("levy", "a levy of 20 % on all of it", "1.2 x 4 x 0.10", 0.48, partial(_case, [_pump()], _TWO + _LEVY, least={0: 4.0})),
    ("nothing-to-save", "one price: nothing can be saved", "(6 + 4) kWh x 0.20", 2.00,
     partial(_case, [_pump()], _FLAT, least={0: 4.0}, rest_kw=_EVENING)),
    ("always-on", "a pump that has to run all day: nothing can be moved", "6 x 0.10 + 18 x 0.30", 6.00,
     partial(_case, [_pump()], _TWO, least={0: 24.0})),
    ("blocks", "blocks of a month: which hours are taken does not matter", "10 x 0.10 + 2 x 0.30", 1.60,
     partial(_case, [_pump()], _BLOCKS, least={0: 12.0})),
    ("tank", "a tank without losses, 4 kWh drawn in the evening: all heated in the night", "4 kWh x 0.10", 0.40,
     partial(_case, [_tank(3.0, 300.0)], _TWO, flow_l_s=_at({20: _flow(4.0)}))),
    ("tank-by-rating", "a rating of 0.5 kW: 2.5 kWh in the night, 1.5 kWh by day", "2.5 x 0.10 + 1.5 x 0.30", 0.70,
     partial(_case, [_tank(0.5, 300.0)], _TWO, flow_l_s=_at({20: _flow(4.0)}))),
    ("tank-by-size", "a mixed tank of 100 l holds 2.326 kWh between 40 and 60 degC; 8 kWh are drawn",
     "2.326 x 0.10 + 5.674 x 0.30",
     0.10 * _HEAT_KWH + 0.30 * (8.0 - _HEAT_KWH),
     partial(_case, [_tank(3.0, 100.0)], _TWO, flow_l_s=_at({20: _flow(4.0), 22: _flow(4.0)}))),
    ("tank-flat", "a tank without losses under one price", "4 x 0.20", 0.80,
     partial(_case, [_tank(3.0, 300.0)], _FLAT, flow_l_s=_at({20: _flow(4.0)}))),
    ("tank-losses", "losses of 5 W/K over the 15 h from the last cheap hour to the draw",
     "0.10 x heat for 40 degC and the draw then",
     0.10 * _night_heat(5.0, 400.0, 4.0, 15.0, 3.0),
     partial(_case, [_tank(20.0, 400.0, 5.0)], _TWO, flow_l_s=_at({20: _flow(4.0)}))),
    ("tank-losses-short", "the same over 3 h", "0.10 x heat for 40 degC and the draw then",
     0.10 * _night_heat(5.0, 400.0, 4.0, 3.0, 15.0),
     partial(_case, [_tank(20.0, 400.0, 5.0)], _TWO, flow_l_s=_at({8: _flow(4.0)}))),
    ("battery", "a battery without losses carries 3 kWh from night to evening", "3 x 0.10 + 3 x 0.30", 1.20,
     partial(_case, [], _TWO, rest_kw=_EVENING, supply=_stored(3.0, 3.0))),
    ("battery-losses", "the same with 90 % each way: 2.7 kWh arrive of 3.333 bought", "3.3333 x 0.10 + 3.3 x 0.30",
     1.0 / 3.0 + 0.99,
     partial(_case, [], _TWO, rest_kw=_EVENING, supply=_stored(3.0, 3.0, 0.9))),
    ("battery-power", "1 kW either way: 2 kWh in the two hours of the evening", "2 x 0.10 + 4 x 0.30", 1.40,
     partial(_case, [], _TWO, rest_kw=_EVENING, supply=_stored(10.0, 1.0))),
    ("battery-flat", "one price: a battery with losses stays as it is", "6 x 0.20", 1.20,
     partial(_case, [], _FLAT, rest_kw=_EVENING, supply=_stored(3.0, 3.0, 0.9))),
    ("battery-full", "a battery that begins full and ends empty owes 3 kWh at the end's price", "3 x 0.30 + 3 x 0.10", 1.20,
     partial(_case, [], _TWO, rest_kw=_EVENING, supply=_stored(3.0, 3.0, 1.0, 1.0))),
    ("water-filling", "3 kWh taken off a peak of 4 kW for an hour and 3 kW for two", "(4 + 3 + 3 - 3) kWh over 3 h", 7.0 / 3.0,
     partial(_case, [], _FLAT, objective="peak", rest_kw=_at({17: 3.0, 18: 4.0, 19: 3.0}), supply=_stored(3.0, 9.0, 1.0, 1.0))),
    ("water-filling-short", "half a kWh takes off the highest only", "4 kW - 0.5 kWh in 1 h", 3.5,
     partial(_case, [], _FLAT, objective="peak", rest_kw=_at({17: 3.0, 18: 4.0, 19: 3.0}), supply=_stored(0.5, 9.0, 1.0, 1.0))),
    ("peak-by-power", "a battery of 0.8 kW takes off 0.8 kW", "4 kW - 0.8 kW", 3.2,
     partial(_case, [], _FLAT, objective="peak", rest_kw=_LATE, supply=_stored(9.0, 0.8, 1.0, 1.0))),
    ("valley", "12 kWh of a pump fill the valley beside a rest of 1 kW for 12 h", "(12 + 12) kWh over 24 h", 1.0,
     partial(_case, [_pump(3.0)], _FLAT, objective="peak", least={0: 12.0}, rest_kw=(1.0,) * 12 + (0.0,) * 12)),
    ("demand-charge", "the same, charged at 31 a kW and month for 1 of 31 days", "1 kW x 31 x 1/31", 1.0,
     partial(_case, [_pump(3.0)], _DEMAND, least={0: 12.0}, rest_kw=(1.0,) * 12 + (0.0,) * 12)),
    ("peak-stays", "nothing can be moved: the peak is that of the rest", "4 kW", 4.0,
     partial(_case, [_pump()], _FLAT, objective="peak", least={0: 2.0}, rest_kw=_LATE)),
    ("never-both", "two pumps of 2 kW, 4 h each, never together, in six cheap hours", "2 kW x (6 x 0.10 + 2 x 0.30)", 2.40,
     partial(_case, _PAIR, _TWO, least={0: 8.0, 1: 8.0}, told=_TOGETHER)),
    ("never-both-fits", "3 h each fit into the six", "2 kW x 6 x 0.10", 1.20,
     partial(_case, _PAIR, _TWO, least={0: 6.0, 1: 6.0}, told=_TOGETHER)),
    ("together", "without the interlock 4 h each are cheap", "2 x 8 x 0.10", 1.60,
     partial(_case, _PAIR, _TWO, least={0: 8.0, 1: 8.0})),
    ("own-use", "a pump of 1 kW that has to run 3 h, and may run one more, takes 4 of the 5 kWh that PV gives",
     "5 kWh - 4 kWh", 1.0,
     partial(_case, [_pump()], _FLAT, objective="own-use", least={0: 3.0}, pv_kw=_at(dict.fromkeys(range(9, 14), 1.0)))),
    ("pv-or-night", "PV that sells at 0.05 is cheaper than the night at 0.10", "-1 kWh x 0.05", -0.05,
     partial(_case, [_pump()], _TWO + _SOLD, least={0: 3.0}, pv_kw=_at({10: 1.0, 11: 1.0, 12: 1.0, 13: 1.0}))),
)  # fmt: skip

for _id, _what, _working, _published, _ours in _CASES:
    register(
        f"plan.bound-{_id}",
        f"least cost or peak of a day: {_what}",
        unit="",
        source=f"by hand: {_working}",
        confidence=Confidence.CLOSED_FORM,
        published=_published,
        ours=_ours,
        tolerance=1e-6,
        why="the solver's own tolerance",
    )
