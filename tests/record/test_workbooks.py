"""Workbooks as spreadsheet programs and utilities write them; the writers are openpyxl and plain XML."""

import datetime as dt
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from tests.record.books import ods, xlsx
from tests.record.writing import Write
from wattwright.core.errors import RecordError
from wattwright.core.quantity import Phase, Quantity
from wattwright.record.read import read_record
from wattwright.record.record import Record
from wattwright.record.spec import LayoutSpec

ZONE = "Europe/Athens"
FIRST = dt.datetime(2025, 6, 13)
START = int(dt.datetime(2025, 6, 12, 21, tzinfo=dt.UTC).timestamp())
"""Midnight of 13 June 2025 in Athens."""


def hours(count: int = 24) -> list[dt.datetime]:
    return [FIRST + dt.timedelta(hours=i) for i in range(count)]


def kw(count: int = 24) -> list[float]:
    """Numbers with three decimals, as text they could be thousands: 1.001, 1.002, ..."""
    return [1 + (i + 1) / 1000 for i in range(count)]


def rows(*columns: list, names: tuple[str, ...] = ("Time", "P [kW]")) -> list[list]:
    return [list(names), *map(list, zip(*columns, strict=True))]


def check(record: Record, values: list[float] | None = None) -> None:
    """The record holds kw() from midnight by the hour, exactly."""
    series = record.channels[0].series
    expected = [1000 * v for v in (values or kw())]
    assert (series.start_s, series.step_s, series.values.tolist()) == (START, 3600, expected)


@pytest.mark.parametrize("kind", [xlsx, ods], ids=["xlsx", "ods"])
def test_plain_sheet(write: Write, kind) -> None:
    """Dates and numbers with their own types need no judging of decimals or of the order of dates."""
    check(read_record(write(kind({"Data": rows(hours(), kw())})), ZONE))


@pytest.mark.parametrize("kind", [xlsx, ods], ids=["xlsx", "ods"])
def test_preamble_empty_rows_and_footer(write: Write, kind) -> None:
    """Lines above, an empty row and column, a row of units and a total below are told apart as in text; rows keep numbers."""
    top = [["Invented meter 7"], ["Site", "none"], [], [None, "Time", "Load", "note"], [None, None, "kW", None]]
    body = [[None, t, v, "ok" if i else None] for i, (t, v) in enumerate(zip(hours(), kw(), strict=True))]
    record = read_record(write(kind({"Data": [*top, *body, [None, "Total", sum(kw()), None]]})), ZONE)
    check(record)
    assert record.channels[0].column == "Load [kW]"
    told = next(f for f in record.findings if f.code == "record.last-row")
    assert told.data["row"] == 30
    assert "\ufffd" not in str(told.data["found"])
    assert "Total | " in str(told.data["found"])


def test_numbers_as_text(write: Write) -> None:
    """Text cells are judged like text: commas are decimals here, and a fault is told with sheet, row and column."""
    text = [f"{v:.2f}".replace(".", ",") for v in (1.25, 2.5, 0.75, 3.0)]
    values = [1250, 2500, 750, 3000]
    assert read_record(write(xlsx({"A": rows(hours(4), text)})), ZONE).channels[0].series.values.tolist() == values
    mixed = [1.25, "2,5", 0.75, "3"]
    assert read_record(write(xlsx({"A": rows(hours(4), mixed)})), ZONE).channels[0].series.values.tolist() == values
    with pytest.raises(RecordError, match=r"meter.csv, sheet A, line 4, column P"):
        read_record(write(xlsx({"A": rows(hours(5), [1.25, 2.5, "worn", 3, 4])})), ZONE)


def test_number_beside_commas_that_could_be_thousands(write: Write) -> None:
    """1.234 beside text with commas may be a number or a text of thousands: asked, never guessed."""
    with pytest.raises(RecordError, match=r'found "1\.234"') as caught:
        read_record(write(xlsx({"A": rows(hours(4), [1.234, "2,5", "0,75", "3"])})), ZONE)
    assert caught.value.faults[0].code == "record.decimal-mixed"


