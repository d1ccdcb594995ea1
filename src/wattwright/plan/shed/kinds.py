"""The kinds of finding about shedding: whether it comes in time, what must change, and what happens where it fails."""

from wattwright.core.findings import Severity, define

_WITHSTAND = "withstand as entered: the data sheet of the device; common practice where it is left at its usual value"
_NOT_PROTECTION = (
    "Control is not protection: links fail, contacts weld, settings are changed. Cable, breaker and supply must bear what flows "
    "then."
)

LATE = define(
    "plan.shed-late",
    Severity.STOP,
    says="Shedding comes too late for the {limit:text} in {share:percent} of the events in which {comes:text} comes on top "
    "of {running:text}: that takes {ratio:number} times its rating, which it bears for {holds:duration}, and until all that must "
    "go is open {least:duration} to {most:duration} pass.",
    why="The supply trips although everything works as it was set.",
    do="Change one of the settings named below, and try it on site with a clamp meter and a watch.",
    source=_WITHSTAND,
)
CANNOT = define(
    "plan.shed-cannot",
    Severity.STOP,
    says="This hardware cannot protect the {limit:text}: {ratio:number} times its rating is borne for {holds:duration}, and "
    "with every setting at its quickest shedding takes {least:duration} to {most:duration}. As it is set, {share:percent} of "
    "such events trip it ({comes:text} on top of {running:text}).",
    why="No setting of it comes before the trip.",
    do="Choose hardware that is quicker, a supply that bears more, or keep so much free that nothing must be shed.",
    source=_WITHSTAND,
)
START = define(
    "plan.shed-start",
    Severity.STOP,
    says="The start of {comes:text} on top of {running:text} takes {ratio:number} times the rating of the {limit:text} for "
    "{lasts:duration}; it bears that for {holds:duration}.",
    why="It trips before any order can be given.",
    do="Ask a licensed electrician for a soft starter or a drive, or a supply that bears the start.",
    source=_WITHSTAND,
)
BEYOND = define(
    "plan.shed-beyond",
    Severity.STOP,
    says="The {limit:text} does not bear {comes:text} on top of {running:text} at all: that takes {ratio:number} times its "
    "rating.",
    why="It trips at once, whatever is shed afterwards.",
    do="Keep these loads from running together by an interlock, or have the supply sized for them.",
    source=_WITHSTAND,
)
UNSEEN = define(
    "plan.shed-unseen",
    Severity.STOP,
    says="The {limit:text} can be overloaded without shedding seeing it: {comes:text} on top of {running:text} takes "
    "{ratio:number} times its rating, below the pick-up value.",
    why="Nothing is shed, and the supply trips after {holds:duration}.",
    do="Lower the pick-up value, or let shedding look at the current of the busiest conductor.",
    source=_WITHSTAND,
)
TOO_LITTLE = define(
    "plan.shed-too-little",
    Severity.STOP,
    says="Shedding does not take enough off the {limit:text}: with {comes:text} on top of {running:text} it is still above its "
    "rating when all that may go is open.",
    why="The supply trips all the same, only later.",
    do="Put more loads into the shed order, lower the pick-up value, or have the supply sized for what may not be shed.",
    source=_WITHSTAND,
)
NEVER = define(
    "plan.shed-never",
    Severity.STOP,
    says="So many telegrams are lost that the order may never come: the {limit:text} trips in {share:percent} of the events in "
    "which {comes:text} comes on top of {running:text}.",
    why="What is lost each time is as good as no link.",
    do="Find out why the link is bad: wire it, or move it, before anything relies on it.",
    source=_WITHSTAND,
)
SET_TIME = define(
    "plan.shed-set-time",
    Severity.LOOK,
    says="For the {limit:text}: set {setting:text} to {upto:duration} or less (now {now:duration}){beside:text}.",
    why="Then the order comes before the trip in all but {tolerated:percent} of the worst events.",
    do="Set it, and try it on site with a clamp meter and a watch.",
    source=_WITHSTAND,
)
SET_ORDER = define(
    "plan.shed-set-order",
    Severity.LOOK,
    says="For the {limit:text}: shed in the order {loads:text}.",
    why="What frees most goes first, so that the order comes before the trip.",
    do="Set it, unless the first of them must go last.",
    source=_WITHSTAND,
)
SET_POWER = define(
    "plan.shed-set-power",
    Severity.LOOK,
    says="For the {limit:text}: pick up at {upto:power} or less (now {now:power}), and restore below that.",
    why="Then what comes on top takes no more than is borne until the order has come.",
    do="Set it where so much may be kept free. It keeps loads off more often.",
    source=_WITHSTAND,
)
SET_CURRENT = define(
    "plan.shed-set-current",
    Severity.LOOK,
    says="For the {limit:text}: pick up at {upto:plain} A or less (now {now:plain} A), and restore below that.",
    why="Then what comes on top takes no more than is borne until the order has come.",
    do="Set it where so much may be kept free. It keeps loads off more often.",
    source=_WITHSTAND,
)
QUICKER_METER = define(
    "plan.shed-quicker-meter",
    Severity.LOOK,
    says="For the {limit:text} it would take a meter that reports every {upto:duration} or faster (now {now:duration}), with no "
    "on-delay.",
    why="Only then the order comes before the trip.",
    do="Choose a meter or a relay that measures so fast, or a supply that bears more.",
    source=_WITHSTAND,
)
FAILS = define(
    "plan.shed-fails",
    Severity.STOP,
    says="Where {case:text}, the {limit:text} trips in {share:percent} of the worst events: {ratio:number} times its rating.",
    why=_NOT_PROTECTION,
    do="Rate the supply as if nothing were ever switched off. Relays that open by themselves when the link is lost, and a second "
    "contact in series, make it rarer.",
    source="",
)
RELIES = define(
    "plan.shed-relies",
    Severity.LOOK,
    says="Everything together takes {ratio:number} times the rating of the {limit:text}: only control keeps it within.",
    why=_NOT_PROTECTION,
    do="Rate it without control. Where your code lets a control system count, have it accepted, and record who accepted it, when "
    "and by which rule.",
    source="",
)
ACCEPTED = define(
    "plan.shed-accepted",
    Severity.NOTE,
    says="A control system keeps the {limit:text} within its rating; {by:text} accepted it on {on:text} by {rule:text}.",
    why="A rating may rely on control only where somebody who may do so has accepted it.",
    do="Keep the record with the papers, and have it looked at again after every change.",
    source="",
)
NOTHING_SHEDS = define(
    "plan.shed-nothing",
    Severity.LOOK,
    says="Everything together takes {ratio:number} times the rating of the {limit:text}, and nothing sheds.",
    why="That it never all runs at once is luck, or habit.",
    do="Enter a shed order, an interlock, or have the supply looked at.",
    source="",
)
REBOUND = define(
    "plan.shed-rebound",
    Severity.STOP,
    says="What comes back after {when:text} takes {ratio:number} times the rating of the {limit:text}, at a stagger of "
    "{stagger:duration}. A stagger of {enough:duration} keeps it within.",
    why="After an outage all stores are cold at once; the supply trips again as soon as it is back.",
    do="Set the stagger to that, put what matters first, and leave what can wait to a person.",
    source="loads make up what they missed: r = H d / (1 - d)",
)
REBOUND_ALWAYS = define(
    "plan.shed-rebound-always",
    Severity.STOP,
    says="What comes back after {when:text} takes {ratio:number} times the rating of the {limit:text}, and no stagger of the "
    "loads keeps it within.",
    why="So much runs on together, or so large are single loads, that spreading their return does not help.",
    do="Let fewer loads come back by themselves, shed some for longer, or have the supply sized for it.",
    source="loads make up what they missed: r = H d / (1 - d); one whose use is not known runs on",
)
RELEASED = define(
    "plan.shed-released",
    Severity.LOOK,
    says="At {when:text} the programmes release {loads:text} together: {ratio:number} times the rating of the {limit:text}, with "
    "the rest of the site at its highest of that hour and the next.",
    why="All of them have waited, so all of them run, night after night at the same minute.",
    do="Let each begin when the one before has had its time, or give them to a shed order that comes in time.",
    source="loads make up what they missed: r = H d / (1 - d); one whose use is not known runs on",
)
REST_ABOVE = define(
    "plan.shed-rest-above",
    Severity.LOOK,
    says="The rest of the site reaches the pick-up value by itself, with {rest:power}: while it does, {order:text} stay off.",
    why="Shedding cannot bring it down, and what is shed does not come back before the rest falls below the restore value.",
    do="Raise the pick-up value if the supply bears it, or look at what makes the rest so high.",
    source="",
)
