"""The kinds of finding about faults in a record, with their sentences."""

from wattwright.core.findings import Severity, define

TURNED = define(
    "record.turned",
    Severity.NOTE,
    says="The sign of {column:text} was turned, as you said; the numbers are kept as they stand in the file.",
    why="A current transformer clamped the wrong way round gives every reading the wrong sign.",
    do="Have the transformer turned on site, and take the column out of turned for files logged after that day.",
    source="NAESB REQ.21 ESPI, quality of reading: such readings count as derived",
)
STUCK = define(
    "record.stuck",
    Severity.LOOK,
    says="{column:text} reads the same {value:number} {unit:text} for {lasted:duration} from {start:time} (stretches like it: "
    "{count:count}). Elsewhere in the record a reading of that size repeats at {repeats:percent} of the steps, and steady "
    "stretches come to {usual:duration}.",
    why="A meter that no longer measures sends its last reading again and again; its energy is then made up.",
    do="Compare the days with the meter's register. If nothing ran so evenly, take the rows out, so that they count as missing.",
    source="common practice, no source: six hours and twelve readings at least, three times as long as the record's own steady "
    "stretches, and less likely than one in a million by its own rate of repeats",
)
DEAD = define(
    "record.nought",
    Severity.LOOK,
    says="{column:text} reads nought for {lasted:duration} from {start:time} (stretches like it: {count:count}), though "
    "elsewhere 99 of 100 readings are {low:number} {unit:text} or more.",
    why="A supply that is never idle does not stop for a day and more; a meter or a transformer that is cut off does.",
    do="Ask whether the supply was switched off for so long. If not, take the rows out, so that they count as missing.",
    source="common practice, no source: a day and twelve readings at least, at most a third of the record, and all but 1 % of "
    "the rest above a tenth of its middle",
)
SPIKES = define(
    "record.spikes",
    Severity.LOOK,
    says="Single readings of {column:text} stand far above all others: {count:count}, up to {value:number} {unit:text}, "
    "the first "
    "at {start:time}; the highest of the rest is {rest:number} {unit:text}.",
    why="Loads seldom come for one interval only and reach what nothing else in the record does.",
    do="Ask what ran at those times; if nothing did, take the rows out, so that they count as missing.",
    source="after the spike check of the California VEE standards, from memory: more than 1.8 times above the rest; here for up "
    "to ten readings, each alone",
)
IMPOSSIBLE = define(
    "record.impossible",
    Severity.LOOK,
    says="Readings of {column:text} that cannot be ({rule:text}): {count:count}, the first, {value:number} {unit:text}, at "
    "{start:time}.",
    why="Such a number is no measurement, or the column holds something else.",
    do="Look at those rows, and say what the column holds in the job file if it is another quantity or unit.",
    source="definition of the quantity",
)
EXPORT = define(
    "record.negative-export",
    Severity.NOTE,
    says="Negative readings of {column:text} are taken for export ({energy:energy}): {why:text}.",
    why="Power that runs back because something generates is no fault; the column is then import less export.",
    do='If the site generates nothing, check the transformer\'s direction; else say direction = "net" for the column.',
    source="common practice, no source: six quiet hours of the day, one hump, weekends like other days",
)
OFFSET = define(
    "record.negative-offset",
    Severity.NOTE,
    says="Negative readings of {column:text} are small, {lowest:power} at most ({count:count}); they were left as they are.",
    why="A transformer without load gives a little either way.",
    do="Nothing.",
    source="common practice, no source: below 0.5 % of the highest reading, and 0.1 % of the energy",
)
REVERSED = define(
    "record.reversed",
    Severity.LOOK,
    says="The power of {conductor:text} in {column:text} runs backwards by day and by night ({share:percent} of its readings"
    "{beside:text}). No generation does so: its current transformer is clamped the wrong way round.",
    why="Its energy is taken off the site's instead of added, so every figure of that conductor has the wrong sign.",
    do="Write {line:text} under [files.layout] of this file to turn the readings. Have the transformer turned by a licensed "
    "person.",
    source="common practice, no source: export ruled out by the hours of the day; at least 95 % of the readings negative",
)
REVERSED_SINCE = define(
    "record.reversed-part",
    Severity.LOOK,
    says="The power of {conductor:text} in {column:text} runs backwards by day and by night from {start:time} to {end:time}, "
    "and forwards in the rest of the record: its current transformer was clamped the other way round in between.",
    why="Within that time every figure of that conductor has the wrong sign.",
    do="Cut the file at those times and write {line:text} under [files.layout] of the part that runs backwards.",
    source="common practice, no source: whole days with at least 95 % of the readings negative",
)
IN_TOTAL = define(
    "record.reversed-in-total",
    Severity.LOOK,
    says="{column:text} is the sum of the conductors as they were read, so it holds {reversed:text} with the wrong sign.",
    why="The total is too small by twice the energy of that conductor.",
    do='After turning {reversed:text}, write channel = "conductors" for this file, so that the turned conductors are added up.',
    source="arithmetic",
)
CROSSED = define(
    "record.crossed-phases",
    Severity.LOOK,
    says="On {conductors:text} the power is {ratios:text} of voltage times current all the time, as when the voltage of one "
    "conductor is measured with the current of another.",
    why="Voltages of a three-phase supply lie 120 degrees apart, so that such a meter shows half the power, or less than "
    "nothing.",
    do="Check on site which transformer belongs to which voltage. The readings cannot be put right afterwards.",
    source="cos(phi + 120 degrees) and cos(phi - 120 degrees) instead of cos(phi), by trigonometry",
)
EXCHANGED = define(
    "record.exchanged-columns",
    Severity.LOOK,
    says="The power called {column:text} follows the current of {other:text} (correlation {found:number}) and not that of "
    "its own "
    "conductor ({own:number}).",
    why="Loads are put down to the wrong conductor; the total is not touched.",
    do="Say which conductor each column belongs to, under the meter file's columns in the job file.",
    source="common practice, no source: correlation above 0.9 against less than 0.7",
)
BEYOND_VOLT_AMPERES = define(
    "record.above-volt-amperes",
    Severity.LOOK,
    says="The power {column:text} is above voltage times current{conductor:text} (readings: {count:count}), which cannot "
    "be{how:text}.",
    why="Active power is at most voltage times current, so one of the three belongs elsewhere or has the wrong ratio.",
    do="Compare one moment with the meter's display, and check which transformer is clamped where and its ratio.",
    source="definition of active power; more than a tenth and 2 % of the highest above it, at more than 1 % of the readings: "
    "common practice, no source",
)
UNLIKE_APPARENT = define(
    "record.unlike-apparent",
    Severity.LOOK,
    says="{apparent:text} is {ratio:number} times what {active:text} and {reactive:text} make together.",
    why="Apparent power squared is active power squared and reactive power squared; only harmonics add to it, and not so much.",
    do="Compare the three with the meter's display; a whole ratio points to a transformer's ratio that one of them left out.",
    source="power triangle; told below 0.93 and above 1.5: common practice, no source",
)
EXCHANGED_FROM = define(
    "record.exchanged-from",
    Severity.LOOK,
    says="{column:text} and {other:text} change places on {start:time}: from then on the typical day of each is that of "
    "the other.",
    why="From that day on loads are put down to the wrong conductor.",
    do="Ask whether transformers were moved on that day; cut the file there and say which column is which in each part.",
    source="common practice, no source: as named the days before and after differ twice as much as chance explains, "
    "and exchanged they differ by much less",
)
COPY = define(
    "record.scaled-copy",
    Severity.LOOK,
    says="{column:text} is {ratio:number} times {other:text} throughout, within {left:percent}.",
    why="Two transformers on one conductor, or one column worked out from another, tell nothing twice.",
    do="Check where each is clamped. Do not add the two.",
    source="common practice, no source: what is left is below 1 % of the variation",
)
SAME_TWICE = define(
    "record.same-twice",
    Severity.NOTE,
    says="{column:text} and {other:text} are the same power in two forms.",
    why="Added up they would count everything twice.",
    do="Nothing; one of them is used.",
    source="common practice, no source: what is left is below 1 % of the variation",
)
NOT_SUM = define(
    "record.not-the-sum",
    Severity.LOOK,
    says="{column:text} is not the sum of its conductors: they differ by {share:percent} of the total on average{how:text}.",
    why="A conductor is missing, turned or counted twice in one of the two.",
    do="Compare one moment with the meter's display, conductor by conductor.",
    source="common practice, no source: more than 2 %",
)
REGISTER_DIFFERS = define(
    "record.register-differs",
    Severity.LOOK,
    says="Where both were read, {column:text} adds up to {energy:energy}, and the register {register:text} rises by "
    "{risen:energy}, {ratio:number} times as much.",
    why="Only one of the two can be right; a whole ratio points to a transformer's ratio that was left out.",
    do="Compare both with the meter's display, and correct the unit or the ratio of one of them in the job file.",
    source="common practice, no source: sum check within 1 % and two counts of the register",
)
CLIPPED = define(
    "record.clipped",
    Severity.LOOK,
    says="{column:text} reads exactly {value:number} {unit:text}, its highest reading, at {count:count} intervals, far "
    "more often "
    "than anything just below: it looks cut off there.",
    why="A transformer or meter at the end of its range shows no peak above it, so the true maximum is not known.",
    do="Use a transformer of a higher rating, and take the maximum of this record for a lower bound.",
    source="common practice, no source: ten readings or more, ten times as many as the readings just below lead to expect",
)
BEYOND_CT = define(
    "record.beyond-transformer",
    Severity.LOOK,
    says="Readings of {column:text} above 120 % of its transformer's {rating:number} A: {count:count}, the highest "
    "{value:number} A at {start:time}.",
    why="Above 120 % of its rated current a measuring transformer keeps to no accuracy class unless it is made for more.",
    do="Use a transformer of a higher rating; the highest readings may be too low.",
    source="IEC 61869-2, accuracy of measuring current transformers up to 120 % of rated current; from memory",
)
HOUR_TWICE = define(
    "record.hour-twice",
    Severity.LOOK,
    says="The hour from {start:time} stands in the file twice with different readings, so the logger's clock may have been "
    "put back there, or two exports were joined{zone:text}. The first of each was kept.",
    why="One of the two hours lies at the wrong time, and so may everything after it until the clock was put right again.",
    do="Find out which clock the logger keeps: name the site's zone if it follows daylight saving, else cut the file there.",
    source="common practice, no source",
)
HOUR_MISSING = define(
    "record.hour-skipped",
    Severity.LOOK,
    says="The hour from {start:time} is missing, on a night on which clocks are put forward elsewhere, but not in {zone:text}.",
    why="The logger follows the daylight saving of another zone, so everything after that night may lie an hour off.",
    do="Name the zone whose clock the logger keeps.",
    source="days on which clocks change: European Union, North America, Australia (IANA time zone database)",
)
OTHER_ZONE = define(
    "record.other-zone",
    Severity.LOOK,
    says="The hour from {start:time} is missing, and the file has stamps in the hour that the clock of {zone:text} skips "
    "({when:text}): the logger follows the daylight saving of another zone. It was read as standard time all year.",
    why="From the one change of the clocks to the other, everything may lie an hour or more off.",
    do="Name the zone whose clock the logger keeps.",
    source="days on which clocks change: European Union, North America, Australia (IANA time zone database)",
)
CLOCK_SHIFT = define(
    "record.clock-shift",
    Severity.LOOK,
    says="After the clock changed on {start:time} the typical day lies {hours:plain} h {way:text} than before, in "
    "{weeks:text} weeks; "
    "people keep to the clock, so the logger's clock did not follow the change.",
    why="On one side of the change every figure lies an hour off the clock.",
    do='If the logger keeps standard time write clock = "standard time" for this file; else look when its clock was set.',
    source="common practice, no source: four weeks before and after, every week by itself",
)
DRIFT = define(
    "record.clock-drift",
    Severity.LOOK,
    says="The stamps move by {rate:number} s a day against the step of {step:duration}, {total:duration} over the record: the "
    "logger's clock runs {way:text}.",
    why="Readings slowly slip out of their intervals, and prices and peaks are put down to the wrong ones.",
    do="Set the logger's clock, or let it be set by the network.",
    source="straight line through the stamps; common practice, no source",
)
SUN_SHIFT = define(
    "record.sun-shift",
    Severity.LOOK,
    says="What {column:text} generates lies {hours:number} h {way:text} than the sun: it begins {morning:duration} {before:text} "
    "sunrise and ends {evening:duration} {after:text} sunset on typical clear days ({days:count} days looked at).",
    why="Nothing generates from sunlight in the dark, so the file's clock or the zone is wrong by about that much.",
    do="Check zone and clock of the file, and the latitude and longitude of the site.",
    source="sun times: NREL/TP-560-34302; three quarters of an hour or more is told; common practice, no source",
)
SUN_UNCHECKED = define(
    "record.sun-unchecked",
    Severity.NOTE,
    says="{column:text} looks like generation from sunlight, but the site has no longitude, so its clock was not held "
    "against the "
    "sun.",
    why="Sunrise and sunset show whether zone and clock are right.",
    do="Write latitude and longitude under [site].",
    source="",
)
STATED_STEP = define(
    "record.stated-step",
    Severity.LOOK,
    says="The file speaks of readings every {said:duration} ({text:text}), but its stamps lie {step:duration} apart.",
    why="Taken for energy of the other length, every power is wrong by that ratio.",
    do="Compare the sum of a day with the meter's register.",
    source="",
)
TOTAL_ROW = define(
    "record.total-row",
    Severity.LOOK,
    says="The row of totals at the end of the file says {said:plain}, but {column:text} adds up to {found:plain}.",
    why="Rows are missing, stand twice, or the total is of another period.",
    do="Export the file again, and compare the two.",
    source="arithmetic; more than 0.1 % apart",
)
WAY_SHOWN = define(
    "record.way-shown",
    Severity.LOOK,
    says="{column:text} was taken as {way:text}: {why:text}.",
    why="Received and delivered mean one way as the supplier sees it, and the other as the site does.",
    do="Check it with a day on which you know what was used, and say the direction in the job file, under the "
    "meter file's columns.",
    source="common practice, no source",
)
WAY_OPEN = define(
    "record.way-open",
    Severity.LOOK,
    says="{column:text} was taken as {way:text}, as the supplier sees it; its numbers do not show which way the energy went.",
    why="Received and delivered mean one way as the supplier sees it, and the other as the site does.",
    do="Check it with a day on which you know what was used, and say the direction in the job file, under the "
    "meter file's columns.",
    source="common practice, no source",
)
NO_USE = define(
    "record.no-use",
    Severity.LOOK,
    says="No column holds what the site uses. {column:text}, by its name or numbers {what:text}, stands in its place.",
    why="What is generated or fed in says nothing of what is used, so no figure here is the site's demand.",
    do="Read a file of what the site takes from the supply. If the column is that after all, say its direction in the job file, "
    "under the meter file's columns.",
    source="",
)
LAST_IS_SUM = define(
    "record.last-is-sum",
    Severity.LOOK,
    says="The last reading of {column:text}, {value:number} {unit:text}, is what all the others add up to, so it is a total that "
    "carries a date, and counts twice.",
    why="A row of totals taken for a reading doubles the energy and sets the highest demand.",
    do="Take the last row out of a copy of the file, and read the copy.",
    source="common practice, no source: within a thousandth of the sum of ten readings or more",
)
FILE_ZONE = define(
    "record.file-zone",
    Severity.LOOK,
    says="The file names the clock of {zone:text}, since {reason:text}; its stamps were read by that, and the site's own clock "
    "is {site:text}.",
    why="Stamps read by the clock of another place lie hours off, and so do night prices and daily profiles.",
    do="If the site lies in {zone:text}, give that as its zone. If the file keeps the site's clock all the same, write "
    'clock = "site" for this file.',
    source="",
)
CLOCK_OPEN = define(
    "record.clock-open",
    Severity.LOOK,
    says="The file states an offset from UTC, since {reason:text}, and was read so all year. That offset is the standard time of "
    "{site:text}, so it may stand for a clock that follows daylight saving as well.",
    why="Read the other way, everything in summer lies an hour off.",
    do='Look into the logger\'s setting and write clock = "standard time" or "site" for this file.',
    source="",
)
