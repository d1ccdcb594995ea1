"""Rules in words: when a load is switched, for tables on paper and screen."""

from collections.abc import Mapping

from wattwright.control.rules import AnyRule, Limit, RepeatCycle, SetPoint, Shedding, TimeProgramme
from wattwright.core.show import Show
from wattwright.plan.settings import of_year

_WEEK = 7


def when(rule: AnyRule, show: Show) -> str:
    """Return when a rule's contact is closed, in words."""
    if isinstance(rule, TimeProgramme):
        return "; ".join(f"{_days(one.days)}{one.on} to {one.off}" for one in rule.times)
    if isinstance(rule, RepeatCycle):
        return f"on for {show.duration(rule.on_for_s)}, off for {show.duration(rule.off_for_s)}"
    if isinstance(rule, Limit):
        delays = [
            f"{name} {show.duration(value)}"
            for name, value in (("on-delay", rule.on_delay_s), ("off-delay", rule.off_delay_s))
            if value
        ]
        drops = "closes" if rule.contact == "opens" else "opens"
        told = f"{rule.contact} when the {rule.quantity} is {rule.acts} {rule.pick_up}, {drops} again at {rule.drop_out}"
        return ", ".join((told, *delays))
    begins = f"{rule.differential:g} {'under' if rule.calls == 'below' else 'over'} it"
    return f"calls until the {rule.quantity} is at {rule.set_point}, begins again {begins}"


def entered(rule: AnyRule, show: Show) -> str:
    """Return all that is entered for a rule, in words: when, in which months, what of holidays, how it measures."""
    told = [when(rule, show)]
    if rule.months:
        rests = "it opens its contact" if rule.other_months == "open" else "other rules decide"
        told.append(f"acts {of_year(rule.months)}; in the other months {rests}")
    if isinstance(rule, TimeProgramme) and rule.holidays != "as usual":
        told.append(f"public holidays {rule.holidays}")
    if isinstance(rule, Limit | SetPoint):
        told += _measuring(rule.interval_s, rule.report_s, show)
    if rule.beside:
        told.append("its contact lies beside the others and calls by itself")
    return "; ".join(told)


def sheds(shedding: Shedding, names: Mapping[str, str], show: Show) -> str:
    """Return what protects the supply, in words; ``names`` by the ids of loads."""
    order = ", then ".join(names.get(one, one) for one in shedding.order)
    goes = f" for {show.duration(shedding.delay_s)}" if shedding.delay_s else ""
    told = [
        f"{shedding.quantity} at or above {shedding.pick_up}{goes}: off in this order: {order}; "
        f"the next after {show.duration(shedding.next_s)}",
        f"back at or below {shedding.restore} for {show.duration(shedding.back_s)}, the last one gone first",
        *_measuring(shedding.interval_s, shedding.report_s, show),
    ]
    return "; ".join(told)


def _measuring(interval_s: float, report_s: float, show: Show) -> list[str]:
    told = [f"measured every {show.duration(interval_s)}"] if interval_s else []
    return told + ([f"seen {show.duration(report_s)} later"] if report_s else [])


def _days(days: tuple[str, ...]) -> str:
    return "" if len(set(days)) == _WEEK else f"{', '.join(days)} "
