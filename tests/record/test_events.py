"""Readings that come whenever a value changes, held and averaged by time; totals worked out by hand or by a plain twin."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given, strategies as st
from pydantic import ValidationError

from tests.record.writing import Write
from wattwright.core.basis import Basis
from wattwright.core.errors import RecordError
from wattwright.core.quality import Quality
from wattwright.core.quantity import Quantity
from wattwright.record.events import Stretches, averaged
from wattwright.record.faults.doubt import doubts, peak_doubts
from wattwright.record.read import read_record
from wattwright.record.record import Form, Record
from wattwright.record.spec import ColumnSpec, LayoutSpec

START = datetime(2025, 6, 1, tzinfo=UTC)
START_S = int(START.timestamp())


def file_of(times_s: list[int], values: list[float], name: str = "P [W]") -> str:
    """The values under `time` and a name, at so many seconds after the start."""
    rows = (f"{START + timedelta(seconds=t):%Y-%m-%d %H:%M:%S}Z,{v}" for t, v in zip(times_s, values, strict=True))
    return "\n".join([f"time,{name}", *rows, ""])


def hold(**more: object) -> LayoutSpec:
    return LayoutSpec.model_validate({"irregular": "hold", **more})


def code_of(write: Write, text: str) -> str:
    with pytest.raises(RecordError) as caught:
        read_record(write(text), "UTC")
    fault = caught.value.faults[0]
    assert 'irregular = "hold"' in fault.next_step or fault.code not in ("record.irregular", "record.step-changes")
    return fault.code


def energy_ws(record: Record) -> float:
    series = record.channels[0].series
    return float(np.nansum(series.values)) * series.step_s


# Ten changes by hand: 100 W for 90 s, 400 W for 30 s, 0 W for 210 s, 250 W for 60 s, then the last stamp at 390 s.
TIMES = [0, 90, 120, 330, 390]
VALUES = [100.0, 400.0, 0.0, 250.0, 70.0]


def test_by_hand(write: Write) -> None:
    """Minutes: 100; 30 s of 100 and 30 s of 400 are 250; 0, 0, 0; 30 s of 0 and 30 of 250 are 125; the last one is not whole."""
    record = read_record(write(file_of(TIMES, VALUES)), "UTC", hold())
    series = record.channels[0].series
    assert (series.start_s, series.step_s, record.rows) == (START_S, 60, 5)
    assert series.values[:6].tolist() == [100.0, 250.0, 0.0, 0.0, 0.0, 125.0]
    assert np.isnan(series.values[6])
    assert series.quality.tolist() == [Quality.DERIVED] * 6 + [Quality.MISSING]
    (told,) = [f for f in record.findings if f.code == "record.irregular-held"]
    assert (told.data["longest"], told.data["why"]) == (210, "you said so")


def test_held_no_longer_than_said(write: Write) -> None:
    """0 W stood for 210 s from second 120; held for 100 s, it covers the third minute whole and the fourth only in part."""
    record = read_record(write(file_of(TIMES, VALUES)), "UTC", hold(hold_at_most="100 s"))
    assert np.isnan(record.channels[0].series.values).tolist() == [False, False, False, True, True, True, True]


def test_stamps_at_the_end(write: Write) -> None:
    """Held back to the stamp before: 400 W for 90 s, 0 for 30, 250 for 210, 70 for 60; the minutes to 360 s are whole."""
    record = read_record(write(file_of(TIMES, VALUES)), "UTC", hold(stamps="end"))
    assert record.channels[0].series.values[:6].tolist() == [400.0, 200.0, 250.0, 250.0, 250.0, 160.0]


def test_blanks_and_stamps_twice(write: Write) -> None:
    """A blank says nothing new; of two readings in one second the later counts: 100 W for 60 s, then 300 W for 120 s."""
    text = file_of([0, 30, 60, 60, 180], [100.0, 1.0, 200.0, 300.0, 5.0]).replace(",1.0", ",")
    record = read_record(write(text), "UTC", hold())
    assert record.channels[0].series.values.tolist() == [100.0, 300.0, 300.0]


@pytest.mark.parametrize("step", [60, 300, 900])
def test_register_read_now_and_then(write: Write, step: int) -> None:
    """Between readings the count is spread evenly; from the first to the last whole hour all of it is there: 7.5 kWh."""
    times, counts = [0, 1800, 4500, 5400, 9000, 21600], [100.0, 101.0, 103.5, 104.0, 104.25, 107.5]
    text = file_of(times, counts, "Total [kWh]")
    spec = {"column": "Total [kWh]", "quantity": "active power", "form": "register", "unit": "kWh"}
    record = read_record(write(text), "UTC", hold(step=f"{step} s", columns=[spec]))
    assert energy_ws(record) == pytest.approx(7.5 * 3.6e6, rel=1e-12)
    # Between seconds 4500 and 5400 half a kWh in a quarter of an hour: 2 kW.
    lies = slice(4500 // step, 5400 // step)
    assert record.channels[0].series.values[lies] == pytest.approx(2000.0)


def test_energies_of_unequal_intervals(write: Write) -> None:
    """Two hours of 3 kWh, then quarters of 0.5 kWh: at a quarter's step 0.75 each, then 0.5; the last has no end of its own."""
    times = [3600 * i for i in range(30)] + [108_000 + 900 * i for i in range(60)]
    text = file_of(times, [3.0] * 30 + [0.5] * 60, "kWh")
    assert code_of(write, text) == "record.step-changes"
    record = read_record(write(text), "UTC", hold(step="15 min"))
    assert energy_ws(record) == pytest.approx((30 * 3.0 + 59 * 0.5) * 3.6e6)
    assert set(np.round(record.channels[0].series.values / 4000, 9)) == {0.75, 0.5}


