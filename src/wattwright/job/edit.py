"""Changes of a job file as text: entries set, added and taken out, comments and order kept, the result checked."""

from collections.abc import Mapping, MutableMapping, Sequence
from typing import Any

import tomlkit
from tomlkit import TOMLDocument
from tomlkit.items import AoT, Table

from wattwright.core.errors import JobError, Place
from wattwright.core.specfile import parse_text
from wattwright.job.file import FILE_NAME, parsed
from wattwright.job.spec import JobSpec

_KEPT_EMPTY = ("site", "papers", "tariff", "repair")
"""Tables that stay when nothing is left in them: a person finds them there."""


class Edit:
    """A job file under change; ``done`` checks it and gives the text."""

    def __init__(self, text: str) -> None:
        """Take the text of a job file."""
        self._document: TOMLDocument = tomlkit.parse(text)

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
        at: Any = self._document
        for step in tables:
            if isinstance(at, list):
                at = at[int(step)]
                continue
            if step not in at:
                at[step] = tomlkit.table()
            at = at[step]
        at[last] = value

    def append(self, name: str, values: Mapping[str, Any]) -> None:
        """Add an entry at the end of an array of tables, such as ``loads`` or ``quote.pv``; tables on the way are made."""
        *tables, last = name.split(".")
        at: Any = self._document
        for step in tables:
            if step not in at:
                at[step] = tomlkit.table()
            at = at[step]
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
            at = at[step]
        many = at[last]
        del many[index]
        if not many:
            self._take_out(name.split("."))

    def done(self) -> tuple[str, JobSpec]:
        """Return the text as it is now and the job it says. Raises JobError with every wrong entry."""
        text = self.text
        return text, parsed(parse_text(text, FILE_NAME, JobError))

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
        made[key] = _table(value) if isinstance(value, dict) else value
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
