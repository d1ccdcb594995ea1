"""The kinds of finding about the quality of a supply, and why each limit is proposed, with their sentences."""

from wattwright.core.findings import Severity, define

_STANDARD = "EN 50160 (supply voltage variations, low voltage)"

NOTHING_READ = define(
    "demand.no-voltage",
    Severity.NOTE,
    says="The record holds neither voltage nor current, so nothing is told of the quality of the supply.",
    why="Energy alone does not show how good the supply is.",
    do="Log voltage and current of each conductor for a week, as means of ten minutes or less.",
    source="",
)
NOMINAL_ASSUMED = define(
    "demand.nominal-voltage",
    Severity.NOTE,
    says="The voltage is held against {nominal:number} V, the standard voltage nearest to what was read; nobody said "
    "which it is.",
    why="The same reading is high for one nominal voltage and low for another.",
    do="Write the supply's voltage in the job file.",
    source="IEC 60038 (standard voltages)",
)
NOT_NOMINAL = define(
    "demand.no-nominal-voltage",
    Severity.LOOK,
    says="{column:text} shows {median:number} V most of the time, which is near no nominal voltage, so it is held against none.",
    why="A wrong unit, or a voltage transformer's ratio that was left out, makes it look so.",
    do="Measure the voltage once by hand, and write the ratio or the supply's voltage in the job file.",
    source="",
)
STEP_TOO_LONG = define(
    "demand.voltage-step",
    Severity.LOOK,
    says="The voltage was read every {step:duration}; the standard's checks need means of ten minutes on the clock, so "
    "none was made.",
    why="A longer mean hides what lies within it: its share inside the band is too good.",
    do="Log the voltage as means of ten minutes, or of a length that divides them.",
    source=_STANDARD,
)
NO_WEEK = define(
    "demand.voltage-week",
    Severity.LOOK,
    says="No week of {column:text} has nine tenths of its means of ten minutes ({days:count} days touched), so neither "
    "check was made.",
    why="The checks are for every period of one week.",
    do="Log a whole week without gaps.",
    source=_STANDARD + "; nine tenths: common practice, no source",
)
OUTSIDE_OFTEN = define(
    "demand.voltage-outside",
    Severity.LOOK,
    says="{column:text}: in {weeks:count} of {judged:count} weeks more than 5 % of the ten-minute means lay outside "
    "{low:number} V to "
    "{high:number} V.",
    why="Voltage outside that band wears equipment: high voltage lamps and electronics, low voltage motors.",
    do="Measure at the supply terminals with nothing on, then tell the grid operator.",
    source=_STANDARD,
)
BEYOND = define(
    "demand.voltage-beyond",
    Severity.LOOK,
    says="{column:text}: {count:count} ten-minute means lay below {low:number} V or above {high:number} V, which none should.",
    why="Voltage this far off stops equipment or damages it. A loose neutral looks the same, and it is dangerous.",
    do="Have a licensed electrician look at the neutral and the connections first, then tell the grid operator.",
    source=_STANDARD,
)
INTERRUPTED = define(
    "demand.voltage-interrupted",
    Severity.LOOK,
    says="{column:text} was under 5 % of nominal for {length:duration}: the supply was interrupted, or the meter's lead was off.",
    why="The checks leave interruptions out.",
    do="Ask what happened on {start:time}.",
    source="EN 50160 (interruption: under 5 % of the reference voltage), from memory",
)
WITHIN_STEP = define(
    "demand.dips-unseen",
    Severity.NOTE,
    says="Lowest and highest voltage are of {step:duration}; dips and surges shorter than that cannot be seen.",
    why="Most dips last under a second, and a motor's start a few.",
    do="Where equipment trips or restarts, log with an instrument that records events.",
    source="",
)
UNBALANCED = define(
    "demand.unbalance",
    Severity.LOOK,
    says="The voltages of the three conductors differ by more than 2 % of their mean in over 5 % of the ten-minute means: "
    "{high:percent} "
    "are passed in 5 % of them.",
    why="Motors run hot on unequal voltages.",
    do="Move single-phase loads to the conductor with the highest voltage, and have the neutral checked.",
    source="largest deviation from the mean over the mean (NEMA MG 1, there for line-to-line voltages); 2 %: EN 50160, there for "
    "symmetrical components",
)
POOR_FACTOR = define(
    "demand.poor-power-factor",
    Severity.LOOK,
    says="The power factor of {conductor:text} is {mean:number} over the whole record.",
    why="Current that does no work loads cables, fuses and inverters; some tariffs bill it.",
    do="Look for motors that run unloaded and for lamps with old ballasts, then ask what the tariff says.",
    source="common practice, no source (under 0.9)",
)
NO_RATING = define(
    "demand.no-rating-of-supply",
    Severity.NOTE,
    says="No limit of over-current is proposed: the rating of the main protection is not known.",
    why="A limit taken from the record alone would say what was drawn, not what the supply can carry.",
    do="Write main_protection under [supply] in the job file.",
    source="",
)
NO_CONDUCTOR = define(
    "demand.current-of-no-conductor",
    Severity.NOTE,
    says="{column:text} is not held against the main protection: the supply has {count:count} live conductors, and it names "
    "none of them.",
    why="The rating is of each conductor; a sum, or a current of nobody knows which, says nothing of it.",
    do="Say which conductor the column is of, or log the current of each.",
    source="",
)
OVER_RATING = define(
    "demand.over-rating",
    Severity.LOOK,
    says="{column:text} was above the {rating:number} A of the main protection for {length:duration} in all, "
    "{longest:duration} at a time.",
    why="A protection carries a little more than its rating for an hour or more, so it need not have tripped; it ages.",
    do="Have a licensed electrician check protection and cable, and shed load before it comes to that.",
    source="",
)
NO_LOW_CURRENT = define(
    "demand.no-lowest-current",
    Severity.NOTE,
    says="No limit of under-current is proposed for {column:text}: it falls to {lowest:number} A in ordinary running.",
    why="A limit below that could not tell a lost conductor from a quiet hour.",
    do="Watch the voltage, or the load that must not stop, instead.",
    source="common practice, no source",
)
WOULD_OPERATE = define(
    "demand.limit-would-operate",
    Severity.LOOK,
    says="The limit of {name:text} on {column:text} would have been passed for {length:duration} of this record, "
    "{longest:duration} at a time.",
    why="A relay set so would act in ordinary running.",
    do="Find the cause first. Do not move the limit away from what the equipment stands.",
    source="",
)

