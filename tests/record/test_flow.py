"""Negative import: export is told from a transformer clamped the wrong way round, on hand-made days."""

import numpy as np
import pytest

from tests.record.plant import DAY, HOUR, MONDAY_S, bell, channel, codes, house, seen
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.core.show import Show
from wattwright.record.faults.flow import flow

# The hours of these days are UTC; in Athens the clock is two hours on, so that noon is at ten.
NOON = 10.0


def of_phase(values, phase):
    return channel(values, f"{phase.value} kW", phase=phase)


def test_reversed_throughout():
    """A house whose every reading is negative generates nothing: reversed, with the line that turns it."""
    (found,) = flow(seen(channel(-house(), 'P "house" kW')))
    assert found.code == "record.reversed"
    assert found.data["line"] == 'turned = ["P \\"house\\" kW"]'
    assert "the whole supply" in found.says(Show())


def test_reversed_phase_is_told_with_what_the_others_do():
    """L2 backwards while L1 and L3 run forwards and there is voltage: L2 is named, and so are they."""
    volts = channel(np.full(28 * DAY, 230.0), "L2 V", Quantity.VOLTAGE, Phase.L2)
    parts = [of_phase(sign * house(name=p.value), p) for sign, p in ((1, Phase.L1), (-1, Phase.L2), (1, Phase.L3))]
    (found,) = flow(seen(*parts, volts))
    assert found.data["conductor"] == "conductor L2"
    assert found.data["beside"] == ", while L1 and L3 run forwards and voltage is there"


def test_reversed_in_the_total():
    """A total that is the sum as read holds the reversed conductor with the wrong sign, and is not told as undecided."""
    parts = [of_phase(sign * house(name=p.value), p) for sign, p in ((1, Phase.L1), (-3, Phase.L2), (1, Phase.L3))]
    total = channel(sum(part.series.values for part in parts), "Total kW")
    assert codes(flow(seen(*parts, total))) == ["record.reversed", "record.reversed-in-total"]
    right = channel(sum(np.abs(part.series.values) for part in parts), "Total kW")
    assert codes(flow(seen(*parts, right))) == ["record.reversed"]


def test_two_reversed_columns_share_one_line():
    """Each finding carries the line that turns both, so that whichever is copied is whole."""
    found = flow(seen(of_phase(-house(name="a"), Phase.L1), of_phase(-house(name="b"), Phase.L2)))
    assert [one.data["line"] for one in found] == ['turned = ["L1 kW", "L2 kW"]'] * 2


def test_turned_without_need():
    """A column that was turned and now runs backwards is taken out of the line; what was turned rightly stays in it."""
    wrong = channel(-house(name="a"), "L1 kW", phase=Phase.L1, factor=-1000.0)
    kept = channel(house(name="b"), "L2 kW", phase=Phase.L2, factor=-1000.0)
    (found,) = flow(seen(wrong, kept))
    assert found.data["line"] == 'turned = ["L2 kW"]'


def test_reversed_for_some_days():
    """Backwards from Saturday 11 January 06:00 for ten days, forwards before and after: told with both ends, to the hour."""
    power = house()
    first, last = 5 * DAY + 6, 15 * DAY + 6
    power[first:last] *= -1
    (found,) = flow(seen(channel(power)))
    assert found.code == "record.reversed-part"
    assert (found.data["start"], found.data["end"]) == (MONDAY_S + first * HOUR, MONDAY_S + last * HOUR)


def test_reversed_up_to_the_end():
    """A stretch that lasts to the end of the record ends there."""
    power = house()
    power[20 * DAY :] *= -1
    (found,) = flow(seen(channel(power)))
    assert found.data["end"] == MONDAY_S + 28 * DAY * HOUR


def test_export_of_the_day():
    """House less a bell at noon runs back at noon alone: export, a note."""
    (found,) = flow(seen(channel(house() - bell(noon=NOON))))
    assert found.code == "record.negative-export"
    assert found.data["energy"] == pytest.approx(-np.minimum(house() - bell(noon=NOON), 0).sum() / 1000)


def test_net_column_needs_no_note():
    """A column that is called net is meant to run both ways."""
    assert flow(seen(channel(house() - bell(noon=NOON), direction=Direction.NET))) == []


def test_generation_counted_backwards():
    """A meter of generation alone, every reading negative or nought, is no reversed transformer of a house."""
    assert codes(flow(seen(channel(-bell(noon=NOON))))) == ["record.negative-export"]


def test_reversed_site_with_generation():
    """Turned round, the night runs backwards and only the noon forwards: reversed, although there is generation."""
    assert codes(flow(seen(channel(bell(noon=NOON) - house())))) == ["record.reversed"]


def test_export_column_that_mirrors():
    """Negative readings that an export column shows too are export, at whatever hour."""
    power = house()
    power[5::7] = -500
    mirror = channel(np.maximum(-power, 0), "Export kW", direction=Direction.EXPORT)
    assert codes(flow(seen(channel(power), mirror))) == ["record.negative-export"]
    other = channel(house(name="other"), "Export kW", direction=Direction.EXPORT)
    assert codes(flow(seen(channel(power), other))) == ["record.negative"]


def test_office_that_is_reversed_is_no_sun():
    """Backwards from eight to four on working days alone: nothing sunny rests at weekends."""
    hours = np.arange(28 * DAY)
    at_work = (hours % 24 >= 6) & (hours % 24 < 14) & (hours // 24 % 7 < 5)
    assert codes(flow(seen(channel(np.where(at_work, -1500.0 - hours % 5, 0.0))))) == ["record.reversed"]


def test_backwards_in_the_evening_is_no_sun():
    """A hump about ten in the evening, where the zone is known, is not the sun's; without a zone it may be."""
    power = house() - bell(noon=20.0, wide=3)
    assert codes(flow(seen(channel(power)))) == ["record.negative"]
    assert codes(flow(seen(channel(power), zoned=False))) == ["record.negative-export"]


def test_small_offset():
    """A watt or two below nought on a meter of kilowatts is an offset."""
    power = house()
    power[::50] = -1
    (found,) = flow(seen(channel(power)))
    assert (found.code, found.data["lowest"]) == ("record.negative-offset", 1)


def test_undecided():
    """Some negative readings at any hour, or too few days, are told as before and left to the person."""
    power = house()
    power[3::5] *= -1
    assert codes(flow(seen(channel(power)))) == ["record.negative"]
    assert codes(flow(seen(channel(-house(days=2))))) == ["record.negative"]
    net = channel(power, direction=Direction.NET)
    assert flow(seen(net)) == []


def test_days_that_are_turned_here_and_there():
    """Turned days that do not follow one another are no change of a transformer."""
    power = house()
    for day in (3, 4, 9, 10):
        power[day * DAY : (day + 1) * DAY] *= -1
    assert codes(flow(seen(channel(power)))) == ["record.negative"]


def test_half_turned_days_beside_turned_ones():
    """Where other days run both ways too, no stretch is named."""
    power = house()
    power[3 * DAY : 6 * DAY] *= -1
    power[20 * DAY : 20 * DAY + 12] *= -1
    assert codes(flow(seen(channel(power)))) == ["record.negative"]


def test_steps_of_days_show_no_stretch():
    """A handful of days with some backwards is undecided."""
    power = house()[:80]
    power[24:48] *= -1
    assert codes(flow(seen(channel(power)))) == ["record.negative"]


def test_positive_import_is_silent():
    """Nothing negative, nothing told."""
    assert flow(seen(channel(house()))) == []
