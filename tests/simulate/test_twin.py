"""The compiled engine, in pieces of any length, against the plain one that goes second by second."""

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from tests.control.stories import LOADS, NOON
from tests.control.strategies import seconds, sites
from tests.simulate.plain_engine import Engine
from wattwright.control.compiled import compile_control
from wattwright.control.programmes import Span
from wattwright.core.clock import SiteClock
from wattwright.core.fields import Held
from wattwright.core.quantity import Phase
from wattwright.loads.plain import Resistive
from wattwright.simulate import columns
from wattwright.simulate.drivers import steady
from wattwright.simulate.run import simulate
from wattwright.simulate.scenario import Scenario, SiteLoad
from wattwright.simulate.supply import Battery, Connection, Generator, Inverter, Supply

pytestmark = pytest.mark.kernel
CURVE, OVERLOADS = ((1.2, 20.0), (1.6, 4.0), (3.0, 0.5)), ((1.25, 12.0), (1.5, 3.0), (2.0, 0.5))
STARTING_S = 0.5


@st.composite
def supplies(draw):
    """A supply as the plain form takes it."""
    role = draw(st.sampled_from(["none", "beside the grid", "carries the site in outages", "carries the site in outages"]))
    battery = None
    if role != "none" and draw(st.booleans()):
        battery = {
            "energy": draw(seconds(60.0, 600.0)), "charge": draw(seconds(1.0, 4.0)), "discharge": draw(seconds(2.0, 6.0)),
            "in": draw(seconds(0.9, 1.0)), "out": draw(seconds(0.8, 1.0)), "reserve": 0.3, "floor": 0.1, "back": 0.25,
            "start": draw(seconds(0.15, 0.5, 1.0)),
        }  # fmt: skip
    generator = None
    if draw(st.booleans()):
        generator = {
            "rating": draw(seconds(3.0, 8.0)),
            "starts": 0.2,
            "stops": 0.6,
            "least": 15.0,
            "delay": draw(seconds(0.0, 3.0)),
        }
    return {
        "rating": draw(seconds(None, 5.0, 8.0)), "curve": CURVE, "closed_after": 20.0, "battery": battery, "generator": generator,
        "va": 0.0 if role == "none" else draw(seconds(4.0, 7.0)), "role": role, "overloads": OVERLOADS, "restart": 5.0,
        "idle": 0.0 if role == "none" else draw(seconds(0.0, 0.25)),
    }  # fmt: skip


def spec(told) -> Supply:
    """The same as a person enters it."""
    battery, generator = told["battery"], told["generator"]
    connection = Connection(
        voltage_v=Held(1.0), rating_a=None if told["rating"] is None else Held(told["rating"]), withstands=told["curve"],
        closed_after_s=Held(told["closed_after"]),
    )  # fmt: skip
    if told["role"] == "none":
        inverter = None
    else:
        inverter = Inverter(
            rating_va=Held(told["va"]), role=told["role"], withstands=told["overloads"], restart_s=Held(told["restart"]),
            idle_w=Held(told["idle"]),
        )  # fmt: skip
    return Supply(
        connection=connection, inverter=inverter,
        battery=battery and Battery(
            capacity_wh=Held(battery["energy"] / 3600.0), charge_w=Held(battery["charge"]),
            discharge_w=Held(battery["discharge"]),
            charge_efficiency=Held(battery["in"]), discharge_efficiency=Held(battery["out"]), reserve=Held(battery["reserve"]),
            floor=Held(battery["floor"]), back=Held(battery["back"]), start=Held(battery["start"]),
        ),
        generator=generator and Generator(
            rating_w=Held(generator["rating"]), starts_at=Held(generator["starts"]), stops_at=Held(generator["stops"]),
            least_run_s=Held(generator["least"]), delay_s=Held(generator["delay"]),
        ),
    )  # fmt: skip


