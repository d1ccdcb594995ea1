"""Units that are more than one sign, spelled out, or none of ours; values by hand from what each unit means."""

import numpy as np
import pytest

from tests.record.feeds import MIDNIGHT, WH, Meter, Point, R, feed
from tests.record.writing import Write
from wattwright.core.errors import RecordError
from wattwright.core.quantity import Quantity
from wattwright.record.exports.write import export
from wattwright.record.measures import measure
from wattwright.record.read import read_record
from wattwright.record.record import Record
from wattwright.record.spec import LayoutSpec
from wattwright.record.units import unit_in, why_not_in

QUARTERS = [f"2025-06-01 {i // 4:02d}:{i % 4 * 15:02d}Z" for i in range(96)]


def read(write: Write, name: str, number: str, **said: object) -> Record:
    """A day of quarter hours, each with the same number."""
    text = "\n".join([f"time,{name}", *(f"{stamp},{number}" for stamp in QUARTERS), ""])
    return read_record(write(text), "UTC", LayoutSpec.model_validate(said))


@pytest.mark.parametrize(
    ("name", "number", "watts"),
    [
        # Energy over a time is a power, whatever the step of the file.
        ("kWh/h", "1.5", 1500.0),
        ("Wh/h", "1.5", 1.5),
        ("Energy [kWh / hour]", "1.5", 1500.0),
        ("kWh pro Stunde", "1.5", 1500.0),
        ("kvarh/h", "1.5", 1500.0),
        ("kWh/15min", "1.5", 6000.0),
        ("kWh/30 min", "1.5", 3000.0),
        ("kWh per half hour", "1.5", 3000.0),
        ("kWh per quarter of an hour", "1.5", 6000.0),
        ("kWh/day", "24.0", 1000.0),
        ("MJ/h", "3.6", 1000.0),
        # An energy of each interval: four of them make an hour.
        ("kWh/interval", "1.5", 6000.0),
        ("Energy (x10 kWh)", "1.5", 60000.0),
        ("Energy 0.1 kWh", "15", 6000.0),
        ("Energy (10^-2 kWh)", "150", 6000.0),
        ("Energy 100 x Wh", "15", 6000.0),
        ("Pulses (100 imp/kWh)", "5", 200.0),
        ("Pulses (1000imp/kWh)", "5", 20.0),
        ("Pulses (10 Wh/imp)", "5", 200.0),
        ("Wh/pulse", "5", 20.0),
        ("Energy MJ", "3.6", 4000.0),
        ("Energy GJ", "0.0036", 4000.0),
        ("Energy kJ", "3600.5", 3600.5 / 3.6 * 4),
        ("Energy GWh", "0.000001", 4000.0),
        ("Energy MWH", "0.001", 4000.0),
        ("Watt hours", "250.5", 1002.0),
        ("kilowatt-hours", "1.5", 6000.0),
        ("Kilowattstunden", "1.5", 6000.0),
        ("Verbrauch kW h", "1.5", 6000.0),
        ("kW·h", "1.5", 6000.0),
        ("KWHRS", "1.5", 6000.0),
        ("Kilowatts", "1.5", 1500.0),
        # A stroke that only parts a name from its unit.
        ("Leistung / kW", "1.5", 1500.0),
        ("P/kW", "1.5", 1500.0),
        ("kW/Import", "1.5", 1500.0),
        ("kW/L1", "1.5", 1500.0),
        ("Channel 1 kWh", "1.5", 6000.0),
    ],
)
def test_compounds(write: Write, name: str, number: str, watts: float) -> None:
    """Each name is read as what it says, never as the bare unit in it: 1 kWh is 3.6 MJ, 100 pulses a kWh are 10 Wh each."""
    (channel,) = read(write, name, number).channels
    assert channel.series.values == pytest.approx(watts, rel=1e-12)
    assert not channel.meaning.guessed


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("kW/h", '"kW/h" is a unit of neither power nor energy'),
        ("Power [kW/15 min]", '"kW/15 min" is a unit of neither'),
        ("Pulses imp/kWh", "how many pulses make one kWh"),
        ("Price EUR/kWh", '"EUR/kWh" counts something else'),
        ("€/kWh", "counts something else"),
        ("p/kWh", "counts something else"),
        ("Price per kWh", "counts something else"),
        ("CO2 g/kWh", '"g/kWh" counts something else'),
        ("Cost of kWh", 'it speaks of "cost"'),
        ("Irradiance W/m2", '"W/m2" is none'),
        ("kWh/kWp", '"kWh/kWp" is none'),
        ("BTU/h", '"BTU/h" is none'),
        ("Energy [kWh x 10]", "multiplied already"),
        ("PV (10 kW)", "rated for"),
        ("Energy mWh", "or written so for MWh"),
        ("Power mW", "or written so for MW"),
        ("Usage therms", '"therms" is none'),
        ("Power (hp)", '"hp" is none'),
    ],
)
def test_no_unit_of_ours(write: Write, name: str, told: str) -> None:
    """What may be two things or is no power is never taken for what it resembles: it is refused by its name, or left out."""
    with pytest.raises(RecordError) as refused:
        read(write, name, "0.25")
    assert told in refused.value.faults[0].sentence()
    record = read(write, f"{name},Usage kWh", "0.25,1.5")
    assert [one.column for one in record.channels] == ["Usage kWh"]
    (finding,) = (one for one in record.findings if one.code == "record.column-unit")
    assert (finding.data["column"], told in str(finding.data["why"])) == (name, True)


