"""The whole check: limits, cases, findings, and how they are told."""

import datetime as dt
import json

import numpy as np
import pytest

from tests.plan.shed.kit import grid, island, load, shedding, site
from wattwright.catalogue.load import generic_gear
from wattwright.core.envelope import to_json
from wattwright.core.errors import InputError
from wattwright.core.fields import Held
from wattwright.core.findings import Severity
from wattwright.core.show import Show
from wattwright.demand.within.bands import Passing
from wattwright.plan.shed.cases import Chance
from wattwright.plan.shed.check import crossings_a_year, shed_check, times_a_year
from wattwright.plan.shed.json_form import shed_json
from wattwright.plan.shed.spec import AcceptedControl, ShedGear
from wattwright.plan.shed.table import CASES, RETURNS, case_rows, limit_lines, return_rows
from wattwright.plan.shed.withstand import breaker

SHOW = Show()
LATEST = ShedGear(shows="latest value")
FEW = Chance(per_year=(2.0, 5.0, 10.0), count=4000)
ACCEPTED = AcceptedControl(by="A. Body, inspector", on=dt.date(2026, 1, 2), rule="clause 5 of the local code")


def house(supply=None, loads=None, rest_w=1600.0, actuator=(), rule=(), **shed):
    loads = loads or [load("boiler", 2400.0), load("heater", 2000.0), load("pump", 1100.0)]
    told = shedding(**{"order": ["boiler", "heater"], **shed})
    return site(loads, supply or island(), rest_w, told, actuator=list(actuator), rule=list(rule))


def case(checked, name, limit=0):
    return next(one for one in checked.limits[limit].cases if one.name == name)


def codes(checked):
    return [one.code for one in checked.findings]


def test_in_time():
    """Reports each second, 10 s borne at 1.42 times: no event of a working order trips; each failed case does, and is a stop."""
    checked = shed_check(house(measured_every="1 s"), gear=LATEST, chance=FEW)
    (limit,) = checked.limits
    assert limit.verdict.status == "in time"
    assert (limit.everything_w, limit.relies) == (7100.0, True)
    works = case(checked, "the plan works")
    assert (works.trip_share, works.drawn_share, works.trips_a_year) == (0.0, 0.0, (0.0, 0.0, 0.0))
    assert works.event.before_a == pytest.approx((4700 / 230,))
    assert works.event.after_a == pytest.approx((7100 / 230,))
    assert (works.event.after_w, works.event.holds_s, works.event.sheds) == (7100.0, 10.0, ("boiler",))
    assert works.year_share == (0.0, 0.0, 0.0)
    # Five trips a year: e^-5 of the years have none.
    assert case(checked, "the link is lost").year_share[1] == pytest.approx(1.0 - 0.006737947)
    for name in ("the link is lost", "the meter restarts"):
        assert (case(checked, name).trip_share, case(checked, name).failed) == (1.0, True)
        assert case(checked, name).trips_a_year == (2.0, 5.0, 10.0)
    # Heater and pump and 1.6 kW remain where the boiler may not open; then the heater goes: 5.1 kW, still 1.02 times.
    weld = case(checked, "a contactor is welded")
    assert (weld.trip_share, weld.detail) == (1.0, "boiler")
    fails = [one for one in checked.findings if one.code == "plan.shed-fails"]
    assert all(one.severity is Severity.STOP for one in fails)
    assert "plan.shed-relies" in codes(checked)


def test_relays_that_open_by_themselves():
    """Without the link relays open after 8 s, which 10 s bear; what then may still run is 2.7 kW, well within."""
    opens = [{"load": id_, "fail_safe": "open", "lost_after": "8 s"} for id_ in ("boiler", "heater")]
    lost = case(shed_check(house(measured_every="1 s", actuator=opens), gear=LATEST, chance=FEW), "the link is lost")
    assert lost.trip_share == 0.0
    late = [{**one, "lost_after": "11 s"} for one in opens]
    lost = case(shed_check(house(measured_every="1 s", actuator=late), gear=LATEST, chance=FEW), "the link is lost")
    assert (lost.trip_share, lost.event.comes) == (1.0, ("boiler",))


def test_a_meter_that_restarts():
    """30 s without a word are too long at 10 s; a meter that is back in 2 s is in time."""
    slow, fast = (
        shed_check(house(measured_every="1 s"), gear=ShedGear(shows="latest value", restart_s=Held(time_s)), chance=FEW)
        for time_s in (30.0, 2.0)
    )
    assert (case(slow, "the meter restarts").trip_share, case(fast, "the meter restarts").trip_share) == (1.0, 0.0)


