"""What each picture shows, and what no maker accepts."""

import datetime as dt
import re

import numpy as np
import pytest

from tests.charts import gallery
from wattwright.charts.compare import Bar, bar_compare
from wattwright.charts.duration import duration_curve
from wattwright.charts.front import Front, front_lines
from wattwright.charts.heat import year_heat
from wattwright.charts.lines import Line, line_style
from wattwright.charts.months import Group, monthly_bars, monthly_energy_and_peak
from wattwright.charts.palette import CLASSES, light, part_shades
from wattwright.charts.peaks import PeakPanel, peaks_around
from wattwright.charts.picture import Caption, Picture
from wattwright.charts.profile import DayPanel, day_profile
from wattwright.charts.render import svg
from wattwright.charts.residuals import LeftOver, LeftOverWords, left_over
from wattwright.charts.saved import SavedWords, Weeks, saved_weeks
from wattwright.charts.simulated import Contact, Stretch, simulated_stretch
from wattwright.charts.strip import completeness_strip
from wattwright.charts.table import Column, Table
from wattwright.charts.tornado import Reach, tornado_bars
from wattwright.charts.words import ChartWords
from wattwright.core.basis import Basis
from wattwright.core.errors import OwnFault

WORDS = gallery.caption("p", "Title")
DAY = dt.date(2025, 1, 1)


def texts(picture: Picture) -> list[str]:
    """All words of the drawing."""
    return [re.sub("<[^>]+>", " ", t).strip() for t in re.findall(r"<text[^>]*>(.*?)</text>", svg(picture.spec), re.S)]


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (gallery.heat, ["Local time of day", "00:00", "24:00", "Jan", "Dec", "missing", "Power, kW"]),
        (gallery.profile, ["Power, kW", "Working days", "Weekends", "median", "mean", "10 to 90 % of days", "Local time"]),
        (gallery.duration, ["today", "shed order", "with PV", "The busiest 1 %", "Share of the time, %"]),
        (gallery.bill, ["Bill, EUR", "Energy", "Demand charge", "Fixed charge", "Tax", "2020"]),
        (gallery.months, ["Energy, kWh", "Highest power, kW", "12.4", "2100", "–"]),
        (gallery.peaks, ["supply 13.8 kW", "3 March 2025", "Minutes from the peak"]),
        (gallery.hidden, ["supply 9.2 kW", "band", "middle", "highest mean", "Jun", "Power, kW"]),
        (
            gallery.holds,
            [
                "The supply holds, h",
                "winter",
                "summer",
                "today's rules",
                "rules of the plan",
                "Local time at which the grid goes",
            ],
        ),
        (gallery.strip, ["measured", "estimated", "missing", "2024", "2025"]),
        (
            gallery.simulated,
            ["main fuse 4.6 kW", "whole site, simulated", "Water heater, degC", "set point", "08:00", "running", "4"],
        ),
        (gallery.compare, ["Flat tariff (in use)", "EUR 4,210.40"]),
    ],
)
def test_direct_labels_are_in_the_drawing(make, words: list[str]) -> None:
    """Each picture names its axes with their unit and labels its parts."""
    drawn = texts(make())
    assert [word for word in words if word not in drawn] == []


def test_peak_says_value_time_and_what_ran() -> None:
    """A peak carries its printed value and time, and beneath it what ran."""
    drawn = " ".join(texts(gallery.peaks()))
    assert re.search(r"12\.0 kW at 07:15\s+two water heaters and the\s+oven", drawn)


def test_darkest_class_is_where_the_power_is() -> None:
    """A year of 1 kW with one hour of 7 kW draws the darkest class exactly at that hour's place."""
    power = np.full((10, 24), 1000.0)
    power[4, 18] = 7000.0
    picture = year_heat(WORDS, power, DAY)
    layers = [layer for layer in picture.spec["layer"] if layer["mark"].get("fill") == CLASSES[-1].light]
    cell, key = (layer["mark"]["shape"] for layer in layers)
    left, top = map(float, re.match(r"M([\d.]+),([\d.]+)", cell).groups())
    width = picture.spec["width"] / 10
    # By hand: fifth day of ten begins at four tenths of the width; 18:00 at 18/24 of the height of 192 px.
    assert left == pytest.approx(4 * width, abs=0.01)
    assert top == pytest.approx(144.0)
    assert cell.count("M") == 1
    assert key.startswith("M")


def test_fixed_classes_let_two_years_be_compared() -> None:
    """With the end given, the classes of a small year are those of the large one, and no export of theirs is one of them."""
    power = np.full((3, 24), -500.0)
    power[0, 0] = 1400.0
    drawn = texts(year_heat(WORDS, power, DAY, highest_w=14_000.0))
    assert {"2", "14"} <= set(drawn)
    assert {"missing", "export"} <= set(drawn)


