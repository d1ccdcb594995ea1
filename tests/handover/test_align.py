"""Decimals stand under one another, and a note stands beside what it concerns."""

from dataclasses import replace

import pytest
from hypothesis import given, strategies as st

from tests.charts import gallery
from tests.handover import almond_terrace
from wattwright.core.basis import Basis
from wattwright.core.errors import OwnFault
from wattwright.core.findings import Severity
from wattwright.handover.align import decimal_tails, paper_data
from wattwright.handover.paper import BASIS_LEGEND, MarginNote, Paper, PictureBlock, Section, TableBlock, Text


@given(st.lists(st.decimals(-9999, 9999, places=3, allow_nan=False).map(lambda d: f"{d.normalize():f}"), min_size=1, max_size=9))
def test_every_decimal_mark_is_as_far_from_the_right(texts: list[str]) -> None:
    """With its tail behind it, each figure has as many characters behind the whole number as any other."""
    behind = {len((text + tail).partition(".")[2]) for text, tail in zip(texts, decimal_tails(texts), strict=True)}
    assert len(behind) == 1


@pytest.mark.parametrize(
    ("texts", "mark", "tails"),
    [
        (["1.25", "3", "–", "0.5"], ".", ["", ".25", "", "5"]),
        (["1,5", "1.000,25", "12"], ",", ["5", "", ",25"]),
        (["4 Feb.", "2"], ".", ["", ""]),
        ([], ".", []),
    ],
)
def test_tails_by_hand(texts: list[str], mark: str, tails: list[str]) -> None:
    """What is missing behind the decimal mark is made up from the longest figure; words and dashes get nothing."""
    assert [len(t) for t in decimal_tails(texts, mark)] == [len(t) for t in tails]


def rows(*blocks) -> list[tuple[list[str], int, bool]]:
    """Kinds of block, number of notes and breadth of each row of a section with these blocks."""
    made = paper_data(Paper(almond_terrace.TITLE, (Section("S", "Lead.", blocks),)))["sections"][0]["rows"]
    return [([b["kind"] for b in row["blocks"]], len(row["notes"]), row["wide"]) for row in made]


def test_a_note_begins_a_row_with_the_block_before_it() -> None:
    """Notes are put beside the one block they follow; blocks without notes fill up the row above them."""
    note, text = MarginNote(Severity.LOOK, "Look."), Text("Words.")
    assert rows(note, text) == [(["lead", "text"], 1, False)]
    assert rows(text, text, note, note, text) == [(["lead", "text"], 0, False), (["text", "text"], 2, False)]


def test_wide_blocks_stand_alone_with_their_notes() -> None:
    """A wide block has a row of its own, its notes with it, and what follows begins the next."""
    note, text, wide = MarginNote(Severity.NOTE, "Note."), Text("Words."), TableBlock(gallery.TABLE, wide=True)
    assert rows(wide, note, text, wide) == [
        (["lead"], 0, False),
        (["table"], 1, True),
        (["text"], 0, False),
        (["table"], 0, True),
    ]


def test_unmarked_figures_keep_the_room_of_a_mark() -> None:
    """In a column with marks every cell is told of them, so that figures without one are not pushed right."""
    table = paper_data(almond_terrace.paper())["sections"][4]["rows"][-2]["blocks"][0]
    energy = [row[1] for row in table["rows"]]
    assert [(c["basis"], c["room"]) for c in energy] == [("m", ""), ("e", ""), ("", "m"), ("", "m")]
    assert table["columns"][2]["basis"] == "c"


def test_legend_has_all_six_marks() -> None:
    """The foot explains m e s c a p."""
    assert {entry.basis for entry in BASIS_LEGEND} == set(Basis)
    assert sorted(e["letter"] for e in paper_data(almond_terrace.paper())["legend"]) == sorted("mescap")


def test_two_pictures_of_one_id_are_refused() -> None:
    """A paper names the id that is used twice."""
    block = PictureBlock(gallery.strip())
    with pytest.raises(OwnFault, match="'strip'"):
        Paper(almond_terrace.TITLE, (Section("S", "L", (block, replace(block))),))
