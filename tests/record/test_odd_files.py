"""Files as people really have them: read rightly, asked about, or refused with a sentence; values by hand."""

from datetime import datetime, timedelta

import numpy as np
import pytest

from tests.record.writing import Write
from wattwright.core.errors import RecordError
from wattwright.core.findings import Finding
from wattwright.core.quantity import Phase, Quantity
from wattwright.record.faults.doubt import doubts
from wattwright.record.read import read_record
from wattwright.record.record import Record

FIRST = datetime(2025, 6, 1)
HOURS = [FIRST + timedelta(hours=i) for i in range(15 * 24)]
USE = [0.2 + 0.01 * (7 * i % 31) for i in range(len(HOURS))]
QUARTERS = [f"{15 * i // 60:02d}:{15 * i % 60:02d}" for i in range(96)]
DAYS = [[0.05 + 0.001 * ((d + 11 * q) % 37) for q in range(96)] for d in range(14)]


def read(write: Write, header: str, rows: list[str]) -> Record:
    return read_record(write("\n".join([header, *rows, ""])), "UTC")


def energy_kwh(record: Record) -> float:
    main = record.main
    assert main is not None
    return float(np.nansum(main.series.values)) * main.series.step_s / 3.6e6


def told(record: Record) -> dict[str, Finding]:
    return {one.code: one for one in record.findings}


def wide(unit: str, more: str = "") -> list[str]:
    """Two weeks of quarters, a row for each day."""
    heads = ",".join(f"{one}{unit}" for one in QUARTERS)
    rows = [f"2025-06-{1 + d:02d},{','.join(f'{q:.3f}' for q in day)}" for d, day in enumerate(DAYS)]
    rows = [f"{row},{sum(day):.3f},{4 * max(day):.3f}" if more else row for row, day in zip(rows, DAYS, strict=True)]
    return [f"date,{heads}{more}", *rows]


@pytest.mark.parametrize("lines", [wide(" kWh", ",Total kWh,Peak kW"), ["Energy kWh", *wide("", ",Total,Max")]])
def test_total_of_the_day_beside_its_quarters(write: Write, lines: list[str]) -> None:
    """A day's total stands once beside 96 quarters: it is left out by name, and never repeated for each of them."""
    record = read(write, lines[0], lines[1:])
    assert energy_kwh(record) == pytest.approx(sum(map(sum, DAYS)))
    assert (record.channels[0].series.step_s, len(record.channels)) == (900, 1)
    assert [one.code for one in record.findings].count("record.of-the-day") == 2


@pytest.mark.parametrize(
    "header",
    ["VL1 (V),VL2 (V),VL3 (V),IL1 (A),IL2 (A),IL3 (A),PF", "U1 [V],U2 [V],U3 [V],I1 [A],I2 [A],I3 [A],cos phi"],
)
def test_conductors_in_one_word_with_their_sign(write: Write, header: str) -> None:
    """Three currents of 1, 2 and 3 A at 230 V and a power factor of 0.5 are 690 W, not the 115 W of the first."""
    record = read(write, f"time,{header}", [f"{at:%Y-%m-%d %H:%M},230,230,230,1,2,3,0.5" for at in HOURS])
    powers = {one.meaning.phase: float(one.series.values[0]) for one in record.of(Quantity.ACTIVE_POWER)}
    assert powers == {Phase.L1: pytest.approx(115), Phase.L2: pytest.approx(230), Phase.L3: pytest.approx(345)}


def test_currents_of_no_conductor_are_in_doubt(write: Write) -> None:
    """Of three currents without a conductor one alone makes the power: said, and every figure in doubt."""
    rows = [f"{at:%Y-%m-%d %H:%M},230,1,2,3" for at in HOURS]
    record = read(write, "time,Voltage (V),Amps 1 (A),Amps 2 (A),Amps 3 (A)", rows)
    assert "record.several-currents" in {one.code for one in doubts(record.findings)}
    assert told(record)["record.several-currents"].data["others"] == '"Amps 2 (A)", "Amps 3 (A)"'


@pytest.mark.parametrize("name", ["load %", "Power (%)", "THD current %"])
def test_a_share_is_no_power(write: Write, name: str) -> None:
    """Percent of something is neither power nor current, and the refusal says so."""
    with pytest.raises(RecordError, match="a share in % is no"):
        read(write, f"time,{name}", [f"{at:%Y-%m-%d %H:%M},{40 + i % 7}.5" for i, at in enumerate(HOURS)])


def test_a_total_that_carries_a_date(write: Write) -> None:
    """A last row that holds the sum of all others doubles the energy: every figure is in doubt."""
    rows = [f"{at:%Y-%m-%d %H:%M},{use:.2f}" for at, use in zip(HOURS, USE, strict=True)]
    whole = read(write, "time,kWh", rows)
    assert "record.last-is-sum" not in told(whole)
    record = read(write, "time,kWh", [*rows, f"2025-06-16 00:00,{sum(USE):.2f}"])
    assert "record.last-is-sum" in {one.code for one in doubts(record.findings)}


@pytest.mark.parametrize("few", [[1, 2, 3], [0] * 20 + [1, 1], [0] * 30])
def test_last_reading_of_a_sleeping_site_is_no_total(write: Write, few: list[int]) -> None:
    """Few readings, or hardly any above nought, show nothing."""
    rows = [f"{at:%Y-%m-%d %H:%M},{use}" for at, use in zip(HOURS, few, strict=False)]
    assert "record.last-is-sum" not in told(read(write, "time,Energy (kWh)", rows))


