"""A simulation as plain data for programs: powers in kW, energies in kWh, times as ISO 8601 with offset."""

from typing import Any

from wattwright.core.clock import SiteClock
from wattwright.core.show import Show
from wattwright.job.happenings import Did, did, happenings, highest
from wattwright.job.simulation import STEP_S, Simulated

SCHEMA = "wattwright.simulation/1"


def simulation_json(given: Simulated, clock: SiteClock, show: Show) -> dict[str, Any]:
    """Return what happened as plain data; ``show`` gives the language of the findings' sentences."""
    peak, span = highest(given), given.scenario.span

    def when(at_s: float) -> str:
        return clock.at(int(at_s)).isoformat()

    return {
        "zone": clock.zone,
        "from": when(span.start_s),
        "to": when(span.end_s),
        "step_s": STEP_S,
        "highest_kw": round(peak.power_w / 1000, 6),
        "highest_at": when(peak.at_s),
        "highest_a": round(peak.current_a, 4),
        "energy_kwh": round(float(given.run.site_w.sum()) * STEP_S / 3.6e6, 6),
        "rest_kwh": round(float(given.rest.rest_w.sum()) * STEP_S / 3.6e6, 6),
        "rest_moved": round(given.rest.moved, 6),
        "rest_short_kwh": round(given.rest.short_kwh, 6),
        "loads": [_load(one) for one in did(given)],
        "switchings": [
            {"at": when(one.at_s), "load": one.load, "what": one.what, "why": one.why, "own": one.own}
            for one in happenings(given)
        ],
        "site_kw": [round(float(one) / 1000, 6) for one in given.run.site_w],
        "findings": [one.as_json(show) for one in given.findings],
    }


def _load(one: Did) -> dict[str, Any]:
    return {
        "id": one.id,
        "energy_kwh": round(one.energy_kwh, 6),
        "ran_s": round(one.run_s, 3),
        "starts": one.starts,
        "switchings": one.switchings,
        "lacked": round(one.lacked.amount, 6),
        "lacked_unit": one.lacked.unit,
        "lacked_what": one.lacked.what,
        "sensor": one.sensed.place,
        "sensor_unit": one.sensed.unit,
        "sensor_lowest": round(float(one.values.min()), 4),
        "sensor_highest": round(float(one.values.max()), 4),
    }
