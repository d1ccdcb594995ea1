"""The installation as one line: what comes in, and a feeder for each load."""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Incoming:
    """The supply.

    Its system, voltage and main protection as written, the meter chosen for it, what else feeds the site beside it, its earthing,
    and ``instead``: what feeds the site in its place, over a changeover switch and never with it (empty for nothing).
    """

    system: Literal["single-phase", "split-phase", "three-phase"]
    voltage: str
    protection: str
    meter: str
    sources: tuple[str, ...]
    earthing: str = ""
    instead: str = ""


@dataclass(frozen=True, slots=True)
class Feeder:
    """A feeder: the load, its rating in W, and as written its breaker, residual-current device, switch, cable.

    Empty where unknown.

    ``way`` is "in line", "contactor" or empty where nothing switches it; ``number`` is that of its wiring sheet, nought without
    one.
    """

    load: str
    count: str
    rating_w: float
    breaker: str
    residual: str
    way: str
    switch: str
    cable: str
    number: int


@dataclass(frozen=True, slots=True)
class SingleLine:
    """The whole installation."""

    incoming: Incoming
    feeders: tuple[Feeder, ...]
