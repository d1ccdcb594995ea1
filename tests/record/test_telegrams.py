"""Telegrams of IEC 62056-21 with OBIS codes, written here line by line."""

from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from tests.record.writing import Write
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.record.read import read_record, read_records
from wattwright.record.record import Form, Record
from wattwright.record.spec import LayoutSpec

ZONE = "Europe/Athens"
START = int(datetime(2025, 6, 12, 21, tzinfo=UTC).timestamp())


def telegram(start: int, values: dict[str, str], *, serial: str = "", framed: bool = True, zone: str = ZONE) -> str:
    """One reading out: identification, date and time, values, end (IEC 62056-21, 6.3)."""
    local = datetime.fromtimestamp(start, UTC).astimezone(ZoneInfo(zone))
    lines = [f"0.9.1({local:%H%M%S})", f"0.9.2({local:%y%m%d})", *([f"0.0.0({serial})"] if serial else [])]
    lines += [f"{code}({value})" for code, value in values.items()]
    return "\r\n".join((["/INV5INVENTED", "\x02" + lines[0], *lines[1:], "!", "\x03"]) if framed else lines) + "\r\n"


def kwh(record: Record, channel: int = 0) -> list[float]:
    series = record.channels[channel].series
    return [round(float(v) * series.step_s / 3.6e6, 6) for v in series.values[series.present]]


@pytest.mark.parametrize("framed", [True, False])
def test_registers(write: Write, framed: bool) -> None:
    """Two registers read each hour: 0.5 kWh more of import, 0.25 of export; what was stored at a reset (*01) is no reading."""
    text = ""
    for i in range(8):
        values = {
            "1.8.0": f"{1234 + i / 2:010.3f}*kWh",
            "2.8.0": f"{i / 4:010.3f}*kWh",
            "1.8.0*01": "000999.000*kWh",
            "F.F": "00000000",
        }
        text += telegram(START + 3600 * i, values, framed=framed)
    record = read_record(write(text), ZONE)
    assert [(c.meaning.form, c.meaning.direction) for c in record.channels] == [
        (Form.REGISTER, Direction.IMPORT),
        (Form.REGISTER, Direction.EXPORT),
    ]
    assert (kwh(record), kwh(record, 1)) == ([0.5] * 7, [0.25] * 7)
    assert record.channels[0].series.start_s == START
    assert [c.id for c in record.channels] == ["import-energy-register-1-8-0-kwh", "export-energy-register-2-8-0-kwh"]


def test_instantaneous_values(write: Write) -> None:
    """Power, voltage and current of the conductors with a full code; long dates; tariff registers under their number."""
    text = ""
    for i in range(3):
        text += f"/INV5\n1-0:0.9.2(2025-06-13)\n1-0:0.9.1(0{i}:00:00)\n1-0:1.7.0*255(00.{i}50*kW)\n1-0:32.7.0(23{i}.5*V)\n"
        text += f"1-0:51.7.0(01{i}.2*A)\n1-0:1.8.2(00{i}0*kWh)\n!\n"
    record = read_record(write(text), ZONE)
    found = [(c.meaning.quantity, c.meaning.phase, c.series.raw.tolist()) for c in record.channels]
    assert found[:3] == [
        (Quantity.ACTIVE_POWER, Phase.TOTAL, [0.05, 0.15, 0.25]),
        (Quantity.VOLTAGE, Phase.L1, [230.5, 231.5, 232.5]),
        (Quantity.CURRENT, Phase.L2, [10.2, 11.2, 12.2]),
    ]
    assert record.channels[3].column == "import energy register tariff 2 1.8.2 [kWh]"
    assert record.channels[3].meaning.form is Form.REGISTER


def test_date_and_time_in_one(write: Write) -> None:
    """1.0.0 gives date and time together, with a letter for summer or winter."""
    text = "".join(f"0-0:1.0.0(25061300{i}000S)\n1-0:1.7.0(0{i}.5*kW)\n" for i in range(3))
    series = read_record(write(text), ZONE).channels[0].series
    assert (series.start_s, series.step_s, series.values.tolist()) == (START, 600, [500, 1500, 2500])


def test_two_meters(write: Write) -> None:
    """Serial numbers tell meters apart."""
    text = "".join(telegram(START + 900 * i, {"1.7.0": f"{m}.{i}*kW"}, serial=f"70{m}") for i in range(3) for m in (1, 2))
    records = read_records(write(text), ZONE)
    assert [(r.channels[0].meter, r.channels[0].series.values.tolist()) for r in records] == [
        ("701", [1000, 1100, 1200]),
        ("702", [2000, 2100, 2200]),
    ]


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_random_registers_come_back(data: st.DataObject, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Registers that grow by any steps, read at any interval over a change of the clock, give those steps."""
    step = data.draw(st.sampled_from([300, 900, 3600]))
    grown = data.draw(st.lists(st.integers(0, 9999), min_size=12, max_size=60))
    start = data.draw(st.sampled_from([START, 1743289200, 1761433200])) // step * step
    totals = np.concatenate([[0], np.cumsum(grown)]) / 1000 + 500
    text = "".join(
        telegram(start + step * i, {"1.8.0": f"{total:.3f}*kWh"}, framed=data.draw(st.booleans()))
        for i, total in enumerate(totals)
    )
    path: Path = tmp_path_factory.mktemp("obis") / "m.txt"
    path.write_bytes(text.encode())
    series = read_record(path, ZONE, LayoutSpec(stamps="start")).channels[0].series
    assert (series.start_s, series.step_s) == (start, step)
    np.testing.assert_allclose(series.raw, totals[:-1], rtol=1e-12)
    np.testing.assert_allclose(series.values * step / 3600, grown, rtol=1e-9, atol=1e-6)