@pytest.mark.parametrize("mac", [False, True], ids=["1900", "1904"])
def test_dates_in_both_counts(write: Write, mac: bool) -> None:
    """Dates of a workbook that counts from 1904 are the same dates."""
    check(read_record(write(xlsx({"A": rows(hours(), kw())}, mac=mac)), ZONE))


@pytest.mark.parametrize("mac", [False, True], ids=["1900", "1904"])
def test_counts_of_days_without_a_format(write: Write, mac: bool) -> None:
    """45821.0 is 13 June 2025 counted from 30 December 1899; from 1904, 1,462 fewer (ISO/IEC 29500-1, 18.17.4)."""
    assert dt.date(1899, 12, 30) + dt.timedelta(days=45821) == FIRST.date()
    assert dt.date(1904, 1, 1) + dt.timedelta(days=44359) == FIRST.date()
    counts = [(44359 if mac else 45821) + i / 24 for i in range(24)]
    check(read_record(write(xlsx({"A": rows(counts, kw())}, mac=mac)), ZONE))


def test_days_and_times_apart(write: Write) -> None:
    """A column of dates beside one of times of day, as cells of those types or as whole days and parts of a day."""
    names = ("Day", "Clock", "P [kW]")
    days, times = [t.date() for t in hours()], [t.time() for t in hours()]
    check(read_record(write(xlsx({"A": rows(days, times, kw(), names=names)})), ZONE))
    counts, parts = [45821] * 12 + [45822] * 12, [i / 24 for i in range(12, 24)] + [i / 24 for i in range(12)]
    record = read_record(write(xlsx({"A": rows(counts, parts, kw(), names=names)})), ZONE)
    assert (record.channels[0].series.start_s, len(record.channels[0].series)) == (START + 12 * 3600, 24)


def test_daily_sheet(write: Write) -> None:
    """Dates alone are days."""
    days = [FIRST.date() + dt.timedelta(days=i) for i in range(10)]
    record = read_record(write(xlsx({"A": rows(days, kw(10), names=("Day", "E [kWh]"))})), ZONE)
    assert record.channels[0].series.step_s == 86400
    assert "dated by its day" in record.layout.stamps_why


def test_merged_names(write: Write) -> None:
    """A name merged over three columns stands before the name of each; one merged over two rows stays as it is."""
    values = kw()
    top = [["Stamp", "Power [kW]", None, None, "Voltage"], [None, "L1", "L2", "L3", "V"]]
    body = [[t, v, v + 1, v + 2, 230 + i % 3] for i, (t, v) in enumerate(zip(hours(), values, strict=True))]
    record = read_record(write(xlsx({"A": [*top, *body]}, merged=["B1:D1", "A1:A2"])), ZONE)
    assert [c.meaning.phase for c in record.channels] == [Phase.L1, Phase.L2, Phase.L3, Phase.TOTAL]
    assert [c.column for c in record.channels] == ["Power [kW] L1", "Power [kW] L2", "Power [kW] L3", "Voltage V"]
    assert record.channels[3].meaning.quantity is Quantity.VOLTAGE
    check(record)


def test_formulas_give_what_they_last_gave(write: Write) -> None:
    """A formula that was never worked out has no value: missing, and told as such."""
    record = read_record(write(xlsx({"A": rows(hours(), [*kw(23), "=1+1"])})), ZONE)
    assert record.channels[0].series.present.tolist() == [True] * 23 + [False]
    assert "record.no-value" in {f.code for f in record.findings}