def shapes_filled(picture: Picture, role: str) -> list[str]:
    """The outlines filled with a role's colour."""
    return [layer["mark"]["shape"] for layer in picture.spec["layer"] if layer["mark"].get("fill") == light(role)]


def test_export_is_never_drawn_as_nought() -> None:
    """The one hour of export has its own colour at its place and none of the scale's; without export there is no such colour."""
    power = np.full((10, 24), 1000.0)
    power[2, 12] = -10.0
    cell, key = shapes_filled(year_heat(WORDS, power, DAY), "pv")
    width = year_heat(WORDS, power, DAY).spec["width"] / 10
    # By hand: third day of ten, 12:00 is half of the height of 192 px.
    left, top = map(float, re.match(r"M([\d.]+),([\d.]+)", cell).groups())
    assert (left, top) == (pytest.approx(2 * width, abs=0.01), pytest.approx(96.0))
    assert cell.count("M") == key.count("M") == 1
    assert shapes_filled(year_heat(WORDS, np.abs(power), DAY), "pv") == []


def domains(spec: object) -> list[list[float]]:
    """The ends of all upright power or energy axes of a specification."""
    if isinstance(spec, list):
        return [one for part in spec for one in domains(part)]
    if not isinstance(spec, dict):
        return []
    here = [spec["scale"]["domain"]] if spec.get("field") == "p" else []
    return here + [one for part in spec.values() for one in domains(part)]


BELOW = {
    "day": lambda: day_profile(WORDS, [DayPanel("a", [-500.0] * 24, [-3200.0] * 24, [1400.0] * 24)]),
    "duration": lambda: duration_curve(WORDS, [0.0, 50.0, 100.0], [Line("site", [1400.0, 0.0, -3200.0])]),
    "peaks": lambda: peaks_around(WORDS, [PeakPanel("1 May", [-60, 0], [-3200.0, 1400.0], "1.4 kW at 08:00")]),
    "months": lambda: monthly_energy_and_peak(WORDS, ["Jan", "Jul"], [2.0, -3.2], ["2", "-3"], [1400.0, -10.0], ["1", "0"]),
}


@pytest.mark.parametrize("name", BELOW)
def test_axes_go_below_zero(name: str) -> None:
    """Where there is export every axis holds all that is drawn (1.4 to -3.2), and the line of zero is drawn."""
    spec = BELOW[name]().spec
    found = domains(spec)
    assert min(low for low, _ in found) <= -3.2
    assert max(high for _, high in found) >= 1.4
    assert f"'color': '{light('ink')}'" in str(spec)
    assert "{'p': 0.0}" in str(spec)


def test_a_bar_below_zero_hangs() -> None:
    """A month of net export has a bar from zero down, with its figure beneath it."""
    spec = BELOW["months"]().spec["vconcat"][0]
    names = {layer["mark"].get("baseline", layer["mark"]["type"]): layer["data"] for layer in spec["layer"]}
    held = {
        name: data["values"] if "values" in data else BELOW["months"]().spec["datasets"][data["name"]]
        for name, data in names.items()
    }
    assert [row["b"] for row in held["rect"]] == [2.0, -3.2]
    assert [row["text"] for row in held["bottom"]] == ["2"]
    assert [row["text"] for row in held["top"]] == ["-3"]


def test_a_mean_beyond_the_band_is_inside_the_axis() -> None:
    """A mean of 9 kW over a band that ends at 2 kW still lies within the axis."""
    picture = day_profile(WORDS, [DayPanel("a", [1000.0] * 24, [500.0] * 24, [2000.0] * 24, [9000.0] * 24)])
    assert all(high >= 9.0 for _, high in domains(picture.spec))


def test_estimated_and_simulated_lines_differ_without_colour() -> None:
    """Alone, the dash says the basis; in company both role and basis can be told from it."""
    assert "strokeDash" not in line_style(Line("a", [1.0]), alone=True)
    kinds = [Line("a", [1.0], "grid", b) for b in (Basis.MEASURED, Basis.ESTIMATED, Basis.SIMULATED)]
    kinds += [Line("a", [1.0], "pv", Basis.SIMULATED), Line("a", [1.0], "demand", Basis.SIMULATED)]
    assert len({tuple(line_style(k, alone=False)["strokeDash"]) for k in kinds}) == 5
    assert "strokeDash" not in line_style(Line("a", [1.0]), alone=False)


def test_no_line_strikes_a_figure_of_a_bar_through() -> None:
    """A line that stands where a figure stands leaves its row out, and the figure alone is read there."""
    from wattwright.charts.tornado import _line

    bars = [Reach("a", 0.0, 100.0, "0", "100"), Reach("b", 200.0, 300.0, "200", "300")]
    plain, struck = _line(50.0, bars, float, 90.0), _line(190.0, bars, float, 90.0)
    assert plain == "M50.0,2V90"
    # By hand: the second row begins at 36 and its bar 17 lower; the line ends a pixel above it and goes on below the figure.
    assert struck == "M190.0,2V52M190.0,67V90"
    assert _line(110.0, bars, float, 90.0).startswith("M110.0,2V16")


