"""Fingerprints: one hash over canonical inputs, so that a result is known to belong to what it was made from."""

import dataclasses
import hashlib
import importlib.util
from collections.abc import Iterable, Mapping
from datetime import date, datetime, time
from decimal import Decimal
from enum import Enum
from functools import lru_cache
from pathlib import Path
from typing import Any

from wattwright.core.errors import OwnFault


def fingerprint(*parts: Any) -> str:
    """Return SHA-256 (hex) over ``parts``; equal values give equal fingerprints whatever the order of mappings and sets.

    Understands None, bool, int, float, str, bytes, Decimal, dates, enums, numpy arrays, dataclasses, pydantic models,
    mappings, sequences and sets. Raises OwnFault for anything else, since a guess could hide a change.
    """
    digest = hashlib.sha256()
    for part in parts:
        _feed(digest, part)
    return digest.hexdigest()


def _feed(digest: Any, part: Any) -> None:
    if isinstance(part, Enum):
        _feed(digest, ("enum", type(part).__name__, part.value))
    elif part is None or isinstance(part, bool | int | float | str | Decimal | datetime | date | time):
        text = f"{type(part).__name__}:{part!r}".encode()
        digest.update(b"%d:" % len(text) + text)
    elif isinstance(part, bytes):
        digest.update(b"bytes:%d:" % len(part) + part)
    elif hasattr(part, "__array_interface__"):
        _feed_array(digest, part)
    elif dataclasses.is_dataclass(part) and not isinstance(part, type):
        fields = {f.name: getattr(part, f.name) for f in dataclasses.fields(part)}
        _feed(digest, (type(part).__qualname__, fields))
    elif hasattr(part, "model_dump"):
        _feed(digest, (type(part).__qualname__, part.model_dump(mode="python")))
    else:
        _feed_collection(digest, part)


def _feed_array(digest: Any, array: Any) -> None:
    import numpy as np

    plain = np.ascontiguousarray(array)
    if plain.dtype.hasobject:
        raise OwnFault("an array of Python objects cannot be fingerprinted: its bytes are addresses")
    digest.update(f"array:{plain.dtype.str}:{plain.shape}:".encode() + plain.tobytes())


def _feed_collection(digest: Any, part: Any) -> None:
    if isinstance(part, Mapping):
        items: list[Any] = sorted((fingerprint(key), key, value) for key, value in part.items())
        digest.update(b"map:%d:" % len(items))
        for _, key, value in items:
            _feed(digest, key)
            _feed(digest, value)
    elif isinstance(part, set | frozenset):
        _feed(digest, ("set", sorted(fingerprint(one) for one in part)))
    elif isinstance(part, list | tuple):
        digest.update(b"list:%d:" % len(part))
        for one in part:
            _feed(digest, one)
    else:
        raise OwnFault(f"a {type(part).__name__} cannot be fingerprinted")


@lru_cache(maxsize=64)
def code_version(packages: tuple[str, ...]) -> str:
    """Return SHA-256 (hex) over the sources of the named packages, so that changed code never passes for the old.

    Raises OwnFault for a package that cannot be found.
    """
    digest = hashlib.sha256()
    for package in sorted(set(packages)):
        for path in sorted(_sources(package)):
            digest.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
    return digest.hexdigest()


def _sources(package: str) -> Iterable[Path]:
    spec = importlib.util.find_spec(package)
    if spec is None or not spec.submodule_search_locations:
        raise OwnFault(f"no package called {package}")
    return (
        path
        for folder in spec.submodule_search_locations
        for path in Path(folder).rglob("*")
        if path.suffix in {".py", ".toml", ".csv", ".json", ".typ", ".css", ".html", ".js", ".svg"}
    )
