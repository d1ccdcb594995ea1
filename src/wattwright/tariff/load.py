"""Reading a tariff file: every fault with its line, then the tariffs it holds."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from wattwright.core.errors import TariffError
from wattwright.core.specfile import SpecText, in_order, parse_text, read_text, validated
from wattwright.tariff.checks import Entry, faults, priced_entries
from wattwright.tariff.schema import TariffFileSpec, TariffSpec
from wattwright.tariff.tariff import TariffFile, joined

# Stands in for a required entry that is wrong; no check that looks at that entry is made then.
_NEEDED = {"id": "none", "name": "none", "currency": "EUR", "energy": [{"label": "none", "price": "0"}]}


def load_tariff(path: Path) -> TariffFile:
    """Return the tariffs in the TOML file at ``path``; raises FileError, or TariffError with every fault and its line."""
    return _checked(read_text(path, TariffError))


def parse_tariff(text: str, name: str = "tariff.toml") -> TariffFile:
    """Return the tariffs in TOML ``text``, called ``name`` in messages; raises TariffError with every fault and its line."""
    return _checked(parse_text(text, name, TariffError))


def tariff_schema() -> dict[str, Any]:
    """Return the JSON schema of a tariff file, with the description of every entry."""
    return TariffFileSpec.model_json_schema(by_alias=True)


def _checked(source: SpecText) -> TariffFile:
    crossed = faults(tuple(_entries(source)), source)
    try:
        spec = validated(source, TariffFileSpec, TariffError)
    except TariffError as error:
        raise TariffError(in_order((*error.faults, *crossed))) from error
    if crossed:
        raise TariffError(crossed)
    return TariffFile(source.name, joined(spec.entries, source.name, _lines(spec, source)))


def _lines(spec: TariffFileSpec, source: SpecText) -> dict[str, dict[str, int]]:
    """Return the line on which each charge begins for the first time, by id of the tariff and label."""
    found: dict[str, dict[str, int]] = {}
    for index, entry in enumerate(spec.entries):
        own = found.setdefault(entry.id, {})
        for path, charge in priced_entries(entry):
            own.setdefault(charge.label, source.line_of(("tariff", index, *path)) or 0)
    return found


def _entries(source: SpecText) -> Iterator[Entry]:
    """Yield the tariff entries of a file, what is wrong in itself left out of them."""
    given = source.data.get("tariff")
    for index, one in enumerate(given if isinstance(given, list) else ()):
        if isinstance(one, dict):
            yield _entry(index, one)


def _entry(index: int, given: dict[str, Any]) -> Entry:
    try:
        return Entry(index, TariffSpec.model_validate(given, by_alias=True, by_name=False))
    except ValidationError as wrong:
        broken = frozenset(str(detail["loc"][0]) for detail in wrong.errors(include_url=False))
    sound = {key: value for key, value in given.items() if key not in broken}
    return Entry(index, TariffSpec.model_validate({**_NEEDED, **sound}, by_alias=True, by_name=False), broken)
