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
"""Record and bills agree within this share; common practice, no source."""
_ROUGHLY = 0.25
_MOSTLY_READ = 0.8
"""A bill of which less than this was read runs through other weeks, so its mean day is held against the record only roughly."""
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


_CLAMPS = "Read the ratio on the current transformers and hold it against what the meter is set to"
_COUNT = "Count the clamps, and see on which conductor each is and which way it points"
MISTAKES = (
    Mistake(2.0, "2", "a transformer ratio twice too high, or a conductor that was counted twice", _CLAMPS),
    Mistake(1 / 2, "1/2", "a transformer ratio half of what it is, or one of two conductors measured", _CLAMPS),
    Mistake(1 / 3, "1/3", "one of three conductors measured, or one of three clamps that points the wrong way", _COUNT),
    Mistake(2 / 3, "2/3", "two of three conductors measured", _COUNT),
    Mistake(3.0, "3", "one conductor taken three times, or a total taken for each of three", _COUNT),
    Mistake(sqrt(3), "the square root of 3", "the voltage between conductors taken for that to neutral", "Check the voltage"),
    Mistake(
        1 / sqrt(3),
        "1 over the square root of 3",
        "the voltage to neutral taken for that between conductors",
        "Check the voltage",
    ),
)


def mistake_of(ratio: float) -> Mistake | None:
    """Return the usual mistake that makes a ratio of record over bill, None where none does."""
    if ratio < 0:
        return Mistake(-1.0, "a negative number", "clamps that point the wrong way, or import and export exchanged", _COUNT)
    if ratio <= 0:
        return None
    best = min(MISTAKES, key=lambda one: abs(log(ratio / one.ratio)))
    return best if abs(log(ratio / best.ratio)) <= WITHIN else None


def fit_to_compare(held: Sequence[Held]) -> tuple[tuple[Held, ...], float]:
    """Return the bills that the record can be held against and the share within which they agree.

    These are the ones of which most was read; only where there is none, those of which two weeks were.
    """
    some = tuple(one for one in held if one.days >= FEWEST_DAYS and one.billed_kwh > 0)
    whole = tuple(one for one in some if one.days >= _MOSTLY_READ * one.bill.days)
    return (whole, WITHIN) if whole else (some, _ROUGHLY)


def judged(held: Sequence[Held], within: float, days: Days, imported_kwh: float) -> tuple[float, tuple[Finding, ...]]:
    """Return record over bills, NaN where no bill can be compared, and what that suggests.

    ``held`` and ``within`` are those of :func:`fit_to_compare`; ``imported_kwh`` is what the record drew on their days, without
    what was fed in.
    """
    if not held:
        return float("nan"), (kinds.NO_COMMON_DAYS.at("bills", needed=FEWEST_DAYS),)
    common, billed = sum(one.days for one in held), sum(one.billed_kwh for one in held)
    measured = sum(one.measured_kwh for one in held)
    ratio = measured / billed
    rough = (kinds.ROUGHLY.at("bills", within=within),) if within > WITHIN else ()
    if abs(ratio - 1) <= within:
        agrees = kinds.AGREES.at("bills", days=common, measured=measured, billed=billed, within=within)
        return ratio, (agrees, *rough, *_by_sun(held, days))
    if measured < imported_kwh and abs(imported_kwh / billed - 1) <= within:
        return ratio, (kinds.BILLS_IMPORT.at("bills", imported=imported_kwh, net=measured), *rough)
    found = mistake_of(ratio)
    if found is None:
        differs = kinds.DIFFERS.at("bills", days=common, measured=measured, billed=billed)
        return ratio, (differs, *rough, *_by_sun(held, days))
    # Only bills that were read for the most part are sure enough to stop at.
    kind = kinds.MAY_SUGGEST if rough else kinds.SUGGESTS
    told = kind.at("bills", days=common, measured=measured, billed=billed, named=found.named, mistake=found.what, step=found.step)
    return ratio, (told, *rough)


def _by_sun(held: Sequence[Held], days: Days) -> list[Finding]:
    """Return a finding where bills of the light half of the year stand otherwise to the record than those of the dark half."""
    sides = []
    for half in (_LIGHT, _DARK):
        among = [one for one in held if _season(one.bill, days) in half]
        sides.append(sum(one.measured_kwh for one in among) / sum(one.billed_kwh for one in among) if among else float("nan"))
    light, dark = sides
    if not abs(light - dark) > _SUN * max(light, dark):
        return []
    return [kinds.PV_POSITION.at("bills", light=light, dark=dark)]


def _season(bill: Bill, days: Days) -> Season:
    """Return the season of the middle of a bill, as far as the record goes."""
    middle = day_number(bill.first) + bill.days // 2 - day_number(days.first)
    return SEASONS[int(days.season[min(max(middle, 0), len(days) - 1)])]
