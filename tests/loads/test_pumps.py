"""Pumps and motors against the affinity laws, the day's turnovers, and a plain twin."""

import pytest
from hypothesis import given, strategies as st
from pydantic import ValidationError

from tests.loads import plain_loads
from wattwright.core.fields import Held
from wattwright.loads.columns import P_POWER_FACTOR, P_START_RATIO, P_START_S, S_RUN_S, S_STARTS, S_UNMET, S_VALUE
from wattwright.loads.plain import Motor, Resistive
from wattwright.loads.pool_pump import PoolPump, filtered
from wattwright.loads.pump_kernels import P_FLOW_M3_S, S_FILTERED_M3, S_LONGEST_STILL_S, duty

pytestmark = pytest.mark.kernel


def pool(**given) -> PoolPump:
    """60 m3, 1.1 kW and 15 m3/h at full speed: the pool of the worked table."""
    wanted = {"rating_w": 1100.0, "pool_l": 60_000.0, "flow_m3_h": 15.0, **given}
    return PoolPump(
        **{key: value if key in ("flow_m3_h", "shut_off", "turnovers") else Held(value) for key, value in wanted.items()}
    )


@pytest.mark.parametrize(
    ("speed", "flow", "kw", "hours", "kwh"),
    [
        (1.0, 15.0, 1.1, 4.0, 4.40),
        (0.8, 12.0, 0.563, 5.0, 2.816),
        (0.7, 10.5, 0.377, 60 / 10.5, 1.1 * 0.343 * 60 / 10.5),
        (0.5, 7.5, 0.1375, 8.0, 1.10),
    ],
)
def test_affinity_laws(running, speed: float, flow: float, kw: float, hours: float, kwh: float) -> None:
    """Flow as the speed, power as its cube, energy of one turnover as its square (affinity laws, no height)."""
    load = running(pool(speed=speed).compiled("p"))
    assert load.params[0, P_FLOW_M3_S] * 3600 == pytest.approx(flow)
    used = load.run(hours * 3600, hours * 60)
    assert used / hours / 3.6e6 == pytest.approx(kw, abs=0.0005)
    assert used / 3.6e6 == pytest.approx(kwh, abs=0.0005)
    assert load.s[S_VALUE] == pytest.approx(1.0)


@given(speed=st.floats(0.3, 1.2), static=st.floats(0, 0.9), shut_off=st.floats(1.05, 2.5))
def test_duty_is_where_the_curves_meet(speed: float, static: float, shut_off: float) -> None:
    """Flow and power are those of the plain twin, which finds the meeting by halving; at full speed both are 1."""
    if shut_off * speed**2 <= static:
        assert duty(speed, static, shut_off) == (0.0, pytest.approx(0.5 * speed**3 * shut_off))
    elif shut_off * speed**2 > static + 0.01:
        assert duty(speed, static, shut_off) == pytest.approx(plain_loads.pump(speed, static, shut_off), rel=1e-12)
    assert duty(1.0, static, shut_off) == pytest.approx((1.0, 1.0))


def test_height_takes_from_the_saving() -> None:
    """With half the head in height, 80 % speed gives less than 80 % flow, and a turnover saves less than without height."""
    flow, power = duty(0.8, 0.5, 1.3)
    assert flow < 0.8
    assert power / flow > 0.64


def test_shares_filtered_are_those_of_perfect_mixing() -> None:
    """One to four turnovers filter 63.2, 86.5, 95.0 and 98.2 % of the water (Gage and Bidwell's relation)."""
    assert [100 * filtered(n) for n in (1, 2, 3, 4)] == pytest.approx([63.2, 86.5, 95.0, 98.2], abs=0.05)


def test_turnovers_are_reckoned_day_by_day(running) -> None:
    """Eight hours a day of 15 m3/h against three turnovers of 60 m3 leave 60 m3 short each day; more on a day helps no other."""
    load = running(pool(turnovers=3.0).compiled("p"))
    for _ in range(2):
        load.run(8 * 3600, use0=1.0)
        load.run(16 * 3600, closed=False)
    assert load.s[S_UNMET] == pytest.approx(2 * 60.0)
    load.run(24 * 3600)
    assert load.s[S_UNMET] == pytest.approx(2 * 60.0)
    assert load.s[S_FILTERED_M3] == pytest.approx(2 * 120 + 360)
    assert load.s[S_LONGEST_STILL_S] == 16 * 3600


def test_a_closed_pool_wants_nothing(running) -> None:
    """Out of season a still pump leaves nothing short, and a step over midnight is parted at it."""
    load = running(pool().compiled("p"))
    load.run(3 * 86_400, 7000, closed=False, use0=0.0)
    assert load.s[S_UNMET] == 0.0
    load.run(2 * 86_400, 43_000, closed=False, use0=1.0)
    # 37 steps of 7000 s end 200 s before midnight: those belong to a day that wants a little.
    assert load.s[S_UNMET] == pytest.approx(60.0 * (1 + 200 / 86_400))


def test_too_slow_a_pump_is_refused() -> None:
    """A pump that does not lift the water at its speed is no filter pump."""
    with pytest.raises(ValidationError, match="lifts"):
        pool(speed=0.5, static=0.6)


def test_motors_and_heaters_run_while_fed(running) -> None:
    """A plain load draws its rating while fed, standby beside it, and counts starts; a motor tells of its start."""
    motor = running(Motor(rating_w=Held(750.0), standby_w=Held(2.0)).compiled("m"))
    assert motor.run(3600) == pytest.approx(752 * 3600)
    assert motor.run(3600, closed=False) == 0.0
    motor.run(60)
    assert (motor.s[S_STARTS], motor.s[S_RUN_S]) == (2, 3660)
    assert list(motor.params[0, [P_POWER_FACTOR, P_START_RATIO, P_START_S]]) == [0.85, 6.0, 0.5]
    lamp = running(Resistive(rating_w=Held(250.0)).compiled("l"))
    assert lamp.run(3600) == 900_000.0
    assert lamp.params[0, P_START_RATIO] == 1.0
