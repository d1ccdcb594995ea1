"""The range of equipment that can be chosen from: the generic one, with the user's own beside it or instead of it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Any, TypeVar

from pydantic import Field

from wattwright.catalogue.equipment.items import Equipment, Item
from wattwright.catalogue.equipment.series import without_series
from wattwright.core.errors import Fault, InputError, quoted
from wattwright.core.fields import Spec
from wattwright.core.specfile import SpecText, parse_text, read_text, validated

Kind = TypeVar("Kind", bound=Item)


class EquipmentFile(Spec):
    """A file of equipment, its series written out."""

    currency: str = Field("", pattern=r"^([A-Z]{3})?$", description="currency of the prices, three letters of ISO 4217")
    equipment: tuple[Equipment, ...] = Field((), description="what can be ordered")


@dataclass(frozen=True, slots=True)
class Range:
    """Equipment to choose from, in the order it was written.

    ``written`` is each entry as plain data, for a spreadsheet that refers to it; ``currency`` that of each price, by id.
    """

    items: tuple[Item, ...]
    written: Mapping[str, Mapping[str, Any]]
    currency: Mapping[str, str]

    def of(self, kind: type[Kind]) -> tuple[Kind, ...]:
        """Return all equipment of one kind."""
        return tuple(one for one in self.items if isinstance(one, kind))

    def get(self, id: str) -> Item | None:
        """Return the equipment with this id, None where there is none."""
        return next((one for one in self.items if one.id == id), None)

    def with_more(self, more: "Range") -> "Range":
        """Return this range with another laid over it: an entry of the same id takes the place of ours."""
        kept = {one.id: one for one in self.items}
        kept.update({one.id: one for one in more.items})
        return Range(tuple(kept.values()), {**self.written, **more.written}, {**self.currency, **more.currency})


EMPTY = Range((), {}, {})


@lru_cache(maxsize=1)
def generic_range() -> Range:
    """Return the generic range that comes with the program: invented, no maker's product, without prices."""
    range_ = EMPTY
    for name in sorted(one.name for one in files(_GENERIC).joinpath("generic").iterdir() if one.name.endswith(".toml")):
        text = files(_GENERIC).joinpath("generic", name).read_text(encoding="utf-8")
        range_ = range_.with_more(_of(parse_text(text, name, InputError)))
    return range_


_GENERIC = "wattwright.catalogue.equipment"


def load_range(paths: Sequence[Path], *, only: bool = False) -> Range:
    """Return the generic range with the files of a user laid over it in order, or these files alone.

    TOML files hold whole entries; a spreadsheet (.xlsx, .csv) may also refer to an entry it is like. Raises FileError, or
    InputError with every fault and
    where it stands.
    """
    known = generic_range()
    range_ = EMPTY if only else known
    for path in paths:
        if path.suffix.lower() == ".toml":
            own = _of(read_text(path, InputError))
        else:
            from wattwright.catalogue.equipment.sheet import read_sheet

            own = read_sheet(path, known.with_more(range_))
        range_, known = range_.with_more(own), known.with_more(own)
    return range_


def _of(source: SpecText) -> Range:
    whole = without_series(source)
    held = validated(whole, EquipmentFile, InputError)
    faults = list(_twice(whole, held))
    if faults:
        raise InputError(faults)
    written = {str(one["id"]): one for one in whole.data["equipment"]}
    return Range(held.equipment, written, dict.fromkeys(written, held.currency))


def _twice(source: SpecText, held: EquipmentFile) -> Iterator[Fault]:
    seen: set[str] = set()
    for number, one in enumerate(held.equipment):
        if one.id in seen:
            place = source.place(("equipment", number, "id"))
            yield Fault("equipment.twice", place, quoted(one.id), "an id of its own", "Rename one of the two.")
        if one.price is not None and not held.currency:
            place = source.place(("equipment", number, "price"))
            yield Fault("equipment.currency", place, "a price", "the currency of the file", 'Write currency = "EUR" at its top.')
        seen.add(one.id)
