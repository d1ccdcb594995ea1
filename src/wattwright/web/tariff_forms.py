"""The forms of one tariff in full, made from the specs of a tariff file: periods, prices, fixed charges, demand, levies."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from pydantic import Field as Described

from wattwright.core.errors import InputError
from wattwright.core.fields import Spec
from wattwright.core.files import read_bytes
from wattwright.job.edit import Edit
from wattwright.tariff.schema import (
    BillingSpec,
    BlockSpec,
    ContractedSpec,
    DemandSpec,
    EnergySpec,
    EnteredSpec,
    Exact,
    ExportSpec,
    FixedSpec,
    HolidaysSpec,
    LevySpec,
    Name,
    RangeSpec,
    RatchetSpec,
    ReactiveSpec,
    RoundingSpec,
    SeasonSpec,
    TariffSpec,
    WindowSpec,
)
from wattwright.web.entries import Many
from wattwright.web.forms import Field, Form
from wattwright.web.groups import Group, Parts, whole
from wattwright.web.held import HeldJob
from wattwright.web.links import Links
from wattwright.web.rows import Rows
from wattwright.web.words import words

Place = tuple[int, int]
"""A tariff by its file and its place in the file, both from 0."""
_ONE, _RATCHET = ("price",), "ratchet"
_PER = {"energy": "/kWh", "export": "/kWh", "levy": "/kWh", "reactive": "/kvarh"}


class PeriodPrice(Spec):
    """The price of one period, as a line."""

    period: Name = Described(description="name of the period")
    price: Exact = Described(description="price per kWh in it")


@dataclass(frozen=True, slots=True)
class TariffFile:
    """A tariff file of a job under change: its path in the job, and its entries."""

    path: str
    edit: Edit


def tariff_file(job: HeldJob, file: int) -> TariffFile:
    """A tariff file by its place in the job. Raises FileError, and TariffError where it is no TOML."""
    from wattwright.core.errors import TariffError

    path = job.spec.tariff.files[file]
    text = read_bytes(job.job.inside(path)).decode("utf-8-sig", errors="replace")
    return TariffFile(path, Edit(text, path, TariffError))


def tariffs_of(job: HeldJob) -> Iterator[tuple[Place, str]]:
    """Yield each tariff of the job with its name; none of a file that cannot be read, which the page tells of."""
    for file in range(len(job.spec.tariff.files)):
        try:
            entries = tariff_file(job, file).edit.value("tariff")
        except InputError:
            continue
        for at, one in enumerate(entries if isinstance(entries, list) else ()):
            span = f" ({one['from']} – {one['to']})" if "from" in one and "to" in one else ""
            yield (file, at), f"{one.get('name', one.get('id', at + 1))}{span}"


def tariff_place(job: HeldJob, looked_at: str) -> Place | None:
    """The tariff that a text names ("0-2"), None where it names none of the job's."""
    return next((place for place, _ in tariffs_of(job) if looked_at == f"{place[0]}-{place[1]}"), None)


def tariff_groups(at: int, edit: Edit) -> tuple[Group, ...]:
    """What a tariff says once: of itself, of its periods with their prices, and of exported energy."""
    here = f"tariff.{at}"
    general: Parts = (
        (TariffSpec, here, ("id", "name", "currency", "from", "to", "basis", "source")),
        whole(BillingSpec, f"{here}.billing"), whole(RoundingSpec, f"{here}.rounding"),
        whole(ContractedSpec, f"{here}.contracted"), whole(HolidaysSpec, f"{here}.holidays"),
    )  # fmt: skip
    charges = range(len(edit.value(f"{here}.energy") or ()))
    periods: Parts = ((TariffSpec, here, ("rest",)), *((EnergySpec, f"{here}.energy.{i}", _ONE) for i in charges))
    prices = (Rows(PeriodPrice, f"{here}.energy.{i}.prices", _label(edit, f"{here}.energy.{i}"), keyed=True) for i in charges)
    rows = (Rows(WindowSpec, f"{here}.window", "Line"), *prices)
    credit = (Rows(PeriodPrice, f"{here}.export.prices", "Credit", keyed=True),)
    return (
        Group("periods", "tariff", words("tariff.periods"), periods, rows=rows, fit=_fit),
        Group(
            "export",
            "tariff",
            words("tariff.export"),
            (whole(ExportSpec, f"{here}.export"),),
            optional=True,
            rows=credit,
            fit=_fit,
        ),
        Group("general", "tariff", words("tariff.general", name=_name(edit, here)), general, fit=_fit),
    )


