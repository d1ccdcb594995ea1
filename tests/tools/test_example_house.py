"""The readings of the example house are what their tool writes, and what the documentation says of them is so."""

from datetime import datetime
from pathlib import Path

from tools import example_house


def test_committed_file_comes_out_again(tmp_path: Path, monkeypatch) -> None:
    """The same draws give the same file, byte for byte."""
    committed = example_house.FILE.read_bytes()
    monkeypatch.setattr(example_house, "FILE", tmp_path / "readings.csv")
    example_house.main()
    assert (tmp_path / "readings.csv").read_bytes() == committed


def test_a_week_with_25_hours_and_a_gap() -> None:
    """Seven days and one hour of quarters are 676; four are missing; the quarters from 03:00 to 03:45 of Sunday come twice.

    Directive 2000/84/EC: summer time ends on the last Sunday of October at 01:00 UTC, 04:00 in Athens.
    """
    head, names, *rows = example_house.rows()
    stamps = [datetime.fromisoformat(row.partition(",")[0]) for row in rows]
    twice = sorted({stamp for stamp in stamps if stamps.count(stamp) == 2})
    assert "nothing here was measured" in head
    assert names == "Start of interval,Energy kWh"
    assert len(rows) == (7 * 24 + 1) * 4 - 4
    assert twice == [datetime(2025, 10, 26, 3, minute) for minute in (0, 15, 30, 45)]
    assert [stamp for stamp in stamps if stamp.day == 23 and stamp.hour == 10] == []
    assert all(0.02 < float(row.partition(",")[2]) < 2.0 for row in rows)
