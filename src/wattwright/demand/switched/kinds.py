"""The kinds of finding about loads that were found in a record."""

from wattwright.core.findings import Severity, define

LIMIT = define(
    "demand.switched-limit",
    Severity.NOTE,
    says="In steps of {step:duration} no load below {least:power} was looked for, and none that runs for less than "
    "{shortest:duration} can be told apart from others.",
    why="A smaller step drowns in the other changes of the site, and a shorter run is blurred by the mean over its interval.",
    do="Log at one minute or less, or meter the load itself, to see more.",
    source="steps from three standard deviations of the noise: common practice, no source",
)
LONG_STEP = define(
    "demand.switched-long-step",
    Severity.LOOK,
    says="In steps of {step:duration} single switchings cannot be seen. Loads were sought by edges at the same time of every day "
    "and by levels at which the site stays, so their days and energies are estimates and their runs are not told. Beside "
    "heating or cooling whose power glides, a load of any size may be missed, and one that is found may be told too high.",
    why="A mean over a long interval hides when within it a load ran; only loads that run for hours leave their level, and "
    "heating that glides fills the gap between that level and the base.",
    do="Log a week at one minute and hold the loads found there against these.",
    source="",
)
ALIKE = define(
    "demand.switched-alike",
    Severity.LOOK,
    says="Loads of {first:power} and {second:power} were found, which are too close to be told apart surely.",
    why="Two loads of like power leave like steps: runs of one may be counted for the other, and each may be several appliances.",
    do="Switch them one by one on site and see which step is whose, before you enter either in the survey.",
    source="",
)
LIKE_SIZE = define(
    "demand.switched-like-size",
    Severity.NOTE,
    says="Of the time that the load of {level:power} is taken to be on, {share:percent} is in doubt: another appliance of "
    "like size may have run instead.",
    why="An appliance within some 4 % of its power leaves the same steps, and only the hour of the day tells the two apart.",
    do="Look at its runs at unusual hours, or meter the load itself for a week.",
    source="",
)
NONE = define(
    "demand.switched-none",
    Severity.NOTE,
    says="No load that switches stands out from the record.",
    why="Either none does, or their steps come too seldom, differ too much or are lost among others.",
    do="Log at one minute or less, or meter the loads that matter.",
    source="",
)
