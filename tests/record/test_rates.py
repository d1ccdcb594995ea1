"""Rates of one supply, and words for a way of flow that leave it open; values by hand from invented files."""

from collections.abc import Callable, Sequence

import numpy as np
import pytest

from tests.record.writing import Write
from wattwright.core.basis import Basis
from wattwright.core.findings import Severity
from wattwright.core.quantity import Direction
from wattwright.record.faults.doubt import doubts
from wattwright.record.read import read_record
from wattwright.record.record import Form, Record
from wattwright.record.spec import LayoutSpec

DAYS = 16
HOURS = [(day, hour) for day in range(DAYS) for hour in range(24)]
USE = [0.3 + 0.01 * ((7 * day + 5 * hour) % 11) for day, hour in HOURS]
SUN = [round(max(0.0, 2.0 - 0.1 * (hour - 12) ** 2), 3) * (1 + day % 3) for day, hour in HOURS]
IS_DAY = [7 <= hour < 22 for _, hour in HOURS]
DAY = [use if at else 0.0 for use, at in zip(USE, IS_DAY, strict=True)]
NIGHT = [0.0 if at else use for use, at in zip(USE, IS_DAY, strict=True)]


def read(write: Write, header: str, *columns: Sequence[object], **said: object) -> Record:
    """Hours from 1 June 2025 in UTC, a column for each name of ``header``."""
    stamps = [f"2025-06-{1 + day:02d} {hour:02d}:00" for day, hour in HOURS]
    rows = [",".join([stamp, *map(str, cells)]) for stamp, *cells in zip(stamps, *columns, strict=True)]
    return read_record(write("\n".join([f"time,{header}", *rows, ""])), "UTC", LayoutSpec.model_validate(said))


def energy_kwh(record: Record) -> float:
    main = record.main
    assert main is not None
    return float(np.nansum(main.series.values)) * main.series.step_s / 3.6e6


def counted(energies: Sequence[float]) -> list[str]:
    return [f"{one:.3f}" for one in 5000 + np.cumsum(energies)]


def codes(record: Record) -> set[str]:
    return {one.code for one in record.findings}


PAIRS = ["Day kWh,Night kWh", "T1 (kWh),T2 (kWh)", "HT kWh,NT kWh", "HP kWh,HC kWh", "Peak kWh,Off-peak kWh",
         "Tag kWh,Nacht kWh", "Tariff 1 kWh,Tariff 2 kWh", "kWh heures pleines,kWh heures creuses"]  # fmt: skip


@pytest.mark.parametrize("header", PAIRS)
@pytest.mark.parametrize("as_file", [list, counted], ids=["energies", "registers"])
def test_rates_are_added(write: Write, header: str, as_file: Callable[[list[float]], list[object]]) -> None:
    """Day and night, each nought while the other counts, are one supply: their sum stands for the site, as calculated."""
    record = read(write, header, as_file(DAY), as_file(NIGHT))
    lost = 0.0 if as_file is list else USE[0]  # a register's first reading only begins the count
    assert energy_kwh(record) == pytest.approx(sum(USE) - lost, abs=0.01)
    main, told = record.main, {one.code: one for one in record.findings}
    assert main is not None
    assert (main.basis, main.meaning.direction, len(main.parts)) == (Basis.CALCULATED, Direction.IMPORT, 2)
    assert told["record.rates-added"].severity is Severity.NOTE
    first, second = header.split(",")
    assert told["record.rates-added"].data["columns"] == f'"{first}" and "{second}"'
    assert not doubts(record.findings)
    assert "record.several-powers" not in told


def test_register_of_all_rates_keeps_its_count(write: Write) -> None:
    """The sum of two registers is itself a register: its raw count is the sum of both, so it counts through gaps."""
    record = read(write, "Day kWh,Night kWh", counted(DAY), counted(NIGHT))
    main = record.main
    assert main is not None
    assert main.meaning.form is Form.REGISTER
    assert main.series.raw[-1] == pytest.approx(10_000 + sum(USE[:-1]), abs=0.01)


def test_three_rates(write: Write) -> None:
    """Three numbered rates come to the whole."""
    turn = [[use if k % 3 == rate else 0 for k, use in enumerate(USE)] for rate in range(3)]
    record = read(write, "F1 kWh,F2 kWh,F3 kWh", *turn)
    assert energy_kwh(record) == pytest.approx(sum(USE))


def test_blank_beside_a_rate(write: Write) -> None:
    """Where the rate that rests is left blank, the other one is the whole."""
    record = read(write, "Day kWh,Night kWh", [one or "" for one in DAY], [one or "" for one in NIGHT])
    main = record.main
    assert main is not None
    assert energy_kwh(record) == pytest.approx(sum(USE))
    assert main.series.present.all()
    assert not record.gaps


def test_rates_of_both_ways(write: Write) -> None:
    """Rates of import and of export are added each by its own, and net follows from the two sums."""
    fed_day = [sun if at else 0 for sun, at in zip(SUN, IS_DAY, strict=True)]
    columns = (DAY, NIGHT, fed_day, [0.0] * len(HOURS))
    record = read(write, "Import T1 kWh,Import T2 kWh,Export T1 kWh,Export T2 kWh", *columns)
    assert energy_kwh(record) == pytest.approx(sum(USE))
    net = record.channel("net-power").series.values / 1000
    assert net == pytest.approx(np.array(USE) - np.array(fed_day))


