"""What a figure rests on: six marks, their sources, and one rule for figures that mix them."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Basis(StrEnum):
    """The six marks; the value is the raised letter."""

    MEASURED = "m"
    ESTIMATED = "e"
    SIMULATED = "s"
    CALCULATED = "c"
    ASSUMED = "a"
    PUBLISHED = "p"


WORDS = {
    Basis.MEASURED: "measured",
    Basis.ESTIMATED: "estimated (a repaired gap)",
    Basis.SIMULATED: "simulated",
    Basis.CALCULATED: "calculated",
    Basis.ASSUMED: "assumed",
    Basis.PUBLISHED: "published",
}
"""Each mark in words, for the foot of a paper."""

# From the firmest to the least firm. A result is never firmer than its least firm input.
_FIRMNESS = (
    Basis.MEASURED,
    Basis.PUBLISHED,
    Basis.CALCULATED,
    Basis.ESTIMATED,
    Basis.SIMULATED,
    Basis.ASSUMED,
)


@dataclass(frozen=True, slots=True)
class Grounds:
    """A mark with every mark and source that went into it, firmest first."""

    basis: Basis
    parts: tuple[Basis, ...]
    sources: tuple[str, ...]


def grounds(basis: Basis, source: str) -> Grounds:
    """Return the grounds of a figure that rests on one thing."""
    return Grounds(basis, (basis,), (source,) if source else ())


def mix(inputs: Iterable[Grounds]) -> Grounds:
    """Return the grounds of a figure worked out from ``inputs``.

    The rule: inputs that are only measured, published or calculated give a calculated figure; otherwise the figure
    carries the mark of its least firm input (estimated, then simulated, then assumed). All parts and
    sources are kept. Raises ValueError when there is no input.
    """
    given = tuple(inputs)
    if not given:
        raise ValueError("a figure needs at least one input to rest on")
    parts = sorted({part for one in given for part in one.parts}, key=_FIRMNESS.index)
    weakest = parts[-1]
    basis = weakest if _FIRMNESS.index(weakest) > _FIRMNESS.index(Basis.CALCULATED) else Basis.CALCULATED
    sources = tuple(dict.fromkeys(source for one in given for source in one.sources))
    return Grounds(basis, tuple(parts), sources)


def collect(inputs: Iterable[Grounds]) -> Grounds:
    """Return the grounds of a plain total of like figures: a sum of measured readings is still measured.

    Where the inputs differ, the rule of :func:`mix` holds. Raises ValueError when there is no input.
    """
    mixed = mix(inputs)
    return Grounds(mixed.parts[0], mixed.parts, mixed.sources) if len(mixed.parts) == 1 else mixed
