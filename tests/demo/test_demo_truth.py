"""The invented year: plausible, whole, and the same each time."""

import numpy as np
import pytest

from wattwright.demo.people import TANKS
from wattwright.demo.place import DEMO_SEED, MAIN_FUSE_A, NOMINAL_VOLTAGE_V
from wattwright.demo.supply import supply_of
from wattwright.demo.survey import SURVEY
from wattwright.demo.truth import Truth, truth

# Least and most kWh in a year: rating x hours a year x share of the time, the shares being common practice, no source.
PLAUSIBLE_SHARE = {
    "base": (0.25, 0.7),
    "fridge_kitchen": (0.2, 0.6),
    "fridge_bar": (0.2, 0.6),
    "freezer": (0.3, 0.8),
    "cold_room": (0.15, 0.6),
    "water_heater_guests": (0.06, 0.25),
    "water_heater_kitchen": (0.06, 0.25),
    "irrigation_pump": (0.005, 0.04),
    "propagation_bench": (0.03, 0.25),
    "greenhouse_fans": (0.16, 0.5),
    "room_units": (0.03, 0.2),
    "breakfast_heater": (0.003, 0.05),
    "kettle": (0.003, 0.03),
    "oven": (0.008, 0.05),
    "toaster": (0.003, 0.02),
    "washer": (0.008, 0.05),
    "dryer": (0.008, 0.06),
    "lighting": (0.08, 0.4),
}


def test_same_seed_same_year_other_seed_other_year(known: Truth):
    """A seed fixes every minute of every load; another seed gives another year."""
    assert np.array_equal(truth(DEMO_SEED).power_w, known.power_w)
    assert not np.array_equal(truth(DEMO_SEED + 1).power_w, known.power_w)


def test_total_is_the_sum_of_the_loads(known: Truth):
    """Nothing is used that no load uses, and names, ratings and powers are those of the survey."""
    plain = sum((known.load_w(name) for name in known.names), np.zeros(525_600))
    assert known.total_w == pytest.approx(plain)
    assert known.energy_kwh.sum() == pytest.approx(known.total_w.sum() / 60_000.0)
    assert known.names == tuple(load.id for load in SURVEY)
    assert known.rating_w.tolist() == [load.quantity * load.rating_w for load in SURVEY]


def test_no_load_exceeds_its_rating_or_turns_negative(known: Truth):
    """Each minute of each load lies between nought and its rating, and each switched load reaches its rating."""
    assert (known.power_w >= 0.0).all()
    assert (known.power_w <= known.rating_w[:, np.newaxis] + 1e-6).all()
    reached = known.power_w.max(axis=1) / known.rating_w
    assert (reached[[name not in ("base", "lighting") for name in known.names]] > 0.7).all()


@pytest.mark.parametrize("name", PLAUSIBLE_SHARE)
def test_energy_of_each_load_is_plausible(known: Truth, name: str):
    """The year's energy lies between two shares of rating x 8760 h."""
    low, high = PLAUSIBLE_SHARE[name]
    full_kwh = known.rating_w[known.names.index(name)] * 8.76
    assert low * full_kwh < known.load_w(name).sum() / 60_000.0 < high * full_kwh


def test_the_property_is_of_the_size_told(known: Truth):
    """20 to 30 MWh a year, peaks of 12 to 14.5 kW that are rare: what a 63 A single-phase supply just carries."""
    total = known.total_w
    assert 20_000 < known.energy_kwh.sum() < 30_000
    assert 12_000 < total.max() < MAIN_FUSE_A * NOMINAL_VOLTAGE_V
    assert 0 < (total > 12_000).sum() < 0.001 * len(total)
    highest = known.year.minute[int(total.argmax())]
    assert 7 * 60 <= highest < 10 * 60


def test_pool_pump_follows_the_clock_on_the_wall(known: Truth):
    """184 days of 8 h from 10:00 to 18:00 on the local clock, before and after the clock goes back."""
    year, power = known.year, known.load_w("pool_pump")
    running = power > 0
    assert running.sum() == 184 * 480
    assert set(year.month[year.day[running]].tolist()) == {5, 6, 7, 8, 9, 10}
    assert (year.minute[running].min(), year.minute[running].max()) == (600, 1079)
    assert 0.95 * 1.1 * 1472 < power.sum() / 60_000.0 < 1.1 * 1472


