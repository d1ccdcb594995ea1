"""The kinds of finding about a job and its simulation, with their sentences."""

from wattwright.core.findings import Severity, define

NO_WEATHER = define(
    "job.no-weather",
    Severity.LOOK,
    says="The weather moves {loads:text}, and the job names no weather file: the air is taken to stay at {air:temperature}, "
    "without sun or rain.",
    why="What they draw follows the seasons.",
    do="Name a file under [weather], a year for the place.",
    source="",
)
WEATHER_LACKS = define(
    "job.weather-lacks",
    Severity.NOTE,
    says="The weather file lacks {elements:text}: taken as none, and as {air:temperature} where the air's own is missing.",
    why="Loads in the open or watering by the soil depend on it.",
    do="Use a fuller file if such a load matters.",
    source="",
)
SURVEY_SHORT = define(
    "job.survey-short",
    Severity.LOOK,
    says="The highest reading is {highest:power}, and all loads of the survey together are rated for {rated:power}: it does not "
    "hold all that runs, and peaks are told as if there were no survey.",
    why="Demand may rise by whatever is missing: a survey that the readings contradict is no ceiling for it.",
    do="Look on site for what is missing, and list it with its rating.",
    source="",
)
NO_TEMPERATURE = define(
    "job.no-temperature",
    Severity.LOOK,
    says="The weather file {file:text} holds no outdoor temperature: that of another source is taken for the time after.",
    why="The frozen model follows the temperature, and two sources of it may lie a degree apart.",
    do="Name a file that has a temperature, or none.",
    source="",
)
NO_TARIFF = define(
    "job.no-tariff-frozen",
    Severity.NOTE,
    says="No tariff was frozen with the promise, and the job has none: what was saved in money and what the highest hour fell "
    "by are left open.",
    why="Both are told by billing each hour as it was and as it would have been.",
    do="Name a tariff file in the job.",
    source="",
)
ADJUSTS_NOTHING = define(
    "job.adjusts-nothing",
    Severity.LOOK,
    says="The adjustment from {first:text} until {until:text} ({why:text}) touches no day that was read after the measures: "
    "it changes nothing.",
    why="An agreement that is not applied may be one with a day or a year miswritten.",
    do="Hold its days against the agreement, and against those of the record.",
    source="",
)
OTHER_LEVEL = define(
    "job.other-level",
    Severity.LOOK,
    says="When it runs, {load:text} draws {level:power}, {share:percent} of the {rating:power} that it was planned with.",
    why="Its own meter sees it: it was replaced, a part of it has failed, or the plate was misread.",
    do="Read the plate and write it into the survey. Where it is more, have a licensed person hold switch, cable and breaker "
    "against it.",
    source="common practice, no source",
)
PERIOD_MOVED = define(
    "job.period-moved",
    Severity.NOTE,
    says="In the hours of the price period {period:text} {energy:energy} a week {way:text} is used than in like hours before "
    "(of {expected:energy}, standard error {error:energy}).",
    why="Rules by the clock are to move use between prices. Which load did it is not in the record.",
    do="Hold it against the plan: use is to fall where the price is high.",
    source="common practice, no source",
)
PERIODS_UNTOLD = define(
    "job.periods-untold",
    Severity.NOTE,
    says="Whether use moved between the price periods {periods:text} cannot be told: less than {least:energy} a week is lost in "
    "the scatter.",
    why="Weeks differ by more than that, before and after.",
    do="Wait for more weeks, or log the planned loads by themselves.",
    source="common practice, no source",
)
REST_MOVED = define(
    "job.rest-moved",
    Severity.LOOK,
    says="The loads ran at other times than their models do: {share:percent} of their energy was taken from other steps of "
    "the same day.",
    why="The rest of the site may have lost a peak of its own, or kept one that was a modelled load's.",
    do="Do not read peaks of the rest from this run; fit the model to the record, or log the load by itself.",
    source="common practice, no source",
)
REST_SHORT = define(
    "job.rest-short",
    Severity.LOOK,
    says="The models draw {energy:energy} more than the record holds on the days shown.",
    why="A rating, a use or a rule of today is not as written: the model cannot be of this site.",
    do="Check ratings, draws and the rules of today against the record.",
    source="",
)
BACKUP_UNTOLD = define(
    "job.backup-untold",
    Severity.LOOK,
    says="What becomes of an outage is not told: found {found:text}; expected {wanted:text}.",
    why="The story is simulated, and this job cannot be simulated as it stands.",
    do="{step:text}.",
    source="",
)
BACKUP_BESIDE = define(
    "job.backup-beside",
    Severity.LOOK,
    says="PV that is measured gives nothing in the outages tried: its inverter is taken to switch off with the grid.",
    why="Its readings tell what it gives beside the grid, and not whether anything lets it run without.",
    do="Ask whoever put it up; where it goes on, the supply holds longer by day than is told here.",
    source="",
)
EXPORT_CUT = define(
    "job.export-cut",
    Severity.STOP,
    says="The record gives {energy:energy} back, up to {highest:power}, on these days and the one before them: there the rest of "
    "the site is taken at nought.",
    why="What the site generates today cannot be told from what it uses: its use under the sun is reckoned too low, and what it "
    "gives back is left out of peaks and bill.",
    do="Meter the generation too and name its meter under [[pv]], or choose days on which nothing is given back.",
    source="",
)
STRETCH = define(
    "job.longest-stretch",
    Severity.LOOK,
    says="Readings are missing: sizes rest on the longest stretch of days without a gap, {first:text} to {last:text}, "
    "{taken:count} of {of:count} days.",
    why="What is not read cannot be simulated, and no long gap is invented.",
    do='Write gaps = "estimate" under [repair] to have short gaps filled, or choose the days with --from and --to.',
    source="",
)
LEFT_ALONE = define(
    "job.left-alone",
    Severity.LOOK,
    says="Today's rules switch {loads:text}, those tried do not: fed all the time.",
    why="Rules to try stand in place of all of today's, not beside them.",
    do="Copy today's rule for it into the rules to try, if it is to stay.",
    source="",
)
COARSE = define(
    "job.coarse",
    Severity.LOOK,
    says="The rest of the site comes from means over {step:duration}: within them it is held constant.",
    why="Shorter peaks of the rest are missing, so a limit may be passed more often than shown.",
    do="Log at one minute before you rely on a limit being kept.",
    source="common practice, no source",
)
UNKNOWN_PHASE = define(
    "job.unknown-phase",
    Severity.LOOK,
    says="The conductor of {loads:text} is not known: they are taken to be on {phase:text}, where that is worst.",
    why="Currents and the supply's limit depend on it.",
    do="Look at the distribution board, and write phase in the job.",
    source="",
)
EVENLY = define(
    "job.evenly",
    Severity.LOOK,
    says="The record does not tell the conductors apart: the rest of the site is spread evenly over {count:count}.",
    why="A single busy conductor carries more, and its fuse goes first.",
    do="Log each conductor by itself before you rely on a current.",
    source="",
)
NOT_REACTIVE = define(
    "job.power-factor",
    Severity.NOTE,
    says="Neither reactive power nor current was measured: the rest of the site is taken at a power factor of {factor:number}.",
    why="Currents and kVA depend on it.",
    do="Write power_factor under [supply], or log current and voltage too.",
    source="common practice, no source",
)
NO_BILL = define(
    "job.no-bill-simulated",
    Severity.NOTE,
    says="What was simulated cannot be billed under {tariff:text} ({lacks:text}).",
    why="The bill needs more than the power through the connection.",
    do="Hold the plan against another tariff, or leave out money here.",
    source="",
)
OUTSIDE = define(
    "job.outside-folder",
    Severity.NOTE,
    says="{path:text} leads out of the job's folder{link:text}; a copy of the folder will not hold that file.",
    why="Whoever gets the folder could work nothing out again from it.",
    do="If that is not meant, copy the file into the folder and name it there.",
    source="",
)
HEAT_UP_MISSED = define(
    "job.heating-through-missed",
    Severity.LOOK,
    says="The heating-through of {load:text} to {to:temperature} fails {missed:count} of {count:count} times: its thermostat "
    "sees {reached:temperature} at most.",
    why="Legionella live on in water that is not heated through.",
    do="Feed the heater while it is to be heated through, for long enough, and keep the regime of the premises.",
    source="regimes of premises differ; ask who is responsible for the water",
)
HEATER_PROGRAMMED = define(
    "job.heater-programmed",
    Severity.LOOK,
    says='The heater "{load:text}" is switched by "{rule:text}": only its rating and its mean day are fitted.',
    why="Under a programme it heats at set hours whatever was drawn, so its runs do not show hot water, standing loss, "
    "differential and set point.",
    do="Read thermostat and plate on site, or record two weeks with the programme out of action.",
    source="",
)
NOT_FITTED = define(
    "job.not-fitted",
    Severity.LOOK,
    says='The load "{load:text}" is not fitted: {why:text}.',
    why="Its energy stays within the rest of the site.",
    do="Measure it on a channel of its own, and enter what was read on site.",
    source="",
)
STORES_DRAWN = define(
    "job.stores-drawn",
    Severity.LOOK,
    says="Stores end {energy:energy} lower than they began, so these days borrow from those after them.",
    why="What is taken out of a store must be put back: it is no saving.",
    do="Simulate more days, or add what the difference is worth, told beside the cost, before days are held against one another.",
    source="",
)
OVER_LIMIT = define(
    "job.over-limit",
    Severity.LOOK,
    says="The site is above the value at which loads are shed, {limit:power}, for {time:duration}, up to {highest:power} over a "
    "minute.",
    why="What is left has nothing more to shed, or the link to it was away.",
    do="Put more loads into the shed order, or size supply and inverter for what is left. Control is not protection.",
    source="",
)
PART_OF_DAY = define(
    "job.part-of-day",
    Severity.NOTE,
    says="The record holds these days from {first:time} to {last:time} only.",
    why="Energy and bill are those of the part, not of whole days.",
    do="Choose days that the record holds whole.",
    source="",
)
FAR_WEATHER = define(
    "job.far-weather",
    Severity.LOOK,
    says="The weather file is of {place:text}, {distance:count} km away.",
    why="Sun and air there are not those of the site; far east or west even the noon is another.",
    do="Use a file of a place near the site, of like height.",
    source="",
)
SUN_GAPS = define(
    "job.sun-gaps",
    Severity.LOOK,
    says="PV was taken as giving nothing in {missing:count} of {total:count} intervals by day: the weather file lacks them.",
    why="What it gave then is not known; its yield is told too small.",
    do="Take a whole file, such as a typical year of the place.",
    source="common practice, no source",
)
ODD_LIGHT = define(
    "job.odd-light",
    Severity.LOOK,
    says="The weather file puts {light:number} kWh/m2 a year on the level, {share:percent} of a clear sky's.",
    why="No year lies above a clear sky, and hardly one under a quarter of it: units, columns or time zone are likely mistaken.",
    do="Look at the file's units (W/m2), columns, time zone and place, or take another, before anything is bought.",
    source="Ineichen and Perez 2002 at a Linke turbidity of 3; bounds: common practice, no source",
)
NO_SKY = define(
    "job.no-sky",
    Severity.STOP,
    says="The weather file puts {light:number} kWh/m2 a year on the level, {share:percent} of a clear sky's: no sky gives that.",
    why="What is reckoned with it holds nowhere: units, columns or time zone are mistaken.",
    do="Mend the file's units (W/m2), columns, time zone or place, or take another, before anything is quoted.",
    source="Ineichen and Perez 2002 at a Linke turbidity of 3; bounds: common practice, no source",
)
NO_SKY_DAYS = define(
    "job.no-sky-days",
    Severity.STOP,
    says="The weather file puts {light:number} kWh/m2 a day on the level over {days:count} days, {share:percent} of a clear "
    "sky's: no sky gives that.",
    why="What is reckoned with it holds nowhere: units, columns or time zone are mistaken.",
    do="Mend the file's units (W/m2), columns, time zone or place, or take another, before anything is quoted.",
    source="Ineichen and Perez 2002 at a Linke turbidity of 3; too much at 2, bounds: common practice, no source",
)
NO_SKY_HOURS = define(
    "job.no-sky-hours",
    Severity.STOP,
    says="The weather file has more light in {hours:count} h than comes from outside the air: {element:text} of {light:count} "
    "W/m2 from {when:text} UTC, where {outside:count} W/m2 come there at most.",
    why="No sky adds light to a whole hour: units or columns are mistaken, or an instrument failed.",
    do="Mend the file's units (W/m2) or columns, and leave empty what was not measured, before anything is quoted.",
    source="extraterrestrial irradiance of Spencer 1971; a tenth above it: common practice, no source",
)
SUN_SHIFT = define(
    "job.sun-shift",
    Severity.LOOK,
    says="By {days:count} clear days the light of the weather file lies {shift:duration} {side:text} than the sun.",
    why="PV then gives its power at the wrong hours: what is used on site, stored and billed is not what will be.",
    do="{mend:text}, or take another file. A whole hour may also be stamps that mark the other end.",
    source="clear sky of Ineichen and Perez 2002; shift of 45 min and more: common practice, no source",
)
OUTAGES_OUTSIDE = define(
    "job.outages-outside",
    Severity.LOOK,
    says="Outages under [[outages]] that lie outside the days sized on, and are not tried: {count:count} of {of:count}.",
    why="Nothing was read then, so what the site would have wanted is not known.",
    do="Move them into the days of the record, or take them out.",
    source="",
)
SUMMER_TIME = define(
    "job.weather-summer-time",
    Severity.LOOK,
    says="By {days:count} clear days the light of the weather file lies an hour {side:text} in the months of summer time.",
    why="In half of the year PV then gives its power at the wrong hours: what is used on site, stored and billed moves with it.",
    do="{mend:text}, or take another file.",
    source="clear sky of Ineichen and Perez 2002; the dates of summer time: the IANA time zone database",
)
STRINGS_APART = define(
    "job.strings-apart",
    Severity.LOOK,
    says="PV array {array:count} has {array_w:power} under [[pv]], and its [[strings]] come to {strings_w:power}.",
    why="Yield, bills and money rest on the one, currents and voltages on the other.",
    do="Count the modules on the roof, and mend peak, series, parallel or the module's power.",
    source="more than 2 % apart: common practice, no source",
)
STRING_DROP = define(
    "job.string-drop",
    Severity.LOOK,
    says="Over its route of {length:number} m a string loses {drop:percent} of its voltage at full sun.",
    why="What is lost warms the cable, and the inverter sees less: advice for circuits is 3 % to lamps and 5 % to all else.",
    do="Choose a thicker conductor, more modules in series, or a shorter route; the local code decides.",
    source="IEC 60364-5-52, Annex G, Table G.52.1",
)
NOT_PLANNED = define(
    "job.not-planned",
    Severity.NOTE,
    says="Something may switch {loads:text}, but nothing says how they behave: a plan leaves them as they are.",
    why="Without a model it is not known what switching them would do to people, goods or energy.",
    do="Add a [loads.model] table below a load that is worth switching.",
    source="",
)
NO_SWITCH = define(
    "job.no-switch",
    Severity.LOOK,
    says="Nothing in the range switches {load:text}: {refused:count} devices were refused.",
    why="It cannot be ordered as it stands.",
    do="Read for each what refused it; add equipment of your own range, or another way of switching it.",
    source="",
)
NO_CIRCUIT = define(
    "job.no-circuit",
    Severity.LOOK,
    says="The circuit of {load:text} is not designed: {why:text}.",
    why="Cable, breaker and drop are open, and with them what the bill of materials adds up to.",
    do="Fill in [loads.wiring] below the load: length, method, and what was read on site.",
    source="",
)
