"""A generator with what it bears, beside an inverter and alone, and who closes again what has tripped."""

import numpy as np
import pytest

from tests.simulate.sites import heater, motor, scenario, switchings
from wattwright.core.errors import OwnFault
from wattwright.core.fields import Held
from wattwright.simulate.columns import X_GENERATOR_J, X_GENERATOR_OVER_S, X_INVERTER_OVER_S, X_TRIPS
from wattwright.simulate.drivers import steady
from wattwright.simulate.judge import _closing
from wattwright.simulate.outcome import outcome
from wattwright.simulate.run import simulate
from wattwright.simulate.supply import Battery, Connection, Generator, Inverter, Supply

pytestmark = pytest.mark.kernel
GENERATOR = {"rating_w": Held(3000.0), "delay_s": Held(20.0), "least_run_s": Held(60.0)}


def generator(**more):
    return Generator(**{**GENERATOR, **more})


def battery(start=0.25):
    """One that starts between its floor and the share at which the generator starts."""
    return Battery(capacity_wh=Held(10_000.0), charge_w=Held(2000.0), discharge_w=Held(5000.0), start=Held(start))


def inverter(va, **more):
    return Inverter(rating_va=Held(va), role="carries the site in outages", **more)


def outage(minutes, loads, *, gone=slice(None), rest_w=0.0):
    drivers = steady(minutes, loads, rest_w=rest_w)
    drivers.grid[gone] = False
    return drivers


def of_supply(of, run):
    return [(at, what, why) for at, load, what, why in switchings(of, run) if load == "supply"]


def codes(of, run):
    return {one.code for one in outcome(of, run).findings}


def test_starts_and_stops_of_a_generator_are_events_with_their_causes() -> None:
    """Alone it starts in an outage, gives power after its delay, and stops when the grid is back and its least run is over."""
    supply = Supply(connection=Connection(), generator=generator())
    of = scenario([heater("h", 1000.0)], supply=supply, drivers=outage(10, 1, gone=slice(2, 5)))
    assert of_supply(of, simulate(of)) == [
        (120.0, "generator starts", "outage of the grid"),
        (120.0, "supply lost", "outage of the grid"),
        (140.0, "generator gives power", "its starting delay is over"),
        (140.0, "supply back", "the inverter or generator carries the site"),
        (300.0, "generator stops", "the grid is there"),
        (300.0, "another source", "the grid is there"),
    ]


def test_a_low_battery_starts_it_and_a_full_one_stops_it() -> None:
    """1 kW of site and 2 kW of charging at 95 %: 25 to 80 % of 10 kWh take 5500 / 1900 h and the delay."""
    supply = Supply(connection=Connection(), inverter=inverter(5000.0), battery=battery(), generator=generator())
    of = scenario([heater("h", 1000.0)], supply=supply, drivers=outage(190, 1))
    told = of_supply(of, simulate(of))
    assert told[0] == (0.0, "generator starts", "battery low in an outage")
    stops = [one for one in told if one[1] == "generator stops"]
    # In its 20 s of starting the battery gives 1 kW at 95 %.
    drawn_wh = 1000.0 / 0.95 * 20 / 3600
    assert [one[2] for one in stops] == ["battery full enough"]
    assert stops[0][0] == pytest.approx(20 + (5500 + drawn_wh) / 1900 * 3600, abs=1.0)


def test_the_inverter_keeps_its_rating_beside_a_generator() -> None:
    """Of 6 kW a generator of 3 kW carries half: an inverter of 2 kVA carries 1.5 times its rating, for 10 s by its curve."""
    supply = Supply(connection=Connection(), inverter=inverter(2000.0), battery=battery(), generator=generator())
    drivers = outage(3, 1)
    drivers.rest_w[1:, 0] = 5000.0
    of = scenario([heater("h", 1000.0)], supply=supply, drivers=drivers)
    run = simulate(of)
    assert [one for one in of_supply(of, run) if one[1] in ("trip", "closed again")][:2] == [
        (70.0, "trip", "overload of the inverter"),
        (130.0, "closed again", "by itself, after its rest"),
    ]
    assert run.supply[X_INVERTER_OVER_S] >= 10.0
    made = outcome(of, run)
    told = next(one for one in made.findings if one.code == "simulate.tripped")
    assert told.data["closed"] == "by itself"
    assert {"simulate.beside-generator", "simulate.inverter-overloaded"} <= codes(of, run)


def test_a_generator_keeps_its_apparent_rating() -> None:
    """2.8 kW at a power factor of 0.7 are 4 kVA, on 3.75 kVA 1.067 times: its curve bears an hour of that, then it trips."""
    supply = Supply(connection=Connection(), generator=generator(delay_s=Held(0.0), closed_after_s=Held(600.0)))
    of = scenario([heater("h", 2800.0, power_factor=Held(0.7))], supply=supply, drivers=outage(80, 1))
    run = simulate(of)
    told = of_supply(of, run)
    assert ((3600.0, "trip", "overload of the generator") in told, run.supply[X_GENERATOR_OVER_S] >= 3600.0) == (True, True)
    assert (3600.0, "supply lost", "the generator has tripped") in told
    assert (4200.0, "closed again", "by hand, after the time a person takes") in told
    assert (4200.0, "generator starts", "outage of the grid") in told
    assert "simulate.generator-overloaded" in codes(of, run)


