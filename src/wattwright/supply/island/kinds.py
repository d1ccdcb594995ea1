"""The kinds of finding about running without the grid."""

from wattwright.core.findings import Severity, define

NOTHING_ENDS = define(
    "supply.island-nothing-ends",
    Severity.STOP,
    says="While the {feed:text} feeds the site, nothing ends a {fault:text} in time on {count:count} circuits: {loads:text}.",
    why="It gives too little current to trip their protection at once, and does not shut itself off in time.",
    do="Have a licensed person change it: protection that trips at this current, an RCD, a source that gives more or shuts off "
    "sooner, or supplementary bonding. Until then these circuits stay off in an outage.",
    source="IEC 60364-4-41, 411.3.2; IEC 60364-4-43, 434.5.2; NEC 250.4(A)(5); from memory",
)
SOURCE_ENDS = define(
    "supply.island-source-ends",
    Severity.LOOK,
    says="While the {feed:text} feeds the site, only the {feed:text} itself ends a {fault:text} on {count:count} circuits: "
    "{loads:text}.",
    why="No breaker trips: the whole site goes dark for a fault on one circuit, and nobody sees on which.",
    do="After such a shut-down open all circuits, and have a licensed person close them again one by one.",
    source="IEC 60364-5-55, 551.4; from memory",
)
FAULTS_OPEN = define(
    "supply.island-faults-open",
    Severity.LOOK,
    says="Whether faults are ended while the {feed:text} feeds the site is not known on {count:count} circuits: {lacks:text}.",
    why="An inverter may give so little into a fault that no breaker trips.",
    do="Ask for these on its data sheet and by measurement, and enter them under [island]; nothing is guessed.",
    source="IEC 60364-5-55, 551.4 and 551.5; from memory",
)
NO_BOND = define(
    "supply.island-no-bond",
    Severity.STOP,
    says="While the {feeds:text} feeds the site, its neutral is bonded to earth nowhere.",
    why="A first fault to earth draws no current: no RCD and no breaker sees it, and the lines float.",
    do="Have a licensed person make one bond at the source, that is there only while it feeds the site.",
    source="IEC 60364-5-55, 551.4.3; NEC 250.20(D), 250.30; from memory",
)
TWO_BONDS = define(
    "supply.island-two-bonds",
    Severity.STOP,
    says="While the {feeds:text} feeds the site, its neutral is bonded to earth {count:count} times: {places:text}.",
    why="Part of the neutral's current then flows through protective conductors and pipes; RCDs trip for nothing or not at all.",
    do="Have a licensed person leave exactly one: let the changeover open the neutral too, or take the other bond away.",
    source="IEC 60364-5-55, 551.6.2; NEC 250.24(A)(5), 250.30; from memory",
)
NETWORK_BOND = define(
    "supply.island-network-bond",
    Severity.STOP,
    says="While the {feeds:text} feeds the site, the only bond of its neutral is that of the network.",
    why="Without the grid nobody can be sure that the network's conductors are still joined and earthed.",
    do="Have a licensed person open the neutral with the lines, and make one bond and an electrode of the site's own.",
    source="IEC 60364-5-55, 551.4.3; from memory",
)
FAILS = define(
    "supply.island-fails",
    Severity.STOP,
    says="{what:text}: {found:text} ({of:text}).",
    why="Own sources keep conductors live that people take for dead, here and in the network.",
    do="Do not run without the grid until a licensed person has mended it; it stands in {clause:text}.",
    source="the clause it names, from memory",
)
GUARDS_NOTHING = define(
    "supply.island-guards-nothing",
    Severity.LOOK,
    says="An overcurrent device is named under [[island.protection]] for the feeder of the {source:text}, which the job lacks.",
    why="It is drawn nowhere and checked by nothing: perhaps another source is meant, or one is missing in the job.",
    do="Name the source that it guards, or enter the missing one in the job.",
    source="",
)
OPEN = define(
    "supply.island-open",
    Severity.LOOK,
    says="{count:count} questions about running without the grid are open.",
    why="What nobody answered is not checked, and nothing is guessed.",
    do="Answer them in the table [island] of the job, from data sheets, plates, measurement and the grid operator.",
    source="",
)
