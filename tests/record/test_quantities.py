"""Every quantity a file may hold, and channels worked out from others; values by hand from the definitions."""

import numpy as np
import pytest

from tests.record.writing import Write
from wattwright.core.basis import Basis
from wattwright.core.clock import SiteClock
from wattwright.core.errors import RecordError
from wattwright.core.quality import Quality
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.demand.analyse import analyse
from wattwright.demand.site import site_power
from wattwright.record.columns import meaning_of
from wattwright.record.read import read_record
from wattwright.record.record import Form, Record
from wattwright.record.spec import ColumnSpec, LayoutSpec

STAMPS = [f"2025-06-01 {h:02d}:00Z" for h in range(24)]


def file_of(names: str, rows: "list[str] | str", delimiter: str = ",") -> str:
    """A row for each hour of a day under `time` and the names; one row for all of them where only one is given."""
    each = [rows] * 24 if isinstance(rows, str) else rows
    lines = (f"{s}{delimiter}{row}" for s, row in zip(STAMPS, each, strict=True))
    return "\n".join([f"time{delimiter}{names}", *lines, ""])


def read(write: Write, names: str, rows: "list[str] | str", **said: object) -> Record:
    return read_record(write(file_of(names, rows)), "UTC", LayoutSpec.model_validate(said))


def codes(record: Record) -> set[str]:
    return {f.code for f in record.findings}


@pytest.mark.parametrize(
    ("name", "row", "quantity", "value"),
    [
        ("Temperature [°F]", "68.0", Quantity.TEMPERATURE, 20.0),
        ("Temperature [degF]", "-40.0", Quantity.TEMPERATURE, -40.0),
        ("Temp (F)", "32.0", Quantity.TEMPERATURE, 0.0),
        ("Temp F", "212.0", Quantity.TEMPERATURE, 100.0),
        ("Temperatur in Kelvin", "293.15", Quantity.TEMPERATURE, 20.0),
        ("Temperature [K]", "273.15", Quantity.TEMPERATURE, 0.0),
        ("Temperatur [°C]", "21.5", Quantity.TEMPERATURE, 21.5),
        ("Température C", "21.5", Quantity.TEMPERATURE, 21.5),
        ("Humidity [%]", "55.0", Quantity.HUMIDITY, 55.0),
        ("Luftfeuchte %RH", "55.0", Quantity.HUMIDITY, 55.0),
        ("Soil moisture [m3/m3]", "0.25", Quantity.SOIL_MOISTURE, 0.25),
        ("Bodenfeuchte [m³/m³]", "0.25", Quantity.SOIL_MOISTURE, 0.25),
        ("Humedad del suelo [%]", "25.0", Quantity.SOIL_MOISTURE, 0.25),
        ("Soil moisture", "25.0", Quantity.SOIL_MOISTURE, 0.25),
        ("VWC", "0.25", Quantity.SOIL_MOISTURE, 0.25),
        ("Reactive energy [kvarh]", "0.5", Quantity.REACTIVE_POWER, 500.0),
        ("Scheinleistung [kVA]", "1.5", Quantity.APPARENT_POWER, 1500.0),
        ("cos phi", "0.95", Quantity.POWER_FACTOR, 0.95),
        ("Strom [mA]", "150.0", Quantity.CURRENT, 0.15),
    ],
)
def test_units(write: Write, name: str, row: str, quantity: Quantity, value: float) -> None:
    """Each name gives its quantity, and each unit its value in the one held: water freezes at 32 °F and 273.15 K."""
    (channel,) = read(write, name, row).channels
    assert channel.meaning.quantity is quantity
    assert channel.series.values == pytest.approx(value, abs=1e-9)
    assert channel.series.raw == pytest.approx(float(row))


