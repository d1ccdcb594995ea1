"""Non-routine events: stretches of days in which a site used more or less than the rest of the time explains.

A new load, a closed month, a long holiday: such a step is found and proposed, never taken out of a claim by itself.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.findings import Finding
from wattwright.core.seeds import Streams
from wattwright.core.series import Floats
from wattwright.proof import kinds
from wattwright.proof.choose import Baseline
from wattwright.proof.fitness import first_autocorrelation
from wattwright.proof.models.record import Grain, UseRecord

FEWEST_DAYS, LEAST_SHARE = 14, 0.10
"""Shorter or smaller steps are not looked for; common practice, no source."""
FALSE_ALARM = 0.01
"""How often a clean year may be told an event, aimed at; the bar is one year in twenty."""
_MOST, _DRAWN, _LONGER = 3, 400, 1.15


@dataclass(frozen=True, slots=True)
class Event:
    """A step of ``energy_kwh`` a day from day ``start_s`` on until ``end_s``, and as a share of the mean expected day.

    ``chance`` is how often days that are as much alike show so clear a step where there is none.
    """

    start_s: int
    end_s: int
    days: int
    energy_kwh: float
    share: float
    chance: float


@dataclass(frozen=True, slots=True)
class Events:
    """The events that were found, in the order of time, with what to tell of each."""

    found: tuple[Event, ...]
    findings: tuple[Finding, ...]


def events(model: Baseline, record: UseRecord, seed: int = 0) -> Events:
    """Return the steps of two weeks or more in ``record``, days, beside what the model and a saving in proportion tell.

    Each is held against courses without a step whose days are as alike as these (first-order process). Raises ValueError where
    the grain is not the day, or there are fewer than eight weeks.
    """
    if record.grain is not Grain.DAY or len(record) < 4 * FEWEST_DAYS:
        raise ValueError("events are looked for in eight weeks of days or more")
    expected = model.fitted.predict(record)
    # A saving in proportion is no event: it is taken off with the level.
    level = float(record.energy_kwh @ expected / (expected @ expected))
    left, mean = record.energy_kwh - level * expected, level * float(expected.mean())
    draws, found = Streams(seed).stream("events"), []
    clean = _clean_courses(model, record, expected)
    for _ in range(_MOST):
        first, last, step, alike, clear = _clearest(left)
        chance = float((_of_chance(clean(alike, draws)) >= clear).mean())
        if chance > FALSE_ALARM or abs(step) < LEAST_SHARE * mean:
            break
        end_s = int(record.starts_s[last - 1] + round(86_400 * record.days[last - 1]))
        found.append(Event(int(record.starts_s[first]), end_s, last - first, step, step / mean, chance))
        left = left.copy()
        left[first:last] -= step
    found.sort(key=lambda one: one.start_s)
    return Events(tuple(found), tuple(_said(one, record) for one in found))


def _said(one: Event, record: UseRecord) -> Finding:
    more, less = ("more", "less") if one.share > 0 else ("less", "more")
    first, size, days = one.start_s, abs(one.energy_kwh), one.days
    # A remainder too short to be looked at is none: the stretch divides the record in two, and neither side is the odd one.
    short_s = FEWEST_DAYS * 86_400
    if first - record.starts_s[0] < short_s:
        return kinds.EVENT_AT_END.at("events", turn=one.end_s, energy=size, until=more, then=less, share=abs(one.share))
    if record.starts_s[-1] - one.end_s < short_s:
        return kinds.EVENT_AT_END.at("events", turn=first, energy=size, until=less, then=more, share=abs(one.share))
    return kinds.EVENT.at("events", first=first, days=days, energy=size, more=more, share=abs(one.share))


def _lengths(count: int) -> NDArray[np.int64]:
    """Return lengths of stretches to be tried, each longer than the last by a seventh, up to half of the days."""
    told = [FEWEST_DAYS]
    while told[-1] * _LONGER < count / 2:
        told.append(int(np.ceil(told[-1] * _LONGER)))
    return np.array([*told, count // 2], np.int64)


def _steps(left: Floats, length: int) -> tuple[Floats, Floats]:
    """Return for each place of a stretch the step to the rest, and what it explains of the squares, shape (places,)."""
    count = left.shape[-1]
    sums = np.concatenate([np.zeros((*left.shape[:-1], 1)), np.cumsum(left, axis=-1)], axis=-1)
    inside = sums[..., length:] - sums[..., :-length]
    step = inside / length - (sums[..., -1:] - inside) / (count - length)
    return step, step**2 * length * (count - length) / count


def _clearest(left: Floats) -> tuple[int, int, float, float, float]:
    """Return first day, day after the last, and step of the clearest event, how alike the other days are, and how clear it is."""
    best = (-1.0, 0, 0, 0.0)
    for length in _lengths(len(left)).tolist():
        step, explained = _steps(left, length)
        at = int(np.argmax(explained))
        best = max(best, (float(explained[at]), at, length, float(step[at])))
    explained_most, at, length, stepped = best
    rest = left.copy()
    rest[at : at + length] -= stepped
    told = first_autocorrelation(rest)
    # Told from few days it comes out too low, by (1 + 3 r) / n: Kendall 1954, from memory.
    alike = min(max(told + (1 + 3 * told) / len(left), 0.0), 0.95)
    return at, at + length, stepped, alike, _clearness(explained_most, float(rest.var()))


def _clearness(explained: float, variance: float) -> float:
    return explained / variance if variance > 0 else float("inf") if explained > 0 else 0.0


def _clean_courses(model: Baseline, record: UseRecord, expected: Floats) -> Callable[[float, np.random.Generator], Floats]:
    """Return what draws courses without an event, shape (drawn, n): days alike by a share, off as the model itself may be.

    The days before are drawn too. They move the model, and what that moves it by lies over the days after like seasons and weeks,
    which looks like a step. The level is taken off as it is of the real course.
    """
    before, after = model.fitted.columns(model.record), model.fitted.columns(record)
    moves = np.linalg.pinv(before).T @ after.T
    level = expected / float(expected @ expected)

    def courses(alike: float, draws: np.random.Generator) -> Floats:
        told = _alike(len(record), alike, draws) - _alike(len(before), alike, draws) @ moves
        return np.asarray(told - np.outer(told @ expected, level))

    return courses


def _alike(count: int, alike: float, draws: np.random.Generator) -> Floats:
    """Return numbers of unit spread of which neighbours are alike by ``alike``, shape (drawn, count)."""
    from scipy.signal import lfilter

    noise = draws.normal(size=(_DRAWN, count + 60))
    return np.asarray(lfilter([np.sqrt(1 - alike**2)], [1.0, -alike], noise, axis=1)[:, 60:])


def _of_chance(courses: Floats) -> Floats:
    """Return how clear the clearest step of each of ``courses`` (drawn, n) is, shape (drawn,)."""
    count = courses.shape[1]
    most = np.max([_steps(courses, length)[1].max(axis=1) for length in _lengths(count).tolist()], axis=0)
    about = ((courses - courses.mean(axis=1, keepdims=True)) ** 2).sum(axis=1)
    # What the step explains is taken off, as it is where a real course is judged.
    told: Floats = most / ((about - most) / count)
    return told
