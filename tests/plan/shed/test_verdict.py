"""What must change: a change that is named is enough, a little more is not, and what cannot be mended is said."""

from dataclasses import replace

import numpy as np
import pytest

from tests.plan.shed.kit import grid, island, load, order_way, shedding, site
from wattwright.core.errors import OwnFault
from wattwright.core.fields import Held
from wattwright.plan.shed.chance import trip_share
from wattwright.plan.shed.overload import overloads
from wattwright.plan.shed.results import Change
from wattwright.plan.shed.spec import ShedGear
from wattwright.plan.shed.verdict import Asked, largest, rounded_down, verdict

LOADS = [load("boiler", 2500.0), load("heater", 2000.0)]


def asked(of, gear=None, tolerated=0.001):
    gear = gear or ShedGear()
    one, limit = order_way(of, gear), of.limits()[0]
    return Asked(of, limit, overloads(of, limit, 1, one.averaged_s()), one, tolerated, gear.fastest_s)


def judged(of, gear=None):
    return verdict(asked(of, gear))


def house(rest_w=2500.0, loads=LOADS, supply=None, **shed):
    """Boiler 2.5 kW on top of heater and rest takes 7 kW of 5 kVA: 1.4 times, borne for 10 s."""
    return site(loads, supply or island(), rest_w, shedding(**{"order": ["boiler", "heater"], **shed}))


def test_a_shorter_delay():
    """Reports every 4 s as latest values, link 0.05 s: of 10 s 5.95 s are left for the delay, in tenths 5.9 s."""
    of = house(measured_every="4 s", delay="8 s")
    found = judged(of, ShedGear(shows="latest value"))
    assert (found.status, found.reason) == ("change a setting", "late")
    assert found.changes[0] == Change("on-delay", 8.0, 5.9)
    now = asked(of, ShedGear(shows="latest value"))
    assert now.holds(replace(now.way, delay_s=5.9))
    assert not now.holds(replace(now.way, delay_s=6.1))


def test_a_quicker_report():
    """With a meter that can be set faster the interval is named: 10 - 0.05 s less a delay of 3 s, latest value: 6.9 s."""
    found = judged(house(measured_every="20 s", delay="3 s"), ShedGear(shows="latest value", fastest_s=Held(1.0)))
    assert found.changes == (Change("report every", 20.0, 6.9),)


def test_several_settings_together():
    """Where none is enough alone, each is told as far as it may go with the others at their quickest."""
    gear = ShedGear(shows="latest value", fastest_s=Held(5.0))
    found = judged(house(measured_every="20 s", delay="12 s"), gear)
    assert found.status == "change a setting"
    assert found.changes == (
        Change("report every", 20.0, 9.9, beside=("on-delay", "next after")),
        Change("on-delay", 12.0, 4.9, beside=("report every", "next after")),
        # A second from load to load is no hindrance here.
    )


def test_a_quicker_order_and_a_shorter_wait():
    """A small load before the large ones costs 12 s: either wait less than 10 s, or let what frees most go first."""
    of = house(order=["lamp", "heater", "boiler"], next_after="12 s", loads=[*LOADS, load("lamp", 100.0)])
    found = judged(of)
    by = {one.setting: one for one in found.changes}
    assert by["shed order"].loads == ("boiler", "heater", "lamp")
    assert by["next after"].upto < 10.0
    now = asked(of)
    assert now.holds(replace(now.way, next_s=by["next after"].upto))
    assert not now.holds(replace(now.way, next_s=by["next after"].upto + 0.2))


def test_a_meter_once_a_minute_cannot_protect():
    """10 s at 1.5 times and a report a minute: no setting helps; it would take a report every few seconds."""
    of = house(measured_every="60 s", reported_after="1 s")
    found = judged(of)
    assert (found.status, found.reason, found.changes) == ("cannot protect", "late", ())
    (meter,) = found.hardware
    now = asked(of)
    assert now.holds(now.way.reporting(meter.upto))
    assert not now.holds(now.way.reporting(meter.upto + 1.0))
    # 0.5 of 2.5 kW lie below the pick-up value: 12 s of the minute, 1 s for the report, 0.05 s for the contactor, and the minute.
    assert found.quickest_s == pytest.approx(13.05)
    assert found.slowest_s == pytest.approx(13.05 + 0.999 * 60.0)