def test_two_loads_at_once():
    """Two loads of 2 kW on 2 kW of rest are 1.2 times, borne for a minute; one alone is no overload."""
    of = house(
        loads=[load("a", 2000.0), load("b", 2000.0)], rest_w=2000.0, order=["a", "b"], measured_every="30 s", pick_up="4 kW"
    )
    checked = shed_check(of, gear=LATEST, chance=FEW)
    assert case(checked, "the plan works").event.ratio == pytest.approx(0.8)
    both = case(checked, "two loads start together")
    assert (both.event.ratio, both.trip_share) == (pytest.approx(1.2), 0.0)
    assert both.event.sheds == ("a", "b"), "4 kW are seen at the pick-up value still"


def test_not_needed():
    """A supply that bears everything at once needs no shedding, and its cases are not looked at."""
    checked = shed_check(house(supply=grid(40.0), measured_every="60 s"), chance=FEW)
    (limit,) = checked.limits
    assert (limit.verdict.status, limit.cases, limit.response, limit.relies) == ("not needed", (), None, False)
    assert codes(checked) == []
    assert not checked.may_rely


@pytest.mark.parametrize("order", [None, ["boiler"]])
def test_nothing_sheds(order):
    """Without a shed order, or one of loads that nothing may interrupt, the supply is told to be exceeded by luck only."""
    loads = [load("boiler", 2400.0), load("heater", 2000.0)]
    never = [{"load": "boiler", "interrupt": "never"}]
    of = site(loads, island(), 1600.0, order and shedding(order=order), actuator=never)
    checked = shed_check(of, chance=FEW)
    (limit,) = checked.limits
    assert limit.verdict.status == "nothing sheds"
    assert [one.name for one in limit.cases] == ["nothing sheds"]
    assert codes(checked)[-1] == "plan.shed-nothing"
    assert checked.quantity == (order and "site power")
    small = shed_check(site(loads[:1], island(), 100.0), chance=FEW)
    assert small.limits[0].verdict.status == "not needed"


def test_accepted_control():
    """A rating may rely on control only where it was accepted and comes in time; a finding says by whom, when, by which rule."""
    checked = shed_check(house(measured_every="1 s"), gear=LATEST, accepted=ACCEPTED, chance=FEW)
    assert checked.may_rely
    (note,) = [one for one in checked.findings if one.code == "plan.shed-accepted"]
    assert "A. Body, inspector accepted it on 2026-01-02 by clause 5 of the local code" in note.says(SHOW)
    assert not shed_check(house(measured_every="1 s"), gear=LATEST, chance=FEW).may_rely
    assert not shed_check(house(measured_every="60 s"), gear=LATEST, accepted=ACCEPTED, chance=FEW).may_rely


def test_cannot_protect():
    """Once a minute against 10 s at 1.42 times: stop, with the numbers, what meter it would take, and the way round."""
    checked = shed_check(house(measured_every="60 s", reported_after="1 s", delay="2 s"), chance=FEW)
    stop = next(one for one in checked.findings if one.code == "plan.shed-cannot").says(SHOW).replace("\u202f", " ")
    # 300 W of 2.4 kW lie below the pick-up value: 7.5 s of a mean over a minute, 1 s report, 0.05 s contactor.
    assert "1.42 times its rating is borne for 10 s" in stop
    assert "takes 8.6 s to 68.5 s" in stop or "takes 8.5 s to 68.5 s" in stop
    assert {"plan.shed-quicker-meter", "plan.shed-set-power"} <= set(codes(checked))
    assert checked.findings[0].severity is Severity.STOP


