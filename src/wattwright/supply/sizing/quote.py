"""The quote: sizes with today's switching and with the plan, what control is worth in hardware, and where it may fail."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from wattwright.core.findings import Finding
from wattwright.core.labour import IN_TURN, Labour
from wattwright.core.progress import SILENT, Progress
from wattwright.simulate.results import Balance
from wattwright.simulate.supply import Supply
from wattwright.supply.money.life import LifeCost, life_cost, of_costs
from wattwright.supply.money.risk import Risk, risk
from wattwright.supply.money.spec import LONGEST_YEARS, Investment
from wattwright.supply.money.worth import Worth, worth
from wattwright.supply.per_cent import significant, two_digits
from wattwright.supply.sizing import kinds
from wattwright.supply.sizing.answer import Carried, Case, Foreseen, HeldOff, Laid, Quote, Sized
from wattwright.supply.sizing.asking import Asking
from wattwright.supply.sizing.cases import shorts
from wattwright.supply.sizing.confirm import Confirmed, charge_of
from wattwright.supply.sizing.least import Least, leasts, of_all, on_one_grid
from wattwright.supply.sizing.outages import on_one_set
from wattwright.supply.sizing.seek import YEAR_H, Seeker, seeker
from wattwright.supply.sizing.sizes import NOTHING, Size
from wattwright.supply.sizing.spec import QuoteSpec
from wattwright.supply.sizing.suns import SUNS, under_sun
from wattwright.supply.sizing.way import Way
from wattwright.supply.wear.ageing import Ageing, ageing

_YEAR_DAYS, _NEAR_DAYS, _FEW_DAYS = 365.0, 14.0, 28.0
_MOST_DC = 1.5
"""Modules over the rating of an inverter beyond which its maker is to be asked: common practice, no source."""
_LITTLE = 1e-9
_LEAST_GIVEN = 1e-6
"""Of what the site takes: a difference of two balances that is less is rounding, and no yield."""
_FAR = 0.1
"""How far the bill of the readings and the simulated one may lie apart before it is asked why: common practice, no source."""
_LEAST_KWH = 0.001
"""Less than that is told as that."""
_MISSED = 0.01
"""Outages that take less than the worst by no more than this are as good as it: common practice, no source."""
GENERATOR_ALONE = "generator alone"


@dataclass(frozen=True, slots=True, eq=False)
class _Money:
    """The hardware alone beside the site without it, under the rules it is quoted with; of one without a grid what it costs."""

    bare: Confirmed
    usual: Confirmed | None
    ageing: Ageing | None
    worth: Worth | None
    risk: Risk | None
    scenarios: tuple[Foreseen, ...] = ()
    life: LifeCost | None = None


def quote(
    asking: Asking, today: Way, plan: Way | None, progress: Progress = SILENT, labour: Labour = IN_TURN
) -> Quote:  # fmt: skip
    """Return what inverter, battery and PV to quote for a site under today's rules and under a plan, None where there is none.

    Raises Cancelled by ``progress``.
    """
    asking = on_one_set(asking, [today] if plan is None else [today, plan])
    there = None if asking.costing.generator_w > 0.0 else asking.generator
    asking, carriers = _on_best_carrier(_on_best_roofs(asking, plan or today, progress), today, plan, progress)
    of_today = seeker(asking, today, progress)
    of_plan = None if plan is None else _bound(of_today, seeker(asking, plan, progress))
    of_today, sized_today, of_plan, sized_plan = _both_sized(of_today, of_plan, progress)
    used, sized = (of_today, sized_today) if of_plan is None or sized_plan is None else (of_plan, sized_plan)
    size, relies = _quoted(asking, sized_today, sized_plan)
    quoted = sized.found if size == sized.size else used.ask(size)
    cases = () if plan is None else tuple(_cases(used, size, quoted))
    money, suns = _money(asking, used, size, progress, labour), tuple(_under_suns(asking, used, size))
    days = used.course.hours / 24.0
    fed, parts = _fed(asking, used, size), asking.costing.parts(size, used.held_off(size), _battery_years(asking, money.ageing))
    held = tuple(HeldOff(load, used.way.held_a(load)) for load in used.way.order[: used.held_off(size)])
    made = Quote(
        asking.purpose, asking.costing.currency, asking.outage_s, asking.unserved, asking.by, days, _first_and_last(asking, used),
        sized_today, sized_plan, size,
        relies, quoted, used.bought(size), fed, used.way.carried(size.inverter_va), parts, held, _laid(asking, size),
        money.bare, money.usual, cases, suns, money.ageing, money.worth, money.life, money.risk, money.scenarios, carriers,
        of_today.as_is(there), _plan_saves(of_today, of_plan, money.bare), (), outage_sun=_sun_of(asking, size),
        owned=used.point(quoted).owned, worn=used.worn(size), worn_share=asking.spec.wear.end_share,
        most_undone=asking.most_undone,
        plan_alone=None if of_plan is None or asking.purpose == "stand-alone" else of_plan.as_is(there),
    )  # fmt: skip
    return replace(made, findings=tuple(_told(asking, made, used)))


def _on_best_roofs(asking: Asking, way: Way, progress: Progress) -> Asking:
    """Return the question with PV on the roofs that do what is asked at least cost, under the rules it is quoted with."""
    if len(asking.layouts) == 1:
        return asking
    found = []
    for layout in asking.layouts:
        of_layout = seeker(asking.on(layout), way, progress)
        found.append(of_layout.cost_of(of_layout.sized(progress)))
    return asking.on(asking.layouts[found.index(min(found))])


def _on_best_carrier(
    asking: Asking, today: Way, plan: Way | None, progress: Progress
) -> tuple[Asking, tuple[Carried, ...]]:  # fmt: skip
    """Return the question with the generator, or without it where that is better, and the ways to carry the site side by side.

    They are held against one another under the rules they would be quoted with. A generator that holds only while the plan works
    is no way: no rating relies on control.
    """
    if asking.generator is None or not asking.carries:
        return asking, ()
    way, free = plan or today, asking.without_generator
    found, costs = list[Carried](), list[tuple[tuple[bool, float], Asking]]()
    alone = seeker(asking, way, progress)
    why_not = alone.fails_alone()
    if plan is not None and not why_not:
        by_today = seeker(asking, today, progress).fails_alone()
        why_not = f"with today's switching {by_today}" if by_today else ""
    found.append(Carried(GENERATOR_ALONE, alone.point(alone.ask(NOTHING)), not why_not, why_not))
    costs.append(((bool(why_not), found[0].point.owned), asking))
    both = [("battery and generator", replace(asking, has_store=True))]
    # Where there is neither grid nor sun a battery alone has nothing to be filled from.
    both += [("battery without it", free)] if asking.purpose != "stand-alone" or asking.layout.most_w > 0.0 else []
    for name, each in both:
        of_each = alone if each is not free else seeker(each, way, progress)
        of_each = replace(of_each, asking=each)
        sized = of_each.sized(progress)
        found.append(Carried(name, of_each.point(sized.found), sized.reached))
        costs.append((of_each.cost_of(sized), asking if each is not free else free))
    return min(costs, key=lambda one: one[0])[1], tuple(found)


def _bound(of_today: Seeker, of_plan: Seeker) -> Seeker:
    """Return a plan's seeker that lets a generator stand alone only where it does without the plan too.

    An order to shed stays set by the rating the plan needs: a larger inverter is no reason to let more run.
    """
    needed_va = 0.0 if of_plan.rating is None else of_plan.rating.rating_va or 0.0
    may_be_bare = of_plan.asking.generator is None or of_today.generator_holds()
    return replace(of_plan, may_be_bare=may_be_bare, way=replace(of_plan.way, set_va=needed_va or None))


def _both_sized(
    of_today: Seeker, of_plan: Seeker | None, progress: Progress
) -> tuple[Seeker, Sized, Seeker | None, Sized | None]:  # fmt: skip
    """Return both seekers on one grid of sizes with their answers; a plan's options rely on control only where accepted."""
    of_today, *of_others = on_one_grid([of_today, *([of_plan] if of_plan is not None else [])])
    least_today, *least_others = leasts([of_today, *of_others], progress)
    sized_today = _with_least(of_today, least_today, progress)
    for of_other, least in zip(of_others, least_others, strict=True):
        asking = of_other.asking
        least_va = _needed_va(sized_today) if asking.carries and not asking.accepted else 0.0
        of_other = replace(of_other, least_va=least_va)
        return of_today, sized_today, of_other, _with_least(of_other, least, progress)
    return of_today, sized_today, None, None


