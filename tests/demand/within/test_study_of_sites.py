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


SHOWN = {
    "30 min, intervals, spring less the rest of the year: beyond chance",
    "15 min, intervals, spring less the rest of the year: beyond chance",
    "30 min, intervals, home, spring less the rest of its year: beyond chance",
    "15 min, intervals, home, spring less the rest of its year: beyond chance",
    "30 min, intervals, cold store, spring less the rest of its year: beyond chance",
    "15 min, days, cold store, autumn less the rest of its year: beyond chance",
}
"""These differences show, of 36 and of 96, and docs/peaks.md tells them with their size; no other may join."""


def test_no_difference_by_season_time_or_size_reaches_three_points():
    """By season, time and size no share of intervals or days differs by three points or more; which differences show is told."""
    told = KEPT[f"{BY_STRETCH}: parts not within three points of 90 %, and differences that show"].split("; ")
    assert not [one for one in told if "beyond three points" in one]
    assert {one for one in told if "beyond" in one} == SHOWN


def test_intervals_hold_in_every_part():
    """In every quarter of the year, either half by time and size, and every kind of site 87 % to 93 % of intervals are held."""
    parts = {k: float(v.split()[0]) for k, v in KEPT.items() if k.startswith(BY_STRETCH) and "min, intervals: held" in k}
    assert len(parts) == 3 * (1 + 4 + 4 + 2 + 2)
    assert not {k: v for k, v in parts.items() if not 0.87 <= v <= 0.93}


@pytest.mark.parametrize("step", [60, 30, 15])
def test_the_highest_of_all_days_is_held(step):
    """The highest minute of eight weeks is held by no fewer sites than nine in ten would by chance (99.9 % of the binomial)."""
    held, _, sites, *_, asked, _ = KEPT[f"{BY_STRETCH}, {step} min, highest of all: held"].replace(",", "").split()
    assert int(sites) == KEPT["sites"] == 192
    assert int(held) >= int(asked) >= 155
