"""The PDF: the same bytes each time, our type only, the title block on every sheet, words never read as markup."""

import hashlib
import io
import subprocess
import sys
from dataclasses import replace

import pytest
from pypdf import PdfReader

from tests.charts.test_render import environment
from tests.handover import almond_terrace
from wattwright.charts import render
from wattwright.core.errors import OwnFault
from wattwright.core.findings import Severity
from wattwright.handover.paper import MarginNote, Paper, Section, Text
from wattwright.handover.pdf import pdf

HASH = """
import hashlib
from tests.handover.almond_terrace import paper
from wattwright.handover.pdf import pdf
print(hashlib.sha256(pdf(paper())).hexdigest())
"""


@pytest.fixture(scope="module")
def made() -> bytes:
    """The invented paper as PDF."""
    return pdf(almond_terrace.paper())


@pytest.fixture(scope="module")
def reader(made: bytes) -> PdfReader:
    """The same, read."""
    return PdfReader(io.BytesIO(made))


def words(text: str) -> str:
    """Text with every run of white space as one blank, thin spaces too."""
    return " ".join(text.split())


def test_bytes_are_the_same_twice_and_in_another_process(made: bytes, root) -> None:
    """The same paper gives the same bytes, here again and in a second process."""
    render._drawn.cache_clear()
    assert pdf(almond_terrace.paper()) == made
    done = subprocess.run([sys.executable, "-c", HASH], capture_output=True, text=True, check=True, env=environment(root))
    assert done.stdout.strip() == hashlib.sha256(made).hexdigest()


def test_title_block_stands_on_every_sheet(reader: PdfReader) -> None:
    """Job, place, sheet, date, revision, basis, page n of m, the legend and "invented" are on each page."""
    count = len(reader.pages)
    assert count >= 6
    for number, sheet in enumerate(reader.pages, start=1):
        text = words(sheet.extract_text())
        block = almond_terrace.TITLE
        wanted = [block.job, block.place, block.sheet, block.date, block.basis, f"{number} of {count}"]
        for part in [*wanted, "Invented example, no real property", "estimated (a repaired gap)"]:
            assert part in text, (number, part)


def test_no_title_block_claims_a_real_place_is_invented() -> None:
    """Without the mark the words do not appear."""
    title = replace(almond_terrace.TITLE, invented=False)
    made = pdf(Paper(title, (Section("S", "Lead."),), basis_legend=()))
    text = PdfReader(io.BytesIO(made)).pages[0].extract_text()
    assert "Invented" not in text
    assert "estimated" not in text


def test_a_long_row_of_notes_leaves_no_sheet_blank_beside_it() -> None:
    """Two notes stand beside the text; of twelve each line is shorter than the sheet, so they stand below in two columns."""
    told = "What was found here is told in a sentence as long as such sentences of findings usually are."
    notes = (
        MarginNote(Severity.LOOK, told, "Do what this says, in a sentence of its own.", "a source of it, clause 7", "a.b"),
    ) * 12
    few, many = (
        PdfReader(io.BytesIO(pdf(Paper(almond_terrace.TITLE, (Section("S", "Lead.", (Text("Words."), *some)),)))))
        for some in (notes[:2], notes)
    )
    assert (len(few.pages), len(many.pages)) == (1, 1)


def test_two_long_notes_beside_few_words_begin_no_sheet() -> None:
    """At the foot of a sheet two long notes stand below the words they belong to, not alone on the next sheet."""
    told = "What was found here takes some sentences to tell. " * 5
    note = MarginNote(Severity.LOOK, told, "Do what this says, in a sentence of its own.", "a source of it, clause 7", "a.b")
    words_ = [Text("A thought that takes a line or two of the sheet, and then some more of it, as they do.") for _ in range(13)]
    reader = PdfReader(io.BytesIO(pdf(Paper(almond_terrace.TITLE, (Section("S", "Lead.", (*words_, note, note)),)))))
    assert len(reader.pages) == 1
    assert words(reader.pages[0].extract_text()).count("What was found here") == 2 * 5


def test_words_are_never_read_as_markup(reader: PdfReader) -> None:
    """Typst, HTML and template markup in a person's words is printed as written."""
    text = words(" ".join(sheet.extract_text() for sheet in reader.pages)).replace("’", "'")
    for part in ('#eval("1") $x$', "<script>alert(1)</script>", "{{ 7 * 7 }}", "*bold*"):
        assert part in text


def test_table_repeats_its_head_on_every_sheet(reader: PdfReader) -> None:
    """The table of 96 readings runs over sheets, and each of them shows the column heads."""
    sheets = [text for page in reader.pages if "4 Feb 2025" in (text := page.extract_text())]
    assert len(sheets) >= 3
    assert all("Interval" in text and "Running" in text for text in sheets)


def test_only_our_own_type_is_in_it(reader: PdfReader) -> None:
    """Every font of the document is one of ours, embedded."""
    names = set()
    for page in reader.pages:
        for font in (page["/Resources"].get("/Font") or {}).values():
            names.add(font.get_object()["/BaseFont"].split("+")[-1])
    assert names
    assert {name.split("-")[0] for name in names} <= {"WattwrightSans", "WattwrightSerif"}


def test_document_says_title_language_and_structure(reader: PdfReader) -> None:
    """Title, language and date are in the metadata, and the document is tagged with alternatives for its pictures."""
    assert reader.metadata.title == "What the record says"
    assert reader.metadata.creation_date_raw.startswith("D:20260331")
    root = reader.trailer["/Root"]
    assert root["/Lang"] == "en"
    assert root["/MarkInfo"]["/Marked"]
    alternatives = set()

    def walk(node) -> None:
        if "/Alt" in node:
            alternatives.add(str(node["/Alt"]))
        kids = node.get("/K", [])
        for kid in kids if isinstance(kids, list) else [kids]:
            kid = kid.get_object() if hasattr(kid, "get_object") else kid
            if isinstance(kid, dict):
                walk(kid)

    walk(root["/StructTreeRoot"])
    assert {picture.alt for picture in almond_terrace.paper().pictures()} <= alternatives


@pytest.mark.parametrize(("sheet", "width", "height"), [("a4", 595.28, 841.89), ("us-letter", 612, 792)])
def test_sheet_formats(sheet, width: float, height: float) -> None:
    """A4 is 210 by 297 mm (ISO 216), US Letter 8.5 by 11 in; in points of 1/72 in."""
    box = PdfReader(io.BytesIO(pdf(Paper(almond_terrace.TITLE, ()), sheet))).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx((width, height), abs=0.01)


def test_long_words_stay_on_the_sheet() -> None:
    """A very long title block makes no more sheets than a short one."""
    long = replace(almond_terrace.TITLE, job="A guesthouse with a long name " * 3, basis="Meter record, repaired " * 3)
    section = (Section("S", "Lead.", (Text("Words."),)),)
    assert len(PdfReader(io.BytesIO(pdf(Paper(long, section)))).pages) == 1


def test_date_must_be_a_date() -> None:
    """A date that is none is refused with what is wanted."""
    with pytest.raises(OwnFault, match="year-month-day"):
        pdf(Paper(replace(almond_terrace.TITLE, date="31 March"), ()))
