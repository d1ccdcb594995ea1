"""Room for wires in electrical metallic tubing (NEC Chapter 9, Tables 1, 4 and 5)."""

from collections.abc import Sequence

from wattwright.core.errors import InputError, Place
from wattwright.gear.circuit.tables import table


def raceway(sizes: Sequence[str]) -> str:
    """Return the smallest trade size that holds wires of these sizes ("12 AWG"); raises InputError where the table ends.

    One wire may fill 53 % of it, two 31 %, more 40 %.
    """
    held, listed = table("nec")["raceway"], table("nec")["ampacity"]["awg"]
    fills_in2 = sum(held["wire_in2"][listed.index(one.removesuffix(" AWG"))] for one in sizes)
    share = held["fill"][min(len(sizes), 3) - 1]
    for trade, area_in2 in zip(held["trade"], held["area_in2"], strict=True):
        if fills_in2 <= share * area_in2:
            return str(trade)
    raise InputError.one(
        "circuit.raceway", Place(field="circuits"), found=f"{len(sizes)} wires of {fills_in2:.3g} square inches",
        wanted=f"wires that fit a raceway of {held['trade'][-1]} in at most: {held['clause']} ends there",
        next_step="Use more raceways.",
    )  # fmt: skip
