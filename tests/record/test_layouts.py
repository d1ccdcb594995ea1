"""Small files in the many ways of writing: each is read as a person would read it, or asked about."""

from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from tests.record.writing import Write
from wattwright.core.errors import RecordError
from wattwright.core.quality import Quality
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.core.show import Show
from wattwright.record.read import read_record
from wattwright.record.record import Form, Record
from wattwright.record.spec import ColumnSpec, LayoutSpec

H, Q = 3600, 900


def utc(text: str) -> int:
    """Seconds of an ISO stamp with its offset."""
    return int(datetime.fromisoformat(text).astimezone(UTC).timestamp())


def watts(record: Record) -> list[float]:
    return record.channels[0].series.values.tolist()


def codes(record: Record) -> set[str]:
    return {finding.code for finding in record.findings}


def refused(path: Path, zone: str = "", layout: LayoutSpec | None = None) -> RecordError:
    with pytest.raises(RecordError) as caught:
        read_record(path, zone, layout)
    return caught.value


STAMPS = {
    "ISO with Z": (["2025-06-01T00:00:00Z", "2025-06-01T00:15:00Z"], "2025-06-01T00:00+00:00"),
    "offset with colon": (["2025-06-01 00:00+03:00", "2025-06-01 00:15+03:00"], "2025-06-01T00:00+03:00"),
    "offset without colon": (["2025-06-01 00:00 +0300", "2025-06-01 00:15 +0300"], "2025-06-01T00:00+03:00"),
    "offset of hours": (["2025-06-01 00:00:00+03", "2025-06-01 00:15:00+03"], "2025-06-01T00:00+03:00"),
    "negative offset": (["2025-06-01 00:00:00-03:30", "2025-06-01 00:15:00-03:30"], "2025-06-01T00:00-03:30"),
    "fractions of a second": (["2025-06-01T00:00:00.000", "2025-06-01T00:15:00.000"], "2025-06-01T00:00+03:00"),
    "twelve hours": (["06/13/2025 12:00 AM", "06/13/2025 12:15 AM"], "2025-06-13T00:00+03:00"),
    "twelve hours, noon, no blank": (["06/13/2025 12:00PM", "06/13/2025 12:15PM"], "2025-06-13T12:00+03:00"),
    "twelve hours with points": (["13.06.2025 1:00 p.m.", "13.06.2025 1:15 p.m."], "2025-06-13T13:00+03:00"),
    "with and without seconds": (["13.06.2025 01:00", "13.06.2025 01:15:00"], "2025-06-13T01:00+03:00"),
    "no leading noughts": (["13/6/2025 1:00", "13/6/2025 1:15"], "2025-06-13T01:00+03:00"),
    "two-digit year": (["13.06.25 01:00", "13.06.25 01:15"], "2025-06-13T01:00+03:00"),
    "two-digit year first": (["25-06-30 01:00", "25-06-30 01:15", "25-07-01 01:00"], None),
    "compact": (["20250613 0100", "20250613 0115"], "2025-06-13T01:00+03:00"),
    "compact in one": (["202506130100", "202506130115"], "2025-06-13T01:00+03:00"),
    "compact with seconds": (["20250613T010000", "20250613T011500"], "2025-06-13T01:00+03:00"),
    "month name": (["13 Jun 2025 01:00", "13 Jun 2025 01:15"], "2025-06-13T01:00+03:00"),
    "month name first": (["June 13, 2025 01:00", "June 13, 2025 01:15"], "2025-06-13T01:00+03:00"),
    "German month": (["13. März 2025 01:00", "13. März 2025 01:15"], "2025-03-13T01:00+02:00"),
    "French month": (["13-août-2025 01:00", "13-août-2025 01:15"], "2025-08-13T01:00+03:00"),
    "Greek month": (["13 Φεβρ 2025 01:00", "13 Φεβρ 2025 01:15"], "2025-02-13T01:00+02:00"),
    "point between hour and minute": (["13.06.2025 01.00", "13.06.2025 01.15"], "2025-06-13T01:00+03:00"),
    "letter between hour and minute": (["13.06.2025 01h00", "13.06.2025 01h15"], "2025-06-13T01:00+03:00"),
    "seconds since 1970": (["1749765600", "1749766500"], "2025-06-13T01:00+03:00"),
    "milliseconds since 1970": (["1749765600000", "1749766500000"], "2025-06-13T01:00+03:00"),
    "microseconds since 1970": (["1749765600000000", "1749766500000000"], "2025-06-13T01:00+03:00"),
}


