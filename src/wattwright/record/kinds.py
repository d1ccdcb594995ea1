"""The kinds of finding a reader can make, with their sentences."""

from wattwright.core.findings import Severity, define

STAMPS = define(
    "record.stamps",
    Severity.NOTE,
    says="The stamps mark the {end:text} of each interval: {why:text}.",
    why="Read the other way round, every figure would lie one interval off the clock.",
    do='If you know better, write stamps = "start" or "end" for this file.',
    source="",
)
STAMPS_ASSUMED = define(
    "record.stamps-assumed",
    Severity.LOOK,
    says="Nothing in the file shows which end of its interval a stamp marks; the start was assumed.",
    why="Read the other way round, every figure would lie one interval of {step:duration} off the clock.",
    do='Find it in the logger\'s setting and write stamps = "start" or "end" for this file.',
    source="common practice, no source",
)
INCLUSIVE_END = define(
    "record.inclusive-end",
    Severity.NOTE,
    says="Each row ends {short:duration} before the next one begins, as where the last minute or second of an interval is "
    "written for its end; the intervals were taken as {step:duration} without a gap.",
    why="Taken as written, a little of every interval would be missing, and every power would be too high.",
    do="Nothing, unless the meter really measured in shorter intervals with gaps between them.",
    source="",
)
ZONE = define(
    "record.zone-unknown",
    Severity.LOOK,
    says="No time zone was given, so the stamps were taken as a clock that never changes.",
    why="Prices, day types and daily profiles follow the site's own clock with its daylight saving.",
    do="Name the zone, for example --zone Europe/Athens.",
    source="",
)
DATE_ORDER = define(
    "record.date-order",
    Severity.LOOK,
    says="No single date shows which number is the day; they were read {order:text}, since then the days follow one another "
    "with {breaks:count} breaks, and {other:text} there would be {other_breaks:count}.",
    why="With day and month exchanged, summer and winter would be mixed.",
    do='If it is wrong, write date_order = "{other:text}" for this file.',
    source="",
)
DAYS = define(
    "record.days",
    Severity.NOTE,
    says="Each row holds a whole day; the days are kept as 24 h from midnight of standard time.",
    why="The totals are exact, but the two days on which the clock changes have 23 and 25 h, so their mean power is 4 % off.",
    do="Use readings at a step of an hour or less for anything that depends on the time of day.",
    source="",
)
GROUPED = define(
    "record.thousands",
    Severity.LOOK,
    says="Readings of {column:text} that carry a mark between thousands: {count:count}; the first, in row {row:count}, is "
    "{found:text}, read as {value:plain}.",
    why="Were that mark a decimal mark, the reading would be a thousand times smaller.",
    do="Look at that row; if it is wrong, export the readings again without such marks.",
    source="",
)
HEADER_AGAIN = define(
    "record.header-again",
    Severity.NOTE,
    says="The row of names stands again in the file (times: {count:count}), first in row {row:count}; it was left out.",
    why="Files that were joined keep the names of each part.",
    do="Nothing, if all parts came from the same meter.",
    source="",
)
UNLIKELY = define(
    "record.unlikely",
    Severity.LOOK,
    says="Readings of {column:text} far from its usual {usual:number} {unit:text}: {count:count}, the first at {start:time}.",
    why="A supply keeps its voltage and frequency; such readings come from an outage, a loose wire or exchanged columns.",
    do="Look at those rows of the file.",
    source="common practice, no source",
)
GUESSED = define(
    "record.unit-guessed",
    Severity.LOOK,
    says="The column {column:text} names no unit that is read here; it was read as {what:text}: {why:text}.",
    why="If the unit is another one, every figure is wrong by a factor of a thousand.",
    do="Check one reading against the meter's display, and say what the column holds in the job file.",
    source="common practice, no source",
)
GAPS = define(
    "record.gaps",
    Severity.LOOK,
    says="{missing:count} of {intervals:count} intervals have no reading (gaps: {gaps:count}); the longest, "
    "{longest:duration}, begins {start:time}.",
    why="What was used in a gap is not in any total.",
    do="Ask for the missing readings, or compare the total with the meter's register.",
    source="",
)
UNREADABLE = define(
    "record.no-value",
    Severity.NOTE,
    says="No reading stands in {column:text} where the file has {tokens:text} (times: {count:count}); these count as missing.",
    why="They carry no value.",
    do="Nothing, unless there are many.",
    source="",
)
REFUSED_AS_MISSING = define(
    "record.unreadable",
    Severity.LOOK,
    says="Entries of {column:text} that are not numbers count as missing, as you asked: {count:count}, the first {found:text} in "
    "row {row:count}.",
    why="What was used then is not in any total.",
    do="Look at those rows of the file.",
    source="",
)
UNIT_CHANGES = define(
    "record.unit-changes",
    Severity.LOOK,
    says="The unit of {column:text} changes on the way: rows in {other:text} and not in {first:text}: {count:count}, the "
    "first of them row {row:count}. Each row was taken in its own unit.",
    why="Taken in one unit, part of the record would be wrong by a factor of a thousand.",
    do="Look at the rows about that one: readings that jump there mean that the unit written beside them is wrong.",
    source="",
)
REPEATED = define(
    "record.repeated-rows",
    Severity.NOTE,
    says="Rows that repeat an earlier row exactly were dropped: {count:count}, the first for {start:time}.",
    why="Counted twice they would add energy that was never used.",
    do="Nothing; loggers often send a block again.",
    source="",
)
DISAGREE = define(
    "record.rows-disagree",
    Severity.LOOK,
    says="Rows that give another value for an interval that already had one: {count:count}, the first in row {row:count}"
    "{file:text}, for {start:time}. The earlier row was kept and marked questionable.",
    why="Only one of them can be right.",
    do="Look whether two meters or two exports were put into one file.",
    source="",
)
ORDER = define(
    "record.order",
    Severity.NOTE,
    says="The rows do not stand in the order of time (steps back: {count:count}); they were put in order.",
    why="The totals do not depend on it.",
    do="Nothing.",
    source="",
)
AUTUMN_ONCE = define(
    "record.repeated-hour-once",
    Severity.LOOK,
    says="The hour that the clock repeats on {day:text} stands in the file only once; it was taken as the first, and the second "
    "counts as missing.",
    why="The logger dropped an hour, or its clock does not follow daylight saving.",
    do="Compare the logger's clock with the site's in summer and in winter; if it never changes write clock = \"standard time\".",
    source="",
)
STANDARD_TIME = define(
    "record.standard-time",
    Severity.LOOK,
    says="The file has stamps in the hour that the site's clock skips ({when:text}), so its clock does not follow daylight "
    "saving; it was read as standard time all year.",
    why="In summer the file's clock is an hour behind the site's.",
    do='If that is wrong, write clock = "site" for this file.',
    source="",
)
JITTER = define(
    "record.jitter",
    Severity.NOTE,
    says="Stamps beside the regular step were moved onto it: {count:count}, by {most:duration} at most.",
    why="Readings belong to intervals of one length.",
    do="Nothing, if the logger is known to drift so.",
    source="",
)
COLUMN = define(
    "record.column-unknown",
    Severity.LOOK,
    says="The column {column:text} has numbers, but nothing says what they measure; it was left out.",
    why="A guess would put a wrong unit into the report.",
    do="Say what it holds in the job file, under the meter file's columns.",
    source="",
)
COLUMN_TEXT = define(
    "record.column-text",
    Severity.NOTE,
    says="The column {column:text} holds text such as {found:text}; it was left out.",
    why="Text beside the readings may say that some of them are no measurements.",
    do="Where it says how good a reading is, write it as measured, estimated or missing, and call the column quality.",
    source="",
)
QUALITY_WORDS = define(
    "record.quality-words",
    Severity.NOTE,
    says="The column {column:text} was read as the quality of the readings: {words:text}.",
    why="An estimate must not count as a measurement.",
    do="Check the words against what the sender of the file says about them.",
    source="NAESB REQ.21 for the kinds of quality; the words are common practice, no source",
)
COLUMN_UNIT = define(
    "record.column-unit",
    Severity.LOOK,
    says="The column {column:text} was left out: {why:text}.",
    why="Taken for the unit it resembles, every figure would be wrong, and look sure.",
    do="Find out what the column holds; if it is power or energy, say so with its unit in the job file, under the meter file's "
    "columns.",
    source="",
)
MEANING = define(
    "record.meaning",
    Severity.NOTE,
    says="The column {column:text} was read as {what:text}: {why:text}.",
    why="The unit decides every figure.",
    do="If you know better, say what it holds in the job file.",
    source="",
)
REGISTER_BACK = define(
    "record.register-back",
    Severity.LOOK,
    says="The register {column:text} runs back (times: {count:count}; {how:text}), first at {start:time}; those intervals count "
    "as missing.",
    why="A register only runs back when it is reset, rolls over, the meter is replaced, or a reading was garbled.",
    do="Look for a meter change on that day. If the column is no register, say in the job file that its form is "
    "energy per interval.",
    source="",
)
FORM_JUDGED = define(
    "record.form-judged",
    Severity.LOOK,
    says="The numbers of {column:text} look like those of a register, so what it rises by was taken: {risen:plain} {unit:text} "
    "in all. Were they energies of an interval each, they would come to {added:plain} {unit:text}.",
    why="A load that goes up for some hours looks like a register that was read a few times.",
    do="Compare two readings with the meter's display, and say which of the two the column holds.",
    source="common practice, no source: sure from a level of 1,000 times the steps, or 200 rises without a fall and 20 times the "
    "largest of them, or where the name says so",
)
OF_THE_DAY = define(
    "record.of-the-day",
    Severity.NOTE,
    says="The column {column:text} holds one number for each day beside the intervals of that day; it was left out.",
    why="A total, a mean or a highest value of the day is in the intervals already.",
    do="Nothing. To check the file, compare it with the totals of the same days.",
    source="",
)
MARKED_MISSING = define(
    "record.marked-missing",
    Severity.LOOK,
    says="{column:text} holds the number {value:plain} again and again (times: {count:count}; first in row {row:count}), far "
    "outside all its other readings. Loggers write it where they have no reading, so those rows count as missing.",
    why="Taken for a reading, such a number swamps every total and every peak.",
    do="Look at those rows. If they were readings after all, change their last digit in a copy of the file and read the copy.",
    source="nines and the ends of whole numbers of 16 and 32 bits; twice or more, and five times above or ten times below the "
    "rest: common practice, no source",
)
SHORT_ROW = define(
    "record.last-row",
    Severity.LOOK,
    says="Row {row:count}, at the end of the file, is no row of readings and was left out: {found:text}.",
    why="It is a total or a remark, or the file was cut while it was copied.",
    do="If the row is cut short, copy the file again and compare its size.",
    source="",
)
NEGATIVE = define(
    "record.negative",
    Severity.LOOK,
    says="Negative readings of {column:text}: {count:count}, the first at {start:time}.",
    why="Power runs back only where something generates; otherwise a current transformer is clamped the wrong way round.",
    do="Ask whether the site has generation; if not, check the transformer's direction.",
    source="common practice, no source",
)
TOO_MUCH = define(
    "record.power-high",
    Severity.LOOK,
    says="Readings of {column:text} above {most:power}, more than a low-voltage supply carries: {count:count}; the highest, "
    "{value:power}, is at {start:time}.",
    why="Such a reading is a damaged number, or the column is in another unit than its name says.",
    do="Compare that reading with the meter; if the unit is another one, say what the column holds in the job file, and if the "
    "number is damaged, take its row out.",
    source="common practice, no source",
)
SPIKE = define(
    "record.spike",
    Severity.LOOK,
    says="One reading of {column:text} stands far above the rest: {value:power} at {start:time}, where the third highest is "
    "{third:power}.",
    why="A single spike is seldom used in truth, and it would set the highest demand of the whole record.",
    do="Ask what ran at that time; if nothing did, take the row out, so that it counts as missing.",
    source="California VEE standards, spike check: (highest - third highest) / third highest above 1.8; from memory",
)
SEVERAL_POWERS = define(
    "record.several-powers",
    Severity.LOOK,
    says="More than one column holds a whole power. {column:text} stands for the site; {others:text} was not added to it.",
    why="Two columns may be the same power in two units, a part beside the whole, or two supplies.",
    do='If another column is the site\'s, name it with --channel or channel = "..." in the job file; if the site is the sum of '
    "them, add them up and read the sum.",
    source="",
)
WHOLE_BY_NAME = define(
    "record.whole-by-name",
    Severity.NOTE,
    says="{column:text} stands for the site by its name; {others:text}, by theirs parts or generation, was not added to it.",
    why="A part is in the whole already, and what is generated is not used from the supply.",
    do='If another column is the site\'s, name it with --channel or channel = "..." in the job file.',
    source="",
)
RATES = define(
    "record.rates-added",
    Severity.NOTE,
    says="{columns:text} are rates of one supply and were added up: by their names, and since only one of them counts at a time.",
    why="Each rate counts a part of the hours; the site's use is all of them.",
    do='If they are supplies of their own, name the one you want with --channel or channel = "..." in the job file.',
    source="common practice, no source: one alone in 95 % of the intervals in which any counts",
)
RATES_BY_NAME = define(
    "record.rates-by-name",
    Severity.LOOK,
    says="{columns:text} were taken for rates of one supply by their names, and added up.",
    why="Over so long a step each of them counts, so that the numbers cannot show whether one is a part of the other.",
    do='Compare a day of each with the meter\'s total. If one is the whole already, name it with --channel or channel = "..." '
    "in the job file.",
    source="common practice, no source",
)
COST_LEFT = define(
    "record.cost-left",
    Severity.NOTE,
    says="Readings that carry a cost: {count:count}; the costs were left aside.",
    why="What energy costs is worked out from the tariff.",
    do="Nothing.",
    source="",
)
FILE_CLOCK = define(
    "record.file-clock",
    Severity.NOTE,
    says="The file states its local clock: {clock:text}.",
    why="The readings themselves are counted in UTC; local time comes from the site's zone.",
    do="Check that the site's zone keeps the same clock.",
    source="NAESB REQ.21 ESPI, LocalTimeParameters",
)
OTHER_UNIT = define(
    "record.other-unit",
    Severity.LOOK,
    says="The readings called {column:text} are in no unit of electricity or climate that is known here; they were left out.",
    why="A guess would put a wrong unit into the report.",
    do="Say what they hold in the job file, under the meter file's columns.",
    source="",
)
LEFT_OUT = define(
    "record.file-left-out",
    Severity.LOOK,
    says="The file {file:text} holds no readings and was left out: {found:text}.",
    why="Pictures, notes and summaries often lie beside the readings.",
    do="Look into it if readings are missing.",
    source="",
)
FILES = define(
    "record.files",
    Severity.NOTE,
    says="Files that were read as one record: {count:count}.",
    why="Readings that stand in several files count once.",
    do="Nothing, if all files came from the same meter.",
    source="",
)
SHEETS = define(
    "record.sheets",
    Severity.NOTE,
    says="Sheets of the workbook that hold the readings: {sheets:text}.",
    why="A workbook may hold the same readings more than once, and totals beside them.",
    do='If it should be another sheet, name it with part = "..." for this file.',
    source="",
)
SHEETS_LEFT = define(
    "record.sheets-left",
    Severity.LOOK,
    says="Sheets of the workbook that were left out: {sheets:text}.",
    why="They hold no interval readings, or readings in another layout than most.",
    do='If one of them holds the readings you want, name it with part = "..." for this file.',
    source="",
)
REGISTER_OVER = define(
    "record.register-over",
    Severity.NOTE,
    says="The register {column:text} went past its last digit and began again from nought (times: {count:count}), first at "
    "{start:time}; what was used meanwhile is counted.",
    why="A register of so many digits begins again at the next power of ten, and what is used across it is as much as usual.",
    do="Nothing, unless a meter was changed on that day.",
    source="common practice, no source",
)
REGISTER_DAILY = define(
    "record.register-daily",
    Severity.NOTE,
    says="The register {column:text} begins again from nought every day (times: {count:count}), first at {start:time}. What it "
    "shows after that was taken for what was used since, where it counts the whole step; else that step counts as missing.",
    why="Taken for energies of an interval, a count of the day would be far too high.",
    do="Nothing; for the steps that are missing use a register that counts on, if the meter has one.",
    source="common practice, no source: falls to about nought at one distance, on seven days, or two where its name says so",
)
REGISTER_REPLACED = define(
    "record.register-replaced",
    Severity.LOOK,
    says="The register {column:text} goes over to another level (times: {count:count}), first at {start:time}; what was used in "
    "those intervals is unknown and counts as missing.",
    why="A meter that is replaced leaves its count behind; the new one goes on from its own.",
    do="Ask for the readings of both meters on that day, and add what is missing by hand.",
    source="common practice, no source",
)
EVENTS = define(
    "record.irregular-held",
    Severity.LOOK,
    says="The readings come at no fixed step ({rows:count} rows, up to {longest:duration} apart): {why:text}. Each was held "
    "until the next one, for {most:duration} at most, and averaged over {step:duration}; what registers count was spread evenly.",
    why="Were they samples taken now and then, what happened between two of them would be unknown.",
    do="If they are no changes of value, export readings at a fixed step. The limits are hold_at_most and step beside "
    'irregular = "hold" for this file.',
    source="common practice, no source",
)
SPREAD = define(
    "record.spread-evenly",
    Severity.LOOK,
    says="The readings of {column:text} are up to {longest:duration} apart. What was used between two of them is known, but not "
    "when: it was spread evenly, and the powers over {step:duration} are calculated.",
    why="Peaks shorter than the time between two readings lie above every figure here.",
    do="Do not size by a maximum over less time than lies between the readings; log at a short fixed step.",
    source="",
)
FACTOR_ASSUMED = define(
    "record.power-factor-assumed",
    Severity.LOOK,
    says="No active power was measured; {column:text} was worked out with an assumed power factor of {factor:number}: "
    "{energy:energy}, and between {low:energy} at {least:number} and {high:energy} at 1.",
    why="Current and voltage alone give the apparent power; how much of it is active depends on what runs.",
    do="Measure the active power, or write power_factor for this file if the site's is known.",
    source="common practice, no source",
)
FACTOR_SAID = define(
    "record.power-factor-said",
    Severity.NOTE,
    says="No active power was measured; {column:text} was worked out with the power factor you gave, {factor:number}: "
    "{energy:energy}, where {low:energy} at {least:number} and {high:energy} at 1 are the ends of what is usual.",
    why="Current and voltage alone give the apparent power; how much of it is active depends on what runs.",
    do="Measure the active power where the result must be firm.",
    source="common practice, no source",
)
FACTOR_UNUSED = define(
    "record.power-factor-unused",
    Severity.LOOK,
    says="The power factor you gave, {factor:number}, was not needed: the file has active power, or neither current nor apparent "
    "power with a voltage.",
    why="What is measured goes before what is assumed.",
    do="Take power_factor out of this file's layout.",
    source="",
)
NOMINAL_VOLTAGE = define(
    "record.voltage-nominal",
    Severity.LOOK,
    says="No voltage was measured beside {column:text}; the nominal one you gave, {volts:number} V, was taken throughout.",
    why="A supply keeps within 10 % of its nominal voltage, so the power may be off by as much.",
    do="Measure the voltage too where the result must be firm.",
    source="EN 50160, supply voltage variations; from memory",
)
SEVERAL_CURRENTS = define(
    "record.several-currents",
    Severity.LOOK,
    says="More than one column holds a current, and nothing tells which conductor each belongs to. The power was worked out from "
    "{column:text} alone; {others:text} was not added to it.",
    why="If each is a conductor of its own, the site's power is the sum of all.",
    do='Say the conductor of each current and voltage in the job file: phase = "L1" and so on, under the meter file\'s columns.',
    source="",
)
CURRENT_ONLY = define(
    "record.current-only",
    Severity.LOOK,
    says="Only currents were measured ({columns:text}), so there is no power.",
    why="A current becomes a power only with its voltage.",
    do='Write voltage = "230 V", or what your supply has to neutral, for this file.',
    source="",
)