def _with_least(site: Seeker, least: Least, progress: Progress) -> Sized:
    """Return the answer with the least beside it."""
    sized = site.sized(progress, least.made)
    found = of_all(site, least, sized)
    offered = None if found is None else site.point(site.ask(site.at_least(found.size)))
    return replace(sized, least=found, offered=offered)


def _quoted(asking: Asking, today: Sized, plan: Sized | None) -> tuple[Size, bool]:
    """Return the size to quote, and whether its rating relies on control: never without a recorded acceptance."""
    if plan is None:
        return today.size, False
    size, by_today = plan.size, _needed_va(today)
    if not asking.carries or size.is_nothing or size.inverter_va >= by_today:
        return size, False
    if asking.accepted:
        return size, True
    return replace(size, inverter_va=by_today), False


def _needed_va(today: Sized) -> float:
    """Return the rating that today's rules need, though a generator alone may do."""
    needed_va = 0.0 if today.rating is None else today.rating.rating_va or 0.0
    return needed_va if today.size.is_nothing else today.size.inverter_va


def _fed(asking: Asking, used: Seeker, size: Size) -> Supply:
    """Return what feeds the site with a size, its connection as it is."""
    return used.plant.supply(size).model_copy(update={"connection": asking.connection})


def _first_and_last(asking: Asking, used: Seeker) -> tuple[str, str]:
    """Return the first and the last day that sizes rest on, as dates of the site's clock."""
    span = used.way.scenario.span
    first, last = (asking.clock.day_of(time_s).isoformat() for time_s in (span.start_s, span.end_s - 1))
    return first, last


