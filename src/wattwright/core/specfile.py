"""TOML files a person writes: read with the line of every entry, so that each fault says where it stands.

All faults of a file are reported together, each with file, line, field, what was found, what was wanted and a suggestion.
"""

import difflib
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from wattwright.core.errors import Fault, InputError, Place, quoted
from wattwright.core.files import read_bytes
from wattwright.core.toml_words import in_our_words
from wattwright.core.units import bound_like

Model = TypeVar("Model", bound=BaseModel)
Path_ = tuple[str | int, ...]
_LEAST, _MOST = 1e-12, 1e12
"""Numbers of a property lie between, in the units we hold: beyond them a unit or an exponent is a slip."""
_MOST_PARTS = 32
_LONG_KEY = re.compile(rf"""(?<![\w-])(?:(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){{{_MOST_PARTS},}}""")
"""More parts of a dotted key than any entry of ours has: five is the most."""


@dataclass(frozen=True, slots=True)
class SpecText:
    """A TOML text with its plain data and the line (from 1) of every table, array element and key."""

    name: str
    text: str
    data: dict[str, Any]
    lines: Mapping[Path_, int]

    def line_of(self, path: Path_) -> int | None:
        """Return the line of the entry at ``path``, or of the nearest thing that holds it."""
        for length in range(len(path), 0, -1):
            if path[:length] in self.lines:
                return self.lines[path[:length]]
        return None

    def place(self, path: Path_) -> Place:
        """Return where the entry at ``path`` stands: file, line, dotted field name."""
        return Place(self.name, self.line_of(path), field=dotted(path))


def dotted(path: Path_) -> str:
    """Return ``path`` as a person would say it: ``loads[2].rating``, elements counted from 1."""
    text = ""
    for part in path:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if text else part
    return text


def read_text(path: Path, error: type[InputError]) -> SpecText:
    """Return the TOML file at ``path`` with its lines; raises FileError, or ``error`` when it is not UTF-8 TOML."""
    content = read_bytes(path)
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as wrong:
        line = content[: wrong.start].count(b"\n") + 1
        raise error.one(
            "spec.encoding",
            Place(str(path), line),
            found=f"the byte 0x{content[wrong.start]:02X}",
            wanted="text in UTF-8",
            next_step="Save the file again as UTF-8.",
        ) from wrong
    return parse_text(text, str(path), error)


def parse_text(text: str, name: str, error: type[InputError]) -> SpecText:
    """Return the TOML in ``text``, called ``name`` in messages, with its lines; raises ``error`` when it is not TOML."""
    require_short_keys(text, name, error)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as wrong:
        raise _not_toml(text, name, error, str(wrong)) from wrong
    except (RecursionError, ValueError) as wrong:
        # Thousands of brackets within one another, or a number of thousands of digits: no person writes either.
        raise _not_toml(text, name, error, "Lists nested too deep or a number too long to be meant") from wrong
    return SpecText(name, text, data, _Lines(text))


def require_short_keys(text: str, name: str, error: type[InputError]) -> None:
    """Raise ``error`` where a key has more parts than a person writes: to read one takes memory as their square."""
    found = _LONG_KEY.search(text)
    if found is not None:
        line = text.count("\n", 0, found.start()) + 1
        raise _not_toml(text, name, error, f"A key of more parts than are meant (at line {line}, column 1)")


def _not_toml(text: str, name: str, error: type[InputError], message: str) -> InputError:
    what, _, where = message.partition(" (at line ")
    line = int(where.partition(",")[0]) if where else text.count("\n") + 1
    rows = text.split("\n")  # as TOML counts lines: other line separators may stand inside a text
    found = quoted(rows[line - 1].strip()) if where else "the end of the file"
    wanted, step = in_our_words(what)
    return error.one("spec.toml", Place(name, line), found=found, wanted=wanted, next_step=step)


