"""Normalised savings: what a normal year would have taken before, less what it takes after, each by a model of its own time."""

from dataclasses import dataclass

import numpy as np

from wattwright.core.seeds import Streams
from wattwright.core.series import Floats
from wattwright.proof.blocks import blocks_of, leverage
from wattwright.proof.choose import Baseline
from wattwright.proof.models.record import UseRecord
from wattwright.proof.savings import DRAWN, Band


@dataclass(frozen=True, slots=True)
class Normalised:
    """Savings of a normal year: ``year`` says which that is, ``before_kwh`` and ``after_kwh`` what it takes by both models."""

    year: str
    model_after: str
    before_kwh: float
    after_kwh: float
    saved_kwh: float
    band: Band


def normalised(
    before: Baseline, after: Baseline, normal: UseRecord, year: str, confidence: float, seed: int = 0
) -> Normalised:  # fmt: skip
    """Return the savings of the stretches of ``normal``, whose energy does not matter, with the band of both models.

    The band is that of what such years take on the whole: the scatter of a single one is not in it. Raises ValueError for another
    grain.
    """
    if not before.record.grain is after.record.grain is normal.grain:
        raise ValueError("both models and the normal year must be made of the same stretches")
    draws = Streams(seed).stream("normalised")
    told_before, told_after = float(before.fitted.predict(normal).sum()), float(after.fitted.predict(normal).sum())
    moved = _moved(before, normal, confidence, draws) - _moved(after, normal, confidence, draws)
    low, high = np.quantile(moved, ((1 - confidence) / 2, (1 + confidence) / 2))
    saved = told_before - told_after
    return Normalised(year, after.model, told_before, told_after, saved, Band(saved - float(high), saved - float(low)))


def _moved(model: Baseline, normal: UseRecord, confidence: float, draws: np.random.Generator) -> Floats:
    """Return by how much other residuals would move what a model tells of the normal year, shape (drawn,)."""
    blocks = blocks_of(model, confidence)
    return blocks.wider * blocks.weighed(leverage(model, normal), DRAWN, draws)
