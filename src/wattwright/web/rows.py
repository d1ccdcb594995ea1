"""Short lists of tables within an entry, such as the times of a programme: a line of fields for each, and empty ones for more."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Any

from pydantic import BaseModel

from wattwright.job.edit import Edit
from wattwright.web.forms import Field, fields_of, plain_entries, to_write


@dataclass(frozen=True, slots=True)
class Rows:
    """A list of tables: the spec of one, the dotted entry of the list, and what a line is called.

    One that is ``keyed`` is a table of values by name in the file, each a line of name and value here; the spec has these two.
    ``more`` empty lines stand behind those that are there.
    """

    model: type[BaseModel]
    entry: str
    title: str
    keyed: bool = False
    more: int = 3

    def values(self, edit: Edit) -> dict[str, Any]:
        """What the file says, by the names of the fields."""
        return self.values_of(edit.value(self.entry) or ())

    def values_of(self, there: Any) -> dict[str, Any]:
        """What some lines say, as the file holds them, by the names of the fields."""
        key, value = plain_entries(self.model)[:2]
        lines = [{key: name, value: one} for name, one in there.items()] if self.keyed and there else there
        return {f"{self.entry}.{at}.{name}": one for at, line in enumerate(lines) for name, one in line.items()}

    def fields(self, edit: Edit) -> tuple[Field, ...]:
        """The fields of every line, the empty ones behind; none of them must be filled in, an empty line says nothing."""
        return self.fields_for(len(edit.value(self.entry) or ()) + self.more)

    def fields_for(self, lines: int) -> tuple[Field, ...]:
        """The fields of so many lines."""
        made = []
        for at in range(lines):
            for one in fields_of(self.model, f"{self.entry}.{at}", plain_entries(self.model)):
                made.append(replace(one, label=f"{self.title} {at + 1}: {one.label.lower()}", wanted=False))
        return tuple(made)

    def lines_in(self, given: Iterable[str]) -> int:
        """How many lines were sent with a form, by the names of what was sent; no more than a page can hold."""
        begins = f"{self.entry}."
        numbers = (name.removeprefix(begins).partition(".")[0] for name in given if name.startswith(begins))
        return max((int(one) + 1 for one in numbers if one.isascii() and one.isdigit() and len(one) < 3), default=0)

    def of(self, fields: Iterable[Field]) -> tuple[Field, ...]:
        """Those of the fields that belong to a line."""
        return tuple(one for one in fields if one.name.startswith(f"{self.entry}."))

    def compact(self, fields: tuple[Field, ...]) -> tuple[Field, ...]:
        """The fields, what stands in lines moved up over empty ones: the lines on the page are then those of the file."""
        own = self.of(fields)
        lines = [list(line) for _, line in groupby(own, key=self._line)]
        full = [line for line in lines if any(map(_says, line))]
        moved = {
            into.name: replace(into, value=from_.value, unit=from_.unit)
            for line, source in zip(lines, full, strict=False)
            for into, from_ in zip(line, source, strict=True)
        }
        left = {one.name: replace(one, value="") for line in lines[len(full) :] for one in line}
        return tuple({**moved, **left}.get(one.name, one) for one in fields)

    def written(self, fields: Iterable[Field]) -> list[dict[str, Any]] | dict[str, Any] | None:
        """What the file is to say for the lines, None for nothing."""
        lines = self._tables(fields)
        if not self.keyed:
            return lines or None
        key, value = plain_entries(self.model)[:2]
        return {str(one.get(key, "")): one.get(value, "") for one in lines} or None

    def name_of(self, entry: str, fields: Iterable[Field]) -> str:
        """The name of the field that an entry of the file stands in: the same, but for values by name."""
        key, value = plain_entries(self.model)[:2]
        named = (one for one in self.of(fields) if one.name.endswith(f".{key}") and entry == f"{self.entry}.{one.value.strip()}")
        line = next(named, None) if self.keyed else None
        return entry if line is None else f"{line.name.removesuffix(key)}{value}"

    def _tables(self, fields: Iterable[Field]) -> list[dict[str, Any]]:
        """The tables of the lines that say something."""
        lines = (list(line) for _, line in groupby(self.of(fields), key=self._line))
        made = ({one.name.rpartition(".")[2]: to_write(one) for one in line if _says(one)} for line in lines)
        return [one for one in made if one]

    def _line(self, field: Field) -> str:
        return field.name.removeprefix(f"{self.entry}.").partition(".")[0]


def _says(field: Field) -> bool:
    return bool(field.value.strip())