@pytest.mark.parametrize("name", [name for name, (_, first) in STAMPS.items() if first])
def test_stamps_of_every_kind(write: Write, name: str) -> None:
    """The first interval begins at the instant worked out by hand (Athens: UTC+2, in summer UTC+3), the next 15 min later."""
    stamps, first = STAMPS[name]
    record = read_record(write("\n".join(["Stamp;kW", *(f"{s};1,5" for s in stamps), ""])), "Europe/Athens")
    series = record.channels[0].series
    assert (series.start_s, series.step_s, series.values.tolist()) == (utc(first), Q, [1500.0, 1500.0])


def test_year_first_in_two_digits_is_settled_by_what_follows(write: Write) -> None:
    """25-06-30 followed by 25-07-01: as 30 June and 1 July 2025 the days follow one another, day first they are years apart."""
    rows = [f"25-{d} {h:02d}:00;1,5" for d in ("06-30", "07-01") for h in range(24)]
    record = read_record(write("\n".join(["Stamp;kW", *rows, ""])), "UTC")
    assert record.channels[0].series.start_s == utc("2025-06-30T00:00+00:00")


@pytest.mark.parametrize(
    ("text", "decimal", "value"),
    [
        ("1234.5", ".", 1234.5), ("1,234.5", ".", 1234.5), ("1,234,567", ".", 1234567), ("1 234.5", ".", 1234.5),
        ("1'234.5", ".", 1234.5), ("1.234,5", ",", 1234.5), ("1 234,5", ",", 1234.5), ("1\u202f234,5", ",", 1234.5),
        ("-0,5", ",", -0.5), ("\u22120,5", ",", -0.5), ("+3", ".", 3), (",5", ",", 0.5), ("5.", ".", 5), ("1,5e3", ",", 1500),
        ("1,23", ".", None), ("1.23", ",", None), ("12 34", ".", None), ("1,2345", ".", None), ("", ".", None), (".", ".", None),
        ("1.2.3", ".", None), ("0x10", ".", None), ("1e999", ".", None), ("=1+1", ".", None), ("1 234.567,8", ",", None),
    ],
)  # fmt: skip
def test_number_by_its_decimal_mark(text: str, decimal: str, value: float | None) -> None:
    """Thousands count only in threes; what the decimal mark does not explain is no number."""
    from wattwright.record.readers.numbers import read_number

    assert read_number(text, decimal) == value


@pytest.mark.parametrize(
    ("numbers", "expected"),
    [
        (["1.234,5", "234,5"], [1234.5, 234.5]),
        (["1,234.5", "234.5"], [1234.5, 234.5]),
        (["1 234,5", "234,5"], [1234.5, 234.5]),
        (["1,234,567", "1,000,000"], [1234567, 1000000]),
        (["0,551", "0,230"], [0.551, 0.230]),
        (["1234", "12"], [1234, 12]),
        (["1.5", "7"], [1.5, 7]),
    ],
)
def test_decimal_mark_found_from_the_numbers(write: Write, numbers: list[str], expected: list[float]) -> None:
    """The mark that ends a number, or stands but once in it, is the decimal mark; quoted numbers are numbers."""
    rows = [f'2025-06-13 0{i}:00;"{n}"' for i, n in enumerate(numbers)]
    assert watts(read_record(write("\n".join(["Stamp;P [W]", *rows, ""])))) == expected


@pytest.mark.parametrize(("decimal", "first"), [(",", 1.234), (".", 1234.0)])
def test_open_decimal_mark_is_asked_and_the_answer_taken(write: Write, decimal: str, first: float) -> None:
    """1,234 throughout is asked about, naming both readings and the option; either answer is taken."""
    path = write("\n".join(["Stamp;P [W]", *(f"2025-06-13 0{i}:00;1,{234 + i}" for i in range(5)), ""]))
    assert all(part in str(refused(path)) for part in ("1234 or 1.234", '--decimal ","', '--decimal "."'))
    record = read_record(path, "", LayoutSpec(decimal=decimal))
    assert watts(record)[0] == first
    assert ("record.thousands" in codes(record)) == (decimal == ".")


