"""Which entries of a job stand together in a form, and on which page."""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from pydantic import BaseModel

from wattwright.control.rules import Shedding
from wattwright.core.errors import Fault
from wattwright.core.quantity import Phase
from wattwright.job.edit import Edit
from wattwright.job.gear_spec import GearSpec, RouteSpec
from wattwright.job.loads import KINDS, Running, SurveyedLoad, handed_on
from wattwright.job.plan_spec import PlanSpec
from wattwright.job.spec import (
    FileSpec,
    JobSpec,
    LimitSpec,
    PaperSpec,
    RepairSpec,
    SiteSpec,
    SupplySpec,
    TariffChoice,
    WeatherSpec,
)
from wattwright.proof.measurement import MeasurementSpec
from wattwright.record.spec import LayoutSpec
from wattwright.simulate.supply import Battery, Generator, Inverter
from wattwright.supply.island.spec import Carrier, IslandSpec
from wattwright.supply.sizing.spec import MoneySpec, Prices, QuoteSpec
from wattwright.web.forms import Field, changes, fields_of, filled, plain_entries, plain_label, with_faults
from wattwright.web.rows import Rows
from wattwright.web.words import words

Parts = tuple[tuple[type[BaseModel], str, tuple[str, ...]], ...]
Fit = Callable[[Field, Edit], Field]
"""Puts into a field what rests on the rest of the file, such as the names that may be chosen."""


@dataclass(frozen=True, slots=True)
class Group:
    """Entries that are changed together: id, page, title, and the specs they belong to, each with where it stands.

    An ``optional`` one is a table that a job may do without: with nothing in its fields there is none; so are those that
    stand at the places ``loose``. ``rows`` are short lists of tables, shown line below line.
    """

    id: str
    sheet: str
    title: str
    parts: Parts
    optional: bool = False
    loose: tuple[str, ...] = ()
    rows: tuple[Rows, ...] = ()
    fit: Fit | None = None

    def fields(self, edit: Edit) -> tuple[Field, ...]:
        """The fields with what the job file says."""
        bare = [
            replace(one, wanted=False) if self.optional or at in self.loose else one
            for model, at, entries in self.parts
            for one in fields_of(model, at, entries)
        ]
        lines = [field for one in self.rows for field in one.fields(edit)]
        fit = self.fit or _as_it_is
        return filled((_special(fit(one, edit)) for one in (*bare, *lines)), self.values(edit))

    def values(self, edit: Edit) -> dict[str, Any]:
        """What the job file says, by entry."""
        names = [f"{at}.{one}" if at else one for _, at, entries in self.parts for one in entries]
        found = {name: edit.value(name) for name in names}
        for one in self.rows:
            found |= one.values(edit)
        return found

    def compact(self, fields: tuple[Field, ...]) -> tuple[Field, ...]:
        """The fields as typed, lines left empty behind those that say something."""
        for one in self.rows:
            fields = one.compact(fields)
        return fields

    def written(self, fields: tuple[Field, ...], edit: Edit) -> Iterator[tuple[str, Any]]:
        """Yield entries and what they are to say, where that differs from what the file says; lines as one list."""
        lines = {field.name for one in self.rows for field in one.of(fields)}
        yield from changes((one for one in fields if one.name not in lines), self.values(edit))
        for one in self.rows:
            new = one.written(fields)
            if new != (edit.value(one.entry) or None):
                yield one.entry, new

    def told(self, fields: tuple[Field, ...], faults: Iterable[Fault]) -> tuple[tuple[Field, ...], tuple[Fault, ...]]:
        """The fields, each with what is wrong with it, and the faults that belong to none of them."""
        return with_faults(fields, faults, self._name_of)

    def _name_of(self, entry: str, fields: tuple[Field, ...]) -> str:
        for one in self.rows:
            entry = one.name_of(entry, fields)
        return entry


def _as_it_is(field: Field, _: Edit) -> Field:
    return field


