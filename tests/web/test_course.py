"""The readings at any size: what the server gives of a stretch, and the brush, the cursor and the keys in the browser."""

import csv
import io
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.handover.kit import PLAIN
from tests.web.conftest import Asked, asked_of as desk_of
from tests.web.test_answers import plain
from wattwright.web.course import COURSE_FORMS

START, HOUR = 1_740_960_000, 3600
"""Where the four days of readings begin: 03 March 2025, midnight in UTC."""


@pytest.fixture(scope="module")
def ask(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Asked]:
    """A desk with a job of four days, its page made: the tests only ask."""
    made = desk_of(tmp_path_factory.mktemp("course"), PLAIN)
    assert made("/demand").status_code == 200
    yield made
    made.desk.close()


def stretch(ask: Asked, form: str, first: int | str = "", last: int | str = ""):
    """A stretch of the readings in a form, by hours from their beginning."""
    named = (("from", first), ("until", last))
    ends = {name: START + HOUR * at if isinstance(at, int) else at for name, at in named if at != ""}
    return ask(f"/jobs/{ask.job}/course.{form}", params=ends)


def test_every_form_of_a_stretch(ask: Asked) -> None:
    """Each with its media type, and each of the stretch that was asked for."""
    for form, media in COURSE_FORMS.items():
        answer = stretch(ask, form, 10, 20)
        assert (answer.status_code, answer.headers["content-type"]) == (200, media)
    rows = list(csv.reader(io.StringIO(stretch(ask, "csv", 10, 20).content.decode("utf-8-sig"))))
    assert len(rows) == 11
    assert [row[0][-5:] for row in rows[1:]] == [f"{hour}:00" for hour in range(10, 20)]
    assert {row[2] for row in rows[1:]} == {"2.5", "3"}
    assert "2025-03-03 10:00 to 2025-03-03 20:00" in plain(stretch(ask, "html", 10, 20))
    assert stretch(ask, "png", 10, 20).content.startswith(b"\x89PNG")
    assert "2025-03-03 10:00 to" in stretch(ask, "svg", 10, 20).text


def test_what_the_script_draws(ask: Asked) -> None:
    """Columns with their words, where the plot stands, and where the whole record begins and ends."""
    given = stretch(ask, "wide.json").json()
    assert (given["first"], given["last"], given["every"]) == (START, START + 96 * HOUR, HOUR)
    assert len(given["told"]) == len(given["edges"]) - 1 == 96
    assert given["told"][:2] == ["2025-03-03 00:00: 2.500 kW", "2025-03-03 01:00: 3.000 kW"]
    assert given["width"] > stretch(ask, "narrow.json").json()["width"]
    assert "3.00\u202fkW, 2025-03-03 01:00" in given["title"]


@pytest.mark.parametrize(
    ("first", "last"), [("x", ""), (5, 5), (9, 3), (200, 300), (-9, -3), ("9" * 30, ""), ("1e3", ""), ("9" * 5000, "")]
)
def test_no_stretch_of_the_record(ask: Asked, first: int | str, last: int | str) -> None:
    """What is no stretch, or none of this record, is not there; nothing breaks."""
    assert stretch(ask, "csv", first, last).status_code == 404


def test_too_little_is_widened_and_too_much_cut(ask: Asked) -> None:
    """Of one reading a picture says nothing, so its neighbours are shown too; beyond the record there is nothing."""
    little = stretch(ask, "wide.json", 50, 51).json()
    assert 4 <= len(little["told"]) <= 6
    assert little["edges"][0] <= START + 50 * HOUR < little["edges"][-1]
    assert len(stretch(ask, "wide.json", -500, 500).json()["told"]) == 96


