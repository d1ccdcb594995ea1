"""Findings: something the tool wants the person to know, as data; the sentence is made when it is shown."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from wattwright.core.errors import OwnFault
from wattwright.core.show import Show
from wattwright.core.wording import register, say

Scalar = str | int | float | bool


class Severity(StrEnum):
    """How much it matters: stop before relying on the result, look at it, or note it."""

    STOP = "stop"
    LOOK = "look"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class FindingKind:
    """A kind of finding with its stable code of ours, such as ``record.gap``, and where its rule comes from."""

    code: str
    severity: Severity
    source: str

    def at(self, where: str, **data: Scalar) -> "Finding":
        """Return a finding of this kind about ``where`` (a file, a channel, a day) with the values its sentence needs."""
        return Finding(self.code, self.severity, where, data, self.source)


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding: code, severity, where, the values, and the source of the rule."""

    code: str
    severity: Severity
    where: str
    data: Mapping[str, Scalar] = field(default_factory=dict)
    source: str = ""

    def says(self, show: Show) -> str:
        """Return what was found, as a sentence."""
        return say(self.code, self.data, show)

    def why(self, show: Show) -> str:
        """Return why it matters."""
        return say(f"{self.code}.why", self.data, show)

    def do(self, show: Show) -> str:
        """Return what to do about it."""
        return say(f"{self.code}.do", self.data, show)

    def as_json(self, show: Show) -> dict[str, object]:
        """Return the finding as plain data with its sentences."""
        return {
            "code": self.code,
            "severity": self.severity.value,
            "where": self.where,
            "says": self.says(show),
            "why": self.why(show),
            "do": self.do(show),
            "source": self.source,
        }


_KINDS: dict[str, FindingKind] = {}
_ORDER = {Severity.STOP: 0, Severity.LOOK: 1, Severity.NOTE: 2}


def define(code: str, severity: Severity, *, says: str, why: str, do: str, source: str) -> FindingKind:
    """Register a kind of finding with its English templates and return it; raises OwnFault when the code is taken."""
    kind = FindingKind(code, severity, source)
    if _KINDS.setdefault(code, kind) != kind:
        raise OwnFault(f'two kinds of finding with the code "{code}"')
    register("en", {code: says, f"{code}.why": why, f"{code}.do": do})
    return kind


def kinds() -> tuple[FindingKind, ...]:
    """Return every kind registered so far, in the order of their codes."""
    return tuple(_KINDS[code] for code in sorted(_KINDS))


def gravest_first(findings: "tuple[Finding, ...]") -> "tuple[Finding, ...]":
    """Return the findings with stops first and notes last, otherwise in the order given."""
    return tuple(sorted(findings, key=lambda finding: _ORDER[finding.severity]))
