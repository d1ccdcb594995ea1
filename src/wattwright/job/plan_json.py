"""A plan as plain data for programs: money of the tariff's currency, powers in kW, energies in kWh.

``saving``, ``value``, ``bound`` and all that is told of trust are in ``unit`` and of the stretch of ``days``; only what is called
annual is of a year of 365 days.
"""

from dataclasses import asdict
from typing import Any

from wattwright.core.findings import gravest_first
from wattwright.core.show import Show
from wattwright.job.planning import PlanCase
from wattwright.plan.case import YEAR_DAYS
from wattwright.plan.options import Option, Planned
from wattwright.plan.settings import settings
from wattwright.simulate.comfort import comfort

SCHEMA = "wattwright.plan/1"


def plan_json(asked: PlanCase, made: Planned, show: Show) -> dict[str, Any]:
    """Return options and findings as plain data; ``show`` gives the language of the findings' sentences."""
    case, span = asked.case, asked.case.scenario.span
    currency = "" if case.tariff is None else case.tariff.currency
    findings = gravest_first((*made.findings, *asked.findings))
    return {
        "from": span.clock.at(span.start_s).isoformat(), "to": span.clock.at(span.end_s).isoformat(), "currency": currency,
        "unit": case.unit, "days": round(case.length_days, 4),
        "weights": asdict(case.weights), "bound": round(made.bound.value, 4), "bound_step_s": made.bound.step_s,
        "gap": None if made.gap is None else {key: round(value, 4) for key, value in asdict(made.gap).items()},
        "gap_untold": "" if made.gap is not None else "parts are told in money, and money alone is not what was sought",
        "evaluations": made.found.evaluations, "finished": made.found.finished,
        "options": [_option(asked, made, one) for one in made.options],
        "findings": [one.as_json(show) for one in findings],
    }  # fmt: skip


def _option(asked: PlanCase, made: Planned, one: Option) -> dict[str, Any]:
    case, figures, today = asked.case, one.tried.figures, made.options[0].tried.figures
    # Costs, savings and the bound are of the stretch; those of a year by days alone, which a finding tells where it is none.
    years = YEAR_DAYS / case.length_days if case.tariff is not None else None
    return {
        "name": one.name, "cost": None if years is None else round(figures.cost, 4),
        "annual_cost": None if years is None else round(figures.cost * years, 4),
        "annual_saving": None if years is None else round((today.cost - figures.cost) * years, 4),
        "value": round(figures.value, 4), "saving": round(one.saving, 4), "bound": round(made.bound.value, 4),
        "gap_share": round(one.gap_share, 4), "peak_kw": round(figures.peak_w / 1000.0, 4),
        "connection_ratio": round(figures.carried_ratio, 4), "overload_s": round(figures.over_s, 1),
        "released_ratio": round(figures.released_ratio, 4),
        "pv_lost_kwh": round(figures.pv_lost_kwh, 4), "unserved_kwh": round(figures.unserved_kwh, 4), "trips": figures.trips,
        "comfort": [_comfort(asked, i, one) for i in range(len(case.ids))],
        "controllers": [{"gear": gear.id, "loads": list(loads)} for gear, loads in one.controllers],
        "rules": [
            {**asdict(each), "entries": list(each.entries), "worth": round(worth, 4)}
            for each, worth in zip(settings(case, one), one.worth, strict=True)
        ],
        "moves_a_day": round(one.moves_a_day, 3),
        "contact_years": None if one.contact_years is None else round(one.contact_years, 2),
        "held_out": None if one.held_out is None else {**asdict(one.held_out), "lost": round(one.held_out.lost, 4)},
        "band": None if one.band is None else asdict(one.band),
        "changes": [asdict(each) for each in one.changes],
    }  # fmt: skip


def _comfort(asked: PlanCase, i: int, one: Option) -> dict[str, Any]:
    case, kind = asked.case, asked.case.scenario.loads[i].load.kind
    lacks, most = comfort(kind, one.tried.figures.unmet[i]), comfort(kind, float(case.most_unmet[i]))
    told = {"load": case.ids[i], "energy_kwh": round(one.tried.figures.energy_kwh[i], 4), "starts": one.tried.figures.starts[i]}
    if lacks is None or most is None:
        return told
    return {**told, "lacked": round(lacks.amount, 4), "allowed": round(most.amount, 4), "unit": lacks.unit, "what": lacks.what}
