"""A quote as plain data for programs: powers in kW, energies in kWh, money of the tariff's currency."""

from collections.abc import Iterable
from math import isinf
from typing import Any

from wattwright.core.bounds import as_least
from wattwright.core.findings import Finding
from wattwright.core.show import Show
from wattwright.supply.money.life import LifeCost
from wattwright.supply.money.risk import Risk
from wattwright.supply.money.worth import Worth
from wattwright.supply.sizing.answer import Point, Quote, Sized
from wattwright.supply.sizing.cases import shorts
from wattwright.supply.sizing.confirm import Confirmed
from wattwright.supply.sizing.rating import Rating
from wattwright.supply.sizing.sizes import Size
from wattwright.supply.sizing.table import withheld

SCHEMA = "wattwright.supply/1"


def quote_json(made: Quote, show: Show, readings: Iterable[Finding] = ()) -> dict[str, Any]:
    """Return a quote as plain data; ``show`` gives the language of the sentences, ``readings`` are the findings of the record.

    ``front`` is that of the rules which are quoted, the plan where there is one; that of today's switching stands for itself in
    ``front_today``: what one of them holds may be beaten by a size of the other.
    """
    return {
        "purpose": made.purpose, "outage_h": None if made.outage_s is None else round(made.outage_s / 3600.0, 4),
        "unserved_asked": made.asked,
        "days": round(made.stretch_days, 4), "from": made.days[0], "to": made.days[1], "currency": made.currency,
        "sizes": _size(made.size), "relies_on_control": made.relies,
        "without_plan": _sized(made.today), "with_plan": None if made.plan is None else _sized(made.plan),
        "plan_is_worth": _plan_worth(made.today, made.plan),
        "cases": [
            {"case": one.name, **_found(one.found), "gives_less": _less(one.found, made.quoted)} for one in made.cases
        ],
        "suns": [{"days": one.name, **_found(one.found)} for one in made.suns],
        "bought": [
            {"what": one.name, "amount": round(one.amount, 3), "unit": one.unit, "cost": float(round(one.cost, 2))}
            for one in made.parts
        ],
        "outage_sun": made.outage_sun or None,
        "roofs": [{"roof": one.roof, "pv_kwp": round(one.pv_w / 1000.0, 3)} for one in made.laid],
        "pv_losses": [
            {
                "roof": one.roof, "days": round(one.days, 2), "cold_kwh": round(one.cold_kwh, 2),
                "losses": [
                    {"name": each.name, "kwh": round(each.loss_kwh, 3), "share": round(each.share, 6)} for each in one.steps
                ],
                "given_kwh": round(one.given_kwh, 2),
            }
            for one in made.losses
        ],
        "kept_off": [{"load": one.load, "contactor_a": as_least(one.current_a, 4)} for one in made.held],
        "front_by": made.front_by,
        "front": [_point(one) for one in (made.plan or made.today).front],
        "front_today": [_point(one) for one in made.today.front],
        "battery": None if made.ageing is None else {
            "life_years": None if isinf(made.ageing.life_years) else round(made.ageing.life_years, 2),
            "decides": made.ageing.decides, "full_cycles_a_year": round(made.ageing.full_cycles_per_year, 3),
            "model": made.ageing.model,
        },
        "recorded_bill": None if made.recorded_bill is None else round(made.recorded_bill, 2),
        "as_it_is": _point(made.as_is), "quoted_owned": round(made.owned, 2),
        "worn": None if made.worn is None else {"battery_left": made.worn_share, **_found(made.worn)},
        "plan_alone": None if made.plan_alone is None else _point(made.plan_alone),
        "plan_saves": None if made.plan_saves is None else round(made.plan_saves, 2),
        "carriers": [
            {"way": one.name, "reached": one.reached, "why_not": one.why_not or None, **_point(one.point)}
            for one in made.carriers
        ],
        "lpsp": round(made.quoted.lpsp, 9), "bare": _found(made.bare, "bill"), "money": _money(made),
        "scenarios": [{"name": one.name, "change": one.change, "npv": round(one.npv, 2)} for one in made.scenarios],
        "stopped_by": list(dict.fromkeys(one.code for one in withheld(made, readings))),
        "findings": [one.as_json(show) for one in made.findings],
    }  # fmt: skip


def _size(size: Size) -> dict[str, float]:
    return {
        "inverter_kw": round(size.inverter_va / 1000.0, 3), "battery_kwh": round(size.battery_wh / 1000.0, 3),
        "pv_kwp": round(size.pv_w / 1000.0, 3),
    }  # fmt: skip


def _plan_worth(today: Sized, plan: Sized | None) -> dict[str, float] | None:
    """Return by how much less hardware the plan does what was asked; None where it, or today's switching, cannot do it."""
    if plan is None or plan.least is None or today.least is None:
        return None
    without = _size(today.least.size)
    return {name: round(without[name] - value, 3) for name, value in _size(plan.least.size).items()}