def test_a_lower_pick_up_value_keeps_free():
    """The way round: at 2.5 kW of pick-up the boiler never comes on top of the heater any more."""
    of = house(measured_every="60 s", rest_w=500.0)
    found = judged(of)
    (lower,) = found.instead
    assert lower.setting == "pick up"
    shed = of.control.shedding.model_copy(update={"pick_up": f"{lower.upto} W"})
    other = replace(of, control=of.control.model_copy(update={"shedding": shed}))
    assert asked(other).holds(asked(other).way)


@pytest.mark.parametrize(
    ("of", "reason", "status"),
    [
        # The rest and the heater take 6.9 kW, below the pick-up value and above 5 kVA.
        (house(pick_up="7.2 kW", loads=[load("boiler", 2000.0), load("heater", 2400.0)]), "unseen", "change a setting"),
        # Only 100 W may be shed.
        (house(order=["lamp"], loads=[*LOADS, load("lamp", 100.0)]), "too little", "cannot protect"),
        # 12 kW on 5 kVA is not borne at all.
        (house(loads=[load("boiler", 9500.0)], order=["boiler"]), "beyond", "cannot protect"),
        # A start of 2.5 times its rating.
        (house(loads=[load("pump", 1000.0, start_va=9000.0, lasts_s=0.4)], order=["pump"]), "start", "cannot protect"),
    ],
)  # fmt: skip
def test_reasons(of, reason, status):
    """What cannot be mended by quickness is told by its own name; a pick-up value that lies too high is a setting."""
    found = judged(of)
    assert (found.reason, found.status) == (reason, status)
    if reason == "unseen":
        (lower,) = found.changes
        assert lower.setting == "pick up"
        assert found.instead == ()


def test_an_order_that_may_never_come():
    """Where a share of orders never comes that is told."""
    found = judged(house(measured_every="2 s"), ShedGear(command_loss=Held(1.0)))
    assert (found.reason, found.status, found.quickest_s) == ("never", "cannot protect", np.inf)


def test_amps_are_stepped_too():
    """A pick-up value in A is lowered in A."""
    of = house(
        quantity="current",
        pick_up="30 A",
        restore="9 A",
        supply=grid(20.0, withstands=((1.5, 5.0),)),
        rest_w=500.0,
        measured_every="9 s",
    )
    found = judged(of)
    lower = next(one for one in (*found.changes, *found.instead) if one.setting == "pick up")
    assert lower.upto < 20.0


def test_rounding_is_always_down():
    """Times are set in tenths, whole seconds or fives, never longer than they may be."""
    assert [rounded_down(one) for one in (0.07, 2.39, 9.99, 12.9, 64.9)] == [0.0, 2.3, 9.9, 12.0, 60.0]
    assert largest(lambda upto: upto <= 7.45, 20.0) == 7.4
    assert largest(lambda upto: False, 20.0) is None


def test_nothing_shed_is_a_fault_of_ours():
    """A verdict on an order that does not exist is asked by mistake."""
    of = house(measured_every="60 s")
    bare = replace(asked(of), site=replace(of, control=of.control.model_copy(update={"shedding": None})))
    with pytest.raises(OwnFault):
        verdict(bare)
    from wattwright.plan.shed import verdict as module

    with pytest.raises(OwnFault):
        list(module._pick_up(bare))


def test_tolerated_share_decides():
    """What trips in one event of five thousand is in time for one who tolerates one in a thousand, and not for a stricter one."""
    of = house(measured_every="9.951 s")
    gear = ShedGear(shows="latest value")
    now = asked(of, gear)
    assert 1e-5 < max(trip_share(now.way, each) for each in now.events) < 1e-3
    assert now.holds(now.way)
    assert not asked(of, gear, tolerated=1e-5).holds(now.way)
