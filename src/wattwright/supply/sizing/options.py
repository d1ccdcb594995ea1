"""The options of a quote in words: the site as it is, what else could be bought, and whether it pays for itself."""

from dataclasses import dataclass, replace

from wattwright.core.show import Show
from wattwright.supply.sizing.answer import Point, Quote, Sized
from wattwright.supply.sizing.sizes import NOTHING, Size, beyond, one_of
from wattwright.supply.sizing.table import (
    Rows,
    apart,
    as_quoted,
    battery_told,
    inverter_told,
    is_quoted,
    least_told,
    listed,
    of_size,
    pv_of,
    pv_told,
    share_told,
    with_least,
)

_ALL = 1e-9
_LITTLE = 0.5
"""Of the currency: less is not told."""
_SHOWN_S = 60.0
PLAN_ALONE = "The plan alone"
SHORT = {"unserved share": "unserved", "share from the grid": "from the\ngrid", "highest import": "highest\n15 min"}
"""Heads of what a front sets against cost, for narrow columns."""
CARRIES, REACHES = "the least that carries it", "the least that does what was asked"


def money_line(made: Quote, show: Show) -> str:
    """Return in words whether what is bought pays for itself, and the price of what was asked; empty where no money is told."""
    worth = made.worth
    if made.life is not None:
        years, amount = len(made.life.yearly) - 1, f"{show.fixed(made.life.present, 0)} {made.life.currency}"
        each = f"{show.fixed(made.life.energy_cost, 2)} {made.life.currency}"
        return f"Over {years} years it costs {amount} in money of today: {each} for each kWh that the site is given."
    if worth is None:
        return ""
    years, amount = len(worth.total) - 1, f"{show.fixed(abs(worth.npv), 0)} {worth.currency}"
    if worth.npv >= 0.0:
        told = f"Over {years} years the hardware by itself saves {amount} more than it costs, in money of today."
    else:
        told = (
            f"The hardware does not pay for itself: over {years} years it costs {amount} more than it saves, in money of today."
        )
    return told + _price_of_asked(made, show)


def _price_of_asked(made: Quote, show: Show) -> str:
    """Return by how much the cheapest way over the years that does not do what was asked is cheaper; empty where none is."""
    sized = made.plan or made.today
    chosen = chosen_of(made, sized)
    if not (made.has_bills and sized.reached) or chosen is None:
        return ""
    others = [("leaving it as it is", made.as_is, made.as_is.owned)]
    others += [(one.called, one.point, one.owned) for one in options(made, sized, show) if not one.is_quoted]
    mine = made.owned
    cheaper = [(name, owned) for name, point, owned in others if owned < mine - _LITTLE and not _carries(made, point)]
    if not cheaper:
        return ""
    name, owned = min(cheaper, key=lambda one: one[1])
    what = "what was asked" if made.purpose == "beside the grid" else "power in outages"
    amount = f"{show.fixed(mine - owned, 0)} {made.currency}"
    return f' The cheapest over the years that does without {what} is "{name}", by {amount}: that is its price.'


def _carries(made: Quote, one: Point) -> bool:
    """Return whether a point carries the site as it was asked to."""
    return made.purpose != "beside the grid" and one.found.trips == 0 and one.least <= made.asked + _ALL


@dataclass(frozen=True, slots=True)
class Choice:
    """One option: its name by what it is, its size as offered, what that costs to buy and over the years, the engine's word.

    ``mark`` says in words that it is the one that is quoted, the least that does what was asked, or both; else it is empty.
    """

    name: str
    mark: str
    size: Size
    bought: float
    owned: float
    point: Point
    is_quoted: bool = False

    @property
    def called(self) -> str:
        """Return its name, with what marks it."""
        return f"{self.name} ({self.mark})" if self.mark else self.name


def option_lines(made: Quote, sized: Sized, show: Show) -> list[tuple[str, str]]:
    """Return each option in words, its name first: the site as it is, then the front, the cheapest first."""
    told = [(as_it_is(made, sized).called, f"nothing is bought. {leaves(made, made.as_is, show)}{_too_small(made, show)}")]
    for one in options(made, sized, show):
        price = f" for {show.fixed(one.bought, 0)} {made.currency}" if made.currency and one.bought else ""
        words = f"{_what(made, one, show)}{price}. {leaves(made, one.point, show)}{_beside(made, one, show)}"
        told.append((one.called, words + (_by_plan(made, show) if one.is_quoted else "")))
    return told


