"""Archives and folders: files of one meter become one record, whatever their order, overlap and layout."""

import gzip
import zipfile
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from tests.record.feeds import MIDNIGHT, WH, Meter, Point, R, feed
from wattwright.core.errors import FileError, RecordError
from wattwright.core.quality import Quality
from wattwright.core.quantity import Quantity
from wattwright.core.show import Show
from wattwright.record.read import read_record, read_records
from wattwright.record.record import Record, StampsMark
from wattwright.record.spec import LayoutSpec

ZONE = "Europe/Athens"
HOUR = 3600


def day(number: int, hours: "range | list[int]" = range(24), plus: float = 0.0, header: str = "Stamp;P [kW]") -> str:
    """Hours of a day in March 2025 by stamps day first: day number + hour / 100 kW."""
    rows = [f"{number:02d}.03.2025 {h:02d}:00;{number + h / 100 + plus:.2f}".replace(".", ",") for h in hours]
    rows = [row[:10].replace(",", ".") + row[10:] for row in rows]
    return "\n".join([header, *rows, ""])


def zipped(path: Path, files: dict[str, str | bytes]) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return path


def folder(path: Path, files: dict[str, str | bytes]) -> Path:
    path.mkdir(exist_ok=True)
    for name, content in files.items():
        (path / name).write_bytes(content.encode() if isinstance(content, str) else content)
    return path


def watts(record: Record, channel: int = 0) -> list[float]:
    return [round(float(v), 6) for v in record.channels[channel].series.values]


def days(*numbers: int) -> list[float]:
    """What day(number) holds, in W."""
    return [round(1000 * n + 10 * h, 6) for n in numbers for h in range(24)]


def codes(record: Record) -> set[str]:
    return {finding.code for finding in record.findings}


def test_daily_files_of_a_folder(tmp_path: Path) -> None:
    """Three days in three files make one record of 72 hours in the order of time; hidden files are no files."""
    path = folder(tmp_path / "meter", {"c.csv": day(13), "b.csv": day(15), "a.csv": day(14), ".x": "nothing"})
    record = read_record(path, ZONE)
    assert watts(record) == days(13, 14, 15)
    assert (record.rows, record.gaps, record.source.name) == (72, (), "meter")
    told = next(f for f in record.findings if f.code == "record.files")
    assert told.says(Show()) == "Files that were read as one record: 3."


def test_marks_stay_among_the_raw_readings_of_several_files(tmp_path: Path) -> None:
    """-9999 stands for no reading in one of two files of other columns: missing in the values, and kept as it was written."""
    first = day(13, header="Stamp;Import [kW]")
    second = day(14).replace("14,03", "-9999").replace("14,05", "-9999")
    record = read_record(folder(tmp_path / "meter", {"a.csv": first, "b.csv": second}), ZONE)
    series = record.channels[0].series
    assert np.flatnonzero(np.isnan(series.values)).tolist() == [27, 29]
    assert series.raw[[26, 27, 28, 29]].tolist() == [14.02, -9999.0, 14.04, -9999.0]


def test_one_file_settles_the_dates_of_all(tmp_path: Path) -> None:
    """01.03. to 03.03. could be read both ways; 13.03. in another file shows that the day stands first."""
    path = folder(tmp_path / "meter", {f"{n}.csv": day(n) for n in (1, 2, 3, 13)})
    with pytest.raises(RecordError):
        read_record(path / "1.csv", ZONE)
    record = read_record(path, ZONE)
    assert watts(record)[:72] == days(1, 2, 3)
    assert len(record.channels[0].series) == 13 * 24


def test_overlap_that_agrees_counts_once(tmp_path: Path) -> None:
    """Hours that stand in two files alike count once, and that is told."""
    path = folder(tmp_path / "meter", {"a.csv": day(14), "b.csv": day(14, range(20, 24)) + day(15).partition("\n")[2]})
    record = read_record(path, ZONE)
    assert watts(record) == days(14, 15)
    assert {"record.repeated-rows", "record.files"} <= codes(record)
    assert [run.intervals for run in record.duplicates] == [4]


