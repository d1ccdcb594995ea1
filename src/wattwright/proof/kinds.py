"""The kinds of finding about proof, with their sentences."""

from wattwright.core.findings import Severity, define

TOO_SHORT = define(
    "proof.too-short",
    Severity.STOP,
    says="The record before the measures holds {count:count} stretches that can be used; that takes {needed:count}.",
    why="A model of so few readings says nothing about other times.",
    do="Log for longer before anything is changed, or measure the single load before and after.",
    source="common practice, no source",
)
NO_USE = define(
    "proof.no-use",
    Severity.STOP,
    says="The site gives back more than it draws at times, or nothing was used at all.",
    why="What it used itself is not in the meter's readings, so a saving cannot be told from them.",
    do="Meter the generation apart.",
    source="",
)
PART_OF_YEAR = define(
    "proof.part-of-year",
    Severity.LOOK,
    says="The record before the measures covers {days:count} days, less than a year.",
    why="What the site used in other seasons is not known, and a saving told for them is a guess.",
    do="Claim a saving for the same season only.",
    source="IPMVP, whole facility: 12 months of baseline as a rule; from memory",
)
LOOSE_MODEL = define(
    "proof.loose-model",
    Severity.LOOK,
    says="On weeks left out, the best model ({model:text}) is off by {cv:percent} of the mean.",
    why="A saving that is small against this scatter is lost in it.",
    do="Look for what else the use follows, or measure the single load.",
    source="ASHRAE Guideline 14, whole building: CV(RMSE) of 20 % for energy at under twelve months; from memory",
)
NO_BETTER = define(
    "proof.no-better-than-mean",
    Severity.STOP,
    says="No model tells weeks left out clearly better than the plain mean, which is off by {cv:percent}.",
    why="Nothing in calendar or weather explains the use, so what it would have been cannot be told.",
    do="Find out what drives the use, and log that too.",
    source="common practice, no source",
)
OTHER_WEATHER = define(
    "proof.other-weather",
    Severity.LOOK,
    says="{share:percent} of the time after the measures was colder or warmer than any time before.",
    why="The model was never seen at such temperatures.",
    do="Leave these times out of the claim, or say that they are guessed.",
    source="common practice, no source",
)
NOT_SHOWN = define(
    "proof.not-shown",
    Severity.LOOK,
    says="No saving is shown: {saved:energy}, which may lie from {low:energy} to {high:energy} ({confidence:percent}).",
    why="The band holds nought, so the difference may be chance.",
    do="Claim nothing yet. Log for longer, or measure the single load.",
    source="",
)
MORE_USED = define(
    "proof.more-used",
    Severity.LOOK,
    says="More was used than before at like times: {more:energy}, between {low:energy} and {high:energy} ({confidence:percent}).",
    why="The measures did not work, or something new runs on the site.",
    do="Look for a new load, a changed setting or a manual override.",
    source="",
)
TOO_VAGUE = define(
    "proof.too-vague",
    Severity.LOOK,
    says="At 68 % confidence the saving is known to {uncertainty:percent} of itself; a claim takes 50 % or less.",
    why="So wide a band carries no payment or promise.",
    do="Log for longer, or measure the single load.",
    source="ASHRAE Guideline 14, performance path; from memory",
)
EVENT = define(
    "proof.event",
    Severity.LOOK,
    says="From {first:time} on, for {days:count} days, the site used {energy:energy} a day {more:text} than the rest of the time "
    "explains ({share:percent} of a day).",
    why="Something other than the measures changed: a new load, a closed stretch, more or fewer people.",
    do="Ask on site what it was. If the measures have nothing to do with it, agree in writing to leave it out or adjust for it.",
    source="IPMVP, non-routine adjustments; from memory",
)