def test_two_curves_are_named_at_their_lines() -> None:
    """Of two curves the higher is named above its line and the lower below; three stand in a key."""
    curves = [Line("low", [3000.0, 1000.0]), Line("high", [4000.0, 2000.0], "grid")]
    layers = duration_curve(WORDS, [0.0, 100.0], curves, None).spec["layer"]
    looks = {layer["data"]["name"]: layer["mark"]["baseline"] for layer in layers if layer["mark"]["type"] == "text"}
    assert sorted(looks.values()) == ["bottom", "bottom", "top"]
    assert "vconcat" in gallery.duration().spec


def test_a_key_takes_a_new_line_where_it_must() -> None:
    """Entries of 27 px and 5.7 px a character, 16 px apart: two of 84 px fit 184 px exactly, the third begins a line."""
    from wattwright.charts.parts import Key, key

    chart = key([Key("a" * 10, "#1D2421")] * 3, 184).to_dict()
    assert chart["height"] == 17 + 12
    assert key([Key("a" * 10, "#1D2421")] * 2, 184).to_dict()["height"] == 12


def test_duration_curve_alone_without_inset() -> None:
    """One curve needs no name, and without the inset the picture is one plot."""
    picture = duration_curve(WORDS, [0.0, 50.0, 100.0], [Line("today", [900.0, 300.0, 100.0])], inset_pct=None)
    assert "hconcat" not in picture.spec
    assert "today" not in texts(picture)
    assert "Power, W" in texts(picture)


def test_one_group_needs_no_name() -> None:
    """Bars of a single group have no name at the side and no gaps of paper within."""
    picture = monthly_bars(WORDS, ["Jan", "Feb's"], [Group("Energy", [1.0, float("nan")])], "Energy, kWh", ["1", "–"])
    drawn = texts(picture)
    assert "Energy" not in drawn
    assert {"Feb's", "1", "–"} <= set(drawn)


def test_a_complete_record_shows_no_gap() -> None:
    """A strip without gaps draws hatching only as the sample of its key."""
    zeros = np.zeros(30)
    shapes = [layer["mark"].get("shape", "") for layer in completeness_strip(WORDS, DAY, zeros, zeros).spec["layer"]]
    hatched = [shape for shape in shapes if "L" in shape]
    assert len(hatched) == 2


def test_one_reading_around_a_peak_is_enough() -> None:
    """A panel of a single interval is drawn one minute wide, in W under 1 kW, without limit."""
    assert "Power, W" in texts(peaks_around(WORDS, [PeakPanel("1 May", [0], [400.0], "400 W at 08:00")]))


def test_bars_of_nothing_have_no_length() -> None:
    """Totals of zero are drawn as zero."""
    assert "EUR 0" in texts(bar_compare(WORDS, [Bar("Nothing", 0.0, "EUR 0")]))


REFUSED = {
    "nothing to draw": lambda: duration_curve(WORDS, [0.0], []),
    "wanted 2": lambda: duration_curve(WORDS, [0.0, 100.0], [Line("a", [1.0])]),
    "nothing to draw; ": lambda: day_profile(WORDS, []),
    "'low' has 1 values": lambda: day_profile(WORDS, [DayPanel("a", [1.0, 2.0], [1.0], [2.0, 3.0])]),
    "below zero": lambda: monthly_bars(WORDS, ["Jan"], [Group("Credit", [-1.0])], "Bill, EUR", ["-1"]),
    "'totals' has 0": lambda: monthly_bars(WORDS, ["Jan"], [Group("Energy", [1.0])], "Bill, EUR", []),
    "nothing to draw; g": lambda: peaks_around(WORDS, []),
    "got shape": lambda: year_heat(WORDS, np.full((3, 24), np.nan), DAY),
    r"got shape \(24,\)": lambda: year_heat(WORDS, np.ones(24), DAY),
    "together at most 1": lambda: completeness_strip(WORDS, DAY, [0.6], [0.6]),
    "at least one bar": lambda: bar_compare(WORDS, []),
    "at least one bar, each": lambda: bar_compare(WORDS, [Bar("a", float("nan"), "?")]),
    "'saved_kwh' has 1": lambda: saved_weeks(WORDS, Weeks(*[np.ones(2)] * 4, *[np.ones(1)] * 3), SavedWords(*"abcdef")),
    "'beside' has 1": lambda: left_over(
        WORDS, LeftOver(np.ones(2), np.ones(2), np.ones(1), np.ones(2), 0.1), LeftOverWords(*"abcde")
    ),
    "'alike' has 1": lambda: left_over(
        WORDS, LeftOver(np.ones(2), np.ones(2), np.ones(2), np.ones(1), 0.1), LeftOverWords(*"abcde")
    ),
    "at least one front": lambda: front_lines(WORDS, [Front("a", ())], "cost", "left"),
    "one bar, its low end": lambda: tornado_bars(WORDS, [Reach("a", 2.0, 1.0, "2", "1")], (1.5, "1.5"), "worth"),
    "wanted 1 to 7, got 8": lambda: part_shades(8),
    "1 cells, wanted 2": lambda: Table((Column("a"), Column("b")), (("1",),), "A table"),
    "lower-case letters": lambda: Caption("Heat map", "t", "a", "s").picture({}),
    "alt is empty": lambda: Caption("heat", "t", " ", "s").picture({}),
}


