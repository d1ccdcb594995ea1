"""The general words by which names of columns, lines of a preamble and dates tell what they mean."""

import re
import tomllib
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

_CONTROLS = re.compile(r"[\x00-\x1f\x7f-\x9f]+")


def plain(name: str) -> str:
    """Return ``name`` in lower case without accents, signs as single blanks."""
    decomposed = unicodedata.normalize("NFKD", name)
    letters = "".join(c for c in decomposed if not unicodedata.combining(c)).lower()
    return re.sub(r"[^\w%]+|_", " ", letters).strip()


def shown(name: str) -> str:
    """Return ``name`` without the control characters that a file may hold and a terminal would obey."""
    return _CONTROLS.sub(" ", name).strip() if _CONTROLS.search(name) else name


@cache
def words(kind: str) -> Mapping[str, tuple[str, ...]]:
    """Return the words of one kind ("quantity", "form", ...) by their meaning, as they stand in words.toml."""
    text = files("wattwright.record").joinpath("words.toml").read_text(encoding="utf-8")
    return {meaning: tuple(known) for meaning, known in tomllib.loads(text)[kind].items()}


def has_word(name: str, meanings: Iterable[str]) -> bool:
    """Return whether one of ``meanings`` stands in the plain ``name`` as whole words."""
    return any(f" {word} " in f" {name} " for word in meanings)


@dataclass(frozen=True, slots=True)
class Rate:
    """A rate that a name speaks of: the family it belongs to, its label within that, and the word or words that say it."""

    family: str
    label: str
    word: str


@cache
def rate_in(name: str) -> Rate | None:
    """Return the rate of a tariff that ``name`` speaks of, such as day or night or a number; None where it speaks of none."""
    flat = plain(name)
    told = [(len(word), key, word) for key, known in words("rate").items() for word in known if has_word(flat, [word])]
    if told:
        _, key, word = max(told)
        family, _, label = key.partition(" ")
        return Rate(family, label, word)
    match = re.search(rf"\b(?:{'|'.join(words('numbered_rate')['rate'])}) ?([1-9])\b", flat)
    return Rate("number", match[1], match[0]) if match else None


@cache
def months(name: str) -> int | None:
    """Return the month (1 to 12) that ``name`` spells or shortens to three letters or more, None where it is none or two."""
    word = plain(name)
    found = {int(number) for number, known in words("month").items() if any(one.startswith(word) for one in known)}
    return found.pop() if len(found) == 1 else None
