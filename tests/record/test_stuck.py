"""Stuck readings, lone spikes, readings that cannot be, and ranges that end: what is told and what must not be."""

from dataclasses import replace

import numpy as np
import pytest

from tests.record.plant import DAY, HOUR, MONDAY_S, channel, codes, house, seen
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.record.faults.clipped import beyond_transformer, clipped
from wattwright.record.faults.outliers import impossible, spikes
from wattwright.record.faults.stuck import dead, stuck
from wattwright.record.record import Form


def test_stuck_week():
    """A week of one reading among readings that change is found, with its start and its length."""
    power = house()
    power[200 : 200 + 168] = 1234
    (found,) = stuck(channel(power))
    assert (found.data["value"], found.data["lasted"], found.data["count"]) == (1234, 168 * HOUR, 1)
    assert found.data["start"] == MONDAY_S + 200 * HOUR


def test_two_stuck_stretches():
    """Of two such stretches the longer is told, and that there are two."""
    power = house()
    power[100:130], power[300:350] = 777, 888
    (found,) = stuck(channel(power))
    assert (found.data["value"], found.data["count"]) == (888, 2)


def test_steady_nights_are_no_fault():
    """A meter that counts whole tenths of a kWh reads the same all through every night: the record's own habit."""
    power = np.round(house() / 100) * 100
    hours = np.arange(len(power)) % 24
    power[(hours < 6) | (hours > 22)] = 200
    assert stuck(channel(power)) == []


def test_empty_house_with_coarse_readings_is_no_fault():
    """Where readings of that size repeat nearly always, a long stretch of them is no surprise, even where it comes once."""
    power = np.full(28 * DAY, 100.0)
    power[::9] = 3000
    power[300:400] = 100
    assert stuck(channel(power)) == []


@pytest.mark.parametrize("value", [0.0, float("nan")])
def test_nought_and_nothing_are_not_stuck(value):
    """A week without use, or without a reading, is no stuck reading; nought has its own rule."""
    power = house()
    power[200:368] = value
    assert stuck(channel(power)) == []
    assert codes(dead(channel(power))) == ([] if np.isnan(value) else ["record.nought"])


def test_stuck_energy_is_told_as_it_stands_in_the_file():
    """0.731 kWh in an hour is 731 W; the file says 0.731 kWh, and so does the finding."""
    power = house()
    power[200 : 200 + 168] = 731
    made = channel(power, raw=power / 1000, form=Form.ENERGY)
    (found,) = stuck(replace(made, meaning=replace(made.meaning, unit="kWh", factor=1000.0)))
    assert (found.data["value"], found.data["unit"]) == (0.731, "kWh")
    (found,) = stuck(channel(power, raw=np.cumsum(power), form=Form.REGISTER))
    assert (found.data["value"], found.data["unit"]) == (731, "W")


def test_dead_meter():
    """109 hours of nought in a record that never falls below 200 W are told with their start and length."""
    power = house()
    power[200:309] = 0
    (found,) = dead(channel(power))
    assert (found.data["lasted"], found.data["start"], found.data["count"]) == (109 * HOUR, MONDAY_S + 200 * HOUR, 1)
    assert float(found.data["low"]) >= 200


def test_idle_supplies_are_not_dead():
    """A power cut of ten hours, what is idle every night or by season, generation, and quantities that may be nought."""
    power = house()
    power[200:210] = 0
    assert dead(channel(power)) == []
    nights = house()
    nights[np.arange(len(nights)) % 24 < 7] = 0
    nights[200:309] = 0
    assert dead(channel(nights)) == []
    season = np.full(28 * DAY, 800.0)
    season[: 10 * DAY] = 0
    assert dead(channel(season)) == []
    power[200:309] = 0
    assert dead(channel(power, direction=Direction.EXPORT)) == []
    assert dead(channel(power, quantity=Quantity.REACTIVE_POWER)) == []
    # Beside gaps too little is left to tell what is usual.
    power[309:] = np.nan
    power[:150] = np.nan
    assert dead(channel(power)) == []


def test_short_stretch_and_short_record():
    """Five hours of one reading may be; and a record of a day shows no habit."""
    power = house()
    power[200:205] = 1234
    assert stuck(channel(power)) == []
    assert stuck(channel(np.full(20, 5.0))) == []
    assert stuck(channel(np.ones(500), quantity=Quantity.CONTACT, form=Form.STATE)) == []


