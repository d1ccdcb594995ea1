"""The kinds of finding about peaks behind means, with their sentences."""

from wattwright.core.findings import Severity, define

_CONFORMAL = "split and cross-conformal prediction with each day left out in turn; like intervals by nearest neighbours"
_SUPPOSED = "alternating renewal processes with usual times on; common practice, no source"

TOO_COARSE = define(
    "demand.peaks-too-coarse",
    Severity.LOOK,
    says="The record holds means over {step:duration}. Nothing can be told of the peaks behind them; that takes steps of "
    "{longest:duration} or less.",
    why="Within so long a time a site may do anything.",
    do="Ask the utility for hourly or quarter-hourly readings, or log a week at one minute.",
    source="common practice, no source",
)
BY_STRETCH = define(
    "demand.peaks-by-stretch",
    Severity.NOTE,
    says="What lies inside the intervals is told from {name:text}: {days:count} days read every {step:duration}. Tried on "
    "days left out of it in turn, the bands of intervals hold in {nominal:percent} of these; those of days hold in "
    "{share:percent} or more of new days like them.",
    why="A day unlike those of the finer readings, such as one of another season, is not covered by that.",
    do="Log another week in the season that is missing.",
    source=_CONFORMAL,
)
FEW_DAYS = define(
    "demand.peaks-few-days",
    Severity.LOOK,
    says="The finer readings hold {days:count} whole days. With so few, the bands of days hold {share:percent} of days like "
    "these, not {nominal:percent}.",
    why="Nineteen days are the fewest from which nine in ten can be promised.",
    do="Log for three weeks at one minute.",
    source=_CONFORMAL,
)
UNLIKE = define(
    "demand.peaks-unlike",
    Severity.LOOK,
    says="{share:percent} of the intervals are unlike any in the finer readings. Their bands were widened to what loads "
    "alone allow.",
    why="The finer readings say nothing about them.",
    do="Log a week at one minute when the site is used in that way.",
    source=_SUPPOSED,
)
UNLIKE_DAYS = define(
    "demand.peaks-unlike-days",
    Severity.LOOK,
    says="{share:percent} of the days use less or more energy than any day of the finer readings. Their bands rest as much on "
    "what such days may be as on days left out, and no share of them is promised.",
    why="Another season or another use: loads run together that did not, or no longer do.",
    do="Log a week at one minute in that season.",
    source="of exchangeable days 2 in n + 1 lie beyond n others; more than twice as many, or than one in five: common practice, "
    "no source",
)
OTHER_SIZE = define(
    "demand.peaks-other-size",
    Severity.STOP,
    says="The middle of {name:text} is {ratio:number} times that of the record. Nothing was told from it.",
    why="So far apart lie units taken for one another, W for kW say, a clamp turned round, or other supplies.",
    do="Look at the unit of the finer readings and where they were taken, and give them again.",
    source="twenty times, either way, or the other sign: common practice, no source",
)
OTHER_SUPPLY = define(
    "demand.peaks-other-supply",
    Severity.STOP,
    says="Where {name:text} and the record cover the same {count:count} intervals, the finer readings are {ratio:number} times "
    "the record's in the middle. Nothing was told from them.",
    why="Two meters of one supply do not differ by a quarter: one of them has another ratio or unit, or measures something else.",
    do="Check that both were clamped at the same place, with the same transformer ratio, and give the finer readings again.",
    source="a quarter: common practice, no source",
)
DISAGREES = define(
    "demand.peaks-disagree",
    Severity.LOOK,
    says="Where {name:text} and the record cover the same {count:count} intervals, their means agree within 2 % in only "
    "{share:percent} of them; the finer ones are {ratio:number} times the record's in the middle.",
    why="Then they do not measure the same supply, or one of them is wrong, and the bands are too.",
    do="Check that both were clamped at the same place, with the same ratio and clock.",
    source="",
)
BY_SURVEY = define(
    "demand.peaks-by-survey",
    Severity.LOOK,
    says="No readings of one minute calibrate these bands: they rest on the ratings of {count:count} loads of the survey and on "
    "how long such loads usually stay on.",
    why="They are wider for that, and no share of days can be promised. On the open record tried they held more "
    "than 85 %, on invented cold stores less.",
    do="Log a week at one minute and name it as the finer readings.",
    source=_SUPPOSED,
)
BY_USUAL = define(
    "demand.peaks-by-usual",
    Severity.LOOK,
    says="Neither readings of one minute nor a survey tell what lies inside the intervals: these bands rest on the usual loads "
    "of a home, or on loads of usual share where a site is larger.",
    why="They are wide for that, and no share of days can be promised: a site with other loads, such as motors, has other peaks.",
    do="List the loads with their ratings in the survey, or log a week at one minute.",
    source=_SUPPOSED,
)
GIVES_BACK = define(
    "demand.peaks-net",
    Severity.LOOK,
    says="The site gives power back in {share:percent} of the intervals, and no finer readings show how its generation swings.",
    why="A cloud can take generation away within a minute; loads alone do not show such peaks.",
    do="Meter the generation apart, or log a week at one minute.",
    source="common practice, no source",
)
OVER_CEILING = define(
    "demand.peaks-over-ceiling",
    Severity.LOOK,
    says="A reading of {highest:power} lies above what the whole survey adds up to at the highest voltage, with "
    "{allowance:power} allowed for what was not listed: {ceiling:power}.",
    why="Something large is missing from the survey, or a rating is wrong; nothing was capped by it.",
    do="Look on site for the load that is missing.",
    source="voltage at most 10 % above nominal: EN 50160; the allowance: common practice, no source",
)
MAY_PASS = define(
    "demand.peaks-pass-limit",
    Severity.LOOK,
    says="{limit:power} may be passed for {low:number} to {high:number} minutes in the record, at most {longest:number} minutes "
    "at a time. The highest mean is {mean:power}.",
    why="What trips a supply or an inverter need not show in the means.",
    do="Hold this against the time that the protection or the inverter withstands.",
    source="",
)
