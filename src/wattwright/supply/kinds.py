"""The kinds of finding about what is to be quoted."""

from wattwright.core.findings import Severity, define

LOSES = define(
    "supply.loses",
    Severity.LOOK,
    says="At a {terms:text} rate of {rate:plain}\u202f% a year the investment loses {lost:number} {currency:text} "
    "of today's money.",
    why="The same money would earn more elsewhere.",
    do="Do not quote it as a saving. It may still be worth it for other reasons, such as power in an outage: say which.",
    source="ASTM E1074, from memory",
)
NEVER_BACK = define(
    "supply.never-back",
    Severity.LOOK,
    says="What was paid does not come back for good within {years:count} years.",
    why="Later replacements may eat up what came back.",
    do="Look at the flows year by year, and at the lives of the parts.",
    source="ASTM E1121, from memory",
)
NO_YIELD = define(
    "supply.no-yield",
    Severity.LOOK,
    says="It gives {given:energy} in the first year: no cost of its energy is told.",
    why="What is paid, shared among next to no energy, says nothing.",
    do="Look at sun, slope, shade and size of the PV, and at what is spilled, before it is quoted.",
    source="under 1 kWh a year: common practice, no source",
)
NO_RATE = define(
    "supply.no-rate",
    Severity.NOTE,
    says="There is no internal rate of return.",
    why="At no discount rate do the flows add up to nought: they are all gains, all losses, or never balance.",
    do="Decide by the net present value.",
    source="",
)
SEVERAL_RATES = define(
    "supply.several-rates",
    Severity.LOOK,
    says="There are {count:count} internal rates of return, {low:plain} to {high:plain}\u202f%: none of them says what it earns.",
    why="The flows change their sign more than once, for example by a replacement.",
    do="Decide by the net present value, and quote no internal rate of return.",
    source="",
)
