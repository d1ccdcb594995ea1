"""Envelope, glossary, progress, seeds, quantities and errors."""

import hashlib
import json
import math
from datetime import UTC, date, datetime
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, strategies as st

from wattwright.core import errors
from wattwright.core.basis import Basis
from wattwright.core.envelope import plain, to_json
from wattwright.core.errors import (
    Cancelled,
    Fault,
    InputError,
    OwnFault,
    Place,
    UsageError,
    WattwrightError,
    quoted,
)
from wattwright.core.glossary import as_markdown, matching, terms
from wattwright.core.progress import SILENT, Reporting
from wattwright.core.quantity import Quantity
from wattwright.core.seeds import Streams

leaves = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5) | st.decimals(allow_nan=False) | st.dates()
contents = st.dictionaries(
    st.text(max_size=5).filter(lambda key: key != "schema"),
    st.recursive(leaves, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner, max_size=3)),
    max_size=5,
)


def refuse(constant):
    raise AssertionError(f"{constant} is no JSON")


def test_nought_has_no_sign():
    """What rounds to nought from below is told as nought."""
    assert to_json("s/1", {"a": [-0.0, round(-0.001, 2), -1.5]}).count("-") == 1


@given(contents)
def test_envelope_is_json_for_everybody(content):
    """RFC 8259 knows neither NaN nor infinity: a strict reader reads it, and the schema stands first."""
    text = to_json("wattwright.test/1", content)
    told = json.loads(text, parse_constant=refuse)
    assert next(iter(told)) == "schema"
    assert told.keys() - {"schema"} == content.keys()


@pytest.mark.parametrize(
    ("value", "told"),
    [
        (math.nan, None),
        (-math.inf, None),
        (Decimal("0.10"), "0.10"),
        (date(2025, 3, 31), "2025-03-31"),
        (Basis.MEASURED, "m"),
        (np.float64(0.5), 0.5),
        (np.int64(3), 3),
        (np.bool_(True), True),
        (np.array([1.0, np.nan]), [1.0, None]),
        ((1, (2.0, math.inf)), [1, [2.0, None]]),
        ({1: Decimal("2")}, {"1": "2"}),
        (datetime(2025, 1, 1, tzinfo=UTC), "2025-01-01 00:00:00+00:00"),
        (True, True),
    ],
)
def test_plain_values(value, told):
    """Decimals and dates are text, to the last digit; arrays are lists; what is not finite is null."""
    assert plain(value) == told
    assert isinstance(plain(value), type(told))


def test_glossary_is_whole():
    """Each word once and in order, with a meaning; what has a source names it."""
    words = [one.word for one in terms()]
    assert words == sorted(words, key=str.lower)
    assert len(set(words)) == len(words) > 40
    assert all(one.meaning and not one.meaning.endswith(".") for one in terms())


def test_words_are_found_by_word_and_then_by_meaning():
    """Part of a word in any case; where no word has it, the meanings that do; else nothing."""
    assert [one.word for one in matching("LOAD fac")] == ["load factor"]
    assert "main protection" in [one.word for one in matching("fuse")]
    assert matching("zzz") == ()


def test_page_of_the_glossary_has_a_row_for_each_word():
    """The generated page is a table with one row a word; symbols stand beside their words."""
    page = as_markdown()
    rows = [line for line in page.partition("## ")[0].splitlines() if line.startswith("| ")]
    assert len(rows) == len(terms()) + 1
    assert any(row.startswith("| power factor (cos φ) |") for row in rows)
    assert all(row.count("|") == 5 for row in rows)


def test_progress_is_passed_on_until_stopped():
    """Each report reaches the watcher; once the person stops, the work hears of it and nothing more is shown."""
    shown, stop = [], []
    progress = Reporting(lambda *given: shown.append(given), lambda: bool(stop))
    progress.at("reading", 1, 4)
    stop.append(True)
    with pytest.raises(Cancelled, match="Stopped while working on reading; no file is half-written"):
        progress.at("reading", 2, 4)
    assert shown == [("reading", 1, 4)]
    Reporting(lambda *given: shown.append(given)).at("x", 0, 1)
    assert shown[-1] == ("x", 0, 1)
    assert SILENT.at("anything", 0, 1) is None


