"""The columns of the flat arrays in which loads travel through compiled code: kinds, parameters, state, weather and use.

A load is a row. What a kind keeps in the columns that are its own stands in its kernel module; the columns here mean the same for
every kind.
"""

from typing import Final

PARAMS: Final = 40
"""Columns of parameters of each load."""
STATES: Final = 80
"""Columns of state of each load."""

PLAIN: Final = 0
TANK: Final = 1
ROOM: Final = 2
COLD_STORE: Final = 3
AIR: Final = 4
SOIL: Final = 5
PUMP: Final = 6
CHARGER: Final = 7
GREENHOUSE: Final = 8

P_RATING_W: Final = 0
"""Active power while it runs, W."""
P_STANDBY_W: Final = 1
"""Active power while it is fed and does not run, W."""
P_POWER_FACTOR: Final = 2
P_START_RATIO: Final = 3
"""Starting current over running current; 1 for what is no motor."""
P_START_S: Final = 4
"""How long a start lasts, s."""
P_MIN_ON_S: Final = 5
P_MIN_OFF_S: Final = 6
"""Shortest times of the load's own controller, s."""
P_MOST_W: Final = 7
"""The most it may draw at once, heaters and fans beside the motor included, W."""
P_OWN: Final = 8
"""First column that belongs to the kind."""

S_CALL: Final = 0
"""1 while the load's own thermostat, or whatever it has, calls for power."""
S_RUN: Final = 1
"""1 while it runs: it calls and is fed."""
S_SINCE: Final = 2
"""Time since it last began or ceased to run, s."""
S_STARTS: Final = 3
S_RUN_S: Final = 4
"""Running time so far, s."""
S_UNMET: Final = 5
"""Service not given so far; its unit is the kind's own."""
S_VALUE: Final = 6
"""What a sensor on the load shows: degC, per cent, mm; its kind says which."""
S_STORED_J: Final = 7
"""Energy in the store beyond what it held at the start, J."""
S_ENERGY_J: Final = 8
"""Electric energy used so far, J."""
S_TAU_S: Final = 9
S_STAY_S: Final = 10
S_GONE: Final = 11
"""Time constant and time of the drift passed last, and the share of its way it went: most steps are like the one before."""
S_OWN: Final = 12
"""First column that belongs to the kind."""
S_FEW: Final = 24
"""Columns of state that are enough for every kind but the tank."""
S_LAYERED: Final = 30
"""Columns of state that are enough for a tank; behind them are workings of its layers, which no later step looks at."""

WEATHER: Final = 7
W_AIR_C: Final = 0
W_COLD_WATER_C: Final = 1
W_SUN_W_M2: Final = 2
"""Global irradiance on the level, W/m2."""
W_HUMIDITY_RATIO: Final = 3
"""Water in the outdoor air, kg per kg of dry air."""
W_ET0_MM_S: Final = 4
"""Reference evapotranspiration, mm/s."""
W_RAIN_MM_S: Final = 5
W_WIND_M_S: Final = 6

USES: Final = 2
"""Drivers of each load's own in each step: draws, gains, presence; its kind says which."""

LONG_AGO_S: Final = 1e9
"""Time since the last switching where there was none."""