def option_rows(made: Quote, sized: Sized, show: Show) -> Rows:
    """Return the options in rows of words, the site as it is first; money beside that only where it has bills."""
    carries, money = made.purpose != "beside the grid", made.currency
    head = ["Option", "inverter", "battery", "PV", SHORT[made.front_by], *(["trips"] if carries else [])]
    head += [f"to buy\n{money}", f"over the\nyears\n{money}"] if money else []
    head += [f"beside\nas it is\n{money}"] if made.has_bills else []
    choices = [as_it_is(made, sized), *options(made, sized, show)]
    rows: Rows = [tuple(head)]
    for one in choices:
        row = [one.called, inverter_told(one.size, show), battery_told(one.size, show), pv_of(made, one.size, show)]
        row += [least_told(made, one.point, show), *([show.fixed(one.point.found.trips, 0)] if carries else [])]
        row += [show.fixed(one.bought, 0), show.fixed(one.owned, 0)] if money else []
        row += [more_told(one.owned - made.as_is.owned, show)] if made.has_bills else []
        rows.append(tuple(row))
    return rows


def marked_lines(made: Quote, sized: Sized, show: Show) -> list[tuple[str, str]]:
    """Return in words, names first, what is chosen between: the site as it is, the plan alone, what is quoted, and the least."""
    as_is, *told = option_lines(made, sized, show)
    every = options(made, sized, show)
    return [as_is, *(told[place] for place, one in enumerate(every) if one.mark or one.name == PLAN_ALONE)]


def more_told(more: float, show: Show) -> str:
    """Return how much more or less that is, the word beside the figure."""
    word = "more" if more >= _LITTLE else "less" if more <= -_LITTLE else ""
    return f"{show.fixed(abs(more), 0)} {word}".strip()


def options(made: Quote, sized: Sized, show: Show) -> list[Choice]:
    """Return the options: the plan alone, the front, and the least that does what was asked, the cheapest to buy first.

    What only repeats the site as it is is left out, though it is quoted: leaving it as it is is then marked so.
    """
    chosen, found = chosen_of(made, sized), list[Choice]()
    quoted = None if chosen is None else sized.front[chosen]
    for one in with_least(sized):
        size, bought = (made.size, made.bought) if one is quoted else (one.found.size, one.bought)
        owned = made.owned if one is quoted else one.owned
        if bought == 0.0 and _repeats(made, sized, one):
            continue
        marks = [as_quoted(made)] if one is quoted else []
        marks += [least_name(made)] if is_least(sized, size) else []
        found.append(Choice(_kind(made, size), ", ".join(marks), size, bought, owned, one, one is quoted))
    bare, alone = made.as_is.found.size, made.plan_alone
    if alone is not None and sized is made.plan and not any(one.size == bare and one.bought == 0.0 for one in found):
        found.insert(0, Choice(PLAN_ALONE, "", bare, 0.0, alone.owned, alone))
    return _told_apart(sorted(found, key=lambda each: each.bought), show)


def as_it_is(made: Quote, sized: Sized) -> Choice:
    """Return leaving the site as it is as an option; quoted is that where nothing is bought and no other rules run."""
    chosen = chosen_of(made, sized)
    is_quoted = chosen is not None and made.bought == 0.0 and _repeats(made, sized, sized.front[chosen])
    size, mark = made.as_is.found.size, as_quoted(made) if is_quoted else ""
    return Choice("Leave it as it is", mark, size, 0.0, made.as_is.owned, made.as_is, is_quoted)


def _repeats(made: Quote, sized: Sized, one: Point) -> bool:
    """Return whether a point where nothing is bought is the site as it is again: by the same rules, or as dark without a grid."""
    is_dark = made.purpose == "stand-alone" and one.least >= 1.0 - _ALL
    return one.found.size == made.as_is.found.size and (sized is made.today or is_dark)


