"""Overloads that can happen although the order watches."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings

from tests.plan.shed.kit import grid, island, load, order_way, shedding, site, sites, with_generator
from wattwright.core.errors import OwnFault
from wattwright.plan.shed.chance import trip_share
from wattwright.plan.shed.overload import Overload, Stage, by_themselves, everything, overloads, welded
from wattwright.simulate.supply import Connection, Supply


def plain_events(of, limit):
    """Every way in which one load can come on top of others, written out one after the other."""
    for new in of.loads:
        others = [one for one in of.loads if one is not new]
        for chosen in (each for count in range(len(others) + 1) for each in combinations(others, count)):
            before_w, before_var = of.power(chosen)
            seen, pick_up = float(of.seen(before_w, before_var)), of.pick_up
            # Above the pick-up value every load of the order is off and stays off.
            if seen >= pick_up and any(one.id in of.order for one in (*chosen, new)):
                continue
            running = [*chosen, new]
            watts, reactive = of.power(running)
            most = float(of.seen(watts, reactive))
            share = np.inf
            if most >= pick_up:
                share = (pick_up - seen) / (most - seen) if seen < pick_up else 0.0
            stages, left_w, left_var = [], watts, reactive
            for place, id_ in enumerate(of.order):
                if float(of.seen(left_w, left_var)) < pick_up:
                    break
                for one in (one for one in running if one.id == id_):
                    left_w, left_var = left_w - one.power_w, left_var - one.power_var
                    stages.append(Stage(id_, place, one.power_w, one.power_var, 0.0))
            yield Overload(
                limit, (new.id,), tuple(one.id for one in chosen), before_w, before_var, watts, reactive, share,
                float(limit.ratio(np.hypot(watts, reactive) + new.start_va)), new.lasts_s,
                float(limit.ratio(np.hypot(watts, reactive))), tuple(stages),
            )  # fmt: skip


@settings(max_examples=60)
@given(sites())
def test_no_worse_event_is_left_out(given_):
    """The events that are kept are as bad as the worst of all that can happen, written out one by one."""
    of, gear = given_
    one, limit = order_way(of, gear), of.limits()[0]
    kept = max(trip_share(one, each) for each in overloads(of, limit, 1, one.averaged_s()))
    assert max((trip_share(one, each) for each in plain_events(of, limit)), default=0.0) <= kept + 1e-3


def test_by_hand():
    """5 kW pick-up, 1.6 kW of rest: beside the boiler heater and pump may run (4.7 kW), and with it 7.1 kW on 5 kVA is 1.42."""
    of = site(
        [load("boiler", 2400.0), load("heater", 2000.0), load("pump", 1100.0)],
        island(),
        1600.0,
        shedding(order=["boiler", "heater"]),
    )
    worst = max(overloads(of, of.limits()[0]), key=lambda each: each.ratio)
    assert (worst.comes, set(worst.running)) == (("boiler",), {"heater", "pump"})
    assert worst.ratio == pytest.approx(7100 / 5000)
    # 300 W of the 2.4 kW lie below the pick-up value.
    assert worst.seen_share == pytest.approx(300 / 2400)
    assert [stage.load for stage in worst.stages] == ["boiler"], "4.7 kW are left, less than the pick-up value"
    assert float(worst.ratios(np.array([True]))) == pytest.approx(4700 / 5000)


def test_a_welded_contact_leaves_the_next():
    """Where the boiler does not open the order goes on to the heater, at its own place; it may run above the pick-up value."""
    of = site(
        [load("boiler", 2400.0), load("heater", 2000.0), load("pump", 1100.0)],
        island(),
        1600.0,
        shedding(order=["boiler", "heater"]),
    )
    worst = max(overloads(of, of.limits()[0]), key=lambda each: each.ratio)
    assert worst.comes == ("boiler",)
    events = welded(of, of.limits()[0], "boiler")
    assert all("boiler" in (*each.running, *each.comes) for each in events)
    left = max(events, key=lambda each: each.ratio)
    assert [(stage.load, stage.place) for stage in left.stages] == [("heater", 1)]
    # Boiler, rest and pump are 5.1 kW: nothing that may go is left, and still the pump can come.
    assert any(each.comes == ("pump",) and each.running == ("boiler",) and not each.stages for each in events)
    with pytest.raises(OwnFault):
        welded(site([load("boiler", 2400.0)], island()), of.limits()[0], "boiler")


def test_what_opens_by_itself():
    """Without the link only relays that are told to open do so, each after its own time; what nothing may interrupt stays."""
    boiler = {"load": "boiler", "fail_safe": "open", "lost_after": "20 s"}
    lift = {"load": "lift", "fail_safe": "open", "interrupt": "never"}
    loads = [load("boiler", 2400.0), load("heater", 2000.0), load("lift", 1100.0)]
    of = site(loads, island(), 1600.0, shedding(), actuator=[boiler, lift])
    worst = max(overloads(of, of.limits()[0]), key=lambda each: each.ratio)
    alone, opens_s = by_themselves(of, worst)
    assert [stage.load for stage in alone.stages] == ["boiler"]
    assert opens_s.tolist() == [20.0]


def test_interlocks_keep_loads_apart():
    """Of two loads of which only one may run neither comes on top of the other, and everything together counts the larger."""
    apart = {"interlock": [{"kind": "never both", "loads": ["boiler", "heater"]}]}
    of = site([load("boiler", 2400.0), load("heater", 2000.0), load("pump", 900.0)], grid(), 0.0, shedding(), **apart)
    for each in (*overloads(of, of.limits()[0]), *overloads(of, of.limits()[0], 2)):
        assert not {"boiler", "heater"} <= {*each.comes, *each.running}
    assert [one.id for one in everything(of)] == ["boiler", "pump"]


def test_conductors_count_for_themselves():
    """On three conductors shedding by the sum does not see that one of them is overloaded: 23 A on 20 A at 5.3 kW in all."""
    supply = Supply.model_validate({"connection": {"system": "three-phase", "rating": "20 A"}})
    loads = [load("boiler", 3220.0, phase=0, phases=3), load("heater", 2070.0, phase=0, phases=3)]
    summed = site(loads, supply, 0.0, shedding(pick_up="9 kW"))
    worst = max(overloads(summed, summed.limits()[0]), key=lambda each: each.ratio)
    assert worst.ratio == pytest.approx((3220 + 2070) / 230 / 20)
    assert worst.seen_share == np.inf
    seen = site(loads, supply, 0.0, shedding(quantity="current", pick_up="20 A", restore="15 A"))
    assert max(overloads(seen, seen.limits()[0]), key=lambda each: each.ratio).seen_share < 1.0


def test_a_rest_above_the_pick_up_value():
    """Where the rest alone is above the pick-up value the order always acts: a load that comes all the same is seen at once."""
    of = site([load("boiler", 2400.0)], grid(), 6000.0, shedding())
    (only,) = overloads(of, of.limits()[0])
    assert (only.seen_share, only.running) == (0.0, ())


def test_many_loads():
    """Of many loads the largest are tried; with all of them together every one counts."""
    loads = [load(f"l{k}", 100.0 + k) for k in range(15)]
    of = site(loads, grid(), 0.0, shedding(order=["l0"], pick_up="100 kW"))
    assert len(everything(of)) == 15
    worst = max(overloads(of, of.limits()[0]), key=lambda each: each.ratio)
    assert len(worst.running) == 12


def test_limits_of_a_supply():
    """A connection by its amps in each conductor, inverter and generator by their VA, a site without a grid without it."""
    both = site([], island(rating_a=25.0)).limits()
    assert [(one.name, one.rating, one.conductor_va) for one in both] == [
        ("connection", 25.0, 5750.0),
        ("inverter", 5000.0, 5000.0),
    ]
    assert [(one.name, one.rating) for one in site([], with_generator()).limits()] == [("generator", 5000.0)]
    assert site([], Supply(connection=Connection())).limits() == ()
