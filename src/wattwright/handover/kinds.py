"""The kinds of finding only the whole job can show, with their sentences."""

from wattwright.core.findings import Severity, define

ABOVE_RATING = define(
    "handover.above-rating",
    Severity.STOP,
    says="Currents above the {rating:plain} A of the main protection were read, {lasted:duration} in all; the highest, "
    "{current:number} A, at {when:time}.",
    why="A fuse or breaker carries somewhat more for a while, but it was not chosen for that, and a warm one carries less.",
    do="Have a licensed electrician look at the supply before any load is added.",
    source="rating as written in the job; IEC 60898-1 non-tripping current 1.13 times the rating",
)
