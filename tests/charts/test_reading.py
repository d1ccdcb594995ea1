"""What is read out of each picture, held against the figures it was made from, and stretches of it drawn larger."""

import json
import pickle
import re

import numpy as np
import pytest

from tests.charts import gallery
from wattwright.charts.bands import banded_peaks
from wattwright.charts.reading import Plot, Reading, Zoom, reading_json, with_unit
from wattwright.charts.render import live_drawing, svg
from wattwright.charts.simulated import Contact, Stretch, simulated_stretch
from wattwright.core.errors import OwnFault

GROUPS = ("Energy", "651.00"), ("Demand charge", "260.00"), ("Fixed charge", "45.00"), ("Tax", "108.50")
"""January's bill: 310 kWh of 2.10 each, what is due every month, and 0.35 a kWh."""
ALL = (*gallery.MAKERS, gallery.hidden, gallery.simulated)


def plots(picture) -> tuple[Plot, ...]:
    """The plots that are read out of a picture."""
    return tuple(picture.reading.plots())


def groups(mark: dict) -> int:
    """How many plots a drawing has: groups of its marks that hold no other group of marks."""
    inner = [one for one in mark.get("marks", []) if one["type"] == "group" and one.get("marks") is not None]
    return sum(map(groups, inner)) if inner else 1


@pytest.mark.parametrize("make", ALL, ids=lambda make: make.__name__)
def test_every_picture_has_words_for_its_plots(make) -> None:
    """Each picture tells its plots in the order in which they are drawn, as plain data that goes to another process and back."""
    picture = pickle.loads(pickle.dumps(make()))
    told = plots(picture)
    assert any(one.cells for one in told)
    for spec in (picture.spec, picture.narrow):
        assert sum(one.over for one in told) <= groups(live_drawing(spec)["spec"])
    given = json.loads(json.dumps(reading_json(picture, picture.reading.zoom), allow_nan=False))
    assert given["title"] == picture.title
    assert len(given["plots"]) == len(told)


def test_day_and_hour_of_the_year() -> None:
    """The cell of a day and an hour tells its power; what is missing is told so."""
    (plot,) = plots(gallery.heat())
    power = gallery.year()
    assert (plot.columns[40], plot.lines[19]) == ("2025-02-10", "19:00")
    assert plot.cells[19][40] == f"{power[40, 19] / 1000:.3f}\u202fkW"
    assert plot.cells[3][105] == "missing"


def test_percentiles_of_an_hour() -> None:
    """Half past seven of a working day, with the percentiles the panel was made from."""
    first, _ = plots(gallery.profile())
    at = gallery.day(1.0)[15] / 1000
    assert first.columns[15] == "Working days, 07:30"
    low, high = f"{at * 0.6:.3f}\u202fkW", f"{at * 1.5:.3f}\u202fkW"
    assert first.cells[0][15] == f"median {at:.3f}\u202fkW, mean {at * 1.08:.3f}\u202fkW, 10 to 90 % of days {low} to {high}"
    assert "mean" not in plots(gallery.seasons())[0].cells[0][0]


def test_bands_of_a_month() -> None:
    """June with its band and what was read."""
    (plot,) = plots(gallery.hidden())
    assert plot.columns[5] == "Jun"
    assert plot.cells[0][5] == "low 7.700\u202fkW, middle 9.800\u202fkW, high 13.300\u202fkW, highest mean 7.000\u202fkW"


def test_a_front_is_told_in_the_units_of_its_axes() -> None:
    """Cost and what is left over, each with its unit behind it and to hundredths."""
    (plot,) = plots(gallery.options())
    assert plot.cells[0][0].startswith("cost ")
    assert "\u202fEUR; unserved without the grid " in plot.cells[0][0]
    assert plot.cells[0][0].endswith("\u202f%")


def test_parts_and_totals_of_a_month() -> None:
    """A bill in groups tells its total and its parts with their currency; one without record tells a dash."""
    (bill,), (months,) = plots(gallery.bill()), plots(gallery.months())
    each = (f"{name} {amount}\u202fEUR" for name, amount in GROUPS)
    assert bill.cells[0][0] == ", ".join(("1064\u202fEUR", *each))
    assert (months.over, months.cells[0][0], months.cells[0][11]) == (2, "930 kWh, 9.1 kW", "– kWh, – kW")


