"""The columns of the flat arrays of the engine: the supply's settings and state, sums by conductor, and events."""

from typing import Final

SUPPLY: Final = 32
V_LIMIT_A: Final = 0
"""Rating of the connection's protection per conductor, A."""
V_CONDUCTORS: Final = 1
"""How many of the three columns of conductors are there: 1, 2 or 3."""
V_CLOSED_AFTER_S: Final = 2
"""How long the site stays dark after the connection's protection tripped, s."""
V_INVERTER_VA: Final = 3
"""Continuous rating of the inverter; 0 where there is none."""
V_ALONE: Final = 4
"""1 where the inverter carries the site in an outage."""
V_OFF_GRID: Final = 5
"""1 where there never is a grid."""
V_RESTART_S: Final = 6
"""How long the inverter rests after a trip, s."""
V_IDLE_W: Final = 7
V_BATTERY_J: Final = 8
"""Energy of the battery; 0 where there is none."""
V_CHARGE_W: Final = 9
V_DISCHARGE_W: Final = 10
V_CHARGE_SHARE: Final = 11
V_DISCHARGE_SHARE: Final = 12
"""Efficiencies one way: the share of what goes in that is kept; the share of what is taken out that arrives."""
V_RESERVE: Final = 13
"""Share of the battery kept for outages while the grid is there."""
V_FLOOR: Final = 14
"""Share at which the inverter stops, whatever it carries."""
V_BACK: Final = 15
"""Share at which it begins again."""
V_GENERATOR_W: Final = 16
V_GENERATOR_START: Final = 17
V_GENERATOR_STOP: Final = 18
"""Shares of the battery at which the generator starts, and stops again."""
V_GENERATOR_LEAST_S: Final = 19
"""Shortest run, s."""
V_GENERATOR_DELAY_S: Final = 20
"""From the command until it gives power, s."""
V_FORGETS_S: Final = 21
"""How long a withstand that was used up takes to come back whole, s."""
V_GENERATOR_VA: Final = 22
V_STEP_VA: Final = 23
"""The most that motors may take at once from a running generator when they start, VA."""
V_GENERATOR_CLOSED_S: Final = 24
"""How long a generator stays away after it tripped, s."""
V_CONNECTION_BY_HAND: Final = 25
V_INVERTER_BY_HAND: Final = 26
V_GENERATOR_BY_HAND: Final = 27
"""1 where a person closes it again after a trip, 0 where it does so by itself."""
V_SHAVE_W: Final = 28
"""Import above which the battery gives and below which it is filled from the grid; 0: it gives all that is missing."""
V_REFILL_W: Final = 29
"""Power with which the grid fills the battery up to its reserve."""

STANDING: Final = 32
X_BATTERY_J: Final = 0
X_GRID_WEAR: Final = 1
"""Share of the connection's withstand that an overload has used up; at 1 it trips."""
X_INVERTER_WEAR: Final = 2
X_TRIPPED_S: Final = 3
"""How long a tripped supply stays away yet, s."""
X_EMPTY: Final = 4
"""1 while the battery is too low for the inverter."""
X_GENERATOR: Final = 5
"""STANDS, STARTS, RUNS or OUT."""
X_GENERATOR_S: Final = 6
"""How long the generator has been so, s."""
X_SOURCE: Final = 7
"""What fed the site in the last piece: DARK, GRID or ALONE."""
X_TRIPS: Final = 8
X_DARK_S: Final = 9
"""Time without supply so far, s. All below are sums so far, too."""
X_IMPORT_J: Final = 10
X_EXPORT_J: Final = 11
X_PV_J: Final = 12
X_SPILLED_J: Final = 13
"""Energy of PV that nothing could take."""
X_GENERATOR_J: Final = 14
X_CHARGE_J: Final = 15
X_DISCHARGE_J: Final = 16
"""Energy into and out of the battery, at the site's side."""
X_LOST_J: Final = 17
"""Energy lost in the battery and used by the inverter itself."""
X_SITE_J: Final = 18
"""Energy that loads and the rest of the site used."""
X_UNSERVED_J: Final = 19
"""Energy that the rest of the site would have used while there was no supply."""
X_OVER_S: Final = 20
"""Time above the connection's rating of each of three conductors, s."""
X_INVERTER_OVER_S: Final = 23
"""Time above the inverter's rating, s."""
X_GENERATOR_WEAR: Final = 24
X_GENERATOR_OVER_S: Final = 25
X_OPENED: Final = 26
"""What keeps the site dark after a trip: NOTHING, CONNECTION or INVERTER."""

