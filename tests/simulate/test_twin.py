"""The compiled engine, in pieces of any length, against the plain one that goes second by second."""

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from tests.control.stories import LOADS, NOON
from tests.control.strategies import WORDS, seconds, sites, written
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
            "start": draw(seconds(0.15, 0.5, 1.0)), "shave": draw(seconds(0.0, 0.0, 3.0)),
            "refill": draw(seconds(0.0, 2.0)),
        }  # fmt: skip
    generator = None
    if draw(st.booleans()):
        generator = {
            "rating": draw(seconds(3.0, 8.0)),
            "starts": 0.2,
            "stops": 0.6,
            "least": 15.0,
            "delay": draw(seconds(0.0, 3.0)),
            "closed_after": draw(seconds(4.0, 30.0)),
            "step": draw(seconds(3.0, 12.0)),
            "withstands": ((1.1, 12.0),),
        }
        # Of power factor one no generator gives more than its rating in VA, unless that is set below what it may give.
        generator["va"] = generator["rating"]
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
            shave_w=Held(battery["shave"]), refill_w=Held(battery["refill"]),
        ),
        generator=generator and Generator(
            rating_w=Held(generator["rating"]), starts_at=Held(generator["starts"]), stops_at=Held(generator["stops"]),
            least_run_s=Held(generator["least"]), delay_s=Held(generator["delay"]), rating_va=Held(generator["va"]),
            start_va=Held(generator["step"]), withstands=generator["withstands"], closed_after_s=Held(generator["closed_after"]),
        ),
    )  # fmt: skip


def courses():
    """Stretches of steps: how many, the rest of the site, PV, grid and link, and PV beside the grid."""
    stretch = st.tuples(
        st.integers(1, 6), st.integers(0, 4), seconds(0, 0, 2, 5, 9), seconds(True, True, True, False),
        seconds(True, True, True, False), seconds(0, 0, 3),
    )  # fmt: skip
    return st.lists(stretch, min_size=3, max_size=10)


def made(site, supply, course, ratings, ratios, step_s):
    """The scenario and the plain engine of the same site."""
    n = sum(count for count, *_ in course)
    drivers, at = steady(n, 3, volts=(1.0,)), 0
    for count, rest, pv, grid, linked, beside in course:
        part = slice(at, at + count)
        drivers.rest_w[part, 0], drivers.pv_w[part], drivers.grid[part], drivers.linked[part] = rest, pv, grid, linked
        drivers.beside_w[part] = beside
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


def compare(of, plain, supply, course, step_s, share=1e-9):
    """Let both run; contacts move at the same second for the same reason, powers and sums agree to ``share`` of what flowed."""
    run = simulate(of)
    site_w, grid_w, charge = [], [], []
    for count, rest, pv, grid, linked, beside in course:
        for _ in range(count):
            done = [plain.second(rest, pv, grid, linked, beside) for _ in range(step_s)]
            site_w.append(sum(one[0] for one in done) / step_s)
            grid_w.append(sum(one[1] for one in done) / step_s)
            charge.append(plain.supply.share())
    assert moves(of, run) == sorted(plain.moves)
    flowed_w = max(1.0, max(site_w) + max(pv + beside for _, _, pv, _, _, beside in course))
    assert run.site_w == pytest.approx(site_w, rel=0.0, abs=share * flowed_w)
    assert run.grid_w == pytest.approx(grid_w, rel=0.0, abs=share * flowed_w)
    assert run.charge_share == pytest.approx(charge, rel=0.0, abs=share)
    assert run.supply[columns.X_TRIPS] == plain.supply.trips
    x, sums = run.supply, plain.supply.sums
    ours = [
        x[columns.X_IMPORT_J], x[columns.X_EXPORT_J], x[columns.X_PV_J], x[columns.X_SPILLED_J], x[columns.X_GENERATOR_J],
        x[columns.X_LOST_J], x[columns.X_SITE_J],
    ]  # fmt: skip
    through = max(1.0, sums["import"] + sums["pv"] + sums["generator"])
    assert ours == pytest.approx(list(sums.values()), rel=0.0, abs=share * through)
    rise = x[columns.X_BATTERY_J] - (supply["battery"]["start"] * supply["battery"]["energy"] if supply["battery"] else 0.0)
    left = ours[0] + ours[2] + ours[4] - ours[6] - ours[1] - ours[3] - ours[5] - rise
    assert left == pytest.approx(0.0, abs=1e-9 * through)
    assert np.all(run.charge_share <= 1.0 + 1e-12)
    return run


@settings(max_examples=60, deadline=None)
@given(site=sites(), supply=supplies(), course=courses(), ratings=RATINGS, ratios=RATIOS, step_s=seconds(1, 7, 20, 60))
def test_the_engine_is_the_plain_one(site, supply, course, ratings, ratios, step_s) -> None:
    """Contacts move at the same second for the same reason; powers, battery, trips and every sum of energy agree."""
    of, plain = made(site, supply, course, ratings, ratios, step_s)
    compare(of, plain, supply, course, step_s)