def test_date_order_is_asked_and_the_answer_taken(write: Write) -> None:
    """One day that may be 3 April or 4 March is asked about with both days; either answer is taken."""
    path = write("\n".join(["Stamp,kWh", *(f"03/04/2025 {h:02d}:00,1.5" for h in range(24)), ""]))
    assert all(part in str(refused(path, "UTC")) for part in ("2025-04-03", "2025-03-04", '--date-order "month first"'))
    starts = [read_record(path, "UTC", LayoutSpec(date_order=o)).channels[0].series.start_s for o in ("day first", "month first")]
    assert starts == [utc("2025-04-03T00:00+00:00"), utc("2025-03-04T00:00+00:00")]


def test_date_order_settled_by_days_that_follow(write: Write) -> None:
    """1 to 3 April follow one another day first; month first they would be months apart. It is said, as nothing else shows it."""
    rows = [f"0{d}/04/2025 {h:02d}:00,1.5" for d in (1, 2, 3) for h in range(24)]
    record = read_record(write("\n".join(["Stamp,kWh", *rows, ""])), "UTC")
    assert record.channels[0].series.start_s == utc("2025-04-01T00:00+00:00")
    assert "record.date-order" in codes(record)


def test_same_day_and_month_needs_no_question(write: Write) -> None:
    """04/04/2025 is one day in either order."""
    record = read_record(write("\n".join(["Stamp,kWh", *(f"04/04/2025 {h:02d}:00,1.5" for h in range(24)), ""])), "UTC")
    assert record.channels[0].series.start_s == utc("2025-04-04T00:00+00:00")


def test_days_that_may_be_months_are_asked(write: Write) -> None:
    """01/02, 01/03, ... of rows without a time of day may be days or months: asked, although the days would follow neatly."""
    path = write("\n".join(["Day,kWh", *(f"01/{d:02d}/2025,1.5" for d in range(1, 13)), ""]))
    assert refused(path, "UTC").faults[0].code == "record.date-order-open"


@pytest.mark.parametrize(
    ("rows", "stamps", "mark", "why"),
    [
        ([f"13.06.2025;{h:02d}:00;1,5" for h in range(24)], "Day;Time", "start", "last interval before midnight"),
        ([*(f"13.06.2025;{h:02d}:00;1,5" for h in range(1, 24)), "14.06.2025;00:00;1,5"],
         "Day;Time", "end", "past 00:00 to midnight"),
        ([f"13.06.2025;{h % 24:02d}:00;1,5" for h in range(1, 25)], "Day;Time", "end", "00:00 of the day that ends"),
        ([f"13.06.2025;{h:02d}:00;1,5" for h in range(1, 25)], "Day;Time", "end", "24:00"),
        ([f"13.06.2025;{h:02d}:00;1,5" for h in range(3, 9)], "Day;Ende", "end", "Ende"),
        ([f"13.06.2025;{h:02d}:00;1,5" for h in range(3, 9)], "Day;Interval start", "start", "Interval start"),
        ([f"13.06.2025;{h:02d}:00;1,5" for h in range(3, 9)], "Day;Time", "start", "assumed"),
        ([f"13.06.2025;{h:02d}:00;{h + 1:02d}:00;1,5" for h in range(3, 9)], "Day;From;To", "start", "the start and the end"),
        ([f"13.06.2025 {h:02d}:00;13.06.2025 {h + 1:02d}:00;1,5" for h in range(3, 9)], "A;B", "start", "the start and the end"),
    ],
)  # fmt: skip
def test_which_end_the_stamps_mark(write: Write, rows: list[str], stamps: str, mark: str, why: str) -> None:
    """The end is taken from evidence that is said; without any the start is assumed, with a finding that asks to look."""
    record = read_record(write("\n".join([f"{stamps};kWh", *rows, ""])), "UTC")
    assert (record.layout.stamps.value, why in record.layout.stamps_why) == (mark, True)
    first = int(rows[0].replace(" ", ";").split(";")[1][:2])
    expected = utc("2025-06-13T00:00+00:00") + H * (first - (mark == "end"))
    assert (record.channels[0].series.start_s, len(record.channels[0].series)) == (expected, len(rows))
    assert ("record.stamps-assumed" in codes(record)) == (why == "assumed")


def test_ends_before_starts_are_turned_round(write: Write) -> None:
    """A file whose first stamp is the end and whose second is the start gives the same intervals."""
    rows = [f"13.06.2025 {h + 1:02d}:00;13.06.2025 {h:02d}:00;1,5" for h in range(20, 23)] + [
        "14.06.2025 00:00;13.06.2025 23:00;1,5"
    ]
    series = read_record(write("\n".join(["To;From;kWh", *rows, ""])), "UTC").channels[0].series
    assert (series.start_s, len(series), series.step_s) == (utc("2025-06-13T20:00+00:00"), 4, H)