def _laid(asking: Asking, size: Size) -> tuple[Laid, ...]:
    """Return how much of the PV lies on each roof."""
    return tuple(Laid(name, size.pv_w * share) for name, share in asking.layout.parts) if size.pv_w > 0.0 else ()


def _cases(used: Seeker, size: Size, quoted: Confirmed) -> Iterator[Case]:
    """Yield what becomes of the size with the plan working, with the link lost, and with the contact welded that harms most."""
    way = used.way
    yield Case("plan working", quoted)
    yield Case("link lost", used.ask(size, way.unlinked()))
    welded = [(load, used.ask(size, way.welded(load))) for load in way.switched]
    if welded:
        load, worst = max(welded, key=lambda one: (one[1].trips, one[1].unserved_kwh, one[1].peak_w))
        yield Case(f"contact of {load} welded", worst, load)


def _under_suns(asking: Asking, used: Seeker, size: Size) -> Iterator[Case]:
    """Yield what outages do to the size on other days of their season."""
    if asking.purpose != "carries the site in outages" or size.pv_w <= 0.0 or used.grid.all():
        return
    for name, rank in SUNS:
        plant = replace(used.plant, pv_share=under_sun(asking.layout.share, used.grid, used.way.scenario.step_s, rank))
        yield Case(name, replace(used, plant=plant).ask(size))


def _sun_of(asking: Asking, size: Size) -> str:
    """Return which sun the choice of a size for outages rests on; empty where none helps in one."""
    return asking.spec.outage_sun if asking.purpose == "carries the site in outages" and size.pv_w > 0.0 else ""


def _money(asking: Asking, used: Seeker, size: Size, progress: Progress, labour: Labour) -> _Money:
    """Return how the battery wears and what the hardware is worth, with the grid as it usually is: always there, or never."""
    has_grid = asking.purpose != "stand-alone"
    plain = used.usual
    bare = plain.ask(asking.kept)
    aged = _ageing(asking, plain, size)
    if not has_grid and asking.costing.currency:
        return _without_bills(asking, plain, size, aged, bare, progress, labour)
    if not (has_grid and asking.costing.currency) or bare.bill is None or size == asking.kept:
        return _Money(bare, None, aged, None, None)
    with_it, a_year = plain.ask(size), YEAR_H / used.course.hours
    assert with_it.bill is not None  # a tariff that can say what the bare site costs can say what this does
    balance, costing = with_it.balance, asking.costing
    given_kwh = None if size.pv_w <= asking.kept.pv_w else _given_kwh(balance, bare.balance)
    spec = costing.investment(
        size, (bare.bill - with_it.bill) * a_year, None if given_kwh is None else given_kwh * a_year,
        _battery_years(asking, aged), used.held_off(size),
    )  # fmt: skip
    spread = costing.money.spread
    drawn = None if spread is None else risk(spec, spread, asking.seed, labour=labour, progress=progress)
    others = tuple(Foreseen(one.name, one.change, _at_change(spec, one.change)) for one in costing.money.scenarios)
    return _Money(bare, with_it, aged, worth(spec), drawn, others)


