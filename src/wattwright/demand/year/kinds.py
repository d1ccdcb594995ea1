"""The kinds of finding about a year made from a shorter record, and about paid bills, with their sentences."""

from wattwright.core.findings import Severity, define

_BOTH = (
    "Of the {days:count} days that were both read and billed, the record has {measured:energy} and the paid bills {billed:energy}"
)

TOO_SHORT = define(
    "demand.too-short-for-a-year",
    Severity.LOOK,
    says="The record has {days:count} days that were read, which make no year; that takes {needed:count}.",
    why="A single week says nothing of how weeks differ.",
    do="Log at least two weeks, better four, and one in another season.",
    source="common practice, no source",
)
NO_SEASON = define(
    "demand.no-such-season",
    Severity.LOOK,
    says="There is no {season:text} in the record, so it carries no conclusion about what runs only then: {runs:text}. "
    "{days:count} days of the year are made from other seasons.",
    why="They have a factor of their own that nobody measured; the band is wide because of it.",
    do="Log two weeks of that season, or give the paid bills of a year.",
    source="spread of the unknown factor: no source",
)
NO_COLD = define(
    "demand.no-heating-season",
    Severity.LOOK,
    says="No day of the record was colder than {coldest:temperature}, but {days:count} days of the year are, the coldest "
    "at {other:temperature}. It carries no conclusion about heating, and the band may not hold it.",
    why="How energy follows the cold was not seen.",
    do="Log two cold weeks, or give the paid bills of a winter.",
    source="",
)
NO_HEAT = define(
    "demand.no-cooling-season",
    Severity.LOOK,
    says="No day of the record was warmer than {warmest:temperature}, but {days:count} days of the year are, the warmest "
    "at {other:temperature}. It carries no conclusion about cooling, and the band may not hold it.",
    why="How energy follows the heat was not seen.",
    do="Log two hot weeks, or give the paid bills of a summer.",
    source="",
)
NO_HOLIDAYS = define(
    "demand.no-holidays",
    Severity.NOTE,
    says="The site was in use throughout the record, so the year made from it has no holidays.",
    why="A year usually has weeks in which nobody is there, so it may come out too high.",
    do="Ask the client when the site is left alone.",
    source="",
)
NO_COMMON_DAYS = define(
    "demand.bills-of-other-days",
    Severity.LOOK,
    says="No paid bill has {needed:count} days that were read too, so the record could not be held against them.",
    why="A wrong transformer ratio shows nowhere else.",
    do="Get the bill of the time that was logged.",
    source="",
)
AGREES = define(
    "demand.bills-agree",
    Severity.NOTE,
    says=_BOTH + ".",
    why="Within {within:percent} no wrong transformer ratio and no conductor left out shows.",
    do="Nothing is to be done.",
    source="common practice, no source",
)
ROUGHLY = define(
    "demand.bills-roughly",
    Severity.NOTE,
    says="No bill was read for most of its days, so the mean day of a bill was held against the record: agreement is within "
    "{within:percent} only.",
    why="The rest of the bill lies in other weeks, which may use more or less.",
    do="Get the bill of the time that was logged, or read the supplier's meter at both ends of the next logging.",
    source="common practice, no source (four fifths; a quarter)",
)
DIFFERS = define(
    "demand.bills-differ",
    Severity.LOOK,
    says=_BOTH + "; no usual mistake explains the difference.",
    why="Either the record is not of the whole supply, or the bills are not of these days.",
    do="See whether a bill was estimated, whether there is a second meter, and which circuits the clamps hold.",
    source="",
)
SUGGESTS = define(
    "demand.bills-suggest",
    Severity.STOP,
    says=_BOTH + ": a ratio near {named:text}. That suggests {mistake:text}.",
    why="Every power and energy here would be wrong by that much.",
    do="{step:text}.",
    source="common practice, no source",
)
MAY_SUGGEST = define(
    "demand.bills-may-suggest",
    Severity.LOOK,
    says=_BOTH + ": a ratio near {named:text}. That may be {mistake:text}, or the rest of the bills lies in weeks unlike these.",
    why="A part of a bill does not show which of the two it is; the first would make every power and energy wrong by that much.",
    do="{step:text}; and get the bill of the time that was logged.",
    source="common practice, no source",
)
BILLS_IMPORT = define(
    "demand.bills-import-only",
    Severity.LOOK,
    says="The bills fit what was drawn ({imported:energy}) and not the difference with what was fed in ({net:energy}): "
    "they count one way.",
    why="The record is net behind generation; the bills are not.",
    do="Take the energy drawn for costs, and ask where the generation is connected.",
    source="",
)
PV_POSITION = define(
    "demand.bills-sun",
    Severity.LOOK,
    says="In the half of the year with the longer days the record has {light:number} times the energy of the bills, in the other "
    "{dark:number}.",
    why="A generator by sunlight between the meter of the supplier and this one makes such a difference, and so do "
    "cooling or heating "
    "that is metered apart.",
    do="See where the PV is connected, and on which side of it the clamps are.",
    source="common practice, no source (a difference of 15 %)",
)
OVERLAP = define(
    "demand.bills-overlap",
    Severity.LOOK,
    says="Two bills count the same days (such pairs: {count:count}), the first from {first:text} on.",
    why="Energy billed twice would make the record look too low.",
    do="Set the last day of the earlier bill to the day of the reading; add two registers of one meter up to one bill.",
    source="",
)
NOT_FILLED = define(
    "demand.bills-not-used",
    Severity.NOTE,
    says="The bills were not used to fill the year, as they do not agree with the record.",
    why="A year made of two unlike halves would be neither.",
    do="Settle first why they differ.",
    source="",
)
