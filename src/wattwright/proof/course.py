"""What became of a planned programme: the words for it, and what was seen."""

from dataclasses import dataclass
from enum import StrEnum

from wattwright.core.findings import Finding
from wattwright.proof import kinds
from wattwright.proof.seal import SealedLoad


class Course(StrEnum):
    """What became of a planned programme."""

    KEPT = "acts as planned"
    BY_HAND = "acts, but for some days"
    MOVED = "acts at other times"
    REPLACED = "acts on another power"
    STUCK_ON = "no longer holds it off"
    LOST = "no longer seen to act"
    NEVER = "never seen to act"
    BY_HOURS = "its hours show it at work"
    UNTOLD = "cannot be told"


@dataclass(frozen=True, slots=True)
class Acted:
    """A planned load against the record: its course, and the step that was seen, ``level_w`` (0 where none).

    Of ``moments`` at which the plan lets it run after it was held off, it was ``seen`` to begin at so many. ``since_s`` is when
    it began to be otherwise (UTC seconds, 0 where it did not), ``moved_s`` by how much its times moved.
    """

    load: str
    course: Course
    rating_w: float
    level_w: float
    moments: int
    seen: int
    since_s: int
    moved_s: int
    findings: tuple[Finding, ...]


def untold(load: SealedLoad, moments: int = 0) -> Acted:
    """Return a load of which the record says nothing."""
    told = kinds.UNTOLD.at(load.name, load=load.name)
    return Acted(load.name, Course.UNTOLD, load.rating_w, 0.0, moments, 0, 0, 0, (told,))
