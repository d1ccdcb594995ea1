"""Block bootstrap: residuals drawn again in whole blocks of days, so that neighbours stay as alike as they were."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.series import Floats
from wattwright.proof.choose import Baseline
from wattwright.proof.models.record import Grain, UseRecord
from wattwright.proof.uncertainty import student

BLOCK_DAYS = 14
_PER_DAY = {Grain.HOUR: 24.0, Grain.DAY: 1.0, Grain.MONTH: 1 / 30.4375}


@dataclass(frozen=True, slots=True, eq=False)
class Blocks:
    """Residuals of a baseline, shape (n,), in kWh, widened for what the fit took up, and how many stretches are a block."""

    residual_kwh: Floats
    length: int

    def starts(self, count: int, draws: np.random.Generator) -> NDArray[np.int64]:
        """Return where blocks begin that cover ``count`` stretches, drawn with equal chance, shape (blocks,)."""
        return draws.integers(len(self.residual_kwh), size=-(-count // self.length))

    def path(self, count: int, draws: np.random.Generator) -> Floats:
        """Return ``count`` residuals in blocks drawn anew, shape (count,); what is after the last goes on at the first."""
        places = self.starts(count, draws)[:, None] + np.arange(self.length)
        told: Floats = self.residual_kwh[places.ravel()[:count] % len(self.residual_kwh)]
        return told

    def weighed(self, weights: Floats, size: int, draws: np.random.Generator) -> Floats:
        """Return ``size`` sums of weights, shape (m,), times residuals in blocks drawn anew."""
        count, length = len(weights), self.length
        blocks = -(-count // length)
        by_block = np.pad(weights, (0, blocks * length - count)).reshape(blocks, length)
        around = np.concatenate([self.residual_kwh, np.resize(self.residual_kwh, length)])
        windows = np.lib.stride_tricks.sliding_window_view(around, length)[: len(self.residual_kwh)]
        # What each block adds, by where its residuals begin, shape (n, blocks).
        added = windows @ by_block.T
        began = draws.integers(len(self.residual_kwh), size=(size, blocks))
        return np.asarray(added[began, np.arange(blocks)].sum(axis=1), np.float64)


def blocks_of(found: Baseline, confidence: float) -> Blocks:
    """Return the residuals of a baseline as blocks of two weeks (a month alone).

    They are about their mean, and wider by the degrees of freedom that the fit took and by Student's t over the normal
    quantile for as many blocks as there are: few blocks show a spread that is too small.
    """
    fit = found.fitness
    length = max(round(BLOCK_DAYS * _PER_DAY[found.record.grain]), 1)
    number = max(fit.count / length, 2.0)
    few = student(confidence, number - 1) / student(confidence, np.inf)
    taken = np.sqrt(fit.count / (fit.count - fit.parameters))
    return Blocks((found.residual_kwh - found.residual_kwh.mean()) * taken * few, length)


def leverage(found: Baseline, reporting: UseRecord) -> Floats:
    """Return what the prediction of the whole of ``reporting`` moves by for each kWh of each baseline reading, shape (n,)."""
    before, after = found.fitted.columns(found.record), found.fitted.columns(reporting)
    weights: Floats = after.sum(axis=0) @ np.linalg.pinv(before)
    return weights
