"""A job's equipment as plain data for programs."""

from typing import Any

from wattwright.core.show import Show
from wattwright.gear.circuit.json_form import circuit_json
from wattwright.gear.select.bill import BillOfMaterials
from wattwright.gear.select.json_form import answer_json, item_json, refused_json, ruling_json
from wattwright.gear.select.protection import Housing
from wattwright.gear.select.transformer import Measuring
from wattwright.job.gearing import LoadGear, SiteGear

SCHEMA = "wattwright.site-gear/1"


def gear_json(made: SiteGear, show: Show) -> dict[str, Any]:
    """Return a job's equipment: ``loads``, ``meter``, ``enclosure``, ``bill_of_materials``, ``findings``."""
    return {
        "rules": made.rules,
        "loads": [_load(one, made, show) for one in made.loads],
        "meter": None if made.measuring is None else _measuring(made.measuring, made),
        "enclosure": None if made.housing is None else _housing(made.housing, made),
        "bill_of_materials": bill_json(made.bill),
        "findings": [one.as_json(show) for one in made.findings],
    }


def _load(one: LoadGear, made: SiteGear, show: Show) -> dict[str, Any]:
    told = {**answer_json(one.answer, made.range), "load": one.load.id, "name": one.load.name, "ask": list(one.asked)}
    circuit = None if one.circuit is None else circuit_json(one.circuit, show)
    return {**told, "circuit": circuit, "not_designed": one.not_designed or None}


def _measuring(one: Measuring, made: SiteGear) -> dict[str, Any]:
    item = None if one.selected is None else made.range.get(one.selected.id)
    return {
        "selected": None if item is None else item_json(item, made.range),
        "rulings": [] if one.selected is None else [ruling_json(ruling) for ruling in one.selected.rulings],
        "refused": refused_json(one.refused),
    }


def _housing(one: Housing, made: SiteGear) -> dict[str, Any]:
    item = None if one.selected is None else made.range.get(one.selected.id)
    return {
        "modules": one.modules,
        "count": one.count,
        "heat_w": one.heat_w,
        "selected": None if item is None else item_json(item, made.range),
        "refused": refused_json(one.refused),
    }


def bill_json(bill: BillOfMaterials) -> dict[str, Any]:
    """Return a bill of materials: ``rows``, ``totals`` by currency, ``unpriced``."""
    rows = [
        {
            "id": None if one.item is None else one.item.id, "name": one.name,
            "article": "" if one.item is None else one.item.article,
            "quantity": one.quantity, "unit": one.unit, "used_for": list(one.used_for),
            "price": None if one.item is None else one.item.price, "total": one.total, "currency": one.currency or None,
            "in_stock": one.in_stock,
        }
        for one in bill.rows
    ]  # fmt: skip
    return {"rows": rows, "totals": dict(bill.totals), "unpriced": bill.unpriced}
