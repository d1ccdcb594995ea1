"""What must hold on any site: relief within the stated time, interlocks, bounds of the battery, nothing drawn without supply."""

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from tests.control.strategies import seconds
from tests.simulate.sites import heater, scenario, switchings
from wattwright.control.columns import C_CLOSED
from wattwright.control.response import response
from wattwright.control.rules import Control
from wattwright.core.fields import Held
from wattwright.simulate.columns import X_IMPORT_J
from wattwright.simulate.drivers import steady
from wattwright.simulate.run import simulate
from wattwright.simulate.supply import Battery, Connection, Inverter, Supply

pytestmark = pytest.mark.kernel
LIMIT_W = 10_000.0
RATED_W = {"a": 4000.0, "b": 3000.0, "c": 2000.0}


@settings(max_examples=100, deadline=None)
@given(
    rest=st.lists(st.sampled_from([0.0, 2000.0, 5000.0, 9000.0, 9900.0]), min_size=4, max_size=25),
    interval=seconds(0, 3), report=seconds(0, 2), delay=seconds(0, 2), link=seconds(0, 2), min_off=seconds(0, 90),
    order=st.permutations("abc"), system=st.sampled_from(["site power", "current"]),
)  # fmt: skip
def test_the_site_is_relieved_within_the_response_time(rest, interval, report, delay, link, min_off, order, system) -> None:
    """Whatever the rest of the site does below the limit, the site is above it no longer than the response time and a piece."""
    told = {
        "shedding": {
            "quantity": system, "pick_up": "10 kW" if system == "site power" else "50 A",
            "restore": "6 kW" if system == "site power" else "30 A", "order": list(order), "delay": f"{delay} s",
            "next_after": "2 s", "back_after": "5 s", "measured_every": f"{interval} s", "reported_after": f"{report} s",
        },
        "actuator": [{"load": load, "link_delay": f"{link} s", "min_off": f"{min_off} s"} for load in "abc"],
    }  # fmt: skip
    steps = 20
    drivers = steady(len(rest), 3, volts=(200.0,))
    drivers.rest_w[:, 0] = rest
    supply = Supply(connection=Connection(voltage_v=Held(200.0)))
    loads = [heater(id_, watts) for id_, watts in RATED_W.items()]
    of = scenario(loads, told, drivers=drivers, step_s=float(steps), supply=supply)
    run = simulate(of)
    assert _longest_above_s(of, run, rest, steps) <= response(Control.model_validate(told), "abc").total_s + of.fine_s + 1e-6