def test_end_after_midnight_in_a_time_column(write: Write) -> None:
    """23:00 to 00:00 of one date is one hour."""
    rows = [f"13.06.2025;{h:02d}:00;{(h + 1) % 24:02d}:00;1,5" for h in range(20, 24)]
    series = read_record(write("\n".join(["Day;From;To;kWh", *rows, ""])), "UTC").channels[0].series
    assert (series.step_s, len(series)) == (H, 4)


def test_column_named_utc_is_taken_before_a_local_one(write: Write) -> None:
    """Of a local and a UTC column the second is exact."""
    rows = [f"2025-06-13 {h + 3:02d}:00,2025-06-13 {h:02d}:00,1.5" for h in range(9)]
    record = read_record(write("\n".join(["Local,Time (UTC),kWh", *rows, ""])), "Europe/Athens")
    assert record.channels[0].series.start_s == utc("2025-06-13T00:00+00:00")
    assert "UTC" in record.layout.clock_why


def test_a_line_above_says_what_the_stamps_mark(write: Write) -> None:
    """A preamble that says "end of interval" is evidence."""
    rows = [f"13.06.2025;{h:02d}:00;1,5" for h in range(3, 9)]
    record = read_record(write("\n".join(["Stamps;end of interval", "Day;Time;kWh", *rows, ""])), "UTC")
    assert (record.layout.stamps.value, record.layout.preamble_rows, record.layout.header_row) == ("end", 1, 2)


BODY = [f"13.06.2025 {h:02d}:00;{h},5" for h in range(24)]
FRAMES = {
    "plain": "\n".join(["Stamp;kW", *BODY, ""]),
    "no newline at the end": "\n".join(["Stamp;kW", *BODY]),
    "trailing delimiter": "\n".join(["Stamp;kW;", *(b + ";" for b in BODY), ""]),
    "trailing delimiter in the body only": "\n".join(["Stamp;kW", *(b + ";" for b in BODY), ""]),
    "trailing delimiter in some rows": "\n".join(["Stamp;kW", *(b + ";" * (i % 2) for i, b in enumerate(BODY)), ""]),
    "blank lines": "\n\n".join(["Stamp;kW", *BODY, ""]),
    "rows of delimiters": "\n;\n".join(["Stamp;kW", *BODY, ""]),
    "quoted": "\n".join(['"Stamp";"kW"', *(f'"{b.replace(";", chr(34) + ";" + chr(34))}"' for b in BODY), ""]),
    "tabs": "\n".join(["Stamp\tkW", *(b.replace(";", "\t") for b in BODY), ""]),
    "bars": "\n".join(["Stamp|kW", *(b.replace(";", "|") for b in BODY), ""]),
    "comma with quoted numbers": "\n".join(["Stamp,kW", *(f'{b.split(";")[0]},"{b.split(";")[1]}"' for b in BODY), ""]),
    "blanks": "\n".join(["Day Clock kW", *(b.replace(";", "    ") for b in BODY), ""]),
    "padded": "\n".join(["Stamp ; kW", *(f" {b.replace(';', ' ;  ')} " for b in BODY), ""]),
    "carriage returns only": "\r".join(["Stamp;kW", *BODY, ""]),
    "preamble with delimiters": "\n".join(["Site;a;b;c", "Serial;77", "", "From;13.06.2025", "Stamp;kW", *BODY, ""]),
    "units below the names": "\n".join(["Stamp;P", "dd.mm.yyyy hh:mm;kW", *BODY, ""]),
    "units in brackets below": "\n".join(["Stamp;P", "[];[kW]", *BODY, ""]),
    "totals at the end": "\n".join(["Stamp;kW", *BODY, "Sum;288", "Mean;12", ""]),
}


