"""The quantities of one part of a bill, exact: what the line builder multiplies with prices."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal

NOUGHT = Decimal(0)


@dataclass(frozen=True, slots=True)
class DemandFigure:
    """A demand on a bill, kW or kVA.

    ``measured`` is the highest window, at ``at_s`` (UTC seconds of its start, None where it was given as a figure) after any
    power-factor rule; ``billed`` is what ratchet and minimum make of it.
    """

    label: str
    month: str
    unit: str
    measured: Decimal
    billed: Decimal
    at_s: int | None


@dataclass(frozen=True, slots=True)
class Quantities:
    """What was used in one part of a bill.

    ``energy`` and ``export`` in kWh by price period, rounded as the tariff says and already netted; ``daily`` the energy of
    each local day by price period, where the tariff has blocks per day; ``demand`` by label, before ratchet and minimum;
    ``reactive_kvarh`` the lagging reactive energy, None where it was not read.
    """

    energy: Mapping[str, Decimal]
    export: Mapping[str, Decimal]
    daily: tuple[Mapping[str, Decimal], ...] = ()
    demand: Mapping[str, tuple[Decimal, int | None]] = field(default_factory=dict)
    reactive_kvarh: Decimal | None = None


def rounded(value: float, decimals: int) -> Decimal:
    """Return a float as a decimal with so many decimals, halves up.

    Twelve digits are kept first, so that a half is not lost to the last bit of a float.
    """
    return Decimal(f"{value:.12g}").quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)
