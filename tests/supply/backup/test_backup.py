"""The backup story, held against what can be reckoned by hand: steady loads, closed forms, Poisson's law."""

import json
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings as profile, strategies as st
from pydantic import ValidationError
from scipy.stats import poisson

from tests.supply.backup.kit import SHED, rate, ruled, supply
from wattwright.core.errors import OwnFault
from wattwright.core.findings import Severity
from wattwright.core.show import Show
from wattwright.simulate.outage import outages
from wattwright.supply.backup import probe as probe_module
from wattwright.supply.backup.json_form import backup_json
from wattwright.supply.backup.lost import lost
from wattwright.supply.backup.probe import Probed, probed
from wattwright.supply.backup.story import backup_story, carries, followed_s, target_s

NAMES = {"first": "First heater", "second": "Second heater"}
SEASONS = ("winter", "spring", "summer", "autumn")


def story(*rulings, asked=None, seed=1):
    """The story of these rulings."""
    return backup_story(rulings, asked, NAMES, seed)


def codes(made):
    """The codes of the findings."""
    return [one.code for one in made.findings]


def test_a_battery_lasts_as_long_as_its_energy():
    """10 kWh from a reserve of 50 % to a floor of 10 %, 95 % of it arriving: 3.8 kWh, so 3.8 h of a steady kilowatt."""
    made = story(ruled(supply(), seasons=SEASONS))
    (told,) = made.told
    assert len(told.hours) == 4 * 24
    for one in told.hours:
        assert one.low_s == one.middle_s == one.high_s == pytest.approx(3.8 * 3600, abs=1.0)
        assert one.ends_by == "battery empty"
    assert dict(told.energy_kwh)["summer"] == pytest.approx(3.8, rel=1e-6)
    assert made.carried
    assert told.tripped_share == 0.0


def test_it_depends_on_the_hour_where_demand_does():
    """1 kW until noon and 2 kW after: from 11 h an hour takes 1 kWh, and the 2.8 kWh left last 1.4 h more."""
    (told,) = story(ruled(supply(), second_w=2000.0)).told
    lasts = {one.hour: one.middle_s / 3600 for one in told.hours}
    assert lasts[2] == pytest.approx(3.8, abs=1e-3)
    assert lasts[11] == pytest.approx(1.0 + 2.8 / 2, abs=1e-3)
    assert lasts[13] == pytest.approx(1.9, abs=1e-3)


def test_without_own_sources_hours_lost_are_rate_times_duration():
    """Ten outages a year of 1 h or 3 h each are 20 h dark; a site beside the grid loses the same; so do all draws on average."""
    asked = rate(10, ("1 h", "3 h"), years=4000)
    for of in (supply(0.0, role="beside the grid"), supply(role="beside the grid")):
        made = story(ruled(of), asked=asked)
        (told,) = made.told
        assert told.lost.mean_h == pytest.approx(20.0, rel=1e-12)
        assert told.lost.grid_h == pytest.approx(20.0, rel=1e-12)
        assert {one.middle_s for one in told.hours} == {0.0}
        assert not made.carried
        assert "supply.backup-nothing" in codes(made)


def test_hours_lost_with_a_battery_are_what_it_leaves():
    """3.8 h of 6 h are carried, so 2.2 h are dark, and of an outage of 2 h none: 10 x (0 + 2.2) / 2 = 11 h."""
    (told,) = story(ruled(supply()), asked=rate(10, ("2 h", "6 h"))).told
    assert told.lost.mean_h == pytest.approx(11.0, rel=1e-3)
    assert told.lost.grid_h == pytest.approx(40.0)
    assert told.reserve.target_s == 6 * 3600
    assert told.reserve.held_share == 0.0
    # Six kilowatt-hours over 0.95 are 6.32 kWh of 10, and the floor stays: 73.2 %.
    assert told.reserve.needed_share == pytest.approx(0.1 + 6 / 0.95 / 10, rel=1e-3)


def test_what_not_even_a_full_battery_carries_is_said():
    """10 kWh at 1 kW are 8.55 h from full: 12 h are not to be had, 8 h are."""
    made = story(ruled(supply()), asked=rate(1, ("12 h",)))
    assert made.told[0].reserve.needed_share is None
    assert "supply.backup-not-even-full" in codes(made)
    held = story(ruled(supply(reserve=0.95)), asked=rate(1, ("12 h",), holds="8 h"))
    assert held.told[0].reserve.held_share == 1.0
    assert "supply.backup-reserve" in codes(held)
    assert "supply.backup-short" not in codes(held)


