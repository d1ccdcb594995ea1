"""Which figures of a record are in doubt, and through which findings: the one place that every page, paper and program asks.

A finding of the gravest kind always counts: what the paid bills say of a record is worked out in another room.
"""

from collections.abc import Iterable

from wattwright.core.findings import Finding, FindingKind, Severity
from wattwright.core.quantity import Quantity
from wattwright.record import kinds as readers
from wattwright.record.faults import kinds

_OF_ALL = (
    kinds.STUCK, kinds.IMPOSSIBLE, kinds.REVERSED, kinds.REVERSED_SINCE, kinds.IN_TOTAL, kinds.CROSSED, kinds.EXCHANGED,
    kinds.EXCHANGED_FROM, kinds.NOT_SUM, kinds.REGISTER_DIFFERS, kinds.HOUR_TWICE, kinds.STATED_STEP,
    readers.TOO_MUCH, readers.SEVERAL_POWERS, readers.GUESSED, kinds.NO_USE,
    readers.SEVERAL_CURRENTS, kinds.LAST_IS_SUM, kinds.WAY_OPEN,
)  # fmt: skip
_OF_PEAKS = (kinds.CLIPPED, kinds.SPIKES, readers.SPIKE, readers.SPREAD)


def doubts(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return the findings that have to be settled before any total or peak of their record is relied on."""
    return _of(findings, _OF_ALL)


def peak_doubts(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return those that have to be settled before a peak is relied on: of the whole record, or of its highest readings alone."""
    return _of(findings, (*_OF_ALL, *_OF_PEAKS))


def _of(findings: Iterable[Finding], doubting: tuple[FindingKind, ...]) -> tuple[Finding, ...]:
    codes = {one.code for one in doubting}
    return tuple(one for one in findings if (one.code in codes or one.severity is Severity.STOP) and not _is_beside(one))


def _is_beside(finding: Finding) -> bool:
    """Return whether a unit was guessed of what no total or peak of power follows from, such as the moisture of the soil."""
    is_power = str(finding.data.get("what", "")).startswith((Quantity.ACTIVE_POWER.value, Quantity.APPARENT_POWER.value))
    return finding.code == readers.GUESSED.code and not is_power
