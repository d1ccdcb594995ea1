"""The compiled rules against the plain ones: the same contacts, for the same reasons, step by step."""

import numpy as np
import pytest
from hypothesis import given, settings

from tests.control import plain_rules
from tests.control.stories import Site
from tests.control.strategies import sites, stories
from wattwright.control.columns import C_CUTS, SIGNALS, SITE_W
from wattwright.control.kernels import decide

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