def _given_kwh(with_it: Balance, bare: Balance) -> float | None:
    """Return what PV that is bought gives in the stretch, kWh; None where that is too little to share its cost among."""
    given_kwh = with_it.pv - with_it.spilled - (bare.pv - bare.spilled)
    return given_kwh if given_kwh > _LEAST_GIVEN * with_it.site else None


def _without_bills(
    asking: Asking, plain: Seeker, size: Size, aged: Ageing | None, bare: Confirmed, progress: Progress, labour: Labour
) -> _Money:  # fmt: skip
    """Return what carrying a site without a grid costs over the years; nothing where it is not served at all."""
    balance, a_year, costing = plain.ask(size).balance, YEAR_H / plain.course.hours, asking.costing
    if balance.site <= 0.0:
        return _Money(bare, None, aged, None, None)
    spec = costing.carrying(size, balance.generator * a_year, _battery_years(asking, aged), plain.held_off(size))
    spread = costing.money.spread
    drawn = None if spread is None else of_costs(risk(spec, spread, asking.seed, labour=labour, progress=progress))
    return _Money(bare, None, aged, None, drawn, life=life_cost(spec, balance.site * a_year))


def _plan_saves(of_today: Seeker, of_plan: Seeker | None, bare: Confirmed) -> float | None:
    """Return what the plan saves on bills over the years where nothing is bought, in money of today."""
    if of_plan is None or not of_today.has_bill:
        return None
    if bare.bill is None:
        return None
    a_year = YEAR_H / of_today.course.hours
    return (of_today.bare_bill - bare.bill) * a_year * of_today.asking.costing.bill_factor()


def _at_change(spec: Investment, change: float) -> float:
    """Return what an investment is worth if prices of energy change so much a year."""
    return worth(spec.model_copy(update={"saving": spec.saving.model_copy(update={"change": change})})).npv


def _battery_years(asking: Asking, aged: Ageing | None) -> int:
    """Return the life of the battery: as stated, as its charge leaves it, or the usual."""
    costing = asking.costing
    return costing.battery_years if aged is None or costing.prices.battery_years else aged.whole_years(LONGEST_YEARS)


def _ageing(asking: Asking, plain: Seeker, size: Size) -> Ageing | None:
    if size.battery_wh <= 0.0:
        return None
    course = charge_of(plain.plant, plain.way, size, plain.grid)
    return ageing(asking.spec.wear, course, plain.way.scenario.step_s, asking.costing.money.years)


def _told(asking: Asking, made: Quote, used: Seeker) -> Iterator[Finding]:
    yield from _of_means(asking, made)
    for name, sized in (("today's rules", made.today), ("the plan", made.plan)):
        if sized is not None:
            yield from _of_size(asking, name, sized)
    yield from _of_control(asking, made)
    size = made.size
    if size.pv_w > _MOST_DC * size.inverter_va > 0.0:
        yield kinds.MUCH_PV.at("quote", pv=size.pv_w, rating=size.inverter_va)
    if made.suns and made.suns[0].found.unserved_kwh > made.quoted.unserved_kwh + _LITTLE:
        (dark, usual), wanted = (one.found.lpsp for one in made.suns[:2]), (made.plan or made.today).outage_kwh
        yield kinds.NEEDS_SUN.at("quote", dark=two_digits(dark, usual), usual=two_digits(usual, dark), wanted=wanted)
    yield from of_worn(made)
    if made.ageing is not None:
        yield from made.ageing.findings
    supply_va = asking.connection.rating_va
    if asking.purpose != "stand-alone" and supply_va is not None and size.inverter_va > supply_va:
        protection = asking.connection.rating_a or 0.0
        yield kinds.BEYOND_SUPPLY.at("supply.main_protection", rating=size.inverter_va, supply=supply_va, main=protection)
    yield from () if made.worth is None else made.worth.findings
    if made.told_now is not None and asking.costing.is_loan_too_large(sum((one.cost for one in made.parts), Decimal(0))):
        yield kinds.LOAN_LARGER.at("quote.money.loan")


