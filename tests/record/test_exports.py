"""Every format that is written comes back through our own reader: stamps, values and quality."""

import json
import zipfile
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from xml.etree import ElementTree as ET
from zoneinfo import ZoneInfo

import numpy as np
import openpyxl
import polars as pl
import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from tests.record.writing import Write
from wattwright.core.clock import SiteClock
from wattwright.core.errors import FileError, UsageError
from wattwright.core.files import SourceFile
from wattwright.core.quality import Quality
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.core.series import Series
from wattwright.record.exports.book import MOST_ROWS
from wattwright.record.exports.columns import neutral
from wattwright.record.exports.espi import whole
from wattwright.record.exports.intervals import longer
from wattwright.record.exports.write import export
from wattwright.record.read import read_record
from wattwright.record.record import Channel, Form, Layout, Meaning, Record, StampsMark
from wattwright.record.spec import ColumnSpec, LayoutSpec

ENDINGS = [".csv", ".xlsx", ".parquet", ".jsonl"]
ZONE = "Europe/Athens"
SPRING, AUTUMN = date(2025, 3, 30), date(2025, 10, 26)
LAYOUT = Layout("utf-8", "", "comma", "point", 0, 1, (), (), "", StampsMark.START, "", "", ())
KINDS = [
    (Quantity.ACTIVE_POWER, Phase.TOTAL, Direction.IMPORT), (Quantity.ACTIVE_POWER, Phase.TOTAL, Direction.EXPORT),
    (Quantity.ACTIVE_POWER, Phase.L1, Direction.IMPORT), (Quantity.ACTIVE_POWER, Phase.L2, Direction.NET),
    (Quantity.ACTIVE_POWER, Phase.LEG_A, Direction.IMPORT), (Quantity.REACTIVE_POWER, Phase.TOTAL, Direction.IMPORT),
    (Quantity.APPARENT_POWER, Phase.L3, Direction.IMPORT), (Quantity.VOLTAGE, Phase.L1, Direction.NONE),
    (Quantity.CURRENT, Phase.NEUTRAL, Direction.NONE), (Quantity.POWER_FACTOR, Phase.TOTAL, Direction.NONE),
    (Quantity.FREQUENCY, Phase.TOTAL, Direction.NONE), (Quantity.TEMPERATURE, Phase.TOTAL, Direction.NONE),
    (Quantity.HUMIDITY, Phase.TOTAL, Direction.NONE), (Quantity.SOIL_MOISTURE, Phase.TOTAL, Direction.NONE),
]  # fmt: skip


