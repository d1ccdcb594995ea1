"""A drawing sheet as data: strokes, texts and dots in millimetres from the lower left corner, with frame and title block.

What is drawn is kept apart from how it becomes a file, so that a machine can look at it: which stroke belongs to which wire,
where each terminal lies, which texts would lie over one another.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final, Literal

Point = tuple[float, float]
Align = Literal["left", "centre", "right"]
LEFT_OF: Final[Align] = "right"
"""A text that stands left of its point ends there."""
RIGHT_OF: Final[Align] = "left"
Size = Literal["A4", "A3", "Letter", "Tabloid"]

SIZES_MM: Final[dict[Size, Point]] = {
    "A4": (297.0, 210.0),
    "A3": (420.0, 297.0),
    "Letter": (279.4, 215.9),
    "Tabloid": (431.8, 279.4),
}
"""Width and height of sheets lying on their long side: ISO 216, ANSI/ASME Y14.1."""
MM_PER_PT: Final = 25.4 / 72.0
SMALL_PT: Final = 7.0
MIDDLE_PT: Final = 8.5
LARGE_PT: Final = 11.0
GRID_MM: Final = 5.0
_WIDE: Final = 0.53
"""Width of a character of the typeface over its size, on the wide side."""
MARGIN_MM: Final = 10.0
BINDING_MM: Final = 20.0
BLOCK_MM: Final = 18.0


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line through points; ``wire`` is the number of the wire it draws, None for what belongs to a symbol or the frame."""

    points: tuple[Point, ...]
    width_mm: float = 0.25
    colour: str = "black"
    dash: bool = False
    closed: bool = False
    wire: int | None = None


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle, filled for a dot where wires join."""

    centre: Point
    radius_mm: float
    filled: bool = False


@dataclass(frozen=True, slots=True)
class Text:
    """A line of text whose anchor is at mid-height."""

    at: Point
    text: str
    size_pt: float = SMALL_PT
    align: Align = "left"
    bold: bool = False

    def box(self) -> tuple[float, float, float, float]:
        """Return the box it fills: left, bottom, right, top, mm."""
        wide = len(self.text) * _WIDE * self.size_pt * MM_PER_PT * (1.06 if self.bold else 1.0)
        high = self.size_pt * MM_PER_PT
        left = {"left": self.at[0], "centre": self.at[0] - wide / 2.0, "right": self.at[0] - wide}[self.align]
        return left, self.at[1] - high / 2.0, left + wide, self.at[1] + high / 2.0


@dataclass(frozen=True, slots=True)
class Title:
    """What the title block says."""

    job: str
    place: str
    sheet: str
    date: str
    revision: str
    drawn_by: str
    basis: str
    page: int = 1
    of: int = 1


@dataclass(slots=True)
class Sheet:
    """A sheet while it is drawn.

    ``terminals`` is where each terminal of each device lies, ``rails`` the stretches of those that are
    rails.
    """

    size: Size
    title: Title
    strokes: list[Stroke] = field(default_factory=list)
    circles: list[Circle] = field(default_factory=list)
    texts: list[Text] = field(default_factory=list)
    terminals: dict[tuple[str, str], Point] = field(default_factory=dict)
    rails: dict[tuple[str, str], list[tuple[Point, Point]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Draw frame and title block."""
        self._frame()

    @property
    def width_mm(self) -> float:
        """Return the width of the sheet."""
        return SIZES_MM[self.size][0]

    @property
    def height_mm(self) -> float:
        """Return the height of the sheet."""
        return SIZES_MM[self.size][1]

    @property
    def inside(self) -> tuple[float, float, float, float]:
        """Return left, bottom, right, top of what is free to draw on."""
        return BINDING_MM, MARGIN_MM + BLOCK_MM, self.width_mm - MARGIN_MM, self.height_mm - MARGIN_MM

    def line(
        self, *points: Point, width_mm: float = 0.25, dash: bool = False, wire: int | None = None, colour: str = "black"
    ) -> None:
        """Draw a line through points."""
        self.strokes.append(Stroke(tuple(points), width_mm, colour, dash, closed=False, wire=wire))

    def shape(self, *points: Point, width_mm: float = 0.25, dash: bool = False) -> None:
        """Draw a closed line through points."""
        self.strokes.append(Stroke(tuple(points), width_mm, "black", dash, closed=True))

    def box(self, left: float, bottom: float, right: float, top: float, *, width_mm: float = 0.25, dash: bool = False) -> None:
        """Draw a rectangle."""
        self.shape((left, bottom), (right, bottom), (right, top), (left, top), width_mm=width_mm, dash=dash)

    def dot(self, at: Point) -> None:
        """Draw a dot where wires join."""
        self.circles.append(Circle(at, 0.6, filled=True))

    def circle(self, centre: Point, radius_mm: float) -> None:
        """Draw a circle."""
        self.circles.append(Circle(centre, radius_mm))

    def text(
        self,
        at: Point,
        text: str,
        *,
        size_pt: float = SMALL_PT,
        align: Align = "left",
        bold: bool = False,
        within_mm: float = 0.0,
    ) -> float:
        """Write text downwards from ``at``, broken into lines where ``within_mm`` says how wide.

        Return the height below the last line.
        """
        lines = broken(text, within_mm, size_pt) if within_mm else [text]
        y, step = at[1], size_pt * MM_PER_PT * 1.15
        for one in lines:
            self.texts.append(Text((at[0], y), one, size_pt, align, bold))
            y -= step
        return y

    def _frame(self) -> None:
        left, _, right, top = self.inside
        low, block = MARGIN_MM, MARGIN_MM + BLOCK_MM
        self.box(left, low, right, top, width_mm=0.5)
        self.line((left, block), (right, block), width_mm=0.5)
        width = right - left
        cuts = [left + width * share for share in (0.0, 0.30, 0.62, 0.76, 0.90, 1.0)]
        for cut in cuts[1:-1]:
            self.line((cut, low), (cut, block), width_mm=0.35)
        one = self.title
        fields = (
            (("Job", one.job), ("Place", one.place)), (("Sheet", one.sheet), ("Drawn from", one.basis)),
            (("Date", one.date), ("Revision", one.revision)), (("Drawn by", one.drawn_by),), (("Page",
            f"{one.page} of {one.of}"),),
        )  # fmt: skip
        for index, pairs in enumerate(fields):
            for row, (label, value) in enumerate(pairs):
                x, y = cuts[index] + 1.5, block - 2.6 - 8.6 * row
                room = cuts[index + 1] - cuts[index] - 3.0
                self.text((x, y), label, size_pt=6.0)
                size = MIDDLE_PT if len(broken(value, room, MIDDLE_PT)) == 1 else SMALL_PT
                kept = broken(value, room, size)
                # What is longer than two lines is told whole in the papers; a title block holds what fits.
                self.text((x, y - 2.9), kept[0], size_pt=size)
                if size == SMALL_PT and len(kept) > 1:
                    self.text((x, y - 5.5), kept[1] if len(kept) == 2 else kept[1][:-1] + "…", size_pt=size)


def broken(text: str, within_mm: float, size_pt: float) -> list[str]:
    """Return text in lines no wider than ``within_mm``; a word longer than a line is cut."""
    most = max(1, int(within_mm / (_WIDE * size_pt * MM_PER_PT)))
    lines, line = list[str](), ""
    for word in text.split():
        rest = word
        while len(rest) > most:
            if line:
                lines.append(line)
                line = ""
            lines.append(rest[:most])
            rest = rest[most:]
        if line and len(line) + 1 + len(rest) > most:
            lines.append(line)
            line = rest
        else:
            line = f"{line} {rest}".strip()
    return [*lines, line] if line or not lines else lines


def overlaps(texts: Sequence[Text]) -> tuple[tuple[str, str], ...]:
    """Return the pairs of texts that lie over one another."""
    boxes = [(one.text, one.box()) for one in texts]
    found = []
    for index, (text, (left, low, right, top)) in enumerate(boxes):
        for other, (left2, low2, right2, top2) in boxes[index + 1 :]:
            if min(right, right2) - max(left, left2) > 0.05 and min(top, top2) - max(low, low2) > 0.3:
                found.append((text, other))
    return tuple(found)