def test_not_there(ask: Asked, tmp_path: Path) -> None:
    """Another form, a job without readings, or one whose readings cannot be read."""
    assert stretch(ask, "pdf").status_code == 404
    bare = tmp_path / "bare"
    bare.mkdir()
    (bare / "job.toml").write_text(PLAIN.partition("[[meters]]")[0])
    empty = Asked(bare)
    assert empty(f"/jobs/{empty.job}/course.svg").status_code == 404
    assert "data-course" not in empty("/demand").text
    (bare / "job.toml").write_text(PLAIN)
    (bare / "readings.csv").write_text("nothing\n")
    wrong = Asked(bare, tmp_path / "other")
    assert wrong(f"/jobs/{wrong.job}/course.svg").status_code == 404


def test_missing_and_estimated_are_told(tmp_path: Path) -> None:
    """Of a gap that nothing was read, of a filled one that it is estimated."""
    rows = "".join(f"2025-03-03 {i:02d}:00,{'' if i == 5 else 2}\n" for i in range(12))
    for name, more, told in (
        ("left", "", "nothing was read"),
        ("filled", '[repair]\ngaps = "estimate"\n', "2.000 kW, estimated"),
    ):
        folder = tmp_path / name
        folder.mkdir()
        (folder / "job.toml").write_text(PLAIN + more)
        (folder / "readings.csv").write_text("time,P [kW]\n" + rows)
        ask = Asked(folder)
        given = stretch(ask, "wide.json", 0, 12).json()
        said = [one for one in given["told"] if told in one]
        assert said, given["told"]
        page = stretch(ask, "html", 0, 12)
        assert page.status_code == 200


@pytest.mark.parametrize(
    ("hours", "tick"), [(96, "4 Mar"), (30, "06:00"), (3, "01:00")],
)  # fmt: skip
def test_ticks_are_of_the_wall_clock(ask: Asked, hours: int, tick: str) -> None:
    """Days of a long stretch, hours of a short one."""
    assert f">{tick}<" in stretch(ask, "svg", 0, hours).text


@pytest.mark.parametrize("width", [1440, 390])
def test_brush_cursor_and_keys(open_page, width: int) -> None:
    """Drawing over a stretch shows it larger, arrow keys read out column by column, Escape shows all; a year of minutes."""
    seen = open_page("/demand", width)
    page, place, read = seen.page, seen.page.locator("[data-course]"), seen.page.locator("#course-read")
    page.locator("[data-course][data-drawn=here]").wait_for()
    title = page.locator("#course-title")
    whole = title.text_content()
    assert whole.startswith("2025-01-01 00:00 to 2026-01-01 00:00")
    assert read.get_attribute("aria-live") == "polite"

    def changed(do) -> str:
        before = title.text_content()
        do()
        page.wait_for_function("(old) => document.getElementById('course-title').textContent !== old", arg=before)
        return title.text_content()

    place.focus()
    page.keyboard.press("Home")
    first = read.text_content()
    assert first.startswith("2025-01-01 00:00: greatest ")
    page.keyboard.press("ArrowRight")
    assert read.text_content() != first
    page.keyboard.press("ArrowLeft")
    assert read.text_content() == first
    place.scroll_into_view_if_needed()
    box = place.bounding_box()
    y = box["y"] + 100

    def brushed() -> None:
        page.mouse.move(box["x"] + box["width"] * 0.4, y)
        page.mouse.down()
        page.mouse.move(box["x"] + box["width"] * 0.42, y, steps=4)
        page.mouse.up()

    assert "2025-0" in changed(brushed)
    for _ in range(4):
        page.keyboard.press("Home")
        changed(lambda: page.keyboard.press("+"))
    assert page.locator("#course-step").text_content().startswith("Each reading is shown")
    assert "from=" in page.locator("[data-stretch]").nth(1).get_attribute("href")
    near = title.text_content()
    changed(page.locator("[data-move=later]").click)
    assert changed(page.locator("[data-move=earlier]").click) == near
    changed(page.locator("[data-move=out]").click)
    place.focus()
    assert changed(lambda: page.keyboard.press("Escape")) == whole
    assert [one for one in seen.told if not one.startswith("log:")] == []