@given(st.integers(0, 2**64), st.text(max_size=10), st.text(max_size=10))
def test_streams_do_not_disturb_each_other(seed, name, other):
    """What a stream draws depends on seed and name alone, whatever was asked for or drawn before."""
    alone = Streams(seed).stream(name).random(3).tolist()
    family = Streams(seed)
    family.stream(other).random(100)
    assert family.stream(name).random(3).tolist() == alone
    assert (Streams(seed).stream(other).random(3).tolist() == alone) is (name == other)
    assert Streams(seed + 1).stream(name).random(3).tolist() != alone


def test_first_draws_are_those_of_numpy_for_the_documented_key():
    """SHA-256 of "14", a unit separator and the name, as numpy's default_rng (PCG64) takes an integer seed."""
    key = int(hashlib.sha256(b"14\x1fweather").hexdigest(), 16)
    expected = np.random.default_rng(key)
    stream = Streams(14).stream("weather")
    assert stream.random(5).tolist() == expected.random(5).tolist()
    assert stream.integers(0, 100, 5).tolist() == expected.integers(0, 100, 5).tolist()


def test_every_quantity_has_a_unit():
    """Powers are held in W, var and VA, and each quantity has some unit."""
    assert all(one.unit for one in Quantity)
    assert [Quantity(q).unit for q in ("active power", "reactive power", "apparent power")] == ["W", "var", "VA"]


def subclasses(kind):
    return {kind}.union(*(subclasses(one) for one in kind.__subclasses__()))


def test_error_tree_is_whole():
    """Every error of the family lives in one module, stands in the tree drawn at its top, and has an exit code 1, 2 or 3."""
    ours = {one for one in subclasses(WattwrightError) if one.__module__.startswith("wattwright")}
    assert {one.__module__ for one in ours} == {"wattwright.core.errors"}
    drawn = errors.__doc__
    assert all(one.__name__ in drawn for one in ours)
    codes = {one.__name__: one.exit_code for one in ours}
    assert {name for name, code in codes.items() if code != 1} == {"UsageError", "OwnFault"}
    assert (codes["UsageError"], codes["OwnFault"]) == (2, 3)
    assert {one for one in ours if issubclass(one, InputError)} - {InputError} == {
        errors.FileError, errors.JobError, errors.RecordError, errors.TariffError, errors.UnitError,
        errors.WeatherError,
        errors.StoreError,
    }  # fmt: skip


FAULT = Fault("x.y", Place("a.csv", 7, "kWh", "loads[1]"), '"abc"', "a number", "Correct it.")


def test_fault_is_a_sentence_and_data():
    """Where, what was found, what was wanted, what to do: as one text and as parts."""
    sentence = 'a.csv, line 7, column kWh, loads[1]: found "abc"; expected a number. Correct it.'
    assert FAULT.sentence() == sentence
    assert FAULT.as_json() == {
        "code": "x.y", "file": "a.csv", "line": 7, "column": "kWh", "field": "loads[1]",
        "found": '"abc"', "wanted": "a number", "next_step": "Correct it.", "sentence": sentence,
    }  # fmt: skip
    assert Fault("x", Place(), "", "a number").sentence() == "expected a number."
    assert str(Place(line=0)) == "line 0"


def test_input_error_tells_every_fault():
    """All faults, a line each, and each apart as data; one that has nothing to say is a fault of ours."""
    error = errors.RecordError([FAULT, Fault("x", Place(), "", "more")])
    assert str(error).splitlines() == [FAULT.sentence(), "expected more."]
    assert error.as_json()["error"] == "RecordError"
    assert [one["code"] for one in error.as_json()["faults"]] == ["x.y", "x"]
    assert InputError.one("c", Place(), wanted="w", count=3).faults[0].data == {"count": 3}
    with pytest.raises(OwnFault, match="without a fault"):
        InputError([])
    assert UsageError("No.").as_json() == {"error": "UsageError", "sentence": "No.", "faults": []}


@given(st.text(max_size=200), st.integers(1, 80))
def test_quoted_text_is_printable_and_short(text, limit):
    """Whatever stands in a file can be shown: nothing that moves a cursor, and not more than the limit."""
    told = quoted(text, limit)
    assert told.isprintable()
    assert len(told) <= limit + 3
    assert told.startswith('"')
    assert told.endswith('"')
    if len(text) <= limit and text.isprintable():
        assert told == f'"{text}"'