def test_overlap_that_disagrees_is_told(tmp_path: Path) -> None:
    """An hour with two values keeps the first, marked questionable."""
    path = folder(tmp_path / "meter", {"a.csv": day(14), "b.csv": day(14, [23], plus=1) + day(15).partition("\n")[2]})
    record = read_record(path, ZONE)
    assert watts(record) == days(14, 15)
    assert record.channels[0].series.quality[23] == Quality.QUESTIONABLE
    assert "record.rows-disagree" in codes(record)


def test_two_meters_in_one_folder_are_refused(tmp_path: Path) -> None:
    """Files that contradict each other throughout are two meters; the error names both files."""
    path = folder(tmp_path / "meter", {"a.csv": day(14), "b.csv": day(14, plus=3)})
    with pytest.raises(RecordError, match=r"b\.csv, line 2.*row 2 of a\.csv") as caught:
        read_record(path, ZONE)
    assert caught.value.faults[0].code == "record.same-stamps"


def test_repeated_hour_in_overlapping_files(tmp_path: Path) -> None:
    """The hour that Athens repeats on 26 October 2025 stands in two files twice each: 25 hours, none missing or doubled."""
    start = int(datetime(2025, 10, 25, 21, tzinfo=UTC).timestamp())
    stamps = [datetime.fromtimestamp(start + HOUR * i, UTC).astimezone(ZoneInfo(ZONE)) for i in range(25)]
    rows = [f"{s:%Y-%m-%d %H:%M};{i}" for i, s in enumerate(stamps)]
    head = "Stamp;P [W]\n"
    files = {"a.csv": head + "\n".join(rows[:20]) + "\n", "b.csv": head + "\n".join(rows[1:]) + "\n"}
    record = read_record(folder(tmp_path / "meter", files), ZONE, LayoutSpec(stamps="start"))
    assert (record.channels[0].series.start_s, watts(record)) == (start, [float(i) for i in range(25)])


def test_standard_time_shown_by_one_file_holds_for_all(tmp_path: Path) -> None:
    """Stamps in the hour that is skipped on 30 March show a clock without daylight saving, also for the days after it."""
    path = folder(tmp_path / "meter", {f"{n}.csv": day(n) for n in (29, 30, 31)})
    record = read_record(path, ZONE)
    assert watts(record) == days(29, 30, 31)
    assert record.channels[0].series.start_s == int(datetime(2025, 3, 28, 22, tzinfo=UTC).timestamp())


def test_end_stamps_shown_by_one_file_hold_for_all(tmp_path: Path) -> None:
    """A file that writes midnight as 24:00 shows the end for the one that holds an afternoon only."""
    whole = day(14, range(1, 24)) + "14.03.2025 24:00;1,00\n"
    record = read_record(folder(tmp_path / "meter", {"a.csv": whole, "b.csv": day(15, range(1, 12))}), ZONE)
    assert record.layout.stamps is StampsMark.END
    assert record.channels[0].series.start_s == int(datetime(2025, 3, 13, 22, tzinfo=UTC).timestamp())
    assert len(record.channels[0].series) == 35


def test_files_that_show_different_ends_are_refused(tmp_path: Path) -> None:
    """One file runs from 00:00 to 23:00, the other from 01:00 to 00:00: the person is asked, and can say it."""
    other = day(15, range(1, 24)) + "16.03.2025 00:00;1,00\n"
    path = folder(tmp_path / "meter", {"a.csv": day(14), "b.csv": other})
    with pytest.raises(RecordError, match=r"b\.csv") as caught:
        read_record(path, ZONE)
    assert caught.value.faults[0].code == "record.stamps-differ"
    assert len(read_record(path, ZONE, LayoutSpec(stamps="end")).channels[0].series) == 49


