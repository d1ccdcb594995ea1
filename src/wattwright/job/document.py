"""A TOML text as a document that can be changed with its comments kept; what is no TOML is told with its line."""

from collections.abc import Iterable, Mapping
from typing import Any

import tomlkit
from tomlkit import TOMLDocument
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import Array

from wattwright.core.errors import InputError, Place
from wattwright.core.specfile import parse_text, require_short_keys


def document_of(text: str, name: str, error: type[InputError]) -> TOMLDocument:
    """Return the document in ``text``, called ``name`` in messages; raises ``error`` where it is no TOML."""
    require_short_keys(text, name, error)
    try:
        return tomlkit.parse(text)
    except (TOMLKitError, ValueError, RecursionError) as wrong:
        parse_text(text, name, error)  # of the two readers the one that names the line and says what belongs there
        step = "Look for lists within a hundred others, and for a table that is opened in two places."
        found, wanted = "TOML that cannot be changed with its comments kept", "entries as a person writes them, each once"
        raise error.one("spec.toml", Place(name), found=found, wanted=wanted, next_step=step) from wrong


def tables_in_line(tables: Iterable[Mapping[str, Any]]) -> Array:
    """Return tables as they are written into an entry of another: in brackets, in one line."""
    made = tomlkit.array()
    for one in tables:
        table = tomlkit.inline_table()
        table.update(one)
        made.append(table)
    return made