@pytest.mark.parametrize("name", FRAMES)
def test_same_readings_in_every_frame(write: Write, name: str) -> None:
    """0.5, 1.5, ... 23.5 kW from midnight of 13 June, whatever stands about the rows and between the fields."""
    record = read_record(write(FRAMES[name]), "UTC")
    series = record.channels[0].series
    assert (series.start_s, series.values.tolist()) == (utc("2025-06-13T00:00+00:00"), [500 + 1000 * h for h in range(24)])
    assert record.rows == 24


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-be", "cp1252", "cp1253"])
def test_encodings(write: Write, encoding: str) -> None:
    """A degree sign and a Greek name come through (Greek where the encoding has it), and the readings do."""
    greek = "" if encoding == "cp1252" else " Θερμοκρασία"
    text = "\n".join([f"Stamp;T{greek} [°C]", *(b for b in BODY), ""])
    data = text.encode(encoding)
    record = read_record(write(b"\xfe\xff" + data if encoding == "utf-16-be" else data), "UTC")
    channel = record.channels[0]
    assert channel.meaning.quantity is Quantity.TEMPERATURE
    assert channel.series.values.tolist() == [0.5 + h for h in range(24)]
    assert ("Θερμοκρασία" in channel.column) == bool(greek)


def test_file_without_names_asks_and_takes_the_answer(write: Write) -> None:
    """Without a header the columns are numbered, and --column by number says what they hold."""
    path = write("\n".join([*BODY, ""]))
    assert "--column" in str(refused(path, "UTC"))
    said = ColumnSpec(
        column="2", id="main-kw", quantity=Quantity.ACTIVE_POWER, unit="kW", phase=Phase.L1, direction=Direction.EXPORT
    )
    channel = read_record(path, "UTC", LayoutSpec(columns=(said,))).channel("main-kw")
    assert channel.series.values[1] == 1500
    assert (channel.meaning.phase, channel.meaning.direction) == (Phase.L1, Direction.EXPORT)


def test_column_that_is_not_there(write: Write) -> None:
    """A name or number that the file does not have is refused with the names it has."""
    for name in ("Power", "7"):
        said = LayoutSpec(columns=(ColumnSpec(column=name, quantity=Quantity.ACTIVE_POWER),))
        assert '"Stamp", "kW"' in str(refused(write(FRAMES["plain"]), "UTC", said))


@pytest.mark.parametrize(("form", "unit"), [(Form.MEAN, "kWh"), (Form.ENERGY, "kW"), (Form.MEAN, "V"), (Form.ENERGY, "apples")])
def test_unit_that_contradicts_the_form(write: Write, form: Form, unit: str) -> None:
    """A unit of another quantity or form is refused with those that fit."""
    said = LayoutSpec(columns=(ColumnSpec(column="kW", quantity=Quantity.ACTIVE_POWER, form=form, unit=unit),))
    fault = refused(write(FRAMES["plain"]), "UTC", said).faults[0]
    assert fault.code == "record.unit"
    assert ("Wh" in fault.wanted) == (form is Form.ENERGY)


@pytest.mark.parametrize(
    ("name", "values", "expected"),
    [
        ("P [kW]", [1.5, 2.5], (Quantity.ACTIVE_POWER, Form.MEAN, "kW")),
        ("Wirkleistung L1 (W)", [1.5, 2.5], (Quantity.ACTIVE_POWER, Form.MEAN, "W")),
        ("pump_power_w", [150, 230], (Quantity.ACTIVE_POWER, Form.MEAN, "W")),
        ("heater_wh", [1.5, 2.5], (Quantity.ACTIVE_POWER, Form.ENERGY, "Wh")),
        ("Reactive power", [0.5, 0.2], (Quantity.REACTIVE_POWER, Form.MEAN, "kvar")),
        ("Apparent power (VA)", [500, 200], (Quantity.APPARENT_POWER, Form.MEAN, "VA")),
        ("Power phase A", [500, 700], (Quantity.ACTIVE_POWER, Form.MEAN, "W")),
        ("Ρεύμα", [1.5, 2.5], (Quantity.CURRENT, Form.MEAN, "A")),
        ("I mA", [150, 250], (Quantity.CURRENT, Form.MEAN, "mA")),
        ("cos phi", [0.9, 0.8], (Quantity.POWER_FACTOR, Form.MEAN, "1")),
        ("Off-peak", [0, 1], (Quantity.CONTACT, Form.STATE, "1")),
        ("Meter reading kWh", [10.0, 10.5], (Quantity.ACTIVE_POWER, Form.REGISTER, "kWh")),
        ("Interval reading kWh", [10.0, 3.5], (Quantity.ACTIVE_POWER, Form.ENERGY, "kWh")),
        ("kWh", list(range(30)), (Quantity.ACTIVE_POWER, Form.REGISTER, "kWh")),
        ("Consumption", [0.5, 0.7], None),
        ("blip", [0.5, 0.7], None),
    ],
)  # fmt: skip
def test_what_a_name_says(name: str, values: list[float], expected: tuple[Quantity, Form, str] | None) -> None:
    """Unit and words of a name, and the numbers, tell quantity, form and unit; where they do not, nothing is guessed."""
    from wattwright.record.columns import meaning_of

    found = meaning_of(name, np.array(values, float))
    assert (found and (found.quantity, found.form, found.unit)) == expected


