"""The columns of the flat arrays of a sweep over sizes: what each size is, and what comes of it."""

from typing import Final

SIZES: Final = 14
"""Rows of sizes, each (k,)."""
Z_PV_W: Final = 0
"""Power of all modules at standard conditions, W."""
Z_FULL_J: Final = 1
Z_FLOOR_J: Final = 2
"""What stays in the battery whatever it carries, J."""
Z_RESERVE_J: Final = 3
"""What stays in it while the grid is there, J."""
Z_START_J: Final = 4
Z_CHARGE_W: Final = 5
Z_DISCHARGE_W: Final = 6
Z_INVERTER_W: Final = 7
Z_SHAVE_W: Final = 8
Z_IDLE_W: Final = 9
Z_REFILL_W: Final = 10
Z_GENERATOR_W: Final = 11
"""Most that a generator gives without the grid, W."""
Z_STARTS_J: Final = 12
"""What the battery holds when it starts, J, and stops."""
Z_STOPS_J: Final = 13

SUMS: Final = 10
"""Rows of what comes of each size, each (k,): energies in J, and the highest mean of a step in W."""
Y_IMPORT_J: Final = 0
Y_EXPORT_J: Final = 1
Y_PV_J: Final = 2
Y_SPILLED_J: Final = 3
Y_CHARGE_J: Final = 4
Y_DISCHARGE_J: Final = 5
Y_SERVED_J: Final = 6
Y_UNSERVED_J: Final = 7
Y_PEAK_W: Final = 8
"""The highest import."""
Y_GENERATOR_J: Final = 9
