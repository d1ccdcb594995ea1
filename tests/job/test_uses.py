"""What people and goods ask of loads: drivers of every step, worked out by hand."""

import datetime as dt

import numpy as np
import pytest
from pydantic import ValidationError

from wattwright.core.clock import SiteClock
from wattwright.job.uses import (
    AirUse,
    ChargerUse,
    HeatUp,
    NoUse,
    PoolUse,
    RoomUse,
    SoilUse,
    Steps,
    StoreUse,
    WaterUse,
    steps,
)
from wattwright.loads.tank_kernels import HEAT_J_L_K

ATHENS = SiteClock("Europe/Athens")
MONDAY_S = 1_741_557_600  # Monday 2025-03-10 00:00 in Athens, UTC+2


def week(step_s: int = 60) -> Steps:
    """Return a plain week of steps from a Monday."""
    return steps(ATHENS, MONDAY_S, 7 * 86_400 // step_s, step_s)


def test_steps_show_the_clock_of_the_site() -> None:
    """The first step is Monday's midnight; on the day the clock is put forward no step lies between three and four."""
    at = week()
    assert (at.of_day_s[0], at.weekday[0], at.month[0]) == (0, 0, 3)
    jump = steps(ATHENS, 1_743_285_600, 1380, 60)  # Sunday 2025-03-30, a day of 23 hours
    assert set(jump.weekday) == {6}
    assert not ((jump.of_day_s >= 3 * 3600) & (jump.of_day_s < 4 * 3600)).any()


@pytest.mark.parametrize("step_s", [1, 10, 60, 900, 3600])
@pytest.mark.parametrize("profile", ["S", "M", "L", "XL"])
def test_a_day_of_draws_takes_the_published_energy(step_s: int, profile: str) -> None:
    """Whatever the step, a day's flow carries the profile's energy: 2.100, 5.845, 11.655, 19.070 kWh (EU 812/2013, Annex VII)."""
    flow = WaterUse(profile=profile).series(week(step_s), 10.0, 40.0)[: 86_400 // step_s, 0]
    told = flow.sum() * step_s * HEAT_J_L_K * 30.0 / 3.6e6
    assert told == pytest.approx({"S": 2.1, "M": 5.845, "L": 11.655, "XL": 19.07}[profile], rel=1e-6)


def test_draws_scale_to_the_litres_of_the_property() -> None:
    """The times stay, the litres are those written: 90 l a day for a week are 630 l."""
    spec = WaterUse.model_validate({"litres_per_day": "90 l"})
    made = spec.series(week(), 12.0, 40.0)
    assert made[:, 0].sum() * 60 == pytest.approx(630.0)
    assert (made[:, 0] > 0).any() == (WaterUse().series(week(), 12.0, 40.0)[:, 0] > 0).any()
    assert not made[:, 1].any()


def test_heating_through_raises_the_set_point_on_its_day() -> None:
    """On Sunday from two to five the tank is wanted at 65 degC, at no other time."""
    heat_up = HeatUp.model_validate({"to": "65 degC", "days": ["Sun"]})
    at = week()
    raised = WaterUse(heat_up=heat_up).series(at, 12.0, 40.0)[:, 1]
    assert set(raised) == {0.0, 65.0}
    assert (raised == 65.0).sum() == 180
    assert set(at.weekday[raised > 0]) == {6}


def test_rooms_and_stores_are_used_in_their_hours() -> None:
    """Gains, doors and goods come between their times only, over midnight too; without times, all day."""
    at = week(3600)
    gains = RoomUse.model_validate({"gains": "200 W", "from": dt.time(22), "until": dt.time(6), "days": ["Mon"]})
    assert np.flatnonzero(gains.series(at, 0, 0)[:, 0]).tolist() == [0, 1, 2, 3, 4, 5, 22, 23]
    store = StoreUse.model_validate({"door_open": "5 %", "goods": "150 W", "from": dt.time(8), "until": dt.time(10)})
    assert store.series(at, 0, 0)[7:11].tolist() == [[0, 0], [0.05, 150], [0.05, 150], [0, 0]]
    assert (RoomUse.model_validate({"gains": "1 W"}).series(at, 0, 0)[:, 0] == 1).all()


def test_water_to_the_air_is_spread_over_its_hours() -> None:
    """Ten litres between six and eleven are ten kilograms a day, none outside."""
    air = AirUse.model_validate({"water_litres_per_day": 10.0, "from": dt.time(6), "until": dt.time(11)})
    made = air.series(week(), 0, 0)[:, 0]
    assert made.sum() * 60 == pytest.approx(70.0)


def test_pool_and_crop_follow_the_months() -> None:
    """A pool out of season wants nothing; the crop's coefficient is that of the month; none written: the model's."""
    at = week(3600)
    assert not PoolUse(months=(6, 7)).series(at, 0, 0).any()
    assert (PoolUse().series(at, 0, 0)[:, 0] == 1).all()
    crop = SoilUse(crop_by_month=tuple(0.1 * k for k in range(1, 13)))
    assert crop.series(at, 0, 0)[0, 0] == pytest.approx(0.3)
    assert not SoilUse().series(at, 0, 0).any()
    assert not NoUse().series(at, 0, 0).any()
    with pytest.raises(ValidationError, match="twelve values"):
        SoilUse(crop_by_month=(1.0, 1.0))


def test_a_charger_is_plugged_in_from_arrival_to_departure() -> None:
    """It arrives on Friday at six in the evening and leaves on Saturday at seven; energy is wanted while it is there."""
    spec = ChargerUse.model_validate({"days": ["Fri"], "energy": "8 kWh"})
    made = spec.series(week(3600), 0, 0)
    assert np.flatnonzero(made[:, 0]).tolist() == [*range(4 * 24 + 18, 5 * 24), *range(5 * 24, 5 * 24 + 7)]
    assert set(made[made[:, 0] > 0, 1]) == {8000.0}
    day = ChargerUse.model_validate({"arrives": dt.time(9), "leaves": dt.time(17), "days": ["Mon"], "energy": "1 kWh"})
    assert np.flatnonzero(day.series(week(3600), 0, 0)[:, 0]).tolist() == list(range(9, 17))