def test_degrees_by_word_of_a_person(write: Write) -> None:
    """A column said to be in °F is turned as one that says so itself."""
    spec = {"column": "probe", "quantity": "temperature", "unit": "°F"}
    assert read(write, "probe", "50.0", columns=[spec]).channels[0].series.values == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("closed", "open_"),
    [("on", "off"), ("closed", "open"), ("Ein", "Aus"), ("geschlossen", "offen"), ("fermé", "ouvert"), ("cerrado", "abierto"),
     ("acceso", "spento"), ("TRUE", "FALSE"), ("ja", "nein"), ("κλειστό", "ανοιχτό"), ("1", "0")],
)  # fmt: skip
def test_contacts(write: Write, closed: str, open_: str) -> None:
    """Closed or on is 1, open or off is 0, in words of several languages or as numbers."""
    record = read(write, "Pump contact", [closed, open_] * 12)
    (channel,) = record.channels
    assert (channel.meaning.quantity, channel.meaning.form) == (Quantity.CONTACT, Form.STATE)
    assert channel.series.values.tolist() == [1.0, 0.0] * 12


def test_contact_beside_a_power(write: Write) -> None:
    """A column of words is a contact also where its name speaks of a power, and a blank in it is missing."""
    record = read(write, "Power [W],Heating power", ["1500,on", "200,off", "300,"] * 8)
    power, contact = record.channels
    assert (power.meaning.quantity, contact.meaning.quantity) == (Quantity.ACTIVE_POWER, Quantity.CONTACT)
    assert np.isnan(contact.series.values).sum() == 8


@pytest.mark.parametrize("row", [["on"] * 24, ["on", "off", "perhaps"] * 8])
def test_words_that_are_no_contact(write: Write, row: list[str]) -> None:
    """One word alone says nothing, and a third word makes it a remark: beside a power such a column is left aside."""
    assert len(read(write, "Power [W],Remark", [f"{100 + i},{one}" for i, one in enumerate(row)]).channels) == 1


def test_net_is_import_less_export(write: Write) -> None:
    """1.5 kWh in and 0.25 kWh out an hour are 1,250 W net; the site's power stays what was imported."""
    record = read(write, "Import [kWh],Export [kWh]", "1.5,0.25")
    (net,) = record.derived
    assert (net.id, net.meaning.direction, net.basis) == ("net-power", Direction.NET, Basis.CALCULATED)
    assert net.series.values == pytest.approx(1250.0)
    assert set(net.series.quality.tolist()) == {Quality.DERIVED}
    assert site_power(record).series.values == pytest.approx(1500.0)
    named = site_power(record, "net-power")
    assert (named.series.values == pytest.approx(1250.0), named.grounds.basis) == (True, Basis.CALCULATED)
    assert record.channel("net-power") is net


def test_net_that_was_read_is_the_sites_power(write: Write) -> None:
    """A net column needs nothing worked out; it stands for the site with its sign."""
    record = read(write, "Net power [W]", "-350.0")
    assert record.derived == ()
    assert site_power(record).series.values == pytest.approx(-350.0)
    assert "record.negative" not in codes(record)


def test_net_of_each_phase_is_not_added_again(write: Write) -> None:
    """Three conductors with both directions give three nets; the site's power is the sum of the imports alone."""
    record = read(write, "L1 import [W],L1 export [W],L2 import [W],L2 export [W]", "500,100,300,0")
    assert [one.id for one in record.derived] == ["net-power-l1", "net-power-l2"]
    assert site_power(record).series.values == pytest.approx(800.0)


def test_power_of_three_phases(write: Write) -> None:
    """230 V times 10, 5 and 2 A at 0.95: 2185, 1092.5 and 437 W, in all 3714.5 W; at 0.8 and 1, 3.128 and 3.91 kWh an hour."""
    names = "L1 voltage [V],L2 voltage [V],L3 voltage [V],L1 current [A],L2 current [A],L3 current [A]"
    record = read(write, names, "230,230,230,10,5,2")
    assert [one.meaning.phase for one in record.derived] == [Phase.L1, Phase.L2, Phase.L3]
    site = site_power(record)
    assert site.series.values == pytest.approx(3714.5)
    assert site.grounds.basis is Basis.ASSUMED
    told = [f for f in record.findings if f.code == "record.power-factor-assumed"]
    assert sum(float(f.data["low"]) for f in told) == pytest.approx(24 * 3.128)
    assert sum(float(f.data["high"]) for f in told) == pytest.approx(24 * 3.910)


