"""Conductors taken for one another, copies, and parts that do not make the whole: known by trigonometry and arithmetic."""

import numpy as np
import pytest

from tests.record.plant import DAY, HOUR, MONDAY_S, channel, codes, house, seen
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.record.faults.copies import copies, not_the_sum
from wattwright.record.faults.phases import crossed, exchanged, exchanged_from
from wattwright.record.record import Form

THREE = (Phase.L1, Phase.L2, Phase.L3)


def measured(turns, factor=0.95):
    """Power, voltage and current of three conductors; each power is of a voltage turned by so many degrees."""
    out = []
    for phase, degrees in zip(THREE, turns, strict=True):
        amps = house(name=phase.value) / 230 / factor
        power = 230 * amps * np.cos(np.arccos(factor) + np.radians(degrees))
        out += [
            channel(power, f"{phase.value} W", phase=phase),
            channel(np.full(len(amps), 230.0), f"{phase.value} V", Quantity.VOLTAGE, phase),
            channel(amps, f"{phase.value} A", Quantity.CURRENT, phase),
        ]
    return out


def test_crossed():
    """With the voltages of L1 and L2 exchanged the ratios are cos(18.2 + 120) = -0.75 and cos(18.2 - 120) = -0.20."""
    (found,) = crossed(seen(*measured((120, -120, 0))))
    assert (found.data["conductors"], found.data["ratios"]) == ("L1 and L2", "-0.75, -0.20")


@pytest.mark.parametrize("turns", [(0, 0, 0), (180, 0, 0), (120, 0, 0)])
def test_not_crossed(turns):
    """Sound meters, a reversed transformer, and one odd conductor alone are not told as crossed."""
    assert crossed(seen(*measured(turns))) == []


def test_crossed_needs_all_three_quantities():
    """Without voltages, or with too little current, no ratio can be formed."""
    held = measured((120, -120, 0))
    assert crossed(seen(*(c for c in held if c.meaning.quantity is not Quantity.VOLTAGE))) == []
    still = [channel(np.zeros(100), c.column, c.meaning.quantity, c.meaning.phase) for c in held]
    assert crossed(seen(*still)) == []


