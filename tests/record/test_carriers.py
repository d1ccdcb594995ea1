"""Columns of gas or heat beside, or in place of, those of electricity."""

import pytest

from tests.record.writing import Write
from wattwright.core.errors import RecordError
from wattwright.core.quantity import Quantity
from wattwright.record.columns import why_not
from wattwright.record.read import read_record
from wattwright.record.record import Record
from wattwright.record.spec import ColumnSpec, LayoutSpec


def read(write: Write, head: str, layout: LayoutSpec | None = None) -> Record:
    """A day of hours with readings in each of the columns, those of the first three times as high."""
    count = head.count(",") + 1
    rows = [f"2025-01-01 {h:02d}:00,{3 + h % 3},{1 + h % 3}".split(",")[: count + 1] for h in range(24)]
    return read_record(write("\n".join([f"Time,{head}", *(",".join(row) for row in rows)]) + "\n"), "Europe/Athens", layout)


@pytest.mark.parametrize(
    "other", ["Gas kWh", "Erdgas [kWh]", "Main gas meter kWh", "Heat kWh", "Wärme (kWh)", "Heat meter total kWh", "Chaleur kWh"]
)
def test_gas_and_heat_do_not_stand_for_the_site(write: Write, other: str) -> None:
    """Beside electricity they are left out with a finding; alone they are refused, and a person may still say otherwise."""
    record = read(write, f"{other},Electricity kWh")
    assert [one.column for one in record.channels] == ["Electricity kWh"]
    assert any(f.code == "record.column-unit" and "no electricity" in str(f.data["why"]) for f in record.findings)
    with pytest.raises(RecordError, match="no electricity"):
        read(write, other)
    said = LayoutSpec(columns=(ColumnSpec(column=other, quantity=Quantity.ACTIVE_POWER, form="energy per interval", unit="kWh"),))
    assert read(write, other, said).main is not None


@pytest.mark.parametrize(
    "name",
    ["Heat pump kWh", "Gas station kW", "Gas boiler kW", "Electric heat kWh", "Heating kWh", "Strom kWh", "Heat recovery kW",
     "Gas temperature °C", "Heat °C"],
)  # fmt: skip
def test_what_runs_by_current_is_electricity(name: str) -> None:
    """A heat pump, a filling station and a boiler's supply are loads, and a temperature is no energy at all."""
    assert why_not(name) == ""