def whole(model: type[BaseModel], at: str, without: Iterable[str] = ()) -> tuple[type[BaseModel], str, tuple[str, ...]]:
    """All of a spec that fields can hold, where it stands."""
    return model, at, plain_entries(model, without)


MEASURED = ("boundary", "from", "until", "after", "months", "confidence", "weather", "static_factors", "responsible", "accuracy")
_FIXED = (
    Group("job", "property", "The job", ((JobSpec, "", ("name", "place", "client")),)),
    Group("site", "property", "Where it is", ((SiteSpec, "site", ("zone", "latitude", "longitude", "country", "subdivision")),)),
    Group(
        "supply", "property", "Supply",
        ((SupplySpec, "supply", ("system", "voltage", "main_protection", "agreed_power", "power_factor")),),
    ),
    Group("limit", "property", "What the peaks are held against", ((LimitSpec, "limit", ("power", "current")),)),
    Group(
        "papers", "property", "Papers",
        ((PaperSpec, "papers", ("date", "revision", "prepared_by", "locale", "units", "paper")),),
    ),
    Group("repair", "meter-files", "Gaps", ((RepairSpec, "repair", ("gaps", "refuse")),)),
    Group("tariff", "tariff", "Which is paid", ((TariffChoice, "tariff", ("paid",)),)),
    Group("plan", "plan", "What the plan is to reach", ((PlanSpec, "plan", ("objective", "controllers")),)),
    Group(
        "shedding", "plan", "The order in which loads are shed today", (whole(Shedding, "control.shedding"),), optional=True,
    ),
    Group("weather", "plan", "Weather", ((WeatherSpec, "weather", ("file", "air", "cold_water")),)),
    Group(
        "gear", "gear", "At the board",
        ((GearSpec, "gear", ("earthing", "earth_resistance", "prospective_current", "upstream_drop", "supply_mm", "board_air")),),
    ),
    Group(
        "choice", "gear", "What is chosen from",
        ((GearSpec, "gear", ("rules", "only", "years", "board_place", "coil", "loop_impedance")),),
    ),
    Group(
        "quote", "supply", "What to quote for",
        ((QuoteSpec, "quote", ("purpose", "outage", "own_share", "peak", "battery_most", "steps")),),
    ),
    Group(
        "prices", "supply", "What parts cost",
        ((Prices, "quote.prices", ("pv_kw", "inverter_kw", "battery_kwh", "fixed", "upkeep")),),
    ),
    Group("cash", "supply", "Money over the years", (whole(MoneySpec, "quote.money"),)),
    Group(
        "inverter", "supply", "An inverter that is there, and its battery",
        (whole(Inverter, "inverter"), whole(Battery, "battery")), optional=True,
    ),
    Group("generator", "supply", "A generator that is there", (whole(Generator, "generator"),), optional=True),
    Group(
        "island", "supply", "Running without the grid",
        (whole(IslandSpec, "island"), whole(Carrier, "island.inverter"), whole(Carrier, "island.generator")),
    ),
    Group(
        "measurement", "proof", "How the saving is to be proved",
        ((MeasurementSpec, "measurement", MEASURED),),
    ),
)  # fmt: skip
LAYOUT = (
    "date_order", "stamps", "clock", "decimal", "part", "unreadable", "irregular", "step", "hold_at_most", "voltage",
    "power_factor", "turned",
)  # fmt: skip
LOAD = ("name", "kind", "rating", "quantity", "power_factor", "phase", "volume", "controllable", "interrupt", "note", "basis")


class _AnyLoad(SurveyedLoad):
    """A load of any kind, for its form."""

    kind: str


