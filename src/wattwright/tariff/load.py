"""Reading a tariff file: every fault with its line, then the tariffs it holds."""

from pathlib import Path
from typing import Any

from wattwright.core.errors import TariffError
from wattwright.core.specfile import SpecText, parse_text, read_text, validated
from wattwright.tariff.checks import faults
from wattwright.tariff.schema import TariffFileSpec
from wattwright.tariff.tariff import TariffFile, joined


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
    spec = validated(source, TariffFileSpec, TariffError)
    found = faults(spec, source)
    if found:
        raise TariffError(found)
    return TariffFile(source.name, joined(spec.entries))
