"""The loop: pieces, instants, what is kept, and a run in several stretches."""

import importlib
import pkgutil
from dataclasses import replace
from math import log

import numpy as np
import pytest

from tests.simulate.sites import heater, motor, room, same, scenario, switchings
from wattwright import loads
from wattwright.core.quantity import Phase
from wattwright.loads.columns import S_FEW
from wattwright.simulate.columns import X_IMPORT_J, X_SITE_J
from wattwright.simulate.drivers import steady
from wattwright.simulate.run import simulate
from wattwright.simulate.scenario import SiteLoad

pytestmark = pytest.mark.kernel
PROTECTED = {
    "shedding": {
        "pick_up": "9 kW", "restore": "6 kW", "order": ["a", "b"], "delay": "2 s", "next_after": "8 s", "back_after": "5 min",
        "measured_every": "2 s", "reported_after": "1 s",
    }
}  # fmt: skip


def test_thermostat_cycles_as_the_exact_solution_says() -> None:
    """Period and duty of a room with a thermostat are those of the first-order body: tau ln of the ways to go, to 1e-9."""
    # tau = 2 kWh/K / 200 W/K = 10 h; between 19.5 and 20.5 degC, drifting to 35 degC heated and to 5 degC at rest.
    heats_s, cools_s = 36_000 * log(15.5 / 14.5), 36_000 * log(15.5 / 14.5)
    of = scenario([room()], steps=3 * 1440, drivers=steady(3 * 1440, 1, air_c=5.0))
    begins = [at for at, _, what, _ in switchings(of, simulate(of)) if what == "starts"]
    assert np.diff(begins) == pytest.approx(heats_s + cools_s, rel=1e-9)


def test_loads_are_shed_at_the_instants_worked_out_by_hand() -> None:
    """Seen 1 s after each measurement on even seconds, 2 s of delay, the next 8 s later, back after 5 min below."""
    drivers = steady(20, 2, rest_w=1500.0)
    # Too much from the second minute on for five minutes: 1500 + 4000 + 3000 W and 3000 W more.
    drivers.rest_w[2:7, 0] += 3000.0
    of = scenario([heater("a", 4000), heater("b", 3000)], PROTECTED, drivers=drivers)
    moves = [(at, load, what) for at, load, what, _ in switchings(of, simulate(of)) if "contact" in what]
    # The step at 120 s is measured at 122 s, since what flowed before 120 s was measured then; seen at 123 s, gone at 125 s;
    # with 7500 W left nothing else goes. From 420 s on 4500 W: measured at 422 s, seen at 423 s, back at 723 s.
    assert moves == [(125.0, "a", "contact opens"), (723.0, "a", "contact closes")]


def test_a_clock_cuts_a_step_at_its_instant() -> None:
    """A repeat-cycle timer of 90 s on and 45 s off is followed to the second in steps of a minute."""
    timer = {"rule": [{"id": "t", "load": "m", "kind": "repeat-cycle timer", "on_for": "90 s", "off_for": "45 s"}]}
    of = scenario([motor("m", 1000)], timer, steps=9)
    run = simulate(of)
    moves = [at for at, _, what, cause in switchings(of, run) if "contact" in what and cause == "rule t"]
    assert moves == [90.0, 135.0, 225.0, 270.0, 360.0, 405.0, 495.0]
    # On for 90 of each 135 s: four times, to the end at 540 s.
    assert run.energy_j == pytest.approx([4 * 90 * 1000.0])
    assert run.loads_w[0, :4] == pytest.approx([1000.0, 500.0, 750.0, 750.0])


def test_energy_is_the_same_on_every_side() -> None:
    """What loads and the rest used, step by step, is what the supply counted, what came in, and what each load counted."""
    drivers = replace(steady(1440, 2, air_c=2.0, rest_w=700.0))
    of = scenario([room(), motor("pump", 800)], drivers=drivers)
    run = simulate(of)
    assert run.site_w == pytest.approx(700.0 + run.loads_w.sum(axis=0))
    assert run.site_w.sum() * 60.0 == pytest.approx(run.supply[X_SITE_J], rel=1e-12)
    assert run.supply[X_IMPORT_J] == pytest.approx(run.supply[X_SITE_J], rel=1e-12)
    assert run.loads_w.sum(axis=1) * 60.0 == pytest.approx(run.energy_j, rel=1e-12)


@pytest.mark.parametrize("stretch", [1, 7, 13])
def test_a_run_in_stretches_is_the_run_at_once(stretch) -> None:
    """Splitting a run after any number of steps changes nothing at all, and no event is lost where there are many."""
    drivers = steady(20, 3, rest_w=1500.0)
    drivers.rest_w[7:12, 0] += 3000.0
    drivers.grid[14:16] = False
    timer = {"rule": [{"id": "t", "load": "m", "kind": "repeat-cycle timer", "on_for": "2 s", "off_for": "1 s"}]}
    of = scenario([heater("a", 4000), heater("b", 3000), motor("m", 500)], {**PROTECTED, **timer}, drivers=drivers)
    whole = simulate(of)
    # Eighteen minutes with a supply, twenty rounds each, contact and motor on and off.
    assert len(whole.events) > 18 * 20 * 4
    assert same(whole, simulate(of, stretch=stretch))


def test_currents_hold_reactive_power_and_the_start() -> None:
    """A motor of 1700 W at 0.85 draws 2000 VA, and six times that while it starts: on its own conductor."""
    loads = [SiteLoad(motor("m", 1700), Phase.L1)]
    timer = {"rule": [{"id": "t", "load": "m", "kind": "repeat-cycle timer", "on_for": "5 min", "off_for": "5 min"}]}
    run = simulate(scenario(loads, {**timer}, steps=12))
    assert run.phase_a[0, 0] == pytest.approx(6 * 2000 / 230.0)
    assert run.phase_a[1, 0] == pytest.approx(2000 / 230.0)
    assert np.isnan(run.phase_a[:, 1:]).all()
    assert run.peak_va[10] == pytest.approx(6 * 2000)
    assert run.peak_w.max() == pytest.approx(1700.0)


def test_only_tanks_use_the_columns_that_are_not_kept_for_others() -> None:
    """What a piece is taken back to holds every column that a kind of load other than the tank writes."""
    names = [one.name for one in pkgutil.iter_modules(loads.__path__) if one.name.endswith("_kernels")]
    assert len(names) > 8
    for name in set(names) - {"tank_kernels"}:
        module = importlib.import_module(f"wattwright.loads.{name}")
        used = [value for column, value in vars(module).items() if column.startswith("S_") and isinstance(value, int)]
        assert all(column < S_FEW for column in used), name
