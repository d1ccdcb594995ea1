"""What a run means, worked out by hand."""

import numpy as np
import pytest

from tests.simulate.sites import heater, motor, room, scenario, switchings
from wattwright.core.fields import Held
from wattwright.core.show import Show
from wattwright.loads.columns import AIR, CHARGER, COLD_STORE, GREENHOUSE, PLAIN, PUMP, ROOM, SOIL, TANK
from wattwright.loads.pool_pump import PoolPump
from wattwright.simulate.comfort import comfort
from wattwright.simulate.drivers import steady
from wattwright.simulate.outcome import most_in_hour, outcome
from wattwright.simulate.run import simulate
from wattwright.simulate.supply import Battery, Connection, Inverter, Supply

pytestmark = pytest.mark.kernel
TIMER = {"rule": [{"id": "t", "load": "m", "kind": "repeat-cycle timer", "on_for": "3 min", "off_for": "3 min"}]}


def found(of):
    return {one.code.removeprefix("simulate."): one for one in outcome(of, simulate(of)).findings}


def test_energy_peaks_and_wear_of_a_timer() -> None:
    """A motor on for 3 of each 6 min for two hours: 20 starts, ten in any hour, 1 h of running, contact 40 times but once."""
    of = scenario([motor("m", 1000)], TIMER, steps=120)
    got = outcome(of, simulate(of))
    (load,) = got.loads
    assert (load.starts, load.starts_in_hour, load.shed, load.cuts, load.comfort) == (20, 10, 0, 0, None)
    assert (load.energy_kwh, load.running_h) == pytest.approx((1.0, 1.0))
    # It is closed at the start, so it opens twenty times and closes nineteen times.
    assert load.contact_moves_a_year == pytest.approx(39 * 8760 / 2)
    peaks = {one.window_s: (one.power_w, one.start_s - of.span.start_s) for one in got.peaks}
    # A quarter of an hour that begins with a run holds 9 min of it.
    assert peaks == {
        60: (1000.0, 0),
        900: pytest.approx((600.0, 0)),
        1800: pytest.approx((500.0, 0)),
        3600: pytest.approx((500.0, 0)),
    }
    assert got.balance.imported == pytest.approx(1.0)
    assert len(got.switchings) == 20 + 20 + 39
    assert {one.cause for one in got.switchings} == {"rule t", "start of the simulation"}
    assert len(got.import_w) == 120


def test_the_most_in_an_hour() -> None:
    """An instant just an hour after the first is no longer in its hour."""
    assert most_in_hour(np.array([0.0, 10.0, 3599.0, 3600.0, 3605.0])) == 4
    assert most_in_hour(np.zeros(0)) == 0


@pytest.mark.parametrize(
    ("kind", "amount", "unit"),
    [(TANK, 7200.0, "litre"), (ROOM, 2.0, "K h"), (COLD_STORE, 2.0, "K h"), (AIR, 2.0, "% h"), (SOIL, 7200.0, "mm"),
     (PUMP, 7200.0, "m³"), (CHARGER, 7200.0, "kWh"), (GREENHOUSE, 2.0, "K h")],
)  # fmt: skip
def test_service_not_given_has_its_unit(kind, amount, unit) -> None:
    """Sums over seconds are told in hours, quantities as they are; a plain load has none."""
    told = comfort(kind, 7200.0)
    assert (told.amount, told.unit) == (amount, unit)
    assert comfort(PLAIN, 1.0) is None


def test_too_much_for_too_long_is_told_and_trips() -> None:
    """30 A on 20 A are 1.5 times: borne for a second, then dark until someone closes it again."""
    supply = Supply(connection=Connection(rating_a=Held(20.0), closed_after_s=Held(300.0)))
    told = found(of := scenario([heater("a", 6900)], steps=10, supply=supply))
    assert told["overloaded"].data["highest"] == pytest.approx(30.0)
    assert (told["tripped"].data["first"], told["tripped"].data["cause"]) == (of.span.start_s + 1, "the connection's protection")
    assert told["tripped"].data["count"] == 2
    # On for a second, dark for 300 s, on for a second, dark for the 298 s that are left of the ten minutes.
    assert told["dark"].data["time"] == pytest.approx(598.0)