def test_exchanged_columns():
    """With the names of the powers of L1 and L3 exchanged each follows the other's current."""
    order = [np.random.default_rng(i).permutation(28 * DAY) for i in (1, 2, 3)]  # habits would make all conductors alike
    held = [channel(c.series.values[order[i // 3]], c.column, c.meaning.quantity, c.meaning.phase)
            for i, c in enumerate(measured((0, 0, 0)))]  # fmt: skip
    one, three = held[0], held[6]
    mixed = [channel(three.series.values, "L1 W", phase=Phase.L1), *held[1:6]]
    mixed += [channel(one.series.values, "L3 W", phase=Phase.L3), *held[7:]]
    found = exchanged(seen(*mixed))
    assert [(f.data["column"], f.data["other"]) for f in found] == [("L1 W", "L3"), ("L3 W", "L1")]
    assert exchanged(seen(*held)) == []


def test_exchanged_needs_readings():
    """One conductor, a handful of readings, or currents that stand still show nothing."""
    held = measured((0, 0, 0))
    assert exchanged(seen(*held[:3])) == []
    short = [channel(c.series.values[:10], c.column, c.meaning.quantity, c.meaning.phase) for c in held]
    assert exchanged(seen(*short)) == []
    still = [channel(np.full(100, 5.0), c.column, c.meaning.quantity, c.meaning.phase) for c in held]
    assert exchanged(seen(*still)) == []


def test_exchanged_from_a_day():
    """A conductor of 200 W base load and one of 700 W that change places on the fifteenth day."""
    low, high = house(name="a"), house(name="b", base=700)
    cut = 14 * DAY
    one = channel(np.concatenate([low[:cut], high[cut:]]), "L1 W", phase=Phase.L1)
    other = channel(np.concatenate([high[:cut], low[cut:]]), "L2 W", phase=Phase.L2)
    (found,) = exchanged_from(seen(one, other))
    assert (found.data["column"], found.data["other"]) == ("L1 W", "L2 W")
    assert found.data["start"] == MONDAY_S + cut * HOUR


def test_not_exchanged():
    """Conductors that keep their places, or of which one alone changes, are not told; nor short or coarse records."""
    low, high = house(name="a"), house(name="b", base=700)
    as_l = [channel(x, f"L{i + 1} W", phase=THREE[i]) for i, x in enumerate((low, high))]
    assert exchanged_from(seen(*as_l)) == []
    grown = channel(np.concatenate([low[: 14 * DAY], high[14 * DAY :]]), "L1 W", phase=Phase.L1)
    assert exchanged_from(seen(grown, as_l[1])) == []
    few = [channel(c.series.values[: 8 * DAY], c.column, phase=c.meaning.phase) for c in as_l]
    assert exchanged_from(seen(*few)) == []
    daily = [channel(c.series.values[:30], c.column, phase=c.meaning.phase, step_s=86_400) for c in as_l]
    assert exchanged_from(seen(*daily)) == []


def test_scaled_copy():
    """Twice the same conductor is a copy with its ratio; so is the very same column a second time."""
    one = channel(house(), "L1 W", phase=Phase.L1)
    (found,) = copies(seen(one, channel(2 * house(), "L2 W", phase=Phase.L2)))
    assert (found.data["column"], found.data["ratio"]) == ("L2 W", pytest.approx(2))
    assert found.data["left"] < 1e-9
    assert codes(copies(seen(one, channel(house(), "L2 W", phase=Phase.L2)))) == ["record.scaled-copy"]


def test_what_is_no_copy():
    """Different loads, a conductor that is the whole of a single-phase supply, few or still readings, other quantities."""
    total = channel(house())
    assert copies(seen(total, channel(house(name="b"), "L1 W", phase=Phase.L1))) == []
    assert copies(seen(total, channel(house(), "L1 W", phase=Phase.L1))) == []
    assert copies(seen(total, channel(house() / 230, "A", Quantity.CURRENT))) == []
    assert copies(seen(channel(house()[:20]), channel(house()[:20], "P2", phase=Phase.L2))) == []
    still = channel(np.full(100, 5.0), "P1")
    assert copies(seen(still, channel(np.full(100, 10.0), "P2"))) == []


def test_same_power_in_two_forms():
    """Energy and mean power of the same supply are the same twice, a note; a register beside its intervals is not told."""
    total = channel(house())
    energy = channel(house(), "Energy Wh", form=Form.ENERGY)
    assert codes(copies(seen(total, energy))) == ["record.same-twice"]
    register = channel(house(), "Register kWh", form=Form.REGISTER)
    assert copies(seen(total, register)) == []


def parts_and(total):
    return seen(*(channel(house(name=p.value), f"{p.value} W", phase=p) for p in THREE), channel(total, "Total W"))


def added(*signs):
    return sum(sign * house(name=p.value) for sign, p in zip(signs, THREE, strict=True))


@pytest.mark.parametrize(
    ("signs", "how"),
    [((1, -1, 1), "; it counts L2 with the other sign"), ((1, 1, 0), "; it leaves L3 out"), ((1.5, 1.5, 1.5), "")],
)
def test_total_that_is_no_sum(signs, how):
    """A total with one conductor turned or left out is told with which; any other with how far it is off."""
    (found,) = not_the_sum(parts_and(added(*signs)))
    assert found.data["how"] == how
    if signs[0] == 1.5:
        assert found.data["share"] == pytest.approx(1 / 3)


def test_total_without_signs():
    """A meter that adds amounts up gives more than the sum where one conductor runs backwards."""
    parts = [channel(s * house(name=p.value), f"{p.value} W", phase=p) for s, p in zip((1, -1, 1), THREE, strict=True)]
    (found,) = not_the_sum(seen(*parts, channel(added(1, 1, 1), "Total W")))
    assert found.data["how"] == "; it adds them up without their signs"


def test_sound_total():
    """A sum within 2 % is sound; without all conductors, or without readings, none can be held against it."""
    assert not_the_sum(parts_and(1.01 * added(1, 1, 1))) == []
    assert not_the_sum(seen(channel(house()), channel(house(name="x"), "L1 W", phase=Phase.L1))) == []
    assert not_the_sum(parts_and(np.zeros(28 * DAY))) == []
    legs = [channel(house(name=p.value), p.value, phase=p) for p in (Phase.LEG_A, Phase.LEG_B)]
    whole = sum(c.series.values for c in legs)
    assert not_the_sum(seen(*legs, channel(whole))) == []
    assert codes(not_the_sum(seen(*legs, channel(2 * whole)))) == ["record.not-the-sum"]
    export = channel(-house(), "Export", direction=Direction.EXPORT)
    assert not_the_sum(seen(*legs, export)) == []