def test_different_layouts_of_one_meter(tmp_path: Path) -> None:
    """Kilowatts under an English name, W under a German one with a voltage: one channel in kW, one of volts with a gap."""
    english = day(14)
    rows = [f"2025-03-15T{h:02d}:00,{15000 + 10 * h},{230 + h}" for h in range(24)]
    german = "\n".join(["Zeit,Leistung [W],Spannung [V]", "2025-03-14T23:00,14230,229", *rows, ""])
    record = read_record(folder(tmp_path / "meter", {"a.csv": english, "b.csv": german}), ZONE, LayoutSpec(stamps="start"))
    assert [c.meaning.quantity for c in record.channels] == [Quantity.ACTIVE_POWER, Quantity.VOLTAGE]
    assert watts(record) == days(14, 15)
    assert watts(record, 1)[23:] == [229.0, *(230.0 + h for h in range(24))]
    assert np.isnan(record.channels[1].series.values[:23]).all()
    assert "record.rows-disagree" not in codes(record)
    assert any(f.where.startswith("meter, b.csv") for f in record.findings)


def test_different_steps_are_refused(tmp_path: Path) -> None:
    """Hours in one layout and half hours in another are two records, not one."""
    other = "Zeit,Leistung [W]\n" + "".join(f"2025-03-15T{h // 2:02d}:{h % 2 * 30:02d},{h}\n" for h in range(48))
    with pytest.raises(RecordError, match="every 1,800 s") as caught:
        read_record(folder(tmp_path / "meter", {"a.csv": day(14), "b.csv": other}), ZONE)
    assert caught.value.faults[0].code == "record.files-differ"


@pytest.mark.parametrize("name", ["meter.zip", "meter.csv"])
def test_zip_is_a_folder(tmp_path: Path, name: str) -> None:
    """Members of an archive, in folders of their own too, are read like files; notes and pictures are left out with a word."""
    files = {
        "2025/a.csv": day(14),
        "2025/b.csv.txt": day(15),
        "read me.txt": "Invented.\n",
        "__MACOSX/a.csv": b"\0",
        "p.png": b"\x89PNG",
    }
    record = read_record(zipped(tmp_path / name, files), ZONE)
    assert watts(record) == days(14, 15)
    assert [f.data["file"] for f in record.findings if f.code == "record.file-left-out"] == [
        f"{name}/p.png",
        f"{name}/read me.txt",
    ]
    assert record.layout.compression == "zip"


def test_one_file_in_a_zip(tmp_path: Path) -> None:
    """A single member is read as if it lay there unpacked."""
    record = read_record(zipped(tmp_path / "meter.zip", {"a.csv": day(14)}), ZONE)
    assert (watts(record), "record.files" in codes(record)) == (days(14), False)


def test_packed_files_in_a_folder(tmp_path: Path) -> None:
    """A folder may hold packed files beside plain ones."""
    record = read_record(folder(tmp_path / "meter", {"a.csv.gz": gzip.compress(day(14).encode()), "b.csv": day(15)}), ZONE)
    assert (watts(record), record.layout.compression) == (days(14, 15), "gzip")


def test_espi_files_of_two_meters(tmp_path: Path) -> None:
    """Months of one usage point are joined by its title, another title is another record."""
    files = {}
    for name, title, start in (("a", "House", 0), ("b", "House", 2), ("c", "Barn", 0)):
        readings = [R(10 * start + i, MIDNIGHT + HOUR * (start + i), HOUR) for i in range(2)]
        files[f"{name}.xml"] = feed([Point([Meter(WH, [(MIDNIGHT, 7200, readings)])], title=title)])
    records = read_records(zipped(tmp_path / "m.zip", files), ZONE)
    assert [(r.channels[0].meter, r.channels[0].series.raw.tolist()) for r in records] == [
        ("House", [0, 1, 20, 21]),
        ("Barn", [0, 1]),
    ]


def test_tables_beside_espi_are_another_meter(tmp_path: Path) -> None:
    """A table does not say which meter it is, so it is not joined with a usage point."""
    xml = feed([Point([Meter(WH, [(MIDNIGHT, 7200, [R(1), R(2)])])], title="House")])
    records = read_records(zipped(tmp_path / "m.zip", {"a.csv": day(14), "b.xml": xml}), ZONE)
    assert [r.channels[0].meter for r in records] == ["m.zip/a.csv", "House"]


