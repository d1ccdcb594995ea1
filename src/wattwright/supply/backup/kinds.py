"""The kinds of finding about outages."""

from wattwright.core.findings import Severity, define

NOTHING_CARRIES = define(
    "supply.backup-nothing",
    Severity.LOOK,
    says="Nothing carries this site in an outage.",
    why="PV and batteries beside the grid switch off with it.",
    do="Quote an inverter that carries the site with a battery, or a generator, where outages matter.",
    source="",
)
TRIPS = define(
    "supply.backup-trips",
    Severity.LOOK,
    says="Under the rules of {name:text} the supply trips in {share:plain}\u202f% of the outages tried, "
    "most often by: {cause:text}.",
    why="A trip in an outage leaves the site dark though there is energy left.",
    do="Shed what is heavy before the inverter's rating is reached, or quote a larger inverter.",
    source="",
)
SHORT = define(
    "supply.backup-short",
    Severity.LOOK,
    says="Under the rules of {name:text} {share:plain}\u202f% of the outages tried are carried {target:duration} "
    "from the reserve.",
    why="The others end dark before that.",
    do="Set the reserve higher, let less run in an outage, or quote more.",
    source="",
)
RESERVE = define(
    "supply.backup-reserve",
    Severity.NOTE,
    says="A reserve of {needed:plain}\u202f% carries every outage tried for {target:duration} under the rules of {name:text}.",
    why="It is the deepest fall of the battery, its floor counted in, from full.",
    do="Set it where outages matter more than own use; look at it again after a year.",
    source="",
)
NOT_EVEN_FULL = define(
    "supply.backup-not-even-full",
    Severity.LOOK,
    says="Not even a full battery carries every outage for {target:duration} under the rules of {name:text}.",
    why="Demand in an outage passes what battery and inverter can give.",
    do="Let less run in an outage, or quote more.",
    source="",
)
SEASONS = define(
    "supply.backup-seasons",
    Severity.LOOK,
    says="The record holds no whole days of {seasons:text}: outages of that time were not tried.",
    why="Demand differs from season to season, and hours lost in a year then rest on those that are there.",
    do="Look at the story again when the record is longer.",
    source="",
)
NO_RATE = define(
    "supply.backup-no-rate",
    Severity.NOTE,
    says="Nobody said how often the grid goes, so hours lost in a year are not worked out.",
    why="No rate is guessed.",
    do="Ask the grid operator or the people there, and enter it under [outage_rate].",
    source="",
)
ENDLESS_FUEL = define(
    "supply.backup-fuel",
    Severity.NOTE,
    says="A generator is taken to have fuel for as long as it runs.",
    why="Its tank is not in the survey.",
    do="Hold the run of the longest outage against the tank.",
    source="",
)
