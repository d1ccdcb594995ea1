"""Planned against found: on invented records with a fault planted, each fault is told with its day, and a kept plan as kept."""

from datetime import date

import numpy as np
import pytest

from wattwright.core.clock import SiteClock
from wattwright.core.series import of_values
from wattwright.core.show import Show
from wattwright.proof.acted import acted
from wattwright.proof.course import Course
from wattwright.proof.edges import rises, scatter_w, steps_w
from wattwright.proof.seal import SealedLoad

CLOCK = SiteClock("Europe/Athens")
FIRST = date(2024, 11, 1)
DAYS, STEP_S = 120, 60
START_S = int(CLOCK.midnights_s(FIRST, 1)[0])
PER_DAY = 86_400 // STEP_S
MIDDLE = 60
SHOW = Show(zone=CLOCK.zone)


def rule(load, on="22:00:00", off="06:00:00", **more):
    """A time programme as it is frozen."""
    times = [{"days": ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"], "on": moment(on), "off": moment(off)}]
    return {"id": f"{load}-times", "load": load, "kind": "time programme", "times": times, **more}


def moment(text):
    """A moment of the day as it is frozen."""
    return {"clock": text, "sun": "", "offset_s": 0.0} if ":" in text else {"clock": None, "sun": text, "offset_s": 0.0}


def load(name="heater", rating_w=3000.0, **given):
    """A planned load, let run from 22:00 to 06:00."""
    return SealedLoad(id=name, name=name, rating_w=rating_w, meter="", rules=(rule(name, **given),))


def runs(on_h=22.0, level_w=3000.0, days=range(DAYS), hours=1.5):
    """The power of a load that runs once a day from an hour on, in winter time."""
    power = np.zeros((DAYS + 1) * PER_DAY)
    for day in days:
        at = round((24 * day + on_h) * 3600 / STEP_S)
        power[at : at + round(hours * 3600 / STEP_S)] = level_w
    return power[: DAYS * PER_DAY]


def record(*loads, step_s=STEP_S, seed=1):
    """A site of 400 W with appliances at random times, and the given loads."""
    draws = np.random.default_rng(seed)
    power = 400 + draws.normal(0, 30, DAYS * PER_DAY) + sum(loads)
    for at in draws.integers(0, len(power) - 40, 12 * DAYS):
        power[at : at + draws.integers(3, 40)] += draws.uniform(200, 2200)
    return of_values(START_S, step_s, power.reshape(-1, step_s // STEP_S).mean(axis=1))


def told(power, *loads):
    """What became of the first load."""
    return acted(power, loads or (load(),), CLOCK)[0]


def day(time_s):
    """The day after the beginning on which an instant lies."""
    return (CLOCK.day_of(time_s) - FIRST).days


def test_a_kept_programme():
    """A load that begins when it is let run is told as kept, at its rating, nearly each time, with nothing to find."""
    one = told(record(runs()))
    assert (one.course, one.findings, one.since_s, one.moved_s) == (Course.KEPT, (), 0, 0)
    assert one.level_w == pytest.approx(3000, rel=0.05)
    assert one.moments == pytest.approx(DAYS, abs=1)
    assert one.seen >= 0.95 * one.moments


@pytest.mark.parametrize("moved_h", [1.0, -3.0, 0.25])
def test_moved_times(moved_h):
    """Times that move on one day are told by how much, and from that day on."""
    one = told(record(runs(days=range(MIDDLE)), runs(22.0 + moved_h, days=range(MIDDLE, DAYS))))
    assert (one.course, one.moved_s) == (Course.MOVED, moved_h * 3600)
    assert day(one.since_s) == pytest.approx(MIDDLE, abs=2)
    (finding,) = one.findings
    assert ("later" if moved_h > 0 else "earlier") in finding.says(SHOW)


def test_a_contact_that_holds_nothing_off():
    """A load that heats morning and evening by its own thermostat from one day on is told as held off no more."""
    free = runs(8.0, days=range(MIDDLE, DAYS), hours=0.5) + runs(13.2, days=range(MIDDLE, DAYS), hours=0.4)
    scattered = sum(runs(15 + k / 7 % 5, days=[MIDDLE + k], hours=0.5) for k in range(DAYS - MIDDLE))
    one = told(record(runs(days=range(MIDDLE)), free, scattered))
    assert one.course is Course.STUCK_ON or one.course is Course.MOVED
    scattered_only = told(record(runs(days=range(MIDDLE)), scattered))
    assert scattered_only.course is Course.STUCK_ON
    assert day(scattered_only.since_s) == pytest.approx(MIDDLE, abs=2)


def test_a_load_that_is_gone():
    """A load that is no longer seen from one day on is told so, and not why."""
    one = told(record(runs(days=range(MIDDLE))))
    assert one.course is Course.LOST
    assert day(one.since_s) == pytest.approx(MIDDLE, abs=2)


@pytest.mark.parametrize("level_w", [1800.0, 4500.0])
def test_a_load_of_another_power(level_w):
    """A load that was replaced is told by the step that is seen instead."""
    one = told(record(runs(days=range(MIDDLE)), runs(days=range(MIDDLE, DAYS), level_w=level_w)))
    assert one.course is Course.REPLACED
    assert one.level_w == pytest.approx(level_w, rel=0.1)
    assert day(one.since_s) == pytest.approx(MIDDLE, abs=4)


def test_days_by_hand():
    """A load that somebody switched on at noon on some days, and that had no need at night, is told with those days."""
    by_hand = (20, 40, 41, 70, 90)
    kept = [one for one in range(DAYS) if one not in by_hand]
    noon = sum(runs(at, days=by_hand, hours=0.5) for at in (9.0, 12.0, 15.0, 18.0))
    one = told(record(runs(days=kept), noon))
    assert one.course is Course.BY_HAND
    assert day(one.since_s) == 20
    assert "5" in one.findings[0].says(SHOW)


def test_loads_that_begin_together():
    """Of two loads let run at one moment, the one that fails is named and the other is not."""
    two = (load(), load("other", 2000.0))
    one, other = acted(record(runs(days=range(MIDDLE)), runs(level_w=2000.0)), two, CLOCK)
    assert (one.load, one.course) == ("heater", Course.LOST)
    assert (other.load, other.course, other.findings) == ("other", Course.KEPT, ())


def test_a_load_that_never_acted():
    """A load that is nowhere seen from the first day on is told as never seen, and not as one that ceased."""
    one = told(record(np.zeros(DAYS * PER_DAY)))
    assert (one.course, day(one.since_s)) == (Course.NEVER, 0)
    assert "never seen" in one.findings[0].says(SHOW)


def test_a_load_that_rested():
    """A load that is not seen for a month, and then is again, is told with that month and counts as kept."""
    one = told(record(runs(days=[k for k in range(DAYS) if not 40 <= k < 70])))
    assert (one.course, one.findings[0].code) == (Course.KEPT, "proof.paused")
    assert day(one.findings[0].data["first"]) == pytest.approx(40, abs=2)
    assert day(one.findings[0].data["last"]) == pytest.approx(69, abs=2)


def test_a_beginning_hidden_by_another_load():
    """A pump that is seen to end each day is kept, though other loads end at the moment it begins, and others begin later."""
    pump = runs(10.0, level_w=1100.0, hours=8.0)
    ending = runs(6.0, level_w=750.0, days=range(40, 80), hours=4.0)
    later = runs(13.0, level_w=750.0, days=range(40, 80), hours=5.5)
    one = told(record(pump, ending, later), load("pump", 1100.0, on="10:00:00", off="18:00:00"))
    assert (one.course, one.findings) == (Course.KEPT, ())


def test_a_beginning_half_hidden_is_not_told():
    """A heater that ends by itself, at whose time others end in part of the year: neither gone nor moved, but not told."""
    heater = runs(10.0, level_w=1100.0)
    ending = runs(6.0, level_w=700.0, days=range(40, 80), hours=4.0)
    one = told(record(heater, ending), load("heater", 1100.0, on="10:00:00", off="18:00:00"))
    assert one.course is Course.UNTOLD


def test_of_two_loads_alike_neither_is_named():
    """Two loads of one rating, let run together, are kept while both begin; when one fails the record cannot say which."""
    two = (load(), load("other", 3000.0))
    both = acted(record(runs(), runs()), two, CLOCK)
    assert [one.course for one in both] == [Course.KEPT] * 2
    one_fails = acted(record(runs(), runs(days=range(MIDDLE))), two, CLOCK)
    assert [one.course for one in one_fails] == [Course.UNTOLD] * 2


def test_a_neighbour_is_no_moved_load():
    """A load gone, and another one of its size on four days a week at a fixed hour, or every day as a year before: not moved."""
    some = runs(1.0, days=[one for one in range(MIDDLE, DAYS) if one % 7 in (0, 2, 4, 6)])
    assert told(record(runs(days=range(MIDDLE)), some)).course is Course.LOST
    daily = runs(1.0)
    before = of_values(START_S - 364 * 86_400, STEP_S, record(daily).values)
    gone = record(daily)
    assert acted(gone, (load(),), CLOCK)[0].course is Course.MOVED
    assert acted(gone, (load(),), CLOCK, before=before)[0].course is Course.NEVER


def test_a_busy_house_is_no_hand():
    """Rises of a load's size on all days, held off or not, do not make the missed days ones of switching by hand."""
    missed = range(3, DAYS, 12)
    kept = [one for one in range(DAYS) if one not in missed]
    kettle = sum(runs(at, hours=0.3, days=range(round(at) % 2, DAYS, 2)) for at in (7.0, 9.0, 12.0, 15.0, 18.0))
    assert told(record(runs(days=kept), kettle)).course is Course.KEPT


def test_what_cannot_be_told():
    """Readings of a quarter of an hour, a small load among large ones, and too few days: said to be untold."""
    for one in (
        told(record(runs(), step_s=900)),
        told(record(runs(level_w=30.0)), load(rating_w=30.0)),
        told(record(runs()).part(START_S, START_S + 9 * 86_400)),
        told(record(runs()), *(load(f"n{k}") for k in range(5))),
    ):
        assert one.course is Course.UNTOLD
        assert one.findings[0].code == "proof.load-untold"


def test_other_rules_are_left_out():
    """A limit, two rules on one load, and times by the sun are no programme that a clock alone tells."""
    limit = {"id": "l", "load": "a", "kind": "limit", "quantity": "site power", "pick_up": "5 kW", "drop_out": "4 kW"}
    others = (
        SealedLoad(id="a", name="a", rating_w=1.0, meter="", rules=(limit,)),
        SealedLoad(id="b", name="b", rating_w=1.0, meter="", rules=(rule("b"), rule("b", id="second"))),
        load("c", on="sunset"),
        load("d", on="00:00:00", off="23:30:00"),
    )
    assert acted(record(runs()), others, CLOCK) == ()


def test_steps_by_hand():
    """A step is the mean of five minutes after less that of five before; not read where either has a gap."""
    values = np.concatenate([np.full(30, 100.0), np.full(30, 400.0)])
    series = of_values(0, 60, values)
    at_s = np.array([1800, 1740, 0, 3600])
    assert steps_w(series, at_s) == pytest.approx([300.0, 240.0, np.nan, np.nan], nan_ok=True)
    broken = values.copy()
    broken[27] = np.nan
    assert steps_w(of_values(0, 60, broken), at_s)[:2] == pytest.approx([np.nan, np.nan], nan_ok=True)
    assert scatter_w(series, np.array([1800])) == 0.0
    assert scatter_w(of_values(0, 60, values[:3]), np.array([60])) == 0.0


def test_rises_by_hand():
    """A rise over two readings counts once; readings longer than two minutes tell none."""
    values = np.array([0.0, 0.0, 700.0, 1000.0, 1000.0, 0.0, 0.0, 1000.0, 1000.0])
    assert np.flatnonzero(rises(of_values(0, 60, values), 1000.0)).tolist() == [3, 7]
    assert rises(of_values(0, 300, values), 1000.0) is None
