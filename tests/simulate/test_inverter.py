"""An inverter's efficiency by power: a draw and an even share, from the points of its data sheet."""

import numpy as np
import pytest
from hypothesis import given, strategies as st

from tests.simulate.sites import heater, scenario
from wattwright.core.fields import Held
from wattwright.simulate.columns import V_CHARGE_SHARE, V_DISCHARGE_SHARE, V_IDLE_W, X_DISCHARGE_J, X_LOST_J
from wattwright.simulate.drivers import steady
from wattwright.simulate.run import simulate
from wattwright.simulate.supply import Battery, Connection, Inverter, Supply


def inverter(*points, role="stand-alone"):
    return Inverter(rating_va=Held(4000.0), role=role, by_power=points)


@given(
    draw=st.floats(0.001, 0.05),
    ratio=st.floats(1.001, 1.2),
    shares=st.lists(st.floats(0.05, 1.0), min_size=2, max_size=6, unique=True),
)
def test_points_of_a_draw_and_a_share_give_both_back(draw, ratio, shares):
    """Efficiencies worked out by hand from output / (draw + ratio x output) are told as what they were made of."""
    rising = sorted(round(one, 3) for one in shares)
    if len(set(rising)) < 2:
        rising = [0.1, 1.0]
    made = inverter(*((one, one / (draw + ratio * one)) for one in sorted(set(rising))))
    assert made.losses == pytest.approx((draw / ratio, ratio), rel=1e-6)


def test_without_points_nothing_is_added():
    """The battery's own efficiencies then hold the inverter's."""
    assert inverter().losses == (0.0, 1.0)


def test_points_that_rise_with_no_draw_are_an_even_share():
    """Where the line would begin below nought, all of it is share: the same efficiency at every power."""
    draw, ratio = inverter((0.2, 0.97), (1.0, 0.93)).losses
    assert draw == 0.0
    assert 1.03 < ratio < 1.08


@pytest.mark.parametrize("points", [((0.5, 0.9),), ((0.5, 0.9), (0.1, 0.8)), ((0.1, 0.0), (1.0, 0.9)), ((0.1, 0.9), (1.5, 0.9))])
def test_points_are_whole_and_in_order(points):
    """One alone, shares that fall, an efficiency of nought and more than the rating are refused with a sentence."""
    with pytest.raises(ValueError, match="data sheet"):
        inverter(*points)


@pytest.mark.kernel
def test_little_power_costs_more_of_it():
    """An hour of 200 W and one of 3 kW from a battery: what is lost is what the data sheet says, by hand."""
    points = ((0.05, 0.05 / (0.01 + 1.04 * 0.05)), (1.0, 1.0 / (0.01 + 1.04)))
    battery = Battery(
        capacity_wh=Held(9000.0), charge_w=Held(4000.0), discharge_w=Held(4000.0), charge_efficiency=Held(1.0),
        discharge_efficiency=Held(1.0), start=Held(1.0),
    )  # fmt: skip
    supply = Supply(connection=Connection(), battery=battery, inverter=inverter(*points))
    v = supply.compiled().v
    assert v[V_IDLE_W] == pytest.approx(40.0 / 1.04)
    assert v[[V_CHARGE_SHARE, V_DISCHARGE_SHARE]] == pytest.approx([1 / 1.04] * 2)
    for watts in (200.0, 3000.0):
        of = scenario([heater("h", watts)], supply=supply, drivers=steady(60, 1))
        run = simulate(of)
        taken_j = float(run.supply[X_DISCHARGE_J]) * 1.04
        assert taken_j == pytest.approx((0.01 * 4000.0 + 1.04 * watts) * 3600.0)
        assert run.supply[X_LOST_J] == pytest.approx(taken_j - watts * 3600.0)
    assert np.isfinite(v).all()
