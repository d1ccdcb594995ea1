"""What a household is allowed to draw at once by a published table of diversity, to hold beside what it was seen to draw.

Source: allowances for household installations in the Electrician's Guide to the IET wiring regulations, 5th edition, table 6.2.
They are for choosing conductors where nothing was measured, not a statement about this site.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Use = Literal["lighting", "heating and power", "cooker", "thermostatic water heater"]
_LIGHTING, _FULL_A = 0.66, 10.0
_POWER_REST, _COOKER_REST = 0.5, 0.3


@dataclass(frozen=True, slots=True)
class Installed:
    """The current in A that all equipment of one use draws together."""

    use: Use
    current_a: float


def allowed_a(installed: Sequence[Installed]) -> float:
    """Return the current in A that a household is allowed for at once.

    Lighting 66 %; heating and power all of the first 10 A and half of the rest; a cooker all of the first 10 A and 30 % of the
    rest (a socket in its unit would add 5 A); water heaters with a thermostat all.
    """
    by_use: dict[Use, float] = {}
    for one in installed:
        by_use[one.use] = by_use.get(one.use, 0.0) + one.current_a
    power, cooker = by_use.get("heating and power", 0.0), by_use.get("cooker", 0.0)
    return (
        _LIGHTING * by_use.get("lighting", 0.0)
        + min(power, _FULL_A) + _POWER_REST * max(power - _FULL_A, 0.0)
        + min(cooker, _FULL_A) + _COOKER_REST * max(cooker - _FULL_A, 0.0)
        + by_use.get("thermostatic water heater", 0.0)
    )  # fmt: skip
