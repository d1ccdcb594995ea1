"""Tables with a row for each day, and tables in which meters and quantities stand below one another."""

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from tests.record.books import xlsx
from tests.record.writing import Write
from wattwright.core.errors import RecordError
from wattwright.core.quantity import Direction, Quantity
from wattwright.record.read import read_record, read_records
from wattwright.record.readers import one_unit
from wattwright.record.record import Form, StampsMark
from wattwright.record.spec import ColumnSpec, LayoutSpec
from wattwright.record.units import unit_in

ZONE = "Europe/Athens"
KWH = ColumnSpec(column="readings", quantity=Quantity.ACTIVE_POWER, form=Form.ENERGY, unit="kWh")
SAID = LayoutSpec(columns=(KWH,))


def starts_of(day: str, days: int, step: int, zone: str = ZONE) -> list[int]:
    """Interval starts of whole local days, UTC seconds."""
    first = datetime.fromisoformat(day)
    low, high = (int((first + timedelta(days=n)).replace(tzinfo=ZoneInfo(zone)).timestamp()) for n in (0, days))
    return list(range(low, high, step))


def by_day(starts: list[int], zone: str = ZONE) -> dict[str, list[int]]:
    """The starts of each local day, by its date day first."""
    out: dict[str, list[int]] = {}
    for start in starts:
        out.setdefault(f"{datetime.fromtimestamp(start, UTC).astimezone(ZoneInfo(zone)):%d.%m.%Y}", []).append(start)
    return out


def kwh(record) -> list[float]:
    series = record.channels[0].series
    return [round(float(v) * series.step_s / 3.6e6, 9) for v in series.values]


@pytest.mark.parametrize("step", [900, 1800, 3600])
@pytest.mark.parametrize("day", ["2025-06-12", "2025-03-29", "2025-10-25"], ids=["summer", "spring", "autumn"])
def test_numbered_columns(write: Write, step: int, day: str) -> None:
    """Columns 1 to 25 (50, 100) count from midnight: the last hour stays blank on most days and two on the day of 23 hours."""
    starts = starts_of(day, 3, step)
    width = 25 * 3600 // step
    rows = ["Day;" + ";".join(str(i + 1) for i in range(width))]
    for date, held in by_day(starts).items():
        values = [f"{starts.index(s) % 97 / 4:.2f}".replace(".", ",") for s in held]
        rows.append(f"{date};" + ";".join(values + [""] * (width - len(values))))
    series = read_record(write("\n".join(rows) + "\n"), ZONE, SAID).channels[0].series
    assert series.times_s.tolist() == starts
    np.testing.assert_allclose(series.values * step / 3.6e6, [i % 97 / 4 for i in range(len(starts))], rtol=1e-12)


def test_columns_by_time_of_day(write: Write) -> None:
    """Quarter hours named by their starts, the unit in a line above; the skipped hour of 30 March is blank."""
    names = [f"{q // 4:02d}:{q % 4 * 15:02d}" for q in range(96)]
    rows = ["Invented meter,energy [kWh]", "Day," + ",".join(names)]
    starts = starts_of("2025-03-29", 3, 900)
    for date, held in by_day(starts).items():
        told = {f"{datetime.fromtimestamp(s, UTC).astimezone(ZoneInfo(ZONE)):%H:%M}": starts.index(s) * 37 % 97 for s in held}
        rows.append(f"{date[6:]}-{date[3:5]}-{date[:2]}," + ",".join(str(told.get(name, "")) for name in names))
    record = read_record(write("\n".join(rows) + "\n"), ZONE)
    assert record.channels[0].series.times_s.tolist() == starts
    assert record.channels[0].series.raw.tolist() == [float(i * 37 % 97) for i in range(len(starts))]


@pytest.mark.parametrize("last", ["24:00", "00:00"])
def test_columns_by_end(write: Write, last: str) -> None:
    """Hours named by their ends, the last 24:00 or 00:00 of the day that ends."""
    rows = ["Day;" + ";".join([*(f"{h:02d}:00" for h in range(1, 24)), last])]
    rows += [f"{d}.06.2025;" + ";".join(str(100 * d + h) for h in range(24)) for d in (13, 14, 15)]
    record = read_record(write("\n".join(rows) + "\n"), ZONE, SAID)
    assert record.layout.stamps is StampsMark.END
    assert record.channels[0].series.times_s.tolist() == starts_of("2025-06-13", 3, 3600)
    assert record.channels[0].series.raw.tolist() == [100.0 * d + h for d in (13, 14, 15) for h in range(24)]


