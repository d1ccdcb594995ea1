"""The kinds of finding about sizes."""

from wattwright.core.findings import Severity, define

NO_PRICES = define(
    "supply.no-prices",
    Severity.LOOK,
    says="There are no prices: sizes are ranked by what such parts usually cost beside one another, and no money is told.",
    why="What a kW or a kWh costs differs by place and year; none is built in.",
    do="Ask the wholesaler and write [quote.prices].",
    source="common practice, no source",
)
NO_PLAN = define(
    "supply.no-plan",
    Severity.NOTE,
    says="No plan is sized with: today's switching alone is answered for.",
    why="The job has no load that a plan may switch.",
    do="Say under [[loads]] what may be switched, with its model, and ask again.",
    source="",
)
NO_PV = define(
    "supply.no-pv",
    Severity.NOTE,
    says="No PV is looked at.",
    why="The job says of no place where modules could lie.",
    do="Add [[quote.pv]] with tilt, heading and the most modules there is room for, and a weather file.",
    source="",
)
NO_YEAR = define(
    "supply.no-year",
    Severity.LOOK,
    says="Sizes rest on {days:count} days, and yearly money on these days alone.",
    why="Other seasons bring other loads and another sun.",
    do="Size on a year's record where it decides, or say on the quote which season it rests on.",
    source="",
)
HIDDEN = define(
    "supply.hidden-peaks",
    Severity.NOTE,
    says="Ratings are chosen for {hidden:apparent} more than the simulation shows.",
    why="The record's means hide peaks; what they may hide is taken to be of what no plan switches.",
    do="Log some weeks at one minute to know it better.",
    source="",
)
HIDDEN_ONE = define(
    "supply.hidden-on-one-conductor",
    Severity.LOOK,
    says="On which conductor hidden peaks fall is not known: {hidden:apparent} are kept for all of them on one. "
    "Spread evenly, {even:apparent} would do.",
    why="An inverter of several conductors gives each only its part of the rating.",
    do="Log each conductor by itself, some weeks at one minute.",
    source="",
)
NOT_REACHED = define(
    "supply.not-reached",
    Severity.LOOK,
    says="Under {rules:text} no size does what was asked: the nearest leaves {lpsp:plain}\u202f% unserved.",
    why="The sizes on offer are too small, or what was asked is too much for them.",
    do="Offer larger sizes under [quote], or ask for less.",
    source="",
)
NOT_REACHED_TRIPS = define(
    "supply.not-reached-trips",
    Severity.LOOK,
    says="Under {rules:text} no size does what was asked: the nearest trips ({trips:count} × in the record).",
    why="The sizes on offer are too small, or what was asked is too much for them.",
    do="Offer larger sizes under [quote], or ask for less.",
    source="",
)
NO_RATING = define(
    "supply.no-rating",
    Severity.LOOK,
    says="Under {rules:text} every inverter on offer is overloaded, up to {largest:rating}.",
    why="The site draws more at once than it bears.",
    do="Offer larger ratings, or let fewer loads run in an outage.",
    source="",
)
RELIES = define(
    "supply.relies",
    Severity.LOOK,
    says="The inverter of {rating:rating} relies on control: without it {without:rating} would be needed.",
    why="A control system was recorded as accepted. If it fails the inverter trips.",
    do="Keep the acceptance with the papers, and test link lost and contact welded on the day.",
    source="",
)
NOT_RELIED = define(
    "supply.not-relied",
    Severity.LOOK,
    says="{rating:rating} is quoted, though {smaller:rating} would do while the plan works.",
    why="Control is not protection: no rating relies on it unless somebody who may do so has accepted it.",
    do="Record who accepted the control system, and by which rule, under [accepted_control], or quote as it stands.",
    source="",
)
FAILS = define(
    "supply.control-fails",
    Severity.LOOK,
    says="With {case:text} {unserved:size} are not served.",
    why="The sizes hold while the plan works.",
    do="Say so to the client, and decide whether that may happen.",
    source="",
)
FAILS_TRIPS = define(
    "supply.control-trips",
    Severity.LOOK,
    says="With {case:text} the supply trips ({trips:count} × in the record).",
    why="The sizes hold while the plan works. What trips carries nothing until somebody has closed it again.",
    do="Say so to the client, and decide whether that may happen.",
    source="",
)
RELAYS_FREE = define(
    "supply.relays-no-price",
    Severity.LOOK,
    says="{count:count} relays with their contactors are bought, and have no price: what is to buy does not count them.",
    why="Loads are kept off without the grid only where each has its relay, and somebody pays for it.",
    do="Write held_off_load under [quote.prices], put up.",
    source="",
)
FAILS_LOAD = define(
    "supply.control-fails-load",
    Severity.LOOK,
    says="With {case:text}, {load:text} lacks {lacks:plain} {unit:text} in {days:count} days, and {working:plain} {unit:text} "
    "while the plan works.",
    why="What a load does when its command fails to come is set on its controller; who lives with it should know.",
    do="Set its fail-safe state so that it gives what must not lack, or say so to the client.",
    source="",
)
RUNS_LESS = define(
    "supply.control-fails-runs",
    Severity.LOOK,
    says="With {case:text}, {load:text} runs {hours:plain} h less in {days:count} days than while the plan works.",
    why="What a load does when its command fails to come is set on its controller; who lives with it should know.",
    do="Set its fail-safe state so that it runs when it must, or say so to the client.",
    source="",
)
GENERATOR = define(
    "supply.generator-in-outages",
    Severity.NOTE,
    says="The generator helps through outages, and what it burns in them is no part of the money.",
    why="The outages it was tried on are there to try sizes, not as often as they come.",
    do="Reckon its fuel from how often the grid goes, and for how long.",
    source="",
)
GENERATOR_GAP = define(
    "supply.generator-gap",
    Severity.LOOK,
    says="The generator carries the site alone: each time the grid goes it is dark for {time:duration}, until it has started.",
    why="Computers and contactors drop out, and what must not is not carried by it.",
    do="Write bears under [quote] if the loads do not bear that, and keep what must not drop on a supply of its own.",
    source="",
)
NO_FUEL = define(
    "supply.no-fuel-price",
    Severity.LOOK,
    says="What the generator burns costs nothing here.",
    why="Without its price the smallest battery and the least PV look best.",
    do="Write fuel_kwh under [quote.prices]: what fuel and service of a kWh come to.",
    source="",
)
FUEL_UNUSED = define(
    "supply.fuel-unused",
    Severity.LOOK,
    says="Fuel or a generator has a price, and the job has no generator: nothing is burnt.",
    why="A generator is looked at only where the job says which.",
    do="Write a [generator] with its rating, or take fuel_kwh and generator_kw out.",
    source="",
)
BESIDE = define(
    "supply.beside-own-pv",
    Severity.NOTE,
    says="PV that is there stays, and gave {energy:energy} in the record, as measured or modelled; it gives only beside "
    "the grid, and no option counts it again.",
    why="Its inverter stops without the grid, unless another one is made to carry it; that is not supposed.",
    do="Ask the maker of the new inverter whether it may carry this PV in an outage.",
    source="",
)
NO_DRAW = define(
    "supply.no-own-draw",
    Severity.NOTE,
    says="The inverter's own draw is taken for nothing.",
    why="Neither idle nor by_power is known; 10 to 60 W all year are 90 to 530 kWh.",
    do="Read it off the data sheet and write idle under [inverter], or own_draw under [quote].",
    source="common practice, no source",
)
WORST_MISSED = define(
    "supply.worst-outage-missed",
    Severity.LOOK,
    says="The worst outage of a way that is compared was not tried, since it lies within a day of another's: those that were "
    "take {share:plain}\u202f% less at most.",
    why="Outages are tried a day apart, today's worst first, so that each is met with a full battery. The plan may look better "
    "than it is, by as much.",
    do="Allow so much more battery than the least, or name that outage under [[outages]] and ask again.",
    source="",
)
DRAW_SCALED = define(
    "supply.own-draw-scaled",
    Severity.NOTE,
    says="The quoted inverter of {rating:apparent} is taken to draw {draw:power} itself, in proportion to {told:power} of "
    "one of {of:apparent}.",
    why="Makers do not build by that rule, and a few watts all year are as many kWh times nine.",
    do="Read it off the data sheet of the one that is quoted, and write own_draw under [quote], as a share of its rating.",
    source="common practice, no source; start power, near to it, is 0.23 to 1.48 % of rating (5th, 95th percentile, CEC list)",
)
TAKE_OVER_ASKED = define(
    "supply.take-over-unknown",
    Severity.LOOK,
    says="It is not known how long the site is dark until the inverter carries it.",
    why="Computers and contactors drop out within 10 to 20 ms, and then start together.",
    do="Ask the maker, and write takes_over_after under [inverter].",
    source="common practice, no source",
)
GAP = define(
    "supply.take-over-gap",
    Severity.NOTE,
    says="The site is dark for {time:duration} until the inverter carries it.",
    why="What cannot bear that drops out, and some of it does not come back by itself.",
    do="Find out what the loads bear and write bears under [quote]; keep what must not drop on a supply of its own.",
    source="",
)
GAP_TOO_LONG = define(
    "supply.take-over-too-long",
    Severity.LOOK,
    says="The inverter takes {time:duration} to carry the site, and its loads bear {bears:duration}.",
    why="What drops out starts again at once with everything else.",
    do="Offer an inverter that is quicker, or keep what must not drop on a supply of its own.",
    source="",
)
LOAN_LARGER = define(
    "supply.loan-larger",
    Severity.LOOK,
    says="More is lent than is bought: the money is told without the loan.",
    why="A loan for what is not bought says nothing of what is.",
    do="Write the amount that is lent for this quote under [quote.money.loan].",
    source="",
)
AT_EDGE = define(
    "supply.at-edge",
    Severity.LOOK,
    says="Under {rules:text} the battery of {battery:size} is the largest that was tried.",
    why="A larger one may be worth more.",
    do="Write a larger battery_most under [quote], and ask again.",
    source="",
)
HALF = define(
    "supply.half-of-own-share",
    Severity.LOOK,
    says="Nothing was asked and no bill can be told, so half of the largest share of its own was aimed at.",
    why="Without money or a wish no size is better than another.",
    do="Write own_share or peak under [quote], or prices and a tariff.",
    source="common practice, no source",
)
NOT_ASKED = define(
    "supply.wish-unused",
    Severity.LOOK,
    says="{wishes:text} under [quote] is not looked at where the purpose is: {purpose:text}.",
    why="It belongs to another purpose.",
    do="Take it out, or change the purpose.",
    source="",
)
OWN_LEFT_OUT = define(
    "supply.own-left-out",
    Severity.LOOK,
    says="What is there already ({own:text}) is left out: sizes and bills are as if all were bought anew.",
    why="It only says what kind the new one is; an inverter's own draw, told as idle, goes with its rating.",
    do="Where it stays, write keeps = true under [quote]: then only what comes beside it is bought.",
    source="",
)
KEPT_IN_RECORD = define(
    "supply.kept-in-record",
    Severity.LOOK,
    says="The bill by the readings is {read:plain}, with what is kept simulated beside them {modelled:plain}: "
    "{share:plain}\u202f% apart.",
    why="Readings taken while the battery worked hold already what it does: it is then reckoned twice.",
    do="Ask since when it works, and size on readings from before it.",
    source="more than a tenth apart: common practice, no source",
)
MISSED = define(
    "supply.wish-missed",
    Severity.LOOK,
    says="Under {rules:text} no size does what was asked: the nearest imports {peak:power}, "
    "and has {own:plain}\u202f% of its own.",
    why="The sizes on offer are too small, or what was asked is too much for them.",
    do="Offer larger sizes under [quote], or ask for less.",
    source="",
)
NO_TARIFF = define(
    "supply.no-tariff",
    Severity.LOOK,
    says="No tariff tells a bill here: what is saved is not told, and sizes are ranked by the prices of what is bought.",
    why="What a kWh saves is not known.",
    do="Name a tariff under [tariff]; for a site without a grid write currency under [quote.prices]: then what it costs is told.",
    source="",
)
FEW_DAYS = define(
    "supply.few-days",
    Severity.STOP,
    says="Sizes and yearly money rest on {days:count} days alone: do not show them to a client.",
    why="A few days say nothing of other seasons, and no band here knows that.",
    do="Log for a year, or give a record of some months at least.",
    source="common practice, no source",
)
SUN_OF_SEASON = define(
    "supply.sun-of-season",
    Severity.STOP,
    says="In the {days:count} days that the quote rests on its PV gives {now:energy} a day, and {mean:energy} a day over the "
    "year under the weather of the job: yearly money, and a size chosen by it, are wrong by as much.",
    why="What it gives in these days is taken for every season.",
    do="Quote on a year's record, or on days (--days) whose sun is that of the year.",
    source="more than a tenth apart: common practice, no source",
)
SUN_UNKNOWN = define(
    "supply.sun-of-part-year",
    Severity.STOP,
    says="The weather of the job holds {known:count} days, and the quote rests on {days:count}: what its PV gives in other "
    "seasons nobody knows, and yearly money is told as if they were like these.",
    why="A roof gives several times as much in summer as in winter.",
    do="Give a weather file of a year for the place, or none: the sun of the place is then taken from tables.",
    source="",
)
MUCH_PV = define(
    "supply.much-pv-on-inverter",
    Severity.LOOK,
    says="{pv:power} of modules stand on an inverter of {rating:rating}.",
    why="What they give beyond its rating is lost; many inverters do not bear so many.",
    do="Ask its maker for the most modules it takes, or write larger ratings under inverters.",
    source="common practice, no source",
)
BEYOND_SUPPLY = define(
    "supply.inverter-beyond-supply",
    Severity.LOOK,
    says="An inverter of {rating:rating} stands behind a supply that bears {supply:rating}, by its main protection of "
    "{main:plain} A.",
    why="What it gives and what the grid gives meet on one board, and what it gives back goes through the main protection.",
    do="Have a licensed electrician hold busbar, main protection and the operator's limit against it, and set what it passes on, "
    "takes and gives back below them.",
    source="common practice, no source",
)
WORN = define(
    "supply.at-limit-when-worn",
    Severity.LOOK,
    says="With its battery worn to {left:plain}\u202f% of what it holds, "
    "{lpsp:plain}\u202f% of what is wanted without the grid is not there; "
    "{asked:plain}\u202f% was asked.",
    why="It does what was asked on its first day, and has nothing to spare for the years until it is worn.",
    do="Tell the client, or quote a battery larger by {more:plain}\u202f%.",
    source="worn out at a share of its capacity: common practice, no source",
)
NEEDS_SUN = define(
    "supply.outage-needs-sun",
    Severity.LOOK,
    says="On dark days of the season outages leave {dark:plain}\u202f% of what is wanted unserved, "
    "on usual ones {usual:plain}\u202f%.",
    why="The sizes were chosen with another sun than that of dark days.",
    do='Write outage_sun = "dark days" under [quote] where it must hold then; without any sun it takes {wanted:energy}.',
    source="common practice, no source",
)
