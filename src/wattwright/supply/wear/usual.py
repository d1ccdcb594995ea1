"""Usual values of batteries and tables of standards, as held in ``usual.toml`` with source and status."""

import tomllib
from functools import lru_cache
from importlib.resources import files
from typing import Any


@lru_cache(maxsize=1)
def usual() -> dict[str, Any]:
    """Return the tables of ``usual.toml`` as plain data; nobody may change them."""
    return tomllib.loads(files("wattwright.supply.wear").joinpath("usual.toml").read_text(encoding="utf-8"))
