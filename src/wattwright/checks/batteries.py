"""How batteries age and what cold and haste leave of them, against standards, publications and arithmetic by hand."""

from functools import partial

import numpy as np

from wattwright.checks.registry import Confidence, register
from wattwright.core.fields import Held
from wattwright.supply.textbook import StandAlone, StandAloneSize, stand_alone
from wattwright.supply.wear.cold import lasts_s, peukert_exponent, temperature_factor
from wattwright.supply.wear.course import Course
from wattwright.supply.wear.cycles import Cycles, count_cycles
from wattwright.supply.wear.data_sheet import cycles_until_worn, miner, warmth
from wattwright.supply.wear.xu_2018 import lost_share, yearly_stress

_HISTORY = np.array([-2.0, 1.0, -3.0, 5.0, -1.0, 3.0, -4.0, 4.0, -2.0])
_PATH = np.array([1.0, 0.2, 0.8, 0.5, 0.9, 0.3, 1.0])
_LAW = ((0.4, 3000 * 0.4**-1.756), (1.0, 3000.0))
_H = 3600.0


def _counted(depth: float) -> float:
    found = count_cycles(_HISTORY)
    return float(found.counts[found.depth_share == depth].sum())


def _lost_percent(years: float, cell_c: float, depth: float | None) -> float:
    """Return the loss after Xu et al., per cent, of a battery half full in the mean, with one cycle a day or none."""
    course = Course(np.full(8760, 0.5), _H, cell_c)
    counts = np.array([0.0 if depth is None else 365.0])
    cycles = Cycles(np.array([depth or 1.0]), np.array([0.5]), counts, np.array([0]), np.array([8759]))
    return 100.0 * float(lost_share(np.array(years * sum(yearly_stress(course, cycles)))))


def _hours(current_a: float, exponent: float) -> float:
    return lasts_s(100.0, 20.0 * _H, current_a, exponent) / _H


def _size(**changed: object) -> StandAloneSize:
    plain = {"daily": "4800 Wh", "coldest": "15.6 degC", "running": "25 A", "sun_h": 4.0, "array_ratio": 1.3}
    return stand_alone(StandAlone.model_validate({**plain, **changed}))


for _range, _count in ((3, 0.5), (4, 1.5), (6, 0.5), (8, 1.0), (9, 0.5)):
    register(
        f"battery.cycles-range-{_range}",
        f"rainflow cycles of range {_range} in the history of the standard's figure 6",
        unit="",
        source="ASTM E1049-85, 5.4.4",
        confidence=Confidence.PUBLISHED,
        published=_count,
        ours=partial(_counted, float(_range)),
    )
register(
    "battery.full-cycles",
    "equivalent full cycles of a charge of 1, 0.2, 0.8, 0.5, 0.9, 0.3, 1.0",
    unit="",
    source="half of all that moved: 3.4 / 2",
    confidence=Confidence.CLOSED_FORM,
    published=1.7,
    tolerance=1e-12,
    why="floating point",
    ours=lambda: count_cycles(_PATH).full_cycles,
)
register(
    "battery.miner",
    "repeats of that charge until the battery is worn out, N = 3000 D^-1.756",
    unit="",
    source="Miner's sum by hand: (0.3^1.756 + 0.6^1.756 + 0.8^1.756) / 3000 = 4.014e-4",
    confidence=Confidence.CLOSED_FORM,
    published=2491.0,
    tolerance=0.5,
    why="rounded to whole repeats",
    ours=lambda: 1.0 / miner(_LAW, count_cycles(_PATH)),
)
for _depth, _value in ((0.8, 4440.0), (0.6, 7359.0)):
    register(
        f"battery.depth-{100 * _depth:g}",
        f"cycles of {100 * _depth:g} % by the power law through 3000 at 100 % and 15 000 at 40 %",
        unit="",
        source="3000 D^-1.7565, by hand",
        confidence=Confidence.CLOSED_FORM,
        published=_value,
        tolerance=1.0,
        why="the exponent is rounded to four decimals",
        ours=partial(lambda depth: float(cycles_until_worn(((0.4, 15_000.0), (1.0, 3000.0)), np.array(depth))), _depth),
    )
