"""Fields of forms made from the specs: what a person sees of an entry, and what the job file is to say for what was typed."""

import datetime as dt
import re
import types
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from annotated_types import Ge, Gt, Le, Lt, MaxLen
from pydantic import BaseModel, WithJsonSchema
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from wattwright.core.errors import Fault
from wattwright.core.units import EXAMPLES, bound_like
from wattwright.web.words import words

Kind = Literal["text", "number", "exact", "quantity", "choice", "several", "flag", "date", "moment", "clock", "lines"]
UNITS: Mapping[str, tuple[str, ...]] = {
    "W": ("kW", "W"), "VA": ("kVA", "VA"), "Wh": ("kWh", "Wh"), "V": ("V",), "A": ("A",), "s": ("h", "min", "s", "d"),
    "litre": ("l", "gal"), "degC": ("degC", "degF"), "delta_degC": ("K",), "m": ("m", "ft"), "m2": ("m2",), "ohm": ("ohm",),
    "1": ("%",),
}  # fmt: skip
"""Units that stand beside a field, by the unit it is held in."""
_WRITTEN_AS = {"07:30": "clock", "11-01": "day", "06:30:00": "moment"}
"""Entries that are text to the person and something else to us, by the first example of their schema."""
_TYPED_AS: Mapping[str, Kind] = {"clock": "clock", "moment": "moment"}
_MEASURES = ("kW", "W", "A", "V", "%", "degC", "degF", "")
"""Units of a value of one of several quantities; that of a load's own value is the load's."""
_HELD_IN = {example: unit for unit, example in EXAMPLES.items()}
_QUANTITY = re.compile(r"\s*([-+]?[\d.,' ]*\d[\d.,]*(?:[eE][-+]?\d+)?)\s*(.*?)\s*")
_MOST_LETTERS, _MOST_IN_LINES = 400, 8000


