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


OF_A_KIND = {
    "60 min, days, nursery, summer less the rest of its year: beyond chance",
    "30 min, intervals, home, spring less the rest of its year: beyond chance",
}
"""Of 96 differences between the seasons of one kind of site these two show, and docs/peaks.md tells them; no other may join."""


def test_no_difference_by_season_time_or_size_shows():
    """None of 36 differences of all sites passes what chance allows to so many; within a kind none but those told."""
    told = KEPT[f"{BY_STRETCH}: parts not within three points of 90 %, and differences that show"].split("; ")
    assert {one for one in told if "beyond" in one} == OF_A_KIND


@pytest.mark.parametrize("step", [60, 30, 15])
def test_the_highest_of_all_days_is_held(step):
    """The highest minute of eight weeks is held by no fewer sites than nine in ten would by chance (99.9 % of the binomial)."""
    held, _, sites, *_, asked, _ = KEPT[f"{BY_STRETCH}, {step} min, highest of all: held"].replace(",", "").split()
    assert int(sites) == KEPT["sites"] == 192
    assert int(held) >= int(asked) >= 155
