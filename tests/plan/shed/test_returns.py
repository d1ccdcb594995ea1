"""What comes back after an outage, and what programmes release together."""

import datetime as dt
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from tests.plan.shed.kit import grid, load, site
from wattwright.plan.shed.returns import OUTAGE, after_outage, on_ratio, releases

SUPPLY = grid(20.0)  # 4.6 kVA


def back(of, duty=None, outage_s=3600.0):
    (only,) = after_outage(of, of.limits(), duty or {}, outage_s)
    return only


@pytest.mark.parametrize(("duty", "ratio"), [(0.0, 0.0), (0.25, 1 / 3), (0.5, 1.0), (1.0, np.inf)])
def test_what_was_missed_is_made_up(duty, ratio):
    """With a quarter of the time as a rule, two hours without take 40 min: it used 1/4 of 2 h 40 min (r = d (H + r))."""
    assert on_ratio(duty) == pytest.approx(ratio)
    if 0.0 < duty < 1.0:
        assert duty * (7200.0 + ratio * 7200.0) == pytest.approx(ratio * 7200.0)


def test_all_at_once():
    """Three loads of 2 kW and 600 W of rest take 6.6 kW: 28.7 A on 20 A."""
    one = back(site([load("a", 2000.0), load("b", 2000.0), load("c", 2000.0)], SUPPLY, 600.0))
    assert (one.when, one.limit, one.power_w) == (OUTAGE, "connection", 6600.0)
    assert one.current_a == pytest.approx((6600 / 230,))
    assert one.ratio == pytest.approx(6600 / 4600)
    assert one.enough_s is None, "loads whose use is not known run on"


def test_a_stagger_that_is_enough():
    """Two of three may run together (4.6 kW of 4.6 kVA): the first must have made up what it missed as the third begins.

    With a third of the time as a rule, an hour without takes half an hour: the third comes after twice the stagger, 15 min.
    """
    loads = [load("a", 2000.0), load("b", 2000.0), load("c", 2000.0)]
    duty = dict.fromkeys("abc", 1 / 3)
    one = back(site(loads, SUPPLY, 600.0), duty)
    assert one.enough_s == pytest.approx(900.0)
    assert back(site(loads, SUPPLY, 600.0, stagger="15 min"), duty).ratio <= 1.0 + 1e-9
    assert back(site(loads, SUPPLY, 600.0, stagger="890 s"), duty).ratio > 1.4


def test_what_waits_misses_more():
    """One at a time: the second waits its own turn too. 1 h at a third: 30 min, then the other has waited 1 h 30 min: 45 min."""
    loads = [load("a", 4000.0), load("b", 4000.0), load("c", 4000.0)]
    one = back(site(loads, SUPPLY, 600.0), dict.fromkeys("abc", 1 / 3))
    # a ends at 1800 s; b begins at s and ends at s + (3600 + s) / 2, which c meets at 2 s: s = 3600 s.
    assert one.enough_s == pytest.approx(3600.0)


def test_order_delays_and_people():
    """Loads come in the order of returns after their own restart delay; what needs a person does not come."""
    loads = [load("a", 3000.0), load("b", 3000.0), load("c", 3000.0)]
    told = {
        "returns": ["b", "a"], "stagger": "10 min",
        "actuator": [{"load": "b", "restart_after": "5 min"}, {"load": "c", "unattended": False}],
    }  # fmt: skip
    one = back(site(loads, SUPPLY, 600.0, **told), {"b": 0.04, "a": 0.1})
    # b from 300 s on for 3900 / 24 = 162 s, a from 600 s on: never together.
    assert one.loads == ("b", "a")
    assert one.ratio == pytest.approx(3600 / 4600)


def test_starts_fall_together():
    """Motors that come at one instant start together; in turn each starts alone."""
    loads = [load(id_, 500.0, start_va=2500.0) for id_ in "ab"]
    assert back(site(loads, SUPPLY)).start_ratio == pytest.approx((1000 + 5000) / 4600)
    assert back(site(loads, SUPPLY, stagger="5 s")).start_ratio == pytest.approx((1000 + 2500) / 4600)


def test_nothing_comes_back():
    """A site whose loads all wait for a person has its rest alone."""
    one = back(site([load("a", 9000.0)], SUPPLY, 600.0, actuator=[{"load": "a", "unattended": False}]))
    assert (one.loads, one.power_w, one.enough_s) == ((), 600.0, 0.0)


def plain_peak_w(begins_s, ends_s, watts):
    """The highest power of loads that are on for a while, looked at every second."""
    seconds = np.arange(0.0, 20_000.0)
    on = (begins_s[:, None] <= seconds) & (seconds < ends_s[:, None])
    return float((on * watts[:, None]).sum(axis=0).max())