register(
    "battery.warmth",
    "ageing at 45 degC over that at 25 degC, where 35 degC doubles it",
    unit="",
    source="Arrhenius by hand: 2^((1/298.15 - 1/318.15) / (1/298.15 - 1/308.15))",
    confidence=Confidence.CLOSED_FORM,
    published=2.0 ** ((1 / 298.15 - 1 / 318.15) / (1 / 298.15 - 1 / 308.15)),
    tolerance=1e-9,
    why="floating point",
    ours=lambda: float(warmth(np.array(45.0), 2.0)),
)
for _id, _years, _cell_c, _cycle, _value in (
    ("rest", 10.0, 25.0, None, 17.29),
    ("deep", 10.0, 25.0, 0.8, 25.81),
    ("half", 10.0, 25.0, 0.5, 21.21),
    ("shallow", 10.0, 25.0, 0.2, 18.86),
    ("first-year", 1.0, 25.0, 0.8, 7.66),
    ("warm", 10.0, 35.0, 0.8, 40.97),
):
    register(
        f"battery.xu-{_id}",
        f"loss after {_years:g} years at {_cell_c:g} degC, " + ("at rest" if _cycle is None else f"a cycle of {_cycle:g} a day"),
        unit="%",
        source="Xu et al. 2018, IEEE Transactions on Smart Grid 9, 1131: its equations worked out by hand",
        confidence=Confidence.CLOSED_FORM,
        published=_value,
        tolerance=0.005,
        why="two decimals",
        ours=partial(_lost_percent, _years, _cell_c, _cycle),
    )
for _exponent, _current, _value in (
    (1.1, 5, 20.0), (1.1, 10, 9.330), (1.1, 50, 1.589), (1.2, 10, 8.706), (1.2, 20, 3.789), (1.3, 20, 3.299), (1.3, 50, 1.002),
):  # fmt: skip
    register(
        f"battery.peukert-{10 * _exponent:.0f}-{_current}",
        f"100 Ah in 20 h drawn with {_current} A, exponent {_exponent}",
        unit="h",
        source="Peukert's law with the rated time, by hand: 20 (100 / (20 I))^k",
        confidence=Confidence.CLOSED_FORM,
        published=_value,
        tolerance=0.0005,
        why="three decimals",
        ours=partial(_hours, float(_current), _exponent),
    )
register(
    "battery.peukert-exponent",
    "Peukert's exponent from 100 Ah in 20 h and 92 Ah in 8 h",
    unit="",
    source="ln(20 / 8) / ln(11.5 / 5), by hand",
    confidence=Confidence.CLOSED_FORM,
    published=1.1001,
    tolerance=5e-5,
    why="four decimals",
    ours=lambda: peukert_exponent(100.0, 20.0 * _H, 92.0, 8.0 * _H),
)
for _id, _cell, _value in (
    ("frost", -3.9, 1.52), ("four", 4.4, 1.3), ("sixteen", 15.6, 1.11), ("rated", 25.0, 1.0), ("warm", 35.0, 0.93),
):  # fmt: skip
    register(
        f"battery.cold-{_id}",
        f"temperature factor of lead-acid cells at {_cell:g} degC",
        unit="",
        source="IEEE 485, table of factors",
        confidence=Confidence.FROM_MEMORY,
        published=_value,
        ours=partial(temperature_factor, _cell),
    )
for _id, _what, _unit, _value, _most, _ours in (
    ("daily", "charge used in a day: 4800 Wh through 90 % at 48 V", "Ah", 111.11, 0.005, lambda: _size().daily_ah),
    ("days", "three days of it", "Ah", 333.33, 0.005, lambda: _size().needed_ah),
    ("depth", "size by a depth of 80 %", "Ah", 416.67, 0.005, lambda: _size().by_rule["days without sun"]),
    ("day", "size by a daily depth of 20 %", "Ah", 555.56, 0.005, lambda: _size().by_rule["a day's use"]),
    ("size", "size with 15.6 degC and a margin of 1.1", "Ah", 678.33, 0.005, lambda: _size().battery_ah),
    ("rate", "time in which 25 A empty it", "h", 27.1, 0.05, lambda: (_size().rate_s or 0.0) / _H),
    ("free", "size without the daily limit, margin 1.25", "Ah", 578.1, 0.05,
     lambda: _size(most_daily_depth=Held(1.0), margin=1.25).battery_ah),
    ("array", "current of the array, 1.3 times the use, 4 kWh/m2 a day", "A", 36.1, 0.05, lambda: _size().array_a or 0.0),
):  # fmt: skip
    register(
        f"battery.alone-{_id}",
        _what,
        unit=_unit,
        source=f"{'IEEE 1562' if _id == 'array' else 'IEEE 1013'}, its steps from memory, worked by hand",
        confidence=Confidence.FROM_MEMORY,
        published=_value,
        tolerance=_most,
        why="rounded as worked",
        ours=_ours,
    )
