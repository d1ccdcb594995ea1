"""The register of comparisons with something outside: each stands here once and is used by tests, command line and docs."""

import importlib
import pkgutil
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from wattwright import checks
from wattwright.core.errors import OwnFault

Value = float | str


class Confidence(StrEnum):
    """How far the published value itself may be trusted."""

    PUBLISHED = "published"
    REFERENCE_LIBRARY = "reference library"
    CLOSED_FORM = "closed form"
    FROM_MEMORY = "from memory"
    COMMON_PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Check:
    """One comparison.

    ``published`` is the value of the source (``published_by`` gives it where another library works it out); ``tolerance`` is
    absolute, in ``unit``, and ``why`` says what it allows for; texts must be equal.
    """

    id: str
    what: str
    unit: str
    source: str
    confidence: Confidence
    tolerance: float
    why: str
    published: Callable[[], Value]
    ours: Callable[[], Value]


@dataclass(frozen=True, slots=True)
class Outcome:
    """A check as it came out here."""

    check: Check
    published: Value
    ours: Value

    @property
    def deviation(self) -> float | None:
        """Return ours less published, None for texts."""
        if isinstance(self.ours, str) or isinstance(self.published, str):
            return None
        return self.ours - self.published

    @property
    def passed(self) -> bool:
        """Return whether the two agree within the tolerance."""
        if self.deviation is None:
            return self.ours == self.published
        return abs(self.deviation) <= self.check.tolerance

    @property
    def published_text(self) -> str:
        """Return the published value with its unit."""
        return _text(self.published, self.check.unit)

    @property
    def ours_text(self) -> str:
        """Return our value with its unit."""
        return _text(self.ours, self.check.unit)

    @property
    def deviation_text(self) -> str:
        """Return the deviation, or a dash for texts that agree."""
        if self.deviation is None:
            return "–"
        # Below a thousand millionth the last bits differ from machine to machine and say nothing.
        return "0" if abs(self.deviation) < 1e-9 * max(1.0, abs(float(self.published))) else f"{self.deviation:+.2g}"


def _text(value: Value, unit: str) -> str:
    return value if isinstance(value, str) else f"{value:.10g} {unit}".strip()


_CHECKS: dict[str, Check] = {}


def register(
    id_: str,
    what: str,
    *,
    unit: str,
    source: str,
    confidence: Confidence,
    published: Value | Callable[[], Value],
    ours: Callable[[], Value],
    tolerance: float = 0.0,
    why: str = "",
) -> None:
    """Register a comparison; raises OwnFault when the id is taken or a tolerance has no reason."""
    if id_ in _CHECKS:
        raise OwnFault(f"two checks are called {id_}")
    if tolerance and not why:
        raise OwnFault(f"the tolerance of {id_} has no reason")
    given = published if callable(published) else lambda: published
    _CHECKS[id_] = Check(id_, what, unit, source, confidence, tolerance, why, given, ours)


def all_checks() -> tuple[Check, ...]:
    """Return every registered check, in the order of their ids; loads the modules of this room that register them."""
    for module in pkgutil.iter_modules(checks.__path__):
        importlib.import_module(f"{checks.__name__}.{module.name}")
    return tuple(_CHECKS[id_] for id_ in sorted(_CHECKS))


def run_checks(only: str = "") -> tuple[Outcome, ...]:
    """Return how the checks whose id begins with ``only`` come out on this machine."""
    return tuple(Outcome(one, one.published(), one.ours()) for one in all_checks() if one.id.startswith(only))


def outcome_json(one: Outcome) -> dict[str, Any]:
    """Return an outcome as plain data."""
    return {
        "id": one.check.id,
        "what": one.check.what,
        "unit": one.check.unit,
        "published": one.published,
        "ours": one.ours,
        "deviation": one.deviation,
        "tolerance": one.check.tolerance,
        "why": one.check.why,
        "passed": one.passed,
        "source": one.check.source,
        "confidence": one.check.confidence.value,
    }
