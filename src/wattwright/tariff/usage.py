"""What a tariff is applied to: interval readings, or totals known only as figures."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from wattwright.core.series import Series


@dataclass(frozen=True, slots=True)
class PriorDemand:
    """The demand (kW or kVA, before ratchet and minimum) of a charge in a month before the record, "YYYY-MM"."""

    label: str
    month: str
    demand: Decimal


@dataclass(frozen=True, slots=True, eq=False)
class Usage:
    """Readings over [start, end), all on the grid of ``imported``.

    ``imported`` in W, negative where the meter shows export; ``exported`` in W, positive for export; ``reactive`` in var,
    positive for lagging; ``apparent`` in VA. ``prior`` holds the demands of months before the record, for a ratchet.
    """

    imported: Series
    exported: Series | None = None
    reactive: Series | None = None
    apparent: Series | None = None
    prior: tuple[PriorDemand, ...] = ()

    def __post_init__(self) -> None:
        """Check that all series lie on one grid and there is something in them; raises ValueError."""
        if len(self.imported) == 0:
            raise ValueError("a bill needs at least one interval")
        grid = (self.imported.start_s, self.imported.step_s, len(self.imported))
        for other in (self.exported, self.reactive, self.apparent):
            if other is not None and (other.start_s, other.step_s, len(other)) != grid:
                raise ValueError("all series of a usage must have the same start, step and length")

    @property
    def start_s(self) -> int:
        """Return the start of the first interval in UTC seconds."""
        return self.imported.start_s

    @property
    def end_s(self) -> int:
        """Return the end of the last interval in UTC seconds."""
        return self.imported.end_s


@dataclass(frozen=True, slots=True)
class Totals:
    """One whole bill's quantities where there are no readings, such as those printed on a paid bill.

    ``first``: first day billed; ``days``: days billed, those of the billing period where left out; ``energy_kwh`` and
    ``export_kwh`` by price period; ``demand`` by label of the charge, kW or kVA; ``reactive_kvarh``: lagging reactive energy.
    """

    first: date
    energy_kwh: Mapping[str, Decimal]
    days: int | None = None
    export_kwh: Mapping[str, Decimal] = field(default_factory=dict)
    demand: Mapping[str, Decimal] = field(default_factory=dict)
    reactive_kvarh: Decimal | None = None
