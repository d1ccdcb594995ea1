"""Times of a programme: o'clock, or so long before or after sunrise or sunset."""

import datetime as dt
import re
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BeforeValidator, ValidationInfo, WithJsonSchema

from wattwright.core.errors import UnitError
from wattwright.core.fields import KEPT
from wattwright.core.units import parse

_SUN = re.compile(r"(sunrise|sunset)(?:\s*([+\-\u2212])\s*(.+))?")


@dataclass(frozen=True, slots=True)
class Moment:
    """A time of day: by the ``clock``, or ``offset_s`` after the ``sun`` event: "sunrise", "sunset", empty where by the clock."""

    clock: dt.time | None = None
    sun: str = ""
    offset_s: float = 0.0

    def __str__(self) -> str:
        """Return the moment as it is written."""
        if self.clock is not None:
            return self.clock.isoformat("minutes")
        sign = "+" if self.offset_s >= 0 else "-"
        return f"{self.sun} {sign} {abs(self.offset_s) / 60:g} min" if self.offset_s else self.sun


def _read(given: Any, known: ValidationInfo) -> Moment:
    if isinstance(given, Moment):
        return given
    if known.context == KEPT:
        clock = given["clock"]
        return Moment(None if clock is None else dt.time.fromisoformat(clock), given["sun"], given["offset_s"])
    if isinstance(given, dt.time):
        return Moment(given)
    match = _SUN.fullmatch(given.strip().lower()) if isinstance(given, str) else None
    if match is None:
        raise ValueError('a time such as 06:30:00, or a text such as "sunset - 30 min"|Write a time of day without quotes.')
    if match[2] is None:
        return Moment(None, match[1])
    try:
        offset = parse(match[3], "s")
    except UnitError as error:
        raise ValueError('a length of time behind the sign|Write for example "sunrise + 1 h".') from error
    return Moment(None, match[1], offset if match[2] == "+" else -offset)


MomentOfDay = Annotated[
    Moment, BeforeValidator(_read), WithJsonSchema({"type": "string", "examples": ["06:30:00", "sunset - 30 min"]})
]
