"""How a battery ages under a course of charge that repeats itself every year, and when it must be replaced."""

from dataclasses import dataclass
from math import inf
from typing import Literal

import numpy as np

from wattwright.core.findings import Finding
from wattwright.supply.wear import kinds
from wattwright.supply.wear.course import Course
from wattwright.supply.wear.cycles import Cycles, Floats, count_cycles
from wattwright.supply.wear.data_sheet import yearly_wear
from wattwright.supply.wear.spec import Model, Wear
from wattwright.supply.wear.xu_2018 import lost_share, stress_until, yearly_stress

Decides = Literal["cycles", "time", "both together"]
_NEVER_YEARS = 100.0
"""Longer than that cycles do not wear a battery out within anybody's plan."""
_WHOLE_YEAR = 0.99
_DAYS = 365.0
_SOON = 5.0


@dataclass(frozen=True, slots=True, eq=False)
class Ageing:
    """What becomes of a battery.

    ``lost_share`` (years,) is the share of its capacity that is gone after each year, at most 1. ``life_years`` is when its
    capacity falls to ``end_share``, ``decides`` what that is due to. ``cycle_years`` and ``rest_years`` are the same were there
    only cycles, or only time; infinite where one of them takes nothing. ``cycles`` are those of the course,
    ``full_cycles_per_year`` their equivalent full ones in a year.
    """

    model: Model
    end_share: float
    lost_share: Floats
    life_years: float
    decides: Decides
    cycle_years: float
    rest_years: float
    cycles: Cycles
    full_cycles_per_year: float
    findings: tuple[Finding, ...]

    def whole_years(self, longest: int) -> int:
        """Return its life as money counts it: whole years, at least one and at most ``longest``."""
        return int(max(1.0, min(self.life_years, float(longest))))


def ageing(spec: Wear, charge_share: Floats, step_s: float, years: int, cells_c: Floats | None = None) -> Ageing:
    """Return how a battery ages over so many years, in each of which its charge takes the same course.

    ``charge_share`` (n,) is what it holds at the start of each interval, as a share of what it holds when full; a course shorter
    or longer than a year counts in proportion. ``cells_c`` (n,) is the temperature of its cells, that of the spec if left out.
    Shares stay what they are as the battery fades. Raises InputError for what is no course of charge.
    """
    course = Course(np.asarray(charge_share, np.float64), step_s, spec.cell_c if cells_c is None else cells_c)
    cycles = count_cycles(course.charge_share)
    end = np.arange(1.0, years + 1.0)
    if spec.model == "data sheet":
        by_cycles, by_rest = yearly_wear(spec, course, cycles)
        pace, whole = max(by_cycles, by_rest), 1.0
        lost = np.minimum((1.0 - spec.end_share) * pace * end, 1.0)
        decides: Decides = "cycles" if by_cycles >= by_rest else "time"
    else:
        by_cycles, by_rest = yearly_stress(course, cycles)
        pace, whole, decides = by_cycles + by_rest, stress_until(1.0 - spec.end_share), "both together"
        lost = lost_share(pace * end)
    life, cycle_years, rest_years = (whole / one if one > 0.0 else inf for one in (pace, by_cycles, by_rest))
    told = _told(spec, course, decides, (life, cycle_years, rest_years))
    moved = cycles.full_cycles / course.years
    return Ageing(spec.model, spec.end_share, lost, life, decides, cycle_years, rest_years, cycles, moved, told)


def _told(spec: Wear, course: Course, decides: Decides, lives: tuple[float, float, float]) -> tuple[Finding, ...]:
    life, cycle_years, rest_years = lives
    found = []
    if spec.model == "Xu 2018":
        found.append(kinds.OTHER_CELL.at("battery"))
    elif spec.left_out:
        found.append(kinds.USUAL.at("battery", chemistry=spec.chemistry, what=", ".join(spec.left_out)))
    if course.years < _WHOLE_YEAR:
        found.append(kinds.SHORT.at("battery", days=round(course.years * _DAYS, 1)))
    if life < _SOON:
        found.append(kinds.SOON.at("battery", life=life))
    if decides == "time" and cycle_years < _NEVER_YEARS:
        found.append(kinds.RESTS.at("battery", rest=rest_years, cycles=cycle_years))
    return tuple(found)