def test_without_a_rate_the_outage_that_was_quoted_is_the_target():
    """3.8 kWh carry a kilowatt for 3 h, and not for the half day that stands where nobody asked; a rate comes before a quote."""
    of = ruled(supply())
    made = backup_story([of], None, NAMES, 1, quoted_s=3 * 3600.0)
    assert (made.told[0].reserve.target_s, made.told[0].reserve.held_share) == (3 * 3600.0, 1.0)
    assert "supply.backup-short" not in codes(made)
    # Three kilowatt-hours over 0.95 of 10, and the floor.
    assert made.told[0].reserve.needed_share == pytest.approx(0.1 + 3 / 0.95 / 10, rel=1e-3)
    unasked = story(of)
    assert (unasked.told[0].reserve.target_s, unasked.told[0].reserve.held_share) == (12 * 3600.0, 0.0)
    rated = backup_story([of], rate(1, ("6 h",)), NAMES, 1, quoted_s=3 * 3600.0)
    assert rated.told[0].reserve.target_s == 6 * 3600.0
    assert followed_s(None, 40 * 3600.0) == 40 * 3600.0
    assert followed_s(None, 10 * 86400.0) == target_s(None, 10 * 86400.0) == 3 * 86400.0


def test_an_inverter_that_is_overloaded_trips_and_shedding_keeps_it():
    """4 kW on an inverter of 2.6 kVA are 1.54 times its rating, borne for less than 10 s; on one of 4.2 kVA shedding has time."""
    of = supply(rating_va=2600.0)
    made = story(ruled(of, watts=(1000.0, 2000.0)))
    (told,) = made.told
    assert told.tripped_share == 1.0
    assert told.trips_by == "overload of the inverter"
    assert all(one.middle_s < 60.0 and one.ends_by == "overload of the inverter" for one in told.hours)
    assert "supply.backup-trips" in codes(made)
    # Above 2.5 kW the second goes first, and 2 kW stay: 3.8 kWh last 1.9 h.
    plan = ruled(supply(rating_va=4200.0), "plan", SHED, watts=(1000.0, 2000.0))
    (told,) = story(plan).told
    assert told.tripped_share == 0.0
    by_load = {one.load: one for one in told.loads}
    assert told.loads[0].load == "second"  # in the order in which they are shed
    assert by_load["second"].shed_share == 1.0
    assert by_load["second"].shed_after_s == 0.0  # with the grid the same limit holds: it was shed before
    assert by_load["first"].shed_share == 0.0
    assert all(one.middle_s / 3600 == pytest.approx(1.9, abs=1e-3) for one in told.hours)


def test_what_is_shed_in_an_outage_is_told_with_its_time():
    """1 kW of heater and of rest; at noon the rest is 2 kW, the limit of 2.5 kW is passed, and 30 s later the heater goes."""
    only = {"shedding": {**SHED["shedding"], "order": ["first"], "restore": "1.5 kW"}}
    made = ruled(supply(reserve=0.9), "plan", only, watts=(1000.0,), second_w=2000.0)
    (day,) = made.days
    (late,) = (one for one in probed(day, 72, 0.9) if one.hour == 11)
    assert late.shed_s[0] == pytest.approx(3600.0 + 30.0, abs=2.0)
    (told,) = story(made).told
    assert 0.0 < told.loads[0].shed_share <= 1.0
    assert told.loads[0].shed_after_s is not None


def test_a_supply_that_has_tripped_before_is_dark_from_the_start():
    """A main breaker of 5 A under a kilowatt of heater and one of rest trips by day: what is dark already holds for no time."""
    of = supply(0.0, role="beside the grid")
    tripped = of.model_copy(update={"connection": of.connection.model_copy(update={"rating_a": 5.0})})
    (told,) = story(ruled(tripped, watts=(1000.0,))).told
    assert {one.middle_s for one in told.hours} == {0.0}
    assert told.tripped_share < 1.0


def test_the_noise_of_floats_is_no_break(monkeypatch):
    """A step that adds up to 1 - 7e-15 is a whole one, so an hour holds; one that lacks a tenth is dark from its start."""
    first = {}

    def noisy(*asked):
        found = outages(*asked)
        return tuple(replace(one, supplied=np.full(len(one.supplied), first["step"]), events=one.events[:0]) for one in found)

    monkeypatch.setattr(probe_module, "outages", noisy)
    (day,) = ruled(supply()).days
    for step, holds_s in ((1.0 - 7e-15, 3600.0), (0.9, 0.0)):
        first["step"] = step
        assert {one.lasts_s for one in probed(day, 6, 0.5)} == {holds_s}


def test_a_generator_carries_on_and_its_start_is_no_end():
    """It starts at once where there is no battery, 15 s later it carries the site, and nothing ends the supply."""
    made = story(ruled(supply(0.0, role="beside the grid", generator=True)), asked=rate(10, ("2 h",)))
    (told,) = made.told
    assert {one.middle_s for one in told.hours} == {86400.0}
    assert {one.ends_by for one in told.hours} == {""}
    assert told.lost.mean_h == pytest.approx(10 * 15 / 3600, rel=1e-6)
    assert made.carried
    assert "supply.backup-fuel" in codes(made)