def test_wide_workbook(write: Write) -> None:
    """The same on a sheet, with real dates and numbers."""
    rows = [["Day", *range(1, 25)]]
    rows += [[datetime(2025, 6, d), *(d + h / 100 for h in range(24))] for d in (13, 14, 15)]
    record = read_record(write(xlsx({"A": rows})), ZONE, SAID)
    assert kwh(record) == [round(d + h / 100, 9) for d in (13, 14, 15) for h in range(24)]


def test_fault_in_a_wide_table(write: Write) -> None:
    """A text among the readings is told with the row it stands in."""
    rows = ["Day;" + ";".join(f"{h:02d}:00" for h in range(24))]
    rows += [f"{d}.06.2025;" + ";".join("worn" if (d, h) == (14, 5) else str(h) for h in range(24)) for d in (13, 14, 15)]
    with pytest.raises(RecordError) as caught:
        read_record(write("\n".join(rows) + "\n"), ZONE, SAID)
    assert (caught.value.faults[0].code, caught.value.faults[0].place.line) == ("record.number", 3)


HOURS = [f"2025-06-13 {h:02d}:00" for h in range(24)]


def test_long_table_of_meters(write: Write) -> None:
    """Two meters below each other, row by row or block by block, are two records."""
    rows = [(m, t, i + 100 * n) for n, m in enumerate(("House", "Barn")) for i, t in enumerate(HOURS)]
    for order in (rows, sorted(rows, key=lambda row: row[1])):
        path = write("Meter,Time,P [W]\n" + "".join(f"{m},{t},{v}\n" for m, t, v in order))
        records = {r.channels[0].meter: r.channels[0].series.values.tolist() for r in read_records(path, ZONE)}
        assert records == {"House": [float(i) for i in range(24)], "Barn": [100.0 + i for i in range(24)]}
        assert read_record(path, ZONE, LayoutSpec(part="Barn")).channels[0].series.values[0] == 100
        with pytest.raises(RecordError, match='"House"'):
            read_record(path, ZONE)


def test_meters_by_number(write: Write) -> None:
    """Meters may be numbered where the name of the column says so."""
    path = write("Time,Meter ID,P [W]\n" + "".join(f"{t},{m},{m + i}\n" for i, t in enumerate(HOURS) for m in (4711, 4712)))
    assert [r.channels[0].series.values[0] for r in read_records(path, ZONE)] == [4711, 4712]


def test_long_table_of_quantities(write: Write) -> None:
    """Quantities with their units in columns of their own are channels of one record; one of them lacks an hour."""
    rows = []
    for i, t in enumerate(HOURS):
        rows += [f"{t},Energy import,{i},kWh", f"{t},Energy export,{i / 2},kWh"] + (
            [f"{t},Voltage,{230 + i},V"] if i != 5 else []
        )
    record = read_record(write("Time,Quantity,Value,Unit\n" + "\n".join(rows) + "\n"), ZONE)
    found = [(c.column, c.meaning.quantity, c.meaning.direction) for c in record.channels]
    assert found == [
        ("Energy import [kWh]", Quantity.ACTIVE_POWER, Direction.IMPORT),
        ("Energy export [kWh]", Quantity.ACTIVE_POWER, Direction.EXPORT),
        ("Voltage [V]", Quantity.VOLTAGE, Direction.NONE),
    ]
    assert record.channels[0].series.raw.tolist() == [float(i) for i in range(24)]
    assert np.flatnonzero(~record.channels[2].series.present).tolist() == [5]


def test_long_json(write: Write) -> None:
    """The same in JSON, with meters."""
    rows = [{"id": m, "time": t, "kW": i + n} for n, m in enumerate(("a", "b")) for i, t in enumerate(HOURS)]
    records = read_records(write(json.dumps(rows)), ZONE)
    assert [(r.channels[0].meter, r.channels[0].series.values[1]) for r in records] == [("a", 1000), ("b", 2000)]


