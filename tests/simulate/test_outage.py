"""Outages that begin at many instants: each is what the plain engine makes of the same course with the grid gone from there."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest

from tests.simulate.sites import heater, motor, room, scenario
from wattwright.core.errors import Cancelled, OwnFault
from wattwright.core.fields import Held
from wattwright.core.progress import Reporting
from wattwright.loads.columns import S_ENERGY_J
from wattwright.simulate.columns import X_DARK_S
from wattwright.simulate.drivers import steady
from wattwright.simulate.outage import outages
from wattwright.simulate.run import simulate
from wattwright.simulate.supply import Battery, Connection, Generator, Inverter, Supply

RULES = {
    "rules": [{"id": "t", "load": "heater", "kind": "time programme", "times": [{"on": dt.time(0, 20), "off": dt.time(3, 10)}]}],
    "shedding": {"pick_up": "3 kW", "restore": "2 kW", "order": ["heater", "room"]},
    "actuators": [{"load": "room", "min_off": "5 min"}],
}


def supply(**more):
    """A battery of 4 kWh behind an inverter of 5 kVA that carries the site."""
    told = {"charge_w": Held(2000.0), "discharge_w": Held(4000.0)}
    told |= {"reserve": Held(0.5), "floor": Held(0.1), "back": Held(0.2), "start": Held(0.5)}
    battery = Battery(capacity_wh=Held(4000.0), **told)
    inverter = Inverter(rating_va=Held(5000.0), role="carries the site in outages", idle_w=Held(20.0))
    return Supply(connection=Connection(), inverter=inverter, battery=battery, **more)


def course(steps=360):
    """Six hours with a heater that a clock switches, a room that is shed, a motor, and a rest of 400 W."""
    loads = [heater("heater", 1500.0), room("room", 2000.0), motor("pump", 300.0)]
    return scenario(loads, RULES, drivers=steady(steps, 3, rest_w=400.0, air_c=5.0), supply=supply())


def test_each_outage_is_that_of_the_plain_engine():
    """The same course with the grid gone from that step on, in one run: the same watts, charge and events to the last digit."""
    of, begins, steps = course(), (0, 45, 130, 200), 150
    made = outages(of, begins, steps, 0.5)
    assert [one.first for one in made] == list(begins)
    for one in made:
        grid = np.ones(len(of.drivers), np.bool_)
        grid[one.first :] = False
        plain = simulate(replace(of, drivers=replace(of.drivers, grid=grid)))
        mine = slice(one.first, one.first + steps)
        # With the grid there the battery stands at its reserve, as it is set to here.
        assert np.allclose(plain.charge_share[: one.first], 0.5, atol=1e-12)
        for name in ("site_w", "grid_w", "charge_share", "supplied"):
            assert np.array_equal(getattr(plain, name)[mine], getattr(one, name)), name
        assert np.array_equal(plain.loads_w[:, mine], one.loads_w)
        assert np.allclose(one.energy_j, plain.loads_w[:, mine].sum(axis=1) * of.step_s, rtol=1e-9)
        at = plain.events[:, 0]
        told = plain.events[(at >= one.first * of.step_s) & (at < (one.first + steps) * of.step_s)]
        assert np.allclose(told[:, 0] - one.first * of.step_s, one.events[:, 0])
        assert np.array_equal(told[:, 1:], one.events[:, 1:])
    assert any(one.dark_s > 0.0 for one in made)


def test_outages_leave_no_trace_in_one_another():
    """One of many is the same as it alone, and the sums are those of the outage."""
    of = course()
    alone, among = outages(of, (130,), 100, 0.5)[0], outages(of, (0, 45, 130), 100, 0.5)[2]
    assert all(np.array_equal(getattr(alone, name), getattr(among, name)) for name in alone.__dataclass_fields__)
    whole = simulate(replace(of, drivers=replace(of.drivers, grid=np.zeros(360, np.bool_))))
    (from_start,) = outages(of, (0,), 360, 0.5)
    assert from_start.dark_s == whole.supply[X_DARK_S]
    assert np.array_equal(from_start.energy_j, whole.loads[:, S_ENERGY_J])


def test_the_charge_is_what_was_asked():
    """From full it lasts longer than from the reserve; a site without a battery is dark at once, but for a generator."""
    of = course()
    (low,), (full,) = (outages(of, (45,), 200, share) for share in (0.5, 1.0))
    assert full.dark_s < low.dark_s
    assert full.charge_share[0] > low.charge_share[0]
    bare = replace(of, supply=Supply(connection=Connection()))
    (dark,) = outages(bare, (45,), 200, 0.0)
    assert dark.dark_s == 200 * 60.0
    assert dark.unserved_j == pytest.approx(400.0 * 200 * 60)
    helped = replace(of, supply=Supply(connection=Connection(), generator=Generator(rating_w=Held(6000.0))))
    (carried,) = outages(helped, (45,), 200, 0.0)
    assert carried.dark_s == pytest.approx(15.0)  # its delay


def test_outages_that_do_not_fit_are_refused():
    """Beyond the course, out of order, or when told to stop."""
    of = course(60)
    for begins in ((0, 50), (20, 10), (5, 5), (-1,)):
        with pytest.raises(OwnFault):
            outages(of, begins, 20, 0.5)

    with pytest.raises(Cancelled):
        outages(of, (0,), 20, 0.5, Reporting(lambda *_: None, lambda: True))
