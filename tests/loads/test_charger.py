"""A charger with a departure against the closed form of its taper, its energy balance and a plain twin."""

import math

import pytest
from hypothesis import given, settings, strategies as st

from tests.loads import plain_loads
from tests.loads.conftest import Running
from wattwright.core.fields import Held
from wattwright.loads.charger import Charger
from wattwright.loads.charger_kernels import S_DELIVERED_J, S_WANTED_J
from wattwright.loads.columns import S_CALL, S_RUN_S, S_STORED_J, S_UNMET, S_VALUE

pytestmark = pytest.mark.kernel
WH = 3600.0


def a_charger(**given) -> Charger:
    """7.2 kW, 90 % efficient."""
    return Charger(**{key: Held(value) for key, value in {"rating_w": 7200.0, "efficiency": 0.9, **given}.items()})


def test_without_a_taper_it_is_energy_over_power(running) -> None:
    """12.96 kWh at 7.2 kW and 90 % take 2 h and 14.4 kWh; then it calls no more."""
    load = running(a_charger().compiled("c"))
    used = load.run(2 * 3600, use0=1.0, use1=12_960.0)
    assert used / 3.6e6 == pytest.approx(14.4)
    assert load.s[S_VALUE] == pytest.approx(0.0, abs=1e-9)
    assert load.run(3600) == pytest.approx(0.0, abs=1e-3)
    assert load.s[S_CALL] == 0.0


def test_the_taper_is_the_closed_form(running) -> None:
    """4 kWh with a taper of 2 kWh down to 1.44 kW (a fifth): full rate, then tau ln 5, then 0.4 kWh at the least power."""
    load = running(a_charger(taper_wh=2000.0, least_w=1440.0).compiled("c"))
    full_h, tau_h = 2.0 / 6.48, 2.0 / 6.48
    least_h = 0.4 / (0.9 * 1.44)
    load.run(86_400, use0=1.0, use1=4000.0)
    assert load.s[S_RUN_S] / 3600 == pytest.approx(full_h + tau_h * math.log(5) + least_h, rel=1e-12)
    assert load.s[S_DELIVERED_J] == pytest.approx(4000 * WH)
    assert load.s[S_STORED_J] == load.s[S_DELIVERED_J]


def test_what_is_missing_at_departure_is_counted(running) -> None:
    """20 kWh wanted, one hour fed: 6.48 kWh come in, 13.52 are missing when it leaves, and nothing is wanted afterwards."""
    load = running(a_charger().compiled("c"))
    load.run(3600, use0=1.0, use1=20_000.0)
    load.run(3600, closed=False)
    assert load.s[S_UNMET] == 0.0
    load.run(3600, use0=0.0)
    assert load.s[S_UNMET] == pytest.approx(13.52)
    assert load.s[S_VALUE] == 0.0
    load.run(60, use0=1.0, use1=0.0)
    assert load.s[S_UNMET] == pytest.approx(13.52)


def test_an_arrival_counts_once_however_it_is_stepped(running) -> None:
    """The energy newly wanted is that of the arrival, whether its step is taken at once or second by second."""
    found = []
    for step in (60.0, 1.0):
        load = running(a_charger().compiled("c"))
        load.run(60, step, closed=False, use0=1.0, use1=5000.0)
        found.append(load.s[S_WANTED_J])
    assert found == [5000 * WH, 5000 * WH]


def test_plugged_in_at_the_start(running) -> None:
    """A charger that begins with an energy wanted is plugged in already and goes on with it."""
    load = running(a_charger(wanted_wh=6480.0).compiled("c"))
    assert load.s[S_VALUE] == 6.48
    assert load.run(7200, use0=1.0, use1=999.0) / 3.6e6 == pytest.approx(7.2)


@settings(max_examples=60)
@given(wanted=st.floats(0.3, 20), taper=st.floats(0.1, 5), least=st.floats(500, 3000), seconds=st.floats(1, 60))
def test_one_step_is_that_of_the_plain_twin(wanted, taper, least, seconds) -> None:
    """Within a part of the charge, away from its bends, the energy still wanted agrees to 1e-12."""
    load = Running(a_charger(taper_wh=1000 * taper, least_w=least, wanted_wh=1000 * wanted).compiled("c"))
    load.run(seconds, seconds, use0=1.0)
    start, rate = 3.6e6 * wanted, 0.9 * 7200
    floor = taper * 3.6e6 * least / 7200
    same_part = all((start > bend) == (start - rate * seconds > bend) for bend in (taper * 3.6e6, floor, 0.0))
    if same_part:
        after = plain_loads.charge(start, seconds, rating=7200, efficiency=0.9, taper=taper * 3.6e6, least=least)
        assert load.s[S_WANTED_J] == pytest.approx(after, rel=1e-12)


@settings(max_examples=40)
@given(
    steps=st.lists(st.tuples(st.booleans(), st.floats(0, 30_000), st.booleans()), min_size=2, max_size=40),
    taper=st.floats(0, 5000),
)
def test_energy_is_kept(steps, taper) -> None:
    """What was ever wanted is put in, missing or still wanted, and what was put in is 90 % of what was drawn."""
    load = Running(a_charger(taper_wh=taper).compiled("c"))
    asked, used, before = 0.0, 0.0, False
    for plugged, newly, closed in steps:
        asked += newly * WH if plugged and not before else 0.0
        before = plugged
        used += load.run(1800, 600, closed=closed, use0=float(plugged), use1=newly)
    found = load.s[S_DELIVERED_J] + load.s[S_UNMET] * 3.6e6 + load.s[S_WANTED_J]
    assert found == pytest.approx(asked, rel=1e-9, abs=1e-6)
    assert load.s[S_DELIVERED_J] == pytest.approx(0.9 * used, rel=1e-9, abs=1e-6)