def test_faults_name_the_file(tmp_path: Path) -> None:
    """A faulty row is told with its own file and row."""
    bad = day(15).replace("15,04", "fault")
    with pytest.raises(RecordError) as caught:
        read_record(folder(tmp_path / "meter", {"a.csv": day(14), "b.csv": bad}), ZONE)
    assert (caught.value.faults[0].place.file, caught.value.faults[0].place.line) == ("b.csv", 6)


def test_empty_and_missing_folders(tmp_path: Path) -> None:
    """A folder without files, with nothing but notes, or that is not there: each a sentence."""
    with pytest.raises(RecordError) as caught:
        read_record(folder(tmp_path / "b", {"x": "prose\n", "y": ""}), ZONE)
    assert [fault.code for fault in caught.value.faults] == ["record.no-table", "record.empty"]
    for name in ("a", "nowhere"):
        with pytest.raises(FileError):
            read_record(folder(tmp_path / name, {}) if name == "a" else tmp_path / name, ZONE)


def test_file_within_the_repeated_hour(tmp_path: Path) -> None:
    """A file that holds only quarters of the second run of the repeated hour belongs behind the file before it."""
    start = int(datetime(2025, 10, 25, 21, tzinfo=UTC).timestamp())
    stamps = [datetime.fromtimestamp(start + 900 * i, UTC).astimezone(ZoneInfo(ZONE)) for i in range(100)]
    rows = [f"{s:%Y-%m-%d %H:%M};{i}" for i, s in enumerate(stamps)]
    cuts = [0, 16, 17, 19, 100]
    assert rows[12].partition(";")[0] == rows[16].partition(";")[0] == "2025-10-26 03:00"
    files = {f"{low}.csv": "\n".join(["Stamp;P [W]", *rows[low:high], ""]) for low, high in pairwise(cuts)}
    record = read_record(folder(tmp_path / "meter", files), ZONE, LayoutSpec(stamps="start"))
    assert watts(record) == [float(i) for i in range(100)]
    assert "record.repeated-hour-once" not in codes(record)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_cut_into_overlapping_files_comes_back(data: st.DataObject, tmp_path_factory: pytest.TempPathFactory) -> None:
    """However a series is cut into files that overlap, named in whatever order, zipped or not, the record is the whole series."""
    zone = ZoneInfo(data.draw(st.sampled_from([ZONE, "America/Toronto"])))
    step = data.draw(st.sampled_from([300, 900, 3600]))
    first = datetime(2025, *data.draw(st.sampled_from([(3, 8), (3, 29), (10, 25), (11, 1), (6, 13)])), tzinfo=zone)
    start = int(first.timestamp())
    count = int((first + timedelta(days=3)).timestamp() - start) // step
    values = np.round(np.random.default_rng(data.draw(st.integers(0, 999))).uniform(0, 9, count), 2)
    rows = []
    for i, value in enumerate(values.tolist()):
        rows.append(f"{datetime.fromtimestamp(start + step * i, UTC).astimezone(zone):%d/%m/%Y %H:%M},{value}")
    cuts = sorted(data.draw(st.lists(st.integers(1, count - 1), max_size=4, unique=True)))
    overlap = data.draw(st.integers(0, 3))
    files: dict[str, str | bytes] = {}
    for low, high in zip([0, *cuts], [*cuts, count], strict=True):
        text = "\n".join(["Stamp,P [kW]", *rows[max(0, low - overlap) : high], ""])
        files[f"{data.draw(st.integers(0, 9**9))}-{low}.csv"] = text
    place = tmp_path_factory.mktemp("cut")
    path = zipped(place / "m.zip", files) if data.draw(st.booleans()) else folder(place / "m", files)
    series = read_record(path, zone.key, LayoutSpec(stamps="start", date_order="day first")).channels[0].series
    assert (series.start_s, series.step_s) == (start, step)
    np.testing.assert_allclose(series.values, 1000 * values, rtol=1e-12)
    assert not (series.quality == Quality.QUESTIONABLE).any()