def test_lone_spikes():
    """Three single readings of 20 kW above 4 kW are told; two side by side are a load; one alone has its own rule."""
    power = house()
    power[[50, 200, 400]] = 20_000
    (found,) = spikes(channel(power))
    assert (found.data["count"], found.data["value"], found.data["start"]) == (3, 20_000, MONDAY_S + 50 * HOUR)
    power = house()
    power[[50, 51, 200]] = 20_000
    assert spikes(channel(power)) == []
    power = house()
    power[50] = 20_000
    assert spikes(channel(power)) == []
    assert spikes(channel(house())) == []


def test_spikes_need_something_to_compare():
    """Voltage, short records and records of nought but spikes are not judged."""
    assert spikes(channel(house(), quantity=Quantity.VOLTAGE)) == []
    assert spikes(channel(house(days=2))) == []
    power = np.zeros(28 * DAY)
    power[[5, 50]] = 100
    assert spikes(channel(power)) == []
    amps = house() / 230
    amps[70] = 300
    assert codes(spikes(channel(amps, quantity=Quantity.CURRENT))) == ["record.spikes"]


@pytest.mark.parametrize(
    ("quantity", "usual", "odd"),
    [
        (Quantity.VOLTAGE, 230, -5),
        (Quantity.POWER_FACTOR, 0.9, 1.4),
        (Quantity.HUMIDITY, 50, 130),
        (Quantity.APPARENT_POWER, 500, -20),
        (Quantity.TEMPERATURE, 20, -127),
    ],
)
def test_impossible(quantity, usual, odd):
    """A reading that the quantity cannot take is told with its value and time; the usual ones are not."""
    values = np.full(48, float(usual))
    assert impossible(seen(channel(values, quantity=quantity))) == []
    values[7] = odd
    (found,) = impossible(seen(channel(values, quantity=quantity)))
    assert (found.data["count"], found.data["value"], found.data["start"]) == (1, odd, MONDAY_S + 7 * HOUR)


def test_active_power_above_apparent():
    """Active power is at most the apparent one: twice of it cannot be; a few per cent or one reading are not told."""
    power = house()
    apparent = channel(power, "VA", Quantity.APPARENT_POWER)
    assert codes(impossible(seen(channel(2 * power), apparent))) == ["record.impossible"]
    assert impossible(seen(channel(1.03 * power), apparent)) == []
    one = power.copy()
    one[5] *= 3
    assert impossible(seen(channel(one), apparent)) == []
    assert impossible(seen(channel(2 * power, direction=Direction.EXPORT), apparent)) == []
    assert impossible(seen(channel(2 * power, phase=Phase.L1), apparent)) == []


def test_cut_off_range():
    """A course that ends flat at 1,500 W, which it passes in many hours, is cut off."""
    (found,) = clipped(channel(np.minimum(house(60), 1500)))
    assert found.data["value"] == 1500
    assert found.data["count"] == int((house(60) >= 1500).sum())


def test_what_is_not_cut_off():
    """Neither an open course, nor a heater that is on or off, nor a voltage, nor a column of one number is cut off."""
    assert clipped(channel(house(60))) == []
    heater = np.where(np.arange(1440) % 3 == 0, 2000.0, 0.0)
    heater[::7] = 700
    assert clipped(channel(heater)) == []
    assert clipped(channel(np.minimum(house(60), 1500), quantity=Quantity.VOLTAGE)) == []
    assert clipped(channel(np.full(100, 5.0))) == []
    assert clipped(channel(np.zeros(100))) == []


def test_beyond_the_transformer():
    """A transformer of 10 A keeps its class up to 12 A: 12.1 A is told, 12 A is not, and no rating says nothing."""
    amps = np.array([5.0, 12.1, 12.0, np.nan, 3.0])
    held = channel(amps, "L1 A", Quantity.CURRENT, Phase.L1)
    (found,) = beyond_transformer(held, {"L1 A": 10.0})
    assert (found.data["count"], found.data["value"], found.data["start"]) == (1, 12.1, MONDAY_S + HOUR)
    assert beyond_transformer(held, {"L1 A": 11.0}) == []
    assert beyond_transformer(held, {}) == []
    assert beyond_transformer(channel(amps, "L1 A"), {"L1 A": 10.0}) == []
