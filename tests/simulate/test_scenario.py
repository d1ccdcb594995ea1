"""What a scenario, its drivers and its supply must be made of, and what is said where they are not."""

from dataclasses import replace

import numpy as np
import pytest
from pydantic import ValidationError

from tests.simulate.sites import GRID, heater, motor, scenario
from wattwright.core.errors import InputError, OwnFault
from wattwright.core.fields import Held
from wattwright.core.quantity import Phase
from wattwright.simulate.columns import V_CONDUCTORS
from wattwright.simulate.drivers import steady
from wattwright.simulate.run import simulate
from wattwright.simulate.scenario import SiteLoad
from wattwright.simulate.supply import Battery, Connection, Generator, Inverter, Supply

THREE = Supply(connection=Connection(system="three-phase"))
SPLIT = Supply(connection=Connection(system="split-phase", voltage_v=Held(120.0)))
INVERTER = Inverter(rating_va=Held(5000.0))
BATTERY = Battery(capacity_wh=Held(5000.0), charge_w=Held(2500.0), discharge_w=Held(2500.0))


def test_drivers_of_other_shapes_are_refused() -> None:
    """A row too few in any of the arrays is our own fault, and is told by its name."""
    good = steady(5, 1)
    for name in ("rest_w", "rest_var", "weather", "linked", "volts", "pv_w", "beside_w"):
        with pytest.raises(OwnFault, match=name):
            replace(good, **{name: getattr(good, name)[:-1]})
    with pytest.raises(OwnFault, match="uses"):
        replace(good, uses=good.uses[:, :-1])


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"fine_s": 90.0}, "steps"),
        ({"step_s": 30.0}, "drivers"),
        ({"loads": (SiteLoad(heater("b", 1000), Phase.L1),)}, "control"),
        ({"drivers": steady(60, 2)}, "drivers.uses"),
        ({"loads": (SiteLoad(heater("a", 1000), Phase.LEG_A),)}, "loads.a.phase"),
        ({"supply": THREE}, "drivers.volts"),
        ({"drivers": steady(60, 1, volts=(230.0, 230.0))}, "drivers.volts"),
    ],
)
def test_a_contradiction_is_told_with_its_place(change, where) -> None:
    """Steps, ids, conductors and lengths that do not agree are refused with the field's name."""
    with pytest.raises(InputError) as told:
        replace(scenario([heater("a", 1000)]), **change)
    assert told.value.faults[0].place.field == where


def test_an_unknown_conductor_is_the_worst_one() -> None:
    """Of three conductors the one with the most on it otherwise; a load on all of them is spread evenly."""
    drivers = steady(10, 3, volts=(230.0,) * 3)
    drivers.rest_w[:, 1] = 1500.0
    loads = [SiteLoad(heater("a", 1000), Phase.L3), SiteLoad(heater("b", 600)), SiteLoad(heater("c", 300), Phase.TOTAL)]
    of = scenario(loads, drivers=drivers, supply=THREE)
    assert of.phases == (Phase.L3, Phase.L2, Phase.TOTAL)
    run = simulate(of)
    assert run.phase_a[5] == pytest.approx(np.array([100.0, 2200.0, 1100.0]) / 230.0)
    assert run.peak_a[5] == pytest.approx(2200.0 / 230.0)


def test_a_load_between_the_legs_draws_on_both() -> None:
    """2400 W between two legs of 120 V are 10 A in each; 600 W on leg A are 5 A more there."""
    loads = [SiteLoad(heater("a", 2400), Phase.TOTAL), SiteLoad(heater("b", 600), Phase.LEG_A)]
    of = scenario(loads, drivers=steady(5, 2, volts=(120.0, 120.0)), supply=SPLIT)
    assert of.site().v[V_CONDUCTORS] == 2
    assert simulate(of).phase_a[2, :2] == pytest.approx([15.0, 10.0])


def test_nothing_turns_only_where_nothing_can() -> None:
    """Long steps alone are taken on a site without rules, delays and limits."""
    plain = scenario([heater("a", 1000)])
    assert plain.nothing_turns
    rated = Supply(connection=Connection(rating_a=Held(20.0)))
    assert not replace(plain, supply=rated).nothing_turns
    assert not scenario([heater("a", 1000)], {"actuator": [{"load": "a", "restart_after": "5 s"}]}).nothing_turns
    assert not scenario([heater("a", 1000)], {"actuator": [{"load": "a", "fail_safe": "open"}]}).nothing_turns
    assert not scenario([motor("a", 1000), motor("b", 500)]).nothing_turns


@pytest.mark.parametrize(
    "make",
    [
        lambda: Connection(withstands=((1.5, 10.0), (1.2, 60.0))),
        lambda: Connection(withstands=((0.9, 10.0),)),
        lambda: Inverter(rating_va=Held(5000.0), withstands=((1.2, 0.0),)),
        lambda: Battery(capacity_wh=Held(1.0), charge_w=Held(1.0), discharge_w=Held(1.0), floor=Held(0.3), back=Held(0.2)),
        lambda: Generator(rating_w=Held(1000.0), starts_at=Held(0.8), stops_at=Held(0.5)),
        lambda: Supply(connection=Connection(), battery=BATTERY),
        lambda: Supply(connection=Connection(), inverter=Inverter(rating_va=Held(5000.0), role="stand-alone")),
    ],
)
def test_a_supply_that_cannot_be_is_refused_with_a_next_step(make) -> None:
    """Each contradiction names what is wanted and, behind the bar, what to do."""
    with pytest.raises(ValidationError, match=r"\|"):
        make()


def test_a_plain_supply_has_no_limits() -> None:
    """Without rating, inverter, battery and generator everything is nought."""
    assert not GRID.compiled().v[[0, 3, 8, 16]].any()