@dataclass(frozen=True, slots=True)
class Field:
    """A field of a form.

    `name` is the dotted entry of the job file, `label` and `help` say what it is, `usual` what is taken where it is left empty
    and which bounds hold. `value` and `unit` are what stands in it, `units` and `choices` what may be chosen, `told` how each
    choice is told where it does not speak for itself. `wanted` says that it cannot be left empty, `fault` what is wrong with it.
    Of `several` choices those taken stand in `value`, one a line.
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
    `accept` which. A `quiet` one has nothing but its button; those `beside` a form stand with it. `more` are the
    addresses where more can be said, and their words; `photos` stand above it. One that
    `asks` changes nothing, and its address can be kept. One without an `action` only leads on by what those `beside` it have
    `more`. `mark` stands before the ids of its fields, where a page has another form with fields of the same names.
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
    more: tuple[tuple[str, str], ...] = ()
    photos: tuple[Photo, ...] = ()
    asks: bool = False
    mark: str = ""


def fields_of(model: type[BaseModel], at: str, entries: Iterable[str]) -> tuple[Field, ...]:
    """The fields for some entries of a spec, which stands at a dotted entry of the job file ("supply", "loads.0", "")."""
    by_entry = {info.alias or name: info for name, info in model.model_fields.items()}
    return tuple(_field(f"{at}.{one}" if at else one, by_entry[one]) for one in entries)


def plain_label(entry: str) -> str:
    """How an entry is called that has no label of its own: the last part of its name, in words."""
    label = entry.rpartition(".")[2].replace("_", " ")
    return label[:1].upper() + label[1:]


def plain_entries(model: type[BaseModel], without: Iterable[str] = ()) -> tuple[str, ...]:
    """The entries of a spec that a field can hold: numbers, quantities, words, lists of words, choices; not lists of tables."""
    left_out, held = frozenset(without), (bool, int, float, str, Decimal, dt.date, dt.time)
    found = []
    for name, info in model.model_fields.items():
        annotation, metadata = _plain(info.annotation, list(info.metadata))
        examples = {_example(data) for data in metadata} & (_HELD_IN.keys() | _WRITTEN_AS.keys())
        is_list = _many(annotation) is not None
        known = annotation in held or _is_measure(annotation) or is_list or bool(_choices(annotation) or examples)
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
            value=_typed(one, given)[: _MOST_IN_LINES if one.kind in ("lines", "several") else _MOST_LETTERS],
            unit=given.get(f"{one.name}.unit", one.unit)[:20],
        )
        for one in fields
    )


def _typed(one: Field, given: Mapping[str, str]) -> str:
    if one.kind == "several":
        return "\n".join(choice for choice in one.choices if given.get(f"{one.name}.{choice}") == "yes")
    return given.get(one.name, "")


def _same_name(entry: str, _: tuple[Field, ...]) -> str:
    return entry


def with_faults(
    fields: Iterable[Field], faults: Iterable[Fault], name_of: Callable[[str, tuple[Field, ...]], str] = _same_name
) -> tuple[tuple[Field, ...], tuple[Fault, ...]]:
    """The fields, each with what is wrong with it, and the faults that belong to none of them.

    ``name_of`` names the field in which an entry of the file stands, where that is not the entry itself.
    """
    fields, left, made = tuple(fields), list(faults), []
    for one in fields:
        own = [fault for fault in left if _is_at(name_of(entry_of(fault.place.field), fields), one)]
        left = [fault for fault in left if fault not in own]
        made.append(replace(one, fault=" ".join(told(fault) for fault in own)))
    return tuple(made), tuple(left)


_LACKS = ("spec.missing", "spec.union_tag_not_found")
_NO_TIME = ("spec.time_type", "spec.time_parsing")


def told(fault: Fault) -> str:
    """What is wrong with a field: of one that was left empty not how a file would say it."""
    if fault.code in _LACKS:
        return words("field.needed")
    if fault.code in _NO_TIME:
        return words("field.no-time", wanted=fault.wanted)
    return f"Expected {fault.wanted}. {_step(fault)}".strip()


def _step(fault: Fault) -> str:
    """What to do, unless that is how a file is written: whoever fills in a field writes no quotes."""
    return "" if " in quotes" in fault.next_step else fault.next_step


def _is_at(entry: str, field: Field) -> bool:
    """Whether an entry is that of a field, or one of the list that stands in it."""
    return entry == field.name or (field.kind in ("lines", "several") and entry.startswith(f"{field.name}."))


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
    if _is_yes_or_no(field):
        return text == "yes"
    if field.kind == "moment" and field.name.endswith(".until") and text in ("24:00", "24:00:00"):
        return dt.time(0)  # the end of a day, which a file writes as the beginning of the next
    return _READ[field.kind](text, field.unit) if field.kind in _READ else text


def _read_by(read: Callable[[str], Any]) -> Callable[[str, str], Any]:
    """What reads a text, which stays as it is where that cannot be done."""

    def reading(text: str, _: str) -> Any:
        try:
            return read(text)
        except ValueError:
            return text

    return reading


def _lines(text: str, _: str) -> list[Any]:
    return [_whole_number(line.strip()) for line in text.splitlines() if line.strip()]


def _whole_number(text: str) -> Any:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 5 else text


def _two_digits(text: str) -> str:
    """An hour as a person types it with two digits, as a file has it."""
    return f"0{text}" if text[1:2] == ":" else text


_READ: Mapping[str, Callable[[str, str], Any]] = {
    "lines": lambda text, _: [line.strip() for line in text.splitlines() if line.strip()],
    "several": _lines,
    "quantity": lambda text, unit: f"{text} {unit}" if unit else _number(text),
    "number": lambda text, _: _number(text),
    "exact": lambda text, _: text.replace(",", ".") if text.count(",") == 1 and "." not in text else text,
    "date": _read_by(dt.date.fromisoformat),
    "moment": _read_by(lambda text: dt.time.fromisoformat(_two_digits(text))),
    "clock": lambda text, _: _two_digits(text),
}


def changes(fields: Iterable[Field], values: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """Yield entries and what they are to say, where that differs from what the job file says."""
    for one in fields:
        new, old = to_write(one), values.get(one.name)
        same = new == old or (old is None and new is False and one.kind == "flag") or (new is None and old in ("", []))
        same = same or (one.kind == "exact" and new is not None and new == str(old))
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
    if field.kind in ("lines", "several"):
        there = [str(one) for one in value]
        choices = (*field.choices, *(one for one in there if one not in field.choices)) if field.kind == "several" else ()
        return replace(field, value="\n".join(there), choices=choices)
    if isinstance(value, dt.time) and not value.second:
        return replace(field, value=value.isoformat("minutes"))
    return replace(field, value=str(value))


def _field(name: str, info: FieldInfo) -> Field:
    annotation, metadata = _plain(info.annotation, list(info.metadata))
    wanted = info.is_required()
    one = Field(name, plain_label(name), info.description or "", "text", wanted=wanted)
    unit = next((_HELD_IN[str(_example(data))] for data in metadata if _example(data) in _HELD_IN), "")
    usual = "" if wanted or info.default in (None, "", (), PydanticUndefined) else str(info.default)
    if unit:
        begins = _first_unit(UNITS[unit], info.default)
        return replace(one, kind="quantity", units=UNITS[unit], unit=begins, usual=_bounds(metadata, UNITS[unit]))
    choices = _choices(annotation)
    if choices:
        open_ = () if wanted or usual or "" in choices else ("",)
        return replace(one, kind="choice", choices=(*open_, *choices), usual=usual)
    if annotation is bool and info.default is not False:
        usual = "yes" if info.default is True else ""
        return replace(one, kind="choice", choices=("yes", "no") if usual else ("", "yes", "no"), usual=usual)
    if annotation is bool:
        return replace(one, kind="flag")
    several = _many(annotation)
    if several is not None:
        every = words("field.none-ticked") if several and info.default == several else ""
        return replace(one, kind="several" if several else "lines", choices=several, usual=every if several else "one a line")
    if _is_measure(annotation):
        return replace(one, kind="quantity", units=_MEASURES, unit=_MEASURES[0])
    if annotation is dt.time:
        return replace(one, kind="moment", usual="" if wanted else f"{info.default:%H:%M} if left empty")
    written = next((_WRITTEN_AS[example] for data in metadata if (example := _example(data)) in _WRITTEN_AS), "")
    if written:
        told_as = "" if not usual else f"{int(usual) // 60:02d}:{int(usual) % 60:02d} if left empty"
        return replace(one, kind=_TYPED_AS.get(written, "text"), usual=told_as)
    if annotation in (int, float, Decimal):
        kind: Kind = "exact" if annotation is Decimal else "number"
        told = [f"{usual} if left empty"] if usual else []
        return replace(one, kind=kind, usual=", ".join((*told, *filter(None, [_bounds(metadata, ())]))))
    return replace(one, kind="date" if annotation is dt.date else "text", usual=f"{usual} if left empty" if usual else "")


def _first_unit(units: tuple[str, ...], default: Any) -> str:
    """The unit a field begins with: of times the one its usual value is told in, seconds for delays that are nought."""
    if "h" not in units:
        return units[0]
    usual = 60.0 if default is PydanticUndefined else default or 0.0
    return "h" if usual >= 3600 else "min" if usual >= 60 else "s"


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


def _is_measure(annotation: Any) -> bool:
    """Whether an entry is a value of one of several quantities: a text with its unit, or a plain number."""
    return get_origin(annotation) in (Union, types.UnionType) and set(get_args(annotation)) == {str, float}


def _many(annotation: Any) -> tuple[str, ...] | None:
    """What may be chosen where an entry is a list of choices, nothing for one of free words, None where it is no such list."""
    inner = get_args(annotation) if get_origin(annotation) is tuple else ()
    if not inner:
        return None
    one, metadata = _plain(inner[0], [])
    if one is int:
        low, high = (next((getattr(data, name) for data in _flat(metadata) if isinstance(data, kind)), None)
                     for name, kind in (("ge", Ge), ("le", Le)))  # fmt: skip
        return None if low is None or high is None else tuple(str(i) for i in range(low, high + 1))
    return _choices(one) if _choices(one) else () if one is str else None


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
                told.append(f"{word} {_bound(bound, units)}")
    return ", ".join(told)


@lru_cache(maxsize=4096)
def _bound(bound: float, units: tuple[str, ...]) -> str:
    """A bound in the unit that says it shortest; kept, since every page asks for the same ones and units take long to turn."""
    written = [bound_like(f"1 {one}", bound) for one in units[: None if bound else 1]] or [f"{bound:,.10g}"]
    return min(written, key=lambda one: ("e+" in one, len(one)))


def _flat(metadata: Iterable[Any]) -> Iterator[Any]:
    for data in metadata:
        if isinstance(data, FieldInfo):
            yield from _flat(data.metadata)
        elif not isinstance(data, MaxLen):
            yield data