def test_word_of_a_person_goes_first(write: Write) -> None:
    """A column whose unit is refused is read where a person says what it holds, also in a unit that is made."""
    spec = {"column": "Counts", "quantity": "active power", "form": "energy per interval", "unit": "1000 imp/kWh"}
    assert read(write, "Counts", "5", columns=[spec]).channels[0].series.values == pytest.approx(20.0)
    spec = {"column": "kW/h", "quantity": "active power", "form": "mean", "unit": "kW"}
    assert read(write, "kW/h", "5", columns=[spec]).channels[0].series.values == pytest.approx(5000.0)


@pytest.mark.parametrize("unit", ["0 imp/kWh", "1000 imp/kW", "10 V", "kW/h", "kWh/0min", "1e kWh", "", "5 lumps"])
def test_made_of_nothing(unit: str) -> None:
    """No number, a power counted in pulses or spread over a time, and a factor before volts make no unit."""
    assert measure(unit) is None


@pytest.mark.parametrize("unit", ["kVA", "kW", "Power", "Energy for each month", "HP power", "Date/Month", "I/A", "U/V"])
def test_plain_names_stay_plain(unit: str) -> None:
    """A name without a compound unit is not read as one."""
    assert why_not_in(unit) == ""


@pytest.mark.parametrize("name", ["Energy (x10 kWh)", "Pulses (100 imp/kWh)", "kWh/15min", "Energy MJ", "Energy 0.1 kWh"])
def test_made_units_are_written_plain(write: Write, name: str) -> None:
    """What was read in a unit that is made is exported in a plain one, and comes back the same."""
    record = read(write, name, "5")
    out = write("").with_name("out.csv")
    export(record, out)
    again = read_record(out, "UTC")
    assert again.channels[0].series.values == pytest.approx(record.channels[0].series.values, rel=1e-15)
    assert measure(unit_in(again.channels[0].column)) is not None
    assert again.channels[0].meaning.quantity is Quantity.ACTIVE_POWER


@pytest.mark.parametrize("power", [-12, -9, -6, -3, -2, -1, 0, 1, 2, 3, 6, 9, 12])
@pytest.mark.parametrize("ending", ["csv", "xml", "jsonl"])
def test_every_multiplier_out_and_back(write: Write, power: int, ending: str) -> None:
    """ESPI energies at every power of ten of NAESB REQ.21 are written and come back the same: 1 of the unit is 10^power Wh."""
    readings = [R(value, MIDNIGHT + 3600 * i, 3600) for i, value in enumerate((1, 0, 1))]
    content = feed([Point([Meter(WH | {"powerOfTenMultiplier": power}, [(MIDNIGHT, 10800, readings)])])])
    record = read_record(write(content), "UTC")
    assert record.channels[0].series.values == pytest.approx([10.0**power, 0, 10.0**power], rel=1e-12)
    out = write("").with_name(f"out.{ending}")
    export(record, out)
    again = read_record(out, "UTC")
    assert np.array_equal(again.channels[0].series.values, record.channels[0].series.values)