@settings(max_examples=40)
@given(
    st.lists(
        st.tuples(st.integers(1, 4), st.sampled_from([0.1, 0.2, 1 / 3]), st.sampled_from([0, 60, 600])), min_size=2, max_size=4
    )
)
def test_the_least_stagger(given_):
    """The stagger that is told keeps within the limit second by second, and no shorter one of whole 10 s does.

    Where none is told none does: who waits longer runs on for longer, and meets the next one all the same.
    """
    loads = [load(f"l{k}", 1000.0 * kilowatts) for k, (kilowatts, _, _) in enumerate(given_)]
    duty = {f"l{k}": share for k, (_, share, _) in enumerate(given_)}
    actuators = [{"load": f"l{k}", "restart_after": f"{own} s"} for k, (_, _, own) in enumerate(given_)]
    one = back(site(loads, SUPPLY, 0.0, actuator=actuators), duty, 1200.0)
    watts, own = np.array([1000.0 * kilowatts for kilowatts, _, _ in given_]), np.array([float(own) for _, _, own in given_])
    k = np.array([share / (1.0 - share) for _, share, _ in given_])
    turns = np.arange(len(given_))

    def peak_w(stagger_s):
        begins = own + turns * stagger_s
        return plain_peak_w(np.round(begins, 6), np.round(begins + k * (1200.0 + begins), 6), watts)

    if one.enough_s is not None:
        assert peak_w(one.enough_s) <= 4600.0
    upto_s = 4000.0 if one.enough_s is None else one.enough_s - 1.0
    assert all(peak_w(float(shorter)) > 4600.0 for shorter in np.arange(0.0, upto_s, 10.0))


def programme(id_, load_, *lines):
    return {"id": id_, "kind": "time programme", "load": load_, "times": list(lines)}


def line(on, off, *days):
    return {"on": dt.time(on), "off": dt.time(off), **({"days": list(days)} if days else {})}


def test_released_together():
    """Two heaters that begin at 22:00 have waited since six in the morning; the one that begins at 23:00 does not count."""
    rules = [programme("r1", "a", line(22, 6)), programme("r2", "b", line(22, 6)), programme("r3", "c", line(23, 6))]
    of = site([load(id_, 3000.0) for id_ in "abc"], SUPPLY, 600.0, rule=rules)
    (one,) = releases(of, of.limits(), {"a": 0.2, "b": 0.2})
    assert (one.when, one.loads, one.ratio) == ("22:00", ("a", "b"), pytest.approx(6600 / 4600))
    # 16 h at a fifth: 4 h.
    assert one.enough_s == pytest.approx(4 * 3600.0)


def test_the_worst_release_of_the_week():
    """Of several times the one with the most counts; days differ, lines by the sun and one load alone are no release together."""
    rules = [
        programme("r1", "a", line(6, 7, "Mon"), line(12, 13)),
        programme("r2", "b", line(6, 7, "Tue"), line(12, 13)),
        programme("r3", "c", line(12, 13, "Sun"), {"on": "sunset", "off": dt.time(23)}),
        {"id": "r4", "kind": "repeat-cycle timer", "load": "c", "on_for": "5 min", "off_for": "5 min"},
    ]
    of = site([load("a", 1000.0), load("b", 1500.0), load("c", 2000.0)], SUPPLY, 0.0, rule=rules)
    (one,) = releases(of, of.limits(), {})
    assert (one.when, one.loads, one.power_w) == ("12:00", ("a", "b", "c"), 4500.0)


def test_nothing_is_released_together():
    """Without two programmes that begin together there is nothing to tell."""
    rules = [programme("r1", "a", line(22, 6)), programme("r2", "b", line(23, 6)), programme("r3", "gone", line(22, 6))]
    of = site([load(id_, 3000.0) for id_ in "ab"], SUPPLY, rule=rules)
    assert list(releases(of, of.limits(), {})) == []


def test_staggers_between_edges():
    """Where a long restart delay turns the order round, a stagger between two edges may do where a longer one does not."""
    found = []
    for own in product((0, 300, 900), repeat=2):
        actuators = [{"load": id_, "restart_after": f"{wait} s"} for id_, wait in zip("ab", own, strict=True)]
        one = back(site([load("a", 3000.0), load("b", 3000.0)], SUPPLY, 0.0, actuator=actuators), {"a": 0.1, "b": 0.1}, 900.0)
        found.append(one.enough_s)
    # Both at once: a runs on for 900 / 9 = 100 s. Apart by their own delays no stagger is needed, but for a after b.
    assert found[0] == pytest.approx(100.0)
    assert found[1:3] == [0.0, 0.0]
    assert found[3] == 0.0