def test_more_than_it_gives_trips_a_generator_alone() -> None:
    """A site of 3.5 kW on 3 kW: too weak at once, not by and by."""
    supply = Supply(connection=Connection(), generator=generator(delay_s=Held(0.0)))
    of = scenario([heater("h", 3500.0)], supply=supply, drivers=outage(5, 1))
    run = simulate(of)
    assert (0.0, "trip", "sources too weak") in of_supply(of, run)
    assert (run.supply[X_GENERATOR_J], run.supply[X_TRIPS]) == (0.0, 1.0)


@pytest.mark.parametrize(("bears_va", "trips"), [(6200.0, True), (6300.0, False)])
def test_a_motor_that_starts_on_a_generator_is_judged(bears_va, trips) -> None:
    """1 kW at 0.8 with six times its current takes (6 - 1) 1000 / 0.8 = 6250 VA on top: too much for 6.2 kVA, not for 6.3."""
    supply = Supply(connection=Connection(), generator=generator(delay_s=Held(5.0), start_va=Held(bears_va)))
    pump = motor("m", 1000.0, power_factor=Held(0.8), start_ratio=6.0, starting_s=Held(0.5))
    of = scenario([pump], supply=supply, drivers=outage(5, 1, gone=slice(1, None)))
    run = simulate(of)
    told = [one for one in of_supply(of, run) if one[1] == "trip"]
    assert bool(told) is trips
    assert not told or told[0][2] == "a motor's start too heavy for the generator"
    assert ("simulate.start-dips" in codes(of, run)) is trips


def test_a_generator_out_leaves_the_battery_to_carry_on() -> None:
    """The start is too heavy for the generator, not for the inverter: it trips, and the site stays lit from the battery."""
    own = inverter(20_000.0)
    supply = Supply(connection=Connection(), inverter=own, battery=battery(), generator=generator(start_va=Held(2000.0)))
    timer = {"id": "r", "load": "m", "kind": "repeat-cycle timer", "on_for": "5 min", "off_for": "5 min", "begins": "off"}
    pump = motor("m", 1000.0, power_factor=Held(0.8), start_ratio=6.0, starting_s=Held(0.5))
    of = scenario([pump], {"rule": [timer]}, supply=supply, drivers=outage(12, 1, rest_w=500.0))
    run = simulate(of)
    assert [one[1] for one in of_supply(of, run) if one[0] >= 300.0] == ["trip"]
    assert run.supplied.min() == 1.0
    assert not np.isnan(run.grid_w).any()


def test_the_usual_ratings_of_a_generator() -> None:
    """3 kW over 0.8 are 3.75 kVA; a dip of 20 % at a reactance of 20 %: S = 0.2 / (0.2 x 0.8) = 1.25, 4.6875 kVA."""
    one = generator()
    assert (one.apparent_va, one.step_va) == pytest.approx((3000.0 / 0.8, 0.2 / (0.2 * (1 - 0.2)) * 3750.0))
    with pytest.raises(ValueError, match="apparent rating"):
        generator(rating_va=Held(2000.0))


def test_a_trip_of_what_is_not_there_is_our_own_fault() -> None:
    """No generator, no inverter: only the connection can trip."""
    with pytest.raises(OwnFault):
        _closing(scenario([heater("h", 1.0)]), "overload of the generator")


def test_what_contradicts_itself_in_a_supply_is_told() -> None:
    """An inverter to carry the site from nothing; a battery whose floor lies above what it keeps."""
    alone = Supply(connection=Connection(), inverter=inverter(2000.0))
    of = scenario([heater("h", 100.0)], supply=alone)
    assert "simulate.nothing-to-carry" in codes(of, simulate(of))
    low = Battery(
        capacity_wh=Held(5000.0), charge_w=Held(1000.0), discharge_w=Held(1000.0), reserve=Held(0.1), floor=Held(0.15),
    )  # fmt: skip
    of = scenario([heater("h", 100.0)], supply=Supply(connection=Connection(), inverter=inverter(2000.0), battery=low))
    assert codes(of, simulate(of)) == {"simulate.floor-above-reserve"}


def test_a_battery_that_does_not_carry_the_site_is_no_reason_to_wait() -> None:
    """Beside the grid a full battery gives nothing in an outage: the generator starts at once and runs until the grid is back."""
    beside = Inverter(rating_va=Held(5000.0), role="beside the grid")
    supply = Supply(connection=Connection(), inverter=beside, battery=battery(1.0), generator=generator())
    of = scenario([heater("h", 1000.0)], supply=supply, drivers=outage(10, 1, gone=slice(2, 5)))
    told = of_supply(of, simulate(of))
    assert told[0] == (120.0, "generator starts", "outage of the grid")
    assert told[-2][:2] == (300.0, "generator stops")
