"""Rules in words: when a load is switched, for tables on paper and screen."""

from wattwright.control.rules import AnyRule, Limit, RepeatCycle, Shedding, TimeProgramme
from wattwright.core.show import Show

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


def sheds(shedding: Shedding, names: dict[str, str]) -> str:
    """Return what protects the supply, in words; ``names`` by the ids of loads."""
    order = ", ".join(names.get(one, one) for one in shedding.order)
    return f"{shedding.quantity} at or above {shedding.pick_up}: off in this order: {order}; back at or below {shedding.restore}"


def _days(days: tuple[str, ...]) -> str:
    return "" if len(set(days)) == _WEEK else f"{', '.join(days)} "