@pytest.mark.parametrize(
    ("header", "columns", "main"),
    [
        ("Total kWh,Day kWh,Night kWh", (USE, DAY, NIGHT), "Total kWh"),
        ("kWh,Day kWh,Night kWh", (USE, DAY, NIGHT), "kWh"),
    ],
)
def test_whole_beside_its_rates(write: Write, header: str, columns: tuple[list[float], ...], main: str) -> None:
    """Where a column holds the whole, its rates are parts and nothing is added to it."""
    record = read(write, header, *columns)
    assert record.main is not None
    assert record.main.column == main
    assert energy_kwh(record) == pytest.approx(sum(USE))
    assert not codes(record) & {"record.rates-added", "record.several-powers"}


@pytest.mark.parametrize(
    ("header", "columns"),
    [
        ("Day kWh,Night kWh", (USE, NIGHT)),  # the whole day and its night: both count at night
        ("Pump 1 kWh,Pump 2 kWh", (DAY, NIGHT)),  # numbers alone do not make two pumps one supply
        ("Day kWh,Night Wh register", (DAY, counted(NIGHT))),
    ],
)
def test_doubtful_rates_are_asked(write: Write, header: str, columns: tuple[list[float], ...]) -> None:
    """Where names or numbers do not show rates, nothing is added, and every figure is in doubt."""
    record = read(write, header, *columns)
    assert not any(one.parts for one in record.derived)
    assert "record.rates-added" not in codes(record)


def test_two_sets_of_rates_are_left_alone(write: Write) -> None:
    """Two names for one rate leave open which of them belong together: nothing is added, and it is asked."""
    record = read(write, "Day kWh,Night kWh,Day 2 kWh", DAY, NIGHT, DAY)
    assert "record.several-powers" in codes(record)


def test_daily_rates_by_name(write: Write) -> None:
    """Over days both rates count, so that only the names tell: added up, with a finding to look at."""
    text = "\n".join(["date,Day kWh,Night kWh", *(f"2025-06-{day:02d},{day % 5 + 4},{day % 3 + 2}" for day in range(1, 21)), ""])
    record = read_record(write(text), "UTC")
    assert energy_kwh(record) == pytest.approx(sum(day % 5 + 4 + day % 3 + 2 for day in range(1, 21)))
    told = next(one for one in record.findings if one.code == "record.rates-by-name")
    assert told.severity is Severity.LOOK


@pytest.mark.parametrize(
    ("header", "columns", "main"),
    [
        ("kWh received,kWh delivered", (USE, SUN), "kWh received"),
        ("kWh received,kWh delivered", (SUN, USE), "kWh delivered"),
        ("kWh delivered,kWh received", (SUN, USE), "kWh received"),
    ],
)
def test_numbers_settle_the_standpoint(write: Write, header: str, columns: tuple[list[float], ...], main: str) -> None:
    """Of received and delivered, what comes by sunlight alone is fed in and the other one used, whoever wrote the names."""
    record = read(write, header, *columns)
    assert record.main is not None
    assert (record.main.column, record.main.meaning.direction) == (main, Direction.IMPORT)
    assert energy_kwh(record) == pytest.approx(sum(USE))
    assert [one.code for one in record.findings].count("record.way-shown") == 2
    assert not doubts(record.findings)


def test_received_alone_at_night(write: Write) -> None:
    """A file of what was received, which comes at night as well, is the site's use, and says so."""
    record = read(write, "kWh received", USE)
    assert record.main is not None
    assert record.main.meaning.direction is Direction.IMPORT
    assert "record.way-shown" in codes(record)


def test_delivered_alone_is_what_it_says(write: Write) -> None:
    """A meter's only column of what was delivered, day and night, needs no question."""
    assert not codes(read(write, "kWh delivered", USE)) & {"record.way-shown", "record.way-open"}


def test_open_standpoint_is_in_doubt(write: Write) -> None:
    """Where both come at night, the supplier's standpoint is taken and every figure is in doubt."""
    record = read(write, "kWh received,kWh delivered", NIGHT, USE)
    assert {one.code for one in doubts(record.findings)} == {"record.way-open"}
    assert energy_kwh(record) == pytest.approx(sum(USE))


@pytest.mark.parametrize("name", ["PV generation kWh", "Solar production (kWh)", "Export kWh", "kWh received"])
def test_generation_never_stands_for_use(write: Write, name: str) -> None:
    """A file of generation alone may be looked at, but no figure of it is the site's demand."""
    record = read(write, name, SUN)
    assert "record.no-use" in {one.code for one in doubts(record.findings)}


def test_what_a_person_said_is_no_question(write: Write) -> None:
    """Whoever says what a column holds is asked nothing more about it."""
    said = [{"column": "kWh received", "quantity": "active power", "form": "energy per interval", "unit": "kWh"}]
    assert not doubts(read(write, "kWh received", SUN, columns=said).findings)


@pytest.mark.parametrize(("name", "is_told"), [("kWh/day", True), ("kWh/15min", True), ("kWh/h", False), ("kWh/60min", False)])
def test_energy_over_another_time_than_the_step(write: Write, name: str, is_told: bool) -> None:
    """Hours of "kWh/day" may be a rate or the energy of a day: the figure is in doubt; over the step itself it is not."""
    found = {one.code for one in doubts(read(write, name, USE).findings)}
    assert ("record.stated-step" in found) is is_told


@pytest.mark.parametrize("name", ["kWh/month", "Energy kWh per year", "kWh/week"])
def test_energy_of_a_month_is_named(write: Write, name: str) -> None:
    """A unit of energy over a month is no interval, and the refusal says that."""
    with pytest.raises(Exception, match="a sum or a bill and no interval"):
        read(write, name, USE)