def record_of(
    *values: np.ndarray, start_s: int = 1_740_000_000, step_s: int = 900, quality: "list[np.ndarray] | None" = None,
    kinds: "list[tuple[Quantity, Phase, Direction]] | None" = None, zone: str = ZONE,
) -> Record:  # fmt: skip
    """An invented record with a channel for each array of values, of the kinds in turn."""
    channels = []
    for number, held in enumerate(values):
        quantity, phase, direction = (kinds or KINDS)[number]
        codes = np.where(np.isnan(held), 255, 0).astype(np.uint8) if quality is None else quality[number]
        meaning = Meaning(quantity, Form.MEAN, quantity.unit, 1.0, phase, direction, "invented")
        series = Series(start_s // step_s * step_s, step_s, held, codes, held)
        channels.append(Channel(f"channel-{number + 1}", f"=Column {number + 1}", "main", meaning, series))
    source = SourceFile("invented.csv", 1, "0" * 64)
    return Record(source, zone, len(values[0]), LAYOUT, tuple(channels), (), (), ())


def day(step_s: int, which: date) -> tuple[int, int]:
    """The UTC seconds at which a local day of Athens begins, and the number of its intervals: 23 or 25 hours at a change."""
    zone = ZoneInfo(ZONE)
    ends = [datetime(d.year, d.month, d.day, tzinfo=zone).timestamp() for d in (which, date.fromordinal(which.toordinal() + 1))]
    return int(ends[0]), int(ends[1] - ends[0]) // step_s


def same(ours: Series, theirs: Series, *, exact: bool = True, within: float = 0.0) -> None:
    """Stamps, values to the last bit (or within so much) and quality are equal."""
    assert (ours.start_s, ours.step_s, len(ours)) == (theirs.start_s, theirs.step_s, len(theirs))
    if exact:
        assert np.array_equal(ours.values, theirs.values, equal_nan=True)
    else:
        assert np.allclose(ours.values, theirs.values, rtol=1e-12, atol=within, equal_nan=True)
    assert ours.quality.tolist() == theirs.quality.tolist()


@pytest.mark.parametrize("local", [False, True])
@pytest.mark.parametrize("which", [SPRING, AUTUMN])
@pytest.mark.parametrize("ending", ENDINGS)
def test_comes_back_as_it_was(tmp_path: Path, ending: str, which: date, local: bool) -> None:
    """All quantities, a gap, estimates and doubts, over a day of 23 and one of 25 hours, in UTC and on the site's clock."""
    start_s, count = day(900, which)
    draws = np.random.default_rng(7)
    values = [draws.normal(200.0, 70.0, count) for _ in KINDS]
    values[9] = draws.uniform(0.5, 1.0, count)
    quality = [np.zeros(count, np.uint8) for _ in KINDS]
    for number, (held, codes) in enumerate(zip(values, quality, strict=True)):
        codes[5:8], codes[12] = Quality.ESTIMATED_REFERENCE_DAY, Quality.QUESTIONABLE
        held[20 : 24 + number], codes[20 : 24 + number] = np.nan, Quality.MISSING
    record = record_of(*values, start_s=start_s, quality=quality)
    path = tmp_path / f"out{ending}"
    assert export(record, path, local=local) == ()
    again = read_record(path, ZONE)
    assert len(again.channels) == len(KINDS)
    for ours, theirs in zip(record.channels, again.channels, strict=True):
        same(ours.series, theirs.series)
        told = theirs.meaning
        assert (told.quantity, told.phase, told.direction) == (ours.meaning.quantity, ours.meaning.phase, ours.meaning.direction)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(
    st.lists(st.floats(-1e11, 1e11, width=64) | st.just(float("nan")), min_size=3, max_size=40),
    st.sampled_from(ENDINGS), st.sampled_from([60, 300, 900, 1800, 3600]), st.booleans(), st.data(),
)  # fmt: skip
def test_any_number_comes_back_to_the_last_bit(
    tmp_path_factory: pytest.TempPathFactory, values: list[float], ending: str, step_s: int, local: bool, data: st.DataObject
) -> None:
    """Whatever floats the readings are, and whatever the codes of their quality."""
    held = np.array([0.5, *values, 1.5])
    codes = np.array(data.draw(st.lists(st.sampled_from([0, 7, 8, 9, 10, 13, 16, 19]), min_size=len(held), max_size=len(held))))
    codes = np.where(np.isnan(held), 255, codes).astype(np.uint8)
    record = record_of(held, step_s=step_s, quality=[codes])
    path = tmp_path_factory.mktemp("out") / f"out{ending}"
    export(record, path, local=local)
    same(record.channels[0].series, read_record(path, ZONE).channels[0].series)


@pytest.mark.parametrize("which", [SPRING, AUTUMN])
def test_espi_comes_back(tmp_path: Path, which: date) -> None:
    """Energies in thousandths of a Wh come back as they were; other quantities with up to nine decimals; gaps and quality too."""
    start_s, count = day(3600, which)
    kinds = [kind for kind in KINDS if kind[0] not in (Quantity.HUMIDITY, Quantity.SOIL_MOISTURE)]
    kinds = [kind for kind in kinds if kind[1] in (Phase.TOTAL, Phase.L1, Phase.L2, Phase.L3)]
    values = [np.round(np.random.default_rng(i).uniform(0.1, 300.0, count), 3) for i in range(len(kinds))]
    quality = [np.zeros(count, np.uint8) for _ in kinds]
    for held, codes in zip(values, quality, strict=True):
        codes[3:6], codes[9], codes[0] = Quality.ESTIMATED_LINEAR, Quality.QUESTIONABLE, Quality.MISSING
        held[0], held[10:12], codes[10:12] = np.nan, np.nan, Quality.MISSING
    record = record_of(*values, start_s=start_s, step_s=3600, quality=quality, kinds=kinds)
    path = tmp_path / "out.xml"
    assert export(record, path) == ()
    again = read_record(path, ZONE)
    for ours, theirs in zip(record.channels, again.channels, strict=True):
        same(ours.series, theirs.series, exact=False)
        assert (theirs.meaning.quantity, theirs.meaning.phase) == (ours.meaning.quantity, ours.meaning.phase)


def test_espi_has_the_elements_of_the_schema_in_its_order(tmp_path: Path) -> None:
    """Names, codes and order of NAESB REQ.21: 450 and 1,250 Wh, the second estimated (9); a start counted in seconds of UTC."""
    quality = [np.array([0, 9], np.uint8)]
    record = record_of(np.array([450.0, 1250.0]), start_s=1_704_085_200, step_s=3600, quality=quality)
    export(record, tmp_path / "out.xml")
    root = ET.parse(tmp_path / "out.xml").getroot()
    espi, atom = "{http://naesb.org/espi}", "{http://www.w3.org/2005/Atom}"
    assert root.tag == f"{atom}feed"
    kinds = [child.tag for content in root.iter(f"{atom}content") for child in content]
    assert kinds == [f"{espi}{name}" for name in ("UsagePoint", "MeterReading", "ReadingType", "IntervalBlock")]
    (type_,) = root.iter(f"{espi}ReadingType")
    codes = {child.tag.removeprefix(espi): child.text for child in type_}
    assert list(codes) == sorted(codes)
    assert {name: codes[name] for name in ("uom", "flowDirection", "intervalLength", "powerOfTenMultiplier", "kind")} == {
        "uom": "72", "flowDirection": "1", "intervalLength": "3600", "powerOfTenMultiplier": "0", "kind": "12",
    }  # fmt: skip
    readings = list(root.iter(f"{espi}IntervalReading"))
    assert [one.findtext(f"{espi}value") for one in readings] == ["450", "1250"]
    assert [child.tag.removeprefix(espi) for child in readings[1]] == ["ReadingQuality", "timePeriod", "value"]
    assert readings[0].findtext(f"{espi}timePeriod/{espi}start") == "1704085200"


@given(st.lists(st.floats(-1e7, 1e7), min_size=1, max_size=30))
def test_espi_loses_no_more_than_stated(amounts: list[float]) -> None:
    """Half of a thousand-millionth of the unit at most, beside what a float of that size can tell, where numbers leave room."""
    power, numbers = whole(np.array(amounts))
    room = 0.5 * 10.0 ** (-9 if max(map(abs, amounts)) * 1e9 < 2**47 else -6)
    assert np.abs(numbers * 10.0**power - np.array(amounts)).max() <= room + 4e-16 * max(map(abs, amounts))
    assert np.abs(numbers).max() < 2**47


def test_espi_has_no_code_for_some(tmp_path: Path) -> None:
    """What has no code is left out and named; alone it is refused, as is what is too large for 48 bits."""
    kinds = [KINDS[0], (Quantity.HUMIDITY, Phase.TOTAL, Direction.NONE)]
    record = record_of(np.array([1.0, 2.0]), np.array([50.0, 51.0]), kinds=kinds)
    assert export(record, tmp_path / "out.xml") == ("channel-2",)
    with pytest.raises(UsageError, match="no code"):
        export(record, tmp_path / "none.xml", channels=["channel-2"])
    with pytest.raises(UsageError, match="48 bits"):
        export(record_of(np.array([1e18, 1e18])), tmp_path / "none.xml")
    assert not (tmp_path / "none.xml").exists()


@pytest.mark.parametrize("ending", [*ENDINGS, ".xml"])
def test_a_longer_step(tmp_path: Path, ending: str) -> None:
    """Quarters 0, 1, 2, ... in hours: means 1.5, 5.5, ...; a lost quarter loses its hour, and qualities that differ are mixed."""
    held = np.arange(24.0)
    held[9] = np.nan
    codes = np.where(np.isnan(held), 255, 0).astype(np.uint8)
    codes[12], codes[16:20] = Quality.ESTIMATED_LINEAR, Quality.VALIDATED
    path = tmp_path / f"out{ending}"
    export(record_of(held, start_s=1_740_002_400, quality=[codes]), path, 3600)
    series = read_record(path, ZONE).channels[0].series
    assert series.step_s == 3600
    assert series.values == pytest.approx([1.5, 5.5, np.nan, 13.5, 17.5, 21.5], nan_ok=True)
    assert series.quality.tolist() == [0, 0, 255, Quality.MIXED, Quality.VALIDATED, 0]


def test_longer_steps_begin_on_the_clock() -> None:
    """From a quarter past: the first hour lacks its first quarter. Off the clock, hours begin with the record."""
    clock = SiteClock("UTC")
    series = record_of(np.ones(8), start_s=1_740_002_400 + 900).channels[0].series
    intervals, means, _ = longer(series, 3600, clock)
    assert intervals.starts_s[0] == 1_740_002_400
    assert np.isnan(means).tolist() == [True, False, True]
    assert longer(replace(series, start_s=series.start_s + 7), 3600, clock)[0].starts_s[0] == series.start_s + 7
    assert longer(series, 900, clock)[1] is series.values


@pytest.mark.parametrize(
    ("step_s", "says"), [(600, "no multiple"), (1350, "no multiple"), (86_400, "Name a shorter step"), (172_800, "several days")]
)
def test_steps_that_do_not_fit(tmp_path: Path, step_s: int, says: str) -> None:
    """Shorter than the record's, no multiple of it, or longer than all of it: refused, and nothing is written."""
    with pytest.raises(UsageError, match=says):
        export(record_of(np.ones(8)), tmp_path / "out.csv", step_s)
    assert list(tmp_path.iterdir()) == []


def test_channels_that_are_chosen(tmp_path: Path) -> None:
    """By id or by column, in the order named; one that is not there is refused with those that are."""
    record = record_of(np.ones(4), 2 * np.ones(4))
    export(record, tmp_path / "out.csv", channels=["=Column 2", "channel-1"])
    assert (tmp_path / "out.csv").read_text().splitlines()[0] == (
        "start (UTC),channel-2 active power export [W],quality of channel-2 active power export,"
        "channel-1 [W],quality of channel-1"
    )
    with pytest.raises(UsageError, match="channel-1, channel-2"):
        export(record, tmp_path / "out.csv", channels=["other"])


def test_ids_that_would_mislead(tmp_path: Path) -> None:
    """An id that speaks of another direction, twice, is left out of the name, and names stay apart."""
    record = record_of(np.ones(4), 2 * np.ones(4), kinds=[KINDS[0], KINDS[0]])
    channels = tuple(replace(one, id=f"export-{number}") for number, one in enumerate(record.channels))
    export(replace(record, channels=channels), tmp_path / "out.jsonl")
    first = json.loads((tmp_path / "out.jsonl").read_text().splitlines()[0])
    assert [name for name in first if "quality" not in name] == ["start (UTC)", "active power [W]", "active power 2 [W]"]
    again = read_record(tmp_path / "out.jsonl", ZONE)
    assert [one.meaning.direction for one in again.channels] == [Direction.IMPORT] * 2


@pytest.mark.parametrize("text", ["=1+2", "+cmd", "-2", "@sum"])
def test_formulas_are_neutralised(text: str) -> None:
    """What a spreadsheet would take for a formula gets an apostrophe before it; other text stays."""
    assert (neutral(text), neutral("power [W]")) == (f"'{text}", "power [W]")


def test_no_cell_of_a_workbook_is_a_formula(tmp_path: Path) -> None:
    """Another library reads the same floats and texts, and finds no formula."""
    export(record_of(np.array([0.1 + 0.2, np.nan, 1e-300])), tmp_path / "out.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "out.xlsx").active
    rows = list(sheet.iter_rows())
    assert [row[1].value for row in rows[1:]] == [0.1 + 0.2, None, 1e-300]
    assert {cell.data_type for row in rows for cell in row} <= {"s", "n", "d", "inlineStr"}
    with zipfile.ZipFile(tmp_path / "out.xlsx") as book:
        assert b"<f>" not in book.read("xl/worksheets/sheet1.xml")


def test_more_rows_than_a_sheet_holds(tmp_path: Path) -> None:
    """One reading too many for a sheet is refused before anything is written."""
    with pytest.raises(UsageError, match="1,048,575"):
        export(record_of(np.zeros(MOST_ROWS), step_s=60), tmp_path / "out.xlsx")


def test_parquet_holds_instants(tmp_path: Path) -> None:
    """Stamps are instants in UTC and quality one byte each, for programs other than ours."""
    export(record_of(np.ones(4)), tmp_path / "out.parquet")
    frame = pl.read_parquet(tmp_path / "out.parquet")
    assert (frame.dtypes[0].time_zone, frame.dtypes[1:]) == ("UTC", [pl.Float64, pl.UInt8])
    assert frame.to_series(0)[0] == datetime.fromtimestamp(1_740_000_000 // 900 * 900, UTC)


def test_where_nothing_can_be_written(tmp_path: Path) -> None:
    """An ending that names no format, and a place that is no folder, are refused; what stood there stays."""
    (tmp_path / "file").write_text("kept")
    with pytest.raises(UsageError, match="\\.csv, \\.xlsx, \\.parquet, \\.jsonl, \\.xml"):
        export(record_of(np.ones(4)), tmp_path / "out.txt")
    with pytest.raises(FileError):
        export(record_of(np.ones(4)), tmp_path / "file" / "out.csv")
    assert (tmp_path / "file").read_text() == "kept"


@pytest.mark.parametrize(
    ("header", "row", "codes"),
    [
        # One column of codes for all before it; one each; a word of another language; codes that ESPI does not know.
        ("P1 [W],P2 [W],Quality", "5,6,8", [[8], [8]]),
        ("P1 [W],Quality,P2 [W],Quality P2", "5,9,6,10", [[9], [10]]),
        ("P1 [W],Qualität", "5,17", [[17]]),
        ("P1 [W],Quality", "5,99", [[0]]),
        ("Quality,P1 [W]", "8,5", [[0]]),
    ],
)
def test_columns_of_quality(tmp_path: Path, header: str, row: str, codes: list[list[int]]) -> None:
    """Codes go with the readings before them; what holds other numbers is no column of codes."""
    lines = [f"time,{header}", *(f"2025-06-01 {h:02d}:00Z,{row}" for h in range(24))]
    (tmp_path / "in.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    record = read_record(tmp_path / "in.csv", "UTC")
    assert [sorted(set(one.series.quality.tolist())) for one in record.channels] == codes


@pytest.mark.parametrize("again", ["same name", "link", "another file of the job"])
def test_an_original_is_never_written_over(tmp_path: Path, write: Write, again: str) -> None:
    """The file the readings came from, a link to it, and any other original are refused and stay as they are."""
    path = write("\n".join(["Stamp,kW", *(f"2025-06-13 {h:02d}:00,1.5" for h in range(24)), ""]))
    record, before = read_record(path, "UTC"), path.read_bytes()
    other = tmp_path / "other.csv"
    if again == "link":
        other.symlink_to(path)
    elif again == "another file of the job":
        other.write_text("Stamp,kW\n")
    target = path if again == "same name" else other
    with pytest.raises(UsageError, match="as the meter gave them"):
        export(record, target, originals=[path, other])
    assert path.read_bytes() == before


@pytest.mark.parametrize("value", [2.3, 2.26, 0.1, 230.17, 49.98, 0.001])
def test_decimals_come_back_through_espi(tmp_path: Path, write: Write, value: float) -> None:
    """A current of so many decimals is the same number again: whole numbers over powers of ten, divided and not multiplied."""
    rows = [f"2025-06-13 {h:02d}:00,{round(value + h, 3)}" for h in range(24)]
    record = read_record(write("\n".join(["Stamp,Current A", *rows, ""])), "UTC")
    export(record, tmp_path / "out.xml")
    back = read_record(tmp_path / "out.xml", "UTC").channels[0].series.values
    assert back.tolist() == record.channels[0].series.values.tolist()


@pytest.mark.parametrize("ending", ENDINGS)
@pytest.mark.parametrize("mark", [-999_999.0, -9999.0, 65535.0])
def test_a_reading_that_looks_like_a_mark_comes_back(tmp_path: Path, ending: str, mark: float) -> None:
    """An export says by its codes which readings are missing, so no number in it stands for that."""
    held = np.array([mark, 1.5, mark] + [0.25 * i for i in range(20)] + [np.nan, 3.0])
    record = record_of(held)
    path = tmp_path / f"readings{ending}"
    export(record, path)
    again = read_record(path, ZONE)
    same(record.channels[0].series, again.channels[0].series)
    assert "record.marked-missing" not in {one.code for one in again.findings}


def energies(write: Write, names: str = "Energy kWh", rows: int = 48, step: int = 1800) -> Record:
    """A record of energies as a meter writes them, with three decimals."""
    start = datetime(2025, 3, 29, 22, tzinfo=UTC).timestamp()
    lines = [f"start (UTC),{names}"]
    for i in range(rows):
        stamp = datetime.fromtimestamp(start + i * step, UTC)
        held = ",".join(f"{0.2 + (i * 37 + 11 * j) % 83 / 1000:.3f}" for j in range(names.count(",") + 1))
        lines.append(f"{stamp:%Y-%m-%dT%H:%M:%SZ},{held}")
    return read_record(write("\n".join([*lines, ""])), ZONE)


@pytest.mark.parametrize("ending", ENDINGS)
@pytest.mark.parametrize(
    "names", ["Energy kWh", "energy_kwh", "kWh", "P kW", "power_w", "Wirkarbeit [Wh],Blindarbeit [kvarh]", "P kW,P kvar", "L1 A"]
)
def test_an_export_of_an_export_is_the_same(tmp_path: Path, write: Write, ending: str, names: str) -> None:
    """Written, read and written again, the names stay, energy stays energy in its unit, and every number comes back."""
    record = energies(write, names)
    paths = [tmp_path / f"{name}{ending}" for name in ("one", "two", "three")]
    for path in paths:
        export(record, path)
        again = read_record(path, ZONE)
        for ours, theirs in zip(record.channels, again.channels, strict=True):
            same(ours.series, theirs.series)
            assert theirs.meaning.form is ours.meaning.form
            if ours.meaning.form is Form.ENERGY:
                assert theirs.meaning.unit == ours.meaning.unit
        record = again
    columns = [[one.column for one in read_record(path, ZONE).channels] for path in paths]
    assert columns[0] == columns[1] == columns[2]


def test_energies_are_written_as_the_meter_gave_them(tmp_path: Path, write: Write) -> None:
    """Three decimals of a kWh stay such, and over an hour two half hours are added: 0.200 + 0.237 by hand."""
    record = energies(write)
    export(record, tmp_path / "out.csv")
    lines = (tmp_path / "out.csv").read_text().splitlines()
    assert lines[0] == "start (UTC),Energy [kWh],quality of Energy"
    assert [line.split(",")[1] for line in lines[1:4]] == ["0.2", "0.237", "0.274"]
    export(record, tmp_path / "hours.csv", 3600)
    assert (tmp_path / "hours.csv").read_text().splitlines()[1].split(",")[1] == "0.437"


def test_a_register_is_written_as_energy(tmp_path: Path, write: Write) -> None:
    """What a register rises by is energy, and is never read as a register again: each hour 1.5 kWh, by hand."""
    rows = [f"2025-06-{2 + i // 24:02d}T{i % 24:02d}:00Z,{40000 + 1.5 * i + 0.25 * (i % 3)}" for i in range(300)]
    record = read_record(write("\n".join(["start,Meter reading kWh", *rows, ""])), "UTC")
    assert record.channels[0].meaning.form is Form.REGISTER
    export(record, tmp_path / "out.csv")
    again = read_record(tmp_path / "out.csv", "UTC")
    assert (again.channels[0].meaning.form, again.channels[0].meaning.unit) == (Form.ENERGY, "kWh")
    assert np.nansum(again.channels[0].series.raw) == pytest.approx(1.5 * 299 + 0.5, rel=1e-12)


def test_energies_that_would_be_taken_for_a_register(tmp_path: Path, write: Write) -> None:
    """Energies that only rise are written as mean power, so that they are not read as what a register shows."""
    rows = [f"2025-06-{2 + i // 24:02d}T{i % 24:02d}:00Z,{100 + i}" for i in range(48)]
    path = write("\n".join(["start,E kWh", *rows, ""]))
    said = LayoutSpec(columns=(ColumnSpec(column="E kWh", quantity=Quantity.ACTIVE_POWER, form=Form.ENERGY, unit="kWh"),))
    record = read_record(path, "UTC", said)
    export(record, tmp_path / "out.csv")
    again = read_record(tmp_path / "out.csv", "UTC")
    same(record.channels[0].series, again.channels[0].series)
    assert again.channels[0].meaning.form is Form.MEAN


@pytest.mark.parametrize("which", [SPRING, AUTUMN])
@pytest.mark.parametrize("ending", ENDINGS)
def test_days_are_those_of_the_site(tmp_path: Path, ending: str, which: date) -> None:
    """Three local days, the middle one of 23 or 25 hours: means of 1, 2 and 3 kW, each day by its date."""
    first, count = day(900, date.fromordinal(which.toordinal() - 1))
    middle = day(900, which)[1]
    values = np.concatenate([np.full(count, 1e3), np.full(middle, 2e3), np.full(96, 3e3)])
    path = tmp_path / f"days{ending}"
    export(record_of(values, start_s=first), path, 86_400)
    again = read_record(path, ZONE)
    assert again.channels[0].series.values.tolist() == [1e3, 2e3, 3e3]
    if ending == ".csv":
        dates = [date.fromordinal(which.toordinal() + i).isoformat() for i in (-1, 0, 1)]
        assert [line.split(",")[0] for line in path.read_text().splitlines()] == ["day", *dates]


@pytest.mark.parametrize(("which", "hours"), [(SPRING, 23), (AUTUMN, 25)])
def test_days_of_energy_add_up(tmp_path: Path, write: Write, which: date, hours: int) -> None:
    """Half a kWh an hour is half as many kWh as the day has hours; a day that is not whole is missing; in ESPI too."""
    first, count = day(3600, which)
    stamps = [datetime.fromtimestamp(first + 3600 * i, UTC) for i in range(-2, count + 24)]
    rows = [f"{one:%Y-%m-%dT%H:%M:%SZ},{0.5 + 0.001 * (-1) ** i}" for i, one in enumerate(stamps)]
    record = read_record(write("\n".join(["start (UTC),E kWh", *rows, ""])), ZONE)
    export(record, tmp_path / "out.csv", 86_400)
    lines = (tmp_path / "out.csv").read_text().splitlines()
    assert [float(line.split(",")[1] or "nan") for line in lines[1:]] == pytest.approx(
        [np.nan, 0.5 * hours + (0.001 if hours % 2 else 0), 12.0], nan_ok=True, abs=1e-3
    )
    export(record, tmp_path / "out.xml", 86_400)
    readings = list(ET.parse(tmp_path / "out.xml").getroot().iter("{http://naesb.org/espi}IntervalReading"))
    spans = [one.findtext("{http://naesb.org/espi}timePeriod/{http://naesb.org/espi}duration") for one in readings]
    assert spans == ["86400", str(hours * 3600), "86400"]


def test_days_that_do_not_begin_with_a_reading(tmp_path: Path) -> None:
    """Readings of seven hours never fit a day, nor do hours of UTC in a zone of 5:45 h: refused, and nothing written."""
    for record in (record_of(np.ones(40), step_s=25_200), record_of(np.ones(400), step_s=3600, zone="Asia/Kathmandu")):
        with pytest.raises(UsageError, match="not begin at midnight"):
            export(record, tmp_path / "out.csv", 86_400)


@pytest.mark.parametrize("local", [False, True])
def test_instants_of_a_workbook_are_instants(tmp_path: Path, local: bool) -> None:
    """Another library reads date-times, in the clock that the heading names: 22:00 UTC is midnight in Athens in winter."""
    first, _ = day(900, date(2025, 1, 15))
    export(record_of(np.ones(4), start_s=first), tmp_path / "out.xlsx", local=local)
    rows = [[cell.value for cell in row] for row in openpyxl.load_workbook(tmp_path / "out.xlsx").active.iter_rows()]
    told = dict(zip(rows[0], rows[2], strict=True))
    assert told["start (UTC)"] == datetime(2025, 1, 14, 22, 15)
    assert told.get("start (Europe/Athens)") == (datetime(2025, 1, 15, 0, 15) if local else None)


def test_a_folder_that_is_not_there_is_said(tmp_path: Path) -> None:
    """No folder is made because a name was mistyped."""
    with pytest.raises(FileError, match="no such folder"):
        export(record_of(np.ones(4)), tmp_path / "new" / "out.csv")
    assert not (tmp_path / "new").exists()


@pytest.mark.parametrize("ending", ENDINGS)
def test_highest_and_lowest_stay_such(tmp_path: Path, write: Write, ending: str) -> None:
    """Over an hour the highest of four quarters is kept, the lowest, and the mean of means, by hand; ESPI has no code for two."""
    rows = [f"2025-06-02T{i // 4:02d}:{i % 4 * 15:02d}:00Z,{5 + i % 4},{2 + i % 4},{1 + i % 4}" for i in range(96)]
    record = read_record(write("\n".join(["start (UTC),kW max,kW,kW min", *rows, ""])), "UTC")
    export(record, tmp_path / f"one{ending}", 3600)
    again = read_record(tmp_path / f"one{ending}", "UTC")
    assert [one.meaning.form for one in again.channels] == [Form.HIGHEST, Form.MEAN, Form.LOWEST]
    assert [set(one.series.values.tolist()) for one in again.channels] == [{8000.0}, {3500.0}, {1000.0}]
    assert export(record, tmp_path / "out.xml") == ("kw-max", "kw-min")
