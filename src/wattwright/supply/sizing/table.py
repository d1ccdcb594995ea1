"""A quote in rows of words, for terminal and paper alike: sizes, cases, front, money. The first row of each is its head."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from wattwright.core.bounds import as_least
from wattwright.core.findings import Finding, Severity
from wattwright.core.show import MISSING, THIN, Show
from wattwright.loads.kinds import SCALD
from wattwright.record.faults.doubt import doubts
from wattwright.supply.money.life import LifeCost
from wattwright.supply.money.risk import Risk
from wattwright.supply.money.worth import Worth
from wattwright.supply.per_cent import significant, two_digits
from wattwright.supply.sizing.answer import Point, Quote, Sized
from wattwright.supply.sizing.cases import LITTLE, RUNNING, shorts
from wattwright.supply.sizing.confirm import Confirmed
from wattwright.supply.sizing.kinds import BESIDE
from wattwright.supply.sizing.rating import Rating
from wattwright.supply.sizing.sizes import NOTHING, Size
from wattwright.supply.wear.ageing import Ageing

Rows = list[tuple[str, ...]]
_NONE = "none"
THERE = "there"
"""Stands for PV that is there and stays, where none is added."""
_LEFT = "{} of it: what parts are worth then, in money of today, before tax"
_LEAST_SHARE, _MOST_SHARE = 0.001, 0.99
_NOISE = 1e-9
"""What floating point may lose of a whole: it is no rest."""
_LEAST_KWH = 0.01
_LITTLE = 0.5
"""Of the currency, or of a kWh: less is not told."""


def quote_stops(made: Quote) -> tuple[Finding, ...]:
    """Return the gravest findings of a quote: with any of them its sizes are not to be relied on.

    Water that scalds is to be mended whatever is bought, and is told with the rest: no size depends on it.
    """
    return tuple(one for one in made.findings if one.severity is Severity.STOP and one.code != SCALD.code)


def withheld(made: Quote, readings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return what keeps a quote from being given: its own gravest findings, then the doubts in the ``readings`` it rests on.

    ``readings`` are the findings of the record, with what paid bills bring into doubt. It is the one rule for terminal, JSON and
    paper.
    """
    return (*quote_stops(made), *doubts(readings))


def judged(made: Quote, readings: Iterable[Finding]) -> Quote:
    """Return a quote that knows whether it is withheld: whoever tells of it then says that nothing is quoted yet."""
    return replace(made, is_withheld=bool(withheld(made, readings)))


def as_quoted(made: Quote) -> str:
    """Return what the size of a quote is called: it is quoted, or would be if nothing kept it from being given."""
    return "would be quoted" if made.is_withheld or quote_stops(made) else "quoted"


def is_quoted(made: Quote) -> str:
    """Return what a sentence says of the size of a quote: it is quoted, or would be."""
    told = as_quoted(made)
    return f"is {told}" if told == "quoted" else told


def worth_line(made: Quote, show: Show) -> str:
    """Return what to quote and what that costs to buy, then the line that is remembered: what the plan is worth in hardware.

    Where nothing does what was asked that is said in their place. While the quote is withheld nothing is told to be quoted:
    sizes are only those worked out so far.
    """
    if not (made.plan or made.today).reached:
        if made.size.is_nothing:
            return "Nothing on offer does what was asked, nor comes nearer to it than buying nothing."
        return f"Nothing on offer does what was asked; the nearest is {of_size(made.size, show)}."
    begun = "Quote" if as_quoted(made) == "quoted" else "Worked out so far:"
    if made.by_generator:
        return f"{begun} no PV and no battery: the generator carries the site alone."
    price = f", for {show.fixed(made.bought, 0)} {made.currency}" if made.currency and made.bought else ""
    quoted = f"{begun} {of_size(made.size, show)}{price}."
    if made.plan is None:
        return quoted
    told = f"{quoted} {_plan_worth(made.today, made.plan, show)}"
    least = made.plan.least
    if made.purpose != "beside the grid" and least is not None and 0.0 < least.size.inverter_va < made.size.inverter_va:
        told += " The smaller inverter is not quoted: no control system is accepted as holding it within its rating."
    return told


