"""Fields of forms made from the specs: what a person sees of an entry, and what the job file is to say for what was typed."""

import datetime as dt
import re
import types
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from annotated_types import Ge, Gt, Le, Lt, MaxLen
from pydantic import BaseModel, WithJsonSchema
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from wattwright.core.errors import Fault
from wattwright.core.units import EXAMPLES, bound_like

Kind = Literal["text", "number", "quantity", "choice", "flag", "date", "lines"]
UNITS: Mapping[str, tuple[str, ...]] = {
    "W": ("kW", "W"), "VA": ("kVA", "VA"), "Wh": ("kWh", "Wh"), "V": ("V",), "A": ("A",), "s": ("h", "min", "s", "d"),
    "litre": ("l", "gal"), "degC": ("degC", "degF"), "delta_degC": ("K",), "m": ("m", "ft"), "m2": ("m2",), "ohm": ("ohm",),
    "1": ("%",),
}  # fmt: skip
"""Units that stand beside a field, by the unit it is held in."""
_LINES = tuple[str, ...]
_HELD_IN = {example: unit for unit, example in EXAMPLES.items()}
_QUANTITY = re.compile(r"\s*([-+]?[\d.,' ]*\d[\d.,]*(?:[eE][-+]?\d+)?)\s*(.*?)\s*")
_MOST_LETTERS, _MOST_IN_LINES = 400, 8000


