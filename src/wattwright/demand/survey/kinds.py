"""The kinds of finding about a survey held against the record, with their sentences."""

from wattwright.core.findings import Severity, define

NO_HOURS = define(
    "demand.survey-without-hours",
    Severity.LOOK,
    says="No hours are written for some loads of the survey ({count:count}), so nothing they use is counted: {names:text}.",
    why="What they use stays among the unexplained.",
    do="Write when each runs and at what duty, as hours of the load.",
    source="",
)
UNEXPLAINED = define(
    "demand.survey-unexplained",
    Severity.LOOK,
    says="The survey explains {explained:percent} of the energy; {unexplained:energy} are unexplained, most of it on {day:text}s "
    "between {begins:text} and {ends:text}: {power:power} there in the mean.",
    why="Something is missing from the survey, or runs longer than written.",
    do="Look on site for what is on at that time.",
    source="",
)
OVER = define(
    "demand.survey-over-explained",
    Severity.LOOK,
    says="In some hours the survey adds up to more than was measured: {over:energy} too much, {share:percent} of the energy.",
    why="A rating, a quantity or hours are written too high.",
    do="Look first at the loads that are named below, then at the longest hours.",
    source="",
)
WRONG_RATING = define(
    "demand.survey-rating",
    Severity.LOOK,
    says="The record fits the survey best if {name:text} drew {factor:number} times what is written: {better:percent} of the "
    "misfit goes. Nearly as likely: {beside:text}.",
    why="A rating, a quantity or a duty is wrong; a factor of two is a mistake often made.",
    do="Read its plate again, count the pieces, and see how long it really runs.",
    source="least squares over all hours; the factors tried, 2 and one half: common practice, no source",
)
TOGETHER = define(
    "demand.survey-not-told-apart",
    Severity.NOTE,
    says="The record cannot tell what some loads draw (loads: {count:count}), as they run at the same hours as others, or hardly "
    "at all: {names:text}.",
    why="Only their sum shows.",
    do="Meter one of them for a week.",
    source="",
)