@pytest.mark.parametrize("message", REFUSED)
def test_what_cannot_be_drawn_is_refused(message: str) -> None:
    """Each maker refuses what it cannot draw, and says what it got or wanted."""
    with pytest.raises(OwnFault, match=message):
        REFUSED[message]()


def test_colours_come_only_from_the_palette() -> None:
    """No maker writes a colour that the palette does not hold."""
    from wattwright.charts.palette import css_variables

    known = {shade.light for shade in css_variables().values()}
    for make in gallery.MAKERS:
        assert set(re.findall(r"#[0-9A-Fa-f]{6}\b", str(make().spec))) <= known, make.__name__


def test_figures_take_the_marks_of_the_language() -> None:
    """With decimal comma and thin groups, axes and keys have them; in English, groups are set apart by commas."""
    words = ChartWords(decimal_mark=",", group_mark="\u202f")
    assert words.figure(12345.5) == "12\u202f345,5"
    bars = [Group("Energy", [2400.0])]
    assert "2\u202f000" in texts(monthly_bars(WORDS, ["Jan"], bars, "kWh", ["2\u202f400"], words))
    assert "2,000" in texts(monthly_bars(WORDS, ["Jan"], bars, "kWh", ["2,400"]))
    power = np.full((3, 24), 10_000.0)
    assert "1,5" in texts(year_heat(WORDS, power, DAY, words=words))


def test_a_simulated_stretch_draws_what_it_is_told() -> None:
    """Bars stand at their hours in their roles' colours; a number that would cover a name is left out; odd input is refused."""
    drawn = str(gallery.simulated().spec)
    assert "'h': 7.5, 'g': 7.8" in drawn
    assert light("pump") in drawn
    stretch = Stretch(24.0, [(0.0, "00:00")])
    close = Contact("Load", "heat", [], [], [(5.0, "7", "shed"), (5.1, "8", "rule"), (9.0, "9", "shed")])
    assert {"7", "8"} & set(texts(simulated_stretch(WORDS, stretch, [1.0], [1.0], [], [close]))) == {"7"}
    assert "9 shed" in texts(simulated_stretch(WORDS, stretch, [1.0], [1.0], [], [close]))
    year = np.full(525_600, 100.0)
    year[300_000] = 9000.0
    often = Contact("Load", "heat", [(h, h + 0.01) for h in np.arange(0.0, 8760.0, 0.25)], [], [])
    drawn = simulated_stretch(WORDS, Stretch(8760.0, [(0.0, "1 Jan")]), year, year, [], [often])
    assert len(str(drawn.spec)) < 400_000
    assert "'p': 9.0" in str(drawn.spec)
    plain = simulated_stretch(WORDS, stretch, [1.0, 2.0], [1.0, 1.0], [], [])
    assert "running" not in texts(plain)
    with pytest.raises(OwnFault, match="rest"):
        simulated_stretch(WORDS, stretch, [1.0, 2.0], [1.0], [], [])
    with pytest.raises(OwnFault, match="cannot be drawn"):
        simulated_stretch(WORDS, Stretch(0.0, []), [1.0], [1.0], [], [])


def test_a_week_is_drawn_one_step_to_a_pixel_and_keeps_its_peak() -> None:
    """10,080 minutes on 390 px: no more steps than pixels, the one highest minute among them; a day keeps every minute."""
    site = np.full(10_080, 1000.0)
    site[5000] = 9000.0
    made = simulated_stretch(WORDS, Stretch(168.0, [(0.0, "1 Jan")]), site, site, [], [])
    powers = [row["p"] for rows in made.narrow["datasets"].values() for row in rows if "p" in row and "h" in row]
    assert len(powers) <= 2 * (390 + 1)
    assert max(powers) == 9.0
    day = simulated_stretch(WORDS, Stretch(24.0, [(0.0, "0")]), site[:1440], site[:1440], [], [])
    assert sum("h" in row for rows in day.narrow["datasets"].values() for row in rows) >= 1441