def test_all_sheets_are_looked_at(write: Write) -> None:
    """Months on sheets of their own are one record; notes and a daily summary are left out with a word."""
    stamps, values = hours(48), kw(48)
    june = rows(stamps[:24], values[:24])
    july = rows(stamps[24:], values[24:])
    days = rows([FIRST.date(), FIRST.date() + dt.timedelta(days=1)], [25.3, 26.0], names=("Day", "E [kWh]"))
    path = write(xlsx({"Notes": [["Invented."]], "Days": days, "A": june, "B": july, "Empty": []}))
    record = read_record(path, ZONE)
    check(record, values)
    told = {f.code: f.data for f in record.findings}
    assert told["record.sheets"]["sheets"] == '"A", "B"'
    assert told["record.sheets-left"]["sheets"] == '"Notes", "Days", "Empty"'
    for part in ("Days", "2"):
        assert read_record(path, ZONE, LayoutSpec(part=part)).channels[0].series.step_s == 86400


def test_workbook_in_an_archive(write: Write, tmp_path: Path) -> None:
    """A workbook is a zip archive itself, and may lie in one or in a folder."""
    import zipfile

    with zipfile.ZipFile(tmp_path / "m.zip", "w") as archive:
        archive.writestr("a.xlsx", xlsx({"A": rows(hours()[:12], kw()[:12])}))
        archive.writestr("b.ods", ods({"A": rows(hours()[12:], kw()[12:])}))
    check(read_record(tmp_path / "m.zip", ZONE, LayoutSpec(stamps="start")))


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_random_sheets_come_back(data: st.DataObject, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Any numbers at any step come back to the last bit, by dates or by counts of days, under a preamble or not."""
    step = data.draw(st.sampled_from([1, 5, 15, 30, 60]))
    # One of the writers keeps 16 digits only.
    numbers = st.integers(-(10**12), 10**12).map(lambda whole: whole / 1e6)
    values = [0.5, *data.draw(st.lists(numbers | st.none(), min_size=3, max_size=40)), 0.25]
    instants = [FIRST + dt.timedelta(minutes=step * i) for i in range(len(values))]
    stamps = instants if data.draw(st.booleans()) else [45821 + step * i / 1440 for i in range(len(values))]
    top = data.draw(st.sampled_from([[], [["Invented"], []], [["a", "b"], ["c"]]]))
    kind = data.draw(st.sampled_from([xlsx, ods]))
    path = tmp_path_factory.mktemp("book") / "m.xlsx"
    path.write_bytes(kind({"A": [*top, *rows(stamps, values, names=("Time", "P [W]"))]}))
    series = read_record(path, ZONE, LayoutSpec(stamps="start")).channels[0].series
    assert (series.start_s, series.step_s) == (START, 60 * step)
    np.testing.assert_array_equal(series.values, np.array([np.nan if v is None else v for v in values], float))


def test_real_dates_and_text_dates_in_one_column_are_refused(write: Write) -> None:
    """Dates of which those that exist both ways were turned into real ones, day and month exchanged, are not read silently."""
    rows: list[list[object]] = [["Date", "kWh"]]
    for day in range(10, 20):
        for hour in range(24):
            # The fifth of May and the like: a program that takes the month first exchanges what it can.
            cell = dt.datetime(2025, day, 5, hour) if day <= 12 else f"{day}/05/2025 {hour:02d}:00"
            rows.append([cell, 0.5])
    with pytest.raises(RecordError) as caught:
        read_record(write(xlsx({"Data": rows})), "UTC")
    (fault,) = caught.value.faults
    assert (fault.code, fault.place.line) == ("record.dates-mixed", 2 + 3 * 24)
    assert "72 cells are real dates and 168 are text" in fault.wanted


def test_one_date_written_by_hand_is_no_fault(write: Write) -> None:
    """One cell of text among real dates is read as what it can only be."""
    rows: list[list[object]] = [["Date", "kWh"], *([dt.datetime(2025, 5, 13, hour), 0.5] for hour in range(24))]
    rows[6][0] = "13/05/2025 05:00"
    assert len(read_record(write(xlsx({"Data": rows})), "UTC").channels[0].series) == 24
