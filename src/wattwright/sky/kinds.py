"""The kinds of finding the room of the sky can make, with their sentences."""

from wattwright.core.findings import Severity, define

STAMPS_MOVED = define(
    "sky.stamps-moved",
    Severity.NOTE,
    says="The stamps of {form:text} mark the end of the hour; each value was put at the start of the hour it stands for.",
    why="An hour's shift turns the sun by 15 degrees and takes energy from one side of noon to the other.",
    do="Nothing; this is how the format defines its hours.",
    source="user's manuals of the typical meteorological years, TMY2 and TMY3; format description of EPW",
)
TYPICAL = define(
    "sky.typical-year",
    Severity.NOTE,
    says="The file is made of months of different years ({first:text} to {last:text}); they were put onto the year {year:text}.",
    why="Such a year is typical and never happened: neighbouring months do not follow each other, and weekdays mean nothing.",
    do="Use it for yields and sizes, and never against readings of a real year.",
    source="user's manuals of the typical meteorological years",
)
OTHER_YEAR = define(
    "sky.other-year",
    Severity.LOOK,
    says="The weather is that of {first:text}, put onto the year {year:text} as asked.",
    why="The weather of one year says little about a certain day of another.",
    do="Use weather of the year of the readings where you hold one against the other.",
    source="",
)
LEAP_REPEATED = define(
    "sky.leap-day-repeated",
    Severity.NOTE,
    says="{year:text} has a 29 February and the file has none; the weather of 28 February stands there too.",
    why="Without it every later hour would stand a day too early.",
    do="Nothing; a sum over the year holds one day more than the file.",
    source="common practice, no source",
)
LEAP_DROPPED = define(
    "sky.leap-day-dropped",
    Severity.NOTE,
    says="The file has a 29 February and {year:text} has none; that day was left out.",
    why="With it every later hour would stand a day too late.",
    do="Nothing; a sum over the year holds one day less than the file.",
    source="common practice, no source",
)
MISSING = define(
    "sky.missing",
    Severity.LOOK,
    says="{what:text}: {missing:count} of {total:count} values are missing; nothing was put in their place.",
    why="A sum over a gap is too small, and a mean may lean to one side.",
    do="Take another file, or leave out what needs this quantity.",
    source="",
)
NO_OFFSET = define(
    "sky.no-offset",
    Severity.LOOK,
    says="The stamps carry no offset and no zone was named; they were read as UTC.",
    why="Read on the wrong clock, the weather comes hours too early or too late.",
    do="Name the zone of the stamps, or write them with their offset.",
    source="",
)
STAMPS_TAKEN = define(
    "sky.stamps-taken",
    Severity.NOTE,
    says='Nothing says which end of its interval a stamp of "{column:text}" marks; the start was taken.',
    why="Taken wrongly, everything comes one step late.",
    do='If the stamps mark the end, say so, or call the column "end".',
    source="common practice, no source",
)
UNREAD = define(
    "sky.unread",
    Severity.NOTE,
    says='The column "{column:text}" was not read.',
    why="Its name is none of a quantity of weather that is used here.",
    do="If it is needed, name it plainly and write its unit in brackets, such as temperature [degC].",
    source="",
)
MADE_OF_MONTHS = define(
    "sky.made-of-months",
    Severity.LOOK,
    says="The sun was made of monthly means over a clear sky, its days drawn with seed {seed:count}. It is no measured weather.",
    why="Months hold their light, but runs of dull days, clouds within a day, heat and wind of the place are not in it.",
    do="Take a weather file of the place, a typical year of hours, before anything is bought.",
    source="Ineichen and Perez 2002, Erbs et al. 1982; days after Bendt et al. 1981 and Graham et al. 1988, from memory",
)
MADE_OF_NOTHING = define(
    "sky.made-of-nothing",
    Severity.STOP,
    says="Nothing is known of the sun here: {share:percent} of a clear sky was taken in every month, its days drawn with seed "
    "{seed:count}. It is no measured weather.",
    why="A cloudy place has half the sun of a clear one at the same latitude.",
    do="Name a weather file under [weather], or write twelve monthly values under [weather.sun].",
    source="common practice, no source",
)
