"""Readings that cannot be, that no supply carries or that stand far above the rest are refused or told; bounds by hand."""

from pathlib import Path

import pytest

from tests.record.writing import Write
from wattwright.core.errors import RecordError
from wattwright.core.findings import Finding, Severity
from wattwright.core.show import Show
from wattwright.record.faults.doubt import doubts
from wattwright.record.read import read_record

CODES = ("record.power-high", "record.spike", "record.several-powers")


def file_of(cells: list[str], header: str = "kW") -> str:
    """A reading in each hour from 1 June 2025, 1,748,736,000 s after 1970 in UTC."""
    return "\n".join([f"time,{header}", *(f"2025-06-{1 + i // 24:02d} {i % 24:02d}:00,{c}" for i, c in enumerate(cells)), ""])


def told(path: Path) -> dict[str, Finding]:
    return {f.code: f for f in read_record(path, "UTC").findings if f.code in CODES}


def with_one(cell: str, usual: str = "1.5") -> list[str]:
    """Two days of one reading, the eleventh of which (row 12) is another."""
    cells = [usual] * 48
    cells[10] = cell
    return cells


@pytest.mark.parametrize(
    ("cell", "header"),
    [("1e300", "kW"), ("-1e300", "kW"), ("1000000001", "kW"), ("1000000001", "kWh"), ("1e300", "Register kWh"), ("1e13", "V")],
)
def test_reading_beyond_any_meter(write: Write, cell: str, header: str) -> None:
    """Above 10^12 W, Wh of a register, V: refused with row and column. An hour of 10^9 kWh is 10^12 W."""
    with pytest.raises(RecordError) as caught:
        read_record(write(file_of(with_one(cell), header)), "UTC")
    (fault,) = caught.value.faults
    assert (fault.code, fault.place.line, fault.place.column) == ("record.absurd", 12, header)
    assert "take it out" in fault.next_step


def test_several_readings_beyond_any_meter(write: Write) -> None:
    """Of two such readings the first is named, and that there are two."""
    with pytest.raises(RecordError, match="2 readings are like this"):
        read_record(write(file_of([*with_one("2e9"), "3e9"])), "UTC")


def test_more_than_a_supply_carries(write: Write) -> None:
    """999,999,999 kW is a number a meter could show, but no supply carries it: told with value, count and time, to look at."""
    found = told(write(file_of(with_one("999999999"))))
    high = found["record.power-high"]
    assert (high.severity, high.data["count"], high.data["value"]) == (Severity.LOOK, 1, 999_999_999_000.0)
    assert high.data["start"] == 1_748_736_000 + 10 * 3600
    assert "1 MW" in high.says(Show()) or "1,000" in high.says(Show())
    assert "record.spike" in found


def test_watts_under_a_header_of_kilowatts(write: Write) -> None:
    """Watts from 1,400 to 1,799 under kW would be 1.8 MW: all 48 are above 1 MW; none of them is a spike."""
    cells = [str(1400 + i) for i in range(47)] + ["1799"]
    found = told(write(file_of(cells)))
    assert (found["record.power-high"].data["count"], found["record.power-high"].data["value"]) == (48, 1_799_000.0)
    assert "record.spike" not in found


@pytest.mark.parametrize(("cell", "is_spike"), [("4.19", False), ("4.20", False), ("4.21", True), ("-4.21", True)])
def test_spike(write: Write, cell: str, is_spike: bool) -> None:
    """California VEE standards (from memory): (4.2 - 1.5) / 1.5 = 1.8 is still none, anything above is one."""
    found = told(write(file_of(with_one(cell))))
    assert ("record.spike" in found) is is_spike
    if is_spike:
        data = found["record.spike"].data
        assert (data["value"], data["third"], data["start"]) == (4210.0, 1500.0, 1_748_736_000 + 36_000)


def test_no_spike_where_little_can_be_compared(write: Write) -> None:
    """Less than 24 readings, or nothing beside one reading, show no rest that it could stand above."""
    assert told(write(file_of([*["1.5"] * 22, "40"]))) == {}
    assert told(write(file_of(with_one("40", "0")))) == {}


def test_two_whole_powers(write: Write) -> None:
    """Of two columns that hold a whole power one stands for the site; both are named, and that nothing was added."""
    path = write(file_of(["400,1.6"] * 24, "Energy Wh,House kW"))
    found = told(path)["record.several-powers"]
    assert (found.severity, found.data["column"], found.data["others"]) == (Severity.LOOK, "Energy Wh", '"House kW"')
    main = read_record(path, "UTC").main
    assert main is not None
    assert main.column == "Energy Wh"


@pytest.mark.parametrize("header", ["L1 kW,L2 kW", "kW,Export kW", "kW,L1 kW", "kW,kvar"])
def test_parts_are_no_second_whole(write: Write, header: str) -> None:
    """Conductors, export and reactive power are no second power of the site."""
    assert told(write(file_of(["1.6,0.4"] * 24, header))) == {}


@pytest.mark.parametrize(
    ("header", "site"),
    [
        ("PV kW,House kW", "House kW"),
        ("Solar kW,Use kW", "Use kW"),
        ("Erzeugung kW,Verbrauch kW", "Verbrauch kW"),
        ("Production kWh,Consommation kWh", "Consommation kWh"),
        ("To grid kWh,From grid kWh", "From grid kWh"),
        ("kWh received from customer,kWh delivered to customer", "kWh delivered to customer"),
        ("Delivered to grid kWh,Received from grid kWh", "Received from grid kWh"),
        ("Sub-meter heat pump kWh,Total kWh", "Total kWh"),
        ("Heat pump kW,kW", "kW"),
        ("T1 kWh,Gesamt kWh", "Gesamt kWh"),
    ],
)
def test_name_tells_the_site(write: Write, header: str, site: str) -> None:
    """What is generated, fed in or a part never stands for the site beside a whole, and no figure is in doubt for it."""
    record = read_record(write(file_of(["1.6,0.4", "1.5,0.7"] * 12, header)), "UTC")
    assert record.main is not None
    assert record.main.column == site
    assert doubts(record.findings) == ()


@pytest.mark.parametrize(
    "header", ["Day kWh,Night kWh", "T1 kWh,T2 kWh", "Production hall kW,Office kW", "Heat pump kW,Wallbox kW"]
)
def test_several_wholes_put_every_figure_in_doubt(write: Write, header: str) -> None:
    """Where no name tells which power is the site's, or they belong together, it is asked, and no figure looks sure."""
    found = doubts(read_record(write(file_of(["1.6,0.4", "1.5,0.7"] * 12, header)), "UTC").findings)
    assert [one.code for one in found] == ["record.several-powers"]


def test_one_power_in_two_columns(write: Write) -> None:
    """The same power as energy and as a mean is one supply: 0.4 kWh in an hour are 400 W."""
    assert told(write(file_of(["400,0.4", "700,0.7"] * 12, "W,kWh"))) == {}


def test_guessed_unit_puts_the_total_in_doubt(write: Write) -> None:
    """Power without a unit is only judged by its size, so its total is in doubt; moisture without one puts no power in doubt."""
    assert [one.code for one in doubts(read_record(write(file_of(["400"] * 24, "Power")), "UTC").findings)] == [
        "record.unit-guessed"
    ]
    beside = read_record(write(file_of(["400,0.25"] * 24, "Power W,Soil moisture")), "UTC")
    assert "record.unit-guessed" in {one.code for one in beside.findings}
    assert doubts(beside.findings) == ()
