"""What loads lack where control fails: held against what is drawn and what the time switch gives, by hand."""

import datetime as dt
from dataclasses import replace

import pytest

from tests.supply.sizing.sites import DAYS, asking, way
from wattwright.control.rules import Control
from wattwright.core.show import Show
from wattwright.supply.sizing.cases import Short, shorts
from wattwright.supply.sizing.json_form import quote_json
from wattwright.supply.sizing.quote import _of_control, _of_nearest, quote
from wattwright.supply.sizing.table import case_rows
from wattwright.supply.sizing.way import Way

SHOW = Show("en_GB", "SI", "UTC")
NAMES = {"tank": "Tank", "pump": "Pump"}
BACKUP = "carries the site in outages"
DRAWN_L = 4.0 * 20.0
"""What ``sites.scenario`` draws of the tank on each day."""


def plan(fail_safe):
    """A plan whose contacts fall into a state when their link is lost."""
    times = [{"on": dt.time(10), "off": dt.time(14)}]
    rule = {"id": "pump-times", "load": "pump", "kind": "time programme", "times": times}
    actuator = [{"load": one, "fail_safe": fail_safe} for one in ("tank", "pump")]
    return Way(way().scenario, Control.model_validate({"rule": [rule], "actuator": actuator}), ("tank", "pump"))


@pytest.fixture(scope="module")
def opened():
    """A quote whose loads are off when the link is lost."""
    return quote(replace(asking(BACKUP, outage_s=3600.0), names=NAMES), way(), plan("open"))


def test_a_link_lost_tells_what_is_lacking(opened):
    """Off for the week, a tank of 150 l gives one warm draw or two of seven, and the pump none of its 4 h a day."""
    _, lost, _ = opened.cases
    assert (lost.name, lost.found.trips, lost.found.unserved_kwh) == ("link lost", 0, 0.0)
    short = {one.load: one for one in shorts(lost.found, opened.quoted)}
    assert (DAYS - 2) * DRAWN_L <= short["tank"].amount <= (DAYS - 1) * DRAWN_L
    # What the plan itself holds off in outages is no lack beside it.
    assert short["pump"].runs
    assert DAYS * 4.0 - 3.0 <= short["pump"].amount <= DAYS * 4.0
    rows = {row[0]: row[1:] for row in case_rows(opened, NAMES, SHOW)}
    assert rows["Tank lacks, in 7 days"][1] == f"{SHOW.nominal(short['tank'].lacks, 2)} litre"
    assert rows["Pump runs less, in 7 days"][:2] == ("none", f"{SHOW.nominal(short['pump'].amount, 2)} h")
    told = [one.says(SHOW) for one in opened.findings if one.code.startswith("supply.control-fails-")]
    lacks, works = (dict(row) for row in ((one[:2] for one in case.found.lacks) for case in (lost, opened.cases[0])))
    assert short["tank"].amount == pytest.approx(lacks["tank"] - works["tank"])
    # The same figures as in the rows.
    assert told == [
        f"With link lost, Tank lacks {rows['Tank lacks, in 7 days'][1]} in 7 days, and {SHOW.nominal(works['tank'], 2)} litre "
        "while the plan works.",
        f"With link lost, Pump runs {rows['Pump runs less, in 7 days'][1]} less in 7 days than while the plan works.",
    ]
    plain = {one["case"]: one["gives_less"] for one in quote_json(opened, SHOW)["cases"]}
    assert plain["plan working"] == []
    assert [(one["load"], one["what"], one["unit"]) for one in plain["link lost"]] == [
        ("tank", "gives", "litre"), ("pump", "runs", "h"),
    ]  # fmt: skip


def test_contacts_that_close_by_themselves_lack_nothing():
    """The same loads left on: no service is short, nothing is told of them, and no row stands for it."""
    made = quote(replace(asking(BACKUP, outage_s=3600.0), names=NAMES), way(), plan("closed"))
    assert not shorts(made.cases[1].found, made.quoted)
    assert not [one for one in case_rows(made, NAMES, SHOW) if "lacks" in one[0] or "runs less" in one[0]]
    assert not [one for one in made.findings if one.code.startswith("supply.control-fails-")]


def test_beside_the_grid_lacks_are_told_too():
    """There no outage fails, but a link that is lost leaves the tank cold all the same; without trips there is no row of them."""
    ask = replace(asking(prices={"pv_kw": "9", "inverter_kw": "2", "battery_kwh": "3"}), names=NAMES)
    made = quote(ask, way(), replace(plan("open"), order=()))
    codes = [one.code for one in made.findings]
    assert "supply.control-fails-load" in codes
    assert "supply.control-fails" not in codes
    heads = [row[0] for row in case_rows(made, NAMES, SHOW)]
    assert "trips" not in heads
    assert "highest import of 15 min" in heads


def test_a_contact_welded_in_a_battery_too_small_leaves_others_short(opened):
    """Whatever a case leaves undone is held against the plan working, load by load; less than half a unit is nothing."""
    welded = replace(opened.quoted, lacks=(("tank", 40.0, "litre"),), runs_h=(("pump", 27.0),))
    working = replace(opened.quoted, lacks=(("tank", 10.0, "litre"),), runs_h=(("pump", 27.4),))
    assert shorts(welded, working) == (Short("tank", 30.0, "litre", lacks=40.0),)
    assert shorts(working, welded) == ()
    assert case_rows(replace(opened, cases=()), NAMES, SHOW) == [("What would be quoted, with",)]


def told_of(made):
    """What findings say of control that fails, the loads left aside."""
    codes = ("supply.control-fails", "supply.control-trips")
    return [
        one.says(SHOW).replace("\u202f", " ") for one in _of_control(asking(BACKUP, outage_s=3600.0), made) if one.code in codes
    ]


@pytest.mark.parametrize(
    ("trips", "unserved_kwh", "told"),
    [
        (0, 1.3391, ["With link lost 1.34 kWh are not served."]),
        (25, 0.0, ["With link lost the supply trips (25 × in the record)."]),
        (0, 1e-5, ["With link lost 0.001 kWh are not served."]),
        (1, 0.2, ["With link lost the supply trips (1 × in the record).", "With link lost 0.2 kWh are not served."]),
        (0, 0.0, []),
    ],
)
def test_what_fails_is_told_without_noughts(opened, trips, unserved_kwh, told):
    """Neither no energy nor no trips are told, and no digits that nobody needs."""
    working, lost, _ = opened.cases
    lost = replace(lost, found=replace(lost.found, trips=trips, unserved_kwh=unserved_kwh))
    assert told_of(replace(opened, quoted=replace(opened.quoted, unserved_kwh=0.0), cases=(working, lost))) == told


def test_the_nearest_of_what_cannot_be_reached_is_told_without_noughts(opened):
    """What trips is told by its trips, and beside them by what it leaves, where it leaves anything."""
    for trips, lpsp, codes in (
        (3, 0.0, ["supply.not-reached-trips"]),
        (3, 0.25, ["supply.not-reached-trips", "supply.not-reached"]),
        (0, 0.25, ["supply.not-reached"]),
        (0, 0.0, ["supply.not-reached"]),
    ):
        told = list(_of_nearest("the plan", replace(opened.quoted, trips=trips, lpsp=lpsp), 0.0))
        assert [one.code for one in told] == codes
