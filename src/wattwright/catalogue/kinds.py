"""The kinds of finding about what gear can be set to."""

from wattwright.core.findings import Severity, define

CANNOT = define(
    "catalogue.cannot",
    Severity.STOP,
    says="{gear:text} cannot work a {what:text}.",
    why="The rule would not run on it.",
    do="Choose another class of gear, or another rule.",
    source="",
)
CANNOT_HOLD = define(
    "catalogue.cannot-hold",
    Severity.LOOK,
    says="{gear:text} cannot hold {what:text} at {wanted:plain} {unit:text}; the nearest it can is {nearest:plain}.",
    why="What runs will not be what was planned.",
    do="Plan with the nearest value, or choose another class of gear.",
    source="",
)
TOO_MANY = define(
    "catalogue.too-many",
    Severity.STOP,
    says="{gear:text} takes {most:count} {what:text}; {wanted:count} are needed.",
    why="The rest would not run.",
    do="Join some, use a second one, or choose another class of gear.",
    source="",
)
TOO_QUICK = define(
    "catalogue.too-quick",
    Severity.LOOK,
    says="The plan counts on {what:text} of {wanted:duration}; {gear:text} needs {least:duration}.",
    why="It would act later than planned, and an inverter may have tripped by then.",
    do="Plan with the time the gear needs.",
    source="",
)
