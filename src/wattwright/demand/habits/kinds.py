"""The kinds of finding about days, base load and temperature, with their sentences."""

from wattwright.core.findings import Severity, define

NO_TEMPERATURE = define(
    "demand.no-temperature",
    Severity.NOTE,
    says="No outdoor temperature goes with these readings, so it is not told how energy follows it.",
    why="Heating and cooling are seen by their dependence on temperature.",
    do="Name a weather file of the same days, or a record with a temperature channel.",
    source="",
)
OTHER_DAYS = define(
    "demand.temperature-of-other-days",
    Severity.LOOK,
    says="{name:text} holds the temperature of {count:count} days that have readings too; that takes {needed:count}.",
    why="A typical year, or another year, says nothing about how warm these days were.",
    do="Get the measured weather of the same days.",
    source="",
)
POOR_RESPONSE = define(
    "demand.poor-response",
    Severity.LOOK,
    says="Outdoor temperature explains {r2:percent} of how days differ; what is left scatters by {cv:percent} of the mean.",
    why="Most of the energy follows something else, so a saving that rests on temperature alone would be lost in it.",
    do="Look at day groups and breaks, and at what people do.",
    source="common practice, no source (R2 under 50 %)",
)
RISING_BASE = define(
    "demand.base-trend",
    Severity.LOOK,
    says="At equal outdoor temperature the base load changes by {trend:power} a year (90 % interval: {low:power} to "
    "{high:power}), from {base:power}.",
    why="Something that is always on came, went, or wears.",
    do="Look for what is on at night: a refrigerator's seal, a pump, a heater left on.",
    source="median slope between all pairs of days: Sen 1968",
)
BASE_OR_SEASON = define(
    "demand.base-trend-or-season",
    Severity.NOTE,
    says="The base load changes by {trend:power} a year (90 % interval: {low:power} to {high:power}), from {base:power}, "
    "which may be the season alone.",
    why="Heating, cooling and frost protection run at night too, and the outdoor temperature of these days is not known.",
    do="Name a weather file of the same days; then look for what is on at night.",
    source="median slope between all pairs of days: Sen 1968",
)
GIVES_BACK = define(
    "demand.no-base-of-net",
    Severity.NOTE,
    says="The site gives power back, so neither its base load nor breaks are told.",
    why="While it generates, the meter does not see what it draws, and a sunny day looks like one without people.",
    do="Meter the generation apart.",
    source="",
)
BREAKS = define(
    "demand.breaks",
    Severity.NOTE,
    says="The site was hardly used on {days:count} days (breaks: {count:count}).",
    why="Such days belong in no mean of working days, and show what standby costs.",
    do="Ask the client whether nobody was there{or_mild:text}.",
    source="common practice, no source",
)