@dataclass(frozen=True, slots=True)
class Field:
    """A field of a form.

    `name` is the dotted entry of the job file, `label` and `help` say what it is, `usual` what is taken where it is left empty
    and which bounds hold. `value` and `unit` are what stands in it, `units` and `choices` what may be chosen, `told` how each
    choice is told where it does not speak for itself. `wanted` says that it cannot be left empty, `fault` what is wrong with it.
    """

    name: str
    label: str
    help: str
    kind: Kind
    usual: str = ""
    value: str = ""
    unit: str = ""
    units: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()
    told: tuple[str, ...] = ()
    wanted: bool = False
    fault: str = ""


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo that stands with a form: its address, what it shows in words, and the form that takes it out."""

    address: str
    alt: str
    away: "Form"


@dataclass(frozen=True, slots=True)
class Form:
    """A form: its id on the page, title, where it is sent, its fields, the words of its button, a note, whether it begins closed.

    `hidden` are values that are sent along; `files` are the words for files that it takes, `many` says that it takes several,
    `accept` which. A `quiet` one has nothing but its button; those `beside` a form stand with it. `more` is the
    address where more can be said, and its words; `photos` stand above it. One that
    `asks` changes nothing, and its address can be kept.
    """

    id: str
    title: str
    action: str
    fields: tuple[Field, ...]
    button: str
    note: str = ""
    closed: bool = False
    hidden: tuple[tuple[str, str], ...] = ()
    files: str = ""
    many: bool = False
    accept: str = ""
    quiet: bool = False
    beside: "tuple[Form, ...]" = ()
    more: tuple[str, str] | None = None
    photos: tuple[Photo, ...] = ()
    asks: bool = False


def fields_of(model: type[BaseModel], at: str, entries: Iterable[str]) -> tuple[Field, ...]:
    """The fields for some entries of a spec, which stands at a dotted entry of the job file ("supply", "loads.0", "")."""
    by_entry = {info.alias or name: info for name, info in model.model_fields.items()}
    return tuple(_field(f"{at}.{one}" if at else one, by_entry[one]) for one in entries)


def plain_entries(model: type[BaseModel], without: Iterable[str] = ()) -> tuple[str, ...]:
    """The entries of a spec that a field can hold: numbers, quantities, words, lists of words, choices; not lists of tables."""
    left_out, held = frozenset(without), (bool, int, float, str, Decimal, dt.date)
    found = []
    for name, info in model.model_fields.items():
        annotation, metadata = _plain(info.annotation, list(info.metadata))
        known = (
            annotation in held
            or annotation == _LINES
            or bool(_choices(annotation))
            or any(_example(data) in _HELD_IN for data in metadata)
        )
        if known and (info.alias or name) not in left_out:
            found.append(info.alias or name)
    return tuple(found)


def filled(fields: Iterable[Field], values: Mapping[str, Any]) -> tuple[Field, ...]:
    """The fields with what the job file says, None for nothing."""
    return tuple(_with_value(one, values.get(one.name)) for one in fields)


def typed(fields: Iterable[Field], given: Mapping[str, str]) -> tuple[Field, ...]:
    """The fields with what a person typed, as it was typed."""
    return tuple(
        replace(
            one,
            value=given.get(one.name, "")[: _MOST_IN_LINES if one.kind == "lines" else _MOST_LETTERS],
            unit=given.get(f"{one.name}.unit", one.unit)[:20],
        )
        for one in fields
    )


def with_faults(fields: Iterable[Field], faults: Iterable[Fault]) -> tuple[tuple[Field, ...], tuple[Fault, ...]]:
    """The fields, each with what is wrong with it, and the faults that belong to none of them."""
    left = list(faults)
    made = []
    for one in fields:
        own = [fault for fault in left if entry_of(fault.place.field) == one.name]
        left = [fault for fault in left if fault not in own]
        told = " ".join(f"Expected {fault.wanted}. {fault.next_step}".strip() for fault in own)
        made.append(replace(one, fault=told))
    return tuple(made), tuple(left)


def entry_of(field: str) -> str:
    """The dotted entry of a place in a job file: "loads[2].rating" stands for loads.1.rating."""
    return re.sub(r"\[(\d+)\]", lambda found: f".{int(found[1]) - 1}", field)


def to_write(field: Field) -> Any:
    """What the job file is to say for a field, None for nothing; what cannot be read stays as it is, to be refused."""
    text = field.value.strip()
    if field.kind == "flag":
        return text == "yes"
    if not text:
        return None
    if field.kind == "lines":
        return [line.strip() for line in text.splitlines() if line.strip()]
    if field.kind == "quantity":
        return f"{text} {field.unit}".strip()
    if field.kind == "number":
        return _number(text)
    if _is_yes_or_no(field):
        return text == "yes"
    if field.kind == "date":
        try:
            return dt.date.fromisoformat(text)
        except ValueError:
            return text
    return text


def changes(fields: Iterable[Field], values: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """Yield entries and what they are to say, where that differs from what the job file says."""
    for one in fields:
        new, old = to_write(one), values.get(one.name)
        same = new == old or (old is None and new is False) or (new is None and old == "")
        if not same and not _is_default(one, new, old):
            yield one.name, new


def _is_default(field: Field, new: Any, old: Any) -> bool:
    """Whether a choice that was never written is left at what it is without being written."""
    return field.kind == "choice" and old is None and field.value == field.usual


def _is_yes_or_no(field: Field) -> bool:
    return field.kind == "choice" and set(field.choices) - {""} == {"yes", "no"}


def _number(text: str) -> Any:
    plain = text.replace("\u2212", "-").replace(",", ".") if text.count(",") == 1 and "." not in text else text
    for read in (int, float):
        try:
            return read(plain)
        except ValueError:
            continue
    return text


def _with_value(field: Field, value: Any) -> Field:
    if value is None:
        # A choice shows what is taken where nothing is written.
        return replace(field, value=field.usual if field.kind == "choice" else "")
    if field.kind == "flag":
        return replace(field, value="yes" if value else "")
    if field.kind == "quantity":
        found = _QUANTITY.fullmatch(str(value))
        number, unit = (found[1], found[2]) if found else (str(value), field.unit)
        return replace(field, value=number, unit=unit, units=tuple(dict.fromkeys((*field.units, unit))))
    if _is_yes_or_no(field):
        return replace(field, value="yes" if value else "no")
    if field.kind == "lines":
        return replace(field, value="\n".join(str(one) for one in value))
    return replace(field, value=str(value))


def _field(name: str, info: FieldInfo) -> Field:
    annotation, metadata = _plain(info.annotation, list(info.metadata))
    label = name.rpartition(".")[2].replace("_", " ")
    wanted = info.is_required()
    one = Field(name, label[:1].upper() + label[1:], info.description or "", "text", wanted=wanted)
    unit = next((_HELD_IN[str(_example(data))] for data in metadata if _example(data) in _HELD_IN), "")
    usual = "" if wanted or info.default in (None, "", (), PydanticUndefined) else str(info.default)
    if unit:
        return replace(one, kind="quantity", units=UNITS[unit], unit=UNITS[unit][0], usual=_bounds(metadata, UNITS[unit]))
    choices = _choices(annotation)
    if choices:
        open_ = () if wanted or usual or "" in choices else ("",)
        return replace(one, kind="choice", choices=(*open_, *choices), usual=usual)
    if annotation is bool and info.default is not False:
        usual = "yes" if info.default is True else ""
        return replace(one, kind="choice", choices=("yes", "no") if usual else ("", "yes", "no"), usual=usual)
    if annotation is bool:
        return replace(one, kind="flag")
    if annotation == _LINES:
        return replace(one, kind="lines", usual="one a line")
    if annotation in (int, float, Decimal):
        kind: Kind = "text" if annotation is Decimal else "number"
        told = [f"{usual} if left empty"] if usual else []
        return replace(one, kind=kind, usual=", ".join((*told, *filter(None, [_bounds(metadata, ())]))))
    return replace(one, kind="date" if annotation is dt.date else "text", usual=f"{usual} if left empty" if usual else "")


def _plain(annotation: Any, metadata: list[Any]) -> tuple[Any, list[Any]]:
    """A type without its optional and annotated shells, with all that the shells say."""
    while True:
        origin = get_origin(annotation)
        if origin is Annotated:
            annotation, *more = get_args(annotation)
            metadata += more
        elif origin in (Union, types.UnionType):
            inner = [one for one in get_args(annotation) if one is not type(None)]
            if len(inner) != 1:
                return annotation, metadata
            annotation = inner[0]
        else:
            return annotation, metadata


def _example(data: Any) -> Any:
    schema = data.json_schema if isinstance(data, WithJsonSchema) else None
    examples = (schema or {}).get("examples") or [None]
    return examples[0]


def _choices(annotation: Any) -> tuple[str, ...]:
    if get_origin(annotation) is Literal:
        return tuple(str(one) for one in get_args(annotation))
    if isinstance(annotation, type) and issubclass(annotation, StrEnum):
        return tuple(annotation)
    return ()


def _bounds(metadata: Iterable[Any], units: tuple[str, ...]) -> str:
    """The bounds in words, each in the unit beside the field that says it shortest; of letters none: the field holds them."""
    words = {Ge: "at least", Gt: "above", Le: "at most", Lt: "below"}
    told = []
    for data in _flat(metadata):
        for kind, word in words.items():
            if isinstance(data, kind):
                bound = next(iter(vars(data).values())) if hasattr(data, "__dict__") else getattr(data, kind.__name__.lower())
                written = [bound_like(f"1 {one}", bound) for one in units[: None if bound else 1]] or [f"{bound:,.10g}"]
                told.append(f"{word} {min(written, key=lambda one: ('e+' in one, len(one)))}")
    return ", ".join(told)


def _flat(metadata: Iterable[Any]) -> Iterator[Any]:
    for data in metadata:
        if isinstance(data, FieldInfo):
            yield from _flat(data.metadata)
        elif not isinstance(data, MaxLen):
            yield data