def tariff_entries(at: int) -> tuple[Many, ...]:
    """What a tariff may say several of."""
    here = f"tariff.{at}"

    def many(id_: str, name: str, title: str, parts: tuple[type[Spec], ...], *rows: tuple[type[Spec], str, str, bool]) -> Many:
        return Many(
            id_, f"{here}.{name}", "tariff", title,
            lambda place: tuple(whole(one, place if one is not RatchetSpec else f"{place}.{_RATCHET}") for one in parts),
            rows=lambda place: tuple(Rows(model, f"{place}.{entry}", line, keyed) for model, entry, line, keyed in rows),
            loose=(_RATCHET,), fit=_fit,
        )  # fmt: skip

    return (
        many("season", "season", "A season", (SeasonSpec,), (RangeSpec, "ranges", "Days", False)),
        many("fixed", "fixed", "A fixed charge", (FixedSpec,)),
        many(
            "energy", "energy", "A price of energy", (EnergySpec,),
            (PeriodPrice, "prices", "Period", True), (BlockSpec, "blocks", "Block", False),
        ),
        many("demand", "demand", "A charge on maximum demand", (DemandSpec, RatchetSpec)),
        many("reactive", "reactive", "A charge on reactive energy", (ReactiveSpec,)),
        many("levy", "levy", "A tax or levy", (LevySpec,)),
        many("entered", "entered", "A line known only as an amount", (EnteredSpec,)),
    )  # fmt: skip


def tariff_group(id_: str, at: int, edit: Edit) -> Group | None:
    """The group of a tariff by its id ("periods", "levy-1"), None where there is no such."""
    name, _, number = id_.rpartition("-")
    there = [one for one in tariff_groups(at, edit) if one.id == id_]
    if number.isascii() and number.isdigit() and len(number) < 5:
        there += [one.group(int(number)) for one in tariff_entries(at) if one.id == name and int(number) in one.places(edit)]
    return next(iter(there), None)


def tariff_forms(job: HeldJob, place: Place, links: Links) -> Iterator[Form]:
    """All forms of one tariff, and the way back to the others."""
    file, at = place
    edit = tariff_file(job, file).edit
    for number, one in enumerate(tariff_groups(at, edit)):
        form = tariff_form(job, place, one, edit, links)
        yield replace(form, more=((links.sheet(job.id, "tariff"), words("tariff.all")),)) if not number else form
    for many in tariff_entries(at):
        for number in many.places(edit):
            title = words("entry.title", what=many.title, number=number + 1)
            form = tariff_form(job, place, many.group(number), edit, links, title)
            told, hidden = words("entry.remove", what=title), (*_hidden(place), ("many", many.id), ("index", str(number)))
            action = links.act(job.id, "remove-tariff-entry")
            away = Form(f"remove-{many.id}-{number}", told, action, (), told, quiet=True, hidden=hidden)
            yield replace(form, beside=(away,))
        yield new_tariff_entry(job, place, many, edit, links)


def tariff_form(job: HeldJob, place: Place, one: Group, edit: Edit, links: Links, title: str = "") -> Form:
    """The form of a group of a tariff, with what its file says."""
    note = words("tariff.periods.note") if one.id == "periods" else ""
    return Form(
        one.id, title or one.title, links.act(job.id, "set-tariff"), one.fields(edit), words("do.save"), note,
        closed=one.id != "periods", hidden=(*_hidden(place), ("group", one.id)), mark=f"{one.id}.",
    )  # fmt: skip


def new_tariff_entry(job: HeldJob, place: Place, many: Many, edit: Edit, links: Links) -> Form:
    """The form of an entry that is not in the tariff yet."""
    return Form(
        f"new-{many.id}", words("entry.new", what=many.title), links.act(job.id, "add-tariff-entry"),
        many.group(many.count(edit)).fields(edit), words("do.add-entry"), closed=True,
        hidden=(*_hidden(place), ("many", many.id)), mark=f"new-{many.id}.",
    )  # fmt: skip


def _hidden(place: Place) -> tuple[tuple[str, str], ...]:
    return ("file", str(place[0])), ("entry", str(place[1]))


def _fit(field: Field, edit: Edit) -> Field:
    """A field with the names of the tariff that may be chosen, and its money in the tariff's currency."""
    steps = field.name.split(".")
    here, last = ".".join(steps[:2]), steps[-1]
    if last in ("seasons", "periods") and steps[2] in ("window", "energy", "demand"):
        known = _seasons(edit, here) if last == "seasons" else _periods(edit, here)
        return replace(field, kind="several", choices=known, usual="") if known else field
    if field.kind != "exact":
        return field
    if last in ("price", "amount"):
        money = f"{edit.value(f'{here}.currency') or ''}{_PER.get(steps[2], '') if last == 'price' else ''}"
        named = replace(field, units=(money,), unit=money)
        one = len(steps) == 5 and steps[2] == "energy"
        return replace(named, label=words("tariff.one", label=_label(edit, ".".join(steps[:4])))) if one else named
    unit = {"percent": "%", "upto_kwh": "kWh", "kw": "kW", "kva": "kVA"}.get(last)
    return replace(field, units=(unit,), unit=unit) if unit else field


def _seasons(edit: Edit, here: str) -> tuple[str, ...]:
    return tuple(str(one.get("name", "")) for one in edit.value(f"{here}.season") or ())


def _periods(edit: Edit, here: str) -> tuple[str, ...]:
    lines = [str(one.get("period", "")) for one in edit.value(f"{here}.window") or ()]
    rest = edit.value(f"{here}.rest")
    return tuple(dict.fromkeys((*lines, *([str(rest)] if rest else []))))


def _label(edit: Edit, charge: str) -> str:
    return str(edit.value(f"{charge}.label") or "")


def _name(edit: Edit, here: str) -> str:
    return str(edit.value(f"{here}.name") or edit.value(f"{here}.id") or "")