def group(id_: str) -> Group | None:
    """The group of an id: one of a fixed name, or that of a meter file or a load ("file-0", "load-2"); None for no such."""
    found = next((one for one in _FIXED if one.id == id_), None)
    name, _, number = id_.partition("-")
    if found is not None or not number.isdigit() or len(number) > 4:
        return found
    at = int(number)
    if name == "file":
        parts: Parts = ((FileSpec, f"files.{at}", ("channel",)), (LayoutSpec, f"files.{at}.layout", LAYOUT))
        return Group(id_, "meter-files", "How it is to be read", parts)
    return Group(id_, "survey", "Load", ((_AnyLoad, f"loads.{at}", LOAD),)) if name == "load" else None


def details_of(job: JobSpec, at: int) -> tuple[Group, ...]:
    """What more can be said of a load: how it behaves where it is simulated, what is asked of it, and how it is fed."""
    load = job.loads[at]
    found = []
    if load.model is not None:
        model = type(load.model)
        behaves: Parts = ((model, f"loads.{at}.model", plain_entries(model, handed_on(load.kind))),)
        asked: Parts = ((type(load.asked), f"loads.{at}.use", plain_entries(type(load.asked))),)
        found += [
            Group(f"model-{at}", "survey", "How it behaves", behaves),
            Group(f"use-{at}", "survey", "What is asked of it", asked),
        ]
    found.append(Group(f"hours-{at}", "survey", "When it runs", (), rows=(hours_rows(at),)))
    fed: Parts = ((RouteSpec, f"loads.{at}.wiring", plain_entries(RouteSpec)),)
    return tuple(one for one in (*found, Group(f"wiring-{at}", "survey", "How it is fed", fed)) if one.rows or one.parts[0][2])


def hours_rows(at: int, more: int = 2) -> Rows:
    """The lines of a load's hours, with so many empty ones behind those that are there."""
    return Rows(Running, f"loads.{at}.hours", "Hours", more=more)


def detail(id_: str, job: JobSpec) -> Group | None:
    """A group of details of a load by its id ("model-3"), None where there is no such load or nothing to say."""
    _, _, number = id_.partition("-")
    if not (number.isascii() and number.isdigit() and len(number) < 5 and int(number) < len(job.loads)):
        return None
    return next((one for one in details_of(job, int(number)) if one.id == id_), None)


def groups_of(sheet: str) -> Iterable[Group]:
    """The groups of a page that are there in every job."""
    return (one for one in _FIXED if one.sheet == sheet)


_LABELS: Mapping[str, str] = {
    "zone": "Time zone", "own_share": "Own share", "pv_kw": "PV, each kW", "inverter_kw": "Inverter, each kVA",
    "battery_kwh": "Battery, each kWh", "supply_mm": "Supply conductor, mm", "basis": "Rating is", "steps": "Sizes tried",
    "file": "Weather file", "weather": "Weather file", "part": "Which meter in the file",
    "paid": "Tariff paid today", "air": "Outdoor air", "rating": "Rating of each",
}  # fmt: skip


_IS_KIND = re.compile(r"loads\.\d+\.kind")
_IS_FACTOR_OF_FILE = re.compile(r"files\.\d+\.layout\.power_factor")
_IS_PHASE = re.compile(r"loads\.\d+\.phase")


def label_of(entry: str) -> str:
    """How the field of an entry is called on the pages, by the entry's name."""
    return _LABELS.get(entry.rpartition(".")[2], plain_label(entry))


def _special(field: Field) -> Field:
    last = field.name.rpartition(".")[2]
    named = replace(field, label=_LABELS.get(last, field.label))
    if _IS_KIND.fullmatch(field.name):
        return replace(named, kind="choice", choices=("", *KINDS))
    if _IS_PHASE.fullmatch(field.name):
        # No load hangs between all conductors together and nothing, nor on the neutral alone.
        return replace(named, choices=tuple(one for one in named.choices if one not in (Phase.TOTAL, Phase.NEUTRAL)))
    if _IS_FACTOR_OF_FILE.fullmatch(field.name):
        return replace(named, usual=words("field.factor.usual"))  # nought is how the file says that there is none
    return named
