"""Outages under the sun of other days of their season."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, strategies as st

from tests.supply.sizing.sites import asking, sun, way
from wattwright.core.show import Show
from wattwright.supply.sizing.options import sun_line
from wattwright.supply.sizing.quote import quote
from wattwright.supply.sizing.roofs import Roof, layouts_of
from wattwright.supply.sizing.seek import seeker
from wattwright.supply.sizing.suns import SUNS, under_sun
from wattwright.supply.sizing.table import sun_rows

SHOW = Show("en_GB", "SI", "UTC")
HOUR = 3600.0


def test_an_outage_takes_the_sun_of_the_day_that_stands_where_it_is_asked():
    """Eleven days, each brighter than the last, by hand: the second is dark, the sixth usual, the tenth bright."""
    days = np.repeat(np.arange(1.0, 12.0), 24)
    grid = np.ones(len(days), np.bool_)
    grid[6 * 24 + 10 : 6 * 24 + 14] = False
    for rank, wanted in ((0.1, 2.0), (0.5, 6.0), (0.9, 10.0)):
        made = under_sun(days, grid, HOUR, rank)
        assert (made[~grid] == wanted).all()
        assert np.array_equal(made[grid], days[grid])
    assert np.array_equal(under_sun(days, np.ones_like(grid), HOUR, 0.1), days)


@given(st.integers(0, 300), st.integers(1, 60), st.integers(0, 50))
def test_darker_is_never_brighter(first, width, seed):
    """Of any outage the dark stretch gives no more than the usual one, and that no more than the bright one."""
    pv = np.random.default_rng(seed).uniform(0.0, 1.0, 400)
    grid = np.ones(400, np.bool_)
    grid[first : first + width] = False
    given_kwh = [under_sun(pv, grid, HOUR, rank)[~grid].sum() for _, rank in SUNS]
    assert given_kwh == sorted(given_kwh)


def test_a_size_chosen_by_dark_days_holds_on_them():
    """With the sun of dark days the quoted size leaves on them no more than was asked, and bills stay with their own sun."""
    days = 28
    share = sun(days) * np.repeat(np.random.default_rng(4).uniform(0.0, 1.0, days), 1440)
    roofs = layouts_of((Roof("south", 9000.0 * share, 9000.0),))

    def asked(**more):
        made = asking("carries the site in outages", days=days, outage_s=30 * HOUR, steps=6, battery_most="40 kWh", **more)
        return replace(made, layouts=roofs)

    plain, dark = (quote(asked(unserved="5 %", **more), way(days=days), None) for more in ({}, {"outage_sun": "dark days"}))
    assert dark.today.reached
    assert dark.suns[0].found.lpsp <= 0.05 + 1e-9
    assert dark.quoted.lpsp == pytest.approx(dark.suns[0].found.lpsp)
    assert dark.today.least.size.battery_wh >= plain.today.least.size.battery_wh
    assert "supply.outage-needs-sun" not in {one.code for one in dark.findings}
    assert sun_line(dark).startswith("Chosen for outages with the sun of the dark days")
    assert "of the days they fall on" in sun_line(plain)
    one, other = (seeker(asked(**more), way(days=days)).usual for more in ({}, {"outage_sun": "dark days"}))
    assert np.array_equal(one.plant.pv_share, other.plant.pv_share)
    grid = quote(asking(steps=4, outage_sun="dark days"), way(), None)
    assert (grid.outage_sun, sun_line(grid)) == ("", "")
    assert any("outage_sun" in one.data["wishes"] for one in grid.findings if one.code == "supply.wish-unused")


def test_a_size_that_lives_by_the_sun_is_told_to_need_it():
    """Days bright and dark in turn: dark ones leave more, and a finding says how much."""
    days = 28
    share = sun(days) * np.repeat(np.random.default_rng(4).uniform(0.0, 1.0, days), 1440)
    ask = asking(
        "carries the site in outages", days=days, outage_s=30 * HOUR, steps=6, battery_most="20 kWh", unserved="10 %",
    )  # fmt: skip
    ask = replace(ask, layouts=layouts_of((Roof("south", 9000.0 * share, 9000.0),)))
    made = quote(ask, way(days=days), None)
    assert [one.name for one in made.suns] == ["dark days", "usual days", "bright days"]
    dark, usual, bright = (one.found.unserved_kwh for one in made.suns)
    assert dark >= usual >= bright
    codes = {one.code for one in made.findings}
    assert ("supply.outage-needs-sun" in codes) == (dark > made.quoted.unserved_kwh)
    assert len(sun_rows(made, SHOW)) == 4


def test_without_pv_or_outages_no_sun_is_tried():
    """Beside the grid, and where no modules are quoted, there is nothing to tell."""
    assert quote(asking(steps=4), way(), None).suns == ()
    dear = {"pv_kw": "99999", "inverter_kw": "1", "battery_kwh": "1"}
    assert quote(asking("carries the site in outages", outage_s=HOUR, steps=4, prices=dear), way(), None).suns == ()