def _plan_worth(today: Sized, plan: Sized, show: Show) -> str:
    """Return what the plan saves in hardware: the least that does what was asked without it, less the least with it."""
    if today.least is None or plan.least is None:
        which = [name for name, one in (("today's switching", today), ("the plan", plan)) if one.least is None]
        return f"What the plan is worth in hardware cannot be told: with {which[0]} nothing that was tried does what was asked."
    without, with_it = today.least.size, plan.least.size
    less, more = apart(without, with_it, show), apart(with_it, without, show)
    if not (less or more):
        why = "nothing that was asked needs any" if with_it == NOTHING else f"with and without it {_plain(with_it, show)} will do"
        return f"The plan saves no hardware: {why}."
    told = f"The plan is worth {listed(less)}" if less else "The plan saves no hardware"
    told += f", and takes {listed(more)} more" if more else ""
    return f"{told}: the least that does what was asked is {_plain(without, show)} without it, {_plain(with_it, show)} with it."


def _plain(size: Size, show: Show) -> str:
    return "nothing" if size.is_nothing else of_size(size, show)


def apart(one: Size, other: Size, show: Show) -> list[str]:
    """Return by how much one size is larger than another, in words."""
    more = Size(*(max(getattr(one, name) - getattr(other, name), 0.0) for name in ("pv_w", "battery_wh", "inverter_va")))
    each = (("inverter", inverter_told(more, show)), ("battery", battery_told(more, show)), ("PV", pv_told(more, show)))
    return [f"{told} of {name}" for name, told in each if told != _NONE]


def of_size(size: Size, show: Show) -> str:
    """Return a size in words."""
    if size.is_nothing:
        return "nothing: no PV and no battery pays or is needed"
    each = [f"an inverter of {inverter_told(size, show)}"]
    each += [f"a battery of {battery_told(size, show)}"] if size.battery_wh > 0.0 else []
    each += [f"{pv_told(size, show)} of PV"] if size.pv_w > 0.0 else []
    return listed(each)


def size_rows(made: Quote, names: Mapping[str, str], show: Show) -> Rows:
    """Return the sizes under today's rules and the plan's, and what is quoted; ``names`` are those of loads by id."""
    plan, bought = made.plan, [made.today.bought]
    found = [("today's switching", made.today.found)]
    if plan is not None:
        found.append(("the plan", plan.found))
        bought.append(plan.bought)
    found.append((as_quoted(made), made.quoted))
    bought.append(made.bought)
    rows: Rows = [("With", *(name for name, _ in found))]
    rows.append(("inverter", *(inverter_told(one.size, show) for _, one in found)))
    rows.append(("battery", *(battery_told(one.size, show) for _, one in found)))
    rows.append(("PV", *(pv_of(made, one.size, show) for _, one in found)))
    if made.purpose != "beside the grid":
        rows.append(("unserved without the grid", *(share_told(one.lpsp, show, beside=made.asked) for _, one in found)))
        rows.append(("trips", *(show.fixed(one.trips, 0) for _, one in found)))
    if any(one.balance.generator >= _LITTLE for _, one in found):
        rows.append(("from the generator", *(show.energy(one.balance.generator, 0) for _, one in found)))
    if made.purpose == "stand-alone":
        rows.append(("lasts without sun", *(f"{show.fixed(one.autonomy_days, 1)} days" for _, one in found)))
    if made.purpose != "stand-alone":
        rows.append(("highest import of 15 min", *(show.power(one.peak_w) for _, one in found)))
        rows.append(("of its use not from the grid", *(share_told(one.own_share, show) for _, one in found)))
    rows += _lack_rows(made, [one for _, one in found], names, show)
    if made.currency:
        rows.append((f"to buy, {made.currency}", *(show.fixed(one, 0) for one in bought)))
    return rows


def _span_told(made: Quote, show: Show) -> str:
    """Return over what time something adds up."""
    days = round(made.stretch_days)
    return "in a year" if days in (365, 366) else f"in {show.fixed(days, 0)} days" if days > 1 else "in a day"