@pytest.mark.parametrize(
    "form", ["%a %Y-%m-%d %H:%M", "%A, %d %B %Y %H:%M", "%a. %d.%m.%Y %H:%M"], ids=["short", "long", "with a point"]
)
def test_weekday_before_the_date(write: Write, form: str) -> None:
    """The day of the week before a date says nothing new and is passed over."""
    rows = [f"{at.strftime(form)};{use:.2f}" for at, use in zip(HOURS, USE, strict=True)]
    record = read(write, "time;kWh", rows)
    assert energy_kwh(record) == pytest.approx(sum(USE))
    assert record.channels[0].series.start_s == 1_748_736_000  # 1 June 2025 in UTC


def test_other_word_before_a_date_is_no_weekday(write: Write) -> None:
    """A total of the day among the readings is refused with its row, whatever date it carries."""
    rows = [f"{at:%Y-%m-%d %H:%M};{use:.2f}" for at, use in zip(HOURS, USE, strict=True)]
    with pytest.raises(RecordError, match="Total 2025-06-01") as caught:
        read(write, "time;kWh", [*rows[:24], "Total 2025-06-01;8.40", *rows[24:]])
    assert "line 26" in str(caught.value.faults[0].place)


def test_nought_hours_with_am_and_pm(write: Write) -> None:
    """0:30 AM is half past midnight and 0:30 PM half past noon, as some clocks write 12."""
    stamps = [FIRST + timedelta(minutes=30 * i) for i in range(96)]
    rows = [f"2025-06-{at:%d} {at.hour % 12}:{at:%M} {at:%p},1.5" for at in stamps]
    series = read(write, "time,kW", rows).channels[0].series
    assert (series.start_s, series.step_s, len(series), int(series.present.sum())) == (1_748_736_000, 1800, 96, 96)


@pytest.mark.parametrize("begins", ["\ufeffstart,kWh", "\ufeff"])
def test_mark_of_order_in_the_middle(write: Write, begins: str) -> None:
    """Files put one behind the other keep the mark at the beginning of each; it is no part of a stamp."""
    rows = [f"{at:%Y-%m-%d %H:%M},{use:.2f}" for at, use in zip(HOURS, USE, strict=True)]
    second = [begins + rows[200], *rows[201:]] if begins == "\ufeff" else [begins, *rows[200:]]
    record = read_record(write("\n".join(["\ufeffstart,kWh", *rows[:200], *second, ""])), "UTC")
    assert energy_kwh(record) == pytest.approx(sum(USE))
    assert not record.gaps


@pytest.mark.parametrize(
    ("lines", "code"),
    [
        (["time;kWh", "2025-06-01 00:00;0.5", "2025-06-01 01:00,0.4", "2025-06-01 02:00;0.3"], "record.columns"),
        (["time,kWh", "2025-06-01 00:00,0.5*", "2025-06-01 01:00,0.4", "2025-06-01 02:00,0.3"], "record.number"),
        (["time,kWh", "2025-06-01 00:00,(0.5)", "2025-06-01 01:00,0.4", "2025-06-01 02:00,0.3"], "record.number"),
        (["time,kWh", "2025-06-01 00:00,0.5 kWh", "2025-06-01 01:00,0.4 kWh"], "record.no-table"),
        (["time;W", "2025-06-01 00:00;1.077", "2025-06-01 01:00;1.212", "2025-06-01 02:00;1.303"], "record.decimal-open"),
        (["time,Wh", "2025-06-01 00:00,456", '2025-06-01 01:00,"1,23,456.0"', "2025-06-01 02:00,77"], "record.number"),
        (["Day,Jan,Feb,Mar", *(f"{d},{d}.5,{d}.25,{d}.75" for d in range(1, 29))], "record.no-stamps"),
        (["year,month,day,hour,kWh", *(f"2025,6,1,{h},0.5" for h in range(24))], "record.no-stamps"),
        (["time,kWh", "2025-06-01 00:00,0.5", "# cut", "2025-06-01 01:00,0.4", "2025-06-01 02:00,0.3"], "record.columns"),
        (["time,kW", "2025-06-01 00:00,0.5", "2025-06-01 01:00,0.4-", "2025-06-01 02:00,0.3"], "record.number"),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_place(write: Write, lines: list[str], code: str) -> None:
    """Nothing is guessed: each of these is refused with the place and the text that stands there."""
    with pytest.raises(RecordError) as caught:
        read(write, lines[0], lines[1:])
    fault = caught.value.faults[0]
    assert fault.code == code
    assert fault.place.line is not None
    assert fault.next_step


def test_names_hold_nothing_that_a_terminal_obeys(write: Write) -> None:
    """Control characters in names, in lines above them and in the rows shown are taken out before anything is told."""
    rows = [f"{at:%Y-%m-%d %H:%M},{use:.2f},\x1b[2Jhot{at.hour}" for at, use in zip(HOURS, USE, strict=True)]
    record = read_record(write("\n".join(["note\x1b[31m", "start,k\x1b[31m kWh\x07,no\x9bte", *rows, ""])), "UTC")
    lay = record.layout
    held = [
        *lay.columns,
        *lay.unread_columns,
        *(text for _, text in (*lay.first_rows, *lay.last_rows)),
        *record.describe().values(),
    ]
    held += [record.channels[0].column, record.channels[0].id]
    assert all(one.isprintable() for one in held)
    assert energy_kwh(record) == pytest.approx(sum(USE))
