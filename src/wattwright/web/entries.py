"""Entries a job may have several of, such as PV arrays or paid bills: which there are, on which page, and their forms' groups."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from wattwright.demand.year.bills import Bill
from wattwright.generation.array import Array, Losses
from wattwright.generation.string import Module, Tracker
from wattwright.job.edit import Edit
from wattwright.job.spec import PvSpec
from wattwright.job.strings_spec import StringsSpec
from wattwright.proof.measurement import AdjustmentSpec
from wattwright.supply.island.spec import Isolation
from wattwright.web.forms import Field, changes
from wattwright.web.groups import Group, Parts, whole


@dataclass(frozen=True, slots=True)
class Many:
    """Entries of one kind: id, the dotted list of the job file that holds them, page, title of one, and its specs by place."""

    id: str
    entry: str
    sheet: str
    title: str
    parts: Callable[[str], Parts]

    def group(self, at: int) -> Group:
        """The group of the entry at a place, which need not be there yet."""
        return Group(f"{self.id}-{at}", self.sheet, self.title, self.parts(f"{self.entry}.{at}"))

    def count(self, edit: Edit) -> int:
        """How many the job file holds."""
        return len(edit.value(self.entry) or ())


def _array(model: type[Array]) -> Callable[[str], Parts]:
    return lambda at: (whole(model, at), whole(Losses, f"{at}.losses"))


_ALL = (
    Many("bill", "bills", "tariff", "A paid bill", lambda at: (whole(Bill, at),)),
    Many("adjustment", "adjustments", "proof", "An adjustment both sides agreed on", lambda at: (whole(AdjustmentSpec, at),)),
    Many("pv", "pv", "supply", "A PV array that is there", _array(PvSpec)),
    Many("roof", "quote.pv", "supply", "A roof to quote PV for", _array(Array)),
    Many(
        "strings", "strings", "supply", "Strings of PV modules on one tracker",
        lambda at: (whole(StringsSpec, at), whole(Module, f"{at}.module"), whole(Tracker, f"{at}.tracker")),
    ),
    Many("isolation", "island.isolation", "supply", "Where a source is isolated", lambda at: (whole(Isolation, at),)),
)  # fmt: skip
MANY: Mapping[str, Many] = {one.id: one for one in _ALL}


def many_of(sheet: str) -> Iterable[Many]:
    """The kinds of entries that are changed on a page."""
    return (one for one in _ALL if one.sheet == sheet)


def entry_group(id_: str, edit: Edit) -> Group | None:
    """The group of an entry that is there by its id ("pv-0"), None for no such."""
    name, _, number = id_.rpartition("-")
    many = MANY.get(name)
    if many is None or not (number.isascii() and number.isdigit() and len(number) < 5 and int(number) < many.count(edit)):
        return None
    return many.group(int(number))


def made_of(fields: Iterable[Field], at: str) -> dict[str, Any]:
    """The tables of a new entry for what stands in its fields, which lie below ``at`` in the job file."""
    made: dict[str, Any] = {}
    for name, value in changes(fields, {}):
        if value is not None:
            *tables, last = name.removeprefix(f"{at}.").split(".")
            held = made
            for table in tables:
                held = held.setdefault(table, {})
            held[last] = value
    return made
