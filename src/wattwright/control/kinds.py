"""The kinds of finding that rules can give rise to, with their sentences."""

from wattwright.core.findings import Severity, define

_PRACTICE = "common practice, no source"

SAME_ID = define(
    "control.same-id",
    Severity.STOP,
    says='{count:count} {what:text} are called "{id:text}".',
    why="What is said about the one may be meant for the other, and only the first actuator of a load counts.",
    do="Give each its own name, and one actuator to each load.",
    source="",
)
LIFE_SWITCHED = define(
    "control.life-switched",
    Severity.STOP,
    says='The load "{load:text}" ({purpose:text}) may be interrupted by way of its {way:text}.',
    why="People, animals or a building may depend on it, and a contact, a link or a setting can fail.",
    do="Leave interrupt out, so that nothing switches it, or have the person who answers for it confirm this in writing.",
    source=_PRACTICE,
)
NEVER_SWITCHED = define(
    "control.never-switched",
    Severity.LOOK,
    says='{what:text} would switch "{load:text}", which may never be interrupted.',
    why="It will never act.",
    do="Take it out, or name another load.",
    source="",
)
LINE_EMPTY = define(
    "control.line-empty",
    Severity.LOOK,
    says="Line {line:count} of the programme switches on and off at {at:text}.",
    why="It is never on.",
    do="Correct one of the two times. For a whole day write two lines: from midnight to noon, and from noon to midnight.",
    source="",
)
LINES_OVERLAP = define(
    "control.lines-overlap",
    Severity.NOTE,
    says="Lines {first:count} and {second:count} of the programme overlap.",
    why="They count as one; a controller that switches off at the end of the first would do otherwise.",
    do="Join them to one line.",
    source="",
)
SUN_WITHOUT_PLACE = define(
    "control.sun-without-place",
    Severity.STOP,
    says="The programme goes by the sun, but the place is not known.",
    why="Lines by the sun are never on.",
    do="Enter latitude and longitude of the site.",
    source="",
)
NEVER_TOGETHER = define(
    "control.never-together",
    Severity.STOP,
    says='The programmes "{first:text}" and "{second:text}" are in series on "{load:text}" and never on at the same time.',
    why="The load is never fed.",
    do="Set beside = true where either shall do, or make their times overlap.",
    source="",
)
NEVER_IN_SEASON = define(
    "control.never-in-season",
    Severity.NOTE,
    says="The rule acts in other months only than those looked at.",
    why="It has no say here.",
    do="Nothing, or look at a longer time.",
    source="",
)
NO_RULE_IN_MONTHS = define(
    "control.no-rule-in-months",
    Severity.LOOK,
    says='No rule of "{load:text}" acts in month {months:text}.',
    why="Without a rule the load is fed all the time.",
    do='Add a rule for those months, or write other_months = "open" to keep it off.',
    source="",
)
NEVER_REACHED = define(
    "control.never-reached",
    Severity.LOOK,
    says="It picks up at {pick_up:power}, but the site reaches {most:power} at most: the highest reading with every load beside "
    "it.",
    why="It will never act, but for peaks too short for the record.",
    do="Check the pick-up value and its unit.",
    source="",
)
NO_HYSTERESIS = define(
    "control.no-hysteresis",
    Severity.LOOK,
    says="It picks up and drops out at the same value, without a delay.",
    why="The contact chatters when the value stays near it, and wears out.",
    do="Set the drop-out value apart, or add delays.",
    source=_PRACTICE,
)
CYCLE_TOO_SHORT = define(
    "control.cycle-too-short",
    Severity.LOOK,
    says="The timer is {part:text} for {time:duration}, but the relay keeps its load {part:text} for at least {least:duration}.",
    why="The cycle that was set will not be the one that runs.",
    do="Make the cycle longer or the minimum times shorter.",
    source="",
)
LOCK_ITSELF = define(
    "control.lock-itself",
    Severity.STOP,
    says='An interlock names "{load:text}" twice.',
    why="A load cannot wait for itself: it would never run.",
    do="Name the other load.",
    source="",
)
LOCK_CIRCLE = define(
    "control.lock-circle",
    Severity.STOP,
    says="Each of these needs the next to run first: {loads:text}.",
    why="None of them can ever start.",
    do="Take one of the needs out.",
    source="",
)
LOCK_AND_NEED = define(
    "control.lock-and-need",
    Severity.STOP,
    says='The load "{first:text}" needs "{second:text}" to run, and the two may never be fed together.',
    why="It can never run.",
    do="Take one of the two interlocks out.",
    source="",
)
SHED_TWICE = define(
    "control.shed-twice",
    Severity.LOOK,
    says='The load "{load:text}" stands in the shed order more than once.',
    why="Only its first place counts.",
    do="Take the others out.",
    source="",
)
SHED_HURRIED = define(
    "control.shed-hurried",
    Severity.LOOK,
    says="The next load is shed after {next:duration}, but what the last one brought is seen after {seen:duration}.",
    why="More loads go than need to.",
    do="Set next_after to that time or more, unless the inverter cannot wait so long.",
    source=_PRACTICE,
)
SHED_HUNTS = define(
    "control.shed-hunts",
    Severity.LOOK,
    says='Between shedding and restoring lie {gap:power}, but "{load:text}" draws {rating:power}.',
    why="When it comes back it may be too much at once: it goes and comes for ever.",
    do="Lower the restore value, so that the largest load fits between.",
    source=_PRACTICE,
)
NO_SENSOR = define(
    "control.no-sensor",
    Severity.STOP,
    says='It looks at the value of "{load:text}", which has no sensor.',
    why="The value is always nought, so the rule does nothing, or always the same.",
    do="Name a load whose model has a sensor (tank, room, store, soil), or look at another quantity.",
    source="",
)
NOTHING_THERE = define(
    "control.nothing-there",
    Severity.STOP,
    says="It looks at the {quantity:text}, and the site has no {lacks:text}.",
    why="The value is always nought, so the rule does nothing, or always the same.",
    do="Enter what is there, or look at another quantity.",
    source="",
)
RETURNS_LATE = define(
    "control.returns-late",
    Severity.LOOK,
    says='After an outage "{first:text}" stands before "{second:text}" in the order of return, and '
    "comes {late:duration} after it.",
    why="Its own restart delay counts before its turn, so the order that was written is not the one that happens.",
    do="Shorten its restart_after, lengthen stagger, or write the order as the delays make it.",
    source="",
)
OVERRIDE_EMPTY = define(
    "control.override-empty",
    Severity.LOOK,
    says='The override of "{load:text}" ends before it begins.',
    why="It never acts.",
    do="Correct one of its times.",
    source="",
)
