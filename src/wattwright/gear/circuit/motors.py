"""Full-load current of motors by rated horsepower (NEC 430.248, 430.250): the row asked for or the next one up, never beyond."""

from dataclasses import dataclass

from wattwright.core.errors import InputError, Place
from wattwright.gear.circuit.appliance import System
from wattwright.gear.circuit.tables import Status, table

W_HP = 745.7
"""Watts of a horsepower."""
_PAIRS = 1.01
"""Plates pair 7.5 kW with 10 hp and 1.1 kW with 1.5 hp: within a hundredth a power is that row's (IEC 60072-1, from memory)."""


@dataclass(frozen=True, slots=True)
class TableCurrent:
    """A row of a table: its horsepower, the column's rated voltage in V, the current in A, and where it stands."""

    hp: float
    column_v: int
    current_a: float
    clause: str
    status: Status


def table_current(power_w: float, voltage_v: float, system: System) -> TableCurrent:
    """Return the full-load current of a motor of ``power_w`` at its shaft; raises InputError outside the table.

    Source: NEC 430.6(A)(1), Tables 430.248 and 430.250.
    """
    listed = table("nec_motors")
    held = listed["three-phase" if system == "three-phase" else "single-phase"]
    column = next((one for one, (low, high) in listed["systems"]["ranges"].items() if low <= voltage_v <= high), "")
    if column not in held["amperes"]:
        ranges = ", ".join(f"{low} to {high} V" for low, high in (listed["systems"]["ranges"][one] for one in held["amperes"]))
        raise _outside("voltage", f"{voltage_v:g} V", f"{ranges} ({held['clause']})", "Correct the voltage, or say the system.")
    rows = held["hp"]
    hp = power_w / W_HP
    row = next((k for k, one in enumerate(rows) if hp <= _PAIRS * one), None)
    if row is None:
        wanted = f"a motor of {rows[0]:.2g} to {rows[-1]:g} hp ({rows[-1] * W_HP / 1000:.3g} kW): {held['clause']} ends there"
        raise _outside("power", f"{hp:.3g} hp ({power_w / 1000:.3g} kW)", wanted, "Size this motor by its own documents.")
    current_a = float(held["amperes"][column][row])
    return TableCurrent(float(rows[row]), int(column), current_a, held["clause"], Status(held["status"]))


def _outside(field: str, found: str, wanted: str, step: str) -> InputError:
    return InputError.one(f"circuit.{field}", Place(field=field), found=found, wanted=wanted, next_step=step)