@settings(max_examples=60, deadline=None)
@given(site=sites(), supply=supplies(), course=courses(), ratings=RATINGS, ratios=RATIOS)
def test_every_second_is_that_of_the_plain_one_in_whatever_state_rules_are(site, supply, course, ratings, ratios) -> None:
    """Delays running, values on their way, loads shed, battery half empty: each second after agrees to 1e-12 of what flows."""
    of, plain = made(site, supply, course, ratings, ratios, 1)
    compare(of, plain, supply, course, 1, share=1e-12)


POWERS = st.floats(0.0, 9.0).map(lambda power: power if power > 1e-3 else 0.0)


@settings(max_examples=200, deadline=None)
@given(
    site=sites(), supply=supplies(), start=st.floats(0.105, 1.0), rest=POWERS, pv=POWERS, beside=POWERS, grid=st.booleans(),
    ratings=st.tuples(*3 * [st.floats(0.5, 4.0)]),
)  # fmt: skip
def test_one_second_from_the_same_state_is_that_of_the_plain_one(site, supply, start, rest, pv, beside, grid, ratings) -> None:
    """From any charge, with any powers, one step agrees with the plain engine to 1e-12 of what flows."""
    if supply["battery"]:
        supply["battery"]["start"] = start
    course = [(1, rest, pv, grid, True, beside)]
    of, plain = made(site, supply, course, ratings, (1.0, 1.0, 1.0), 1)
    compare(of, plain, supply, course, 1, share=1e-12)


LOAD = {
    "never": False, "min_on": 0, "min_off": 0, "restart": 0, "power_up": "open", "fail_safe": "open", "lost_after": 0, "link": 0,
    "unattended": True,
}  # fmt: skip
CYCLE = {"beside": False, "acts": True, "rests_open": False, "kind": "cycle", "begins": "on"}
LIMIT = {
    "beside": False, "acts": True, "rests_open": False, "kind": "limit", "above": True, "signal": "power", "closes": False,
    "interval": 0, "report": 0,
}  # fmt: skip


def invented_forenoon():
    """A forenoon of minutes: two loads on timers, one held back by a limit, shedding, sun, a battery and two outages."""
    told = {
        "rules": [
            {**CYCLE, "id": "r0", "load": 0, "on": 1500, "off": 3100},
            {**CYCLE, "id": "r1", "load": 1, "on": 700, "off": 1900},
            {**LIMIT, "id": "r2", "load": 2, "pick": 7, "drop": 5, "on_delay": 90, "off_delay": 240},
        ],
        "loads": [{**LOAD}, {**LOAD, "min_off": 120}, {**LOAD, "restart": 45, "power_up": "closed"}],
        "locks": [], "needs": [], "manual": [],
        "shed": {"pick": 8, "restore": 4, "delay": 20, "next": 10, "back": 300, "interval": 0, "report": 0, "order": [1, 0, 2]},
    }  # fmt: skip
    control = written(told)
    for load in told["loads"]:
        load.update({key: WORDS[load[key]] for key in ("power_up", "fail_safe")})
    supply = {
        "rating": 9.0, "curve": ((1.2, 600.0), (1.6, 40.0), (3.0, 0.5)), "closed_after": 600.0,
        "battery": {
            "energy": 21_000.0, "charge": 2.3, "discharge": 3.1, "in": 0.95, "out": 0.93, "reserve": 0.31, "floor": 0.107,
            "back": 0.253, "start": 0.519, "shave": 0.0, "refill": 0.0,
        },
        "generator": None, "va": 6.0, "role": "carries the site in outages", "overloads": ((1.25, 60.0), (1.5, 10.0), (2.0, 0.5)),
        "restart": 300.0, "idle": 0.013,
    }  # fmt: skip
    outages = (16, 17, 22)
    # Half hours from six to one: what the rest of the site draws, W, and the sun.
    course = [
        (30, 0.31 + 1.7 * abs(np.sin(0.4 * k)), max(0.0, 4.3 * np.sin((k - 12) / 24 * np.pi)), k not in outages, True, 0.4)
        for k in range(12, 26)
    ]
    return (control, told), supply, course


def test_a_forenoon_of_minutes_is_that_of_the_plain_one() -> None:
    """Every switching of an invented forenoon stands at the plain engine's second, and energy is neither made nor lost."""
    site, supply, course = invented_forenoon()
    of, plain = made(site, supply, course, (2.1, 1.3, 3.7), (1.0, 1.0, 1.0), 60)
    run = compare(of, plain, supply, course, 60)
    assert len(moves(of, run)) > 20
