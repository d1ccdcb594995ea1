"""The demand result as plain data for programs: powers in kW, energies in kWh, times as ISO 8601 with offset."""

from typing import Any

from wattwright.core.clock import SiteClock
from wattwright.core.show import Show
from wattwright.demand.analyse import Demand
from wattwright.demand.summary import Maximum
from wattwright.record.faults.doubt import doubts, peak_doubts
from wattwright.record.record import Record

SCHEMA = "wattwright.demand/1"


def demand_json(demand: Demand, record: Record, show: Show) -> dict[str, Any]:
    """Return ``demand`` as plain data; ``show`` gives the language of the findings' sentences."""
    clock = SiteClock(demand.zone)
    summary = demand.summary
    return {
        "zone": demand.zone,
        "channels": list(demand.channels),
        "basis": demand.grounds.basis.value,
        "in_doubt": _in_doubt(record),
        "energy_kwh": round(summary.energy_kwh, 6),
        "counted_in_gaps_kwh": round(summary.registered_kwh, 6),
        "imported_kwh": round(summary.imported_kwh, 6),
        "exported_kwh": round(summary.exported_kwh, 6),
        "maximum_demand_kw": _kw(summary.maximum.power_w),
        "maximum_demand_basis": demand.basis_over(summary.step_s).value,
        "maximum_demand_at": _when(clock, summary.maximum.start_s),
        "maximum_demand_by_window_kw": {str(m.window_s // 60): _kw(m.power_w) for m in summary.by_window},
        "maximum_demand_rolling_kw": {str(m.window_s // 60): _kw(m.rolling_w) for m in summary.by_window},
        "maximum_demand_windows": [_window(m, clock) for m in summary.by_window],
        "base_load_kw": _kw(summary.base_load_w),
        "mean_kw": _kw(summary.mean_w),
        "load_factor": _round(summary.load_factor),
        "step_s": summary.step_s,
        "intervals": summary.intervals,
        "missing": summary.missing,
        "estimated": summary.estimated,
        "estimated_kwh": round(summary.estimated_kwh, 6),
        "estimated_low_kwh": _round(summary.estimated_low_kwh),
        "estimated_high_kwh": _round(summary.estimated_high_kwh),
        "read_kwh": round(summary.energy_kwh - summary.estimated_kwh, 6),
        "completeness": round(summary.completeness, 6),
        "first": _when(clock, summary.start_s),
        "last": _when(clock, summary.end_s),
        "stamps": {"mark": record.layout.stamps.value, "why": record.layout.stamps_why, "format": record.layout.stamp_format},
        "months": [
            {
                "month": f"{m.year:04d}-{m.month:02d}",
                "energy_kwh": round(m.energy_kwh, 6),
                "maximum_demand_kw": _kw(m.maximum_w),
                "window_min": m.window_s // 60,
                "completeness": round(m.completeness, 6),
                "whole": m.whole,
            }
            for m in demand.months
        ],
        "peaks": [
            {"at": _when(clock, p.start_s), "power_kw": _kw(p.power_w), "lasted_min": p.lasted_s / 60} for p in demand.peaks
        ],
        "source": {"name": record.source.name, "size_bytes": record.source.size_bytes, "sha256": record.source.sha256},
        "findings": [f.as_json(show) for f in (*record.findings, *demand.findings)],
    }


_TOTALS = ("energy_kwh", "imported_kwh", "exported_kwh", "read_kwh", "base_load_kw", "mean_kw", "load_factor", "months")
_PEAKS = ("maximum_demand_kw", "maximum_demand_by_window_kw", "maximum_demand_rolling_kw", "peaks")


def _in_doubt(record: Record) -> dict[str, list[str]]:
    """Return the entries not to be relied on yet, each with the codes of the findings that must be settled before."""
    of_all, of_peaks = (
        list(dict.fromkeys(one.code for one in found)) for found in (doubts(record.findings), peak_doubts(record.findings))
    )
    told = [(name, of_all) for name in _TOTALS] + [(name, of_peaks) for name in _PEAKS]
    return {name: codes for name, codes in told if codes}


def _window(maximum: Maximum, clock: SiteClock) -> dict[str, Any]:
    return {
        "window_min": maximum.window_s // 60,
        "at": _when(clock, maximum.start_s),
        "rolling_at": _when(clock, maximum.rolling_start_s),
        "windows": maximum.windows,
        "left_out": maximum.left_out,
    }


def _kw(power_w: float) -> float | None:
    return None if power_w != power_w else round(power_w / 1000, 6)


def _round(value: float) -> float | None:
    return None if value != value else round(value, 6)


def _when(clock: SiteClock, time_s: int) -> str | None:
    return None if time_s < 0 else clock.at(time_s).isoformat()
