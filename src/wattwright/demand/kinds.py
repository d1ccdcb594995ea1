"""The kinds of finding the demand room can make, with their sentences."""

from wattwright.core.findings import Severity, define

INCOMPLETE = define(
    "demand.incomplete",
    Severity.LOOK,
    says="The record is {share:completeness} complete: {missing:duration} of {span:duration} have no reading.",
    why="Energy used in the gaps is in no total, and a peak may hide there.",
    do="Compare the total with the meter's register before you rely on it.",
    source="",
)
COUNTED = define(
    "demand.counted-in-gaps",
    Severity.LOOK,
    says="The record is {share:completeness} complete: {missing:duration} of {span:duration} have no reading. The register went "
    "on counting meanwhile: the {energy:energy} that it rose by are in the total, and in no month, bill, mean or maximum.",
    why="What a register counts between two readings is known; when it was used is not, and a peak may hide there.",
    do="Ask for the missing readings, or let the gaps be filled to share that energy out.",
    source="",
)
FILLED = define(
    "demand.filled",
    Severity.LOOK,
    says="Gaps were filled by a rule ({gaps:count}, of which a register settles {registered:count}): together they add "
    "{energy:energy}, between {low:energy} and {high:energy} in {band:percent} of like cases.",
    why="An estimate is not a reading: no peak is taken from it, and a long gap may have been a day unlike others.",
    do="Compare the total with the meter's register.",
    source="interval estimation rules of market operators: straight line up to an hour, like days beyond; the band from the "
    "errors of the same rules on all gaps moved together by whole days (split conformal prediction)",
)
FILLED_OPEN = define(
    "demand.filled-open",
    Severity.LOOK,
    says="Gaps were filled by a rule ({gaps:count}, of which a register settles {registered:count}): together they add "
    "{energy:energy}. How far that may be off is not known, since too few like stretches were read.",
    why="An estimate is not a reading: no peak is taken from it, and a long gap may have been a day unlike others.",
    do="Compare the total with the meter's register.",
    source="interval estimation rules of market operators: straight line up to an hour, like days beyond",
)
NET = define(
    "demand.net",
    Severity.LOOK,
    says="The readings are net: {imported:energy} came in, {exported:energy} went out. What the site generated and used "
    "itself is in neither, so what it used is not known: {imported:energy} at least, and nothing here says how much more.",
    why="Energy, mean, base load and load factor are of the exchange with the grid, not of the use. What runs both ways within "
    "{step:duration} cancels out before it is read.",
    do="Meter the generation too, or import and export apart, before you size or save by these figures.",
    source="energy balance of a site: use is import and generation less export",
)
SHORT = define(
    "demand.short",
    Severity.LOOK,
    says="The record covers {span:duration}, less than a year.",
    why="What happens in the other months is not known, so nothing here is a yearly figure.",
    do="Log for longer, or hold the result against paid bills.",
    source="",
)
COARSE = define(
    "demand.coarse",
    Severity.LOOK,
    says="The record holds means over {step:duration}. Shorter peaks lie above them and cannot be seen.",
    why="What overloads a supply or an inverter lasts seconds to minutes.",
    do="Do not size by these figures alone; log a week at one minute.",
    source="common practice, no source",
)
INSIDE = define(
    "demand.inside",
    Severity.LOOK,
    says="{column:text} holds the highest power within each {step:duration}: {value:power} at most, at {start:time}, "
    "{ratio:number} times the highest mean. It is evidence of peaks and was taken for no power of the site.",
    why="A mean hides what lasts less long than its interval; this is what the meter saw of it.",
    do="Size by this figure rather than by the mean, and find out over how long the meter measures it.",
    source="",
)
LEFT_OUT = define(
    "demand.windows-left-out",
    Severity.NOTE,
    says="Windows of {window:duration} that were not read throughout were left out of the maximum ({count:count}); the readings "
    "they do have reach {highest:power}.",
    why="The mean of half a window says nothing about the whole.",
    do="Nothing, unless that value lies near the maximum.",
    source="",
)
NO_POWER = define(
    "demand.phases-added",
    Severity.NOTE,
    says="The site's power is the sum of {count:count} channels: {channels:text}.",
    why="No channel measures the whole.",
    do="Check that they are the conductors of one supply.",
    source="",
)
