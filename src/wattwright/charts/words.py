"""The words inside pictures, in one place so that they can be translated."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

__all__ = ["ENGLISH", "ChartWords"]


@dataclass(frozen=True, slots=True)
class ChartWords:
    """Axis titles and labels of all picture makers, and the marks in their figures; braces are filled by `str.format`."""

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
    export: str = "export"
    present: str = "measured"
    estimated: str = "estimated"
    site: str = "whole site, simulated"
    rest_of_site: str = "rest of the site"
    fed: str = "fed"
    runs: str = "running"
    outage_begins: str = "Local time at which the grid goes"
    holds: str = "The supply holds, h"
    minutes_from_peak: str = "Minutes from the peak"
    low: str = "low"
    high: str = "high"
    quoted: str = "quoted"
    reaches: str = "{low} to {high}"
    of_the_time: str = "{share} % of the time"
    shown: str = "Shown here: {first} to {last}."
    decimal_mark: str = "."
    group_mark: str = ","

    def figure(self, value: float) -> str:
        """The value with up to six significant digits, its decimal and thousands marks those of the language."""
        return self._marked(f"{value:,.6g}")

    def amount(self, value: float) -> str:
        """An amount of money, with two decimals always."""
        return self._marked(f"{value:,.2f}")

    def _marked(self, figure: str) -> str:
        marks = {ord(","): self.group_mark, ord("."): self.decimal_mark, ord("-"): "\N{MINUS SIGN}"}
        return figure.translate(marks)

    def number_locale(self) -> dict[str, Any]:
        """The same marks for the figures that the chart language sets on axes."""
        marks = {"decimal": self.decimal_mark, "thousands": self.group_mark, "grouping": [3], "currency": ["", ""]}
        return {"number": marks}


ENGLISH = ChartWords()
"""The words in English."""