@pytest.mark.parametrize(
    ("of", "gear", "code", "words"),
    [
        (
            house(measured_every="4 s", delay="8 s"), LATEST, "plan.shed-set-time",
            "set the on-delay of shedding to 5.9 s or less (now 8 s)",
        ),
        (
            house(measured_every="20 s", delay="12 s"), ShedGear(shows="latest value", fastest_s=Held(5.0)), "plan.shed-set-time",
            ", with the on-delay of shedding and the wait between two loads at the quickest.",
        ),
        (
            house(loads=[load("lamp", 100.0), load("boiler", 2500.0), load("heater", 2000.0)], rest_w=2500.0,
                  order=["lamp", "heater", "boiler"], next_after="12 s"),
            LATEST, "plan.shed-set-order", "shed in the order boiler, heater and lamp",
        ),
        (house(measured_every="4 s", delay="8 s"), LATEST, "plan.shed-late", "too late for the inverter in 51.3 % of the events"),
        (house(pick_up="8 kW"), LATEST, "plan.shed-unseen", "without shedding seeing it"),
        (house(order=["pump"]), LATEST, "plan.shed-too-little", "does not take enough off the inverter"),
        (
            house(loads=[load("boiler", 9500.0)], order=["boiler"]), LATEST, "plan.shed-beyond",
            "The inverter does not bear boiler on top of the rest of the site at all: that takes 2.22 times",
        ),
        (
            house(loads=[load("pump", 1000.0, start_va=9000.0, lasts_s=0.4)], order=["pump"]), LATEST, "plan.shed-start",
            "The start of pump on top of the rest of the site takes 2.32 times the rating of the inverter for 400 ms; it bears "
            "that for 0 s.",
        ),
        (house(measured_every="2 s"), ShedGear(command_loss=Held(1.0)), "plan.shed-never", "the order may never come"),
        (
            house(supply=grid(20.0, withstands=((2.0, 5.0),)), quantity="current", pick_up="20 A", restore="9 A",
                  measured_every="9 s"),
            LATEST, "plan.shed-set-current", " A or less (now 20 A)",
        ),
        (
            house(rest_w=5200.0, measured_every="1 s"), LATEST, "plan.shed-rest-above",
            "with 5.20 kW: while it does, boiler and heater stay off",
        ),
        (house(measured_every="1 s"), LATEST, "plan.shed-rebound-always", "no stagger of the loads keeps it within"),
    ],
)  # fmt: skip
def test_findings_in_words(of, gear, code, words):
    """Each kind of finding says what it found with its numbers."""
    checked = shed_check(of, gear=gear, chance=FEW)
    told = [one.says(SHOW).replace("\u202f", " ") for one in checked.findings if one.code == code]
    assert any(words in one for one in told), told or codes(checked)


def test_what_comes_back_in_words():
    """A stagger that is enough is named in whole seconds; loads that a programme releases together are named with the time."""
    night = {"on": dt.time(22), "off": dt.time(6)}
    rules = [{"id": f"r-{id_}", "kind": "time programme", "load": id_, "times": [night]} for id_ in ("boiler", "heater")]
    checked = shed_check(
        house(measured_every="1 s", rule=rules), gear=LATEST, chance=FEW, duty={"boiler": 0.2, "heater": 0.3, "pump": 0.1}
    )
    told = {one.code: one.says(SHOW).replace("\u202f", " ") for one in checked.findings}
    assert "at a stagger of 0 s. A stagger of 30 min keeps it within." in told["plan.shed-rebound"]
    assert "At 22:00 the programmes release boiler and heater together: 1.20 times" in told["plan.shed-released"]


def test_curves_of_other_devices():
    """A curve that is given replaces that of the supply: a breaker bears less than is usual by what its standard demands."""
    of = house(supply=grid(20.0), measured_every="4 s", pick_up="4.6 kW")
    usual = shed_check(of, gear=LATEST, chance=FEW)
    strict = shed_check(of, gear=LATEST, chance=FEW, withstands={"connection": breaker("C", 20.0)})
    assert usual.limits[0].verdict.status == "in time"
    assert case(strict, "the plan works").event.holds_s == 1.0
    assert strict.limits[0].verdict.status != "in time"


def test_shares_of_the_time():
    """A duty that is no share is refused by name."""
    with pytest.raises(InputError, match=r"duty\.boiler: found 1\.5"):
        shed_check(house(), duty={"boiler": 1.5})


def test_times_a_year():
    """73 times in a fifth of a year are 365 a year."""
    passing = Passing(5000.0, (1.0, 2.0, 3.0), (0.0, 73.0, 146.0), (1.0, 1.0, 1.0))
    assert times_a_year(passing, 73 * 86_400.0) == pytest.approx((0.0, 365.0, 730.0))


def test_crossings_a_year():
    """A day of hours that passes 5 kW twice from below, once out of a gap, does so 730 times a year."""
    power_w = np.full(24, 1000.0)
    power_w[[0, 5, 6, 12]], power_w[11] = 6000.0, np.nan
    assert crossings_a_year(power_w, 3600.0, 5000.0) == pytest.approx(730.0)