def test_only_column_may_speak_of_energy_without_a_unit(write: Write) -> None:
    """A single column called consumption is taken as kWh by its size, with a finding that asks to check it."""
    rows = [f"13.06.2025 {h:02d}:00;{h % 5},5" for h in range(24)]
    record = read_record(write("\n".join(["Stamp;Consumption", *rows, ""])), "UTC")
    assert watts(record)[1] == 1500
    assert "record.unit-guessed" in codes(record)


@pytest.mark.parametrize(("amps", "unit"), [(10.0, "kW"), (0.01, "W")])
def test_volts_and_amps_settle_the_unit(write: Write, amps: float, unit: str) -> None:
    """2.3 at 230 V and 10 A is kW; 2.3 at 230 V and 10 mA is W."""
    rows = [f"2025-06-13 {h:02d}:00,2.3{h % 7},230.5,{amps + h / 1e4:.4f}" for h in range(24)]
    record = read_record(write("\n".join(["Stamp,Power,Voltage,Current", *rows, ""])), "UTC")
    assert record.channels[0].meaning.unit == unit
    assert "record.unit-guessed" not in codes(record)


@pytest.mark.parametrize("mark", ["start", "end"])
def test_register_becomes_differences(write: Write, mark: str) -> None:
    """100, 101, 103, 106, ... kWh read each hour are 1, 2, 3, ... kW between the readings, whichever end a stamp marks."""
    rows = [f"2025-06-13 {h:02d}:00,{100 + h * (h + 1) // 2}" for h in range(24)]
    record = read_record(write("\n".join(["Stamp,Register kWh", *rows, ""])), "UTC", LayoutSpec(stamps=mark))
    series = record.channels[0].series
    assert series.values.tolist() == [1000.0 * h for h in range(1, 24)]
    assert series.start_s == utc("2025-06-13T00:00+00:00")
    assert record.gaps == ()


def test_register_that_runs_back_is_told(write: Write) -> None:
    """A register set to nought loses one interval, which counts as missing, and is told with its time."""
    numbers = [*range(500, 512), *range(3, 15)]
    rows = [f"2025-06-13 {h:02d}:00,{n}" for h, n in enumerate(numbers)]
    record = read_record(write("\n".join(["Stamp,Meter reading kWh", *rows, ""])), "UTC")
    (back,) = [f for f in record.findings if f.code == "record.register-back"]
    assert back.data["start"] == utc("2025-06-13T11:00+00:00")
    assert np.isnan(watts(record)[11])


def test_backwards_file_with_a_register(write: Write) -> None:
    """A register listed from new to old is still a register."""
    rows = [f"2025-06-13 {h:02d}:00,{100 + h}" for h in range(23, -1, -1)]
    record = read_record(write("\n".join(["Stamp,kWh", *rows, ""])), "UTC")
    assert watts(record)[:23] == [1000.0] * 23


def test_unreadable_may_count_as_missing(write: Write) -> None:
    """As asked, text where a number should stand counts as missing, with row and text in a finding."""
    path = write(FRAMES["plain"].replace("13.06.2025 05:00;5,5", "13.06.2025 05:00;worn"))
    assert refused(path, "UTC").faults[0].code == "record.number"
    record = read_record(path, "UTC", LayoutSpec(unreadable="missing"))
    (told,) = [f for f in record.findings if f.code == "record.unreadable"]
    assert (told.data["row"], told.data["found"]) == (7, '"worn"')
    assert record.gaps[0].intervals == 1


def test_disagreeing_rows_keep_the_first_as_questionable(write: Write) -> None:
    """The earlier of two readings is kept, its quality questionable, and the run told."""
    record = read_record(write("\n".join(["Stamp;kW", *BODY, "13.06.2025 05:00;9,9", ""])), "UTC")
    series = record.channels[0].series
    assert (series.values[5], series.quality[5]) == (5500.0, Quality.QUESTIONABLE)
    assert [(run.start_s, run.intervals) for run in record.duplicates] == [(utc("2025-06-13T05:00+00:00"), 1)]


