"""Entries a job may have several of, such as PV arrays or paid bills: which there are, on which page, and their forms' groups."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, get_args

from wattwright.control.rules import Actuator, Interlock, Limit, RepeatCycle, Rule, SetPoint, SwitchTimes, TimeProgramme
from wattwright.demand.year.bills import Bill
from wattwright.generation.array import Array, Losses
from wattwright.generation.string import Module, Tracker
from wattwright.job.edit import Edit
from wattwright.job.refused import NotLoad
from wattwright.job.spec import PvSpec
from wattwright.job.strings_spec import StringsSpec
from wattwright.proof.measurement import AdjustmentSpec
from wattwright.supply.island.spec import Isolation
from wattwright.web.forms import Field
from wattwright.web.groups import Fit, Group, Parts, whole
from wattwright.web.rows import Rows
from wattwright.web.words import words


def _no_rows(_: str) -> tuple[Rows, ...]:
    return ()


@dataclass(frozen=True, slots=True)
class Many:
    """Entries of one kind: id, the dotted list of the job file that holds them, page, title of one, and its specs by place.

    Where a list holds several kinds, ``kind`` is what the entry of that name says in this one. ``rows`` are lists of tables
    within an entry by its place, ``loose`` the tables within it that may be left out, ``fit`` puts in what may be chosen.
    """

    id: str
    entry: str
    sheet: str
    title: str
    parts: Callable[[str], Parts]
    kind: str = ""
    rows: Callable[[str], tuple[Rows, ...]] = _no_rows
    loose: tuple[str, ...] = ()
    fit: Fit | None = None

    def group(self, at: int) -> Group:
        """The group of the entry at a place, which need not be there yet."""
        place = f"{self.entry}.{at}"
        loose = tuple(f"{place}.{one}" for one in self.loose)
        return Group(
            f"{self.id}-{at}", self.sheet, self.title, self.parts(place), loose=loose, rows=self.rows(place), fit=self.fit
        )

    def count(self, edit: Edit) -> int:
        """How many the list in the job file holds, of whichever kind."""
        return len(edit.value(self.entry) or ())

    def places(self, edit: Edit) -> tuple[int, ...]:
        """Where in the list those of this kind stand."""
        stands = enumerate(edit.value(self.entry) or ())
        return tuple(at for at, one in stands if not self.kind or one.get("kind") == self.kind)

    def made(self, fields: tuple[Field, ...], edit: Edit) -> dict[str, Any]:
        """The tables of a new entry for what stands in its fields."""
        at = self.count(edit)
        made: dict[str, Any] = {"kind": self.kind} if self.kind else {}
        for name, value in self.group(at).written(fields, Edit("")):
            if value is None:
                continue
            *tables, last = name.removeprefix(f"{self.entry}.{at}.").split(".")
            held = made
            for table in tables:
                held = held.setdefault(table, {})
            held[last] = value
        return made


def _array(model: type[Array]) -> Callable[[str], Parts]:
    return lambda at: (whole(model, at), whole(Losses, f"{at}.losses"))


def _of_loads(field: Field, edit: Edit) -> Field:
    """A field that names a load, as a choice of those of the survey."""
    loads = edit.value("loads") or ()
    last = field.name.rpartition(".")[2]
    if last not in ("load", "of"):
        return field
    ids, names = zip(*((str(one.get("id")), str(one.get("name"))) for one in loads), strict=True) if loads else ((), ())
    free = ("", *ids) if last == "of" else ids
    return replace(field, kind="choice", choices=free, told=(words("rule.own"), *names) if last == "of" else names)


def _rule(id_: str, title: str, model: type[Rule], rows: Callable[[str], tuple[Rows, ...]] = _no_rows) -> Many:
    kind = str(get_args(model.model_fields["kind"].annotation)[0])
    return Many(
        id_, "control.rule", "plan", title, lambda at: (whole(model, at, ("kind",)),), kind=kind, rows=rows, fit=_of_loads
    )


_ALL = (
    _rule("programme", "A time programme of today", TimeProgramme, lambda at: (Rows(SwitchTimes, f"{at}.times", "Line"),)),
    _rule("cycle", "A repeat-cycle timer of today", RepeatCycle),
    _rule("limit-rule", "A limit of today", Limit),
    _rule("set-point", "A thermostat or other set point of today", SetPoint),
    Many(
        "actuator", "control.actuator", "plan", "How a load is switched today", lambda at: (whole(Actuator, at),), fit=_of_loads,
    ),
    Many(
        "interlock", "control.interlock", "plan", "Loads that are not fed together, or not alone",
        lambda at: (whole(Interlock, at),),
    ),
    Many("not-load", "not_loads", "survey", "A load found in the readings that is none", lambda at: (whole(NotLoad, at),)),
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
    if many is None or not (number.isascii() and number.isdigit() and len(number) < 5 and int(number) in many.places(edit)):
        return None
    return many.group(int(number))