def test_a_start_that_the_supply_does_not_bear_is_told() -> None:
    """2000 VA that start with six times as much are 52 A: 5.2 times 10 A, and 2.4 times the inverter of 5 kVA."""
    inverter = Inverter(rating_va=Held(5000.0), role="carries the site in outages")
    battery = Battery(capacity_wh=Held(5000.0), charge_w=Held(5000.0), discharge_w=Held(5000.0))
    supply = Supply(connection=Connection(rating_a=Held(10.0)), inverter=inverter, battery=battery)
    of = scenario([motor("m", 1700)], supply=supply)
    starts = [one.data["start"] for one in outcome(of, simulate(of)).findings if one.code == "simulate.start-too-heavy"]
    assert starts == pytest.approx([6 * 2000 / 230 / 10, 6 * 2000 / 5000])


def test_an_inverter_above_its_rating_is_told() -> None:
    """4 kW through 3.5 kVA for a minute and a half of an outage are 1.14 times: borne for a minute, then it trips."""
    inverter = Inverter(rating_va=Held(3500.0), role="carries the site in outages")
    battery = Battery(capacity_wh=Held(9000.0), charge_w=Held(9000.0), discharge_w=Held(9000.0))
    drivers = steady(5, 1)
    drivers.grid[2:] = False
    told = found(
        scenario([heater("a", 4000)], supply=Supply(connection=Connection(), inverter=inverter, battery=battery), drivers=drivers)
    )
    # A minute above, a minute of rest, a minute above again.
    assert told["inverter-overloaded"].data["time"] == pytest.approx(120.0)
    assert told["tripped"].data["count"] == 2


def test_comfort_starts_and_cut_runs_are_told() -> None:
    """A cold room, a motor that starts ten times an hour, and a minimum on-time that shedding cuts."""
    of = scenario([room(watts=100.0)], steps=600, drivers=steady(600, 1, air_c=0.0))
    assert found(of)["comfort"].data["unit"] == "K h"
    assert found(scenario([motor("m", 1000)], TIMER, steps=120))["short-cycling"].data["starts"] == 10
    shed = {
        "shedding": {"pick_up": "4 kW", "restore": "1 kW", "order": ["a"]},
        "actuator": [{"load": "a", "min_on": "20 min"}],
        "override": [{"load": "a", "state": "off", "begins": "2025-03-04T00:00:00", "ends": "2025-03-04T00:02:00"}],
    }  # fmt: skip
    drivers = steady(20, 1, rest_w=500.0)
    drivers.rest_w[5:, 0] = 2500.0
    told = found(scenario([heater("a", 2000)], shed, drivers=drivers))
    assert told["min-on-cut"].data["count"] == 1


def test_every_finding_reads_as_sentences() -> None:
    """What was found is said with its values, whichever it is."""
    supply = Supply(connection=Connection(rating_a=Held(20.0)))
    of = scenario([heater("a", 6900)], steps=10, supply=supply)
    show = Show()
    for one in outcome(of, simulate(of)).findings:
        assert all(part.endswith(".") for part in (one.says(show), one.why(show), one.do(show)))


def test_a_return_from_shedding_is_told_as_its_end() -> None:
    """Shed, and back: the end of the shedding closes it, not the rule that called all the while; later the rule does."""
    told = {
        "rule": [{"id": "t", "load": "a", "kind": "repeat-cycle timer", "on_for": "20 min", "off_for": "5 min"}],
        "shedding": {"pick_up": "4 kW", "restore": "3 kW", "order": ["a"], "back_after": "30 s"},
    }
    drivers = steady(30, 1)
    drivers.rest_w[5:8, 0] = 5000.0
    of = scenario([heater("a", 1000.0)], told, drivers=drivers)
    contacts = [(what, why) for _, _, what, why in switchings(of, simulate(of)) if what.startswith("contact")]
    assert contacts == [
        ("contact opens", "shed"), ("contact closes", "shedding ended"),
        ("contact opens", "rule t"), ("contact closes", "rule t"),
    ]  # fmt: skip


def test_what_has_no_controller_of_its_own_starts_by_its_feed() -> None:
    """A plain lamp that is fed from the start, and a pump: nothing of them is told as their own controller's."""
    pump = PoolPump(rating_w=Held(500.0), pool_l=Held(40_000.0), flow_m3_h=10.0).compiled("pump")
    of = scenario([heater("lamp", 100.0), pump])
    assert {why for *_, why in switchings(of, simulate(of))} == {"start of the simulation"}
