"""Block bootstrap: residuals drawn again in whole blocks of days, so that neighbours stay as alike as they were."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.series import Floats
from wattwright.proof.choose import Baseline
from wattwright.proof.models.record import Grain, UseRecord
from wattwright.proof.uncertainty import student

BLOCK_DAYS = 14
_ALIKE_AT_MOST = 0.99
_APART = 1e-9
"""Of columns that are more alike than this one tells nothing beside the other."""
_PER_DAY = {Grain.HOUR: 24.0, Grain.DAY: 1.0, Grain.MONTH: 1 / 30.4375}


@dataclass(frozen=True, slots=True, eq=False)
class Blocks:
    """Residuals of a baseline about their mean, shape (n,), in kWh, and how many stretches are a block.

    ``wider`` is by how much sums of them spread more than those drawn from blocks.
    """

    residual_kwh: Floats
    length: int
    wider: float

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

    Sums are wider by what is lost otherwise: what the fit took of whole blocks, and of single readings; Student's t over the
    normal quantile, since few blocks show their own spread badly (overlapping ones say as much as one and a half times as many
    apart); and what is cut at the ends of blocks, where residuals stay alike from one reading to the next.
    """
    fit = found.fitness
    length = max(round(BLOCK_DAYS * _PER_DAY[found.record.grain]), 1)
    number = max(fit.count / length, 2.0)
    few = student(confidence, 1.5 * number - 1) / student(confidence, np.inf)
    cut = cut_at_ends(fit.alike, length)
    # What a base that was sought moves comes with the seasons, as its slope does.
    slow = taken_of_blocks(found.fitted.columns(found.record), length) + found.fitted.searched
    # Levels of many hours take little of what adds up over weeks, so no more than half counts as taken.
    taken = fit.effective / max(fit.effective - max(fit.parameters - slow, 0.0), fit.effective / 2)
    lost = float(np.sqrt(taken * number / max(number - slow * cut**2, number / 2)))
    return Blocks(found.residual_kwh - found.residual_kwh.mean(), length, lost * few * cut)


def taken_of_blocks(columns: Floats, length: int) -> float:
    """Return how many blocks' worth of sums a fit of ``columns``, shape (n, q), takes out of residuals.

    One for a level, nearly one for what moves over seasons, nought for what evens out within a block of ``length``. Closed form
    for independent readings: the squares of sums over blocks, overlapping and closed to a ring, of columns at right angles. Where
    neighbours are alike, what is slow keeps all of its spread while sums over blocks lose that of ``cut_at_ends``.
    """
    basis = np.linalg.svd(columns, full_matrices=False)
    free = basis.U[:, basis.S[0] * _APART < basis.S]
    ring = np.concatenate([np.zeros((1, free.shape[1])), free, np.resize(free, (length, free.shape[1]))])
    sums = np.cumsum(ring, axis=0)
    of_blocks = sums[length : length + len(free)] - sums[: len(free)]
    return float((of_blocks**2).sum()) / length**2


def cut_at_ends(alike: float, length: int) -> float:
    """Return by how much sums of residuals alike by a first autocorrelation r spread more than blocks of ``length`` show.

    Closed form of a first-order process: the root of (1 + r) / (1 - r) over 1 + 2 sum (1 - k / length) r^k; one where nothing
    is alike.
    """
    share = min(max(alike, 0.0), _ALIKE_AT_MOST)
    lags = np.arange(1, length)
    within = 1 + 2 * float(((1 - lags / length) * share**lags).sum())
    return float(np.sqrt((1 + share) / (1 - share) / within))


def leverage(found: Baseline, reporting: UseRecord) -> Floats:
    """Return what the prediction of the whole of ``reporting`` moves by for each kWh of each baseline reading, shape (n,)."""
    before, after = found.fitted.columns(found.record), found.fitted.columns(reporting)
    weights: Floats = after.sum(axis=0) @ np.linalg.pinv(before)
    return weights