def test_jittered_stamps_are_moved_onto_the_step(write: Write) -> None:
    """Stamps a second or two beside the minute keep their minute."""
    rows = [f"2025-06-13 00:{m:02d}:{(m * 7) % 3:02d},{m}.5" for m in range(60)]
    record = read_record(write("\n".join(["Stamp,kW", *rows, ""])), "UTC")
    series = record.channels[0].series
    assert (series.step_s, series.start_s, len(series)) == (60, utc("2025-06-13T00:00+00:00"), 60)
    assert "record.jitter" in codes(record)


def test_names_ids_and_main(write: Write) -> None:
    """Equal names get ids of their own; the main channel is the total that is not exported."""
    rows = [f"2025-06-13 {h:02d}:00,0.5,{h % 5}.5,1.25,x" for h in range(24)]
    record = read_record(write("\n".join(["Stamp,Export kW,P kW,P kW,Note", *rows, ""])), "UTC")
    assert [c.id for c in record.channels] == ["export-kw", "p-kw", "p-kw-2"]
    assert record.main is record.channel("p-kw")
    assert len(record.of(Quantity.ACTIVE_POWER)) == 3
    with pytest.raises(KeyError, match="no channel"):
        record.channel("none")


def test_description_is_what_a_person_would_check(write: Write) -> None:
    """The layout in words: encoding, delimiter, decimal mark, header, stamps and clock."""
    said = read_record(write(FRAMES["preamble with delimiters"]), "UTC").describe()
    assert said["header"] == "row 5, after 4 rows of preamble"
    assert said["decimal mark"] == "comma"
    assert said["stamps"].startswith("Stamp, read as DD.MM.YYYY HH:MM (day first)")
    assert (
        read_record(
            write("\n".join([*BODY, ""])), "UTC", LayoutSpec(columns=(ColumnSpec(column="2", quantity=Quantity.ACTIVE_POWER),))
        ).describe()["header"]
        == "none"
    )


def test_delimiter_may_be_said(write: Write) -> None:
    """What a person says about the delimiter is taken, and refused where it gives no table."""
    assert read_record(write(FRAMES["tabs"]), "UTC", LayoutSpec(delimiter="tab")).layout.delimiter == "tab"
    assert refused(write(FRAMES["tabs"]), "UTC", LayoutSpec(delimiter="|")).faults[0].code == "record.no-table"


def test_volts_and_amps_that_fit_neither_leave_the_guess(write: Write) -> None:
    """Where voltage times current is a hundred times the numbers, or hardly any are above nought, the guess stays and is told."""
    for power in ("2.3", "0"):
        rows = [f"2025-06-13 {h:02d}:00,{power if h else 0.5},230.5,1.{h:02d}" for h in range(24)]
        record = read_record(write("\n".join(["Stamp,Power,Voltage,Current", *rows, ""])), "UTC")
        assert "record.unit-guessed" in codes(record)


def test_two_stamps_a_changing_stretch_apart_are_no_interval(write: Write) -> None:
    """A second stamp that tells when a row was sent is no other end of the interval."""
    rows = [f"2025-06-13 {h:02d}:00,2025-06-14 {h % 5:02d}:{h:02d},1.5" for h in range(24)]
    record = read_record(write("\n".join(["Stamp,Sent,kWh", *rows, ""])), "UTC")
    assert record.layout.stamp_columns == ("Stamp",)
    assert record.channels[0].series.step_s == H


def test_only_text_beside_the_stamps_is_refused(write: Write) -> None:
    """Where the stamps count seconds and all else is text, nothing was measured."""
    rows = [f"{1749765600 + 900 * i},on" for i in range(24)]
    assert refused(write("\n".join(["Stamp,Pump", *rows, ""])), "UTC").faults[0].code == "record.no-reading"


def test_register_whose_digits_read_as_a_date(write: Write) -> None:
    """Beside whole stamps a register at 20111210 Wh is no 10 December 2011: an hour in which it counts 1 Wh is 1 W."""
    rows = [f"2025-03-13 {h:02d}:00;{20111210 + h}" for h in range(20)]
    record = read_record(write("\n".join(["Stamp;Register Wh", *rows, ""])), "UTC")
    assert watts(record)[:19] == [1.0] * 19


