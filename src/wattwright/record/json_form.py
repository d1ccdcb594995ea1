"""A record as plain data for programs."""

from typing import Any

from wattwright.core.clock import SiteClock
from wattwright.core.show import Show
from wattwright.record.record import Channel, Record, Run

SCHEMA = "wattwright.record/1"


def record_json(record: Record, show: Show) -> dict[str, Any]:
    """Return what ``record`` is, without its readings; ``show`` gives the language of the findings' sentences."""
    clock = SiteClock(record.zone)
    return {
        "source": {"name": record.source.name, "size_bytes": record.source.size_bytes, "sha256": record.source.sha256},
        "zone": record.zone,
        "rows": record.rows,
        "layout": dict(record.describe()),
        "unread_columns": list(record.layout.unread_columns),
        "channels": [_channel(one, clock) for one in record.channels],
        "derived": [{**_channel(one, clock), "basis": one.basis.name.lower()} for one in record.derived],
        "gaps": [_run(one, clock) for one in record.gaps],
        "duplicates": [_run(one, clock) for one in record.duplicates],
        "findings": [one.as_json(show) for one in record.findings],
    }


def _channel(channel: Channel, clock: SiteClock) -> dict[str, Any]:
    series, meaning = channel.series, channel.meaning
    return {
        "id": channel.id,
        "column": channel.column,
        "meter": channel.meter,
        "quantity": meaning.quantity.value,
        "form": meaning.form.value,
        "unit": meaning.unit,
        "phase": meaning.phase.value,
        "direction": meaning.direction.value,
        "why": meaning.why,
        "step_s": series.step_s,
        "intervals": len(series),
        "missing": int((~series.present).sum()),
        "first": clock.at(series.start_s).isoformat(),
        "last": clock.at(series.end_s).isoformat(),
    }


def _run(run: Run, clock: SiteClock) -> dict[str, Any]:
    return {"first": clock.at(run.start_s).isoformat(), "last": clock.at(run.end_s).isoformat(), "intervals": run.intervals}
