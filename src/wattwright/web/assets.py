"""The files of the desk itself: style sheet, typefaces, scripts and the mark in the browser's tab."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from wattwright.charts.fonts import font_directory, web_faces
from wattwright.charts.render import drawing_script
from wattwright.handover.page import style_sheet
from wattwright.web.links import Links

_STATIC = Path(__file__).parent / "static"
_ANY_LETTER = "Щ"
"""A letter outside Latin: with it the style sheet names every font file, and a browser fetches those it needs."""


@dataclass(frozen=True, slots=True)
class Asset:
    """Content and media type of a file."""

    content: bytes
    media_type: str


_TYPES: Mapping[str, str] = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
    ".woff2": "font/woff2",
}


@lru_cache(maxsize=32)
def asset(name: str, links: Links) -> Asset | None:
    """A file of the desk by its name, or None. Made once while the desk runs."""
    media_type = _TYPES.get(Path(name).suffix, "")
    if name == "desk.css":
        return Asset(_style(links).encode(), media_type)
    if name == "drawing.js":
        return Asset(drawing_script().encode(), media_type)
    if name in ("desk.js", "reading.js", "work.js", "place.js", "mark.svg"):
        return Asset((_STATIC / name).read_bytes(), media_type)
    if name in {face.file for face in web_faces(_ANY_LETTER)}:
        return Asset((font_directory() / name).read_bytes(), media_type)
    return None


def _style(links: Links) -> str:
    shared = style_sheet(web_faces(_ANY_LETTER), lambda face: links.asset(face.file))
    return shared + (_STATIC / "desk.css").read_text(encoding="utf-8")
