"""The kinds of finding that fitting today's loads to a record can make, with their sentences."""

from wattwright.core.findings import Severity, define

NOT_SEEN = define(
    "simulate.load-not-seen",
    Severity.LOOK,
    says='No runs of "{load:text}", of about {rating:power}, were found in a record on a step of {step:duration}.',
    why="Without its power steps nothing can be fitted; its energy stays within the rest of the site.",
    do="Check its rating and whether it was in use, measure it on a channel of its own, or take a record on a step of 1 min.",
    source="",
)
MIXED_UP = define(
    "simulate.steps-mixed-up",
    Severity.LOOK,
    says='Of {edges:count} power steps of about {rating:power}, {unpaired:count} have no partner, so the runs of "{load:text}" '
    "cannot be told from those of other loads.",
    why="Several loads of like size switch on this site; a fit to a mixture of them would be of none.",
    do="Measure the load on a channel of its own, for a week or two.",
    source="a fifth of the steps: common practice, no source",
)
NOT_APART = define(
    "simulate.not-told-apart",
    Severity.LOOK,
    says="The record cannot tell these apart: {what:text}; {why:text}. Held as usual: {held:text}.",
    why="Many values give the same record, so each of them alone would be a guess; what they do together is sound.",
    do="Read one of them on site (thermostat, plate, water meter), or record some days on which nobody is home.",
    source="rank of the sensitivities of the simulated statistics",
)
NOT_SHOWN = define(
    "simulate.not-shown",
    Severity.LOOK,
    says="The record does not show this: {what:text}; {why:text}. Held as usual.",
    why="The record looks the same whatever its value.",
    do="Read it on site where it matters.",
    source="rank of the sensitivities of the simulated statistics",
)
REST_NEGATIVE = define(
    "simulate.rest-negative",
    Severity.LOOK,
    says="With the fitted loads taken away, the rest of the site falls below nought on {share:percent} of the intervals, "
    "to {least:power} at the lowest.",
    why="A site's rest gives no power unless there is a source on it: a load is fitted too large, or runs of others were taken "
    "for its own.",
    do="Check the ratings, and enter a PV array or another source where there is one.",
    source="",
)
POOR_FIT = define(
    "simulate.poor-fit",
    Severity.LOOK,
    says="Today as simulated follows the record with a CV(RMSE) of {cv:percent} and an NMBE of {nmbe:percent} over the days; "
    "{explained:percent} of the energy is explained.",
    why="Savings are today as simulated less an option as simulated; where today is not met, they are not sound either.",
    do="Check the loads and today's rules, measure the load on a channel of its own, or take results as orders of magnitude.",
    source="the formulas and limits, 30 % and 10 %, of ASHRAE Guideline 14 for hourly figures, from memory; here of days",
)
FEW_DAYS = define(
    "simulate.too-few-days",
    Severity.LOOK,
    says="How closely today as simulated follows the record over the days cannot be told: that needs more whole days than the "
    "{fitted:count} parameters that are fitted, and a mean above nought.",
    why="With no more days than parameters any fit looks close, so nothing would tell a wrong one.",
    do="Record two weeks or more, and until then take results as orders of magnitude.",
    source="CV(RMSE) of ASHRAE Guideline 14 divides by days less parameters, from memory; two weeks: common practice, no source",
)
ONE_STORE = define(
    "simulate.one-store-cannot",
    Severity.LOOK,
    says="One store with one thermostat cannot explain these {total:count} runs: left alone it is on for {still:duration} and "
    "takes in {between:energy}; but {short:count} runs were shorter than {shorter:percent} of that, the longest took "
    "{longest:duration} and {most:energy}, {days:number} mean days of hot water at once, and {again:count} times it came on "
    "again within {soon:duration}.",
    why="From threshold to threshold no run of a mixed store is shorter than one in which nobody draws, and a run lasts only "
    "until what was drawn is put back.",
    do="Look for a second load or thermostat on this meter, a rule that is not entered, or a store in layers with its sensor "
    "low, before you decide about it.",
    source="heat balance of one mixed store; the limits of what is usual are common practice, no source",
)
