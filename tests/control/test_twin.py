"""The compiled rules against the plain ones: the same contacts, for the same reasons, step by step."""

import datetime as dt

import numpy as np
import pytest
from hypothesis import given, settings

from tests.control import plain_rules
from tests.control.stories import Site
from tests.control.strategies import sites, stories
from wattwright.control.columns import C_CUTS, SIGNALS, SITE_W
from wattwright.control.kernels import decide, next_switch_s
from wattwright.control.rules import Control

pytestmark = pytest.mark.kernel


@settings(max_examples=300)
@given(site=sites(), story=stories())
def test_contacts_and_causes_are_those_of_the_plain_form(site, story) -> None:
    """On random rules and random stories every contact, its cause and every cut minimum on-time agree at every step."""
    control, told = site
    ours, plain, now = Site(control), plain_rules.Site(told), 0
    for count, power, values, runs, supplied, linked, length in story:
        for _ in range(count):
            ours.signals[:] = 0.0
            ours.signals[SITE_W], ours.signals[SIGNALS:] = power, values
            rules, standing = ours.compiled.rules, ours.standing
            decide(rules, standing, float(now), float(length), ours.signals, np.array(runs), supplied, linked)
            plain.step(now, {"power": power, **dict(enumerate(values))}, runs, supplied, linked)
            assert ours.contacts() == [load.closed for load in plain.loads], now
            assert ours.why() == [load.why for load in plain.loads], now
            now += length
    assert list(standing.contacts[:, C_CUTS]) == [load.cuts for load in plain.loads]


@settings(max_examples=150)
@given(site=sites(), story=stories())
def test_without_a_delay_only_a_clock_moves_a_contact(site, story) -> None:
    """Where no delay is said to run, contacts stay while nothing else changes, until the instant at which a clock switches."""
    ours, now = Site(site[0]), 0
    rules, standing = ours.compiled.rules, ours.standing
    for count, power, values, runs, supplied, linked, length in story:
        ours.signals[:] = 0.0
        ours.signals[SITE_W], ours.signals[SIGNALS:] = power, values
        pending = True
        for _ in range(count * length):
            before, quiet_until = ours.contacts(), 0.0 if pending or now == 0 else next_switch_s(rules, standing, now - 1.0)
            pending = decide(rules, standing, float(now), 1.0, ours.signals, np.array(runs), supplied, linked)
            assert ours.contacts() == before or now >= quiet_until - 1e-6, now
            now += 1


def test_the_next_instant_of_a_clock() -> None:
    """A cycle of 10 s on and 20 s off next moves at 10, 30, 40; an override and a programme at both their ends."""
    cycle = {"id": "r", "load": "a", "kind": "repeat-cycle timer", "on_for": "10 s", "off_for": "20 s"}
    daily = {"id": "p", "load": "a", "kind": "time programme", "times": [{"on": dt.time(12, 0, 50), "off": dt.time(13)}]}
    hand = {"load": "a", "state": "on", "begins": "2025-03-04T12:00:35", "ends": "2025-03-04T12:02:00"}
    for told, wanted in (
        ({"rule": [cycle]}, {0: 10, 9: 10, 10: 30, 29: 30, 30: 40}),
        ({"rule": [{**cycle, "begins": "off"}]}, {0: 20, 20: 30, 30: 50}),
        ({"override": [hand]}, {0: 35, 35: 120, 120: np.inf}),
        # A cycle that rests is told all the same.
        ({"rule": [{**cycle, "months": [4]}], "override": [hand]}, {0: 10, 34: 35}),
        ({"rule": [daily]}, {0: 50, 50: 3600}),
        ({}, {0: np.inf}),
    ):
        site = Site(Control.model_validate(told))
        for now, at in wanted.items():
            assert next_switch_s(site.compiled.rules, site.standing, float(now)) == at