def carrier_rows(made: Quote, show: Show) -> Rows:
    """Return the ways to carry the site where there is a generator: alone, beside a battery, or a battery without it."""
    money = made.currency
    rows: Rows = [("Ways to carry the site", *(f"{one.name}" for one in made.carriers))]
    points = [one.point for one in made.carriers]
    sizes = [one.found.size for one in points]
    rows.append(("does what was asked", *("yes" if one.reached else "no" for one in made.carriers)))
    if any(one.why_not for one in made.carriers):
        rows.append(("why not", *(one.why_not for one in made.carriers)))
    rows.append(("inverter", *(inverter_told(one, show) for one in sizes)))
    rows.append(("battery", *(battery_told(one, show) for one in sizes)))
    rows.append(("PV", *(pv_told(one, show) for one in sizes)))
    rows.append(("unserved", *(share_told(one.found.lpsp, show, beside=made.asked) for one in points)))
    rows.append(("trips", *(show.fixed(one.found.trips, 0) for one in points)))
    rows.append(("from the generator", *(show.energy(one.found.balance.generator, 0) for one in points)))
    if money:
        rows.append((f"to buy, {money}", *(show.fixed(one.bought, 0) for one in points)))
        rows.append((f"over the years, {money}", *(show.fixed(one.owned, 0) for one in points)))
    return rows


def working_rows(made: Quote, show: Show) -> Rows:
    """Return how the sizes under both sets of rules come about; only the head where nothing carries the site."""
    found = [("today's switching", made.today), *([("the plan", made.plan)] if made.plan is not None else [])]
    ratings = [one.rating for _, one in found]
    rows: Rows = [("How it comes about", *(name for name, _ in found))]
    if any(one.outage_kwh > 0.0 for _, one in found):
        rows.append(("most that an outage takes", *(show.energy(one.outage_kwh, 1) for _, one in found)))
    if any(one.gives_wh > 0.0 for _, one in found):
        rows.append(("highest power for a moment", *(show.power(one.highest_w) for _, one in found)))
        rows.append(("battery that gives it", *(show.energy(one.gives_wh / 1000.0, 1) for _, one in found)))
    if any(one is not None and one.hidden_va > 0.0 for one in ratings):
        rows.append(("kept for hidden peaks", *(_NONE if one is None else show.apparent(one.hidden_va) for one in ratings)))
    if any(one is not None for one in ratings):
        rows.append(("the largest that trips", *(_trips(one, show) for one in ratings)))
        rows.append(("the least that does not", *(_bears(one, show) for one in ratings)))
    least = [one.least for _, one in found]
    if any(one is not None and not one.size.is_nothing for one in least):
        rows.append(("least in all: inverter", *(_NONE if one is None else inverter_told(one.size, show) for one in least)))
        rows.append(("and battery", *(_NONE if one is None else battery_told(one.size, show) for one in least)))
        rows.append(("usable in it", *(_usable(one, show) for _, one in found)))
        rows.append(("and PV", *(_NONE if one is None else pv_told(one.size, show) for one in least)))
    return rows


def _usable(sized: Sized, show: Show) -> str:
    least = sized.least
    return _NONE if least is None else show.energy(least.size.battery_wh / 1000.0 * sized.usable, 1)


def _trips(rating: Rating | None, show: Show) -> str:
    tripping = [] if rating is None else [one for one in rating.tried if one.trips > 0]
    if not tripping:
        return _NONE
    return show.rating(tripping[-1].rating_va, "VA")


def _bears(rating: Rating | None, show: Show) -> str:
    return _NONE if rating is None or rating.rating_va is None else show.rating(rating.rating_va, "VA")


def bought_rows(made: Quote, names: Mapping[str, str], show: Show) -> Rows:
    """Return what is bought, piece by piece, what for, and its cost where there are prices; they add up to what is to buy."""
    named = ", ".join(f"{names.get(one.load, one.load)} {show.number(as_least(one.current_a), 3)} A" for one in made.held)
    rows: Rows = [("What is bought", "how much", "for", *((f"cost\n{made.currency}",) if made.currency else ()))]
    for one in made.parts:
        laid = "; ".join(f"{each.roof}: {show.rating(each.pv_w, 'Wp')}" for each in made.laid)
        held = f"each contactor bears at least: {named}" if one.name.startswith("relay") else laid if one.name == "PV" else ""
        cost = (show.fixed(float(one.cost), 0),) if made.currency else ()
        rows.append((one.name, f"{show.nominal(one.amount)} {one.unit}", held, *cost))
    if made.currency and made.parts:
        rows.append(("together", "", "", show.fixed(made.bought, 0)))
    return rows


