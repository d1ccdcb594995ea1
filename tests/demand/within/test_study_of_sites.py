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
    "60 min, days, summer less the rest of the year: beyond three points",
    "60 min, days, summer less the rest of the year: beyond chance",
    "60 min, days, nursery, summer less the rest of its year: beyond chance",
    "30 min, intervals, home, spring less the rest of its year: beyond chance",
    "30 min, intervals, nursery, autumn less the rest of its year: beyond chance",
    "15 min, intervals, cold store, winter less the rest of its year: beyond chance",
}
"""By the rule that was fixed before, days in hours do depend on the season: they are held too often in summer.

So do intervals within three kinds, by less than three points. All that shows is named here as it was found, and docs/peaks.md
tells it with its size; no other may join. Of intervals of all sites none shows, which is held without any exception.
"""


def test_no_difference_of_intervals_by_season_time_or_size_shows():
    """Of all sites none of 18 differences of intervals passes what chance allows to 36; of days and kinds none but those told."""
    told = KEPT[f"{BY_STRETCH}: parts not within three points of 90 %, and differences that show"].split("; ")
    beyond = {one for one in told if "beyond" in one}
    kinds = ("home", "nursery", "workshop", "cold store")
    assert not [one for one in beyond if ", intervals, " in one and not any(f", {kind}, " in one for kind in kinds)]
    assert beyond == SHOWN


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
    assert int(sites) == KEPT["sites"] == 192
    assert int(held) >= int(asked) >= 155
