"""The words inside pictures, in one place so that they can be translated."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["ENGLISH", "ChartWords"]


@dataclass(frozen=True, slots=True)
class ChartWords:
    """Axis titles and labels of all picture makers; fields with braces are filled in by `str.format`."""

    months: tuple[str, ...] = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
    power: str = "Power, {unit}"
    energy: str = "Energy, {unit}"
    peak: str = "Highest power, {unit}"
    local_time: str = "Local time"
    local_time_of_day: str = "Local time of day"
    share_of_time: str = "Share of the time, %"
    all_time: str = "All of the time"
    top_share: str = "The busiest {share} %"
    median: str = "median"
    mean: str = "mean"
    band: str = "{low} to {high} % of days"
    missing: str = "missing"
    present: str = "measured"
    estimated: str = "estimated"
    total: str = "total"
    minutes_from_peak: str = "Minutes from the peak"
    share_of_day: str = "Share of the day, %"


ENGLISH = ChartWords()
"""The words in English."""