def test_shares_of_a_day() -> None:
    """A day of all three is told with each share; a whole one with only what it has."""
    (plot,) = plots(gallery.strip())
    assert plot.cells[0][203] == "measured 40 %, estimated 30 %, missing 30 %"
    assert plot.cells[0][0] == "measured 100 %"


def test_figures_with_the_unit_of_their_axis() -> None:
    """The unit stands behind the figure and not before it; a figure below zero has its sign, not a hyphen."""
    assert with_unit("left over, kWh", "2") == "left over 2\u202fkWh"
    assert with_unit("Water heater, at its thermostat, °C", "58") == "Water heater, at its thermostat 58\u202f°C"
    assert with_unit("stretches apart", "3") == "stretches apart 3"
    first, second, _ = plots(gallery.left())
    cells = [one for row in first.cells for one in row]
    assert any(one.startswith("left over \N{MINUS SIGN}") for one in cells)
    assert not any("-" in one for one in cells)
    assert second.columns[0].endswith("\u202fdegC")


def test_minutes_around_a_peak() -> None:
    """Minutes before the peak have their sign."""
    first, *_ = plots(gallery.peaks())
    assert (first.columns[0], first.columns[8]) == ("3 March 2025, \u2212120 min", "3 March 2025, 0 min")
    assert first.edges[-1] == 120


def test_a_stretch_of_the_year() -> None:
    """Ten days of the year drawn larger: their own cells, their own words, the classes of the whole."""
    whole = gallery.heat()
    part = whole.reading.zoom.part(31.0, 41.0)
    (plot,) = plots(part)
    assert (plot.columns[0], plot.columns[-1], list(plot.edges)) == ("2025-02-01", "2025-02-10", list(range(31, 42)))
    assert part.step.endswith("Shown here: 2025-02-01 to 2025-02-10.")
    texts = json.dumps(part.spec)
    assert '"1 Feb"' in texts
    empty = whole.reading.zoom.part(100.0, 108.0)
    assert {cell for row in plots(empty)[0].cells for cell in row} == {"missing"}


def test_a_stretch_of_the_duration_curve() -> None:
    """A hundredth of the time, the power at its middle read off the line between the points."""
    whole = gallery.duration()
    main, inset = plots(whole)
    assert (main.edges[-1], inset.edges[-1]) == (100.0, 1.0)
    part = whole.reading.zoom.part(50.0, 70.0)
    (plot,) = plots(part)
    assert plot.columns[100] == "60.05 % of the time"
    at = 1500 + 9000 * np.exp(-60.05 / 3) + 3000 * (1 - 0.6005)
    assert plot.cells[0][100].startswith(f"today {at / 1000:.3f}\u202fkW, shed order ")
    assert "50 to 70 % of the time" in json.dumps(part.spec)


def test_ends_of_a_stretch() -> None:
    """Ends are whole steps within the picture, not too near each other; what lies outside is none of it."""
    zoom = Zoom(10.0, 100.0, 5.0, 20.0, lambda low, high: gallery.heat())
    assert zoom.ends(22.0, 61.0) == (20.0, 65.0)
    assert zoom.ends(50.0, 51.0) == (50.0, 70.0)
    assert zoom.ends(97.0, 99.0) == (80.0, 100.0)
    assert zoom.ends(-1e300, 1e300) == (10.0, 100.0)
    tenths = Zoom(0.0, 100.0, 0.1, 0.5, lambda low, high: gallery.heat())
    assert tenths.ends(10.0, 30.0) == pytest.approx((10.0, 30.0), abs=1e-9)
    for outside in ((100.0, 120.0), (0.0, 10.0), (50.0, 50.0), (60.0, 40.0), (float("nan"), 50.0)):
        assert zoom.ends(*outside) is None


