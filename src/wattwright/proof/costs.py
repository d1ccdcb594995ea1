"""What a saving is in money by the real tariff, and in demand: the bill of what would have been used, less that of what was."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.findings import Finding
from wattwright.core.seeds import Streams
from wattwright.core.series import Floats
from wattwright.proof.blocks import BLOCK_DAYS, Blocks, blocks_of, cut_at_ends
from wattwright.proof.choose import Baseline
from wattwright.proof.fitness import first_autocorrelation
from wattwright.proof.highest import half_width_w
from wattwright.proof.models.record import Grain, UseRecord
from wattwright.proof.running import one_year
from wattwright.proof.savings import CONFIDENCE
from wattwright.tariff.compiled import compile_tariff, cost
from wattwright.tariff.tariff import Tariff

DRAWN = 200
_HOUR_S = 3600
_WEEK_H = 168


@dataclass(frozen=True, slots=True)
class CostSaved:
    """What was saved in the tariff's currency, and of the highest hour in W, each with its band at ``confidence``.

    Before rounding; forecasts are floats. Money is the mean of the draws, since a model's own hours are flatter than real ones.
    The highest hour is held against the one measured before, and of the draws only the difference is taken that weather and
    calendar make: drawn maxima lie too low, and as much so on both sides. Its band is None where the baseline does not tell how
    highest hours scatter, and a finding says why.
    """

    currency: str
    confidence: float
    used_money: float
    saved_money: float
    low_money: float
    high_money: float
    maximum_saved_w: float
    maximum_low_w: float | None
    maximum_high_w: float | None
    findings: tuple[Finding, ...] = ()


def cost_saved(
    found: Baseline, reporting: UseRecord, tariff: Tariff, clock: SiteClock, confidence: float = CONFIDENCE, seed: int = 0
) -> CostSaved:
    """Return what was saved of the bill for the hours of ``reporting`` that were read, under one tariff before and after.

    Raises ValueError where the grain is not the hour; TariffError where the tariff cannot be compiled for hours, or has no prices
    for a day.
    """
    if reporting.grain is not Grain.HOUR or found.record.grain is not Grain.HOUR:
        raise ValueError("a bill needs hours")
    first = int(reporting.starts_s[0])
    place = (reporting.starts_s - first) // _HOUR_S
    grid = first + _HOUR_S * np.arange(int(place[-1]) + 1, dtype=np.int64)
    compiled = compile_tariff(tariff, grid, _HOUR_S, clock)
    used_w = reporting.energy_kwh * 1000

    def billed(power_w: Floats) -> float:
        whole = np.full(len(grid), np.nan)
        whole[place] = power_w
        return cost(compiled, whole).total

    used = billed(used_w)
    blocks = blocks_of(found, confidence)
    rows = np.array([(billed(one) - used, one.max()) for one in _drawn_w(found, reporting, blocks, seed)])
    money, ends = float(rows[:, 0].mean()), ((1 - confidence) / 2, (1 + confidence) / 2)
    # The hours are drawn as they scattered; only the bands are widened.
    low, high = money + wider(found, blocks) * np.quantile(rows[:, 0] - money, ends)
    maximum = highest_saved_w(found, reporting, blocks, rows[:, 1], seed)
    half = half_width_w(found.record, found.record.energy_kwh - found.residual_kwh, confidence)
    low_w, high_w = (None, None) if isinstance(half, Finding) else (maximum - half, maximum + half)
    return CostSaved(
        tariff.currency,
        confidence,
        used,
        money,
        float(low),
        float(high),
        maximum,
        low_w,
        high_w,
        (half,) if isinstance(half, Finding) else (),
    )


def wider(found: Baseline, blocks: Blocks) -> float:
    """Return by how much money spreads more than draws show: as sums of hours do, and by what days are alike if that is more.

    From one hour to the next much is forgotten that lasts for days, as weather or guests: what is cut at the ends of blocks is
    told by the sums of days too.
    """
    _, day = np.unique(found.record.starts_s // DAY_S, return_inverse=True)
    sums = np.asarray(np.bincount(day, blocks.residual_kwh), np.float64)
    of_days = cut_at_ends(first_autocorrelation(sums), BLOCK_DAYS)
    return blocks.wider * max(of_days / cut_at_ends(found.fitness.alike, blocks.length), 1.0)


def highest_saved_w(found: Baseline, reporting: UseRecord, blocks: Blocks, drawn_w: Floats, seed: int) -> float:
    """Return by how much the highest hour fell, W; ``drawn_w`` are highest hours as they may have been, (drawn,).

    The highest hour measured in the same part of the year before is moved by what draws of both times differ by on the mean.
    """
    like = _same_part(found.record, reporting)
    own_w = np.array([one.max() for one in _drawn_w(found, like, blocks, seed, "own hours")])
    measured_w, used_w = (1000 * float(one.energy_kwh.max()) for one in (like, reporting))
    return measured_w - used_w + float(drawn_w.mean() - own_w.mean())


def _same_part(before: UseRecord, reporting: UseRecord) -> UseRecord:
    """Return as many hours of the baseline, in the order of time, as the time after has, from the same place in the year on."""
    year = one_year(before, int(reporting.starts_s[0]))
    part = year.part(np.arange(min(len(year), len(reporting))))
    return part.part(np.argsort(part.starts_s))


def _drawn_w(
    found: Baseline, reporting: UseRecord, blocks: Blocks, seed: int, stream: str = "costs"
) -> Iterator[Floats]:  # fmt: skip
    """Yield what might have been used, in W, shape (n,): the model as other residuals would have moved it, and its scatter.

    Residuals fall on the hours of the week they were left at: on others a quiet night would be drawn with the scatter of an
    evening, and below nought. What still falls below, where the baseline never did, is nought, and the rest of that draw lies
    lower in proportion: a draw keeps its energy, or what was cut off would be money that nobody saved.
    """
    draws = Streams(seed).stream(stream)
    back, after = np.linalg.pinv(found.fitted.columns(found.record)), found.fitted.columns(reporting)
    scatter = _Weeks.of(found.record.starts_s, blocks.residual_kwh)
    only_takes = bool(found.record.energy_kwh.min() >= 0)
    for _ in range(DRAWN):
        moved = back @ blocks.path(len(found.record), draws)
        told: Floats = after @ (found.fitted.coefficients + moved) + scatter.path(reporting.starts_s, draws)
        yield 1000 * (_not_below_nought(told) if only_takes else told)


def _not_below_nought(told: Floats) -> Floats:
    """Return hours cut at nought, of the same sum where that is above nought."""
    cut = np.maximum(told, 0.0)
    whole = float(cut.sum())
    return cut * (max(float(told.sum()), 0.0) / whole) if whole > 0 else cut


@dataclass(frozen=True, slots=True, eq=False)
class _Weeks:
    """Residuals by week and hour of the week, shape (weeks, 168), kWh; an hour not read has that of the next week that was."""

    residual_kwh: Floats

    @classmethod
    def of(cls, starts_s: NDArray[np.int64], residual_kwh: Floats) -> Self:
        week, hour = _week_and_hour(starts_s)
        held = np.full((int(week.max() - week.min()) + 1, _WEEK_H), np.nan)
        held[week - week.min(), hour] = residual_kwh
        for _ in range(len(held) - 1):
            held = np.where(np.isnan(held), np.roll(held, -1, axis=0), held)
        return cls(np.nan_to_num(held))

    def path(self, starts_s: NDArray[np.int64], draws: np.random.Generator) -> Floats:
        """Return residuals for hours that begin at ``starts_s``, shape (n,), two weeks that follow one another at a time."""
        week, hour = _week_and_hour(starts_s)
        nth = week - week.min()
        began = draws.integers(len(self.residual_kwh), size=int(nth.max()) // 2 + 1)
        return np.asarray(self.residual_kwh[(began[nth // 2] + nth % 2) % len(self.residual_kwh), hour])


def _week_and_hour(starts_s: NDArray[np.int64]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the week and the hour of the week in which stretches begin, each shape (n,)."""
    return np.divmod(starts_s // _HOUR_S, _WEEK_H)
