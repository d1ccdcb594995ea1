"""Which baseline model: the one that is least off on weeks it has not seen, and a refusal where none is good for anything."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from wattwright.core.findings import Finding
from wattwright.core.series import Floats
from wattwright.demand.habits.change_points import Shape
from wattwright.proof import kinds
from wattwright.proof.fitness import Fitness, fitness
from wattwright.proof.limits import ROUNDING, limits
from wattwright.proof.models.calendar import Calendar, Mean
from wattwright.proof.models.day_kinds import DayKinds, HoursOfWeek
from wattwright.proof.models.fitted import Fitted, Model
from wattwright.proof.models.kelvins import ChangePoint, DegreeDays
from wattwright.proof.models.linear import Linear
from wattwright.proof.models.record import Grain, UseRecord
from wattwright.proof.models.week import WeekAndTemperature

FOLDS = 5
FEWEST_DAYS, FEWEST_MONTHS = 28, 9
"""Under four weeks, or nine months where months are all there is, nothing is claimed; common practice, no source."""
_LOOSE = 0.20
_WORTH = 0.03
"""A model must be less off than the mean by so much of it, since of a dozen one is so by chance; common practice, no source."""
_TIE = 0.02
"""Of models that are off by as much but for so small a share, the one with the fewest numbers; common practice, no source.

Of two dozen models a richer one is better by a hundredth by chance alone.
"""
_MEAN = Mean()
MODELS: tuple[Model, ...] = (
    Calendar(by_type=True),
    Calendar(by_type=True, yearly=True),
    Calendar(by_type=False),
    Calendar(by_type=False, yearly=True),
    *(ChangePoint(one) for one in (Shape.LINE, Shape.HEATING, Shape.COOLING, Shape.FOUR, Shape.FIVE)),
    DegreeDays(heating=True, cooling=False),
    DegreeDays(heating=False, cooling=True),
    DegreeDays(heating=True, cooling=True),
    *(
        DayKinds(by_type, hourly, heating, cooling)
        for by_type, hourly in product((True, False), repeat=2)
        for heating, cooling in ((True, False), (False, True), (True, True))
    ),
    WeekAndTemperature(),
    HoursOfWeek(),
    Linear(),
)


@dataclass(frozen=True, slots=True)
class Score:
    """What a model is off by on blocks it has not seen: CV(RMSE) and the mean error, as shares of the mean energy."""

    model: str
    cv_rmse: float
    mean_error: float


@dataclass(frozen=True, eq=False)
class Baseline:
    """The model that was chosen, fitted to the whole record, with all scores, best first, and that of the plain mean.

    ``residual_kwh`` has shape (n,): measured less predicted, in the order of time.
    """

    model: str
    fitted: Fitted
    fitness: Fitness
    residual_kwh: Floats
    record: UseRecord
    scores: tuple[Score, ...]
    mean_score: Score
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Refused:
    """No baseline, and why."""

    findings: tuple[Finding, ...]


def baseline(record: UseRecord, models: Sequence[Model] = MODELS) -> Baseline | Refused:
    """Return the model that tells weeks left out best (months, in a record of months), fitted to all of ``record``.

    Of models that do as well, the one with the fewest parameters. The plain mean stands in where no model is clearly better and
    the use is steady; where it is not, there is no baseline.
    """
    needed = FEWEST_MONTHS if record.grain is Grain.MONTH else FEWEST_DAYS * (24 if record.grain is Grain.HOUR else 1)
    if len(record) < needed:
        return Refused((kinds.TOO_SHORT.at("baseline", count=len(record), needed=needed),))
    if (record.energy_kwh < 0).any() or not record.energy_kwh.any():
        return Refused((kinds.NO_USE.at("baseline"),))
    scored = [(_score(one.name, record, unseen(one, record)), one) for one in models if one.suits(record)]
    scored = sorted((pair for pair in scored if pair[0].cv_rmse < float("inf")), key=lambda pair: pair[0].cv_rmse)
    by_mean = _score(_MEAN.name, record, unseen(_MEAN, record))
    best = scored[0][0] if scored else by_mean
    worth = (1 - _WORTH) * by_mean.cv_rmse
    if by_mean.cv_rmse > ROUNDING and best.cv_rmse <= worth:
        most = min((1 + _TIE) * best.cv_rmse, worth)
        as_good = [(score, one.fit(record), one) for score, one in scored if score.cv_rmse <= most]
        score, fitted, _ = min(as_good, key=lambda three: three[1].parameters)
    elif by_mean.cv_rmse <= _LOOSE:
        score, fitted = by_mean, _MEAN.fit(record)
    else:
        return Refused((kinds.NO_BETTER.at("baseline", cv=by_mean.cv_rmse),))
    predicted = fitted.predict(record)
    return Baseline(
        score.model,
        fitted,
        fitness(record.energy_kwh, predicted, fitted.parameters),
        record.energy_kwh - predicted,
        record,
        tuple(one for one, _ in scored),
        by_mean,
        limits(record, score.model, score.cv_rmse, record.energy_kwh - predicted),
    )


def folds(record: UseRecord) -> NDArray[np.int64]:
    """Return which of FOLDS parts each stretch is left out with, shape (n,): whole weeks in turn; each month alone."""
    _, order = np.unique(record.week, return_inverse=True)
    turn: NDArray[np.int64] = order.astype(np.int64) if record.grain is Grain.MONTH else order.astype(np.int64) % FOLDS
    return turn


def unseen(model: Model, record: UseRecord) -> Floats:
    """Return what ``model`` tells of each stretch when fitted without its fold, shape (n,); NaN where that cannot be fitted."""
    told, fold = np.full(len(record), np.nan), folds(record)
    for one in np.unique(fold):
        rest = record.part(fold != one)
        if model.suits(rest):
            told[fold == one] = model.fit(rest).predict(record.part(fold == one))
    return told


def week_before(record: UseRecord) -> Floats:
    """Return what was used at the same time a week before, shape (n,), NaN where that was not read; not for months."""
    at = {int(start): value for start, value in zip(record.starts_s // 3600, record.energy_kwh, strict=True)}
    return np.array([at.get(int(start) - 168, np.nan) for start in record.starts_s // 3600])


def _score(name: str, record: UseRecord, told: Floats) -> Score:
    """Return how far off ``told`` is; infinitely where it tells nothing of some stretch."""
    if np.isnan(told).any():
        return Score(name, float("inf"), float("inf"))
    off, mean = record.energy_kwh - told, float(record.energy_kwh.mean())
    return Score(name, float(np.sqrt((off**2).mean())) / mean, float(off.mean()) / mean)
