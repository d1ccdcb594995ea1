"""Which of many are worth looking at: those that no other beats in everything that counts."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def front(figures: Floats) -> NDArray[np.int64]:
    """Return the places of those rows of ``figures`` (n, d), all the less the better, that no other row dominates.

    A row dominates another where it is nowhere more and somewhere less. Of equal rows the first is kept. The first figure orders
    them.
    """
    order = np.lexsort(figures.T[::-1])
    if figures.shape[1] == 2:
        return _of_two(figures, order)
    kept: list[int] = []
    for place in order:
        # Rows come in the order of the first figure, so none that comes later can dominate one that is kept.
        if not any(np.all(figures[one] <= figures[place]) for one in kept):
            kept.append(int(place))
    return np.array(kept, np.int64)


def _of_two(figures: Floats, order: NDArray[np.int64]) -> NDArray[np.int64]:
    second = figures[order, 1]
    least = np.minimum.accumulate(np.concatenate(([np.inf], second[:-1])))
    return np.asarray(order[second < least], np.int64)


def thinned(figures: Floats, places: NDArray[np.int64], most: int) -> NDArray[np.int64]:
    """Return at most so many places of a front of two figures: its ends, and in between evenly along its length."""
    if len(places) <= most:
        return places
    spans = np.ptp(figures[places], axis=0)
    scaled = figures[places] / np.where(spans > 0.0, spans, 1.0)
    along = np.concatenate(([0.0], np.cumsum(np.abs(np.diff(scaled, axis=0)).sum(axis=1))))
    wanted = np.linspace(0.0, along[-1], most)
    return places[np.unique(np.searchsorted(along, wanted - 1e-12))]
