"""The chance of a trip before the order has come: by hand, event by event, and by the engine."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings, strategies as st

from tests.plan.shed.kit import QUICK, event, events, order_way, quick, sites, ways
from tests.simulate.sites import heater, motor, scenario
from wattwright.control.rules import Control, Shedding
from wattwright.core.errors import InputError
from wattwright.core.fields import Held
from wattwright.plan.shed.chance import alone_share, trip_share, unshed_share
from wattwright.plan.shed.draws import drawn
from wattwright.plan.shed.overload import overloads
from wattwright.plan.shed.site import shed_site
from wattwright.plan.shed.spec import ShedGear
from wattwright.plan.shed.way import first_word, response, way
from wattwright.simulate.columns import TRIPS
from wattwright.simulate.drivers import steady
from wattwright.simulate.run import simulate
from wattwright.simulate.supply import Battery, Connection, Inverter, Supply


@pytest.mark.parametrize(
    ("one", "of", "share"),
    [
        # At once: no time passes.
        (quick(), event(), 0.0),
        # Latest value every 40 s, 10 s are borne: three of four come too late.
        (quick(interval_s=40.0, means=False), event(), 0.75),
        # The same with a delay of 4 s: only 6 s are left.
        (quick(interval_s=40.0, means=False, delay_s=4.0), event(), 0.85),
        # A mean over 40 s of which a tenth of the rise lies below: it tells 4 s later.
        (quick(interval_s=40.0), event(seen_share=0.1), 0.85),
        # A fixed delay beyond what is borne, and one below.
        (quick(report_s=11.0), event(), 1.0),
        (quick(report_s=9.0), event(), 0.0),
        # One report in five is lost, the next comes 6 s later: the first is in time, the second if U(6, 12) < 10.
        (quick(interval_s=6.0, means=False, report_loss_share=0.2, repeat_s=6.0), event(), 0.2 - 0.8 * 0.2 * 4 / 6),
        # Half of the commands are lost and sent again every 4 s: at 0, 4 and 8 s they are in time.
        (quick(command_loss_share=0.5, repeat_s=4.0), event(), 0.125),
        # Two loads 8 s apart: 1.4 for 8 s at 10 s, then 1.2 at 60 s for ever after the second? Both open: 0.9.
        (quick(next_s=8.0), event(1.4, frees=((0, 0.2), (1, 0.3))), 0.0),
        # The same, the first word after 8.5 s: 8.5 / 10 + 8 / 60 = 0.98; after 9 s: 1.03.
        (quick(next_s=8.0, report_s=8.5), event(1.4, frees=((0, 0.2), (1, 0.3))), 0.0),
        (quick(next_s=8.0, report_s=9.0), event(1.4, frees=((0, 0.2), (1, 0.3))), 1.0),
        # What is left is still above the rating.
        (quick(), event(1.4, frees=((0, 0.2),)), 1.0),
        # Nothing to shed, nothing seen, and no overload at all.
        (quick(), event(frees=()), 1.0),
        (quick(), event(seen_share=np.inf), 1.0),
        (quick(report_s=1e6), event(1.0), 0.0),
        # Beyond what is borne at all.
        (quick(), event(2.1, frees=((0, 1.5),)), 1.0),
        # A start of 1.9 for 0.3 s uses up 0.6; 4 s of 1.5 are left after it.
        (quick(report_s=4.2), event(start_ratio=1.9, lasts_s=0.3), 0.0),
        (quick(report_s=4.4), event(start_ratio=1.9, lasts_s=0.3), 1.0),
        # A start that is not borne, or not for so long.
        (quick(), event(start_ratio=2.5, lasts_s=0.3), 1.0),
        (quick(), event(start_ratio=1.9, lasts_s=0.5), 1.0),
    ],
)  # fmt: skip
def test_by_hand(one, of, share):
    """Shares worked out on paper: lengths of intervals, geometric numbers of losses, wear by and by."""
    assert trip_share(one, of) == pytest.approx(share, abs=1e-9)


@settings(max_examples=40)
@given(ways(), events())
def test_agrees_with_events_one_by_one(one, of):
    """Closed form and 20,000 events gone through one by one agree within five standard errors, share and response time."""
    told, seen = trip_share(one, of), drawn(one, of, 11, 20_000)
    # Narrow spreads beside wide ones count in full: up to 0.02 s / 60 s.
    assert told == pytest.approx(seen.trip_share, abs=5.0 * seen.error_share + 5e-4)
    times = response(one, of)
    for share, found in ((0.5, seen.median_s),):
        assert float(times.by(found)) == pytest.approx(share, abs=5.0 * np.sqrt(0.25 / 20_000) + _atom(times, found))


def _atom(times, at):
    """How much of a time lies at one instant: there a quantile is any share between."""
    return float(times.by(at + 1e-6) - times.by(at - 1e-6))


@settings(max_examples=40)
@given(ways(), events(), st.sampled_from(["delay_s", "report_s", "contactor_s", "interval_s"]), st.floats(0.1, 20.0))
def test_longer_is_never_better(one, of, name, more):
    """A longer delay, report, contactor or measuring interval never lowers the chance of a trip."""
    longer = replace(one, **{name: getattr(one, name) + more})
    assume(name != "interval_s" or one.interval_s > 0.0)
    # Which spreads count in full depends on the widest, so a wider interval may gain what they were too late.
    slack = 1e-3 if name == "interval_s" else 1e-7
    assert trip_share(longer, of) >= trip_share(one, of) - slack


@settings(max_examples=40)
@given(ways(), events(), st.floats(1.0, 2.0))
def test_headroom_never_harms(one, of, more):
    """The same event on a supply that is rated higher trips it no more often."""
    wider = replace(of.limit, conductor_va=of.limit.conductor_va * more)
    easier = replace(of, limit=wider, ratio=of.ratio / more, start_ratio=of.start_ratio / more)
    assert trip_share(one, easier) <= trip_share(one, of) + 1e-9


@settings(max_examples=40)
@given(ways(), events(), st.sampled_from(["report_loss_share", "command_loss_share"]))
def test_loss_is_never_better(one, of, name):
    """More lost telegrams never lower the chance of a trip."""
    assert trip_share(replace(one, **{name: 0.4}), of) >= trip_share(one, of) - 1e-7


@settings(max_examples=30)
@given(sites(), st.floats(1.0, 1.6))
def test_a_larger_supply_is_never_worse(given_, more):
    """Whatever can happen on a site, with a larger rating the worst of it trips no more often."""
    of, gear = given_
    one, limit = order_way(of, gear), of.limits()[0]
    wider = replace(limit, conductor_va=limit.conductor_va * more)
    worst = [
        max(trip_share(one, each) for each in overloads(of, each_limit, 1, one.averaged_s())) for each_limit in (limit, wider)
    ]
    assert worst[1] <= worst[0] + 1e-3


def test_a_link_that_never_carries():
    """Where every command, or every report, is lost the order never comes."""
    for name in ("report_loss_share", "command_loss_share"):
        lost = quick(repeat_s=1.0, **{name: 1.0})
        assert trip_share(lost, event()) == 1.0
        assert response(lost, event()).never_share == 1.0
        seen = drawn(lost, event(), 1, 500)
        assert (seen.trip_share, seen.median_s) == (1.0, np.inf)


def test_reports_that_never_tell():
    """A report that is lost each time is looked for no longer than so many times, and then never comes."""
    lost = quick(interval_s=1.0, report_loss_share=1.0, repeat_s=1.0)
    assert drawn(lost, event(), 1, 100).trip_share == 1.0
    assert drawn(quick(), event(seen_share=np.inf, frees=()), 1, 100).trip_share == 1.0
    assert first_word(quick(), np.inf).never_share == 1.0


def test_what_opens_by_itself():
    """A relay that opens 9 s after the link went saves a supply that bears 10 s; one that takes 10 s does not."""
    assert alone_share(event(), np.array([9.0])) == 0.0
    assert alone_share(event(), np.array([10.0])) == 1.0
    assert alone_share(event(frees=()), np.zeros(0)) == 1.0
    assert (unshed_share(event(1.0)), unshed_share(event(1.01))) == (0.0, 1.0)


def test_way_of_an_order():
    """What the rules and the gear say becomes the way of an order; loss without repetition cannot be told."""
    shed = Shedding.model_validate(
        {"pick_up": "5 kW", "restore": "3 kW", "order": ["a"], "delay": "2 s", "measured_every": "4 s", "reported_after": "1 s"}
    )
    one = way(shed, ShedGear(report_loss=Held(0.1), link_spread_s=Held(0.5)))
    assert (one.interval_s, one.report_s, one.delay_s, one.repeat_s, one.averaged_s()) == (4.0, 1.0, 2.0, 4.0, 4.0)
    assert way(shed, ShedGear(shows="latest value")).averaged_s() == 0.0
    assert one.reporting(2.0).repeat_s == 2.0
    assert replace(one, repeat_s=9.0).reporting(2.0).repeat_s == 9.0
    assert way(shed, ShedGear(repeats_s=Held(7.0), report_loss=Held(0.1))).repeat_s == 7.0
    at_once = shed.model_copy(update={"interval_s": 0.0})
    with pytest.raises(InputError, match="how long after it was lost"):
        way(at_once, ShedGear(command_loss=Held(0.1)))
    assert way(at_once, ShedGear()) == replace(QUICK, report_s=1.0, delay_s=2.0, contactor_s=0.05)


def test_draws_hang_on_their_seed():
    """The same seed draws the same events, another one others, and the share agrees."""
    one = quick(interval_s=40.0, means=False)
    same, again, other = (drawn(one, event(), seed, 5000) for seed in (1, 1, 2))
    assert same == again
    assert same != other


@pytest.mark.parametrize("interval_s", [7, 11, 13, 17, 23, 29, 41])
def test_agrees_with_the_engine(interval_s):
    """The engine, second by second, trips where the phase of its meter leaves too little time, and only there.

    What comes at 300 s is measured at the next multiple of the interval; delay 2 s, link 1 s; 1.5 times is borne for 10 s.
    """
    supply = Supply(
        connection=Connection(),
        inverter=Inverter(rating_va=Held(4000.0), role="stand-alone"),
        battery=Battery(capacity_wh=Held(90_000.0), charge_w=Held(9000.0), discharge_w=Held(9000.0), start=Held(1.0)),
    )
    told = {
        "shedding": {
            "pick_up": "4 kW", "restore": "1 kW", "order": ["heater"], "delay": "2 s", "measured_every": f"{interval_s} s",
        },
        "actuator": [{"load": "heater", "link_delay": "1 s"}],
    }  # fmt: skip
    drivers = steady(10, 1, rest_w=500.0)
    drivers.rest_w[5:, 0] = 3000.0
    of = scenario([heater("heater", 3000.0)], told, supply=supply, drivers=drivers)
    trips = simulate(of).events[:, 2] == TRIPS
    waits_s = -(-300 // interval_s) * interval_s - 300
    assert trips.any() == (waits_s + 3.0 >= 10.0)
    site = shed_site(of, Control.model_validate(told), rest_w=np.array([3000.0]))
    one = order_way(site, ShedGear(shows="latest value", contactor_s=Held(0.0)))
    worst = max(overloads(site, site.limits()[0]), key=lambda each: each.ratio)
    # Evenly over the phases of the meter: (interval - 7 s) / interval of them leave too little time.
    assert trip_share(one, worst) == pytest.approx(max(0.0, interval_s - 7.0) / interval_s, abs=1e-9)


def test_currents_are_those_of_the_engine():
    """Everything on at once draws in the check what it draws in the engine, motors with their power factor."""
    loads = [heater("heater", 2000.0), motor("pump", 1100.0)]
    drivers = steady(3, 2, rest_w=800.0)
    of = scenario(loads, None, supply=Supply(connection=Connection(rating_a=Held(50.0))), drivers=drivers)
    run = simulate(of)
    site = shed_site(of, Control(), {"pump": "well pump"})
    watts, reactive = site.power(site.loads)
    assert float(np.hypot(watts, reactive)[0]) / 230.0 == pytest.approx(float(run.phase_a[2, 0]))
    assert [one.name for one in site.loads] == ["heater", "well pump"]
    pump = site.load("pump")
    assert float((np.hypot(watts, reactive) + pump.start_va)[0]) / 230.0 == pytest.approx(float(run.phase_a[0, 0]))
    with pytest.raises(InputError, match="one for each of 1 conductors"):
        shed_site(of, Control(), rest_w=np.zeros(3))
