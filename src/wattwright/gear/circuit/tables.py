"""The tables of the rule sets: TOML beside the code, each table with its clause, its source, and how far it was seen."""

import tomllib
from enum import StrEnum
from functools import lru_cache
from importlib.resources import files
from typing import Any


class Status(StrEnum):
    """How far a published value itself may be trusted."""

    SEEN = "seen"
    CROSS_CHECKED = "cross-checked"
    WORKED_OUT = "worked out"
    FROM_MEMORY = "from memory"
    COMMON_PRACTICE = "common practice"


_FIRMNESS = tuple(Status)


def weakest(*given: Status) -> Status:
    """Return the least firm of several."""
    return max(given, key=_FIRMNESS.index)


@lru_cache(maxsize=16)
def table(name: str) -> dict[str, Any]:
    """Return the tables in the file ``name`` beside this module, as plain data; nobody may change them."""
    return tomllib.loads(files("wattwright.gear.circuit").joinpath("tables", f"{name}.toml").read_text(encoding="utf-8"))