def _sized(one: Sized) -> dict[str, Any]:
    return {
        **_found(one.found), "reached": one.reached, "outage_kwh": round(one.outage_kwh, 4), "bought": round(one.bought, 2),
        "rating": None if one.rating is None else _rating(one.rating), "screened": one.screened,
        "left_out": one.left_out,
        "least": None if one.least is None else _size(one.least.size),
        "least_offered": None if one.offered is None else _point(one.offered),
    }  # fmt: skip


def _rating(one: Rating) -> dict[str, Any]:
    return {
        "needed_kw": None if one.rating_va is None else round(one.rating_va / 1000.0, 3),
        "hidden_kw": round(one.hidden_va / 1000.0, 4),
        "tried": [
            {"rating_kw": round(each.rating_va / 1000.0, 3), "trips": each.trips, "above_s": round(each.above_s, 1)}
            for each in one.tried
        ],
    }  # fmt: skip


def _found(one: Confirmed, bill: str = "bill_with_tried_outages") -> dict[str, Any]:
    """Return the engine's word; outages tried come more often than usual, and a ``bill`` of a stretch with them is named so."""
    balance = one.balance
    return {
        **_size(one.size), "lpsp": round(one.lpsp, 9), "unserved_kwh": round(one.unserved_kwh, 4), "trips": one.trips,
        "above_rating_s": round(one.above_s, 1), "dark_h": round(one.dark_s / 3600.0, 4),
        "peak_kw": round(one.peak_w / 1000.0, 4),
        "own_share": round(one.own_share, 6),
        "autonomy_days": round(one.autonomy_days, 4), "import_kwh": round(balance.imported, 4),
        "export_kwh": round(balance.exported, 4),
        "pv_kwh": round(balance.pv, 4), "spilled_kwh": round(balance.spilled, 4),
        "generator_kwh": round(balance.generator, 4),
        bill: None if one.bill is None else round(one.bill, 2),
        "lacks": [{"load": load, "amount": round(amount, 4), "unit": unit} for load, amount, unit in one.lacks],
    }  # fmt: skip


def _less(case: Confirmed, working: Confirmed) -> list[dict[str, Any]]:
    """Return what each load gives less than while the plan works, or how long it runs less where its service is not known."""
    return [
        {"load": one.load, "what": "runs" if one.runs else "gives", "amount": round(one.amount, 4), "unit": one.unit}
        for one in shorts(case, working)
    ]


def _point(one: Point) -> dict[str, Any]:
    bill = None if one.bill is None else round(one.bill, 2)
    costs = {"bill": bill, "bought": round(one.bought, 2), "owned": round(one.owned, 2)}
    return {**_found(one.found), **costs, "least": round(one.least, 6)}


def _money(made: Quote) -> dict[str, Any] | None:
    if made.life is not None:
        return _life(made.life, _bands(made.risk))
    return None if made.worth is None else _worth(made.worth, made.saved_a_year, _bands(made.risk))


def _bands(risk: Risk | None) -> dict[str, Any] | None:
    return None if risk is None else {
        "mean": round(risk.mean, 2), "low": round(risk.low, 2), "middle": round(risk.middle, 2), "high": round(risk.high, 2),
        "loss_share": round(risk.loss_share, 4),
        "tornado": [
            {"source": one.source, "low": round(one.low, 2), "middle": round(one.middle, 2), "high": round(one.high, 2)}
            for one in risk.tornado
        ],
    }  # fmt: skip


def _life(life: LifeCost, bands: dict[str, Any] | None) -> dict[str, Any]:
    amounts = ("present", "capital", "replacements", "upkeep", "fuel", "left", "grants", "financing")
    return {
        "of": "cost over the years", "currency": life.currency, "terms": life.terms, "rate": life.rate,
        **{name: round(getattr(life, name), 2) for name in amounts}, "served_kwh_a_year": round(life.served_kwh, 2),
        "energy_cost": round(life.energy_cost, 5), "yearly": [round(float(one), 2) for one in life.yearly], "bands": bands,
    }  # fmt: skip


def _worth(worth: Worth, saved_a_year: float, bands: dict[str, Any] | None) -> dict[str, Any]:
    return {
        "of": "saving", "currency": worth.currency, "terms": worth.terms, "rate": worth.rate,
        "invested": round(-float(worth.total[0]), 2),
        "saved_a_year": round(saved_a_year, 2),
        "npv": round(worth.npv, 2), "left_at_end": round(worth.left, 2),
        "irr": None if worth.irr is None else round(worth.irr, 6), "no_irr": worth.no_irr or None,
        "payback_years": None if worth.payback_years is None else round(worth.payback_years, 2),
        "discounted_years": None if worth.discounted_years is None else round(worth.discounted_years, 2),
        "energy_cost": None if worth.energy_cost is None else round(worth.energy_cost, 5),
        "yearly": [round(float(one), 2) for one in worth.total], "bands": bands,
    }  # fmt: skip
