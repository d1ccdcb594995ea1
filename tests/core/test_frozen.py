"""Results on disk come back as they were, or not at all."""

import io
import json
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from datetime import date, time
from decimal import Decimal
from enum import StrEnum

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from hypothesis.extra import numpy as hnp
from numpy.typing import NDArray

from wattwright.control.rules import Control, Interlock
from wattwright.core.errors import InputError
from wattwright.core.frozen import pack, unpack


class Colour(StrEnum):
    RED = "red"
    GREEN = "green"


@dataclass(frozen=True, slots=True)
class Leaf:
    value: Decimal
    day: date | None
    colour: Colour
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Tree:
    name: str
    count: int
    share: float
    flag: bool
    array: NDArray[np.float64]
    numbers: NDArray[np.int64]
    leaves: tuple[Leaf, ...]
    deep: tuple[tuple[int, ...], ...]
    only: Leaf | None
    data: Mapping[str, str | int | float | bool] = field(default_factory=dict)
    limit: float | None = None


def same(one, other):
    """Plain twin of equality: field by field, arrays by kind, shape and content, NaN equal to itself."""
    if isinstance(one, np.ndarray):
        return (
            one.dtype == other.dtype and one.shape == other.shape and np.array_equal(one, other, equal_nan=one.dtype.kind == "f")
        )
    if type(one) is not type(other):
        return False
    if hasattr(one, "__dataclass_fields__"):
        return all(same(getattr(one, f.name), getattr(other, f.name)) for f in fields(one))
    if isinstance(one, tuple):
        return len(one) == len(other) and all(map(same, one, other))
    if isinstance(one, dict):
        return one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
    return one == other or (one != one and other != other)


text = st.text(st.characters(codec="utf-8"), max_size=6)
leaves = st.builds(
    Leaf,
    st.decimals(allow_nan=False, allow_infinity=False, places=4, min_value=-(10**6), max_value=10**6),
    st.none() | st.dates(),
    st.sampled_from(Colour),
    st.none() | text,
)
trees = st.builds(
    Tree,
    text,
    st.integers(-(2**62), 2**62),
    st.floats(),
    st.booleans(),
    hnp.arrays(np.float64, hnp.array_shapes(max_dims=2, min_side=0, max_side=5)),
    hnp.arrays(np.int64, st.integers(0, 5)),
    st.lists(leaves, max_size=3).map(tuple),
    st.lists(st.lists(st.integers(0, 9), max_size=3).map(tuple), max_size=3).map(tuple),
    st.none() | leaves,
    st.dictionaries(text, st.booleans() | st.integers() | st.floats() | text, max_size=4),
    st.none() | st.floats(),
)


@given(trees)
def test_result_comes_back_as_it_was(tree):
    """Every field comes back with its own kind and value, and packing it again gives the same bytes."""
    held = pack(tree)
    back = unpack(held, Tree)
    assert same(tree, back)
    assert pack(back) == held == pack(tree)


EXAMPLE = Tree("n", 1, 0.5, True, np.arange(20.0), np.arange(3), (Leaf(Decimal("1.0"), None, Colour.RED),), ((1,),), None)


@settings(max_examples=300)
@given(st.data())
def test_damage_is_told_and_never_taken_for_a_result(data):
    """Flip bytes or cut the end: what comes is the result itself or an InputError, nothing else."""
    content = bytearray(pack(EXAMPLE))
    for at in data.draw(st.lists(st.integers(0, len(content) - 1), max_size=4)):
        content[at] = data.draw(st.integers(0, 255))
    cut = data.draw(st.integers(0, len(content)) | st.just(len(content)))
    try:
        back = unpack(bytes(content[:cut]), Tree)
    except InputError as error:
        refused = error
    else:
        assert same(back, EXAMPLE)  # the damage lay where nothing is read, such as a date of the archive
        return
    assert refused.faults[0].code == "frozen.damaged"


def archive(**members):
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as file:
        for name, content in members.items():
            file.writestr(name.replace("__", "."), content)
    return held.getvalue()


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"not a zip",
        archive(a="x"),
        archive(tree__json="{"),
        archive(tree__json="[]"),
        archive(tree__json=json.dumps({"name": "n"})),
        archive(tree__json="null"),
        pack(EXAMPLE.only or Leaf(Decimal(1), None, Colour.RED)),
    ],
)
def test_what_is_no_result_is_refused(content):
    """Nothing, other files, other trees and results of another kind are each told in a sentence."""
    with pytest.raises(InputError, match="a stored Tree"):
        unpack(content, Tree)


def test_nothing_stored_can_run_code():
    """An array of pickled objects is refused, not loaded."""
    held = io.BytesIO()
    np.save(held, np.array([print], dtype=object), allow_pickle=True)
    tree = json.loads(zipfile.ZipFile(io.BytesIO(pack(EXAMPLE))).read("tree.json"))
    content = archive(**{"tree__json": json.dumps(tree), "0__npy": held.getvalue(), "1__npy": held.getvalue()})
    with pytest.raises(InputError):
        unpack(content, Tree)


@dataclass(frozen=True)
class Limit:
    value: float | None


def test_whole_number_where_a_float_may_stand_is_a_float():
    """A store written with 3 for a float, as another writer of JSON may, is read as 3.0."""
    back = unpack(archive(tree__json='{"value": 3}'), Limit)
    assert isinstance(back.value, float)
    assert back == Limit(3.0)


def test_specs_come_back_as_they_were_written():
    """Rules with units, times by clock and sun, months, texts with units and a conductor stand in a kept result as in the job."""
    written = {
        "rule": [
            {"id": "a", "load": "x", "kind": "time programme", "months": [5, 6], "other_months": "open",
             "times": [{"on": "sunset - 30 min", "off": time(22, 30)}, {"days": ["Sat"], "on": "sunrise", "off": time(9)}]},
            {"id": "b", "load": "x", "kind": "limit", "quantity": "current", "phase": "L2", "pick_up": "20 A", "drop_out": "16 A",
             "on_delay": "90 s", "measured_every": "10 s"},
            {"id": "c", "load": "x", "kind": "set point", "quantity": "load value", "set_point": 60, "differential": 5,
             "calls": "below"},
            {"id": "d", "load": "x", "kind": "repeat-cycle timer", "on_for": "10 min", "off_for": "0.5 h"},
        ],
        "actuator": [{"load": "x", "min_off": "3 min", "fail_safe": "open"}],
        "shedding": {"pick_up": "9 kW", "restore": "7 kW", "order": ["x"], "delay": "2 s"},
        "interlock": [{"kind": "needs", "loads": ["x", "y"], "run_on": "1 min"}],
        "override": [{"load": "x", "state": "on", "begins": "2025-07-12T18:00:00", "ends": "2025-07-12T19:00:00"}],
        "stagger": "15 s",
    }  # fmt: skip
    made = Ruled(Control.model_validate(written))
    assert unpack(pack(made), Ruled) == made


def test_a_kept_spec_that_no_longer_fits_is_damaged():
    """What a later version no longer knows is told as a result that cannot be read."""
    with pytest.raises(InputError):
        unpack(pack(Ruled(Control())), Other)


@dataclass(frozen=True, slots=True)
class Ruled:
    control: Control


@dataclass(frozen=True, slots=True)
class Other:
    control: Interlock
