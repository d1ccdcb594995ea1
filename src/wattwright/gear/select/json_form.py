"""What was selected as plain data for programs."""

from collections.abc import Sequence
from typing import Any

from wattwright.catalogue.equipment.items import Item
from wattwright.catalogue.equipment.range import Range
from wattwright.gear.select.answer import Answer
from wattwright.gear.select.ruling import Judged, Ruling
from wattwright.gear.select.switch import Choice, Scheme

SCHEMA = "wattwright.gear/1"


def answer_json(one: Answer, range_: Range) -> dict[str, Any]:
    """Return a quick answer.

    ``selected``, ``also``, ``refused`` with rule, clause and margin, ``probe``, ``ask``, ``cautions``.
    """
    current = one.current
    return {
        "load": one.appliance.name,
        "running_a": one.choice.need.running_a,
        "starting_a": current.starting_a,
        "continuous": current.continuous,
        **choice_json(one.choice, range_),
        "probe": None if one.probing is None else _one_of(one.probing.selected, one.probing.refused, range_),
        "ask": list(one.asked),
        "cautions": list(one.cautions),
    }


def choice_json(choice: Choice, range_: Range) -> dict[str, Any]:
    """Return what switches a load: ``selected`` (None where nothing does), ``also`` and ``refused``."""
    return {
        "selected": None if choice.selected is None else scheme_json(choice.selected, range_),
        "also": [scheme_json(one, range_) for one in choice.also],
        "refused": refused_json(choice.refused),
    }


def scheme_json(scheme: Scheme, range_: Range) -> dict[str, Any]:
    """Return one way of switching: ``way``, ``parts`` and every ruling."""
    return {
        "way": scheme.way,
        "parts": [item_json(one, range_) for one in scheme.parts],
        "rulings": [ruling_json(one) for one in scheme.judged.rulings],
    }


def item_json(item: Item, range_: Range) -> dict[str, Any]:
    """Return a piece of equipment: id, name, article number, price with its currency, stock."""
    return {
        "id": item.id,
        "name": item.name,
        "article": item.article,
        "price": item.price,
        "currency": range_.currency.get(item.id, "") if item.price is not None else "",
        "stock": item.stock,
    }


def ruling_json(one: Ruling) -> dict[str, Any]:
    """Return a ruling: rule, clause, state, margin (share of the limit to spare), and what it says."""
    return {"rule": one.rule, "clause": one.clause, "state": one.state, "margin": one.margin, "says": one.says}


def refused_json(refused: Sequence[Judged]) -> list[dict[str, Any]]:
    """Return what was refused: id, name, and the rule that did, with clause and margin."""
    return [
        {"id": one.id, "name": one.name, "rule": by.rule, "clause": by.clause, "margin": by.margin, "says": by.says}
        for one in refused
        if (by := one.refused_by) is not None
    ]


def _one_of(selected: Judged | None, refused: Sequence[Judged], range_: Range) -> dict[str, Any]:
    item = None if selected is None else range_.get(selected.id)
    told = None if selected is None or item is None else item_json(item, range_)
    rulings = [] if selected is None else [ruling_json(one) for one in selected.rulings]
    return {"selected": told, "rulings": rulings, "refused": refused_json(refused)}