def of_worn(made: Quote) -> Iterator[Finding]:
    """Yield that what is quoted does what was asked on its first day, and no more once its battery is worn."""
    worn = made.worn
    if worn is not None and worn.lpsp > made.asked + _LITTLE and made.quoted.lpsp <= made.asked + _LITTLE:
        left, more = two_digits(made.worn_share), two_digits(1.0 / made.worn_share - 1.0)
        lpsp, asked = two_digits(worn.lpsp, made.asked), two_digits(made.asked, worn.lpsp)
        yield kinds.WORN.at("quote", left=left, lpsp=lpsp, asked=asked, more=more)


def of_recorded(kept: Size, read: float | None, modelled: float | None) -> Iterator[Finding]:
    """Yield that the bill of the readings and that of the site as it is simulated, with a battery that is kept, are far apart.

    ``read`` and ``modelled`` are both of the same days, None where no tariff can tell it. The readings may have been taken with
    the battery at work already: it is then simulated twice.
    """
    if kept.battery_wh > 0.0 and read and modelled is not None and abs(modelled / read - 1.0) > _FAR:
        share = two_digits(modelled / read - 1.0)
        yield kinds.KEPT_IN_RECORD.at("quote.keeps", read=round(read), modelled=round(modelled), share=abs(share))


def _of_size(asking: Asking, name: str, sized: Sized) -> Iterator[Finding]:
    """Yield what there is to say of one answer: that it misses what was asked, and that it lies at the edge of what was tried."""
    found = sized.found
    overloaded = sized.rating is not None and sized.rating.rating_va is None
    # Where no rating bears the site, but nothing fails in the outages tried, the rating alone is what fails.
    fails = found.trips > 0 or found.lpsp > asking.unserved + _LITTLE or not overloaded
    if not sized.reached and asking.carries and fails:
        yield from _of_nearest(name, found, asking.unserved)
    elif not sized.reached and not asking.carries:
        yield kinds.MISSED.at(name, rules=name, peak=found.peak_w, own=two_digits(found.own_share))
    if overloaded:
        yield kinds.NO_RATING.at(name, rules=name, largest=asking.ratings_va[-1])
    if found.size.battery_wh >= sized.battery_most_wh > 0.0:
        yield kinds.AT_EDGE.at(name, rules=name, battery=found.size.battery_wh / 1000.0)


def _of_nearest(name: str, found: Confirmed, asked: float) -> Iterator[Finding]:
    """Yield what the nearest size leaves undone, where none does what was asked."""
    if found.trips > 0:
        yield kinds.NOT_REACHED_TRIPS.at(name, rules=name, trips=found.trips)
    if found.lpsp > 0.0 or found.trips == 0:
        yield kinds.NOT_REACHED.at(name, rules=name, lpsp=two_digits(found.lpsp, asked))


def _of_means(asking: Asking, made: Quote) -> Iterator[Finding]:
    """Yield what the answer had to do without."""
    if asking.spec.prices is None:
        yield kinds.NO_PRICES.at("quote.prices")
    elif not asking.costing.currency or (asking.tariff is None and asking.purpose != "stand-alone"):
        yield kinds.NO_TARIFF.at("tariff")
    if made.plan is None:
        yield kinds.NO_PLAN.at("plan")
    yield from _of_question(asking, made)
    if asking.layout.most_w <= 0.0:
        yield kinds.NO_PV.at("quote.pv")
    if made.stretch_days < _FEW_DAYS:
        yield kinds.FEW_DAYS.at("record", days=made.stretch_days)
    elif abs(made.stretch_days - _YEAR_DAYS) > _NEAR_DAYS:
        yield kinds.NO_YEAR.at("record", days=made.stretch_days)
    if asking.hidden_va > 0.0 and asking.carries:
        rating = made.today.rating
        yield kinds.HIDDEN.at("record", hidden=asking.hidden_va if rating is None else rating.hidden_va)
        if asking.hidden_on_one is None and len(asking.connection.phases) > 1:
            yield kinds.HIDDEN_ONE.at("record", hidden=asking.hidden_rating_va, even=asking.hidden_va)
    yield from _of_inverter(asking)
    yield from _of_draw(asking, made.size.inverter_va)
    if asking.missed > _MISSED:
        yield kinds.WORST_MISSED.at("quote.outage", share=two_digits(asking.missed))


def _of_inverter(asking: Asking) -> Iterator[Finding]:
    """Yield what is not known of the inverter, and what drops out while it takes the site over."""
    inverter = asking.inverter
    if asking.purpose != "carries the site in outages":
        return
    takes_s, bears_s = inverter.takes_over_s, asking.spec.bears_s
    if takes_s is None:
        yield kinds.TAKE_OVER_ASKED.at("inverter.takes_over_after")
    elif bears_s is None:
        yield kinds.GAP.at("quote.bears", time=takes_s)
    elif takes_s > bears_s:
        yield kinds.GAP_TOO_LONG.at("quote.bears", time=takes_s, bears=bears_s)