def _kind(made: Quote, size: Size) -> str:
    """Return what is bought of a size in two or three words, beside what is there already."""
    kept = made.as_is.found.size
    new = beyond(one_of(size), kept).at(0)
    names = [name for name, much in (("battery", new.battery_wh), ("PV", new.pv_w)) if much > 0.0]
    if made.purpose != "beside the grid" and made.supply.generator is not None:
        names.append("generator")
    if kept != NOTHING:
        names = names or (["larger inverter"] if new.inverter_va > 0.0 else [])
        return f"{_begun(listed(names))} beside what is there" if names else "What is there already"
    if not names:
        return PLAN_ALONE if made.plan is not None else "Nothing bought"
    return _begun(listed(names)) if len(names) > 1 else f"{_begun(names[0])} alone"


def _told_apart(found: list[Choice], show: Show) -> list[Choice]:
    """Return options of one kind with the sizes in which they differ beside their name."""
    made = []
    for one in found:
        alike = [each.size for each in found if each.name == one.name]
        by = [told(one.size, show) for told in (battery_told, pv_told, inverter_told) if len({told(i, show) for i in alike}) > 1]
        made.append(replace(one, name=", ".join((one.name, *by))))
    return made


def is_least(sized: Sized, size: Size) -> bool:
    """Return whether a size is the cheapest to buy that does what was asked, where that needs hardware at all."""
    return sized.offered is not None and size == sized.offered.found.size and not size.is_nothing


def least_name(made: Quote) -> str:
    """Return what the least is called."""
    return REACHES if made.purpose == "beside the grid" else CARRIES


def sun_line(made: Quote) -> str:
    """Return in words which sun the choice rests on where PV helps in outages; empty where none does."""
    of = {
        "of the day": "the sun of the days they fall on; below stands what dark days leave",
        "dark days": "the sun of the dark days of their season, a tenth of which are darker",
        "usual days": "the sun of the usual days of their season; below stands what dark days leave",
    }
    return f"Chosen for outages with {of[made.outage_sun]}." if made.outage_sun else ""


def beyond_line(made: Quote, show: Show) -> str:
    """Return what the quoted size has beyond the least that does what was asked, and what that pays; empty where it is that."""
    sized = made.plan or made.today
    least, chosen = sized.offered, chosen_of(made, sized)
    if not sized.reached or least is None or chosen is None or made.purpose == "beside the grid":
        return ""
    more = apart(made.size, least.found.size, show)
    if not more:
        return ""
    less = apart(least.found.size, made.size, show)
    told = f"More than the least that carries it {is_quoted(made)}: {listed(more)}"
    told += f", with {listed(less)} less" if less else ""
    if not made.has_bills:
        return f"{told}."
    pays = least.owned - made.owned
    amount = f"{show.fixed(abs(pays), 0)} {made.currency}"
    if pays < 0.0:
        return f"{told}. Over the years that costs {amount} more than it saves on bills."
    return f"{told}. By the bills that saves {amount} over the years beyond what it costs."


def chosen_of(made: Quote, sized: Sized) -> int | None:
    """Return which point of a front is quoted, by battery and PV: of its inverter more may be quoted than the rules need."""
    if sized is not (made.plan or made.today):
        return None
    wanted = (made.size.pv_w, made.size.battery_wh)
    places = [place for place, one in enumerate(sized.front) if (one.found.size.pv_w, one.found.size.battery_wh) == wanted]
    same = [place for place in places if sized.front[place].found.size == made.size]
    return (same or places)[-1] if places else None


def _what(made: Quote, one: Choice, show: Show) -> str:
    if one.name == PLAN_ALONE:
        # Kept hardware may carry the site, but the relays that hold loads off in outages are not bought.
        sheds = "" if one.size.is_nothing or made.purpose == "beside the grid" else ", and holds nothing off in outages"
        return f"nothing is bought; the plan only switches what is there{sheds}"
    if not one.size.is_nothing:
        return _begun(of_size(one.size, show))
    generator = made.purpose != "beside the grid" and made.supply.generator is not None
    return "The generator alone" if generator else "Nothing"


