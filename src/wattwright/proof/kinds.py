"""The kinds of finding about proof, with their sentences."""

from wattwright.core.findings import Severity, define

TOO_SHORT = define(
    "proof.too-short",
    Severity.STOP,
    says="The record before the measures holds {count:count} stretches that can be used; that takes {needed:count}.",
    why="A model of so few readings says nothing about other times.",
    do="Log for longer before anything is changed, or measure the single load before and after.",
    source="common practice, no source",
)
NO_USE = define(
    "proof.no-use",
    Severity.STOP,
    says="The site gives back more than it draws at times, or nothing was used at all.",
    why="What it used itself is not in the meter's readings, so a saving cannot be told from them.",
    do="Meter the generation apart.",
    source="",
)
PART_OF_YEAR = define(
    "proof.part-of-year",
    Severity.LOOK,
    says="The record before the measures covers {days:count} days, less than a year.",
    why="What the site used in other seasons is not known, and a saving told for them is a guess.",
    do="Claim a saving for the same season only.",
    source="IPMVP, whole facility: 12 months of baseline as a rule; from memory",
)
LOOSE_MODEL = define(
    "proof.loose-model",
    Severity.LOOK,
    says="On weeks left out, the best model ({model:text}) is off by {cv:percent} of the mean.",
    why="A saving that is small against this scatter is lost in it.",
    do="Look for what else the use follows, or measure the single load.",
    source="ASHRAE Guideline 14, whole building: CV(RMSE) of 20 % for energy at under twelve months; from memory",
)
AT_WEEK = define(
    "proof.alike-at-a-week",
    Severity.LOOK,
    says="What the model leaves over is alike at a week's distance by {alike:number}; chance and neighbours tell {told:number} "
    "at most.",
    why="The formula counts neighbours alone: sums of four weeks spread by {spread:percent} of what it takes them to. Blocks of "
    "two weeks keep likeness within a block, and lose it across their ends.",
    do="Rely on the band by blocks, not on the formula's. Look for what {what:text}, and log it.",
    source="Bartlett's formula for the scatter of correlations, two standard errors; from memory",
)
UNSEEN = define(
    "proof.unseen-times",
    Severity.LOOK,
    says="{days:count} of {read:count} days that were read are left out: the baseline saw no such season or temperature.",
    why="What the site would have used then was never seen, so a saving told for it would be a guess.",
    do="Claim for the days that are left only. Where the others matter, log a year before the next measures.",
    source="IPMVP: a baseline holds all modes of operation; from memory",
)
FEW_LIKE = define(
    "proof.few-like-days",
    Severity.STOP,
    says="Only {days:count} days are like any that the baseline saw: no claim.",
    why="A saving of so few days is chance or season.",
    do="Wait until the season of the baseline comes round again.",
    source="common practice, no source",
)
PROVABLE = define(
    "proof.provable",
    Severity.NOTE,
    says="The {saving:energy} a day that are promised should show after about {weeks:count} weeks ({confidence:percent}).",
    why="So long the scatter of this meter hides them; a year is the rule all the same.",
    do="Read for that long at least, and claim when the time agreed on is over.",
    source="",
)
LEAST_SHOWN = define(
    "proof.least-shown",
    Severity.NOTE,
    says="After {months:text} a saving shows from about {least:energy} a day on ({share:percent} of the use; "
    "{confidence:percent}).",
    why="What is smaller is lost in the scatter of this meter.",
    do="Where less is expected, put a sub-meter on the load and make that the boundary.",
    source="",
)
NO_BETTER = define(
    "proof.no-better-than-mean",
    Severity.STOP,
    says="No model tells weeks left out clearly better than the plain mean, which is off by {cv:percent}.",
    why="Nothing in calendar or weather explains the use, so what it would have been cannot be told.",
    do="Find out what drives the use, and log that too.",
    source="common practice, no source",
)
NOT_SHOWN = define(
    "proof.not-shown",
    Severity.LOOK,
    says="No saving is shown: {saved:energy}, which may lie from {low:energy} to {high:energy} ({confidence:percent}).",
    why="The band holds nought, so the difference may be chance.",
    do="Claim nothing yet. Log for longer, or measure the single load.",
    source="",
)
MORE_USED = define(
    "proof.more-used",
    Severity.LOOK,
    says="More was used than before at like times: {more:energy}, between {low:energy} and {high:energy} ({confidence:percent}).",
    why="The measures did not work, or something new runs on the site.",
    do="Look for a new load, a changed setting or a manual override.",
    source="",
)
TOO_VAGUE = define(
    "proof.too-vague",
    Severity.LOOK,
    says="At 68 % confidence the saving is known to {uncertainty:percent} of itself; a claim takes 50 % or less.",
    why="So wide a band carries no payment or promise.",
    do="Log for longer, or measure the single load.",
    source="ASHRAE Guideline 14, performance path; from memory",
)
EVENT = define(
    "proof.event",
    Severity.LOOK,
    says="From {first:time} on, for {days:count} days, the site used {energy:energy} a day {more:text} than the rest of the time "
    "explains ({share:percent} of a day).",
    why="Something other than the measures changed: a new load, a closed stretch, more or fewer people.",
    do="Ask on site what it was. If the measures have nothing to do with it, agree in writing to leave it out or adjust for it.",
    source="IPMVP, non-routine adjustments; from memory",
)
EVENT_AT_END = define(
    "proof.event-at-end",
    Severity.LOOK,
    says="The site used {energy:energy} a day {until:text} until {turn:time}, or {then:text} from then on, than the rest of the "
    "time explains ({share:percent} of a day): this record cannot tell which side of that day is as usual.",
    why="Something other than the measures changed: a load that came to stay, one that is gone, more or fewer people.",
    do="Ask on site what changed about that day, and agree in writing on an adjustment of the side that is not as usual.",
    source="IPMVP, non-routine adjustments; from memory",
)
WEATHER_SHORT = define(
    "proof.weather-short",
    Severity.LOOK,
    says="The weather file {file:text} is not of the days of the baseline, or of too few: it is not used.",
    why="A model without temperature takes a mild winter for a saving.",
    do="Name measured weather of the same place and days under [measurement], or log the outdoor temperature.",
    source="",
)
WARMTH_SHORT = define(
    "proof.warmth-short",
    Severity.LOOK,
    says="The outdoor temperature in the record is known of {share:percent} of the baseline: it is not used.",
    why="A model without temperature takes a mild winter for a saving.",
    do="Name measured weather of the same place and days under [measurement].",
    source="common practice, no source: nine days of ten",
)
WEATHER_AFTER_SHORT = define(
    "proof.weather-after-short",
    Severity.LOOK,
    says="The weather file {file:text} knows {share:percent} of the days of the time after: it is not used.",
    why="Another temperature stands in for it, that of the record or of the weather that was frozen.",
    do="Name measured weather of all these days with --weather.",
    source="common practice, no source: nine days of ten",
)
NO_MONEY = define(
    "proof.no-money",
    Severity.LOOK,
    says="No model tells the hours well enough, so neither money nor demand saved can be told.",
    why="A bill needs what would have been used in each hour.",
    do="Claim energy alone, or find out what drives the hours and log that too.",
    source="",
)
NO_PROMISE = define(
    "proof.no-promise",
    Severity.LOOK,
    says="No plan that saves anything is kept beside the job: nothing is promised, and nothing is held against what is found.",
    why="What was promised is frozen before the measures, or it is no promise.",
    do="Seek the plan first, then freeze.",
    source="",
)
PLAN_PROPOSED = define(
    "proof.plan-proposed",
    Severity.NOTE,
    says="Nobody wrote these parts of the measurement plan, so they are proposed: {fields:text}.",
    why="Both sides should have read what a claim will rest on.",
    do="Go through them with the client, write them under [measurement], and freeze then.",
    source="IPMVP, measurement plan; from memory",
)
PLAN_CHANGED = define(
    "proof.plan-changed",
    Severity.LOOK,
    says="The job file no longer says what was frozen: {fields:text}. What was frozen is used.",
    why="A measurement plan that is changed after the measures proves nothing.",
    do="Put the entries back, or agree with the client on freezing anew.",
    source="",
)
FROZEN_ANEW = define(
    "proof.frozen-anew",
    Severity.LOOK,
    says="Another promise was frozen before: it is kept as {file:text}, fingerprint {print:text}.",
    why="Papers that were signed name the old fingerprint.",
    do="Tell both sides, and write the new fingerprint on what they sign.",
    source="",
)
LEFT_BEFORE = define(
    "proof.left-before",
    Severity.NOTE,
    says="Of the record {time:duration} are left out: before the measures ({after:text}), or after the months agreed on.",
    why="Only the time that was agreed on is held to account.",
    do="Nothing, if the first day after the measures is right.",
    source="",
)
EARLY = define(
    "proof.early",
    Severity.LOOK,
    says="This is news, not a claim: {days:count} of about {wanted:count} days that were agreed on have been read.",
    why="Who looks each week and stops when it suits finds a saving sooner or later where there is none.",
    do="Go on reading. Claim when the time that was agreed on is over.",
    source="common practice, no source",
)
NEVER_PROVABLE = define(
    "proof.never-provable",
    Severity.LOOK,
    says="At {saving:energy} a day the band would still hold nought after {months:text}.",
    why="The scatter of this meter hides so small a saving.",
    do="Put a sub-meter on the load, make that the boundary, and log it before anything is changed.",
    source="",
)
SHIFTED = define(
    "proof.shifted",
    Severity.NOTE,
    says="The plan promises no energy ({energy:energy} a day less): it moves use to other hours.",
    why="Avoided energy says nothing of such a plan; the bill does.",
    do="Hold the money saved against the promise.",
    source="",
)
ADJUSTED = define(
    "proof.adjusted",
    Severity.NOTE,
    says="{days:count} days from {first:text} on are adjusted as agreed by {agreed:text}: {why:text}.",
    why="It changes the claim, so it stands beside it.",
    do="Keep the agreement with the papers.",
    source="IPMVP, non-routine adjustments; from memory",
)
NO_NORMAL = define(
    "proof.no-normal",
    Severity.NOTE,
    says="No model of the time after can be told yet, so savings in a normal year are left open.",
    why="They take a model of about a year on both sides.",
    do="Wait until a year after the measures was read.",
    source="IPMVP, normalised savings; from memory",
)
LOST = define(
    "proof.no-longer-seen",
    Severity.LOOK,
    says="{load:text} is no longer seen to begin at its planned times, from {first:time} on ({count:count} times).",
    why="Nothing holds it off, a contact no longer closes, a breaker tripped, or nobody needs it; the meter cannot tell which.",
    do="Look at contactor, switches and breaker on site. Hot water that was cold must be heated through before it is used.",
    source="",
)
PAUSED = define(
    "proof.paused",
    Severity.NOTE,
    says="{load:text} was not seen to begin at its planned times from {first:time} until {last:time} ({count:count} times), "
    "and is again.",
    why="Nobody needed it, or it was off for a while.",
    do="Ask what it was, if these days matter to the claim.",
    source="",
)
NEVER = define(
    "proof.never-seen",
    Severity.LOOK,
    says="{load:text} was never seen to begin at its planned times ({count:count} of them, from {first:time} on).",
    why="Perhaps the plan was never set, the load is off, or it has no need at these hours; the meter cannot tell which.",
    do="See on site whether the controller is in its place and set as the settings sheet has it.",
    source="",
)
HOURS_SHOW = define(
    "proof.hours-show",
    Severity.NOTE,
    says="Of {load:text} the readings show no steps, but the hours: {moved:power} more is drawn when it may run than when it is "
    "held off, beside like times before (standard error {error:power}).",
    why="Readings of so long a step tell whether use moved, and not when or by which load.",
    do="Nothing, if no other load was moved between these hours.",
    source="common practice, no source",
)
HOURS_LOST = define(
    "proof.hours-no-longer",
    Severity.LOOK,
    says="What {load:text} moved between its hours, {moved:power} at first, is {left:power} from {first:time} on.",
    why="The programme no longer holds it off, or nobody needs the load; readings of so long a step cannot tell which.",
    do="Look at controller and contactor on site.",
    source="common practice, no source",
)
HOURS_UNTOLD = define(
    "proof.hours-untold",
    Severity.NOTE,
    says="Whether the programme of {load:text} acts cannot be told: its hours differ from like times before by {moved:power}, "
    "and less than {least:power} is lost in the scatter (standard error {error:power}).",
    why="Readings of so long a step show no steps, and too much else happens in these hours.",
    do="Log the load by itself or at a minute's step for some weeks, or read the counter of its contactor.",
    source="common practice, no source",
)
HELD_DRAWS = define(
    "proof.drawn-while-held",
    Severity.LOOK,
    says="{load:text} draws {power:power} on average in hours in which the plan holds it off, from {first:time} on.",
    why="Its own meter sees it: the programme is not set as planned, stands at hand, or a contact is welded.",
    do="Hold the controller's times against the settings sheet, and have a licensed person test the contactor.",
    source="",
)
MOVED = define(
    "proof.times-moved",
    Severity.LOOK,
    says="{load:text} runs {moved:duration} {way:text} than planned, from {first:time} on.",
    why="Somebody set the times otherwise, or the clock of the controller went wrong, as after an outage.",
    do="Set clock and times as the settings sheet has them, and ask who changed them and why.",
    source="",
)
BY_HAND = define(
    "proof.by-hand",
    Severity.LOOK,
    says="{load:text} seems to have run while the plan held it off, on {days:count} days, the first before {first:time}.",
    why="Somebody switched it by hand, which the plan did not reckon with.",
    do="Ask when and why. Where it was cold water, give the plan more room rather than leave it to the hand.",
    source="",
)
STUCK_ON = define(
    "proof.holds-nothing-off",
    Severity.LOOK,
    says="{load:text} runs at other hours too from {first:time} on ({count:count} times): nothing holds it off any more.",
    why="A contact that is welded, a switch left at hand, or a controller without supply; nothing is saved from then on.",
    do="Have a licensed person test the contactor and its coil, and look for a switch that stands at hand.",
    source="",
)
REPLACED = define(
    "proof.load-replaced",
    Severity.LOOK,
    says="At the planned times of {load:text} a step of {level:power} is seen from {first:time} on, not of {rating:power}.",
    why="It seems to have been replaced; part of the difference is the new load and not the plan.",
    do="Read the new plate, write it into the survey, and agree on an adjustment.",
    source="",
)
OCCUPANCY = define(
    "proof.other-use",
    Severity.LOOK,
    says="The least that the site draws in a day was {before:power} on like days before and is {after:power} now.",
    why="Something is left on, or gone, at all hours: more or fewer people, a new load, a closed part. The plan did not do that.",
    do="Ask what has changed on site, and hold it against the static factors of the measurement plan.",
    source="common practice, no source",
)
EMPTY_DAYS = define(
    "proof.empty-days",
    Severity.LOOK,
    says="On {after:percent} of the days under six tenths of what the model tells was used; before it was {before:percent}.",
    why="Days on which nobody is there look like a saving.",
    do="Ask how many were there, and agree on leaving such days out or on an adjustment.",
    source="common practice, no source",
)
LESS_THAN_PROMISED = define(
    "proof.less-than-promised",
    Severity.LOOK,
    says="Less was found than was promised: {found:number} {unit:text}, at most {most:number}, of {promised:number} promised for "
    "these days.",
    why="The plan did not act as planned, use has changed, or the promise was too bold.",
    do="Look at what became of the planned loads, and at what has changed on site.",
    source="",
)
NOT_COMPARED = define(
    "proof.not-compared",
    Severity.NOTE,
    says="Whether what was promised came true is left open: the plan sought {sought:text}, which this record does not show.",
    why="Energy and money saved at the boundary, and its highest hour, are other figures.",
    do="Agree with the client on how that is to be measured, as by the meter of the PV or readings of a quarter of an hour.",
    source="",
)
NO_PRICES = define(
    "proof.no-prices",
    Severity.LOOK,
    says="The money saved at the prices of that time cannot be told: {why:text}.",
    why="A bill takes a price for each hour after the measures.",
    do="Write the tariff of that time into the job's tariff file.",
    source="",
)
UNTOLD = define(
    "proof.load-untold",
    Severity.NOTE,
    says="What became of the programme of {load:text} cannot be told from this record.",
    why="It shows too few planned moments, too much else switches beside them, two loads are too alike, or no like time before.",
    do="Log the load by itself for some weeks, or read the counter of its contactor.",
    source="",
)
NO_HOURS = define(
    "proof.no-hours",
    Severity.NOTE,
    says="The readings after are of {step:duration} each, so money and the highest hour are left open.",
    why="Both are told from hours, which such readings do not show.",
    do="Give a record of an hour's step or less, if the money is to be held to account.",
    source="",
)
HIGHEST_SHORT = define(
    "proof.highest-short",
    Severity.NOTE,
    says="What the highest hour fell by stands without a band: the baseline holds {count:count} whole blocks of four weeks, and "
    "that takes {needed:count}.",
    why="How much highest hours scatter is told by those of many blocks.",
    do="Claim nothing of the highest hour; log for longer before measures that are to lower it.",
    source="common practice, no source",
)
HIGHEST_RARE = define(
    "proof.highest-rare",
    Severity.LOOK,
    says="What the highest hour fell by stands without a band: in {count:count} of {blocks:count} blocks of four weeks it lies "
    "far above the others.",
    why="So rare an hour falls into one year and not into the next by chance, whatever was done on site.",
    do="Find out what drew so much at that time. Claim nothing of the highest hour if it may come again.",
    source="common practice, no source",
)
WHOLE_DAYS = define(
    "proof.whole-days",
    Severity.NOTE,
    says="The readings {of:text} are of whole days, which begin up to {beside:duration} beside midnight on the site's clock.",
    why="Energy can be told from them; the highest hour, money by time of use, base load and what each load did cannot.",
    do="Give readings of an hour's step or less, if these are to be held to account.",
    source="",
)
HOLES = define(
    "proof.holes",
    Severity.LOOK,
    says="The time agreed on is over, and only {days:count} of its {wanted:count} days were read: no claim.",
    why="What was used on the other days is not known.",
    do="Find the readings that are missing, or agree with the client on another period.",
    source="common practice, no source",
)
MUCH_LEFT_OUT = define(
    "proof.much-left-out",
    Severity.STOP,
    says="Agreed adjustments leave {days:count} of {read:count} days: no claim.",
    why="Days can be left out until any saving shows.",
    do="Agree on an adjustment of the energy of those days instead, or on another period.",
    source="common practice, no source",
)
OTHER_METER = define(
    "proof.other-meter",
    Severity.STOP,
    says="{share:percent} of what the model tells was used: this looks like another meter or another unit, and is no claim.",
    why="Hardly any measure halves or doubles the use of a whole boundary.",
    do="Hold the file against the meter's register; where it is right, say what has changed and agree on it.",
    source="common practice, no source",
)
LIMIT_KEPT = define(
    "proof.limit-kept",
    Severity.NOTE,
    says="{name:text}, to act above {limit:power}: {count:count} of {read:count} readings after lie above ({now:percent}), "
    "by {over:power} at most; at like times before {was:percent} did, by {was_over:power}.",
    why="Readings of {step:duration} do not show shorter ones, it acts after {wait:duration}. They do not tell whether it was "
    "the rule or another use.",
    do="Nothing, if use is as before. To know, log when its contact switches.",
    source="common practice, no source",
)
LIMIT_PASSED = define(
    "proof.limit-passed",
    Severity.LOOK,
    says="{name:text}, to act above {limit:power}: {count:count} of {read:count} readings after lie above ({now:percent}), "
    "by {over:power} at most; at like times before {was:percent} did, by {was_over:power}.",
    why="It is passed more than half as often as before, in readings of {step:duration}; it acts after {wait:duration}. The rule "
    "is not set, or what passes it is nothing that it switches.",
    do="Hold pick-up value, delay and shed order of the controller against the settings sheet; log when its contact switches.",
    source="common practice, no source",
)
LIMIT_UNTOLD = define(
    "proof.limit-untold",
    Severity.NOTE,
    says="Whether {name:text} keeps the site under {limit:power} cannot be told: {reason:text}.",
    why="A limit shows where it is passed, before and after, in readings short enough.",
    do="Log the site's power by the minute, and when its contact switches.",
    source="common practice, no source",
)
RULES_UNTOLD = define(
    "proof.rules-untold",
    Severity.NOTE,
    says="Of {load:text} the record does not show whether these rules act: {rules:text}.",
    why="A meter of the whole site does not see what they look at, nor which load it is that switches.",
    do="To know, log for some weeks: {log:text}.",
    source="",
)
OTHER_WEATHER = define(
    "proof.other-weather",
    Severity.LOOK,
    says="The temperature of the time after comes from {now:text}; that of the baseline came from {was:text}.",
    why="Two sources of one temperature may lie a degree apart, and the model takes that for use.",
    do="Hold both against each other on days that both tell, or take the same source for both.",
    source="common practice, no source",
)
OVERLAP_DIFFERS = define(
    "proof.overlap-differs",
    Severity.LOOK,
    says="On {days:count} days that the new record and the baseline both hold, the new one tells {share:percent} of the other.",
    why="It is another meter, another unit, or read in another way; then a difference after the measures is no saving.",
    do="Hold both files against the meter's register, and read both alike.",
    source="common practice, no source",
)
WEATHER_UNUSED = define(
    "proof.weather-unused",
    Severity.NOTE,
    says="The weather file {file:text} is not used: the frozen model does not follow the temperature.",
    why="What was frozen decides how a saving is told; weather that is named afterwards changes nothing of it.",
    do="Leave it out, or agree with the client on freezing anew with measured weather of both times.",
    source="",
)
