"""What people and goods ask of a load, as a person writes it under ``[loads.use]``: draws, gains, doors, arrivals.

Each kind gives its drivers for every step, shape (n, USES), in the columns its kernel reads.
"""

import datetime as dt
from dataclasses import dataclass
from typing import Annotated, Literal, Self

import numpy as np
from numpy.typing import NDArray
from pydantic import Field, model_validator

from wattwright.control.rules import Day
from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.fields import EnergyWh, PowerW, Share, Spec, TemperatureC, VolumeL
from wattwright.loads.columns import USES
from wattwright.loads.draws import EU_PROFILES, flows_l_s

Floats = NDArray[np.float64]
DAYS: tuple[Day, ...] = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_WATER_KG_L = 1.0
_MIDNIGHT = dt.time(0)
Months = tuple[Annotated[int, Field(ge=1, le=12)], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Steps:
    """The steps that are simulated as the site's clock shows them: second of day, weekday (0 Monday), month; each (n,)."""

    step_s: int
    of_day_s: NDArray[np.int64]
    weekday: NDArray[np.int64]
    month: NDArray[np.int64]

    def __len__(self) -> int:
        """Return the number of steps."""
        return len(self.of_day_s)

    def between(self, begins: dt.time, ends: dt.time) -> NDArray[np.bool_]:
        """Return which steps begin in [begins, ends), over midnight where it ends earlier; the same time twice: all day."""
        first, last = _of_day_s(begins), _of_day_s(ends)
        after, before = self.of_day_s >= first, self.of_day_s < last
        return (after & before) if first < last else (after | before)

    def on(self, days: tuple[Day, ...]) -> NDArray[np.bool_]:
        """Return which steps lie on one of these days of the week."""
        return np.isin(self.weekday, [DAYS.index(day) for day in days])


def steps(clock: SiteClock, start_s: int, count: int, step_s: int) -> Steps:
    """Return ``count`` steps of ``step_s`` from ``start_s``, UTC seconds."""
    times_s = start_s + step_s * np.arange(count, dtype=np.int64)
    parts = clock.parts(times_s)
    return Steps(step_s, clock.local_s(times_s) % DAY_S, parts.weekday, parts.month)


def _of_day_s(time: dt.time) -> int:
    return 3600 * time.hour + 60 * time.minute + time.second


class Asked(Spec):
    """What is asked of a load."""

    def series(self, at: Steps, cold_c: float, use_c: float) -> Floats:  # only hot water asks for the two
        """Return the drivers of every step, (n, USES); ``cold_c`` and ``use_c`` are of the water that comes and that is used."""
        return np.zeros((len(at), USES))


class NoUse(Asked):
    """A load of which nobody asks anything beside that it is fed."""


class HeatUp(Spec):
    """A time in which the whole tank is heated through against Legionella; ask for the regime of the premises."""

    to_c: TemperatureC = Field(60.0, alias="to", ge=50, le=80, description="temperature; usual: 60 degC")
    days: tuple[Day, ...] = Field(DAYS, min_length=1, description="days of the week; all for shared heaters, one in a home")
    begins: dt.time = Field(dt.time(2), alias="from", description="when it begins, on the site's clock")
    ends: dt.time = Field(dt.time(5), alias="until", description="when it ends")


class WaterUse(Asked):
    """Draws of hot water: a published day, scaled to the litres of this property."""

    profile: Literal["S", "M", "L", "XL"] = Field(
        "M", description="day of Regulation (EU) 812/2013 whose times of drawing are used; M: 5.8 kWh, a small home"
    )
    day_l: VolumeL | None = Field(
        None, alias="litres_per_day", ge=0, le=100_000, description="drawn in a day at the temperature of use; the profile's own"
    )
    heat_up: HeatUp | None = Field(None, description="heating-through against Legionella; none if left out")
    mixing_valve: bool = Field(False, description="whether a valve at the tank mixes hot water down, so that nobody is scalded")

    def series(self, at: Steps, cold_c: float, use_c: float) -> Floats:
        """Return wanted flow, l/s, and raised set point, degC, of every step, (n, USES)."""
        flows = flows_l_s(EU_PROFILES[self.profile], 1, use_c, cold_c)
        if self.day_l is not None:
            flows = flows * (self.day_l / flows.sum())
        # The mean over a step, whatever second of the day it begins at.
        summed = np.concatenate(([0.0], np.cumsum(np.concatenate((flows, flows)))))
        made = np.zeros((len(at), USES))
        made[:, 0] = (summed[at.of_day_s + at.step_s] - summed[at.of_day_s]) / at.step_s
        if self.heat_up is not None:
            raised = at.on(self.heat_up.days) & at.between(self.heat_up.begins, self.heat_up.ends)
            made[raised, 1] = self.heat_up.to_c
        return made


class _Daily(Asked):
    """Something that happens between two times of the day."""

    days: tuple[Day, ...] = Field(DAYS, min_length=1, description="days of the week")
    begins: dt.time = Field(_MIDNIGHT, alias="from", description="from when, on the site's clock; all day if left out")
    ends: dt.time = Field(_MIDNIGHT, alias="until", description="until when")

    def at_hand(self, at: Steps) -> NDArray[np.bool_]:
        """Return in which steps it happens."""
        return at.on(self.days) & at.between(self.begins, self.ends)


class RoomUse(_Daily):
    """Heat that people and appliances give to a room."""

    gains_w: PowerW = Field(0.0, alias="gains", ge=0, le=1_000_000, description="heat of people and appliances; a person: 80 W")

    def series(self, at: Steps, cold_c: float, use_c: float) -> Floats:
        """Return heat gains of every step, W, (n, USES)."""
        made = np.zeros((len(at), USES))
        made[:, 0] = np.where(self.at_hand(at), self.gains_w, 0.0)
        return made


class StoreUse(_Daily):
    """Doors and goods of a cold store in its working hours."""

    door: Share = Field(0.0, alias="door_open", ge=0, le=1, description="share of the time the door is open; usual: 1 to 10 %")
    goods_w: PowerW = Field(0.0, alias="goods", ge=0, le=1_000_000, description="heat that goods and people bring in")

    def series(self, at: Steps, cold_c: float, use_c: float) -> Floats:
        """Return the door's share and the heat of goods, W, of every step, (n, USES)."""
        open_ = self.at_hand(at)[:, np.newaxis]
        return np.asarray(np.where(open_, np.array([[self.door, self.goods_w]]), 0.0))


class PoolUse(Asked):
    """The bathing season."""

    months: Months = Field(
        tuple(range(1, 13)), min_length=1, description="months in which the water is turned over; all if left out"
    )

    def series(self, at: Steps, cold_c: float, use_c: float) -> Floats:
        """Return the share of the usual turnovers wanted in every step, (n, USES)."""
        made = np.zeros((len(at), USES))
        made[:, 0] = np.isin(at.month, self.months)
        return made


class SoilUse(Asked):
    """How the crop grows over the year."""

    crop_by_month: tuple[Annotated[float, Field(gt=0, le=2)], ...] = Field(
        (), description="Kc of January to December (FAO-56, table 12); that of the model all year if left out"
    )

    @model_validator(mode="after")
    def _twelve(self) -> Self:
        if len(self.crop_by_month) not in (0, 12):
            raise ValueError("twelve values, January to December|Write one for each month.")
        return self

    def series(self, at: Steps, cold_c: float, use_c: float) -> Floats:
        """Return the crop coefficient of every step (0: that of the model), (n, USES)."""
        made = np.zeros((len(at), USES))
        if self.crop_by_month:
            made[:, 0] = np.array(self.crop_by_month)[at.month - 1]
        return made


class AirUse(_Daily):
    """Water that people, laundry or plants give to the air."""

    water_l_day: float = Field(
        0.0, alias="water_litres_per_day", ge=0, le=100_000, description="water given off in a day, l; a person: 1 to 2 l"
    )

    def series(self, at: Steps, cold_c: float, use_c: float) -> Floats:
        """Return the water given to the air in every step, kg/s, (n, USES); the day's amount spread over its hours."""
        made = np.zeros((len(at), USES))
        open_s = (_of_day_s(self.ends) - _of_day_s(self.begins)) % DAY_S or DAY_S
        made[:, 0] = np.where(self.at_hand(at), self.water_l_day * _WATER_KG_L / open_s, 0.0)
        return made


class ChargerUse(Asked):
    """When something is plugged in, and what it then wants."""

    days: tuple[Day, ...] = Field(DAYS, min_length=1, description="days of the week on which it arrives")
    arrives: dt.time = Field(dt.time(18), description="when it is plugged in, on the site's clock")
    leaves: dt.time = Field(dt.time(7), description="when it must be ready; earlier than arrives means the next day")
    wanted_wh: EnergyWh = Field(0.0, alias="energy", ge=0, le=1_000_000, description="energy it wants when it arrives")

    def series(self, at: Steps, cold_c: float, use_c: float) -> Floats:
        """Return whether it is plugged in and the energy it wants, Wh, in every step, (n, USES)."""
        here = at.between(self.arrives, self.leaves)
        arrival = _of_day_s(self.arrives)
        # What is still here after midnight arrived on the day before.
        after_midnight = (at.of_day_s < arrival) & (_of_day_s(self.leaves) <= arrival)
        day = (at.weekday - after_midnight) % 7
        plugged = here & np.isin(day, [DAYS.index(one) for one in self.days])
        return np.stack((plugged.astype(np.float64), np.where(plugged, self.wanted_wh, 0.0)), axis=1)