def has_own_pv(made: Quote) -> bool:
    """Return whether PV is there and stays beside what is bought."""
    return any(one.code == BESIDE.code for one in made.findings)


def pv_of(made: Quote, size: Size, show: Show) -> str:
    """Return the modules of a size in words; where none are added to what is there and stays, that it is there."""
    return THERE if size.pv_w == 0.0 and has_own_pv(made) else pv_told(size, show)


def without_noughts(rows: Rows, head: str) -> Rows:
    """Return rows without a column that holds only noughts: it says nothing, and a narrow window has room for few."""
    at = rows[0].index(head) if head in rows[0] else None
    if at is None or any(row[at] != "0" for row in rows[1:]):
        return rows
    return [(*row[:at], *row[at + 1 :]) for row in rows]


def inverter_told(size: Size, show: Show) -> str:
    """Return the rating of a size's inverter in words."""
    return show.rating(size.inverter_va, "VA") if size.inverter_va else _NONE


def battery_told(size: Size, show: Show) -> str:
    """Return the energy of a size's battery in words."""
    return f"{show.nominal(size.battery_wh / 1000.0)}{THIN}kWh" if size.battery_wh else _NONE


def pv_told(size: Size, show: Show) -> str:
    """Return the power of a size's modules in words."""
    return show.rating(size.pv_w, "Wp") if size.pv_w else _NONE


def share_told(share: float, show: Show, *, brief: bool = False, beside: float | None = None) -> str:
    """Return a share in words, as few digits as it takes: none of it, less than a tenth of a percent, some, nearly all of it.

    ``brief`` has signs in place of words, for a narrow column; ``beside`` is a share that it must not seem to be.
    """
    less, more = ("<", ">") if brief else ("less than", "more than")
    if share <= 0.0 or share >= 1.0 - _NOISE:
        return f"{show.fixed(100.0 * max(share, 0.0), 0)}{THIN}%"
    if share < _LEAST_SHARE:
        return f"{less} {show.plain(100.0 * _LEAST_SHARE)}{THIN}%"
    if share > _MOST_SHARE:
        return f"{more} {show.plain(100.0 * _MOST_SHARE)}{THIN}%"
    return f"{show.plain(two_digits(share, beside))}{THIN}%"


def energy_told(energy_kwh: float, show: Show) -> str:
    """Return an energy in words, as few digits as it takes: none, or less than can be shown."""
    if energy_kwh <= 0.0:
        return _NONE
    return show.energy(energy_kwh, 2) if energy_kwh >= _LEAST_KWH else f"under {show.plain(_LEAST_KWH)}{THIN}kWh"


def case_rows(made: Quote, names: Mapping[str, str], show: Show) -> Rows:
    """Return what becomes of the quoted size in the three cases, and what loads lack in each; only a head where there is none."""
    found = [one.found for one in made.cases]
    rows: Rows = [(f"What {is_quoted(made)}, with", *(one.called(names) for one in made.cases))]
    if not found:
        return rows
    if made.purpose != "beside the grid" or any(one.trips for one in found):
        rows.append(("trips", *(show.fixed(one.trips, 0) for one in found)))
        rows.append(("not served", *(energy_told(one.unserved_kwh, show) for one in found)))
    if made.purpose != "stand-alone":
        rows.append(("highest import of 15 min", *(show.power(one.peak_w) for one in found)))
    rows.append(("above rating", *(show.duration(one.above_s) or _NONE for one in found)))
    return rows + _lack_rows(made, found, names, show) + _runs_less_rows(made, found, names, show)


def _lack_rows(made: Quote, found: list[Confirmed], names: Mapping[str, str], show: Show) -> Rows:
    """Return what each load failed to give, a row each; loads that lack nothing in any column are left out."""
    rows: Rows = []
    for place, (load, _, unit) in enumerate(found[0].lacks):
        lacks = [one.lacks[place][1] for one in found]
        if max(lacks) >= LITTLE:
            told = (_NONE if each < LITTLE else f"{show.plain(significant(each))} {unit}" for each in lacks)
            rows.append((f"{names.get(load, load)} lacks, {_span_told(made, show)}", *told))
    return rows


