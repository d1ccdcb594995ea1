"""Changes of a job file as text: entries set, added and taken out, comments and order kept, the result checked."""

from collections.abc import Mapping, MutableMapping, Sequence
from typing import Any

import tomlkit
from tomlkit import TOMLDocument
from tomlkit.items import AoT, Array, Table

from wattwright.core.errors import InputError, JobError, Place
from wattwright.core.specfile import parse_text
from wattwright.job.document import document_of
from wattwright.job.file import FILE_NAME, parsed
from wattwright.job.spec import JobSpec

_KEPT_EMPTY = ("site", "papers", "tariff", "repair")
"""Tables that stay when nothing is left in them: a person finds them there."""


class Edit:
    """A job file under change; ``done`` checks it and gives the text."""

    def __init__(self, text: str, name: str = FILE_NAME, error: type[InputError] = JobError) -> None:
        """Take the text of a job file, or of another by its name. Raises ``error`` where it is no TOML."""
        self._document: TOMLDocument = document_of(text, name, error)

    @property
    def text(self) -> str:
        """Return the text as it is now, unchecked."""
        return tomlkit.dumps(self._document)

    def value(self, entry: str) -> Any:
        """Return what stands at a dotted entry ("supply.voltage", "loads.0.rating"), None where nothing does."""
        at: Any = self._document
        for step in entry.split("."):
            try:
                at = at[int(step)] if isinstance(at, list) else at[step]
            except (KeyError, IndexError, ValueError, TypeError):
                return None
        return at.unwrap() if hasattr(at, "unwrap") else at

    def set(self, entry: str, value: Any) -> None:
        """Set an entry, or take it out where the value is None; tables on the way are made, and taken out once empty."""
        if value is None:
            self._take_out(entry.split("."))
            return
        *tables, last = entry.split(".")
        at = self._table_at(tables)
        if isinstance(at.get(last), AoT):
            # In place: a list in brackets in its stead would stand among the tables and belong to the last of them.
            at[last].clear()
            for one in value:
                at[last].append(_table(one))
            return
        at[last] = _inline(value) if _is_tables(value) else value

    def append(self, name: str, values: Mapping[str, Any]) -> None:
        """Add an entry at the end of an array of tables, such as ``loads`` or ``quote.pv``; tables on the way are made."""
        *tables, last = name.split(".")
        at = self._table_at(tables)
        many = at.get(last)
        if not isinstance(many, AoT):
            at[last] = tomlkit.aot()
            many = at[last]
        many.append(_table(values))

    def remove(self, name: str, index: int) -> None:
        """Take an entry out of an array of tables, and the array and the tables on the way to it once they are empty."""
        *tables, last = name.split(".")
        at: Any = self._document
        for step in tables:
            at = at[int(step)] if isinstance(at, list) else at[step]
        many = at[last]
        del many[index]
        if not many:
            self._take_out(name.split("."))

    def done(self) -> tuple[str, JobSpec]:
        """Return the text as it is now and the job it says. Raises JobError with every wrong entry."""
        text = self.text
        return text, parsed(parse_text(text, FILE_NAME, JobError))

    def _table_at(self, steps: Sequence[str]) -> Any:
        """Return the table at some steps; tables that are not there are made."""
        at: Any = self._document
        for step in steps:
            if isinstance(at, list):
                at = at[int(step)]
                continue
            if step not in at:
                at[step] = tomlkit.table()
            at = at[step]
        return at

    def _take_out(self, steps: Sequence[str]) -> None:
        at: Any = self._document
        way: list[tuple[MutableMapping[str, Any], str]] = []
        for step in steps:
            if isinstance(at, list):
                at = at[int(step)]
                way = []
                continue
            if step not in at:
                return
            way.append((at, step))
            at = at[step]
        holder, last = way.pop()
        del holder[last]
        while way:
            holder, last = way.pop()
            if holder[last] or last in _KEPT_EMPTY or not isinstance(holder[last], Table):
                return
            del holder[last]


def _table(values: Mapping[str, Any]) -> Table:
    """Return a table of the values; those that are mappings become tables of their own, after the rest."""
    made = tomlkit.table()
    for key, value in sorted(values.items(), key=lambda one: isinstance(one[1], dict)):
        made[key] = _table(value) if isinstance(value, dict) else _inline(value) if _is_tables(value) else value
    return made


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and isinstance(value[0], Mapping)


def _inline(values: Sequence[Mapping[str, Any]]) -> Array:
    """Return a list of tables in brackets, one a line: a person reads it as what it is, wherever it stands in its table."""
    made = tomlkit.array().multiline(True)
    for one in values:
        line = tomlkit.inline_table()
        line.update(one)
        made.append(line)
    return made


def no_entry(name: str, index: int) -> JobError:
    """Return what is told where an entry that was to be changed is not there any more."""
    return JobError.one(
        "job.no-entry",
        Place(FILE_NAME, field=f"{name}[{index + 1}]"),
        found="no such entry",
        wanted="an entry of the job file",
        next_step="Load the page again; it may have been taken out meanwhile.",
    )
