"""A simulation as plain data for programs: powers in kW, energies in kWh, times as ISO 8601 with offset."""

from dataclasses import asdict
from typing import Any

from wattwright.core.clock import SiteClock
from wattwright.core.show import Show
from wattwright.job.days import STEP_S
from wattwright.job.happenings import Did, apparent, did, happenings, highest
from wattwright.job.simulation import Simulated

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
        "highest_by_window_kw": {str(one.window_s // 60): round(one.power_w / 1000, 6) for one in given.outcome.peaks},
        "conductors": [
            {"name": one.name, "highest_a": round(one.highest_a, 4), "rating_a": one.rating_a, "above_s": round(one.above_s, 3)}
            for one in given.outcome.conductors
        ],
        "shedding_response": None if given.response is None else {**asdict(given.response), "total_s": given.response.total_s},
        "trips": given.outcome.trips,
        "supply": {key: round(value, 6) for key, value in asdict(given.outcome.balance).items()},
        "stores": {
            "stored_kwh": round(given.stores.stored_kwh, 6),
            "electric_kwh": round(given.stores.electric_kwh, 6),
            "price_at_end": None if given.stores.price is None else given.stores.price.amount,
            "worth": None if given.stores.worth is None else given.stores.worth.amount,
        },
        "apparent_power": [
            {"of": name, "highest_kva": round(most_va / 1000, 6), "carried_by": what, "rated_kva": rated and rated / 1000}
            for name, most_va, what, rated in apparent(given)
        ],
        "bill": None if given.bill is None else given.bill.total,
        "bill_today": None if given.bill_today is None else given.bill_today.total,
        "energy_kwh": round(given.outcome.balance.site, 6),
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
    made, short = one.outcome, one.outcome.comfort
    return {
        "id": one.id,
        "conductor": made.phase,
        "energy_kwh": round(made.energy_kwh, 6),
        "stored_kwh": round(made.stored_kwh, 6),
        "ran_h": round(made.running_h, 6),
        "starts": made.starts,
        "starts_in_an_hour": made.starts_in_hour,
        "switchings": one.switchings,
        "shed": made.shed,
        "shed_in_an_hour": made.shed_in_hour,
        "minimum_on_times_cut": made.cuts,
        "lacked": None if short is None else {"amount": round(short.amount, 6), "unit": short.unit, "what": short.what},
        "sensor": None if not one.sensed.place else _sensor(one),
    }


def _sensor(one: Did) -> dict[str, Any]:
    lowest, highest_ = round(float(one.values.min()), 4), round(float(one.values.max()), 4)
    return {"place": one.sensed.place, "unit": one.sensed.unit, "lowest": lowest, "highest": highest_}