def _runs_less_rows(made: Quote, found: list[Confirmed], names: Mapping[str, str], show: Show) -> Rows:
    """Return how much less loads of which no service is known run than while the plan works, a row each that does."""
    rows, (working, *_) = Rows(), found
    less = [{one.load: one.amount for one in shorts(each, working) if one.runs} for each in found]
    for load, _ in working.runs_h:
        if any(load in one for one in less):
            told = (f"{show.plain(significant(one[load]))} {RUNNING}" if load in one else _NONE for one in less)
            rows.append((f"{names.get(load, load)} runs less, {_span_told(made, show)}", *told))
    return rows


def sun_rows(made: Quote, show: Show) -> Rows:
    """Return what outages do to the quoted size on other days of their season; only the head where none was tried."""
    rows: Rows = [("Outages on", "not served", "of what is wanted", "trips")]
    for one, other in zip(made.suns, (1, 0, 0), strict=False):
        share = share_told(one.found.lpsp, show, beside=made.suns[other].found.lpsp)
        rows.append((one.name, energy_told(one.found.unserved_kwh, show), share, show.fixed(one.found.trips, 0)))
    return without_noughts(rows, "trips")


def front_rows(made: Quote, sized: Sized, show: Show) -> Rows:
    """Return a front and the least that does what was asked, the cheapest first."""
    money, tells_trips = made.currency, made.purpose != "beside the grid"
    trips_head = ("trips",) if tells_trips else ()
    head = (
        "Inverter",
        "battery",
        "PV",
        made.front_by,
        *trips_head,
        *((f"to buy\n{money}", f"over the years\n{money}") if money else ()),
    )
    rows: Rows = [head]
    for one in with_least(sized):
        size = one.found.size
        trips = (show.fixed(one.found.trips, 0),) if tells_trips else ()
        figures = (show.fixed(one.bought, 0), show.fixed(one.owned, 0)) if money else ()
        rows.append(
            (
                inverter_told(size, show), battery_told(size, show), pv_of(made, size, show), least_told(made, one, show),
                *trips, *figures,
            )
        )  # fmt: skip
    return without_noughts(rows, "trips")


def with_least(sized: Sized) -> tuple[Point, ...]:
    """Return the front with the least that does what was asked among it, the cheapest over the years first."""
    least = sized.offered
    if least is None or any(one.found.size == least.found.size for one in sized.front):
        return sized.front
    return tuple(sorted((*sized.front, least), key=lambda one: one.owned))


def least_told(made: Quote, one: Point, show: Show) -> str:
    """Return what a front sets against cost, as it is shown in a column."""
    if made.front_by == "highest import":
        return show.power(one.least)
    return share_told(one.least, show, brief=True, beside=made.asked)


def worth_rows(made: Quote, show: Show) -> list[tuple[str, str]]:
    """Return what the hardware alone is worth beside the site without it, and how its battery lasts, in pairs."""
    worth, risk = made.worth, made.risk
    wears = [] if made.ageing is None else [("battery lasts", _lasts(made.ageing, show))]
    if worth is None:
        return ([] if made.life is None else _life_rows(made.life, risk, show)) + wears
    never = "never within these years"
    terms = f"{worth.currency}, {worth.terms}, at {show.nominal(100.0 * worth.rate)}{THIN}% a year"
    bills = made.bare.bill, None if made.usual is None else made.usual.bill
    rows = [
        ("invested", f"{show.fixed(-float(worth.total[0]), 0)} {worth.currency}"),
        ("bills of these days", f"{_amount(bills[0], show)} without it and {_amount(bills[1], show)} with it, {worth.currency}"),
        *_recorded_rows(made, show),
        ("saves in a year", f"{show.fixed(made.saved_a_year, 0)} {worth.currency}, at prices of today"),
        ("net present value", f"{show.fixed(worth.npv, 0)} {terms}"),
        *([("left at the end", f"{show.fixed(worth.left, 0)} {_LEFT.format(worth.currency)}")] if worth.left else []),
        ("internal rate of return", _rate(worth, show)),
        ("paid back after", never if worth.payback_years is None else f"{show.fixed(worth.payback_years, 1)} years"),
        ("and discounted", never if worth.discounted_years is None else f"{show.fixed(worth.discounted_years, 1)} years"),
    ]
    for one in made.scenarios:
        told = f"{show.fixed(one.npv, 0)} {worth.currency}, if prices change by {show.nominal(100.0 * one.change)}{THIN}% a year"
        rows.append((f"net present value, {one.name}", told))
    if worth.energy_cost is not None:
        rows.append(("cost of its energy", f"{show.fixed(worth.energy_cost, 3)} {worth.currency} per kWh"))
    if risk is not None:
        band = f"{show.fixed(risk.low, 0)} to {show.fixed(risk.high, 0)} {worth.currency} in nine of ten draws"
        rows.append(("how sure", f"{band}; a loss in {share_told(risk.loss_share, show)} of them"))
    return rows + wears


