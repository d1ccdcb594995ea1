"""Paper to one self-contained HTML file: no script, no network, light and dark, made to be printed too."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from wattwright.charts.fonts import SANS, SERIF, WebFace, web_faces
from wattwright.charts.palette import css_variables
from wattwright.charts.picture import COLUMN_PX, FULL_PX, Picture
from wattwright.charts.render import for_page
from wattwright.handover.align import paper_data
from wattwright.handover.paper import Paper

__all__ = ["TEMPLATES", "Drawn", "Take", "drawn", "environment", "page", "style_sheet"]

TEMPLATES = Path(__file__).parent / "templates"


def environment(*folders: Path) -> Any:
    """The templates of `folders` and those of the papers, everything a person wrote escaped."""
    import jinja2  # only the stage that prints pays for it

    loader = jinja2.FileSystemLoader([*folders, TEMPLATES])
    return jinja2.Environment(
        loader=loader, autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )


def page(paper: Paper) -> str:
    """The paper as the text of one HTML file, fonts and pictures inside it. Everything a person wrote is escaped."""
    template = environment().get_template("paper.html")
    data = paper_data(paper)
    pictures = {picture.id: drawn(picture) for picture in paper.pictures()}
    words = template.render(**data, pictures=pictures, style="")
    style = style_sheet(web_faces(words), lambda face: face.inside)
    return str(template.render(**data, pictures=pictures, style=style))


def style_sheet(faces: Sequence[WebFace], address: Callable[[WebFace], str]) -> str:
    """The one style sheet of papers and pages, its colours from the palette, each font face at its `address`."""
    template = environment().from_string((TEMPLATES / "paper.css").read_text(encoding="utf-8"))
    sizes = {"column_px": COLUMN_PX, "full_px": FULL_PX}
    return str(template.render(faces=faces, address=address, sans=SANS, serif=SERIF, colours=css_variables(), **sizes))


@dataclass(frozen=True, slots=True)
class Take:
    """Something to take along beside a picture: address, words, and the name of the file if it is one."""

    address: str
    text: str
    file: str = ""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A picture as a page shows it: wide and narrow drawing, where a script finds them to draw, and what can be taken along.

    A page that has its pictures drawn holds no drawing itself, but the words `alt` and the addresses of `still` pictures for a
    browser without scripts, on light and dark paper. `reading` is where a script finds what can be read out of it, and `zooms`
    says that a stretch of it can be drawn larger.
    """

    svg: str
    narrow: str
    live: str = ""
    live_narrow: str = ""
    links: tuple[Take, ...] = ()
    alt: str = ""
    still: Mapping[str, str] = field(default_factory=dict)
    reading: str = ""
    zooms: bool = False


def drawn(picture: Picture) -> Drawn:
    """The drawings of a picture, for a page that stands alone."""
    return Drawn(for_page(picture), "" if picture.narrow is None else for_page(picture, narrow=True))
