"""Fingerprints: equal for equal values, different for different ones, the same in every process."""

import importlib
import os
import subprocess
import sys
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time
from decimal import Decimal
from enum import Enum, StrEnum

import numpy as np
import pytest
from hypothesis import given, strategies as st
from pydantic import BaseModel

from wattwright.core.errors import OwnFault
from wattwright.core.fingerprint import code_version, fingerprint

scalars = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=8), st.binary(max_size=8),
    st.dates(), st.times(), st.decimals(allow_nan=False), st.datetimes(timezones=st.just(UTC)),
)  # fmt: skip
trees = st.recursive(
    scalars,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=4), inner, max_size=4),
    max_leaves=12,
)


@given(st.dictionaries(st.text(max_size=4) | st.integers(), scalars, max_size=6), st.randoms(use_true_random=False))
def test_order_of_mappings_and_sets_does_not_matter(content, shuffle):
    """A mapping and a set are what is in them, in whatever order it was put in."""
    items = list(content.items())
    shuffle.shuffle(items)
    assert fingerprint(dict(items)) == fingerprint(content)
    assert fingerprint(set(dict(items))) == fingerprint(frozenset(content))


@given(trees, trees)
def test_unlike_values_have_unlike_fingerprints(one, other):
    """Values that are written differently never share a fingerprint; lists and tuples of the same content do."""
    assert (fingerprint(one) == fingerprint(other)) == (repr(one) == repr(other) or _same(one, other))


def _same(one, other):
    """Plain twin: mappings by content whatever their order, everything else by kind and text."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(_same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_same, one, other))
    return type(one) is type(other) and repr(one) == repr(other)


class Colour(StrEnum):
    RED = "red"


class Other(Enum):
    RED = "red"


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (0.0, -0.0),
        (1, 1.0),
        (1, True),
        (1, "1"),
        ("1", b"1"),
        (Decimal("1.0"), Decimal("1.00")),  # written with more digits, so known better
        (date(2025, 1, 1), datetime(2025, 1, 1)),
        (time(7, 30), time(7, 30, 1)),
        (Colour.RED, "red"),
        (Colour.RED, Other.RED),
        (["ab", "c"], ["a", "bc"]),
        ([[1], 2], [[1, 2]]),
        ([], [[]]),
        ({1: 2}, [1, 2]),
        ({}, set()),
        (None, "None"),
        (np.zeros(2), np.zeros(2, np.float32)),
        (np.zeros(2), np.zeros((2, 1))),
        (np.zeros(2), -np.zeros(2)),
    ],
)
def test_values_that_look_alike_are_told_apart(one, other):
    """Kind, sign of nought, digits, shape and nesting all count."""
    assert fingerprint(one) != fingerprint(other)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (float("nan"), float("nan")),
        ([1, 2], (1, 2)),
        (np.arange(6).reshape(2, 3).T, np.ascontiguousarray(np.arange(6).reshape(2, 3).T)),
        (np.arange(10)[::2], np.array([0, 2, 4, 6, 8])),
        (np.array([np.nan]), np.array([np.nan])),
    ],
)
def test_equal_values_are_equal_however_they_lie_in_memory(one, other):
    """NaN is itself, and a view is its numbers."""
    assert fingerprint(one) == fingerprint(other)


@dataclass(frozen=True)
class Inner:
    x: float
    y: tuple[int, ...]


@dataclass(frozen=True)
class Outer:
    name: str
    inner: Inner
    array: np.ndarray
    table: dict


@dataclass(frozen=True)
class Twin:
    x: float
    y: tuple[int, ...]


class Model(BaseModel):
    a: int = 1
    inner: Inner | None = None


def test_every_field_counts():
    """Changing any field at any depth changes the fingerprint, and so does the class; the same value has the same one."""
    base = Outer("n", Inner(1.0, (1, 2)), np.arange(3), {"k": Decimal(1)})
    changed = [
        replace(base, name="m"),
        replace(base, inner=replace(base.inner, x=2.0)),
        replace(base, inner=replace(base.inner, y=(1, 2, 3))),
        replace(base, array=np.arange(3) + 1),
        replace(base, table={"k": Decimal(2)}),
        replace(base, table={"l": Decimal(1)}),
        replace(base, inner=Twin(1.0, (1, 2))),
    ]
    prints = [fingerprint(one) for one in (base, *changed)]
    assert len(set(prints)) == len(prints)
    assert fingerprint(replace(base, array=base.array.copy())) == prints[0]
    assert len({fingerprint(Model()), fingerprint(Model(a=2)), fingerprint(Model(inner=Inner(1.0, ())))}) == 3
    assert fingerprint(Model()) == fingerprint(Model(a=1))


def test_parts_are_kept_apart():
    """Two parts are not one."""
    assert fingerprint("ab") != fingerprint("a", "b")
    assert fingerprint() != fingerprint(None)
    assert len(fingerprint()) == 64


@pytest.mark.parametrize("odd", [object(), range(3), Inner, np.array([object()]), {1: object()}, lambda: 1])
def test_what_is_not_understood_is_refused(odd):
    """A guess could hide a change, so anything else is a fault of ours."""
    with pytest.raises(OwnFault, match="fingerprinted"):
        fingerprint(odd)


PROGRAM = """
from wattwright.core.fingerprint import fingerprint, code_version
from wattwright.core.basis import Basis
print(fingerprint({"b": {1, 2, "x"}, "a": frozenset("hello")}, Basis.MEASURED, 0.1), code_version(("wattwright.core",)))
"""


def test_same_in_every_process(root):
    """Python's own hashing differs from process to process; a fingerprint does not."""
    told = {
        subprocess.run(
            [sys.executable, "-c", PROGRAM],
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(root / "src")},
            capture_output=True, text=True, check=True,
        ).stdout
        for seed in ("0", "1", "4242")
    }  # fmt: skip
    assert len(told) == 1


