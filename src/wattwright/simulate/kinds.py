"""The kinds of finding that a simulated run can give rise to, with their sentences."""

from wattwright.core.findings import Severity, define

_PRACTICE = "common practice, no source"

MIN_ON_CUT = define(
    "simulate.min-on-cut",
    Severity.NOTE,
    says='Shedding cut the minimum on-time of "{load:text}" short {count:count} times.',
    why="The supply goes before the load; a compressor that is stopped too soon wears.",
    do="Put it further back in the shed order, or leave more room below the limit.",
    source=_PRACTICE,
)
OVERLOADED = define(
    "simulate.overloaded",
    Severity.LOOK,
    says="Conductor {conductor:text} carries up to {highest:number} A, is rated {rating:number} A, and is above it for "
    "{time:duration}.",
    why="Cable and protection are rated for the current that flows, whatever rules are meant to do.",
    do="Spread loads over the conductors, shed sooner, or have a licensed electrician look at the rating.",
    source="withstand of the protection: see the connection; time above the rating is reckoned",
)
INVERTER_OVERLOADED = define(
    "simulate.inverter-overloaded",
    Severity.LOOK,
    says="The inverter is above its rating of {rating:number} VA for {time:duration} while it carries the site.",
    why="It bears that for a time only and then trips.",
    do="Shed before its withstand is used up, keep motors from starting together, or choose another inverter.",
    source="overloads as its data sheet states them",
)
TRIPPED = define(
    "simulate.tripped",
    Severity.STOP,
    says="The supply trips ({count:count} in all), first at {first:time}: {cause:text}. "
    "It is closed again {closed:text} after {time:duration}.",
    why="Loads stop at once, those on which something hangs too, and by hand only somebody who is there can close it.",
    do="Find out why before it is closed. Lower what runs at that time, or have the supply sized for it. "
    "Never set a protection higher than its cable allows.",
    source="",
)
START_TOO_HEAVY = define(
    "simulate.start-too-heavy",
    Severity.STOP,
    says='A start of "{load:text}" takes {start:number} times the rating of the {what:text} for {time:duration}; it bears that '
    "for {holds:duration}.",
    why="The supply trips when the motor starts, even with nothing else on.",
    do="Ask a licensed electrician for a soft starter or a drive, or a supply that bears the start.",
    source="starting currents after IEC 60034-12, from memory; read the plate",
)
COMFORT = define(
    "simulate.comfort",
    Severity.LOOK,
    says='The load "{load:text}" falls short by {amount:number} {unit:text} {what:text}.',
    why="A plan that saves by leaving people, animals or goods without is no saving.",
    do="Give the load more time, raise its set point before it is switched off, or take it out of the plan.",
    source="",
)
SHORT_CYCLING = define(
    "simulate.short-cycling",
    Severity.LOOK,
    says='The load "{load:text}" starts up to {starts:count} times in an hour; about {most:plain} are usual at most.',
    why="Compressors and motors wear and overheat when they start often.",
    do="Raise the differential or the minimum times, or let fewer rules work the load.",
    source=_PRACTICE,
)
SHED_OFTEN = define(
    "simulate.shed-often",
    Severity.LOOK,
    says='The load "{load:text}" is shed up to {count:count} times in an hour.',
    why="What comes back is too much at once, so it goes again: contacts wear, and hardly any power is saved.",
    do="Lower the restore value, or let it come back later, so that it stays off until there is room.",
    source="more than six times: common practice, no source",
)
DARK = define(
    "simulate.dark",
    Severity.LOOK,
    says="The site is without supply for {time:duration}; {unserved:energy} of its other use is not served.",
    why="What the loads themselves missed is told with each of them.",
    do="Look at what must run through an outage, and size battery, inverter or generator for that.",
    source="",
)
BESIDE_GENERATOR = define(
    "simulate.beside-generator",
    Severity.NOTE,
    says="While the generator runs it is taken to carry what PV does not, the inverter what then is missing; "
    "starts of motors fall on the generator alone.",
    why="How a generator and an inverter share a load, and a motor's start, depends on both makes.",
    do="Ask both makers whether the two run together so.",
    source=_PRACTICE,
)
GENERATOR_OVERLOADED = define(
    "simulate.generator-overloaded",
    Severity.LOOK,
    says="The generator is above its apparent rating of {rating:number} VA for {time:duration}.",
    why="Its winding bears that for a time only, then its breaker opens.",
    do="Shed before that, mend a poor power factor or uneven conductors, or choose another generator.",
    source="overloads as its data sheet states them",
)
NOTHING_TO_CARRY = define(
    "simulate.nothing-to-carry",
    Severity.LOOK,
    says="The inverter is to carry the site in outages, but there is no battery and no generator.",
    why="Sun alone cannot follow what the site draws: the site is dark in every outage.",
    do="Enter the battery, or set its role to beside the grid.",
    source=_PRACTICE,
)
FLOOR_ABOVE_RESERVE = define(
    "simulate.floor-above-reserve",
    Severity.LOOK,
    says="The battery keeps {reserve:percent} for outages, but the inverter stops at {floor:percent}.",
    why="Nothing of what is kept can be used when the grid is gone.",
    do="Set the reserve well above the floor.",
    source="",
)
START_DIPS = define(
    "simulate.start-dips",
    Severity.STOP,
    says='A start of "{load:text}" takes {start:number} VA on top of what runs; the generator bears {bears:number} VA at once.',
    why="Its voltage dips: contactors drop out, electronics stop, and the motor may not come up to speed.",
    do="Ask a licensed electrician for a soft starter or a drive, or a generator whose data sheet bears the start.",
    source="dip of 20 % after ISO 8528-5, class G2, from memory; read the data sheet",
)
