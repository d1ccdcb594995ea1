"""What a job is called where it is one of a list, read from the head of its text: a whole one takes up to a tenth of a second."""

import tomllib
from typing import Any

from wattwright.store.jobs import Listed


def title(one: Listed) -> tuple[str, str]:
    """The name of a job, its id where it has none, and its place, empty where it has none."""
    told = _before_tables(one.head.text)
    return str(told.get("name", one.id)), str(told.get("place", ""))


def _before_tables(text: str) -> dict[str, Any]:
    """The entries that stand before all tables: what belongs to no table can stand nowhere else."""
    try:
        return tomllib.loads(text.partition("\n[")[0])
    except tomllib.TOMLDecodeError:  # such a line stands in a text or a list of several lines
        pass
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return {}
