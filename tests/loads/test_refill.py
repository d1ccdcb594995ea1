"""What it takes to fill a store again."""

import pytest

from wattwright.core.fields import Held
from wattwright.loads.charger import Charger
from wattwright.loads.cold_store import ColdStore
from wattwright.loads.refill import stored_per_electric
from wattwright.loads.room import Room
from wattwright.loads.water_heater import WaterHeater


def test_a_tank_takes_what_it_holds() -> None:
    """A resistance gives its heat to the water: one to one."""
    assert stored_per_electric(WaterHeater(volume_l=Held(100.0), rating_w=Held(2000.0)).compiled("t"), 5.0) == 1.0


@pytest.mark.parametrize(("condenser", "outdoors"), [(None, 30.0), (30.0, -10.0)])
def test_a_cold_store_takes_less_than_the_cold_it_keeps(condenser, outdoors) -> None:
    """0.4 of the ideal machine from -5 degC (3 less 8) to 42 degC (30 and 12): 0.4 x 268.15 / 47 = 2.2821."""
    given = {"heat_kwh_k": 1.0, "loss_w_k": 20.0, "limit_c": Held(8.0)}
    at = {} if condenser is None else {"condenser_c": Held(condenser)}
    one = ColdStore(rating_w=Held(900.0), set_c=Held(3.0), **given, **at).compiled("c")
    assert stored_per_electric(one, outdoors) == pytest.approx(0.4 * 268.15 / 47.0)


def test_a_heat_pump_and_a_charger() -> None:
    """A unit of COP 3 at 7 degC that falls by 0.1 a kelvin, at 2 degC: 2.5; a charger keeps what its efficiency leaves."""
    given = {"heat_kwh_k": 2.0, "loss_w_k": 200.0, "cop": 3.0, "cop_per_k": 0.1, "cop_at_c": Held(7.0)}
    assert stored_per_electric(Room(rating_w=Held(2000.0), set_c=Held(20.0), **given).compiled("r"), 2.0) == pytest.approx(2.5)
    assert stored_per_electric(Charger(rating_w=Held(7000.0), efficiency=Held(0.9)).compiled("e"), 2.0) == pytest.approx(0.9)