@pytest.fixture
def package(tmp_path, monkeypatch):
    """A package of two folders in a place of its own."""
    folder = tmp_path / "fp_sample"
    (folder / "sub").mkdir(parents=True)
    for name, text in {
        "__init__.py": "",
        "a.py": "A = 1\n",
        "sub/__init__.py": "",
        "sub/b.py": "B = 1\n",
        "t.toml": "x = 1\n",
    }.items():
        (folder / name).write_text(text)
    monkeypatch.syspath_prepend(tmp_path)
    importlib.invalidate_caches()
    code_version.cache_clear()
    yield folder
    code_version.cache_clear()
    sys.modules.pop("fp_sample", None)


@pytest.mark.parametrize(
    ("name", "text", "changes"),
    [
        ("a.py", "A = 2\n", True),
        ("sub/b.py", "B = 1  # said\n", True),
        ("t.toml", "x = 2\n", True),
        ("new.py", "", True),
        ("notes.md", "words", False),
        ("a.py", "A = 1\n", False),
    ],
)
def test_code_version_follows_the_sources(package, name, text, changes):
    """A changed, added or deeper source or table of the package is seen; a note beside it is not."""
    before = code_version(("fp_sample",))
    (package / name).write_text(text)
    code_version.cache_clear()
    assert (code_version(("fp_sample",)) != before) is changes


def test_code_version_is_of_all_packages_in_any_order():
    """The order in which packages are named, and naming one twice, changes nothing; another package does."""
    both = code_version(("wattwright.core", "wattwright.demand"))
    assert both == code_version(("wattwright.demand", "wattwright.core", "wattwright.core"))
    assert both != code_version(("wattwright.core",))


@pytest.mark.parametrize("name", ["wattwright_nowhere", "json.decoder"])
def test_code_of_no_package_is_refused(name):
    """A package that is not there, or a lone module, has no version."""
    with pytest.raises(OwnFault, match="no package"):
        code_version((name,))