def _recorded_rows(made: Quote, show: Show) -> list[tuple[str, str]]:
    """Return the bill of the readings beside that of today's rules as they are simulated, and how far they are apart."""
    read, modelled = made.recorded_bill, made.as_is.bill
    if read is None or modelled is None:
        return []
    apart_by = modelled - read
    differs = (
        f"{show.percent(abs(apart_by / read), 2)} {'more' if apart_by > 0.0 else 'less'}" if read and apart_by else "the same"
    )
    told = f"{show.fixed(read, 0)} {made.currency}; simulated as it is {show.fixed(modelled, 0)}, {differs}"
    return [("bill by the readings", told)]


def _rate(worth: Worth, show: Show) -> str:
    """Return the internal rate of return; where none is quoted a dash, and why."""
    return f"{MISSING} {worth.no_irr}" if worth.irr is None else f"{show.nominal(100.0 * worth.irr, 2)}{THIN}%"


def _life_rows(life: LifeCost, risk: Risk | None, show: Show) -> list[tuple[str, str]]:
    """Return what a site without a grid costs over the years, part by part, and each kWh that it is given."""
    rate = f"{show.nominal(100.0 * life.rate)}{THIN}% a year"
    rows = [
        ("cost over the years", f"{show.fixed(life.present, 0)} {life.currency} of today's money, {life.terms}, at {rate}"),
        ("of it to buy", f"{show.fixed(life.capital, 0)} {life.currency}"),
    ]
    others = (
        ("replacements", life.replacements), ("upkeep", life.upkeep), ("fuel", life.fuel), ("loan and tax", life.financing),
        ("less what is left at the end", -life.left), ("less grants", -life.grants),
    )  # fmt: skip
    rows += [(name, f"{show.fixed(amount, 0)} {life.currency}") for name, amount in others if abs(amount) >= _LITTLE]
    served = show.energy(life.served_kwh, 0)
    rows.append(("cost of a kWh served", f"{show.fixed(life.energy_cost, 3)} {life.currency}, for {served} a year"))
    if risk is not None:
        rows.append(("how sure", f"{show.fixed(risk.low, 0)} to {show.fixed(risk.high, 0)} {life.currency} in nine of ten draws"))
    return rows


def _amount(value: float | None, show: Show) -> str:
    return _NONE if value is None else show.fixed(value, 0)


def tornado_rows(made: Quote, show: Show) -> Rows:
    """Return what moves the worth most: the band of each source alone, the widest first; only the head where none was asked."""
    bars = () if made.risk is None else made.risk.tornado
    rows: Rows = [("Only this is unsure", "low", "middle", "high")]
    return rows + [(one.source, *(show.fixed(value, 0) for value in (one.low, one.middle, one.high))) for one in bars]


def _lasts(ageing: Ageing, show: Show) -> str:
    few = ageing.full_cycles_per_year < 1.0
    cycles = "less than one full cycle a year" if few else f"{show.fixed(ageing.full_cycles_per_year, 0)} full cycles a year"
    return f"{show.fixed(ageing.life_years, 0)} years, by {ageing.decides}; {cycles}"


def listed(parts: list[str]) -> str:
    """Return parts in one row of words."""
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
