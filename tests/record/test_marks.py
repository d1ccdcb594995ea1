"""Numbers that loggers write for want of a reading: which are taken out, and which stay."""

import numpy as np
import pytest

from tests.record.writing import Write
from wattwright.core.quality import Quality
from wattwright.record.read import read_record
from wattwright.record.readers.marks import without_marks
from wattwright.record.readers.numbers import Numbers


def marks(values: list[float]) -> list[tuple[float, int, int]]:
    _, found = without_marks(Numbers(np.array(values), (), (), ()))
    return [(one.value, one.count, one.row) for one in found]


@pytest.mark.parametrize("mark", [-999.0, -9999.0, 9999.0, 65535.0, -32768.0])
def test_mark_for_no_reading_counts_as_missing(write: Write, mark: float) -> None:
    """48 hours of 0.5 and 1 kW, nine of them the mark: 39 readings come to 29.5 kWh or less, and nothing runs backwards."""
    kilowatts = [0.5 + 0.5 * (i % 2) for i in range(48)]
    kilowatts[10:19] = [mark] * 9
    rows = [f"2025-03-{3 + i // 24:02d} {i % 24:02d}:00,{value:g}" for i, value in enumerate(kilowatts)]
    record = read_record(write("\n".join(["time,kW", *rows, ""])), "UTC")
    series = record.channels[0].series
    assert float(np.nansum(series.values)) / 1000 == pytest.approx(sum(kilowatts) - 9 * mark)
    assert set(series.quality[10:19].tolist()) == {int(Quality.MISSING)}
    (told,) = [f for f in record.findings if f.code == "record.marked-missing"]
    assert (told.data["value"], told.data["count"], told.data["row"]) == (mark, 9, 12)
    others = {f.code for f in record.findings} - {"record.marked-missing"}
    assert others == {"record.stamps", "record.meaning", "record.gaps"}


def test_two_marks_in_one_column() -> None:
    """A logger may have one for "no reading" and one for "out of range"."""
    found = marks([1.0, 2.0] * 10 + [-999.0] * 2 + [65535.0] * 3)
    assert sorted(found) == [(-999.0, 2, 20), (65535.0, 3, 22)]


@pytest.mark.parametrize(
    "values",
    [
        # Once only: told as a spike where it is one.
        [1.0] * 20 + [-999.0],
        # Generation reaches these numbers and a load those.
        [500.0, -700.0, -120.0] * 10 + [-999.0] * 2,
        [4000.0, 8000.0] * 10 + [9999.0] * 2,
        # No known mark.
        [1.0, 2.0] * 10 + [-500.0] * 3,
        # Hardly anything else to compare it with.
        [1.0, 2.0] + [-999.0] * 30,
        [float("nan")] * 5,
        [],
    ],
)
def test_what_may_be_a_reading_stays(values: list[float]) -> None:
    """One alone, one near the others, one that is no mark, and columns of hardly anything else."""
    assert marks(values) == []


def test_a_mark_stays_among_the_raw_readings(write: Write) -> None:
    """What is no reading has no value, and its raw number stands as it stood in the file."""
    rows = [f"2025-03-{3 + i // 24:02d} {i % 24:02d}:00,{-999 if i in (7, 9) else 1 + i % 3}" for i in range(48)]
    series = read_record(write("\n".join(["time,kW", *rows, ""])), "UTC").channels[0].series
    assert np.isnan(series.values[[7, 9]]).all()
    assert series.raw.tolist() == [-999.0 if i in (7, 9) else 1.0 + i % 3 for i in range(48)]