def validated(source: SpecText, model: type[Model], error: type[InputError], *, of_code: bool = False) -> Model:
    """Return ``source`` as a ``model``; raises ``error`` with every fault found.

    Entries are known by the names of the schema alone; data that we put together ``of_code`` by those of its fields too.
    """
    try:
        made = model.model_validate(source.data, by_alias=True, by_name=of_code)
    except ValidationError as wrong:
        details = wrong.errors(include_url=False)
        faults = [_fault(source, model, detail) for detail in details if not _follows(detail, details)]
        raise error(in_order(faults)) from wrong
    beyond = list(_beyond_reason(made, ()))
    if beyond:
        raise error(in_order([_of_no_size(source, path) for path in beyond]))
    return made


def _beyond_reason(value: Any, path: Path_) -> Iterator[Path_]:
    """Yield where a number stands that no property has, in the units we hold."""
    if isinstance(value, BaseModel):
        fields = type(value).model_fields
        for name in value.model_fields_set:
            yield from _beyond_reason(getattr(value, name), (*path, fields[name].alias or name))
    elif isinstance(value, Mapping):
        for key, one in value.items():
            yield from _beyond_reason(one, (*path, key))
    elif isinstance(value, (tuple, list)):
        for at, one in enumerate(value):
            yield from _beyond_reason(one, (*path, at))
    elif isinstance(value, (float, int, Decimal)) and value:
        size: Any = abs(value)  # integers may be longer than any float
        if not _LEAST <= size <= _MOST:
            yield path


def _of_no_size(source: SpecText, path: Path_) -> Fault:
    found = _shown(_written(source.data, path))
    wanted = "nought, or a number between a billionth of a thousandth and a million of millions of its unit"
    return Fault("spec.size", source.place(path), found, wanted, "Write the number with the unit it is meant in.", {})


def _follows(detail: ErrorDetails, details: list[ErrorDetails]) -> bool:
    """Return whether a list is only called too short because the elements it has are themselves wrong."""
    place = detail["loc"]
    inner = [one for one in details if len(one["loc"]) > len(place) and one["loc"][: len(place)] == place]
    return detail["type"] == "too_short" and bool(inner)


def in_order(faults: Iterable[Fault]) -> list[Fault]:
    """Return faults in the order of the lines they stand on."""
    return sorted(faults, key=lambda fault: fault.place.line or 0)


def _fault(source: SpecText, model: type[BaseModel], detail: ErrorDetails) -> Fault:
    kind = detail["type"]
    path = _in_file(source.data, detail["loc"], lacks=kind == "missing")
    written = None if kind == "missing" else _written(source.data, path)
    context = _in_written_units(detail, written)
    # A number that was read already is shown as the person wrote it, with its unit.
    is_read = isinstance(detail["input"], float) and isinstance(written, str)
    found = "nothing" if kind == "missing" else _shown(written if is_read else detail["input"])
    step = ""
    if kind == "extra_forbidden":
        known = _known_fields(model, path[:-1], source.data)
        found, wanted = f'the entry "{path[-1]}"', "one of " + ", ".join(sorted(known)) if known else "no such entry"
        step = _nearest(str(path[-1]), known, "Did you mean {}?", "Remove it, or look the name up.")
    elif kind == "missing":
        wanted, step = f'an entry "{path[-1]}"', "Add it."
    elif kind in ("enum", "literal_error"):
        options = [one for part in str(context["expected"]).replace(" or ", ", ").split(",") if (one := part.strip(" '"))]
        wanted = "one of " + ", ".join(options)
        step = _nearest(str(detail["input"]), options, "Did you mean {}?", "")
    elif kind in ("union_tag_invalid", "union_tag_not_found"):
        # Of several kinds of table none is meant: the entry that says which is what is wrong.
        name = str(context["discriminator"]).strip("'")
        path, options = (*path, name), [one.strip("' ") for one in str(context.get("expected_tags", "")).split(",")]
        given = detail["input"].get(name) if isinstance(detail["input"], dict) else None
        found = "nothing" if given is None else _shown(given)
        wanted = "one of " + ", ".join(options) if given is not None else f'an entry "{name}"'
        step = "Add it." if given is None else _nearest(str(given), options, "Did you mean {}?", "")
    elif kind in ("value_error", "assertion_error"):
        wanted, _, step = str(context["error"]).partition("|")
    else:
        plain = detail["msg"].removeprefix("Input should be ")
        wanted = _WANTED[kind].format(**context) if kind in _WANTED else plain[:1].lower() + plain[1:]
    return Fault(f"spec.{kind}", source.place(path), found, wanted, step, {})


