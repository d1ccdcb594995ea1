"""The columns of the flat arrays in which rules and actuators travel through compiled code, and the causes of a contact's state."""

from typing import Final

PROGRAMME: Final = 0
"""A sorted list of instants, each with the state from then on: time programmes, seasons and overrides are compiled to it."""
CYCLE: Final = 1
LIMIT: Final = 2
SETPOINT: Final = 3

RULE: Final = 8
"""Columns of settings of each rule."""
R_PICK_UP: Final = 0
"""Pick-up value; a repeat-cycle timer's time on, s."""
R_DROP_OUT: Final = 1
"""Drop-out value; a repeat-cycle timer's time off, s."""
R_ON_DELAY_S: Final = 2
R_OFF_DELAY_S: Final = 3
R_SIDE: Final = 4
"""1: picks up above its pick-up value; -1: below."""
R_EFFECT: Final = 5
"""1: its contact is closed while picked up; -1: open while picked up."""
R_INTERVAL_S: Final = 6
"""How often the quantity is measured."""
R_REPORT_S: Final = 7
"""How long a measured value takes to be seen."""

RULE_STATE: Final = 24
Q_ACTIVE: Final = 0
"""1 while picked up."""
Q_TIMER_S: Final = 1
"""How long the condition for the other state has lasted, s."""
Q_CURSOR: Final = 2
"""Place in the programme."""
Q_SEEN: Final = 3
"""The value seen last; NaN before the first."""
Q_NEXT_S: Final = 4
"""When the next measurement is due, s since the start."""
Q_CHANGED_S: Final = 5
"""When the contact changed last."""
Q_CONTACT: Final = 6
"""State of the rule's contact: 1 closed, 0 open, 2 without a say."""
Q_HEAD: Final = 7
Q_COUNT: Final = 8
"""Ring of values on their way: where it begins and how many it holds."""
Q_RING: Final = 9
RING: Final = 7
"""Values on their way at most, each as (value, time seen) two columns."""

ACTUATOR: Final = 12
A_NEVER: Final = 0
"""1 where nothing may interrupt the load."""
A_MIN_ON_S: Final = 1
A_MIN_OFF_S: Final = 2
A_RESTART_S: Final = 3
"""How long the contact stays open after the supply returned: restart delay and the load's turn in a staggered return."""
A_POWER_UP: Final = 4
"""State after the supply returned: 0 open, 1 closed, -1 as the rules say at once."""
A_FAIL_SAFE: Final = 5
"""State when the link is lost: 0 open, 1 closed, -1 as it was."""
A_LOST_AFTER_S: Final = 6
A_LINK_S: Final = 7
"""Time of a command on its way, link and relay together."""
A_UNATTENDED: Final = 8
"""1 where the load may restart by itself after an outage."""

ACTUATOR_STATE: Final = 12
C_CLOSED: Final = 0
C_SINCE_S: Final = 1
C_COMMAND: Final = 2
"""What the controller last sent."""
C_ARRIVES_S: Final = 3
"""When it arrives; inf where nothing is on its way."""
C_RECEIVED: Final = 4
C_LOST_S: Final = 5
"""How long the link has been lost, s."""
C_BACK_S: Final = 6
"""How long the supply has been back, s."""
C_SHED: Final = 7
"""1 while the load is shed."""
C_URGENT: Final = 8
"""1 where the command received must not wait for a minimum on-time: it sheds, or a person gave it."""
C_WAITS: Final = 9
"""1 while the load waits for a person after an outage."""
C_CAUSE: Final = 10
"""What decided the contact: a code below, or CAUSE_RULE plus the number of the rule."""
C_SENT_CAUSE: Final = 11

CAUSE_START: Final = 0
CAUSE_NO_SUPPLY: Final = 1
CAUSE_NEVER: Final = 2
CAUSE_INTERLOCK: Final = 3
CAUSE_RESTART: Final = 4
CAUSE_ATTENDED: Final = 5
CAUSE_MIN_OFF: Final = 6
CAUSE_MANUAL: Final = 7
CAUSE_SHED: Final = 8
CAUSE_MIN_ON: Final = 9
CAUSE_LINK: Final = 10
CAUSE_FREE: Final = 11
"""No rule has a say: the load is fed."""
CAUSE_RULE: Final = 100

CAUSES: Final = {
    CAUSE_START: "start of the simulation",
    CAUSE_NO_SUPPLY: "no supply",
    CAUSE_NEVER: "may never be interrupted",
    CAUSE_INTERLOCK: "interlock",
    CAUSE_RESTART: "restart delay after an outage",
    CAUSE_ATTENDED: "waits for a person after an outage",
    CAUSE_MIN_OFF: "minimum off-time",
    CAUSE_MANUAL: "manual override",
    CAUSE_SHED: "shed",
    CAUSE_MIN_ON: "minimum on-time",
    CAUSE_LINK: "link lost",
    CAUSE_FREE: "no rule",
}

SHED: Final = 7
H_PICK_UP: Final = 0
H_RESTORE: Final = 1
H_DELAY_S: Final = 2
"""How long the supply may be above the pick-up value before the first load is shed."""
H_NEXT_S: Final = 3
"""How long after one load the next is shed, where it is still too much."""
H_BACK_S: Final = 4
"""How long the supply must be below the restore value before a load comes back."""
H_INTERVAL_S: Final = 5
H_REPORT_S: Final = 6

SHED_STATE: Final = 6
G_OVER_S: Final = 0
"""How long the seen value has been above the pick-up value."""
G_UNDER_S: Final = 1
G_SEEN: Final = 2
G_NEXT_S: Final = 3
G_WAITING: Final = 4
"""The value measured last and not seen yet; NaN for none."""
G_VISIBLE_S: Final = 5
"""When it is seen."""