def courses():
    """Stretches of steps: how many, the rest of the site, PV, grid and link."""
    stretch = st.tuples(
        st.integers(1, 6), st.integers(0, 4), seconds(0, 0, 2, 5, 9), seconds(True, True, True, False),
        seconds(True, True, True, False),
    )  # fmt: skip
    return st.lists(stretch, min_size=3, max_size=10)


def made(site, supply, course, ratings, ratios, step_s):
    """The scenario and the plain engine of the same site."""
    n = sum(count for count, *_ in course)
    drivers, at = steady(n, 3, volts=(1.0,)), 0
    for count, rest, pv, grid, linked in course:
        part = slice(at, at + count)
        drivers.rest_w[part, 0], drivers.pv_w[part], drivers.grid[part], drivers.linked[part] = rest, pv, grid, linked
        at += count
    loads = [
        Resistive(rating_w=Held(float(rating)), start_ratio=ratio, starting_s=Held(STARTING_S)).compiled(id_)
        for id_, rating, ratio in zip(LOADS, ratings, ratios, strict=True)
    ]
    span = Span(NOON, NOON + n * step_s, SiteClock("UTC"))
    of = Scenario(
        span, float(step_s), tuple(SiteLoad(one, Phase.L1) for one in loads), compile_control(site[0], LOADS, span), spec(supply),
        drivers,
    )  # fmt: skip
    surges = [rating * (ratio - 1.0) for rating, ratio in zip(ratings, ratios, strict=True)]
    return of, Engine(site[1], supply, ratings, surges, STARTING_S)


def moves(of, run):
    """Contacts as they move: (second, load, closed, why)."""
    kept = [one for one in run.events if one[2] in (columns.OPENS, columns.CLOSES)]
    return sorted((round(float(at)), int(load), what == columns.CLOSES, of.control.cause(why)) for at, load, what, why in kept)


RATINGS = st.tuples(*3 * [st.integers(1, 4)])
RATIOS = st.tuples(*3 * [seconds(1.0, 1.0, 3.0)])


@settings(max_examples=60, deadline=None)
@given(site=sites(), supply=supplies(), course=courses(), ratings=RATINGS, ratios=RATIOS, step_s=seconds(1, 7, 20, 60))
def test_the_engine_is_the_plain_one(site, supply, course, ratings, ratios, step_s) -> None:
    """Contacts move at the same second for the same reason; powers, battery, trips and every sum of energy agree."""
    of, plain = made(site, supply, course, ratings, ratios, step_s)
    run = simulate(of)
    site_w, grid_w, charge = [], [], []
    for count, rest, pv, grid, linked in course:
        for _ in range(count):
            done = [plain.second(rest, pv, grid, linked) for _ in range(step_s)]
            site_w.append(sum(one[0] for one in done) / step_s)
            grid_w.append(sum(one[1] for one in done) / step_s)
            charge.append(plain.supply.share())
    assert moves(of, run) == sorted(plain.moves)
    assert run.site_w == pytest.approx(site_w, abs=1e-9)
    assert run.grid_w == pytest.approx(grid_w, abs=1e-9)
    assert run.charge_share == pytest.approx(charge, abs=1e-9)
    assert run.supply[columns.X_TRIPS] == plain.supply.trips
    x, sums = run.supply, plain.supply.sums
    ours = [
        x[columns.X_IMPORT_J], x[columns.X_EXPORT_J], x[columns.X_PV_J], x[columns.X_SPILLED_J], x[columns.X_GENERATOR_J],
        x[columns.X_LOST_J], x[columns.X_SITE_J],
    ]  # fmt: skip
    assert ours == pytest.approx(list(sums.values()), abs=1e-7)
    rise = x[columns.X_BATTERY_J] - (supply["battery"]["start"] * supply["battery"]["energy"] if supply["battery"] else 0.0)
    through = sums["import"] + sums["pv"] + sums["generator"]
    assert ours[0] + ours[2] + ours[4] - ours[6] - ours[1] - ours[3] - ours[5] - rise == pytest.approx(
        0.0, abs=1e-9 * max(through, 1)
    )
    assert np.all(run.charge_share <= 1.0 + 1e-12)