def _written(given: Any, path: Path_) -> Any:
    """Return what a person wrote at ``path`` of ``given``."""
    for step in path:
        given = given[step]
    return given


def _in_written_units(detail: ErrorDetails, given: Any) -> dict[str, Any]:
    """Return the context of a fault, its bounds in the unit that the person wrote in ``given``."""
    context = dict(detail.get("ctx", {}))
    for name in _BOUNDS & context.keys() if isinstance(given, str) else ():
        if isinstance(context[name], int | float):
            context[name] = bound_like(given, context[name])
    return context


_BOUNDS = {"gt", "ge", "lt", "le"}
_WANTED = {
    "greater_than": "a value greater than {gt}",
    "greater_than_equal": "a value of at least {ge}",
    "less_than": "a value less than {lt}",
    "less_than_equal": "a value of at most {le}",
    "string_type": "text in quotes",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "float_parsing": "a number",
    "int_parsing": "a whole number",
    "bool_type": "true or false",
    "bool_parsing": "true or false",
    "list_type": "a list in square brackets",
    "tuple_type": "a list in square brackets",
    "dict_type": "a table",
    "model_type": "a table",
    "date_type": "a date such as 2025-03-31",
    "date_from_datetime_parsing": "a date such as 2025-03-31",
    "date_parsing": "a date such as 2025-03-31",
    "time_type": "a time such as 07:30",
    "time_parsing": "a time such as 07:30",
    "decimal_type": 'a number, best in quotes, such as "0.1642"',
    "decimal_parsing": 'a number with a decimal point, best in quotes, such as "0.1642"',
    "timezone_naive": "a time on the site's clock without an offset, such as 2025-07-12T18:00:00",
    "finite_number": "a finite number",
    "too_short": "at least {min_length} of them",
    "too_long": "at most {max_length} of them",
    "string_too_short": "text of at least {min_length} characters",
    "string_too_long": "text of at most {max_length} characters",
    "string_pattern_mismatch": "text of the form {pattern}",
}


def _shown(value: object) -> str:
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return f"a list of {len(value)}"
    return str(value).lower() if isinstance(value, bool) else str(value)


def _nearest(given: str, known: list[str], near: str, otherwise: str) -> str:
    match = difflib.get_close_matches(given, known, n=1, cutoff=0.6)
    return near.format(match[0]) if match else otherwise


def _in_file(data: Any, loc: Path_, *, lacks: bool) -> Path_:
    """Return ``loc`` without the steps pydantic adds for unions and validators, which do not stand in the file.

    With ``lacks`` its last step is an entry that should stand there.
    """
    path: list[str | int] = []
    for index, step in enumerate(loc):
        in_list = isinstance(data, list) and isinstance(step, int) and step < len(data)
        if in_list or (isinstance(data, dict) and step in data):
            data = data[step]
        elif not lacks or index < len(loc) - 1 or not isinstance(step, str) or not isinstance(data, dict):
            continue
        path.append(step)
    return tuple(path)


def _known_fields(model: type[BaseModel], path: Path_, data: Any) -> list[str]:
    """Return the names a person may write in the table at ``path`` of ``data``, by walking the model's JSON schema.

    Of several kinds of table only those are meant whose entry that says which agrees with what is written.
    """
    schema = _schema(model)
    definitions = schema.get("$defs", {})
    nodes = [schema]
    for step in path:
        nodes = [child for node in nodes for child in _children(node, step, definitions)]
        data = data[step]
        nodes = [node for node in nodes if _is_meant(node, data)] or nodes
    names = [name for node in nodes for name in _resolve(node, definitions).get("properties", {})]
    return list(dict.fromkeys(names))


@lru_cache(maxsize=16)
def _schema(model: type[BaseModel]) -> dict[str, Any]:
    """Return the schema of a model, made once: a file of a few hundred unknown entries asks for it at each of them."""
    return model.model_json_schema(by_alias=True)


