"""A site's gaps settled by its registers, and the sum of its conductors: wired from the record to the figures."""

from dataclasses import replace

import numpy as np
import pytest

from tests.record.plant import ATHENS, HOUR, MONDAY_S, channel, house
from tests.record.test_registered import register
from wattwright.core.files import SourceFile
from wattwright.core.quantity import Phase
from wattwright.core.show import Show
from wattwright.demand.analyse import analyse
from wattwright.demand.json_form import demand_json
from wattwright.demand.site import register_spans, site_power
from wattwright.record.kinds import REGISTER_DAILY
from wattwright.record.record import Layout, Record, StampsMark

LAYOUT = Layout("utf-8", "", ",", "point", 0, 1, (), ("time",), "", StampsMark.START, "", "", ())
NAN = float("nan")


def record_of(*channels):
    return Record(SourceFile("meter.csv", 1, "0"), "Europe/Athens", 1, LAYOUT, channels, (), (), ())


def cut(power, first=100, last=112):
    held = np.array(power, np.float64)
    held[first:last] = NAN
    return held


def test_register_beside_the_power_settles_its_gap():
    """The total with the estimate is what the house used, to the register's last figure; the finding says what settled it."""
    power = house()
    record = record_of(channel(cut(power)), register(power, range(100, 112)))
    made = site_power(record)
    filled = made.repaired(ATHENS, known=register_spans(made, record))
    demand = analyse(record, ATHENS, power=filled)
    assert demand.summary.energy_kwh == pytest.approx(power.sum() / 1000)
    told = demand_json(demand, record, Show())
    assert told["estimated_kwh"] == pytest.approx(power[100:112].sum() / 1000)
    assert told["read_kwh"] == pytest.approx(np.delete(power, range(100, 112)).sum() / 1000)
    assert told["estimated_low_kwh"] == pytest.approx(told["estimated_kwh"], abs=0.002)
    note = next(f for f in demand.findings if f.code == "demand.filled")
    assert (note.data["gaps"], note.data["registered"]) == (1, 1)


def test_register_of_the_whole_settles_the_sum_of_conductors():
    """Gaps of three conductors are filled in their sum by the register of the whole."""
    parts = [house(name=str(i)) for i in range(3)]
    power = sum(parts)
    phases = (Phase.L1, Phase.L2, Phase.L3)
    channels = [channel(cut(part), p.value, phase=p) for part, p in zip(parts, phases, strict=True)]
    record = record_of(*channels, register(power, range(100, 112)))
    made = site_power(record, "conductors")
    assert made.channels == ("l1", "l2", "l3")
    filled = made.repaired(ATHENS, known=register_spans(made, record))
    assert filled.series.values.sum() == pytest.approx(power.sum())
    without = record_of(*channels)
    assert register_spans(site_power(without), without) == ()


def test_registers_say_nothing_of_power_both_ways_or_without_gaps():
    """A register that counts import alone cannot settle a power that runs back; without gaps there is nothing to settle."""
    power = house()
    record = record_of(channel(cut(power - 300)), register(power))
    assert register_spans(site_power(record), record) == ()
    whole = record_of(channel(power), register(power))
    assert register_spans(site_power(whole), whole) == ()
    made = site_power(whole)
    assert made.repaired(ATHENS) is made


def test_conductors_instead_of_a_wrong_total():
    """A total is left aside where a person asks for the conductors; with fewer than two it is no name of theirs."""
    one, two = (channel(house(name=p.value), f"{p.value} kW", phase=p) for p in (Phase.L1, Phase.L2))
    record = record_of(one, two, channel(house(), "Total kW"))
    assert site_power(record).channels == ("total-kw",)
    assert site_power(record, "conductors").series.values == pytest.approx(one.series.values + two.series.values)
    with pytest.raises(Exception, match='no channel "conductors"'):
        site_power(record_of(channel(house())), "conductors")


def test_estimates_without_a_known_band_are_said_to_have_none():
    """Ten days try too few like stretches for a long gap: energy is told, how far off it may be is not, and JSON has null."""
    record = record_of(channel(cut(house(days=10))))
    filled = site_power(record).repaired(ATHENS)
    demand = analyse(record, ATHENS, power=filled)
    assert "demand.filled-open" in [f.code for f in demand.findings]
    assert demand_json(demand, record, Show())["estimated_low_kwh"] is None
    assert filled.filled[0].start_s == MONDAY_S + 100 * HOUR


def test_a_register_that_is_the_power_counts_through_its_gap():
    """The total is what the register shows at its end less at its beginning; nothing else knows of the gap."""
    power = house()
    record = record_of(register(power, range(100, 112)))
    demand = analyse(record, ATHENS)
    # Read at the start of each hour, it says nothing of the last one.
    assert demand.summary.energy_kwh == pytest.approx(power[:-1].sum() / 1000, abs=0.002)
    # Without the readings 100 to 111 nothing is known of the twelve hours from each, nor of the hour before the first of them.
    assert demand.summary.registered_kwh == pytest.approx(power[99:112].sum() / 1000, abs=0.002)
    assert demand.summary.missing == 14
    assert demand.summary.mean_w == pytest.approx(np.delete(power[:-1], range(99, 112)).mean(), abs=1)
    (note,) = [f for f in demand.findings if f.code in ("demand.counted-in-gaps", "demand.incomplete")]
    assert note.code == "demand.counted-in-gaps"
    assert demand_json(demand, record, Show())["counted_in_gaps_kwh"] == pytest.approx(note.data["energy"], abs=1e-6)


def test_a_count_of_the_day_says_nothing_of_a_gap():
    """Where the count begins anew within the gap, its readings on both sides are of two days."""
    power = house()
    counting = record_of(register(power, range(100, 112)))
    daily = replace(counting, findings=(REGISTER_DAILY.at("columns", column="register", count=9, start=MONDAY_S),))
    assert analyse(daily, ATHENS).summary.registered_kwh == 0
    beside = record_of(channel(cut(power)), register(power, ()))
    assert analyse(beside, ATHENS).summary.registered_kwh == 0