def _too_small(made: Quote, show: Show) -> str:
    """Return that an inverter which is there is smaller than what hides in the record asks for; empty where it is not."""
    needed_va = 0.0 if made.today.rating is None else made.today.rating.rating_va or 0.0
    there = made.as_is.found.size
    if not there.inverter_va or there.inverter_va >= needed_va or made.as_is.found.trips:
        return ""
    has, needs = inverter_told(there, show), show.rating(needed_va, "VA")
    return f" Its inverter of {has} is less than the {needs} that peaks of the record, and what they may hide, ask for."


def _begun(text: str) -> str:
    return text[:1].upper() + text[1:]


def leaves(made: Quote, one: Point, show: Show) -> str:
    """Return what an option leaves undone, in a sentence."""
    if made.front_by == "highest import":
        return f"The highest 15 min are {show.power(one.least)}."
    if made.front_by == "share from the grid":
        return f"{_begun(share_told(one.least, show))} of its energy is bought."
    if one.found.trips > 0:
        often = f"{show.fixed(one.found.trips, 0)} times" if one.found.trips > 1 else "once"
        return f"It trips {often}: it carries nothing that can be relied on."
    when = "of the time" if made.purpose == "stand-alone" else "in outages"
    if one.least <= 0.0:
        return f"All that is wanted {'' if made.purpose == 'stand-alone' else 'in outages '}is there."
    if one.least >= 1.0 - _ALL:
        return "Nothing runs: it is dark all the time." if made.purpose == "stand-alone" else "Every outage leaves it dark."
    share = share_told(one.least, show, beside=made.asked)
    return f"{_begun(share)} of what is wanted {'is' if when == 'of the time' else 'in outages is'} not there."


def _beside(made: Quote, one: Choice, show: Show) -> str:
    """Return what an option costs over the years beside the site as it is."""
    if not made.has_bills:
        return ""
    more = one.owned - made.as_is.owned
    beside = "bills and what the plan saves" if made.plan is not None else "bills"
    if abs(more) < _LITTLE:
        return f" Over the years it costs as much as leaving it as it is, {beside} included."
    amount = f"{show.fixed(abs(more), 0)} {made.currency} {'more' if more > 0.0 else 'less'}"
    return f" Over the years it costs {amount} than leaving it as it is, {beside} included."


def _by_plan(made: Quote, show: Show) -> str:
    """Return how much of what the quoted size saves is the plan's own; the rest is what the hardware is worth."""
    if made.plan_saves is None or not made.currency or made.worth is None:
        return ""
    does = "saves" if made.plan_saves >= 0.0 else "costs"
    amount = f"{show.fixed(abs(made.plan_saves), 0)} {made.currency}"
    return f" The plan alone, without hardware, {does} {amount} of bills over these years; the rest is the hardware's."


def left_out_line(made: Quote, sized: Sized, show: Show) -> str:
    """Return how many sizes that nobody would live with are left out, and by what rule; empty where none are."""
    if not sized.left_out:
        return ""
    count = "One cheaper size" if sized.left_out == 1 else f"{show.fixed(sized.left_out, 0)} cheaper sizes"
    most = share_told(made.most_undone, show)
    return f"{count} leaving more than {most} of what is wanted undone {'is' if sized.left_out == 1 else 'are'} not shown."


def worn_line(made: Quote, show: Show) -> str:
    """Return what is left undone once the battery is worn, by the engine itself; empty where none carries the site."""
    worn = made.worn
    if worn is None:
        return ""
    when = f"With its battery worn to {share_told(made.worn_share, show)} of what it holds when new, its power as when new,"
    if worn.trips > made.quoted.trips:
        return f"{when} it trips {show.fixed(worn.trips, 0)} times in what was tried."
    where = "" if made.purpose == "stand-alone" else " in the outages tried"
    if worn.lpsp <= 0.0:
        return f"{when} all that is wanted{where} is still there."
    dark = show.duration(60.0 * round(worn.dark_s / 60.0)) if worn.dark_s >= _SHOWN_S else f"less than {show.duration(_SHOWN_S)}"
    share = share_told(worn.lpsp, show, beside=made.asked)
    return f"{when} {share} of what is wanted{where} is not there: the site is dark for {dark}."