def _is_meant(node: dict[str, Any], data: Any) -> bool:
    """Return whether what stands in ``data`` can be a table of this kind, by the entries that have few possible values."""
    for name, one in node.get("properties", {}).items() if isinstance(data, dict) else ():
        options = one.get("enum", [one["const"]] if "const" in one else [])
        if options and isinstance(data.get(name), str) and data[name] not in options:
            return False
    return True


def _resolve(node: dict[str, Any], definitions: dict[str, Any]) -> dict[str, Any]:
    reference = node.get("$ref", "").rpartition("/")[2]
    return definitions[reference] if reference else node


def _children(node: dict[str, Any], step: str | int, definitions: dict[str, Any]) -> Iterator[dict[str, Any]]:
    node = _resolve(node, definitions)
    for option in node.get("anyOf", node.get("oneOf", [node])):
        plain = _resolve(option, definitions)
        child = plain.get("items") if isinstance(step, int) else plain.get("properties", {}).get(step)
        child = child if child is not None else plain.get("additionalProperties")
        if isinstance(child, dict):
            resolved = _resolve(child, definitions)
            yield from (_resolve(o, definitions) for o in resolved.get("anyOf", resolved.get("oneOf", [resolved])))


class _Lines(Mapping[Path_, int]):
    """The line of every entry of a text, looked up when the first is asked for: of a sound file none is, and it takes longest."""

    def __init__(self, text: str) -> None:
        self._text = text
        self._found: dict[Path_, int] | None = None

    def _lines(self) -> dict[Path_, int]:
        if self._found is None:
            self._found = _lines(self._text)
        return self._found

    def __getitem__(self, path: Path_) -> int:
        return self._lines()[path]

    def __iter__(self) -> Iterator[Path_]:
        return iter(self._lines())

    def __len__(self) -> int:
        return len(self._lines())


def _lines(text: str) -> dict[Path_, int]:
    import tree_sitter_toml
    from tree_sitter import Language, Parser

    root = Parser(Language(tree_sitter_toml.language())).parse(text.encode()).root_node
    found: dict[Path_, int] = {}
    counts: dict[Path_, int] = {}
    for node in root.named_children:
        if node.type in ("table", "table_array_element"):
            path = _header(node, counts)
            line = node.start_point[0] + 1
            # [site.roof] opens "site" too, where that has no header of its own.
            for length in range(1, len(path)):
                found.setdefault(path[:length], line)
            found[path] = line
            _pairs(node, path, found)
        elif node.type == "pair":
            _pair(node, (), found)
    return found


def _header(node: Any, counts: dict[Path_, int]) -> Path_:
    """Return the path a table header opens; inside arrays of tables it belongs to their last element."""
    path: Path_ = ()
    keys = _keys(node.named_children[0])
    for index, key in enumerate(keys):
        path += (key,)
        if node.type == "table_array_element" and index == len(keys) - 1:
            counts[path] = counts.get(path, -1) + 1
        if path in counts:
            path += (counts[path],)
    return path


def _keys(node: Any) -> list[str]:
    if node.type == "dotted_key":
        return [key for child in node.named_children for key in _keys(child)]
    text = node.text.decode()
    return [next(iter(tomllib.loads(f"{text} = 0")))]


def _pairs(node: Any, path: Path_, found: dict[Path_, int]) -> None:
    for child in node.named_children:
        if child.type == "pair":
            _pair(child, path, found)


def _pair(node: Any, path: Path_, found: dict[Path_, int]) -> None:
    for key in _keys(node.named_children[0]):
        path += (key,)
        found.setdefault(path, node.start_point[0] + 1)
    _value(node.named_children[-1], path, found)


def _value(node: Any, path: Path_, found: dict[Path_, int]) -> None:
    if node.type == "inline_table":
        _pairs(node, path, found)
    elif node.type == "array":
        items = [child for child in node.named_children if child.type != "comment"]
        for index, child in enumerate(items):
            found[(*path, index)] = child.start_point[0] + 1
            _value(child, (*path, index), found)
