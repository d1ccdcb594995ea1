"""The readings at any size: what the server gives of a stretch, of it as picture, words and figures."""

import csv
import io
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.handover.kit import PLAIN
from tests.web.conftest import Asked, asked_of as desk_of
from tests.web.test_answers import plain

FORMS = {
    "wide.json": "application/json", "narrow.json": "application/json", "reading.json": "application/json",
    "svg": "image/svg+xml", "png": "image/png", "csv": "text/csv; charset=utf-8", "html": "text/html; charset=utf-8",
}  # fmt: skip
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
    kind = {"csv": "figures/readings.csv", "html": "figures/readings"}.get(form, f"drawings/readings.{form}")
    return ask(f"/demand/{kind}", params=ends)


def test_every_form_of_a_stretch(ask: Asked) -> None:
    """Each with its media type, and each of the stretch that was asked for."""
    for form, media in FORMS.items():
        answer = stretch(ask, form, 10, 20)
        assert (answer.status_code, answer.headers["content-type"]) == (200, media)
    rows = list(csv.reader(io.StringIO(stretch(ask, "csv", 10, 20).content.decode("utf-8-sig"))))
    assert len(rows) == 11
    assert [row[0][-5:] for row in rows[1:]] == [f"{hour}:00" for hour in range(10, 20)]
    assert {row[2] for row in rows[1:]} == {"2.5", "3"}
    assert plain(stretch(ask, "html", 10, 20)).count("2025-03-03 10:00 to 2025-03-03 20:00") > 1
    assert stretch(ask, "png", 10, 20).content.startswith(b"\x89PNG")
    assert "2025-03-03 10:00 to" in stretch(ask, "svg", 10, 20).text


def test_what_the_script_reads_out(ask: Asked) -> None:
    """Columns with their words, where they begin, and where the whole record begins and ends, also of a stretch."""
    given = stretch(ask, "reading.json").json()
    assert given["zoom"] == {"first": START, "last": START + 96 * HOUR, "every": HOUR}
    assert stretch(ask, "reading.json", 10, 20).json()["zoom"] == given["zoom"]
    (plot,) = given["plots"]
    assert len(plot["columns"]) == len(plot["cells"][0]) == len(plot["edges"]) - 1 == 96
    assert plot["columns"][:2] == ["2025-03-03 00:00", "2025-03-03 01:00"]
    assert plot["cells"][0][:2] == ["2.500 kW", "3.000 kW"]
    wide, narrow = (stretch(ask, f"{form}.json").json() for form in ("wide", "narrow"))
    assert wide["spec"]["width"] > narrow["spec"]["width"]
    assert "3.00\u202fkW, 2025-03-03 01:00" in given["title"]


@pytest.mark.parametrize(
    ("first", "last"),
    [("x", ""), (5, 5), (9, 3), (200, 300), (-9, -3), ("9" * 30, ""), ("inf", ""), ("nan", "nan"), ("9" * 5000, "")],
)
def test_no_stretch_of_the_record(ask: Asked, first: int | str, last: int | str) -> None:
    """What is no stretch, or none of this record, is not there; nothing breaks."""
    assert stretch(ask, "csv", first, last).status_code == 404


def test_too_little_is_widened_and_too_much_cut(ask: Asked) -> None:
    """Of one reading a picture says nothing, so its neighbours are shown too; beyond the record there is nothing."""
    (little,) = stretch(ask, "reading.json", 50, 51).json()["plots"]
    assert 4 <= len(little["columns"]) <= 6
    assert little["edges"][0] <= START + 50 * HOUR < little["edges"][-1]
    (last,) = stretch(ask, "reading.json", 95, 96).json()["plots"]
    assert (len(last["columns"]), last["edges"][-1]) == (4, START + 96 * HOUR)
    assert len(stretch(ask, "reading.json", -500, 500).json()["plots"][0]["columns"]) == 96


def test_not_there(ask: Asked, tmp_path: Path) -> None:
    """Another form, a job without readings, or one whose readings cannot be read."""
    assert stretch(ask, "pdf").status_code == 404
    bare = tmp_path / "bare"
    bare.mkdir()
    (bare / "job.toml").write_text(PLAIN.partition("[[meters]]")[0])
    empty = Asked(bare)
    assert empty("/demand/drawings/readings.svg").status_code == 404
    assert "readings.reading.json" not in empty("/demand").text
    (bare / "job.toml").write_text(PLAIN)
    (bare / "readings.csv").write_text("nothing\n")
    wrong = Asked(bare, tmp_path / "other")
    assert wrong("/demand/drawings/readings.svg").status_code == 404


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
        (plot,) = stretch(ask, "reading.json", 0, 12).json()["plots"]
        assert told in plot["cells"][0]
        page = stretch(ask, "html", 0, 12)
        assert page.status_code == 200


@pytest.mark.parametrize(
    ("hours", "tick"), [(96, "4 Mar"), (30, "06:00"), (3, "01:00")],
)  # fmt: skip
def test_ticks_are_of_the_wall_clock(ask: Asked, hours: int, tick: str) -> None:
    """Days of a long stretch, hours of a short one."""
    assert f">{tick}<" in stretch(ask, "svg", 0, hours).text
