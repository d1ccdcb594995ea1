"""The site under its rules: loads that stay off without the grid, orders to shed set by a rating, lost links, welded contacts."""

from dataclasses import replace

import numpy as np
import pytest

from tests.supply.sizing.sites import scenario, way
from wattwright.control.rules import Control, in_unit
from wattwright.simulate.columns import CLOSES, OPENS
from wattwright.simulate.run import simulate
from wattwright.simulate.supply import Battery, Inverter, Supply
from wattwright.supply.sizing.way import BACK_SHARE, LOST_AFTER_S, SHED_SHARE, THERE_AFTER_S, Way, reference

BATTERY = Battery.model_validate({"capacity": "50 kWh", "charge_power": "9 kW", "discharge_power": "9 kW", "start": "90 %"})
INVERTER = Inverter.model_validate({"rating": "9 kVA", "role": "carries the site in outages"})


def carried(of, gone, linked=True):
    """The run of a site that is carried through an outage of the minutes ``gone``."""
    grid = np.ones(len(of.drivers), np.bool_)
    grid[gone] = False
    supply = Supply(connection=of.supply.connection, battery=BATTERY, inverter=INVERTER)
    drivers = replace(of.drivers, grid=grid, linked=np.full(len(grid), linked))
    return simulate(replace(of, supply=supply, drivers=drivers))


def test_loads_of_the_order_go_with_the_grid_and_come_back_after_it():
    """The pump runs from ten to two; the grid goes at eleven for an hour: off after the relay's delay, on a minute after."""
    site = way(("pump",), days=1)
    run = carried(site.under(9000.0), slice(660, 720))
    moves = [(at, what) for at, load, what, _ in run.events if load == 1 and what in (OPENS, CLOSES) and 600 * 60 < at < 800 * 60]
    assert moves == [(660 * 60 + LOST_AFTER_S, OPENS), (720 * 60 + THERE_AFTER_S, CLOSES)]
    assert run.supplied.min() == pytest.approx(1.0)
    assert run.loads_w[1, 661:720].max() == 0.0


def test_without_a_link_nobody_goes():
    """A command that reaches no contact leaves the pump as it was."""
    site = way(("pump",), days=1)
    run = carried(site.unlinked().under(9000.0), slice(660, 720), linked=False)
    assert run.loads_w[1, 661:720].min() == run.loads_w[1, 661:720].max()


def test_a_welded_contact_stays_fed():
    """The pump then runs day and night, and neither rule nor order names it."""
    site = way(("pump", "tank"), days=1).welded("pump")
    assert site.order == ("tank",)
    run = carried(site.under(9000.0), slice(660, 720))
    assert run.loads_w[1].min() == run.loads_w[1].max() == 1500.0


def test_an_order_that_is_there_keeps_its_loads_and_is_set_no_higher():
    """Alone loads are shed below the rating; an order of the rules keeps its turn, and what names a welded load goes."""
    control = Control.model_validate(
        {
            "shedding": {"pick_up": "3 kW", "restore": "2 kW", "order": ["tank", "pump"], "back_after": "120 s"},
            "interlock": [{"kind": "never both", "loads": ["tank", "pump"]}],
            "override": [{"load": "pump", "state": "on", "begins": "2025-03-03T01:00:00", "ends": "2025-03-03T02:00:00"}],
            "returns": ["pump", "tank"],
        }
    )
    site = Way(reference(scenario(1, control)), control, ("pump",), alone=True)
    plain = Way(site.scenario, Control(), ("pump",), alone=True)
    made = plain.shedding(4000.0)
    assert in_unit(made.pick_up, "site power") == pytest.approx(SHED_SHARE * 4000.0)
    assert in_unit(made.restore, "site power") == pytest.approx(BACK_SHARE * 4000.0)
    kept = site.shedding(9000.0)
    assert kept.order == ("tank", "pump")
    assert kept.pick_up == "3000 W"
    assert kept.back_s == 120.0
    welded = site.welded("pump")
    assert welded.control.shedding.order == ("tank",)
    assert not welded.control.interlocks
    assert not welded.control.overrides
    assert welded.control.returns == ("tank",)
    assert welded.welded("tank").control.shedding is None
    assert site.switched == ("tank", "pump")
    assert plain.fits(9000.0)
    assert not plain.fits(1000.0)
    assert {one.quantity for one in plain.held_off()} == {"state of charge"}
    assert {one.quantity for one in way(("pump",)).held_off()} == {"grid voltage"}
