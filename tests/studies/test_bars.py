"""The kept studies of proof against the bars that were set before they ran."""

import json
from pathlib import Path

import pytest


def kept(name):
    """The committed result of a study."""
    return json.loads(Path(f"studies/results/{name}.json").read_text(encoding="utf-8"))["result"]


@pytest.mark.parametrize(("name", "count"), [("planted_savings", 30), ("planted_money", 8)])
def test_bands_hold_what_was_planted(name, count):
    """Bands of 90 % hold the truth in 86 % to 94 % of the invented sites, of each kind and at each planted saving."""
    held = {what: share for what, share in kept(name).items() if "held by the" in what}
    assert len(held) == count
    assert {what: share for what, share in held.items() if not 0.86 <= share <= 0.94} == {}


def test_a_saving_is_seldom_claimed_where_there_is_none():
    """Where nothing was saved, a saving is claimed on 7.5 % of the sites at most."""
    days = [share for what, share in kept("planted_savings").items() if ", 0% planted: saving claimed" in what]
    both = [share for what, share in kept("planted_money").items() if ": 0% planted, " in what and what.endswith("claimed")]
    assert (len(days), len(both)) == (3, 4)
    assert max(days + both) <= 0.075


def test_events_and_lasting_changes_are_found():
    """Planted events and lasting changes are found in 9 of 10, and one clean year in twenty at most is told one."""
    result = kept("planted_events")
    found = [share for what, share in result.items() if what.endswith(": found") or what.endswith(": lasting changes found")]
    alarms = [share for what, share in result.items() if "clean years" in what]
    assert (len(found), len(alarms)) == (4, 2)
    assert min(found) >= 0.9
    assert max(alarms) <= 0.05
