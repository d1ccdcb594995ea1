"""The page: one file without script or network, escaped, light and dark, nothing wider than a telephone."""

import re
from html.parser import HTMLParser

import pytest

from tests.handover import almond_terrace
from wattwright.charts import render
from wattwright.charts.palette import css_variables
from wattwright.handover.page import page
from wattwright.handover.paper import Paper, Section

VOID = {"meta", "br", "hr", "img", "link", "input", "source"}


class Elements(HTMLParser):
    """Names, attributes and text of a page; fails on an element that is closed out of order."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: list[tuple[str, dict[str, str | None]]] = []
        self.words = ""
        self.feed(text)
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words += data


@pytest.fixture(scope="module")
def made() -> str:
    """The invented paper as page."""
    return page(almond_terrace.paper())


@pytest.fixture(scope="module")
def elements(made: str) -> Elements:
    """The same, read."""
    return Elements(made)


def test_one_file_of_its_own(made: str, elements: Elements) -> None:
    """No script, no handler, no address to fetch: everything is inside, and the page forbids itself the rest."""
    names = {name for name, _ in elements.seen}
    assert names.isdisjoint({"script", "link", "iframe", "object", "img", "form"})
    assert not [a for _, attributes in elements.seen for a in attributes if a.startswith("on")]
    assert set(re.findall(r"url\(([^)]{5})", made)) <= {"data:"} | {m[:5] for m in re.findall(r"url\((#[\w-]+)", made)}
    assert not re.findall(r"(?:src|href)=[\"'](?!#)", made)
    assert "default-src 'none'" in made


def test_ten_pictures_stay_under_one_and_a_half_megabytes(made: str) -> None:
    """Nine pictures, each drawn wide and narrow, with fonts and tables take less than 1.5 MB."""
    assert len(made.encode()) < 1_500_000


def test_page_is_the_same_twice(made: str) -> None:
    """The same paper gives the same text, its pictures drawn anew."""
    render._drawn.cache_clear()
    assert page(almond_terrace.paper()) == made


def test_words_are_never_read_as_markup(elements: Elements) -> None:
    """Markup in a person's words is shown as written."""
    assert elements.words.count(almond_terrace.WICKED) == 2


def test_every_picture_has_words_and_table(elements: Elements) -> None:
    """Each picture is a figure with its title, a drawing named for screen readers, and its table beside it."""
    count = len(almond_terrace.paper().pictures())
    names = [name for name, _ in elements.seen]
    assert names.count("figure") == names.count("figcaption") == names.count("details") == count
    drawings = [attributes for name, attributes in elements.seen if name == "svg"]
    ids = {attributes["id"] for _, attributes in elements.seen if "id" in attributes}
    assert len(drawings) == 2 * count
    assert all(set(d["aria-labelledby"].split()) <= ids and d["role"] == "img" for d in drawings)


def test_ids_are_unique(elements: Elements) -> None:
    """No id stands twice in the page."""
    ids = [attributes["id"] for _, attributes in elements.seen if "id" in attributes]
    assert len(ids) == len(set(ids))


def test_colours_change_with_paper(made: str) -> None:
    """Every colour is defined for light, dark and print, and nothing outside those definitions fixes one."""
    assert "prefers-color-scheme: dark" in made
    for name, shade in css_variables().items():
        assert made.count(f"{name}: {shade.light};") == 2
        assert made.count(f"{name}: {shade.dark};") == 1
    body = made[made.index("<body>") :]
    assert re.findall(r"#[0-9A-Fa-f]{6}\b(?!-)", body) == []


def test_notes_stand_beside_their_block(made: str) -> None:
    """A note's severity word, sentence, what to do, source and code are in the side column of its row."""
    side = re.search(r"<aside>(.*?)</aside>", made, re.S)[1]
    for part in ("<strong>Look.</strong> The clock", "<strong>Do:</strong> Ask who set it.", "record.clock"):
        assert part in side


def test_contents_line_only_where_there_is_something_to_choose() -> None:
    """A paper of one section has no contents, one of five names them all."""
    assert "<nav" not in page(Paper(almond_terrace.TITLE, (Section("S", "Lead."),)))
    assert page(almond_terrace.paper()).count('<li><a href="#s') == 5


def test_a_paper_in_cyrillic_brings_its_letters() -> None:
    """A title with letters outside Latin takes the further fonts, a Latin one does not."""
    plain = page(Paper(almond_terrace.TITLE, (Section("Pump", "Lead."),)))
    further = page(Paper(almond_terrace.TITLE, (Section("Щит", "Lead."),)))
    assert (plain.count("@font-face"), further.count("@font-face")) == (4, 8)
