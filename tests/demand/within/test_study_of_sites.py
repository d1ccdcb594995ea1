"""The kept answer of the study on invented sites, held to the rule that was fixed before its seed was read."""

import json
from pathlib import Path

import pytest

KEPT = json.loads(Path("studies/results/hidden_peaks_on_sites.json").read_text(encoding="utf-8"))["result"]
BY_STRETCH = "28 days at one minute"


@pytest.mark.parametrize("what", ["intervals", "days"])
@pytest.mark.parametrize("step", [60, 30, 15])
def test_a_finer_stretch_holds_within_three_points(step, what):
    """Four weeks of minutes hold 87 % to 93 % of the intervals and of the days of the next eight weeks."""
    share = float(KEPT[f"{BY_STRETCH}, {step} min, {what}: held"].split()[0])
    assert 0.87 <= share <= 0.93


def listed(what: str) -> set[str]:
    """What stands in one of the lists of the verdict."""
    return set(KEPT[f"{BY_STRETCH}: {what}"].split("; ")) - {"none"}


def test_no_difference_by_season_time_or_size_may_reach_three_points():
    """The 90 % interval of each of 36 differences lies within three points: the rule that was fixed before the seed was read."""
    assert listed("differences whose interval leaves three points") == set()
    told = [v for k, v in KEPT.items() if k.startswith(BY_STRETCH) and (" less the rest of the year" in k or " less first " in k
            or " less smaller " in k)]  # fmt: skip
    assert len(told) == 36
    assert all(abs(float(one.split(",")[0])) + 1.66 * float(one.split()[3].strip(",")) <= 0.031 for one in told)


OF_KINDS = {
    "30 min, days, cold store, autumn less the rest of its year: -0.041",
    "15 min, days, nursery, autumn less the rest of its year: +0.032",
    "15 min, days, cold store, spring less the rest of its year: +0.036",
}
"""Within a kind three of 96 differences lie beyond three points and chance, all of days; docs/peaks.md tells them."""


def test_intervals_within_a_kind_know_no_season():
    """Of 48 differences of intervals within kinds none lies beyond three points and chance; of days those that are told."""
    assert listed("within a kind beyond three points and chance") == OF_KINDS


def test_days_are_held_in_every_part():
    """In every part nine tenths of the days less three points are held, or more; in no part of any fewer."""
    parts = {k: float(v.split()[0]) for k, v in KEPT.items() if k.startswith(BY_STRETCH) and "min, days: held" in k}
    assert len(parts) == 3 * (1 + 4 + 4 + 2 + 2)
    assert min(parts.values()) >= 0.87


def test_intervals_hold_in_every_part():
    """In every quarter of the year, either half by time and size, and every kind of site 87 % to 93 % of intervals are held."""
    parts = {k: float(v.split()[0]) for k, v in KEPT.items() if k.startswith(BY_STRETCH) and "min, intervals: held" in k}
    assert len(parts) == 3 * (1 + 4 + 4 + 2 + 2)
    assert not {k: v for k, v in parts.items() if not 0.87 <= v <= 0.93}


@pytest.mark.parametrize("step", [60, 30, 15])
def test_the_highest_of_all_days_is_held(step):
    """The highest minute of eight weeks is held by no fewer sites than nine in ten would by chance (99.9 % of the binomial)."""
    held, _, sites, *_, asked, _ = KEPT[f"{BY_STRETCH}, {step} min, highest of all: held"].replace(",", "").split()
    assert int(sites) == KEPT["sites"] == 768
    assert int(held) >= int(asked) >= 650
