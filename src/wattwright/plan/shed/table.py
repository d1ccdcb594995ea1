"""The check of shedding as rows of text, ready for a table of any face."""

from collections.abc import Sequence
from math import isfinite

from wattwright.core.show import MISSING, Show
from wattwright.plan.shed.results import Case, Coming, Event, LimitCheck, ShedCheck
from wattwright.plan.shed.told import listed

Row = tuple[str, ...]
CASES: Row = ("limit", "case", "comes on top", "kW", "A", "times rating", "borne", "trips", "drawn", "a year")
"""Heads of ``case_rows``."""
RETURNS: Row = ("limit", "after", "kW", "A", "times rating", "stagger", "enough")
"""Heads of ``return_rows``."""


def limit_lines(given: ShedCheck, show: Show) -> list[str]:
    """Return a line for each limit: its rating, everything together, how long the order takes with its working, the verdict."""
    return [_line(one, show) for one in given.limits]


def case_rows(given: ShedCheck, show: Show) -> list[Row]:
    """Return a row for each case of each limit, under the heads CASES."""
    return [(one.name, *_case(case, one, show)) for one in given.limits for case in one.cases]


def return_rows(given: ShedCheck, show: Show) -> list[Row]:
    """Return a row for each thing that comes back and each limit, under the heads RETURNS."""
    return [_coming(one, show) for one in given.comings]


def _line(one: LimitCheck, show: Show) -> str:
    rating = f"{show.plain(one.rating)} A" if one.unit == "A" else f"{show.plain(one.rating / 1000)} kVA"
    whole = f"everything together {show.kilowatts(one.everything_w, 2)}, {_amps(one.everything_a, show)}"
    return f"{one.name}, {rating}: {whole}. {_response(one, show)}{one.verdict.status.capitalize()}."


def _response(one: LimitCheck, show: Show) -> str:
    takes = one.response
    if takes is None or not isfinite(takes.most_s):
        return ""
    parts = (
        ("meter", takes.meter_s), ("report", takes.report_s), ("on-delay", takes.delay_s), ("earlier loads", takes.order_s),
        ("link, relay and contactor", takes.link_s),
    )  # fmt: skip
    working = " + ".join(f"{name} {show.duration(time_s)}" for name, time_s in parts if time_s >= 0.05)
    span = f"{show.duration(takes.least_s)} to {show.duration(takes.most_s)}, as a rule {show.duration(takes.median_s)}"
    return f"Shedding takes {span}{f' (up to {working})' if working else ''}. "


def _case(case: Case, one: LimitCheck, show: Show) -> Row:
    name = f"{case.name}: {case.detail}" if case.detail else case.name
    drawn = MISSING if case.drawn_share is None else show.percent(case.drawn_share)
    yearly = MISSING if case.trips_a_year is None else show.number(case.trips_a_year[1])
    return (name, *_event(case.event, show), _trips(case.trip_share, show), drawn, yearly)


def _trips(share: float, show: Show) -> str:
    """Return how often such an event trips the supply, in words."""
    if share <= 0.0:
        return "never"
    return "every time" if share >= 1.0 else f"{show.percent(share)} of the times"


def _event(event: Event, show: Show) -> Row:
    comes = listed(event.comes) if event.comes else "everything"
    borne = show.duration(event.holds_s) if isfinite(event.holds_s) else "always"
    ratio = show.fixed(event.ratio, 2)
    if event.highest_ratio > event.ratio:
        ratio, borne = f"{show.fixed(event.start_ratio, 2)} at the start", show.duration(event.start_holds_s)
    return (comes, show.fixed(event.after_w / 1000, 2), _plain_amps(event.after_a, show), ratio, borne)


def _coming(one: Coming, show: Show) -> Row:
    enough = "none" if one.enough_s is None else show.duration(one.enough_s)
    power, amps = show.fixed(one.power_w / 1000, 2), _plain_amps(one.current_a, show)
    return (one.limit, one.when, power, amps, show.fixed(one.ratio, 2), show.duration(one.stagger_s), enough)


def _plain_amps(current_a: Sequence[float], show: Show) -> str:
    return " / ".join(show.number(one) for one in current_a)


def _amps(current_a: Sequence[float], show: Show) -> str:
    return f"{_plain_amps(current_a, show)} A"
