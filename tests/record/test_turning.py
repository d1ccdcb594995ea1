"""A column whose transformer is clamped the wrong way round is turned as a person says: applied, told, and nothing lost."""

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from tests.record.writing import Write
from wattwright.core.errors import Place, RecordError
from wattwright.core.quality import Quality
from wattwright.record.channels import Understood
from wattwright.record.read import read_record
from wattwright.record.readers.numbers import Numbers
from wattwright.record.spec import ColumnSpec, LayoutSpec
from wattwright.record.turning import turn

HEAD = "time,L1 kW,Energy kWh,Register kWh"


def file_of(values, header=HEAD):
    rows = [f"2025-06-{1 + i // 24:02d} {i % 24:02d}:00,{v},{v},{100 + i}" for i, v in enumerate(values)]
    return "\n".join([header, *rows, ""])


def test_turned_column(write: Write):
    """-1.5 kW is read as 1,500 W, its raw number stays -1.5, its quality is derived (ESPI 11), and a note says so."""
    record = read_record(write(file_of(["-1.5"] * 30)), "UTC", LayoutSpec(turned=("L1 kW",)))
    held = record.channels[0].series
    assert set(held.values) == {1500.0}
    assert set(held.raw) == {-1.5}
    assert set(held.quality) == {Quality.DERIVED}
    assert set(record.channels[1].series.values) == {-1500.0}
    codes = [f.code for f in record.findings]
    assert codes.count("record.turned") == 1
    assert "turned, as you said" in record.channels[0].meaning.why


def test_turned_by_number_and_gap(write: Write):
    """The third column by its number: energy per interval is turned too, and a missing reading stays missing."""
    values = ["-2"] * 20 + [""] + ["-2"] * 9
    record = read_record(write(file_of(values)), "UTC", LayoutSpec(turned=("3",)))
    held = record.channels[1].series
    assert np.nanmin(held.values) == 2000
    assert held.quality[20] == Quality.MISSING
    assert np.isnan(held.values[20])


def test_turned_column_that_is_described(write: Write):
    """What a person says a column holds and that it is turned go together."""
    said = LayoutSpec(turned=("P1",), columns=(ColumnSpec(column="P1", quantity="active power", unit="kW"),))
    record = read_record(write(file_of(["-1.5"] * 30, "time,P1,Energy kWh,Register kWh")), "UTC", said)
    assert record.channels[0].series.values[0] == 1500


@pytest.mark.parametrize("column", ["nothing", "9"])
def test_no_such_column(write: Write, column):
    """A column that is not there is refused with the names there are."""
    with pytest.raises(RecordError, match="no column") as caught:
        read_record(write(file_of(["1"] * 30)), "UTC", LayoutSpec(turned=(column,)))
    assert '"L1 kW"' in caught.value.faults[0].wanted


@pytest.mark.parametrize(("column", "found"), [("Register kWh", "a register"), ("time", "no known quantity")])
def test_what_cannot_be_turned(write: Write, column, found):
    """A register counts, and stamps measure nothing: neither has a sign to turn."""
    with pytest.raises(RecordError) as caught:
        read_record(write(file_of(["1"] * 30)), "UTC", LayoutSpec(turned=(column,)))
    assert found in caught.value.faults[0].found


def test_turned_columns_of_a_metered_file_are_refused_by_name():
    """The same door serves files that say themselves what they hold."""
    with pytest.raises(RecordError, match="no column"):
        turn({}, ("a",), Place("feed.xml"), ("b",))
    assert turn({}, ("a",), Place("feed.xml"), ()) == ({}, [])


def test_absurd_readings_are_refused_turned_or_not(write: Write):
    """A turned column is held to the same bounds: 10^12 W in either direction."""
    with pytest.raises(RecordError, match="a meter can give"):
        read_record(write(file_of(["1"] * 29 + ["2e9"])), "UTC", LayoutSpec(turned=("L1 kW",)))
    assert read_record(write(file_of(["1"] * 30)), "UTC", LayoutSpec(turned=("L1 kW",))).channels[0].series.values[0] == -1000


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.integers(-90_000, 90_000), min_size=26, max_size=60))
def test_turning_negated_numbers_is_reading_the_numbers(write: Write, watts):
    """Turning twice is the identity: negated in the file and turned while reading, every value comes out as it was."""
    plain = read_record(write(file_of([f"{w / 1000:.3f}" for w in watts])), "UTC")
    turned = read_record(write(file_of([f"{-w / 1000:.3f}" for w in watts])), "UTC", LayoutSpec(turned=("L1 kW",)))
    assert np.array_equal(plain.channels[0].series.values, turned.channels[0].series.values)
    assert np.array_equal(plain.channels[0].series.raw, -turned.channels[0].series.raw)


def test_transformer_rating_by_number(write: Write):
    """A rating of 10 A said for the column by its number: 13 A lies above 120 % of it."""
    rows = [f"2025-06-01 {i:02d}:00,{13 if i == 4 else 5}" for i in range(24)]
    said = LayoutSpec(columns=(ColumnSpec(column="2", quantity="current", direction="none", ct_rating="10 A"),))
    record = read_record(write("\n".join(["time,L1 A", *rows, ""])), "UTC", said)
    (found,) = (f for f in record.findings if f.code == "record.beyond-transformer")
    assert (found.data["rating"], found.data["value"]) == (10.0, 13.0)


def test_understood_is_not_changed():
    """What was understood is left as it was; only the copy is turned."""
    from tests.record.plant import channel

    one = Understood("P", Numbers(np.array([1.0]), (), (), ()), channel([1.0]).meaning)
    made, _ = turn({0: one}, ("P",), Place("x"), ("P", "1"))
    assert (one.meaning.factor, made[0].meaning.factor) == (1.0, -1.0)
