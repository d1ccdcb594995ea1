"""Any stretch of readings in few columns: nothing is lost of them, and what is drawn is what was asked for."""

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from tests.charts import gallery
from wattwright.charts.course import Course, course_picture, part_of, plot_px
from wattwright.charts.render import svg
from wattwright.core.errors import OwnFault

START, STEP = 1_735_689_600, 60


def course(values: list[float], estimated: tuple[int, ...] = ()) -> Course:
    """A course of so many minutes."""
    filled = np.zeros(len(values), np.bool_)
    filled[list(estimated)] = True
    return Course(START, STEP, np.asarray(values, np.float32), filled)


@settings(max_examples=200, deadline=None)
@given(
    values=st.lists(st.one_of(st.integers(-5000, 20000).map(float), st.just(float("nan"))), min_size=1, max_size=400),
    ends=st.tuples(st.integers(-100, 500), st.integers(-100, 500)), columns=st.integers(1, 60),
)  # fmt: skip
def test_no_peak_is_lost(values: list[float], ends: tuple[int, int], columns: int) -> None:
    """Least, greatest and mean of all columns are those of the readings of the stretch, worked out here one by one."""
    low, high = sorted(ends)
    part = part_of(course(values), START + STEP * low, START + STEP * high, columns)
    first, last = (int(one - START) // STEP for one in (part.edges_s[0], part.edges_s[-1]))
    assert 0 <= first < last <= len(values)
    assert first <= max(low, 0) or first == len(values) - 1
    assert last >= min(high, len(values))
    own = [one for one in values[first:last] if not np.isnan(one)]
    assert len(part.mean_w) <= columns
    assert (np.diff(part.edges_s) > 0).all()
    if not own:
        assert part.peak is None
        assert np.isnan(part.mean_w).all()
        return
    assert np.nanmax(part.greatest_w) == max(own)
    assert np.nanmin(part.least_w) == min(own)
    assert values[(part.peak_s - START) // STEP] == max(own)
    counts = [
        sum(not np.isnan(one) for one in values[(a - START) // STEP : (b - START) // STEP])
        for a, b in zip(part.edges_s[:-1], part.edges_s[1:], strict=True)
    ]
    assert np.nansum(part.mean_w * counts) == pytest.approx(sum(own), abs=1e-3 * max(map(abs, own), default=1))


def test_estimates_stay_told() -> None:
    """A column is estimated where any of its readings is."""
    part = part_of(course([1.0] * 10, (3,)), START, START + 10 * STEP, 5)
    assert part.estimated.tolist() == [False, True, False, False, False]
    assert not part.is_whole
    assert part_of(course([1.0] * 10), START, START + 10 * STEP, 10).is_whole


def test_a_course_without_readings() -> None:
    """There is nothing to show of it, and no picture is made."""
    with pytest.raises(OwnFault, match="without readings"):
        part_of(course([]), START, START + STEP)


def test_drawn_with_its_peak_and_what_is_missing() -> None:
    """Peak and ticks in words; a band only where readings are taken together, a shade only where some are missing."""
    few = course([500.0, 700.0, float("nan"), 1200.0])
    whole = part_of(few, START, START + 4 * STEP)
    drawn = svg(course_picture(gallery.caption("course", "T"), whole, [(START, "00:00")], "1.20 kW, 00:03").spec)
    for told in ("Power, kW", "00:00", "1.20 kW, 00:03"):
        assert told in drawn
    marks = {layer["mark"]["type"] for layer in course_picture(gallery.caption("c", "T"), whole, [], "").spec["layer"]}
    assert marks == {"rect", "line", "point", "text"}
    band = part_of(course([500.0, 700.0]), START, START + 2 * STEP, 1)
    small = course_picture(gallery.caption("c", "T"), band, [], "")
    assert "Power, W" in svg(small.spec)
    assert {layer["mark"]["type"] for layer in small.spec["layer"]} == {"area", "line", "point", "text"}
    none = part_of(course([float("nan")] * 3), START, START + 3 * STEP)
    assert {layer["mark"]["type"] for layer in course_picture(gallery.caption("c", "T"), none, [], "").spec["layer"]} == {
        "rect",
        "line",
    }


def test_a_narrow_picture_has_fewer_words() -> None:
    """Of many ticks every other one has room; the plot is as wide as what is drawn says."""
    part = part_of(course([1.0] * 60), START, START + 60 * STEP)
    ticks = [(START + 600 * i, f"00:{10 * i:02d}") for i in range(6)]
    picture = course_picture(gallery.caption("c", "T"), part, ticks, "")
    axes = [one["layer"][0]["encoding"]["x"]["axis"]["values"] for one in (picture.spec, picture.narrow)]
    assert [len(one) for one in axes] == [6, 3]
    assert [one["width"] for one in (picture.spec, picture.narrow)] == [plot_px(narrow=False), plot_px(narrow=True)]
