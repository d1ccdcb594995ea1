"""A stretch of a picture, as the address of its files names it."""

from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from threading import Lock

from wattwright.charts.picture import Picture
from wattwright.charts.reading import Zoom

_MOST_KEPT = 8
"""Stretches kept: of each one words, drawing, figures and files are asked for one after the other."""


@dataclass(eq=False, slots=True)
class Stretches:
    """The stretches of pictures that were asked for last, each made once."""

    _lock: Lock = field(default_factory=Lock)
    _kept: OrderedDict[tuple[int, float, float], tuple[Picture, Picture]] = field(default_factory=OrderedDict)

    def of(self, picture: Picture, query: Mapping[str, str]) -> Picture | None:
        """The picture between `from` and `until`, the whole where neither is named; None where that is no stretch of it.

        A stretch is read out in the bounds of the whole picture, so that one can go on from it in either direction.
        """
        named = [query.get(name, "") for name in ("from", "until")]
        if not any(named):
            return picture
        zoom = None if picture.reading is None else picture.reading.zoom
        ends = None if zoom is None else _ends(zoom, named)
        return None if zoom is None or ends is None else self._made(picture, zoom, ends)

    def _made(self, picture: Picture, zoom: Zoom, ends: tuple[float, float]) -> Picture:
        # The whole is kept beside its stretch: so no other picture takes its place in memory, and its number.
        key = (id(picture), *ends)
        with self._lock:
            if key not in self._kept:
                self._kept[key] = (picture, _part(zoom, ends))
            self._kept.move_to_end(key)
            while len(self._kept) > _MOST_KEPT:
                self._kept.popitem(last=False)
            return self._kept[key][1]


def _ends(zoom: Zoom, named: list[str]) -> tuple[float, float] | None:
    try:
        begin, end = (float(one) if one else usual for one, usual in zip(named, (zoom.first, zoom.last), strict=True))
    except ValueError:
        return None
    return zoom.ends(begin, end)


def _part(zoom: Zoom, ends: tuple[float, float]) -> Picture:
    part = zoom.part(*ends)
    if part.reading is not None:
        part = replace(part, reading=replace(part.reading, zoom=zoom))
    if zoom.figures is None:
        return part
    table = zoom.figures(*ends)
    return replace(part, table=replace(table, source=". ".join(one.rstrip(".") for one in (table.source, part.step) if one)))