def test_power_factor_that_was_measured_or_said(write: Write) -> None:
    """230 V and 10 A: at a measured 0.9 2,070 W, calculated; at a stated 0.85 1,955 W, assumed, with its ends told."""
    measured = read(write, "Voltage [V],Current [A],PF", "230,10,0.9")
    assert site_power(measured).series.values == pytest.approx(2070.0)
    assert site_power(measured).grounds.basis is Basis.CALCULATED
    said = read(write, "Voltage [V],Current [A]", "230,10", power_factor=0.85)
    assert site_power(said).series.values == pytest.approx(1955.0)
    assert (site_power(said).grounds.basis, "record.power-factor-said" in codes(said)) == (Basis.ASSUMED, True)


def test_currents_alone(write: Write) -> None:
    """Without a voltage there is no power and the way out is told; with 230 V stated, 10 A at 0.95 are 2,185 W."""
    bare = read(write, "Current [A]", "10")
    assert "record.current-only" in codes(bare)
    with pytest.raises(RecordError):
        site_power(bare)
    record = read(write, "Current [A]", "10", voltage="230 V")
    assert site_power(record).series.values == pytest.approx(2185.0)
    assert {"record.voltage-nominal", "record.power-factor-assumed"} <= codes(record)


def test_one_voltage_for_three_currents(write: Write) -> None:
    """Where one voltage was measured it stands for each conductor: 240 V times 4 A twice, at 1, are 1,920 W."""
    record = read(write, "Voltage [V],L1 current [A],L2 current [A]", "240,4,4", power_factor=1)
    assert site_power(record).series.values == pytest.approx(1920.0)


def test_apparent_and_reactive(write: Write) -> None:
    """A triangle of 3, 4 and 5: 5 kVA and 3 kvar are 4 kW; 4 kW beside 5 kVA or beside 3 kvar have a power factor of 0.8."""
    power = read(write, "Apparent power [kVA],Reactive power [kvar]", "5,3")
    assert site_power(power).series.values == pytest.approx(4000.0)
    assert site_power(power).grounds.basis is Basis.CALCULATED
    for other, value in (("Apparent power [kVA]", "5"), ("Reactive power [kvar]", "3")):
        record = read(write, f"Active power [kW],{other}", f"4,{value}")
        (factor,) = record.derived
        assert (factor.id, factor.meaning.quantity) == ("power-factor", Quantity.POWER_FACTOR)
        assert factor.series.values == pytest.approx(0.8)


def test_nothing_drawn_has_no_power_factor(write: Write) -> None:
    """Where no apparent power flows, the factor is missing rather than a division by nought."""
    (factor,) = read(write, "Active power [kW],Apparent power [kVA]", "0,0").derived
    assert np.isnan(factor.series.values).all()


def test_apparent_power_alone(write: Write) -> None:
    """2 kVA at the usual 0.95 are 1,900 W, between 1,600 and 2,000."""
    record = read(write, "Apparent power [VA]", "2000")
    assert site_power(record).series.values == pytest.approx(1900.0)
    (told,) = [f for f in record.findings if f.code == "record.power-factor-assumed"]
    assert (told.data["low"], told.data["high"]) == (pytest.approx(38.4), pytest.approx(48.0))


def test_what_was_measured_goes_first(write: Write) -> None:
    """Beside a measured power nothing is worked out from current and voltage, and a stated factor is told to be of no use."""
    record = read(write, "Power [W],Voltage [V],Current [A]", "2000,230,10", power_factor=0.5)
    assert site_power(record).series.values == pytest.approx(2000.0)
    assert "record.power-factor-unused" in codes(record)


