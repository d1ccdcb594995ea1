"""The quality of a supply as plain data for programs: voltages in V, currents in A, shares of 1, times as ISO 8601."""

from typing import Any

from wattwright.core.clock import SiteClock
from wattwright.core.show import Show
from wattwright.demand.quality.limits import Limit
from wattwright.demand.quality.supply import SupplyQuality
from wattwright.demand.quality.voltage import TEN_MIN_S, Extreme, Voltage, Week


def quality_json(given: SupplyQuality, show: Show) -> dict[str, Any]:
    """Return the entry that the quality of the supply adds to what is said of demand."""
    clock = SiteClock(show.zone)
    return {
        "supply_quality": {
            "step_s": given.step_s,
            "voltages": [_voltage(one, clock) for one in given.voltages],
            "currents": [
                {
                    "column": one.channel.column,
                    "conductor": one.channel.meaning.phase.value,
                    "mean_a": _round(one.mean_a),
                    "lowest": _extreme(one.lowest, "a", clock),
                    "highest": _extreme(one.highest, "a", clock),
                }
                for one in given.currents
            ],
            "unbalance": [
                {
                    "of": one.of,
                    "definition": "largest deviation from the mean over the mean",
                    **_unbalance_figures(one.of, one.usual, one.high),
                    "highest_start": clock.at(one.highest.start_s).isoformat(),
                }
                for one in given.unbalances
            ],
            "power_factors": [
                {
                    "conductor": one.conductor.value,
                    "from": one.how,
                    "mean": _round(one.mean),
                    "loaded_p10": _round(one.low),
                    "loaded_median": _round(one.median),
                    "loaded_p90": _round(one.high),
                }
                for one in given.factors
            ],
            "limits": [_limit(one, show) for one in given.limits],
        }
    }


def _unbalance_figures(of: str, usual: float, high: float) -> dict[str, float | None]:
    """Return the figures by name: of voltage percentiles over time, of current those of the means and of the busiest interval."""
    names = ("median", "p95") if of == "voltage" else ("of_means", "at_highest_total")
    return dict(zip(names, (_round(usual), _round(high)), strict=True))


def _voltage(one: Voltage, clock: SiteClock) -> dict[str, Any]:
    return {
        "column": one.channel.column,
        "conductor": one.channel.meaning.phase.value,
        "nominal_v": _round(one.nominal_v),
        "median_v": _round(one.median_v),
        "lowest": _extreme(one.lowest, "v", clock),
        "highest": _extreme(one.highest, "v", clock),
        "means_of_s": one.step_s,
        "share_within_10_percent": _round(one.share),
        "interrupted_s": one.interrupted_s,
        "ten_minute_checks": one.step_s == TEN_MIN_S,
        "weeks": [_week(week) for week in one.weeks],
    }


def _week(one: Week) -> dict[str, Any]:
    return {
        "first_day": one.first.isoformat(),
        "means": one.means,
        "read": one.read,
        "outside_10_percent": one.outside,
        "under_85_or_over_110_percent": one.beyond,
        "passes_95_percent_check": one.passes_most if one.judged else None,
        "passes_100_percent_check": one.passes_all if one.judged else None,
    }


def _extreme(one: Extreme, unit: str, clock: SiteClock) -> dict[str, Any]:
    return {f"value_{unit}": _round(one.value), "start": clock.at(one.start_s).isoformat()}


def _limit(one: Limit, show: Show) -> dict[str, Any]:
    return {
        "name": one.name,
        "column": one.column,
        "unit": one.unit,
        "pick_up": _round(one.pick_up),
        "drop_out": _round(one.drop_out),
        "on_delay_s": one.on_delay_s,
        "passed_s": one.passed_s,
        "longest_passed_s": one.stretch_s,
        "reason": f"{one.reason.says(show)} {one.reason.why(show)}",
        "source": one.reason.source,
    }


def _round(value: float) -> float | None:
    return None if value != value else round(value, 6)
