"""Where the typefaces lie and which characters each web font file holds. See `fonts/README.md`."""

from __future__ import annotations

import base64
from dataclasses import dataclass
from functools import cache
from pathlib import Path

__all__ = ["FURTHER_RANGE", "LATIN_RANGE", "SANS", "SERIF", "font_directory", "web_faces"]

SANS = "Wattwright Sans"
SERIF = "Wattwright Serif"

LATIN_RANGE = (
    "U+0020-007E,U+00A0-017F,U+0192,U+0218-021B,U+02C6,U+02DA,U+02DC,U+0394,U+03A9,U+03B7,U+03BC,U+03C0,"
    "U+03C6,U+2002-200A,U+2010-2014,U+2018-201E,U+2020-2022,U+2026,U+202F-2030,U+2032-2033,U+2039-203A,"
    "U+2044,U+2070-208E,U+20A6,U+20A8,U+20AC,U+20B9,U+2103,U+2109,U+2116,U+2122,U+2126,U+2190-2193,U+2206,"
    "U+2211-2212,U+221A,U+2248,U+2260,U+2264-2265,U+25A0-25A1,U+25B2-25B3,U+25CB,U+25CF,U+2713"
)
"""Characters of the `.latin.woff2` files, as a CSS unicode-range."""

FURTHER_RANGE = (
    "U+0180-0191,U+0193-0217,U+021C-024F,U+02BC,U+02C7-02D9,U+02DB,U+02DD,U+0300-0304,U+0306-030C,U+0323,"
    "U+0327-0328,U+0370-0393,U+0395-03A8,U+03AA-03B6,U+03B8-03BB,U+03BD-03BF,U+03C1-03C5,U+03C7-045F,"
    "U+0490-0491,U+1E00-1E9E,U+1EA0-1EF9,U+200B-200F,U+2015,U+201F,U+20A0-20A5,U+20A7,U+20A9-20AB,"
    "U+20AD-20B8,U+20BA-20BF,U+2113,U+2150-215E,U+2202,U+220F,U+221E,U+222B,U+25A2-25B1,U+25B4-25CA,"
    "U+25CC-25CE"
)
"""Characters of the `.further.woff2` files, as a CSS unicode-range."""

_FACES = (
    ("WattwrightSans-Regular", SANS, 400, "normal"),
    ("WattwrightSans-Semibold", SANS, 600, "normal"),
    ("WattwrightSans-Italic", SANS, 400, "italic"),
    ("WattwrightSerif-Semibold", SERIF, 600, "normal"),
)


@dataclass(frozen=True, slots=True)
class WebFace:
    """One `@font-face` of a page: family, weight, style, its unicode-range and the name of its woff2 file."""

    family: str
    weight: int
    style: str
    unicode_range: str
    file: str

    @property
    def inside(self) -> str:
        """The whole file as a `data:` address, for a page that must stand alone."""
        return f"data:font/woff2;base64,{_read(self.file)}"


def font_directory() -> Path:
    """Directory with the `.ttf` files, for typst and vl-convert."""
    return Path(__file__).parent / "fonts"


def _points(unicode_range: str) -> frozenset[int]:
    points: set[int] = set()
    for part in unicode_range.split(","):
        first, _, last = part.strip().removeprefix("U+").partition("-")
        points.update(range(int(first, 16), int(last or first, 16) + 1))
    return frozenset(points)


@cache
def _read(name: str) -> str:
    return base64.b64encode((font_directory() / name).read_bytes()).decode("ascii")


def web_faces(text: str) -> list[WebFace]:
    """The web fonts that a page with this text needs: always the Latin files, the others only if a character asks."""
    parts = [("latin", LATIN_RANGE)]
    if not _points(FURTHER_RANGE).isdisjoint(map(ord, set(text))):
        parts.append(("further", FURTHER_RANGE))
    return [
        WebFace(family, weight, style, span, f"{stem}.{part}.woff2")
        for stem, family, weight, style in _FACES
        for part, span in parts
    ]