def test_today_and_plan_stand_side_by_side():
    """The plan is told first, with the settings it needs; what was not said is a finding and no guess."""
    loads = (1000.0, 2000.0)
    plan = {**SHED, "rules": [{"id": "low", "load": "second", "kind": "limit", "quantity": "state of charge", "acts": "below",
            "pick_up": "40 %", "drop_out": "60 %", "contact": "opens"}]}  # fmt: skip
    made = story(ruled(supply(), watts=loads), ruled(supply(), "plan", plan, watts=loads))
    assert [one.name for one in made.told] == ["today", "plan"]
    assert made.best.name == "plan"
    told = dict(made.settings)
    assert ("shedding", "order", "none: nothing is shed") in [(one.of, one.what, one.value) for one in told["today"]]
    words = {one.what: one.value for one in told["plan"]}
    assert words["order"] == "1. Second heater, 2. First heater"
    assert "state of charge below 40 %" in words["Second heater"]
    assert {"supply.backup-no-rate", "supply.backup-seasons"} <= set(codes(made))
    lasts = [min(one.middle_s for one in each.hours) for each in made.told]
    assert lasts[1] > lasts[0]
    data = json.loads(json.dumps(backup_json(made, Show("en_GB"))))
    assert [one["name"] for one in data["rules"]] == ["today", "plan"]
    assert data["rules"][0]["lost_h_a_year"] is None
    assert data["followed_h"] == 24.0


def test_generator_settings_and_a_site_without_a_grid():
    """A stand-alone site has no reserve: its outage begins from the charge the battery stands at by its entry."""
    alone = supply(role="stand-alone", reserve=0.5, generator=True)
    made = story(ruled(alone))
    assert {one.of for one in dict(made.settings)["today"]} == {"battery", "inverter", "generator", "shedding"}
    assert {one.ends_by for one in made.told[0].hours} == {""}


def probe(hours_dark, season="winter", hour=0):
    """An outage that is dark from ``hours_dark`` on, on hourly steps over a day."""
    dark = np.concatenate(([0.0], np.cumsum(np.where(np.arange(24) >= hours_dark, 3600.0, 0.0))))
    nothing = np.zeros(0)
    return Probed(season, hour, hours_dark * 3600.0, "", False, dark, nothing, nothing, nothing, 0.0)


def test_years_drawn_follow_poissons_law():
    """Outages of one length without own sources: hours lost are its length times a Poisson count, by scipy's quantiles."""
    made = [probe(0, hour=hour) for hour in range(24)]
    asked = rate(20, ("2 h",), years=50_000)
    found = lost(made, 3600.0, asked, 7, "today")
    assert found.mean_h == pytest.approx(40.0)
    low, high = (2.0 * float(poisson.ppf(share, 20)) for share in (0.05, 0.95))
    assert (found.year_low_h, found.year_high_h) == (low, high)
    assert lost(made, 3600.0, asked, 7, "today") == found
    assert lost(made, 3600.0, rate(0, ("2 h",)), 7, "today").year_high_h == 0.0


def test_seasons_weigh_the_same_however_many_days_were_tried():
    """Winter dark at once, summer never: one day against three are 10 x 2 h / 2 = 10 h."""
    made = [probe(0, "winter")] + [probe(24, "summer", hour) for hour in range(3)]
    assert lost(made, 3600.0, rate(10, ("2 h",)), 1, "today").mean_h == pytest.approx(10.0)


@profile(max_examples=50)
@given(hours=st.lists(st.integers(0, 24), min_size=1, max_size=6), durations=st.lists(st.integers(1, 24), min_size=1, max_size=4))
def test_the_mean_of_the_years_drawn_is_the_sum(hours, durations):
    """Property: the mean is rate times what is left dark, by a plain sum; and no own source makes it more than without."""
    made = [probe(one, hour=k) for k, one in enumerate(hours)]
    found = lost(made, 3600.0, rate(6, [f"{one} h" for one in durations], years=2000), 3, "x")
    by_hand = 6.0 * sum(max(0, d - h) for h in hours for d in durations) / (len(hours) * len(durations))
    assert found.mean_h == pytest.approx(by_hand, abs=1e-9)
    assert found.mean_h <= found.grid_h + 1e-9
    assert found.year_low_h <= found.year_high_h


def test_what_contradicts_itself_is_refused():
    """No durations, none at all above three days, no day to try."""
    with pytest.raises(ValidationError, match="up to 3 days"):
        rate(1, ("4 d",))
    with pytest.raises(ValidationError):
        rate(1, ())
    with pytest.raises(OwnFault):
        story()
    assert followed_s(None) == 86400.0
    assert followed_s(rate(1, ("40 h",))) == 40 * 3600.0
    assert rate(1, ("2 h",), holds="5 h").target_s == 5 * 3600.0
    assert not carries(supply(0.0))
    assert carries(supply(0.0, generator=True))


def test_findings_are_no_stops():
    """A site that is dark in an outage is as most sites are: to be looked at, and nothing to stop for."""
    from wattwright.supply.backup import kinds

    told = [one for one in vars(kinds).values() if hasattr(one, "severity")]
    assert len(told) == 8
    assert all(one.severity is not Severity.STOP for one in told)
