"""The kinds of finding about loads, with their sentences."""

from wattwright.core.findings import Severity, define

HEATER_LUKEWARM = define(
    "loads.heater-lukewarm",
    Severity.LOOK,
    says="The heater keeps its water at {set:temperature}, and nothing raises it to 60 °C from time to time.",
    why="Legionella live and grow in stored water between 25 and 45 °C and only die quickly at 60 °C and above.",
    do="Set it to 60 °C or more, or heat it through regularly as the rules for these premises ask; shared buildings need a "
    "competent person.",
    source="HSE HSG274 Part 2 (2014): store at 60 °C or above; WHO 2007 for growth and death, by way of other pages",
)
SCALD = define(
    "loads.scald",
    Severity.STOP,
    says="Water of {hottest:temperature} can reach the tap, and no mixing valve is entered.",
    why="Water of 60 °C burns the skin of a grown person within 3 to 5 s, that of children and old people sooner.",
    do="Have a licensed plumber fit a thermostatic mixing valve, or enter the one that is there. Do not lower the store instead.",
    source="burn times after Moritz and Henriques, as relayed on a plumbing-safety page",
)
HEATER_LIMIT = define(
    "loads.heater-limit",
    Severity.LOOK,
    says="The set point of {set:temperature} lies above the heater's own limit of {limit:temperature}.",
    why="The heater stops at its own limit, so the set point is never reached.",
    do="Read both from the heater, and enter a set point at or below the limit. Never change a safety cut-out.",
    source="",
)
HEATER_FALLS_SHORT = define(
    "loads.heater-falls-short",
    Severity.LOOK,
    says="The heater begins only at {begins:temperature}, and the water is used at {use:temperature}.",
    why="Before the element comes on, the water is already too cold.",
    do="Look at the thermostat's set point and differential.",
    source="",
)
SHORT_CYCLE = define(
    "loads.short-cycle",
    Severity.LOOK,
    says="With a differential of {differential:plain} K it would start up to {rate:number} times an hour.",
    why="Compressors and motors wear and overheat when they start more than about {most:plain} times an hour.",
    do="Set a differential of {needed:number} K or more, or a shortest rest of several minutes, as its maker allows.",
    source="rate 4 N X (1 - X) with N = Q / (4 C D), exact for a small differential; starts an hour: common practice, no source",
)
NO_REST = define(
    "loads.no-rest",
    Severity.LOOK,
    says="The compressor's shortest rest is {rest:duration}.",
    why="A compressor that starts against full pressure may stall and burn out.",
    do="Ask the maker; 3 to 5 min are usual. Any switching from outside must keep that rest too.",
    source="common practice, no source",
)
FREEZER_WARM = define(
    "loads.freezer-warm",
    Severity.STOP,
    says="The freezer's goods may reach {warmest:temperature} by these settings.",
    why="Quick-frozen food is kept at −18 °C or colder throughout.",
    do="Set thermostat and limit so that the goods stay at −18 °C or colder, and keep the alarm on; local food rules decide.",
    source="Codex Alimentarius CAC/RCP 8-1976 (rev. 2008), from excerpts",
)
STORE_OVER_LIMIT = define(
    "loads.store-over-limit",
    Severity.STOP,
    says="The compressor begins only at {begins:temperature}; the goods may be no warmer than {limit:temperature}.",
    why="The thermostat alone already lets the air pass the limit of the goods.",
    do="Lower the set point or the differential; local food rules decide what the goods bear.",
    source="",
)
TURNOVER_SLOW = define(
    "loads.turnover-slow",
    Severity.LOOK,
    says="The pump takes {turnover:duration} for the whole pool.",
    why="Pools of homes are laid out for 6 to 8 h; slower, and water stays unfiltered too long in the season.",
    do="Look at speed, filter and entered flow. What bathers, heat and rules ask for goes before saving energy.",
    source="data page of a pool builder: 6 h, 8 h also common",
)
TURNOVER_NEVER = define(
    "loads.turnover-never",
    Severity.STOP,
    says="{wanted:plain} turnovers a day take {needs:number} h of pumping.",
    why="A day has 24 h, so the pool is never filtered as wanted.",
    do="Raise the speed or lower the turnovers.",
    source="",
)
POOL_CHEMICALS = define(
    "loads.pool-chemicals",
    Severity.NOTE,
    says="The pump also carries the chlorine of {volume:plain} m³ of water.",
    why="Chlorine that is dosed without flow collects and can gas or burn; water that stands loses its chlorine.",
    do="Dose only while water flows (interlock), and in the season let no more than a day pass without a run.",
    source="free chlorine 1 to 3 mg/l, dosing only with flow: WHO 2006 and CDC, from memory",
)
IRRIGATES_LATE = define(
    "loads.irrigates-late",
    Severity.LOOK,
    says="The sensor begins at {begins:plain} mm, and the crop suffers beyond {readily:number} mm.",
    why="Past the readily available water a crop takes up less and yields less.",
    do="Begin at or below that, unless the crop is meant to dry.",
    source="FAO Irrigation and Drainage Paper 56, chapter 8",
)
RUNS_OFF = define(
    "loads.runs-off",
    Severity.LOOK,
    says="Watering brings {rate:number} mm an hour; the soil takes {takes:plain}.",
    why="What the soil does not take runs off or stands.",
    do="Water in several short turns, or through smaller nozzles.",
    source="rates that soils take: FAO irrigation training manuals, from memory",
)
DAMP = define(
    "loads.damp",
    Severity.LOOK,
    says="By these settings the air may stay at {humidity:percent}.",
    why="Where the air at a surface stays at 80 % for some days mould grows, and cold walls are damper than the air.",
    do="Set hygrostat and limit lower; 60 % are usual where walls are cold.",
    source="EN ISO 13788",
)
GREENHOUSE_LATE = define(
    "loads.greenhouse-late",
    Severity.LOOK,
    says="The heater begins at {begins:temperature}; the plants bear no less than {low:temperature}.",
    why="They are too cold before the heater comes on.",
    do="Raise the heater's set point over what the plants bear.",
    source="",
)
GREENHOUSE_AGAINST = define(
    "loads.greenhouse-against",
    Severity.LOOK,
    says="The vents open from {vents:temperature} while the heater ceases at {ceases:temperature}.",
    why="Heating with open vents heats the outdoors.",
    do="Let the vents open some kelvin above where the heater ceases.",
    source="",
)
