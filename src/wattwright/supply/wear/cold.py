"""What cold and haste leave of a battery's charge: the temperature factor of IEEE 485, and Peukert's law."""

from math import log

import numpy as np

from wattwright.core.errors import InputError, Place
from wattwright.supply.wear.usual import usual


def temperature_factor(cell_c: float) -> float:
    """Return the factor on the capacity of lead-acid cells rated at 25 degC, straight between the rows of the table.

    Below 1 above 25 degC; that is not credited in sizes as a rule. Raises InputError outside the table, -3.9 to 51.7 degC.
    Source: IEEE 485, from memory.
    """
    table = usual()["cold"]
    rows = table["cell_c"]
    if not rows[0] <= cell_c <= rows[-1]:
        raise InputError.one(
            "supply.wear-outside-table",
            Place(field="cells"),
            found=f"{cell_c:g} degC",
            wanted=f"a temperature from {rows[0]} to {rows[-1]} degC, as the table of IEEE 485 has it",
            next_step="Ask the maker what the cells hold there; a discharged lead-acid cell may freeze.",
        )
    return float(np.interp(cell_c, rows, table["factor"]))


def lasts_s(charge_ah: float, rated_s: float, current_a: float, exponent: float) -> float:
    """Return how long a constant current can be drawn, by Peukert's law with the rated time: t = H (C / (I H))^k.

    ``charge_ah`` is what the battery holds when drawn empty in ``rated_s``; usual exponents: 1.05 to 1.3 for lead-acid
    (common practice, no source). Source: Peukert's law in the form that holds at the rated current.
    """
    rated_a = charge_ah * 3600.0 / rated_s
    return float(rated_s * (rated_a / current_a) ** exponent)


def peukert_exponent(first_ah: float, first_s: float, second_ah: float, second_s: float) -> float:
    """Return Peukert's exponent from two ratings of a battery, each a charge and the time in which it is drawn.

    Raises InputError where the quicker rating does not give less charge. Source: Peukert's law, solved for its exponent.
    """
    if (first_s - second_s) * (first_ah - second_ah) <= 0.0:
        raise InputError.one(
            "supply.wear-ratings",
            Place(field="ratings"),
            found=f"{first_ah:g} Ah in {first_s / 3600:g} h and {second_ah:g} Ah in {second_s / 3600:g} h",
            wanted="two ratings of which the quicker one gives less charge",
            next_step="Read both from the same data sheet.",
        )
    return log(first_s / second_s) / log((second_ah / second_s) / (first_ah / first_s))
