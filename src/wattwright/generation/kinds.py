"""The kinds of finding about what generates."""

from wattwright.core.findings import Severity, define

NO_LENGTH = define(
    "generation.no-length",
    Severity.STOP,
    says="No number of modules in series fits: at most {most:count} by cold voltage, at least {least:count} by hot voltage.",
    why="Too many harm the inverter on a cold morning; too few drop out of its window on a hot day.",
    do="Choose another inverter or another module.",
    source="IEC 62548 and NEC 690.7 for the cold voltage; common practice for the hot one",
)
STRING_FAILS = define(
    "generation.string-fails",
    Severity.STOP,
    says="{what:text}: {found:number} {unit:text}, and must be {bound:text} {limit:number} {unit:text} ({clause:text}).",
    why="Beyond its limit equipment is harmed, or may burn.",
    do="Change the strings or the equipment. A licensed person must check it by the local code before it is built.",
    source="the clause it names",
)
OUTSIDE_WINDOW = define(
    "generation.outside-window",
    Severity.LOOK,
    says="{what:text}: {found:number} {unit:text}, and {limit:number} {unit:text} is taken or usual.",
    why="Nothing is harmed, but the inverter does not reach the most the modules could give.",
    do="Look whether the loss matters here.",
    source="common practice, no source",
)
