"""A sheet as an SVG file, drawn by schemdraw: one unit is a millimetre."""

import re
from html import escape
from typing import Literal

from wattwright.charts.fonts import SANS
from wattwright.handover.drawings.sheet import MM_PER_PT, Sheet, Text

_PX_PER_MM = 1.0 / MM_PER_PT
_MIDDLE = 0.35
"""How far the base line lies below mid-height, in sizes of the typeface."""


def svg(sheet: Sheet) -> str:
    """Return a sheet as SVG, of its size in millimetres."""
    import schemdraw
    from schemdraw.elements import Element
    from schemdraw.segments import Segment, SegmentCircle, SegmentPoly

    drawing = schemdraw.Drawing(canvas="svg", show=False)
    drawing.config(unit=10.0, inches_per_unit=1 / 25.4, font=SANS, margin=0.0)
    element = Element()
    parts = element.segments
    # A sheet of its whole size, so that nothing is cut off or moved.
    whole = [(0.0, 0.0), (sheet.width_mm, 0.0), (sheet.width_mm, sheet.height_mm), (0.0, sheet.height_mm)]
    parts.append(SegmentPoly(whole, color="white", fill="white", lw=0))
    for stroke in sheet.strokes:
        lw = stroke.width_mm * _PX_PER_MM
        style: Literal["--", "-"] = "--" if stroke.dash else "-"
        if stroke.closed:
            parts.append(SegmentPoly(list(stroke.points), color=stroke.colour, lw=lw, ls=style))
        else:
            parts.append(Segment(list(stroke.points), color=stroke.colour, lw=lw, ls=style))
    for circle in sheet.circles:
        parts.append(
            SegmentCircle(circle.centre, circle.radius_mm, color="black", lw=0.7, fill="black" if circle.filled else None)
        )
    drawing.add(element.at((0, 0)))
    return _titled(drawing.get_imagedata("svg").decode(), sheet)


def _text(text: Text) -> str:
    """Return a line of text: written by ourselves, since the drawing library reads signs in it as formulas and markup."""
    anchor = {"left": "start", "centre": "middle", "right": "end"}[text.align]
    x, y = text.at[0] * _PX_PER_MM, -text.at[1] * _PX_PER_MM + _MIDDLE * text.size_pt
    weight = ' font-weight="600"' if text.bold else ""
    return (
        f'<text x="{x:.3f}" y="{y:.3f}" font-family="{SANS}" font-size="{text.size_pt:g}" text-anchor="{anchor}"{weight}>'
        f"{escape(text.text)}</text>"
    )


def _titled(text: str, sheet: Sheet) -> str:
    """Return SVG with its size in millimetres and a title for those who cannot see it."""
    head = (
        f'width="{sheet.width_mm:g}mm" height="{sheet.height_mm:g}mm" '
        f'viewBox="0 {-sheet.height_mm * _PX_PER_MM:.3f} {sheet.width_mm * _PX_PER_MM:.3f} {sheet.height_mm * _PX_PER_MM:.3f}"'
    )
    text = re.sub(r'height="[^"]*" width="[^"]*" viewBox="[^"]*"', head, text, count=1)
    text = text.replace(">", f' role="img"><title>{escape(sheet.title.sheet)}</title>', 1)
    return text.replace("</svg>", "".join(_text(one) for one in sheet.texts) + "</svg>", 1)
