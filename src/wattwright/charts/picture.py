"""A picture with all that must travel with it: title, text alternative, source, step and table."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from wattwright.charts.reading import Reading
from wattwright.charts.table import Table
from wattwright.core.errors import OwnFault

__all__ = ["COLUMN_PX", "FULL_PX", "NARROW_PX", "Caption", "Picture"]

COLUMN_PX = 454
"""Width of a picture in the text column of a paper: 120 mm at 96 px to the inch."""

FULL_PX = 642
"""Width of a picture over the whole page of a paper: 170 mm at 96 px to the inch."""

NARROW_PX = 320
"""Width of a picture on a telephone of 360 px and up."""

_ID = re.compile(r"[a-z][a-z0-9-]*")


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawn result with its words.

    `id` names it within the paper (lower-case letters, digits, hyphens); `title` states the result; `alt` says in words what
    is to be seen; `spec` is the Vega-Lite specification in the light palette, not yet themed; `source` says where the data
    come from and on what basis; `table` holds the figures; `width_px` is the drawn width (COLUMN_PX or FULL_PX); `step` says
    at what time step one is looking; `narrow` is the same picture drawn for a telephone (NARROW_PX), if it has such a form;
    `reading` is what can be read out of it place by place, the same for both forms.
    Raises OwnFault for an empty title, alt or source, or an id of another form.
    """

    id: str
    title: str
    alt: str
    spec: Mapping[str, Any]
    source: str
    table: Table | None = None
    width_px: int = COLUMN_PX
    step: str = ""
    narrow: Mapping[str, Any] | None = None
    reading: Reading | None = None

    def __post_init__(self) -> None:
        """Refuse a picture that could not be found, read aloud or traced to its data."""
        if not _ID.fullmatch(self.id):
            raise OwnFault(f"picture id '{self.id}': wanted lower-case letters, digits and hyphens, a letter first")
        for field in ("title", "alt", "source"):
            if not getattr(self, field).strip():
                raise OwnFault(f"picture '{self.id}': {field} is empty; every picture carries its {field}")

    def retitled(self, title: str) -> Picture:
        """The picture under another title, also where a stretch of it is drawn larger."""
        zoom = None if self.reading is None else self.reading.zoom
        if self.reading is None or zoom is None:
            return replace(self, title=title)
        part = partial(_retitled_part, zoom.part, title)
        return replace(self, title=title, reading=replace(self.reading, zoom=replace(zoom, part=part)))

    def with_figures(self, figures: Callable[[float, float], Table]) -> Picture:
        """The picture with the figures of each stretch that is drawn larger; as it is where none can be."""
        if self.reading is None or self.reading.zoom is None:
            return self
        return replace(self, reading=replace(self.reading, zoom=replace(self.reading.zoom, figures=figures)))


def _retitled_part(part: Callable[[float, float], Picture], title: str, low: float, high: float) -> Picture:
    return replace(part(low, high), title=title)


@dataclass(frozen=True, slots=True)
class Caption:
    """What the maker of a picture is told about it: the fields of `Picture` that are words, and its table."""

    id: str
    title: str
    alt: str
    source: str
    table: Table | None = None
    step: str = ""

    def of_part(self, shown: str) -> Caption:
        """The caption of a stretch of the picture: its step, and what of it is shown."""
        return replace(self, step=f"{self.step.rstrip('.')}. {shown}" if self.step else shown)

    def picture(
        self,
        spec: Mapping[str, Any],
        width_px: int = COLUMN_PX,
        narrow: Mapping[str, Any] | None = None,
        reading: Reading | None = None,
    ) -> Picture:
        """The picture with this caption, this drawing and, if given, its narrow form and what is read out of it."""
        return Picture(self.id, self.title, self.alt, spec, self.source, self.table, width_px, self.step, narrow, reading)
