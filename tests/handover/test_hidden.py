"""The section on what hides behind the means: when it is there, what it says, and what it draws."""

import numpy as np
import pytest

from tests.handover.kit import PLAIN, context_with, hours, sentences, tables
from wattwright.handover.hidden import hidden

LIMITED = (
    PLAIN
    + """
[limit]
power = "2.5 kW"
[[loads]]
id = "pump"
name = "Pump"
kind = "motor"
rating = "750 W"
[[loads]]
id = "oven"
name = "Oven"
kind = "cooking"
rating = "3 kW"
"""
)


@pytest.fixture(autouse=True)
def few_courses(monkeypatch):
    """Fewer invented courses: what is said does not depend on their number, the time does."""
    from wattwright.demand.within.peak_bands import peak_bands

    monkeypatch.setattr(peak_bands, "__kwdefaults__", {**peak_bands.__kwdefaults__, "courses": 20})


def course(days):
    """Hours between half a kilowatt and 2 kW."""
    return hours(1.25 + 0.75 * np.sin(np.arange(24 * days)))


def test_what_was_measured_what_hides_and_how_sure(tmp_path):
    """The step, the band, what it rests on, the limit, the motor's start and the table by window are all said."""
    context = context_with(tmp_path, course(10), LIMITED)
    section = hidden(context)
    text = sentences(section)
    assert "means over 1 h" in text
    assert "the bands rest on the survey's ratings" in text
    assert "no share can be promised" in text
    assert "2.50 kW" in text
    assert "Pump" in text
    table = tables(section)[0]
    assert [str(row[0]) for row in table.rows] == [context.show.duration(one) for one in (60, 900, 1800)]
    picture = next(block.picture for block in section.blocks if hasattr(block, "picture"))
    assert "of each day" in picture.title


def test_months_where_there_are_three(tmp_path):
    """A record over three months draws months, not days."""
    section = hidden(context_with(tmp_path, course(75)))
    picture = next(block.picture for block in section.blocks if hasattr(block, "picture"))
    assert "of each month" in picture.title
    assert "home" in str(section.blocks[-1])


def test_minutes_hide_nothing(tmp_path):
    """Readings at one minute need no such section, nor do days, of which nothing can be told."""
    assert hidden(context_with(tmp_path, hours(np.full(600, 1.0), 1 / 60))) is None
    assert hidden(context_with(tmp_path, hours(np.full(30, 1.0), 24))) is None


def test_a_limit_far_above_is_not_passed(tmp_path):
    """Where no course passes the limit it says so."""
    far = LIMITED.replace("2.5 kW", "90 kW")
    assert "is not passed, as far as these bands tell" in sentences(hidden(context_with(tmp_path, course(6), far)))


def test_finer_readings_are_named_with_their_promise(tmp_path):
    """With a finer stretch the text says how often such bands hold."""
    means = np.repeat(1.25 + 0.75 * np.sin(np.arange(24 * 4)), 60)
    fine = hours(means * (1 + (np.arange(4 * 1440) % 6 - 2.5) / 10), 1 / 60)
    (tmp_path / "fine.csv").write_text(fine)
    job = PLAIN + '[[files]]\nid = "fine"\npath = "fine.csv"\nmeter = "main"\nfiner = true\n'
    text = sentences(hidden(context_with(tmp_path, course(8), job)))
    assert "Such bands hold nine in ten" in text
