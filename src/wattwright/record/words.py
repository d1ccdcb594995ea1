"""The general words by which names of columns, lines of a preamble and dates tell what they mean."""

import re
import tomllib
import unicodedata
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files


def plain(name: str) -> str:
    """Return ``name`` in lower case without accents, signs as single blanks."""
    decomposed = unicodedata.normalize("NFKD", name)
    letters = "".join(c for c in decomposed if not unicodedata.combining(c)).lower()
    return re.sub(r"[^\w%]+|_", " ", letters).strip()


@cache
def words(kind: str) -> Mapping[str, tuple[str, ...]]:
    """Return the words of one kind ("quantity", "form", ...) by their meaning, as they stand in words.toml."""
    text = files("wattwright.record").joinpath("words.toml").read_text(encoding="utf-8")
    return {meaning: tuple(known) for meaning, known in tomllib.loads(text)[kind].items()}


def has_word(name: str, meanings: Iterable[str]) -> bool:
    """Return whether one of ``meanings`` stands in the plain ``name`` as whole words."""
    return any(f" {word} " in f" {name} " for word in meanings)


@cache
def months(name: str) -> int | None:
    """Return the month (1 to 12) that ``name`` spells or shortens to three letters or more, None where it is none or two."""
    word = plain(name)
    found = {int(number) for number, known in words("month").items() if any(one.startswith(word) for one in known)}
    return found.pop() if len(found) == 1 else None
