"""The columns of the flat arrays in which rules and actuators travel through compiled code, and causes of contacts' states."""

from typing import Final

PROGRAMME: Final = 0
"""A sorted list of instants, each with the state from then on."""
CYCLE: Final = 1
LIMIT: Final = 2
"""Limits, and set points: a set point is a limit without delays."""

RULE: Final = 8
"""Columns of settings of each rule."""
R_PICK_UP: Final = 0
"""Pick-up value; a repeat-cycle timer's time on, s."""
R_DROP_OUT: Final = 1
"""Drop-out value; a repeat-cycle timer's time off, s."""
R_ON_DELAY_S: Final = 2
"""On-delay; how far a repeat-cycle timer's round has gone at the start, s."""
R_OFF_DELAY_S: Final = 3
R_SIDE: Final = 4
"""1: picks up at or above its pick-up value; -1: at or below."""
R_EFFECT: Final = 5
"""1: its contact is closed while picked up; -1: open while picked up."""
R_INTERVAL_S: Final = 6
"""How often the quantity is measured."""
R_REPORT_S: Final = 7
"""How long a measured value takes to be seen."""

RING: Final = 7
"""Values on their way from a gauge at most, each as (value, when it is seen): two columns."""
K_SEEN: Final = 0
"""The value seen last; NaN before the first. The first columns, to K_RING and its values, are those of a gauge."""
K_NEXT_S: Final = 1
"""When the next measurement is due, s since the start."""
K_HEAD: Final = 2
K_COUNT: Final = 3
"""Where the ring of values on their way begins, and how many it holds."""
K_RING: Final = 4
GAUGE: Final = K_RING + 2 * RING

RULE_STATE: Final = GAUGE + 5
Q_ACTIVE: Final = GAUGE
"""1 while picked up."""
Q_TIMER_S: Final = GAUGE + 1
"""How long the condition for the other state has lasted, s."""
Q_CURSOR: Final = GAUGE + 2
"""The first instant of its programme or season that is still to come."""
Q_CHANGED_S: Final = GAUGE + 3
"""When the contact changed last."""
Q_CONTACT: Final = GAUGE + 4
"""State of the rule's contact: 1 closed, 0 open, 2 without a say."""
NO_SAY: Final = 2.0

ACTUATOR: Final = 12
A_NEVER: Final = 0
"""1 where nothing may interrupt the load."""
A_MIN_ON_S: Final = 1
A_MIN_OFF_S: Final = 2
A_RESTART_S: Final = 3
"""How long the contact stays open after the supply returned: restart delay and the load's turn in a staggered return."""
A_POWER_UP: Final = 4
"""State from the return of the supply until a command arrives: 0 open, 1 closed, -1 as commanded last."""
A_FAIL_SAFE: Final = 5
"""State when the link is lost: 0 open, 1 closed, -1 as commanded last."""
A_LOST_AFTER_S: Final = 6
A_LINK_S: Final = 7
"""Time of a command on its way, link and relay together."""
A_UNATTENDED: Final = 8
"""1 where the load may restart by itself after an outage."""

QUEUE: Final = 5
"""Commands on their way at most, each as (state, cause, when it arrives): three columns."""
ACTUATOR_STATE: Final = 34
C_CLOSED: Final = 0
C_SINCE_S: Final = 1
"""How long the contact has been as it is, s."""
C_SENT: Final = 2
"""State the controller sent last; -1 where it must send anew."""
C_SENT_URGENT: Final = 3
"""1 where what it sent last was a shedding or a person's wish, for which no minimum on-time is waited."""
C_RECEIVED: Final = 4
C_TOLD: Final = 5
"""Cause of the command received last."""
C_DEAF: Final = 6
"""What has happened since the last command arrived: HEARS, POWERED_UP or LOST."""
C_LOST_S: Final = 7
"""How long the link has been lost, s."""
C_BACK_S: Final = 8
"""How long the supply has been back, s."""
C_SHED: Final = 9
"""1 while the load is shed."""
C_WAITS: Final = 10
"""1 while the load waits for a person after an outage."""
C_WISH: Final = 11
"""What the contact would do if there were no interlock."""
C_WHY: Final = 12
"""What decides the contact now: a code below, or CAUSE_RULE plus the number of the rule."""
C_CAUSE: Final = 13
"""What decided it when it changed last."""
C_CUTS: Final = 14
"""How often a minimum on-time was cut short to protect the supply."""
C_WAS: Final = 15
"""How the contact was before this sub-step."""
C_HEAD: Final = 16
C_COUNT: Final = 17
C_QUEUE: Final = 18
C_SENT_SHED: Final = 33
"""1 where what it sent last was a shedding, so that what follows is told as its end."""

HEARS: Final = 0.0
POWERED_UP: Final = 1.0
LOST: Final = 2.0

CAUSE_START: Final = 0
CAUSE_NO_SUPPLY: Final = 1
CAUSE_NEVER: Final = 2
CAUSE_INTERLOCK: Final = 3
CAUSE_ATTENDED: Final = 4
CAUSE_RESTART: Final = 5
CAUSE_MIN_OFF: Final = 6
CAUSE_RUN_ON: Final = 7
CAUSE_MIN_ON: Final = 8
CAUSE_LINK: Final = 9
CAUSE_POWER_UP: Final = 10
CAUSE_MANUAL: Final = 11
CAUSE_SHED: Final = 12
CAUSE_UNSHED: Final = 14
CAUSE_FREE: Final = 13
"""No rule has a say: the load is fed."""
CAUSE_RULE: Final = 100

CAUSES: Final = {
    CAUSE_START: "start of the simulation",
    CAUSE_NO_SUPPLY: "no supply",
    CAUSE_NEVER: "may never be interrupted",
    CAUSE_INTERLOCK: "interlock",
    CAUSE_ATTENDED: "waits for a person after an outage",
    CAUSE_RESTART: "restart delay after an outage",
    CAUSE_MIN_OFF: "minimum off-time",
    CAUSE_RUN_ON: "run-on",
    CAUSE_MIN_ON: "minimum on-time",
    CAUSE_LINK: "link lost",
    CAUSE_POWER_UP: "state after power-up",
    CAUSE_MANUAL: "manual override",
    CAUSE_SHED: "shed",
    CAUSE_UNSHED: "shedding ended",
    CAUSE_FREE: "no rule",
}

SHED: Final = 7
H_PICK_UP: Final = 0
H_RESTORE: Final = 1
H_DELAY_S: Final = 2
"""How long the supply may be at or above the pick-up value before the first load is shed."""
H_NEXT_S: Final = 3
"""How long after one load the next is shed, where it is still too much."""
H_BACK_S: Final = 4
"""How long the supply must be at or below the restore value before each load comes back."""
H_INTERVAL_S: Final = 5
H_REPORT_S: Final = 6

SHED_STATE: Final = GAUGE + 2
"""A gauge, and these two."""
G_OVER_S: Final = GAUGE
"""How long the seen value has been at or above the pick-up value; set back by H_NEXT_S at each load shed."""
G_UNDER_S: Final = GAUGE + 1

SIGNALS: Final = 14
"""Quantities of the site; the value of load i stands at SIGNALS + i."""
SITE_W: Final = 0
EXPORT_W: Final = 1
AMPS: Final = 2
"""L1, L2, L3 (or the two legs of a split phase), then the highest of them."""
VOLTS: Final = 6
"""L1, L2, L3 (or the two legs), then the highest and the lowest of them."""
CHARGE: Final = 11
OUTDOOR_C: Final = 12
GRID_V: Final = 13
"""At the connection, before any changeover: 0 where the grid is gone."""