OVER_VOLTAGE = define(
    "demand.limit-over-voltage",
    Severity.NOTE,
    says="Picks up at {pick_up:number} V, nominal and 10 %; the highest reading was {extreme:number} V.",
    why="Equipment is made for up to 10 % above nominal. The delay passes over what switching does.",
    do="Hold it against the plate of the most delicate equipment.",
    source="IEC 60038 (10 %); drop-out 2 % of nominal lower, on-delay 5 s: common practice, no source",
)
UNDER_VOLTAGE = define(
    "demand.limit-under-voltage",
    Severity.NOTE,
    says="Picks up at {pick_up:number} V, {share:percent} of nominal; the lowest reading was {extreme:number} V.",
    why="90 % where the record never fell below it; else 85 %, below which no ten-minute mean should ever lie. The delay "
    "is longer than a "
    "motor's start.",
    do="Hold it against the plates of the motors; many ask for 90 % of nominal.",
    source="EN 50160 (-10 %, -15 %); drop-out 2 % of nominal higher, on-delay 10 s: common practice, no source",
)
OVER_CURRENT = define(
    "demand.limit-over-current",
    Severity.NOTE,
    says="Picks up at {pick_up:number} A, the rating of the main protection; the highest reading was {extreme:number} A.",
    why="A protection carries its rating for ever and trips at 1.45 times it within the hour, so load can be shed in "
    "time. It takes no "
    "protection's place.",
    do="Let it shed load, never let it stand in for a fuse or a breaker.",
    source="IEC 60364-4-43 (1.45 times, conventional time); drop-out at 90 %, on-delay 60 s: common practice, no source",
)
UNDER_CURRENT = define(
    "demand.limit-under-current",
    Severity.NOTE,
    says="Picks up at {pick_up:number} A, half of the lowest {extreme:number} A read in use.",
    why="Less than ever was drawn: a conductor, a fuse, or the clamp of the meter is lost.",
    do="Use it as an alarm, not to switch.",
    source="common practice, no source",
)
