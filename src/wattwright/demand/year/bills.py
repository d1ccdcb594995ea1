"""Paid bills: what a person writes of them, and the record held against them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import log, sqrt
from pathlib import Path
from typing import Self

import numpy as np
from pydantic import Field, model_validator

from wattwright.core.calendar import SEASONS, Days, Season, day_number
from wattwright.core.errors import JobError
from wattwright.core.fields import EnergyWh, Spec
from wattwright.core.findings import Finding
from wattwright.core.series import Floats
from wattwright.demand.year import kinds

FEWEST_DAYS = 14
"""Fewer days than this of a bill and the record together say nothing; common practice, no source."""
WITHIN = 0.07
_LIGHT, _DARK = (Season.SPRING, Season.SUMMER), (Season.AUTUMN, Season.WINTER)
_SUN = 0.15


class Bill(Spec):
    """One paid bill."""

    first: date = Field(alias="from", description="first day it counts")
    until: date = Field(description="first day it no longer counts: the day of the reading that ended it")
    paid_wh: EnergyWh = Field(alias="energy", ge=0, description="energy that was billed")

    @model_validator(mode="after")
    def _forward(self) -> Self:
        if self.until <= self.first:
            raise ValueError("a day after the first|Exchange the two.")
        return self

    @property
    def days(self) -> int:
        """Return how many days it counts."""
        return (self.until - self.first).days

    @property
    def daily_kwh(self) -> float:
        """Return its energy for each of its days."""
        return self.paid_wh / 1000 / self.days


class Bills(Spec):
    """What a file of paid bills holds."""

    bills: tuple[Bill, ...] = Field(min_length=1, description="the paid bills, in any order")


def read_bills(path: Path) -> tuple[Bill, ...]:
    """Return the paid bills in a TOML file, by their first days. Raises FileError, JobError."""
    from wattwright.core.specfile import read_text, validated

    return tuple(sorted(validated(read_text(path, JobError), Bills, JobError).bills, key=lambda one: one.first))


@dataclass(frozen=True, slots=True)
class Held:
    """A bill beside the record: the days of it that were read, their energy by the record and their share of the bill, kWh."""

    bill: Bill
    days: int
    measured_kwh: float
    billed_kwh: float

    @property
    def ratio(self) -> float:
        """Return record over bill, NaN where nothing was billed."""
        return self.measured_kwh / self.billed_kwh if self.billed_kwh > 0 else float("nan")


def beside(bills: Sequence[Bill], days: Days, energy_kwh: Floats) -> tuple[Held, ...]:
    """Return each bill beside the energy of the ``days`` that were read, shape (days,), NaN where one was not."""
    return tuple(_held(one, days, energy_kwh) for one in bills)


def _held(bill: Bill, days: Days, energy_kwh: Floats) -> Held:
    low = max((bill.first - days.first).days, 0)
    high = max(min((bill.until - days.first).days, len(days)), low)
    read = energy_kwh[low:high][~np.isnan(energy_kwh[low:high])]
    return Held(bill, len(read), float(read.sum()), bill.daily_kwh * len(read))


@dataclass(frozen=True, slots=True)
class Mistake:
    """A usual mistake: the ratio of record over bill it makes, how that is called, what it is, and what to do."""

    ratio: float
    named: str
    what: str
    step: str


_CLAMPS = "Read the ratio on the current transformers and hold it against what the meter is set to."
_COUNT = "Count the clamps, and see on which conductor each is and which way it points."
MISTAKES = (
    Mistake(2.0, "2", "a transformer ratio twice too high, or a conductor that was counted twice", _CLAMPS),
    Mistake(1 / 2, "1/2", "a transformer ratio half of what it is, or one of two conductors measured", _CLAMPS),
    Mistake(1 / 3, "1/3", "one of three conductors measured, or one of three clamps that points the wrong way", _COUNT),
    Mistake(2 / 3, "2/3", "two of three conductors measured", _COUNT),
    Mistake(3.0, "3", "one conductor taken three times, or a total taken for each of three", _COUNT),
    Mistake(sqrt(3), "the square root of 3", "the voltage between conductors taken for that to neutral", "Check the voltage."),
    Mistake(1 / sqrt(3), "1 over the square root of 3", "the voltage to neutral taken for that between conductors", "Check it."),
)


def mistake_of(ratio: float) -> Mistake | None:
    """Return the usual mistake that makes a ratio of record over bill, None where none does."""
    if ratio < 0:
        return Mistake(-1.0, "a negative number", "clamps that point the wrong way, or import and export exchanged", _COUNT)
    if ratio <= 0:
        return None
    best = min(MISTAKES, key=lambda one: abs(log(ratio / one.ratio)))
    return best if abs(log(ratio / best.ratio)) <= WITHIN else None


def judged(held: Sequence[Held], days: Days, imported_kwh: float, net_kwh: float) -> tuple[float, tuple[Finding, ...]]:
    """Return record over bills, NaN where too few days are in both, and what that suggests.

    ``imported_kwh`` is what the record drew on days that bills count too, and ``net_kwh`` that less what was fed in.
    """
    common = sum(one.days for one in held)
    billed = sum(one.billed_kwh for one in held)
    if common < FEWEST_DAYS or billed <= 0:
        return float("nan"), (kinds.NO_COMMON_DAYS.at("bills", needed=FEWEST_DAYS),)
    ratio = sum(one.measured_kwh for one in held) / billed
    if abs(ratio - 1) <= WITHIN:
        return ratio, (kinds.AGREES.at("bills", ratio=ratio, days=common), *_by_sun(held, days))
    if net_kwh < imported_kwh and abs(imported_kwh / billed - 1) <= WITHIN:
        return ratio, (kinds.BILLS_IMPORT.at("bills", imported=imported_kwh, net=net_kwh),)
    found = mistake_of(ratio)
    if found is None:
        return ratio, (kinds.DIFFERS.at("bills", ratio=ratio, days=common), *_by_sun(held, days))
    told = kinds.SUGGESTS.at("bills", ratio=ratio, days=common, named=found.named, mistake=found.what, step=found.step)
    return ratio, (told,)


def _by_sun(held: Sequence[Held], days: Days) -> list[Finding]:
    """Return a finding where bills of the light half of the year stand otherwise to the record than those of the dark half."""
    enough = [one for one in held if one.days >= FEWEST_DAYS and one.billed_kwh > 0]
    sides = []
    for half in (_LIGHT, _DARK):
        among = [one for one in enough if _season(one.bill, days) in half]
        sides.append(sum(one.measured_kwh for one in among) / sum(one.billed_kwh for one in among) if among else float("nan"))
    light, dark = sides
    if not abs(light - dark) > _SUN * max(light, dark):
        return []
    return [kinds.PV_POSITION.at("bills", light=light, dark=dark)]


def _season(bill: Bill, days: Days) -> Season:
    """Return the season of the middle of a bill, as far as the record goes."""
    middle = day_number(bill.first) + bill.days // 2 - day_number(days.first)
    return SEASONS[int(days.season[min(max(middle, 0), len(days) - 1)])]
