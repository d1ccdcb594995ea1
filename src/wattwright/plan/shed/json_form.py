"""The check of shedding as plain data for programs: powers in kW, currents in A, times in s."""

from typing import Any

from wattwright.core.show import Show
from wattwright.plan.shed.results import Case, Change, Coming, Event, LimitCheck, ResponseTime, ShedCheck, Verdict


def shed_json(given: ShedCheck, show: Show) -> dict[str, Any]:
    """Return the check as plain data; ``show`` gives the language of the findings' sentences."""
    accepted = given.accepted
    return {
        "looks_at": given.quantity,
        "pick_up": given.pick_up,
        "pick_up_unit": given.unit,
        "tolerated": given.tolerated_share,
        "control_accepted": None if accepted is None else {"by": accepted.by, "on": accepted.on, "rule": accepted.rule},
        "rating_may_rely_on_control": given.may_rely,
        "limits": [_limit(one) for one in given.limits],
        "returns": [_coming(one) for one in given.comings],
        "findings": [one.as_json(show) for one in given.findings],
    }


def _limit(one: LimitCheck) -> dict[str, Any]:
    return {
        "name": one.name,
        "rating": one.rating,
        "rating_unit": one.unit,
        "conductors": list(one.conductors),
        "everything": {"kw": _kw(one.everything_w), "a": _amps(one.everything_a), "ratio": round(one.everything_ratio, 4)},
        "relies_on_control": one.relies,
        "response_s": None if one.response is None else _response(one.response),
        "cases": [_case(each) for each in one.cases],
        "verdict": _verdict(one.verdict),
    }


def _response(one: ResponseTime) -> dict[str, Any]:
    parts = {
        "meter": one.meter_s, "report": one.report_s, "on_delay": one.delay_s, "earlier_loads": one.order_s, "link": one.link_s,
    }  # fmt: skip
    return {"least": one.least_s, "median": one.median_s, "most": one.most_s, "parts": parts}


def _case(one: Case) -> dict[str, Any]:
    return {
        "name": one.name,
        "failed": one.failed,
        "detail": one.detail,
        "trips_share": one.trip_share,
        "drawn_share": one.drawn_share,
        "drawn_error": one.error_share,
        "trips_a_year": None if one.trips_a_year is None else list(one.trips_a_year),
        "year_share": None if one.year_share is None else list(one.year_share),
        "event": _event(one.event),
    }


def _event(one: Event) -> dict[str, Any]:
    return {
        "comes": list(one.comes),
        "running": list(one.running),
        "before": {"kw": _kw(one.before_w), "a": _amps(one.before_a)},
        "after": {"kw": _kw(one.after_w), "a": _amps(one.after_a)},
        "ratio": round(one.ratio, 4),
        "borne_s": one.holds_s,
        "start_ratio": round(one.start_ratio, 4),
        "start_borne_s": one.start_holds_s,
        "start_s": one.lasts_s,
        "sheds": list(one.sheds),
    }


def _verdict(one: Verdict) -> dict[str, Any]:
    return {
        "status": one.status,
        "reason": one.reason,
        "changes": [_change(each) for each in one.changes],
        "other_hardware": [_change(each) for each in one.hardware],
        "instead": [_change(each) for each in one.instead],
        "quickest_s": [one.quickest_s, one.slowest_s],
    }


def _change(one: Change) -> dict[str, Any]:
    return {"setting": one.setting, "now": one.now, "at_most": one.upto, "order": list(one.loads), "beside": list(one.beside)}


def _coming(one: Coming) -> dict[str, Any]:
    return {
        "after": one.when,
        "limit": one.limit,
        "loads": list(one.loads),
        "kw": _kw(one.power_w),
        "a": _amps(one.current_a),
        "ratio": round(one.ratio, 4),
        "ratio_with_starts": round(one.start_ratio, 4),
        "stagger_s": one.stagger_s,
        "stagger_that_is_enough_s": one.enough_s,
    }


def _kw(power_w: float) -> float:
    return round(power_w / 1000, 6)


def _amps(current_a: tuple[float, ...]) -> list[float]:
    return [round(one, 4) for one in current_a]
