"""Reading a file of gear: the generic one that comes with the program, or the user's own."""

from functools import lru_cache
from importlib.resources import files
from pathlib import Path

from wattwright.catalogue.schema import Gear, GearFile
from wattwright.core.errors import InputError
from wattwright.core.specfile import parse_text, read_text, validated


def load_gear(path: Path) -> tuple[Gear, ...]:
    """Return the classes of gear in a TOML file; raises FileError, or InputError with every fault and its line."""
    return validated(read_text(path, InputError), GearFile, InputError).gear


@lru_cache(maxsize=1)
def generic_gear() -> tuple[Gear, ...]:
    """Return the generic classes that come with the program: an invented range, no maker's product."""
    text = files("wattwright.catalogue").joinpath("gear.toml").read_text(encoding="utf-8")
    return validated(parse_text(text, "gear.toml", InputError), GearFile, InputError).gear
