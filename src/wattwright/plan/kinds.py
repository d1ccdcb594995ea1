"""The kinds of finding about a plan."""

from wattwright.core.findings import Severity, define

NOTHING_PAYS = define(
    "plan.nothing-pays",
    Severity.NOTE,
    says="Nothing that was tried is worth switching: {tried:count} plans, and at most {most:number} {unit:text} could be saved "
    "at all.",
    why="The bound knows the future; real rules do not.",
    do="Leave the loads as they are, or look at another tariff or another objective.",
    source="",
)
NOT_HELD_OUT = define(
    "plan.not-held-out",
    Severity.LOOK,
    says="No weeks were held back from the search: the saving is that of the very days it was fitted to.",
    why="Under six weeks there are too few to hold any back, and so are outages. Rules fitted to some days may not suit others.",
    do="Log at least six weeks, better a year; of outages, count on less than what is told here.",
    source="",
)
HELD_OUT_LOSS = define(
    "plan.held-out-loss",
    Severity.LOOK,
    says="On weeks the search did not see, {lost:percent} of the saving is lost.",
    why="The rules are fitted to particular weeks.",
    do="Count on the saving of the weeks not seen, or choose a simpler option.",
    source="",
)
FAR_FROM_BOUND = define(
    "plan.far-from-bound",
    Severity.NOTE,
    says="The best plan saves {saving:number} {unit:text} of at most {most:number} {unit:text}: {reached:percent}.",
    why="Nobody knows the future; rules hold every day of their kind alike, and comfort is kept.",
    do="Search longer, allow more controllers, or accept it: the bound is what no rule can pass, not what one can reach.",
    source="",
)
NOT_SURE = define(
    "plan.not-sure",
    Severity.LOOK,
    says="With weeks of the record drawn anew, the saving lies between {low:number} and {high:number} {unit:text}.",
    why="With some of them nothing is saved.",
    do="Tell the client the band and not the mean alone.",
    source="",
)
NOT_KEPT = define(
    "plan.not-kept",
    Severity.LOOK,
    says="With {change:text} the plan no longer keeps comfort or its other limits.",
    why="Use and weather differ from year to year.",
    do="Leave more margin in the times or thresholds, and tell the client how to override by hand.",
    source="",
)
CUT_SHORT = define(
    "plan.cut-short",
    Severity.NOTE,
    says="The search ended after {tried:count} plans, before it ceased to find better ones.",
    why="The time or the number of plans allowed was used up.",
    do="Allow more with --plans, or more time with --budget.",
    source="",
)
NOT_A_YEAR = define(
    "plan.not-a-year",
    Severity.LOOK,
    says="Costs and savings are of these {days:count} days, which are no year; what is called annual is raised by days alone.",
    why="Use, weather and prices of other months may be others.",
    do="Tell the client for which days they are; log a whole year before money is spent on them.",
    source="",
)
LUKEWARM = define(
    "plan.lukewarm",
    Severity.LOOK,
    says="An option keeps the water of {load:text} at no more than {set:temperature}.",
    why="Legionella live and grow in stored water between 25 and 45 °C and only die quickly at 60 °C and above.",
    do="Leave the rule out, or heat the store through regularly as the rules for these premises ask; shared buildings need a "
    "competent person.",
    source="HSE HSG274 Part 2 (2014): store at 60 °C or above; WHO 2007 for growth and death, by way of other pages",
)
