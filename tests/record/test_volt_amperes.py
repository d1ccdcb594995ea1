"""Active power above voltage times current, and power triangles that do not close: known by definition."""

import numpy as np
import pytest

from tests.record.plant import channel, codes, house, seen
from wattwright.core.quantity import Phase, Quantity
from wattwright.record.faults.volt_amperes import beyond_volts_times_amps, unlike_apparent

THREE = (Phase.L1, Phase.L2, Phase.L3)


def conductors(currents_of=THREE, times=1.0):
    """Power at a power factor of 0.95, 230 V, and the current of another conductor where so ordered, rounded to 0.01 A."""
    powers = {phase: house(name=f"{phase.value} of three", base=60) for phase in THREE}
    out = []
    for phase, other in zip(THREE, currents_of, strict=True):
        amps = np.round(powers[other] / 230 / 0.95, 2)
        out += [
            channel(times * powers[phase], f"{phase.value} W", phase=phase),
            channel(np.full(len(amps), 230.0), f"{phase.value} V", Quantity.VOLTAGE, phase),
            channel(amps, f"{phase.value} A", Quantity.CURRENT, phase),
        ]
    return out


def test_exchanged_currents():
    """With the currents of L1 and L2 exchanged both powers are at times above theirs, and the two are named."""
    found = beyond_volts_times_amps(seen(*conductors((Phase.L2, Phase.L1, Phase.L3))))
    assert [one.data["column"] for one in found] == ["L1 W", "L2 W"]
    assert {one.data["how"] for one in found} == {"; with the currents of L1 and L2 exchanged every power can be"}


def test_sound_conductors_and_too_few_readings():
    """As named nothing is above anything; nor is it told of a day without readings, or without a voltage."""
    assert beyond_volts_times_amps(seen(*conductors())) == []
    held = conductors((Phase.L2, Phase.L1, Phase.L3))
    assert beyond_volts_times_amps(seen(*(c for c in held if c.meaning.quantity is not Quantity.VOLTAGE))) == []
    few = [channel(c.series.values[:12], c.column, c.meaning.quantity, c.meaning.phase) for c in held]
    assert beyond_volts_times_amps(seen(*few)) == []


def test_wrong_ratio():
    """Twice the power of every conductor is 2 x 0.95 = 1.9 times voltage times current."""
    found = beyond_volts_times_amps(seen(*conductors(times=2.0)))
    assert [one.data["conductor"] for one in found] == [" of L1", " of L2", " of L3"]
    assert all("it is 1.9 times as much all the time" in str(one.data["how"]) for one in found)


@pytest.mark.parametrize(("times", "said"), [(3.0, "several conductors"), (0.9, None)])
def test_total_beside_one_conductor(times, said):
    """Three times voltage times current is the power of three conductors; nine tenths are the power factor."""
    amps = house() / 230
    power = channel(times * 230 * amps)
    volts, current = channel(np.full(len(amps), 230.0), "V", Quantity.VOLTAGE), channel(amps, "A", Quantity.CURRENT)
    found = beyond_volts_times_amps(seen(power, volts, current))
    assert len(found) == (said is not None)
    assert all(str(said) in str(one.data["how"]) and one.data["conductor"] == "" for one in found)


def test_power_above_by_fits_and_starts():
    """Where no ratio and no exchange explains it, the readings are counted and nothing is named: 34 of 672, every twentieth."""
    amps = house() / 230
    watts = 230 * amps
    watts[::20] *= 2
    volts, current = channel(np.full(len(amps), 230.0), "V", Quantity.VOLTAGE), channel(amps, "A", Quantity.CURRENT)
    (found,) = beyond_volts_times_amps(seen(channel(watts), volts, current))
    assert (found.data["count"], found.data["how"]) == (34, "")


@pytest.mark.parametrize(("times", "told"), [(3.0, True), (0.8, True), (1.0, False), (1.3, False)])
def test_power_triangle(times, told):
    """3, 4 and 5 close; three times the apparent power or less than both cannot be, and 1.3 times may be harmonics."""
    power = house()
    held = [
        channel(power, "kW"),
        channel(power * 4 / 3, "kvar", Quantity.REACTIVE_POWER),
        channel(power * 5 / 3 * times, "kVA", Quantity.APPARENT_POWER),
    ]
    found = unlike_apparent(seen(*held))
    assert codes(found) == (["record.unlike-apparent"] if told else [])
    assert all(one.data["ratio"] == pytest.approx(times) for one in found)
    assert unlike_apparent(seen(*held[:2])) == []
