"""Avoided energy: what would have been used at the weather and calendar after, less what was, and how sure that is."""

from dataclasses import dataclass, replace

import numpy as np

from wattwright.core.findings import Finding
from wattwright.core.seeds import Streams
from wattwright.proof import kinds
from wattwright.proof.blocks import blocks_of, leverage
from wattwright.proof.choose import Baseline
from wattwright.proof.models.record import UseRecord
from wattwright.proof.uncertainty import baseline_uncertainty, months_factor, student

CONFIDENCE = 0.90
DRAWN = 2000
_CLAIM_CONFIDENCE, _CLAIM_AT_MOST = 0.68, 0.5
_MONTH_D = 30.4375


@dataclass(frozen=True, slots=True)
class Band:
    """An interval of a saving in kWh."""

    low_kwh: float
    high_kwh: float


@dataclass(frozen=True, slots=True)
class Savings:
    """What was avoided over the stretches of a reporting period that were read.

    ``expected_kwh`` would have been used, ``used_kwh`` was, ``saved_kwh`` is the difference. ``bootstrap`` is the band that a
    claim rests on; ``guideline`` that of Guideline 14's formula beside it, both at ``confidence``. ``uncertainty_ratio`` is half
    the formula's band at 68 % over the saving, infinite where nothing was saved.
    """

    expected_kwh: float
    used_kwh: float
    saved_kwh: float
    confidence: float
    bootstrap: Band
    guideline: Band
    uncertainty_ratio: float
    findings: tuple[Finding, ...]

    @property
    def shown(self) -> bool:
        """Return whether a saving is shown: its whole band lies above nought."""
        return self.bootstrap.low_kwh > 0


def savings(found: Baseline, reporting: UseRecord, confidence: float = CONFIDENCE, seed: int = 0) -> Savings:
    """Return what was saved in ``reporting``, stretches of the same grain after the measures.

    Raises ValueError for another grain, other drivers, missing temperature, or no stretch at all.
    """
    before = found.record
    same = reporting.grain is before.grain and reporting.driver_names == before.driver_names
    if not same or reporting.has_temperature < before.has_temperature or not len(reporting):
        raise ValueError("the time after the measures must be read in the same way as the time before")
    expected, used = float(found.fitted.predict(reporting).sum()), float(reporting.energy_kwh.sum())
    saved = expected - used
    months = float(reporting.days.sum()) / _MONTH_D
    factor = months_factor(reporting.grain, months)

    def half(level: float) -> float:
        return abs(expected) * baseline_uncertainty(found.fitness, len(reporting), student(level, found.fitness.free), factor)

    uncertainty = half(_CLAIM_CONFIDENCE) / abs(saved) if saved else float("inf")
    told = Savings(
        expected,
        used,
        saved,
        confidence,
        _drawn(found, reporting, saved, confidence, seed),
        Band(saved - half(confidence), saved + half(confidence)),
        uncertainty,
        (),
    )
    return replace(told, findings=_findings(told))


def errors(found: Baseline, reporting: UseRecord, confidence: float, seed: int = 0) -> Band:
    """Return within which kWh the error of a saving over ``reporting`` lies, drawn anew at ``confidence``.

    Residuals are drawn of the baseline (moving the model), and of the time after; what was used does not matter.
    """
    blocks, draws = blocks_of(found, confidence), Streams(seed).stream("savings")
    moved = blocks.weighed(leverage(found, reporting), DRAWN, draws)
    scattered = blocks.weighed(np.ones(len(reporting)), DRAWN, draws)
    low, high = np.quantile(blocks.wider * (moved - scattered), ((1 - confidence) / 2, (1 + confidence) / 2))
    return Band(float(low), float(high))


def _drawn(found: Baseline, reporting: UseRecord, saved_kwh: float, confidence: float, seed: int) -> Band:
    """Return the band of a saving."""
    off = errors(found, reporting, confidence, seed)
    # What lies high by chance was drawn too high: the error is taken off, so the ends change places.
    return Band(saved_kwh - off.high_kwh, saved_kwh - off.low_kwh)


def _findings(told: Savings) -> tuple[Finding, ...]:
    found, band = [], told.bootstrap
    if band.high_kwh < 0:
        more, low, high = -told.saved_kwh, -band.high_kwh, -band.low_kwh
        found.append(kinds.MORE_USED.at("savings", more=more, low=low, high=high, confidence=told.confidence))
    elif not told.shown:
        saved, low, high = told.saved_kwh, band.low_kwh, band.high_kwh
        found.append(kinds.NOT_SHOWN.at("savings", saved=saved, low=low, high=high, confidence=told.confidence))
    elif told.uncertainty_ratio > _CLAIM_AT_MOST:
        found.append(kinds.TOO_VAGUE.at("savings", uncertainty=told.uncertainty_ratio))
    return tuple(found)