def test_gear_of_the_catalogue():
    """A class of gear brings its losses, its contactor and its shortest interval."""
    radio = ShedGear.of(next(one for one in generic_gear() if one.id == "radio-switch"))
    assert (radio.command_loss, radio.contactor_s, radio.fastest_s) == (0.01, 0.05, 10.0)


def test_rows_and_lines():
    """Each row has a cell for each head, with kW and amps; the line of a limit shows the working of its response time."""
    of = house(supply=island(rating_a=25.0), measured_every="60 s", reported_after="1 s", delay="2 s")
    checked = shed_check(of, chance=FEW)
    rows = case_rows(checked, SHOW)
    assert {len(one) for one in rows} == {len(CASES)}
    assert {len(one) for one in return_rows(checked, SHOW)} == {len(RETURNS)}
    works = next(one for one in rows if one[0] == "inverter")
    assert works[1:7] == ("the plan works", "boiler", "7.10", "30.9", "1.42", "10\u202fs")
    told = [one.replace("\u202f", " ") for one in limit_lines(checked, SHOW)]
    assert told[1].startswith("inverter, 5 kVA: everything together 7.10 kW, 30.9 A. Shedding takes ")
    assert "(up to meter 67.5 s + report 1 s + on-delay 2 s + link, relay and contactor 50 ms). Cannot protect." in told[1]
    plain = shed_check(house(supply=grid(40.0)), chance=FEW)
    assert limit_lines(plain, SHOW)[0].endswith("A. Not needed.")
    started = house(loads=[load("pump", 1000.0, start_va=9000.0, lasts_s=0.4)], order=["pump"])
    assert case_rows(shed_check(started, chance=FEW), SHOW)[0][5] == "2.32 at the start"
    nothing = site([load("boiler", 4000.0)], island(), 2000.0)
    (row,) = case_rows(shed_check(nothing, chance=FEW), SHOW)
    assert (row[2], row[8], row[9]) == ("everything", "–", "5.00")
    (row,) = case_rows(shed_check(nothing, chance=Chance()), SHOW)
    assert row[9] == "–"
    single = house(
        loads=[load("a", 2000.0), load("b", 2000.0)], rest_w=2000.0, order=["a", "b"], pick_up="4 kW", measured_every="1 s"
    )
    assert case_rows(shed_check(single, gear=LATEST, chance=FEW), SHOW)[0][6] == "always"


def test_json_is_plain():
    """The JSON form holds kW, amps in each conductor, the cases and the verdict, and is JSON for everybody."""
    checked = shed_check(house(measured_every="60 s"), accepted=ACCEPTED, chance=FEW)
    told = json.loads(to_json("wattwright.test/1", shed_json(checked, SHOW)), parse_constant=pytest.fail)
    (limit,) = told["limits"]
    assert (limit["rating"], limit["rating_unit"], limit["everything"]["kw"]) == (5000.0, "VA", 7.1)
    assert [one["name"] for one in limit["cases"]] == [
        "the plan works", "two loads start together", "the meter restarts", "the link is lost", "a contactor is welded",
    ]  # fmt: skip
    assert limit["cases"][0]["event"]["after"] == {"kw": 7.1, "a": [pytest.approx(7100 / 230, abs=1e-4)]}
    assert limit["verdict"]["status"] == "cannot protect"
    assert limit["verdict"]["other_hardware"][0]["setting"] == "report every"
    assert told["control_accepted"]["on"] == "2026-01-02"
    assert told["rating_may_rely_on_control"] is False
    assert told["returns"][0]["stagger_that_is_enough_s"] is None
    nothing = json.loads(to_json("wattwright.test/1", shed_json(shed_check(site([], island()), chance=FEW), SHOW)))
    assert (nothing["looks_at"], nothing["limits"][0]["response_s"]) == (None, None)


def test_the_same_seed_tells_the_same():
    """Two checks of the same site are the same, and another seed changes what was drawn only."""
    of = house(measured_every="12 s")
    one, again, other = (shed_check(of, gear=LATEST, chance=Chance(seed=seed, count=3000)) for seed in (1, 1, 2))
    assert one == again
    assert case(one, "the plan works").trip_share == case(other, "the plan works").trip_share
    assert case(one, "the plan works").drawn_share != case(other, "the plan works").drawn_share
    assert case(one, "the plan works").trip_share == pytest.approx((12.0 - 9.95) / 12.0)
    assert np.isnan(shed_check(house(measured_every="1 s"), gear=LATEST, chance=FEW).limits[0].verdict.quickest_s)
