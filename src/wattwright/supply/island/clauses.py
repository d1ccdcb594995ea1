"""Clauses of island running, held as data beside the code."""

import tomllib
from functools import lru_cache
from importlib.resources import files

from wattwright.gear.circuit.appliance import RuleSet
from wattwright.gear.circuit.results import Result
from wattwright.gear.circuit.tables import Status
from wattwright.supply.island.results import Point


@lru_cache(maxsize=1)
def _held() -> dict[str, dict[str, str]]:
    return tomllib.loads(files("wattwright.supply.island").joinpath("clauses.toml").read_text(encoding="utf-8"))


def clause(id_: str, rules: RuleSet) -> str:
    """Return where something stands in a rule set."""
    return _held()[id_][rules]


def point(id_: str, rules: RuleSet, of: str, found: str, result: Result) -> Point:
    """Return a point with its words and clause."""
    return Point(id_, _held()[id_]["what"], of, found, result, clause(id_, rules), Status.FROM_MEMORY)