def test_empty_stamp_without_header(tmp_path: Path) -> None:
    """A row whose stamp is missing, in a file without header, is refused by its number and not by the parser's own error."""
    rows = [f"{1739397600 + 900 * index},{index % 7}" for index in range(40)]
    rows[20] = ",5"
    path = tmp_path / "bare.csv"
    path.write_text("\n".join(rows) + "\n")
    with pytest.raises(RecordError) as refused:
        read_record(path, "Europe/Athens")
    assert any(fault.place.line in (1, 21) for fault in refused.value.faults)


@pytest.mark.parametrize(
    ("first", "value"),
    [
        ("\u22121,5", -1.5),
        ("\u0661,\u0665", 1.5),
        ("\u06f1\u06f2,\u06f5", 12.5),
        ("\uff11,\uff15", 1.5),
        ("\u096f,\u0966", 9.0),
        ("+1,5", 1.5),
    ],
)
def test_signs_and_digits_of_other_scripts(write: Write, first: str, value: float) -> None:
    """The minus sign U+2212 and digits of other scripts are numbers as they stand; none of them parts thousands."""
    rows = [f"2025-06-13 {h:02d}:00;{first if h < 12 else '0,5'}" for h in range(24)]
    record = read_record(write("\n".join(["Stamp;P [kW]", *rows, ""])), "UTC")
    assert watts(record) == [1000 * value] * 12 + [500.0] * 12
    assert "record.thousands" not in codes(record)


def test_decimal_sign_of_another_script_is_refused(write: Write) -> None:
    """Digits with the Arabic decimal separator U+066B are refused with row, column and text, not read as something else."""
    rows = [f"2025-06-13 {h:02d}:00;{'1,5' if h else chr(0x661) + chr(0x66B) + chr(0x665)}" for h in range(24)]
    (fault,) = refused(write("\n".join(["Stamp;P [kW]", *rows, ""])), "UTC").faults
    assert (fault.code, fault.place.line, fault.place.column) == ("record.number", 2, "P [kW]")


@pytest.mark.parametrize("first", ["1.000,50", "1\u202f000,50", "1'000,50"])
def test_thousands_are_told_with_their_decimals(write: Write, first: str) -> None:
    """1.000,50 is one thousand and a half, and is said to be read as 1,000.5 in the English way of writing."""
    rows = [f"2025-06-13 {h:02d}:00;{first if h == 4 else '0,5'}" for h in range(24)]
    record = read_record(write("\n".join(["Stamp;P [W]", *rows, ""])), "UTC")
    (told,) = [f for f in record.findings if f.code == "record.thousands"]
    assert (watts(record)[4], told.data["row"], told.data["value"]) == (1000.5, 6, 1000.5)
    assert "read as 1,000.5." in told.says(Show())


def test_a_damaged_first_row_may_be_taken_for_names(write: Write) -> None:
    """Its date stands again in every row below, beside numbers that are held as such: the file is read or refused in words."""
    rows = ["13.02.2025;00:0\x01 i;0,00", *(f"13.02.2025;{q // 4:02d}:{15 * (q % 4):02d};{q % 9},10" for q in range(1, 96))]
    error = refused(write("\n".join(["Date;Time;P [kW]", *rows, ""])), "UTC")
    assert error.faults[0].place.line == 2


@pytest.mark.parametrize(
    ("name", "quantity", "unit"),
    [
        ("power_w", Quantity.ACTIVE_POWER, "W"), ("power_kw", Quantity.ACTIVE_POWER, "kW"),
        ("active_power_w", Quantity.ACTIVE_POWER, "W"), ("energy_wh", Quantity.ACTIVE_POWER, "Wh"),
        ("energy_kwh", Quantity.ACTIVE_POWER, "kWh"), ("voltage_v", Quantity.VOLTAGE, "V"),
        ("current_a", Quantity.CURRENT, "A"), ("current_ma", Quantity.CURRENT, "mA"),
        ("reactive_power_var", Quantity.REACTIVE_POWER, "var"), ("Leistung (w)", Quantity.ACTIVE_POWER, "W"),
    ],
)  # fmt: skip
def test_units_in_small_letters(write: Write, name: str, quantity: Quantity, unit: str) -> None:
    """A unit of one letter closes a name of small letters as surely as a longer one does."""
    rows = [f"2025-06-{2 + i // 24:02d} {i % 24:02d}:00,{1.5 + i * 37 % 11 / 10}" for i in range(48)]
    record = read_record(write("\n".join([f"time,{name}", *rows, ""])), "UTC")
    meaning = record.channels[0].meaning
    assert (meaning.quantity, meaning.unit, meaning.guessed) == (quantity, unit, False)
