"""The words of the sheets for whoever mounts, sets and tests, held beside the code."""

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib.resources import files
from typing import Any


@lru_cache(maxsize=1)
def sheet_words() -> Mapping[str, Any]:
    """Return the words of ``sheets_en.toml``; nobody may change them."""
    return tomllib.loads(files("wattwright.handover").joinpath("sheets_en.toml").read_text(encoding="utf-8"))