def test_a_column_called_as_one_worked_out(write: Write) -> None:
    """Ids stay apart where the file itself has a column of that name."""
    record = read(write, "Import [kWh],Export [kWh],net power", ["1.5,0.25,on", "1.5,0.25,off"] * 12)
    assert [one.id for one in record.all] == ["import-kwh", "export-kwh", "net-power", "net-power-worked-out"]


@pytest.mark.parametrize(
    ("name", "form"),
    [
        ("kW max", Form.HIGHEST), ("Max kW", Form.HIGHEST), ("P_max [kW]", Form.HIGHEST), ("Peak power kW", Form.HIGHEST),
        ("Wirkleistung Höchstwert kW", Form.HIGHEST), ("Puissance maximale kW", Form.HIGHEST),
        ("Potencia máxima kW", Form.HIGHEST),
        ("Potenza massima kW", Form.HIGHEST), ("Vermogen maximum kW", Form.HIGHEST), ("Moc maks kW", Form.HIGHEST),
        ("Ισχύς μέγιστη kW", Form.HIGHEST), ("min_power_w", Form.LOWEST), ("Wirkleistung Minimum kW", Form.LOWEST),
        ("Puissance minimale kW", Form.LOWEST), ("Voltage max V", Form.HIGHEST), ("Temperature min °C", Form.LOWEST),
        # Minutes, and hours of a tariff, are no lowest and no highest.
        ("kW 15 min", Form.MEAN), ("P 15min kW", Form.MEAN), ("Off peak kW", Form.MEAN), ("Peak hours kW", Form.MEAN),
        ("Power kW", Form.MEAN), ("Peak kWh", Form.ENERGY),
    ],
)  # fmt: skip
def test_highest_and_lowest_are_no_means(name: str, form: Form) -> None:
    """A name in several languages that speaks of the highest or lowest within the interval gives that form."""
    told = meaning_of(name, np.array([1.5, 2.5, 1.0, 2.0] * 6))
    assert told is not None
    assert told.form is form


def test_highest_power_is_evidence_of_peaks_and_not_the_power(write: Write) -> None:
    """Of highest, mean and lowest power the mean is the site's, wherever it stands; nothing is worked out from the others."""
    rows = [f"2025-06-02 {h:02d}:00,{4 + h % 5},{1 + h % 3},{0.5}" for h in range(24)]
    record = read_record(write("\n".join(["start,kW max,kW,kW min", *rows, ""])), "UTC")
    assert record.main is not None
    assert record.main.column == "kW"
    assert [one.column for one in record.highest(Quantity.ACTIVE_POWER)] == ["kW max"]
    assert [one.column for one in record.of(Quantity.ACTIVE_POWER)] == ["kW"]
    assert not [one for one in record.findings if one.code == "record.several-powers"]
    found = {one.code: one.data for one in analyse(record, SiteClock("UTC")).findings}
    # By hand: the highest of 4 to 8 kW, first at 4 o'clock; the highest mean is 3 kW.
    told = found["demand.inside"]
    assert (told["value"], told["ratio"], told["start"]) == (8000.0, pytest.approx(8 / 3), record.main.series.start_s + 4 * 3600)
    assert "demand.coarse" not in found


def test_highest_power_alone_is_no_power_of_the_site(write: Write) -> None:
    """A file of nothing but highest powers has no energy: it is said what the column holds; a person may say otherwise."""
    text = "\n".join(["start,kW max", *(f"2025-06-02 {h:02d}:00,{4 + h % 5}" for h in range(24)), ""])
    record = read_record(write(text), "UTC")
    for channel in ("", "kW max"):
        with pytest.raises(RecordError, match="highest in the interval"):
            site_power(record, channel)
    said = LayoutSpec(columns=(ColumnSpec(column="kW max", quantity=Quantity.ACTIVE_POWER, unit="kW"),))
    assert read_record(write(text), "UTC", said).main is not None
    said = LayoutSpec(columns=(ColumnSpec(column="kW max", quantity=Quantity.ACTIVE_POWER, form=Form.LOWEST, unit="kW"),))
    assert read_record(write(text), "UTC", said).channels[0].meaning.form is Form.LOWEST