def _longest_above_s(of, run, rest, step_s) -> float:
    """The longest time without a break at or above the limit, from the events alone."""
    changes = {float(k * step_s): None for k in range(len(rest))}
    changes.update({at: None for at, *_ in switchings(of, run)})
    fed, events, longest, since = set(), switchings(of, run), 0.0, None
    for at in [*sorted(changes), float(len(rest) * step_s)]:
        for when, load, what, _ in events:
            if when == at and what in ("starts", "stops"):
                (fed.add if what == "starts" else fed.discard)(load)
        k = min(int(at // step_s), len(rest) - 1)
        above = rest[k] + sum(RATED_W[load] for load in fed) >= LIMIT_W
        longest = max(longest, at - since) if since is not None else longest
        since = (at if since is None else since) if above and at < len(rest) * step_s else None
    return longest


@settings(max_examples=60, deadline=None)
@given(
    grid=st.lists(st.booleans(), min_size=5, max_size=20), takes_over=st.booleans(), run_on=seconds(0, 30),
    on=seconds(10, 45, 100), off=seconds(15, 70),
)  # fmt: skip
def test_interlocks_hold_through_the_whole_loop(grid, takes_over, run_on, on, off) -> None:
    """Never both of two, not even within a step; the third only while what it needs runs; nothing runs in an outage."""
    told = {
        "interlock": [
            {"kind": "never both", "loads": ["a", "b"], "takes_over": takes_over},
            {"kind": "needs", "loads": ["c", "b"], "run_on": f"{run_on} s"},
        ],
        "rule": [{"id": "t", "load": "a", "kind": "repeat-cycle timer", "on_for": f"{on} s", "off_for": f"{off} s"}],
    }
    drivers = steady(len(grid), 3)
    drivers.grid[:] = grid
    of = scenario([heater("a", 4000), heater("b", 3000), heater("c", 2000)], told, drivers=drivers)
    run = simulate(of)
    runs: set[str] = set()
    events = switchings(of, run)
    for at in sorted({one[0] for one in events}):
        for when, load, what, _ in events:
            if when == at and what in ("starts", "stops"):
                (runs.add if what == "starts" else runs.discard)(load)
        assert not {"a", "b"} <= runs
        assert "c" not in runs or "b" in runs or any(one[:3] == (at, "b", "stops") for one in events)
        assert not runs or grid[min(int(at // 60), len(grid) - 1)]
    assert not run.loads_w[:, ~np.array(grid)].any()
    assert set(run.contacts[:, C_CLOSED]) <= {0.0, 1.0}


def _with_battery(capacity_wh: float, sun, need):
    battery = Battery(
        capacity_wh=Held(capacity_wh), charge_w=Held(2000.0), discharge_w=Held(2000.0), reserve=Held(0.0), floor=Held(0.0),
        back=Held(0.1), start=Held(0.0),
    )  # fmt: skip
    drivers = steady(len(sun), 1)
    drivers.pv_w[:], drivers.rest_w[:, 0] = sun, need
    supply = Supply(connection=Connection(), inverter=Inverter(rating_va=Held(5000.0)), battery=battery)
    return simulate(scenario([heater("heater", 800.0)], drivers=drivers, supply=supply, step_s=300.0))


@settings(max_examples=40, deadline=None)
@given(
    sun=st.lists(st.floats(0.0, 4000.0), min_size=12, max_size=40), capacity_wh=st.floats(50.0, 3000.0),
    more_wh=st.floats(0.0, 3000.0), data=st.data(),
)  # fmt: skip
def test_more_battery_never_means_more_import(sun, capacity_wh, more_wh, data) -> None:
    """On a site with sun a larger battery imports no more; neither is ever fuller than full or emptier than empty.

    The load does not switch: what a switching takes and gives within one piece is netted, and pieces end where a battery turns.
    """
    need = data.draw(st.lists(st.floats(0.0, 3000.0), min_size=len(sun), max_size=len(sun)))
    small, large = _with_battery(capacity_wh, sun, need), _with_battery(capacity_wh + more_wh, sun, need)
    assert large.supply[X_IMPORT_J] <= small.supply[X_IMPORT_J] * (1.0 + 1e-9) + 1e-3
    for run in (small, large):
        assert run.charge_share.min() >= 0.0
        assert run.charge_share.max() <= 1.0


def test_a_site_without_a_grid_lives_on_sun_and_battery() -> None:
    """Stand-alone: nothing is imported, what no one takes is spilled, and an empty battery leaves it dark till it is back."""
    battery = Battery(capacity_wh=Held(1000.0), charge_w=Held(2000.0), discharge_w=Held(2000.0), start=Held(0.5), back=Held(0.3))
    supply = Supply(connection=Connection(), battery=battery, inverter=Inverter(rating_va=Held(3000.0), role="stand-alone"))
    drivers = steady(240, 1)
    drivers.pv_w[150:] = 1800.0
    of = scenario([heater("a", 600)], drivers=drivers, supply=supply)
    run = simulate(of)
    told = [(at, what, cause) for at, load, what, cause in switchings(of, run) if load == "supply"]
    assert run.supply[X_IMPORT_J] == 0.0
    # From 50 % to 10 % of 1 kWh at 95 %: 380 Wh, 38 min of 600 W. Back at 30 %: 200 Wh at 95 % and 1800 W, 421 s after 150 min.
    assert told[0] == (0.0, "another source", "the inverter or generator carries the site")
    assert told[1] == (pytest.approx(38 * 60, abs=1.0), "supply lost", "battery empty")
    assert told[2] == (pytest.approx(9000 + 200 / 0.95 / 1800 * 3600, abs=1.0), "supply back", told[0][2])