def _scattered(count: int, seed: int = 5) -> list[int]:
    return np.cumsum(np.random.default_rng(seed).integers(1, 600, count)).tolist()


def test_events_are_recognised(write: Write) -> None:
    """A hundred stamps from a second to ten minutes apart, each with another value, are events; and one is told how."""
    times = _scattered(100)
    values = [float(100 + 37 * (i % 7)) for i in range(100)]
    record = read_record(write(file_of(times, values)), "UTC")
    assert "record.irregular-held" in {f.code for f in record.findings}
    first, last = -(-times[0] // 60) * 60, times[-1] // 60 * 60
    # Second by second, from the first whole minute to the last.
    shown = np.repeat(values[:-1], np.diff(times))[first - times[0] : last - times[0]]
    assert energy_ws(record) == pytest.approx(shown.sum())


def test_a_register_read_at_any_time_is_recognised(write: Write) -> None:
    """Its energy from the first whole minute to the last is known within what two minutes at the ends can hold."""
    times = _scattered(100)
    record = read_record(write(file_of(times, [1000 + 0.001 * t for t in times], "kWh")), "UTC")
    whole = times[-1] // 60 * 60 - -(-times[0] // 60) * 60
    assert energy_ws(record) == pytest.approx(0.001 * whole * 3.6e6)


@pytest.mark.parametrize(
    ("times", "values"),
    [
        # Too few to tell; values that repeat, so that it may be a sample as well; a step with a third of jitter.
        (_scattered(20), [float(i) for i in range(20)]),
        (_scattered(100), [5.0] * 100),
        ([900 * i + 300 * (i % 2) for i in range(100)], [float(i % 7) for i in range(100)]),
    ],
)
def test_what_may_be_samples_is_asked(write: Write, times: list[int], values: list[float]) -> None:
    """Where nothing shows that values hold, the file is refused and the way out is named."""
    assert code_of(write, file_of(times, values)) == "record.irregular"


def test_energies_are_never_taken_as_events(write: Write) -> None:
    """An energy per interval of unknown length is asked about, however its stamps lie."""
    assert code_of(write, file_of(_scattered(100), [0.1 + 0.01 * (i % 7) for i in range(100)], "kWh")) == "record.irregular"


def test_contact_that_opens_and_closes(write: Write) -> None:
    """Closed for 30 s of the first minute and for all of the second: shares of time 0.5 and 1."""
    spec = ColumnSpec(column="door", quantity=Quantity.CONTACT, form=Form.STATE)
    record = read_record(write(file_of([0, 30, 120, 180], [0, 1, 0, 1], "door")), "UTC", hold(columns=[spec.model_dump()]))
    assert record.channels[0].series.values.tolist() == [0.5, 1.0, 0.0]


@pytest.mark.parametrize(
    ("said", "wanted"),
    [({"step": "1 min"}, 'beside irregular = "hold"'), ({"irregular": "hold", "step": "1.5 s"}, "whole seconds")],
)
def test_what_cannot_be_said(said: dict[str, object], wanted: str) -> None:
    """A step for a file that is not to be held, and a step that is no whole second, are refused."""
    with pytest.raises(ValidationError, match=wanted):
        LayoutSpec.model_validate(said)


def test_all_readings_at_one_time(write: Write) -> None:
    """Nothing lasts between readings of one second, so nothing can be held."""
    with pytest.raises(RecordError, match="same stamp"):
        read_record(write(file_of([0, 0, 0], [1.0, 2.0, 3.0])), "UTC", hold())


@given(
    st.lists(st.tuples(st.integers(1, 5000), st.floats(-1e6, 1e6) | st.just(float("nan"))), min_size=1, max_size=40),
    st.integers(1, 1000),
    st.integers(0, 3000),
)
def test_energy_is_conserved(parts: list[tuple[int, float]], step: int, first: int) -> None:
    """Over whole intervals the sum of mean times step is the integral of what was held, second by second."""
    ends = first + np.cumsum([lasts for lasts, _ in parts])
    starts = np.append(first, ends[:-1])
    values = np.array([value for _, value in parts])
    count = int(-(-ends[-1] // step))
    means = averaged(Stretches(starts, ends, values), 0, step, count)
    each = np.full(count * step, np.nan)
    each[first : ends[-1]] = np.repeat(values, np.diff(np.append(starts, ends[-1])))
    plain = each.reshape(count, step).sum(axis=1)
    assert np.array_equal(np.isnan(means), np.isnan(plain))
    assert np.allclose(means * step, plain, rtol=1e-9, atol=1e-3, equal_nan=True)


@pytest.mark.parametrize("said", [None, LayoutSpec(irregular="hold", step_s="1 d")])
@pytest.mark.parametrize("values", [[301, 280, 315, 260, 240, 200, 210, 190, 220, 260, 290, 310], list(range(301, 313))])
def test_months_are_no_intervals(write: Write, said: LayoutSpec | None, values: list[int]) -> None:
    """A row for each month is a sum or a bill: refused as that, whether it is to be held or not, and rising sums too."""
    rows = "".join(f"2024-{month:02d}-01,{value}\n" for month, value in enumerate(values, 1))
    with pytest.raises(RecordError) as caught:
        read_record(write("Date,kWh\n" + rows), "UTC", said)
    (fault,) = caught.value.faults
    assert fault.code == "record.months"
    assert "12 rows some 31 days apart" in fault.found


def test_a_register_read_every_month_is_no_sum(write: Write) -> None:
    """The counts of a register say what was used between them, however far apart: 12 months of 100 kWh but one."""
    rows = "".join(f"2024-{month:02d}-01 12:00,{1000 + 100 * month}.5\n" for month in range(1, 13))
    record = read_record(write("Date,Meter reading kWh\n" + rows), "UTC", LayoutSpec(irregular="hold", step_s="1 h"))
    series = record.channels[0].series
    assert float(np.nansum(series.values)) / 1000 == pytest.approx(1100)


def test_what_was_spread_is_calculated(write: Write) -> None:
    """Between two readings of a register only the total is known: powers are calculated, and that is told."""
    times = np.cumsum(np.random.default_rng(1).integers(5, 55, 200)) * 60
    rows = "".join(f"{np.datetime64(int(t), 's')},{1000 + 0.25 * i}\n" for i, t in enumerate(times + 1_750_000_000))
    record = read_record(write("Time,Meter reading kWh\n" + rows), "UTC")
    assert [c.basis for c in record.channels] == [Basis.CALCULATED]
    (found,) = [f for f in record.findings if f.code == "record.spread-evenly"]
    assert found.data["longest"] == int(np.diff(times).max())
    # The total is sure, a peak is not: it lies somewhere between two readings.
    assert found in peak_doubts(record.findings)
    assert found not in doubts(record.findings)


def test_a_held_value_is_still_measured(write: Write) -> None:
    """A power that holds until it changes was measured, as before."""
    rows = "".join(f"2025-05-01 00:{m:02d}:{m:02d},{100 + m}\n" for m in range(60))
    record = read_record(write("Time,Power W\n" + rows), "UTC", LayoutSpec(irregular="hold"))
    assert [c.basis for c in record.channels] == [Basis.MEASURED]
    assert not [f for f in record.findings if f.code == "record.spread-evenly"]
