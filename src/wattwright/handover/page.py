"""Paper to one self-contained HTML file: no script, no network, light and dark, made to be printed too."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from wattwright.charts.fonts import SANS, SERIF, web_faces
from wattwright.charts.palette import css_variables
from wattwright.charts.picture import Picture
from wattwright.charts.render import drawn_width_px, for_page
from wattwright.handover.align import paper_data
from wattwright.handover.paper import Paper

__all__ = ["page"]

_TEMPLATES = Path(__file__).parent / "templates"


def page(paper: Paper) -> str:
    """The paper as the text of one HTML file, fonts and pictures inside it. Everything a person wrote is escaped."""
    import jinja2  # only the stage that prints pays for it

    loader = jinja2.FileSystemLoader(_TEMPLATES)
    environment = jinja2.Environment(
        loader=loader, autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    data = paper_data(paper)
    pictures = {picture.id: _drawn(picture) for picture in paper.pictures()}
    words = environment.get_template("paper.html").render(**data, pictures=pictures, style="")
    faces = web_faces(words)
    style = environment.from_string((_TEMPLATES / "paper.css").read_text(encoding="utf-8")).render(
        faces=faces, sans=SANS, serif=SERIF, colours=css_variables()
    )
    return environment.get_template("paper.html").render(**data, pictures=pictures, style=style)


def _drawn(picture: Picture) -> dict[str, Any]:
    drawing = for_page(picture)
    narrow = "" if picture.narrow is None else for_page(picture, narrow=True)
    return {"svg": drawing, "width_px": round(drawn_width_px(drawing)), "narrow": narrow}