def test_status_beside_readings_is_no_meter(write: Write) -> None:
    """A column of text beside readings that stand once for each stamp tells no meters apart."""
    record = read_record(
        write("Time,Status,P [W]\n" + "".join(f"{t},{'ok' if i % 3 else 'low'},{i}\n" for i, t in enumerate(HOURS))), ZONE
    )
    assert len(record.channels[0].series) == 24


def test_long_tables_of_several_files(tmp_path: Path) -> None:
    """Meters are told apart in each file and joined over the files."""
    folder = tmp_path / "m"
    folder.mkdir()
    for name, low, high in (("a", 0, 14), ("b", 12, 24)):
        rows = [f"{m},{HOURS[i]},{i + 100 * n}" for i in range(low, high) for n, m in enumerate(("House", "Barn"))]
        (folder / f"{name}.csv").write_text("\n".join(["Meter,Time,P [W]", *rows, ""]))
    records = read_records(folder, ZONE)
    assert [(r.channels[0].meter, r.channels[0].series.values.tolist()) for r in records] == [
        ("House", [float(i) for i in range(24)]),
        ("Barn", [100.0 + i for i in range(24)]),
    ]


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_random_long_tables_come_back(data: st.DataObject, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Meters with their own values, in any order of rows, over both changes of the clock, come back equal."""
    zone = data.draw(st.sampled_from([ZONE, "America/Toronto"]))
    step = data.draw(st.sampled_from([900, 3600]))
    starts = starts_of(data.draw(st.sampled_from(["2025-06-13", "2025-03-30", "2025-10-26", "2025-11-02"])), 1, step, zone)
    meters = data.draw(st.lists(st.sampled_from(["House", "Barn", "Pump room", "EV 2"]), min_size=2, max_size=4, unique=True))
    values = np.round(np.random.default_rng(data.draw(st.integers(0, 99))).uniform(0, 9, (len(meters), len(starts))), 2)
    rows = [(m, f"{datetime.fromtimestamp(s, UTC).astimezone(ZoneInfo(zone)):%Y-%m-%d %H:%M}", v, s)
            for m, line in zip(meters, values.tolist(), strict=True) for s, v in zip(starts, line, strict=True)]  # fmt: skip
    if data.draw(st.booleans()):
        rows.sort(key=lambda row: row[3])
    path = tmp_path_factory.mktemp("long") / "m.csv"
    path.write_text("Meter;Stamp;kW\n" + "".join(f"{m};{t};{v}\n" for m, t, v, _ in rows))
    for record, line in zip(read_records(path, zone, LayoutSpec(stamps="start")), values, strict=True):
        assert record.channels[0].series.times_s.tolist() == starts
        np.testing.assert_allclose(record.channels[0].series.values, 1000 * line, rtol=1e-12)


def test_wide_table_of_two_meters(write: Write) -> None:
    """A row for each day and meter is turned and then told apart."""
    rows = ["Meter;Day;" + ";".join(f"{h:02d}:00" for h in range(24))]
    rows += [
        f"{m};{d}.06.2025;" + ";".join(f"{v},{h:02d}" for h in range(24))
        for d in (13, 14)
        for m, v in (("House", 1), ("Barn", 2))
    ]
    records = read_records(write("\n".join(rows) + "\n"), ZONE, SAID)
    assert [(r.channels[0].meter, kwh(r)[:3]) for r in records] == [("House", [1, 1.01, 1.02]), ("Barn", [2, 2.01, 2.02])]


def test_numbered_columns_that_make_no_day(write: Write) -> None:
    """Forty numbered columns beside a date are no intervals of a day: nothing says what they hold."""
    rows = ["Day;" + ";".join(str(i + 1) for i in range(40))]
    rows += [f"{d}.06.2025;" + ";".join(["1,5"] * 40) for d in (13, 14, 15)]
    with pytest.raises(RecordError) as caught:
        read_record(write("\n".join(rows) + "\n"), ZONE)
    assert caught.value.faults[0].code == "record.no-reading"


@pytest.mark.parametrize(
    ("rows", "code"),
    [
        (["From;To;kWh", *["2025-06-13 00:00;2025-06-13 01:00;1.5"] * 9], "record.no-step"),
        (
            [
                "Energy kWh per interval",
                "Date;" + ";".join(f"{h:02d}:00" for h in range(24)),
                *['20.01.2025;0."24' + ";0.1" * 23] * 4,
            ],
            "record.quotes",
        ),
        (["when\tW", "2/13/2025 12:00 AM\t0", *["2/1M\t0"] * 20], "record.no-stamps"),
    ],
    ids=["the same hour throughout", "a stray quote in each row", "a damaged stamp over and over"],
)
def test_rows_that_are_all_alike_are_refused(write: Write, rows: list[str], code: str) -> None:
    """There is nothing to lay out, no row of the right width to go by, and a damaged stamp is no name of a meter."""
    with pytest.raises(RecordError) as caught:
        read_record(write("\n".join([*rows, ""])), "UTC")
    assert caught.value.faults[0].code == code


def test_numbered_columns_are_shown_as_they_stand_and_need_no_end(write: Write) -> None:
    """The screen shows the file's own rows and how they are laid out; nothing is asked but the zone where none was given."""
    rows = ["Day," + ",".join(str(h) for h in range(1, 25)) + ",kWh total"]
    rows += [f"2025-06-{d},{','.join(['0.5'] * 24)},12" for d in (13, 14, 15, 16)]
    path = write("\n".join(["kWh per hour", *rows, ""]))
    record = read_record(path, ZONE)
    assert record.layout.stamp_format.startswith("a row for each day, a column for each interval")
    assert [number for number, _ in record.layout.first_rows] == [3, 4, 5]
    assert record.layout.first_rows[0][1] == "2025-06-13" + " | 0.5" * 11 + " | …"
    assert (record.layout.stamps.value, "offset" in record.layout.clock_why) == ("start", False)
    assert {f.code for f in record.findings} & {"record.stamps-assumed", "record.zone-unknown"} == set()
    assert "record.zone-unknown" in {f.code for f in read_record(path).findings}


def hours_file(starts: list[int], number) -> str:
    """A date, the number of the hour and kWh, which go up by a hundredth from one start to the next."""
    lines = ["Date,Hour,kWh"]
    for date, held in by_day(starts).items():
        local = [datetime.fromtimestamp(s, UTC).astimezone(ZoneInfo(ZONE)) for s in held]
        lines += [
            f"{date[6:]}-{date[3:5]}-{date[:2]},{number(k, at.hour)},{0.3 + starts.index(s) * 37 % 97 / 100:.2f}"
            for k, (s, at) in enumerate(zip(held, local, strict=True))
        ]
    return "\n".join([*lines, ""])


@pytest.mark.parametrize("day", ["2025-06-12", "2025-03-29", "2025-10-25"], ids=["summer", "spring", "autumn"])
@pytest.mark.parametrize(
    ("number", "mark"),
    [
        (lambda _, hour: hour, "start"),
        (lambda _, hour: hour + 1, "end"),
        (lambda k, _: k, "start"),
        (lambda k, _: k + 1, None),
    ],
    ids=["clock from 0", "clock from 1", "counted from 0", "counted from 1"],
)
def test_hour_numbers_beside_a_date(write: Write, day: str, number, mark: str | None) -> None:
    """Hours of the clock leave one out or stand twice when clocks change; counted ones run to 23 or 25: both are read."""
    starts = starts_of(day, 3, 3600)
    record = read_record(write(hours_file(starts, number)), ZONE)
    assert record.channels[0].series.times_s.tolist() == starts
    assert kwh(record) == [round(0.3 + i * 37 % 97 / 100, 2) for i in range(len(starts))]
    assert mark in (None, record.layout.stamps.value) or day != "2025-06-12"
    assert record.layout.first_rows[0][1].count(" | ") == 2


def test_what_is_no_hour_is_left_aside(write: Write) -> None:
    """Numbers beyond a day, one number throughout, halves, and a column that is not called hour are no times of day."""
    long = "Date,Hour,kWh\n" + "".join(f"2025-06-{d},{h},0.{h}\n" for d in (13, 14) for h in range(30, 50))
    with pytest.raises(RecordError, match="already has"):
        read_record(write(long), ZONE)
    for name, number in (("Hour", 7), ("Hour", 7.5), ("Level", 3)):
        days = "".join(f"2025-06-{d},{number},0.5\n" for d in (13, 14, 15))
        assert read_record(write(f"Date,{name},kWh\n{days}"), ZONE).layout.stamp_columns == ("Date",)


def changing(first: str, other: str, factor: float, meters: tuple[str, ...] = ("",)) -> tuple[str, list[float]]:
    """A long table whose unit changes after 40 of 96 hours, for each meter, and the readings in the first unit."""
    held = [round(0.4 + 0.01 * (i * 37 % 23), 3) for i in range(96)]
    rows = [f"start{',meter' if meters[0] else ''},value,unit"]
    for i, value in enumerate(held):
        text, unit = (f"{value}", first) if i < 40 else (f"{value * factor:.6g}", other)
        rows += [f"2025-06-{2 + i // 24:02d}T{i % 24:02d}:00,{meter + ',' if meter else ''}{text},{unit}" for meter in meters]
    return "\n".join(rows) + "\n", held


@pytest.mark.parametrize(
    ("first", "other", "factor"), [("kWh", "Wh", 1e3), ("Wh", "kWh", 1e-3), ("kW", "W", 1e3), ("kWh", "MWh", 1e-3)]
)
def test_unit_that_changes_on_the_way(write: Write, first: str, other: str, factor: float) -> None:
    """Rows in another unit are taken in it, and the finding names both units, how many rows and the first (its line by hand)."""
    text, held = changing(first, other, factor)
    record = read_record(write(text), ZONE)
    assert len(record.channels) == 1
    np.testing.assert_allclose(record.channels[0].series.raw, held, rtol=1e-12)
    assert record.channels[0].meaning.unit == first
    found = next(one for one in record.findings if one.code == "record.unit-changes")
    assert (found.data["first"], found.data["other"], found.data["count"], found.data["row"]) == (first, other, 56, 42)
    assert not record.gaps


def test_unit_that_changes_for_each_of_two_meters(write: Write) -> None:
    """Each meter's readings are one channel, whole."""
    text, held = changing("kWh", "Wh", 1e3, ("M1", "M2"))
    for record in read_records(write(text), ZONE):
        np.testing.assert_allclose(record.channels[0].series.raw, held, rtol=1e-12)


def test_degrees_that_change_are_shifted_too(write: Write) -> None:
    """20 degC and 68 degF are the same temperature, by definition."""
    rows = [f"2025-06-02T{i:02d}:00,{20 if i < 12 else 68},{'degC' if i < 12 else 'degF'}" for i in range(24)]
    series = read_record(write("\n".join(["start,value,unit", *rows]) + "\n"), ZONE).channels[0].series
    np.testing.assert_allclose(series.values, 20.0, rtol=1e-12)


def test_unit_written_in_other_letters_is_the_same(write: Write) -> None:
    """KWH and kWh are one unit, and nothing is to be said about it."""
    text, held = changing("kWh", "KWH", 1.0)
    record = read_record(write(text), ZONE)
    np.testing.assert_allclose(record.channels[0].series.raw, held, rtol=1e-12)
    assert not [one for one in record.findings if one.code == "record.unit-changes"]


def test_energy_that_turns_into_power_is_asked(write: Write) -> None:
    """Rows of kWh followed by rows of kW are refused with the row and both units: nothing shows what the meter gave."""
    text, _ = changing("kWh", "kW", 1.0)
    with pytest.raises(RecordError) as told:
        read_record(write(text), ZONE)
    fault = told.value.faults[0]
    assert (fault.code, fault.place.line) == ("record.unit-changes", 42)
    assert fault.found == 'the unit "kW", after "kWh" in row 2'


def test_many_columns_are_not_compared_one_by_one(write: Write, monkeypatch: pytest.MonkeyPatch) -> None:
    """A table of very many columns looks once or twice at the unit in each name, not once for each pair of columns."""
    looked: list[str] = []
    monkeypatch.setattr(one_unit, "unit_in", lambda name: looked.append(name) or unit_in(name))
    count = 600
    head = ",".join(["Time", *(f"circuit {i} [kW]" for i in range(count))])
    rows = "".join(f"2025-01-01 {h:02d}:00," + ",".join(["0.5"] * count) + "\n" for h in range(3))
    assert len(read_record(write(f"{head}\n{rows}"), "Europe/Athens").channels) == count
    assert len(looked) <= 3 * count
