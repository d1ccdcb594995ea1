"""Loads without a store: what runs whenever it is fed, with or without a motor."""

from wattwright.loads.columns import PLAIN
from wattwright.loads.compiled import CompiledLoad, row
from wattwright.loads.equipment import Equipment, MotorDriven


class Resistive(Equipment):
    """A heat lamp, panel or other plain resistance. Survey: rating plate, and what it keeps warm (animals must not go cold)."""

    def compiled(self, id_: str) -> CompiledLoad:
        """Return it as a row for the engine."""
        return row(id_, PLAIN, self.common())


class Motor(MotorDriven):
    """A motor, pump or fan that runs whenever it is fed. Survey: rating plate, starting current, what it drives."""

    def compiled(self, id_: str) -> CompiledLoad:
        """Return it as a row for the engine."""
        return row(id_, PLAIN, self.common())
