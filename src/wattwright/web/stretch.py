"""A stretch of a picture, as the address of its files names it."""

from collections.abc import Mapping
from dataclasses import replace

from wattwright.charts.picture import Picture


def stretch_of(picture: Picture, query: Mapping[str, str]) -> Picture | None:
    """The picture between `from` and `until`, the whole where neither is named; None where that is no stretch of it.

    A stretch is read out in the bounds of the whole picture, so that one can go on from it in either direction.
    """
    named = [query.get(name, "") for name in ("from", "until")]
    if not any(named):
        return picture
    zoom = None if picture.reading is None else picture.reading.zoom
    if zoom is None:
        return None
    try:
        begin, end = (float(one) if one else usual for one, usual in zip(named, (zoom.first, zoom.last), strict=True))
    except ValueError:
        return None
    ends = zoom.ends(begin, end)
    if ends is None:
        return None
    part = zoom.part(*ends)
    return part if part.reading is None else replace(part, reading=replace(part.reading, zoom=zoom))
