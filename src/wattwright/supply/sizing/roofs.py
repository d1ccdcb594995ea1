"""Where modules could lie: one roof, or several of them together, and which of these is worth most."""

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
_ALL_OF = 3
"""Up to so many roofs every choice of them is looked at; of more, each alone and all together."""


@dataclass(frozen=True, slots=True, eq=False)
class Roof:
    """One place for modules: what they could give there in each step of the engine, W, (n,), with all there is room for."""

    name: str
    gives_w: Floats
    most_w: float


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """Some of the roofs, filled together in proportion to their room.

    ``share`` (n,) is what they give per W of modules, ``most_w`` what there is room for; ``parts`` names each roof with its share
    of the modules.
    """

    share: Floats
    most_w: float
    parts: tuple[tuple[str, float], ...]


def no_pv(steps: int) -> Layout:
    """Return that there is no place for modules."""
    return Layout(np.zeros(steps), 0.0, ())


def layouts_of(roofs: tuple[Roof, ...]) -> tuple[Layout, ...]:
    """Return the choices of roofs that are looked at, all together first."""
    count = len(roofs)
    sizes = range(count, 0, -1) if count <= _ALL_OF else (count, 1)
    return tuple(_together(chosen) for size in sizes for chosen in combinations(roofs, size))


def _together(roofs: tuple[Roof, ...]) -> Layout:
    most_w = sum(one.most_w for one in roofs)
    share = np.sum([one.gives_w for one in roofs], axis=0) / most_w
    return Layout(np.asarray(share), most_w, tuple((one.name, one.most_w / most_w) for one in roofs))