def test_another_title_holds_for_stretches() -> None:
    """A picture under another title keeps it where a stretch of it is drawn; one that is not read out has only the title."""
    renamed = gallery.heat().retitled("Evenings")
    assert (renamed.title, renamed.reading.zoom.part(0.0, 30.0).title) == ("Evenings", "Evenings")
    assert gallery.bill().retitled("Bill").title == "Bill"
    bare = gallery.caption("bare", "Title").picture({})
    assert bare.retitled("Other").title == "Other"
    assert reading_json(bare, None)["plots"] == []


@pytest.mark.parametrize(
    "wrong",
    [
        {"columns": ["a"], "cells": [["1", "2"]]}, {"columns": ["a"], "cells": [["1"]], "lines": ["x", "y"]},
        {"columns": ["a"], "cells": [["1"]], "edges": [0.0]}, {"columns": ["a"], "cells": [["1"]], "tops": [0.0]},
    ],
)  # fmt: skip
def test_words_that_do_not_fit(wrong: dict) -> None:
    """Rows, columns and edges that do not belong together are refused."""
    with pytest.raises(OwnFault, match="words of a plot"):
        Plot(**wrong)


def test_bands_without_a_reading() -> None:
    """A span in which nothing was read is told so."""
    picture = banded_peaks(
        gallery.caption("b", "T"), ["a", "b"], [[1.0, 2.0]] * 3, [1.0, np.nan], ("band", "middle", "read"), told=["A", "B"]
    )
    (plot,) = plots(picture)
    assert plot.columns == ["A", "B"]
    assert plot.cells[0][1].endswith("read missing")
    assert isinstance(picture.reading, Reading)


def test_a_stretch_of_a_simulated_day() -> None:
    """Two hours of the day: its own steps, nights and rows, told by the clock of the whole."""
    whole = gallery.simulated()
    (all_day,) = plots(whole)
    assert len(all_day.columns) == 480
    part = whole.reading.zoom.part(6.0, 8.0)
    (plot,) = plots(part)
    assert (plot.columns[0], plot.edges[0], plot.edges[-1]) == ("6.00 h", 6.0, 8.0)
    assert len(plot.columns) == 120
    assert plot.over == all_day.over > 1
    assert part.step.endswith("Shown here: 6.00 h to 8.00 h.")
    # Six hours and six minutes are no binary number: the clock is figured all the same.
    assert {f">{at} h<" for at in ("6.5", "7", "7.5", "8")} <= set(
        re.findall(">[^<]+<", svg(whole.reading.zoom.part(6.1, 8.0).spec))
    )
    assert plot.cells[0][0].startswith("whole site, simulated ")


def test_what_runs_at_the_ends_of_any_stretch() -> None:
    """A minute in which a load runs says so in each stretch that holds it, and no other does; no switching is lost at an end.

    Hours that are thirds and sevenths are no binary numbers: by the clock alone a load ran on into the minute after its last.
    """
    rng = np.random.default_rng(41)
    begins, ends = 7 * 60 + 53, 18 * 60 + 1
    marks = [(begins / 60, "1", "times"), (ends / 60, "2", "times")]
    pump = Contact("Pump", "pump", [(begins / 60, ends / 60)], [(begins / 60, ends / 60)], marks)
    stretch = Stretch(24.0, [], (), gallery.figured, lambda hour: str(round(60 * hour)))
    power = np.full(1440, 700.0)
    whole = simulated_stretch(gallery.caption("simulated", "The pump runs"), stretch, power, power, [], [pump])
    near = [
        (end + low, end + high) for end in (begins, ends) for low in (-60, -1, 0, 1) for high in (20, 1, 0) if high - low > 15
    ]
    some = [tuple(sorted(pair)) for pair in rng.integers(0, 1440, (60, 2)).tolist() if abs(pair[0] - pair[1]) > 15]
    for low, high in (*near, *some):
        (plot,) = (part := whole.reading.zoom.part(low / 60, high / 60)).reading.plots()
        starts = [int(one) for one in plot.columns]
        assert starts[0] == low
        for first, until, cell in zip(starts, [*starts[1:], high], plot.cells[0], strict=True):
            assert ("running: Pump" in cell) == (first < ends and until > begins), (low, high, first)
        drawn = str(part.spec)
        for minute, number in ((begins, "1"), (ends, "2")):
            assert (f"'text': '{number}" in drawn) == (low <= minute <= high), (low, high, minute)