DARK: Final = 0.0
GRID: Final = 1.0
ALONE: Final = 2.0
STANDS: Final = 0.0
STARTS: Final = 1.0
RUNS: Final = 2.0
OUT: Final = 3.0
"""Its breaker has opened."""
NOTHING: Final = 0.0
CONNECTION: Final = 1.0
INVERTER: Final = 2.0

POINTS: Final = 8
"""Points of a withstand curve, (ratio to the rating, seconds); unused ones at the end are (inf, 0)."""

EVEN: Final = 0.0
UNEVEN: Final = 1.0
SWITCHED: Final = 2.0

ROWS: Final = 5
"""Rows of sums by conductor."""
MEAN: Final = 0
LOW: Final = 1
HIGH: Final = 2
"""The least and the most there can have been at any instant of the piece."""
PEAK: Final = 3
"""The mean, with the full power of what switched within the piece."""
END: Final = 4
"""What there is at the end of the piece."""

CLOCK: Final = 5
T_SITE_W: Final = 0
"""Power the supply carried when it was measured last."""
T_NEXT_S: Final = 1
"""When a clock of the rules switches next; NaN where it must be looked up."""
T_PENDING: Final = 2
"""1 while a delay of the rules is running."""
T_CAUSE: Final = 3
"""Why the supply was lost."""
T_SETTLED: Final = 4
"""1 while contacts stay as they are until a rule or the shedding says something else, or supply or link goes."""

TAKEN: Final = 0
TOO_LONG: Final = 1
"""Something may have turned within the piece: shorter ones are needed."""
SHORT: Final = 2
"""The sources could not carry the site through the piece."""

EVENT: Final = 4
"""Columns of an event: s since the start, load (-1: the supply), what, cause."""
OPENS: Final = 0
CLOSES: Final = 1
STOPS: Final = 2
BEGINS: Final = 3
LOST: Final = 4
RETURNS: Final = 5
TRIPS: Final = 6
CHANGES: Final = 7
CLOSED_AGAIN: Final = 8
STARTED: Final = 9
GIVES: Final = 10
STOPPED: Final = 11
WHAT: Final = {
    OPENS: "contact opens",
    CLOSES: "contact closes",
    STOPS: "stops",
    BEGINS: "starts",
    LOST: "supply lost",
    RETURNS: "supply back",
    TRIPS: "trip",
    CHANGES: "another source",
    CLOSED_AGAIN: "closed again",
    STARTED: "generator starts",
    GIVES: "generator gives power",
    STOPPED: "generator stops",
}

CAUSE_OWN: Final = 50
CAUSE_OUTAGE: Final = 51
CAUSE_CONNECTION: Final = 52
CAUSE_INVERTER: Final = 53
CAUSE_EMPTY: Final = 54
CAUSE_WEAK: Final = 55
CAUSE_GRID: Final = 56
CAUSE_INSTEAD: Final = 57
CAUSE_GENERATOR: Final = 58
CAUSE_STEP: Final = 59
CAUSE_LOW: Final = 60
CAUSE_FULL: Final = 61
CAUSE_READY: Final = 62
CAUSE_PERSON: Final = 63
CAUSE_ITSELF: Final = 64
CAUSE_OUT: Final = 65
CAUSES: Final = {
    CAUSE_OWN: "its own controller",
    CAUSE_OUTAGE: "outage of the grid",
    CAUSE_CONNECTION: "the connection's protection",
    CAUSE_INVERTER: "overload of the inverter",
    CAUSE_EMPTY: "battery empty",
    CAUSE_WEAK: "sources too weak",
    CAUSE_GRID: "the grid is there",
    CAUSE_INSTEAD: "the inverter or generator carries the site",
    CAUSE_GENERATOR: "overload of the generator",
    CAUSE_STEP: "a motor's start too heavy for the generator",
    CAUSE_OUT: "the generator has tripped",
    CAUSE_LOW: "battery low in an outage",
    CAUSE_FULL: "battery full enough",
    CAUSE_READY: "its starting delay is over",
    CAUSE_PERSON: "by hand, after the time a person takes",
    CAUSE_ITSELF: "by itself, after its rest",
}
"""Causes that are no rule's and no relay's; those stand in control.columns."""
