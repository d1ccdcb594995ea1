"""A paper as data: what it says, in which order, before it is set as PDF or page.

Every value comes here ready to print; nothing is computed. Text is plain, with optional emphasis. A margin note stands in the
side column beside the block before it, so it is put directly after what it concerns.
"""

from __future__ import annotations

from dataclasses import dataclass

from wattwright.charts.picture import Picture
from wattwright.charts.table import Table
from wattwright.core.basis import WORDS, Basis
from wattwright.core.errors import OwnFault
from wattwright.core.findings import Severity

__all__ = [
    "BASIS_LEGEND",
    "BasisEntry",
    "Block",
    "Caution",
    "Emphasis",
    "KeyFigure",
    "KeyFigures",
    "Lead",
    "MarginNote",
    "Paper",
    "PaperWords",
    "PictureBlock",
    "Raised",
    "Section",
    "Standing",
    "Steps",
    "TableBlock",
    "Text",
    "TitleBlock",
    "Words",
]


@dataclass(frozen=True, slots=True)
class Emphasis:
    """Words set in italics."""

    text: str


@dataclass(frozen=True, slots=True)
class Raised:
    """The raised mark of a basis, directly behind the figures it is of."""

    basis: Basis


Words = str | tuple[str | Emphasis | Raised, ...]
"""A run of text: plain, or plain, emphasised and raised parts in order."""


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """The drawing's title block that stands on every page.

    `job` and `place` name the property, `sheet` what this paper is, `date` is ISO 8601 (2026-03-31), `revision` a letter or
    number, `basis` what it rests on in a few words; `invented` says that the property does not exist.
    """

    job: str
    place: str
    sheet: str
    date: str
    revision: str
    basis: str
    invented: bool = False


@dataclass(frozen=True, slots=True)
class Lead:
    """The one sentence that says a section's result."""

    sentence: Words


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph."""

    words: Words


@dataclass(frozen=True, slots=True)
class KeyFigure:
    """One figure of a row of key figures: label, value as printed, unit, basis mark, and a note (period, condition).

    ``doubt`` says in a few words why the figure is not to be relied on; it is then printed as a question.
    """

    label: str
    value: str
    unit: str
    basis: Basis | None = None
    note: str = ""
    doubt: str = ""


@dataclass(frozen=True, slots=True)
class KeyFigures:
    """A row of key figures, read before anything else on the page; three or four print best."""

    figures: tuple[KeyFigure, ...]


@dataclass(frozen=True, slots=True)
class TableBlock:
    """A table in the flow of the paper; `wide` lets it take the side column too.

    `by_hand` are the shares of the breadth of columns that somebody writes into: rows are then tall and ruled.
    """

    table: Table
    wide: bool = False
    by_hand: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class PictureBlock:
    """A picture in the flow of the paper; `with_table` prints its table under it on paper (a page always has it beside)."""

    picture: Picture
    with_table: bool = False


@dataclass(frozen=True, slots=True)
class MarginNote:
    """A finding beside what it concerns: severity, what was found, what to do, from which source, and its code.

    `about` is what it is about, where a page has several: the id of a meter file, the id or the name of a load.
    """

    severity: Severity
    sentence: str
    do: str = ""
    source: str = ""
    code: str = ""
    about: str = ""


@dataclass(frozen=True, slots=True)
class Steps:
    """Numbered steps, in order."""

    items: tuple[Words, ...]


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution about danger to people or property, set between two rules with its heading word."""

    words: Words
    heading: str = "Caution"


Standing = Lead | Text | KeyFigures | TableBlock | PictureBlock | Steps | Caution
"""What stands in the text column."""

Block = Standing | MarginNote
"""What a section may contain."""


@dataclass(frozen=True, slots=True)
class Section:
    """A section: title, the sentence that says its result, and its blocks; `new_page` begins it on a fresh sheet."""

    title: str
    lead: Words
    blocks: tuple[Block, ...] = ()
    new_page: bool = False


@dataclass(frozen=True, slots=True)
class BasisEntry:
    """One basis mark of the legend, and what it means."""

    basis: Basis
    meaning: str


BASIS_LEGEND = tuple(BasisEntry(basis, meaning) for basis, meaning in WORDS.items())
"""All six basis marks with their English meaning."""


@dataclass(frozen=True, slots=True)
class PaperWords:
    """The fixed words of a paper, in one place so that they can be translated."""

    job: str = "Job"
    place: str = "Place"
    sheet: str = "Sheet"
    date: str = "Date"
    revision: str = "Revision"
    basis: str = "Basis"
    page: str = "Page"
    of: str = "of"
    invented: str = "Invented example, no real property"
    stop: str = "Stop"
    look: str = "Look"
    note: str = "Note"
    do: str = "Do"
    table_of: str = "The figures as a table"
    contents: str = "Contents"


@dataclass(frozen=True, slots=True)
class Paper:
    """A whole paper: title block, sections, the legend of basis marks, language (BCP 47, `en`) and decimal mark.

    Raises OwnFault if two pictures share an id: a page could not tell them apart.
    """

    title_block: TitleBlock
    sections: tuple[Section, ...]
    basis_legend: tuple[BasisEntry, ...] = BASIS_LEGEND
    language: str = "en"
    decimal_mark: str = "."
    words: PaperWords = PaperWords()

    def __post_init__(self) -> None:
        """Refuse two pictures of one id."""
        ids = [picture.id for picture in self.pictures()]
        if twice := sorted({name for name in ids if ids.count(name) > 1}):
            raise OwnFault(f"paper '{self.title_block.sheet}': picture id {twice} used twice; give each its own id")

    def pictures(self) -> tuple[Picture, ...]:
        """Every picture of the paper, in order."""
        return tuple(b.picture for section in self.sections for b in section.blocks if isinstance(b, PictureBlock))
