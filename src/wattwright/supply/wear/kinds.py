"""The kinds of finding about how batteries age."""

from wattwright.core.findings import Severity, define

USUAL = define(
    "supply.wear-usual",
    Severity.LOOK,
    says="Usual values of {chemistry:text} batteries stand in for what no data sheet said: {what:text}.",
    why="Cycle lives on data sheets differ threefold within one chemistry.",
    do="Read cycles by depth and the life at rest from the data sheet of the battery that is quoted.",
    source="common practice, no source",
)
SHORT = define(
    "supply.wear-short-course",
    Severity.LOOK,
    says="The course of charge is {days:plain} days long, and was taken for every day of the year.",
    why="Where there is PV a battery works otherwise in summer than in winter.",
    do="Take the course of a simulated year.",
    source="",
)
OTHER_CELL = define(
    "supply.wear-other-cell",
    Severity.NOTE,
    says="The model was fitted to cells of lithium manganese oxide: at 25 degC and half full they lose 17 % in ten years.",
    why="Cells of another chemistry or make age at another pace; the shape holds better than the years.",
    do="Hold the years against the warranty of the battery that is quoted.",
    source="Xu et al. 2018, IEEE Transactions on Smart Grid 9, 1131",
)
RESTS = define(
    "supply.wear-rests",
    Severity.NOTE,
    says="The battery is worn out by time, after {rest:number} years; its cycles alone would take {cycles:number} years.",
    why="What it could give more by then costs nothing.",
    do="See whether it could earn by more cycles, or whether a cooler place makes it last longer.",
    source="",
)
SOON = define(
    "supply.wear-soon",
    Severity.LOOK,
    says="The battery is worn out after {life:number} years.",
    why="It must be bought again several times within the life of what it belongs to.",
    do="Take a larger battery, so that each cycle is less deep, one that bears more cycles, or a cooler place.",
    source="under five years: common practice, no source",
)
