"""The section on what hides behind the means: when it is there, what it says, and what it draws."""

from datetime import datetime

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


def picture_of(section):
    """The picture of a section."""
    return next(block.picture for block in section.blocks if hasattr(block, "picture"))


@pytest.mark.parametrize(("first", "last", "lasts_h"), [((2025, 1, 15), "2025-03-30", 23), ((2025, 8, 13), "2025-10-26", 25)])
def test_the_last_day_ends_at_its_midnight(tmp_path, first, last, lasts_h):
    """A record that ends with the day on which the clock changes ends with it, in days and in months (dates of the EU's rule)."""
    job = PLAIN.replace('"UTC"', '"Europe/Vienna"')
    begin = datetime(*first)
    count = (datetime.fromisoformat(last) - begin).days + 1
    local = 24 * count + lasts_h - 24
    rows = np.datetime64(begin) - np.timedelta64(1 if lasts_h == 23 else 2, "h") + np.arange(local) * np.timedelta64(1, "h")
    values = 1.25 + 0.75 * np.sin(np.arange(local))
    text = "time,P [kW]\n" + "".join(
        f"{at}:00:00Z,{kw:.3f}\n" for at, kw in zip(np.datetime_as_string(rows, "h"), values, strict=True)
    )
    zoom = picture_of(hidden(context_with(tmp_path, text, job))).reading.zoom
    assert zoom.last - zoom.first == 3600 * local
    days = zoom.part(zoom.last - 30 * 86_400, zoom.last).reading.plots()[0]
    assert days.columns[-1] == last
    assert days.edges[-1] - days.edges[-2] == 3600 * lasts_h
    months = zoom.part(zoom.first, zoom.last).reading.plots()[0]
    assert months.edges[-1] == days.edges[-1]


def test_days_after_a_change_of_the_clock(tmp_path):
    """Ends in steps of 24 h lie an hour beside the days of summer: the days drawn are those meant, and their figures."""
    job = PLAIN.replace('"UTC"', '"Europe/Vienna"')
    zoom = picture_of(hidden(context_with(tmp_path, course(75), job))).reading.zoom
    begin = zoom.first + 40 * 86_400
    part = zoom.part(begin, begin + 10 * 86_400)
    assert list(part.reading.plots()[0].columns) == [f"2025-04-{day}" for day in range(12, 22)]
    assert [row[0] for row in zoom.figures(begin, begin + 10 * 86_400).rows] == [f"2025-04-{day}" for day in range(12, 22)]


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
