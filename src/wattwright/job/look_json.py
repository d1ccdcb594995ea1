"""A look at a meter file as plain data: every reading it allows, so that a program can choose as a person would."""

from typing import Any

from wattwright.core.clock import SiteClock
from wattwright.core.show import Show
from wattwright.job.answers import lines_of
from wattwright.job.look import Answered, Asked, Look, Outcome
from wattwright.record.json_form import record_json

SCHEMA = "wattwright.look/1"


def look_json(look: Look, show: Show) -> dict[str, Any]:
    """Return ``look`` as plain data; ``record`` is null as long as a question is open."""
    clock = SiteClock(look.told.zone or "UTC")
    layout = look.record.layout if look.record else None
    return {
        "name": look.name,
        "record": record_json(look.record, show) if look.record else None,
        "reading": _outcome(look.outcome, clock) if look.outcome else None,
        "completeness": look.completeness.tolist(),
        "first_rows": [{"number": number, "text": text} for number, text in (layout.first_rows if layout else ())],
        "last_rows": [{"number": number, "text": text} for number, text in (layout.last_rows if layout else ())],
        "questions": [_asked(one, show, clock) for one in look.asked],
    }


def _asked(asked: Asked, show: Show, clock: SiteClock) -> dict[str, Any]:
    question = asked.question
    return {
        "code": question.about.code,
        "asks": question.asks(show),
        "open": question.is_open,
        "hint": lines_of(question.hint),
        "answers": [_answered(one, clock) for one in asked.answers],
    }


def _answered(one: Answered, clock: SiteClock) -> dict[str, Any]:
    return {
        "answer": one.choice.words,
        "option": one.choice.option,
        "job_lines": lines_of(one.choice.entries),
        "reading": _outcome(one.outcome, clock) if one.outcome else None,
        "refused": one.refused,
    }


def _outcome(one: Outcome, clock: SiteClock) -> dict[str, Any]:
    return {
        "first": clock.at(one.start_s).isoformat(),
        "last": clock.at(one.end_s).isoformat(),
        "step_s": one.step_s,
        "intervals": one.intervals,
        "missing": one.missing,
        "energy_kwh": one.energy_kwh,
        "highest": one.highest,
        "unit": one.unit,
        "highest_at": clock.at(one.highest_s).isoformat(),
    }