def _of_draw(asking: Asking, rating_va: float) -> Iterator[Finding]:
    """Yield what the own draw of a quoted inverter of ``rating_va`` rests on where nobody told it."""
    inverter = asking.inverter
    stays = rating_va == asking.kept.inverter_va > 0.0
    if asking.spec.own_draw is not None and not stays:
        return
    if inverter.idle_w == 0.0 and not inverter.by_power:
        yield kinds.NO_DRAW.at("inverter.idle")
    elif inverter.idle_w > 0.0 and rating_va not in (0.0, inverter.rating_va):
        draw_w = inverter.idle_w / inverter.rating_va * rating_va
        yield kinds.DRAW_SCALED.at("quote.own_draw", told=inverter.idle_w, of=inverter.rating_va, draw=draw_w, rating=rating_va)


def _of_question(asking: Asking, made: Quote) -> Iterator[Finding]:
    """Yield what of the question the answer leaves aside."""
    if made.by_generator and asking.generator is not None:
        yield kinds.GENERATOR_GAP.at("generator.delay", time=asking.generator.delay_s)
    if asking.generator is not None and asking.purpose == "carries the site in outages":
        yield kinds.GENERATOR.at("generator")
    elif asking.generator is not None and asking.carries and asking.costing.prices.fuel is None:
        yield kinds.NO_FUEL.at("quote.prices.fuel_kwh")
    if asking.generator is None and not made.carriers and _prices_generator(asking.spec):
        yield kinds.FUEL_UNUSED.at("quote.prices.fuel_kwh")
    if asking.beside_kwh > 0.0:
        yield kinds.BESIDE.at("pv", energy=asking.beside_kwh)
    if asking.own:
        yield kinds.OWN_LEFT_OUT.at("supply", own=", ".join(asking.own))
    if asking.aims_at_half:
        yield kinds.HALF.at("quote")
    if asking.unused:
        yield kinds.NOT_ASKED.at("quote", wishes=", ".join(asking.unused), purpose=asking.purpose)


def _prices_generator(spec: QuoteSpec) -> bool:
    """Return whether the person wrote a price that only a generator has."""
    return spec.prices is not None and (spec.prices.fuel is not None or spec.prices.generator is not None)


def _of_control(asking: Asking, made: Quote) -> Iterator[Finding]:
    """Yield whether the rating relies on control, and what becomes of site and loads where that fails."""
    if made.plan is None:
        return
    if made.currency and made.held and not asking.costing.prices.held_off:
        yield kinds.RELAYS_FREE.at("quote.prices.held_off_load", count=len(made.held))
    smaller_va = made.today.size.inverter_va - made.plan.size.inverter_va
    if made.relies:
        yield kinds.RELIES.at("accepted_control", rating=made.size.inverter_va, without=made.today.size.inverter_va)
    elif asking.carries and smaller_va > 0.0:
        yield kinds.NOT_RELIED.at("accepted_control", rating=made.size.inverter_va, smaller=made.plan.size.inverter_va)
    for case in made.cases[1:]:
        name = case.called(asking.names)
        if asking.carries and case.found.trips > 0:
            yield kinds.FAILS_TRIPS.at(case.name, case=name, trips=case.found.trips)
        if asking.carries and case.found.unserved_kwh > made.quoted.unserved_kwh + _LITTLE:
            yield kinds.FAILS.at(case.name, case=name, unserved=max(case.found.unserved_kwh, _LEAST_KWH))
        yield from _of_loads(asking, made, case.name, name, case.found)


def _of_loads(asking: Asking, made: Quote, where: str, name: str, found: Confirmed) -> Iterator[Finding]:
    """Yield what each load gives less in a case of control that fails."""
    for one in shorts(found, made.quoted):
        load, days = asking.names.get(one.load, one.load), made.stretch_days
        if one.runs:
            yield kinds.RUNS_LESS.at(where, case=name, load=load, hours=significant(one.amount), days=days)
        else:
            lacks, working = significant(one.lacks), significant(one.working)
            yield kinds.FAILS_LOAD.at(where, case=name, load=load, lacks=lacks, working=working, unit=one.unit, days=days)
