"""Time programmes against weeks expanded by hand: clock changes, midnight, holidays, seasons and the sun."""

import datetime as dt
import tomllib
from pathlib import Path

import numpy as np
import pytest
from pydantic import ValidationError

from tests.control.stories import LOADS
from wattwright.control.columns import C_CLOSED, SIGNALS
from wattwright.control.compiled import compile_control, fresh
from wattwright.control.kernels import decide
from wattwright.control.moments import Moment
from wattwright.control.programmes import Span, timeline
from wattwright.control.rules import Control, SwitchTimes, TimeProgramme
from wattwright.core.clock import SiteClock

pytestmark = pytest.mark.kernel
ROWS = tomllib.loads((Path(__file__).parent / "programmes.toml").read_text(encoding="utf-8"))["row"]
STATES = {"on": 1, "off": 0, "no say": 2}


def programme(row) -> dict:
    return {"id": "p", "load": "a", "kind": "time programme", "times": row["times"], **row.get("set", {})}


def span_of(row) -> Span:
    clock = SiteClock(row.get("zone", "Europe/Berlin"))
    first, last = row["days"]
    begin, *_, end = clock.midnights_s(first, (last - first).days)
    span = Span(int(begin), int(end), clock, frozenset(row.get("holidays", ())))
    return span.with_sun(*row["place"]) if "place" in row else span


def wanted(row) -> list[tuple[float, int]]:
    pairs = (text.partition(" ")[::2] for text in row["switches"])
    return [(dt.datetime.fromisoformat(at).timestamp(), STATES[state]) for at, state in pairs]


@pytest.mark.parametrize("row", ROWS, ids=[row["says"] for row in ROWS])
def test_switches_are_those_of_the_table(row) -> None:
    """Between the days of the row it switches when the table says, and at no other time."""
    span = span_of(row)
    times, states = timeline(TimeProgramme.model_validate(programme(row)), span)
    assert (np.diff(times) > 0).all()
    before = times <= 0
    assert states[before][-1] == STATES[row.get("first", "off")]
    inside = ~before & (times < span.end_s - span.start_s)
    expected = wanted(row)
    assert list(states[inside]) == [state for _, state in expected]
    assert times[inside] + span.start_s == pytest.approx([at for at, _ in expected], abs=row.get("within_s", 1e-6))


@pytest.mark.parametrize("row", ROWS[:17], ids=[row["says"] for row in ROWS[:17]])
def test_contact_moves_at_the_second(row) -> None:
    """A second before each switching the contact is as before, at it as the table says."""
    span = span_of(row)
    compiled = compile_control(Control.model_validate({"rule": [programme(row)]}), LOADS, span)
    standing, signals = fresh(compiled.rules), np.zeros(SIGNALS + 3)
    state = STATES[row.get("first", "off")]
    assert standing.contacts[0, C_CLOSED] == state
    for at, after in wanted(row):
        for second, expected in ((at - 1, state), (at, after)):
            decide(compiled.rules, standing, second - span.start_s, 1.0, signals, np.ones(3, bool), True, True)
            assert standing.contacts[0, C_CLOSED] == expected
        state = after


def test_another_rule_rests_outside_its_months() -> None:
    """A rule that is no programme acts from the first midnight of its months to the first after them."""
    row = {"days": [dt.date(2025, 3, 31), dt.date(2025, 5, 2)], "times": []}
    rule = {"id": "r", "load": "a", "kind": "repeat-cycle timer", "on_for": "1 h", "off_for": "1 h"}
    span = span_of(row)
    season = Control.model_validate({"rule": [{**rule, "months": [4]}, rule]}).rules
    times, states = timeline(season[0], span)
    april, may = (dt.datetime.fromisoformat(f"2025-0{month}-01T00:00+02:00").timestamp() - span.start_s for month in (4, 5))
    assert (list(times), list(states)) == ([-np.inf, april, may], [2, 1, 2])
    assert len(timeline(season[1], span)[0]) == 0
    off = Control.model_validate({"rule": [{**rule, "months": [4], "other_months": "open"}]}).rules[0]
    assert list(timeline(off, span)[1]) == [0, 1, 0]
    switch = {"id": "s", "load": "a", "kind": "time programme", "months": [5], "times": [{"on": dt.time(6), "off": dt.time(7)}]}
    (winter_off,) = Control.model_validate({"rule": [{**switch, "other_months": "open"}]}).rules
    times, states = timeline(winter_off, span)
    assert list(states[:2]) == [0, 1]
    assert times[1] == may + 6 * 3600


@pytest.mark.parametrize(
    ("given", "moment", "text"),
    [
        (dt.time(6, 30), Moment(dt.time(6, 30)), "06:30"),
        ("sunset", Moment(None, "sunset"), "sunset"),
        ("Sunset - 30 min", Moment(None, "sunset", -1800), "sunset - 30 min"),
        ("sunrise + 1 h", Moment(None, "sunrise", 3600), "sunrise + 60 min"),
        (Moment(dt.time(7)), Moment(dt.time(7)), "07:00"),
    ],
)
def test_moments_are_read_and_written(given, moment, text) -> None:
    """A time of day, an event of the sun and an offset from it are read as written, and written as read."""
    line = SwitchTimes.model_validate({"on": given, "off": dt.time(23)})
    assert line.on == moment
    assert str(line.on) == text


@pytest.mark.parametrize("given", ["06:30", "noon", "sunset - half", 6, "sunset 30 min"])
def test_what_is_no_moment_is_refused(given) -> None:
    """Anything else is refused with what to write instead."""
    with pytest.raises(ValidationError, match="Write"):
        SwitchTimes.model_validate({"on": given, "off": dt.time(23)})
