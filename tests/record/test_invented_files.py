"""The invented property's files: the record is the truth that was written, less the faults that were planted."""

import numpy as np
import pytest

from wattwright.core.quality import Quality
from wattwright.demo.faults import FaultKind
from wattwright.demo.meter_files import MeterFiles
from wattwright.demo.place import ZONE
from wattwright.demo.truth import Truth
from wattwright.record.read import read_record
from wattwright.record.record import Form, Record, StampsMark


@pytest.fixture(scope="module")
def main(demo_files: MeterFiles) -> Record:
    return read_record(demo_files.main, ZONE)


def test_year_of_minutes(main: Record, known: Truth) -> None:
    """525,600 minutes from the first of the year, start stamped, both changes of the clock right without being told twice."""
    series = main.channels[0].series
    assert np.array_equal(series.times_s, known.year.start_s)
    assert (main.layout.stamps, main.layout.preamble_rows, main.layout.header_row) == (StampsMark.START, 5, 6)
    assert [c.id for c in main.channels] == ["p-mean-kw", "u-v", "i-a"]
    assert not {f.code for f in main.findings} & {"record.repeated-hour-once", "record.standard-time", "record.order"}


def test_readings_are_the_truth(main: Record, known: Truth) -> None:
    """Every reading is within half of the file's last digit (0.5 W) of the truth."""
    series = main.channels[0].series
    there = series.present
    assert np.abs(series.values - known.total_w)[there].max() <= 0.5 + 1e-6


def test_planted_faults_are_found(main: Record, demo_files: MeterFiles, known: Truth) -> None:
    """The gaps of 200 and 7 min and the two "--" are the only holes; the block of 12 sent twice is the only repeat."""
    holes = [f for f in demo_files.faults if f.kind is not FaultKind.RESENT]
    assert [(g.start_s, g.intervals) for g in main.gaps] == [(f.start_s, f.minutes) for f in holes]
    series = main.channels[0].series
    assert (~series.present).sum() == 200 + 7 + 1 + 1
    assert (series.quality[~series.present] == Quality.MISSING).all()
    (resent,) = [f for f in demo_files.faults if f.kind is FaultKind.RESENT]
    assert [(r.start_s, r.intervals) for r in main.duplicates] == [(resent.start_s, resent.minutes)]
    told = {f.code: f.data for f in main.findings}
    assert told["record.repeated-rows"]["count"] == 12
    assert (told["record.no-value"]["count"], told["record.no-value"]["tokens"]) == (2, '"--"')
    assert "record.rows-disagree" not in told


def test_sub_meter_with_offsets(demo_files: MeterFiles, known: Truth) -> None:
    """Six weeks of Wh per minute across the change of the clock: 60,420 minutes, each the truth to 0.005 Wh (0.3 W)."""
    record = read_record(demo_files.water, ZONE)
    assert record.gaps == ()
    for channel, load in zip(record.channels, ("water_heater_guests", "water_heater_kitchen"), strict=True):
        first = int((channel.series.start_s - known.year.start_s[0]) // 60)
        assert len(channel.series) == 60_420
        assert channel.meaning.form is Form.ENERGY
        true_w = known.load_w(load)[first : first + 60_420]
        assert np.abs(channel.series.values - true_w).max() <= 0.3 + 1e-6