def test_irrigation_keeps_its_weekdays(known: Truth):
    """No watering out of season or on Sunday; mornings only on Monday, Tuesday, Thursday and Saturday."""
    year, running = known.year, known.load_w("irrigation_pump") > 0
    assert 6 not in year.weekday[year.day[running]]
    assert set(year.month[year.day[running]].tolist()) == {4, 5, 6, 7, 8, 9, 10}
    mornings = running & (year.minute < 720)
    assert set(year.weekday[year.day[mornings]].tolist()) == {0, 1, 3, 5}


def test_cold_stores_run_longer_in_summer(known: Truth):
    """Ambient temperature shows: the cold room uses clearly more in July than in January."""
    month = known.year.month[known.year.day]
    power = known.load_w("cold_room")
    assert power[month == 7].mean() > 1.3 * power[month == 1].mean()


def test_heat_is_used_on_cold_nights_only(known: Truth):
    """The benches are heated in the cold half-year, never from May to September nor at noon."""
    year, running = known.year, known.load_w("propagation_bench") > 0
    assert not set(year.month[year.day[running]].tolist()) & {5, 6, 7, 8, 9}
    assert not ((year.minute[running] >= 540) & (year.minute[running] < 1020)).any()


@pytest.mark.parametrize("name", ["water_heater_guests", "water_heater_kitchen"])
def test_water_heaters_balance_their_heat(known: Truth, name: str):
    """First law: electricity in equals heat drawn and lost, less the little that is owed at the year's end."""
    heating = known.water[name]
    assert known.load_w(name).sum() / 60.0 == pytest.approx(heating.drawn_wh + heating.lost_wh - heating.owed_wh)
    assert 0.0 <= heating.owed_wh <= heating.most_owed_wh


@pytest.mark.parametrize("name", ["water_heater_guests", "water_heater_kitchen"])
def test_draws_at_forty_degrees_come_from_water_at_least_as_warm(known: Truth, name: str):
    """In the year shown no tank, well mixed and 60 C when full, ever falls below the 40 C at which it is drawn."""
    assert 60.0 - known.water[name].most_owed_wh / TANKS[name].heat_wh(1.0) >= 40.0


def test_rooms_are_let_once_at_a_time(known: Truth):
    """No two bookings of a room overlap, and the nightly people are those of the bookings."""
    nights = np.zeros((5, 365 + 7), dtype=int)
    for stay in known.guests.bookings:
        assert 0 <= stay.arrive < stay.depart
        assert not nights[stay.room, stay.arrive : stay.depart].any()
        nights[stay.room, stay.arrive : stay.depart] = stay.people
    assert np.array_equal(nights[:, :365].sum(axis=0), known.guests.tonight)
    assert known.guests.this_morning[1:].tolist() == known.guests.tonight[:-1].tolist()
    assert known.guests.tonight[181:243].mean() > 2.0 * known.guests.tonight[:59].mean()


def test_light_comes_on_at_sunset(known: Truth):
    """In June the house is lit only after eight in the evening, in December well before six."""
    year = known.year
    bright = known.load_w("lighting") > 0.25 * 900.0
    month = year.month[year.day]
    assert year.minute[bright & (month == 6) & (year.minute > 720)].min() > 20 * 60
    assert year.minute[bright & (month == 12) & (year.minute > 720)].min() < 18 * 60


def test_supply_obeys_ohm_and_the_network_standard(known: Truth):
    """Voltage stays within 230 V +-10 % (EN 50160), apparent power is not below real power, and load lowers voltage."""
    seen = supply_of(known)
    assert 207.0 < seen.voltage_v.min() < seen.voltage_v.max() < 253.0
    assert (seen.voltage_v * seen.current_a >= seen.power_w * (1 - 1e-12)).all()
    assert seen.voltage_v[seen.power_w > 9000].mean() < seen.voltage_v[seen.power_w < 500].mean() - 3.0
