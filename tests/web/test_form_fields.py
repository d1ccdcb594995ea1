"""Fields as an electrician types into them: units that times begin with, what a load hangs on, what cannot be left open."""

import re
from pathlib import Path

import pytest

from tests.handover.kit import PLAIN
from tests.web.conftest import asked_of
from wattwright.control.rules import Actuator, RepeatCycle, Shedding
from wattwright.core.errors import Fault, Place
from wattwright.core.findings import Finding, Severity
from wattwright.simulate.supply import Generator
from wattwright.web.forms import Field, fields_of, with_faults
from wattwright.web.stages import to_look_at


@pytest.mark.parametrize(
    ("model", "entry", "unit"),
    [
        (Shedding, "delay", "s"),
        (Shedding, "next_after", "s"),
        (Shedding, "back_after", "min"),
        (Shedding, "reported_after", "s"),
        (RepeatCycle, "on_for", "min"),
        (Actuator, "restart_after", "s"),
        (Generator, "closed_after", "min"),
    ],
)
def test_times_begin_with_the_unit_of_their_usual_value(model: type, entry: str, unit: str) -> None:
    """Delays of a relay are set in seconds, rests and runs in minutes (common practice, no source): 5 is never 5 hours."""
    (field,) = fields_of(model, "", (entry,))
    assert (field.unit, field.units) == (unit, ("h", "min", "s", "d"))


def test_a_load_hangs_on_a_conductor(tmp_path: Path) -> None:
    """Neither the neutral alone nor all conductors together as one is what a load is connected to."""
    load = '[[loads]]\nid = "pump"\nname = "Pump"\nkind = "other"\nrating = "1 kW"\n'
    page = asked_of(tmp_path, PLAIN + load)("/survey").text
    (choices,) = re.findall(r'name="loads\.0\.phase".*?</select>', page, re.DOTALL)
    assert set(re.findall(r'value="(.*?)"', choices)) >= {"L1", "L2", "L3"}
    assert not set(re.findall(r'value="(.*?)"', choices)) & {"total", "N"}


def test_what_cannot_be_left_open_is_told_without_words_of_a_file() -> None:
    """A fault of an entry that is not there stands beside its field as a person would say it; others as they are."""
    fields = (Field("loads.0.kind", "Kind", "", "choice"), Field("loads.0.rating", "Rating", "", "quantity"))
    lacks = Fault("spec.union_tag_not_found", Place(field="loads[1].kind"), "nothing", 'an entry "kind"', "Add it.", {})
    wrong = Fault("spec.unit", Place(field="loads[1].rating"), "abc", "a number with its unit", "Write it as 2 kW.", {})
    (kind, rating), left = with_faults(fields, (lacks, wrong))
    assert (kind.fault, rating.fault) == ("This cannot be left open.", "Expected a number with its unit. Write it as 2 kW.")
    assert left == ()


def test_what_stops_is_told_first() -> None:
    """A stage with a finding that stops says so, beside how many others are to be looked at; notes are neither."""
    stop, look, note = (Finding("x", one, "") for one in (Severity.STOP, Severity.LOOK, Severity.NOTE))
    assert to_look_at([look, note, stop, look]) == "1 that stops, 2 to look at"
    assert (to_look_at([stop]), to_look_at([look]), to_look_at([note])) == ("1 that stops", "1 to look at", "complete")
