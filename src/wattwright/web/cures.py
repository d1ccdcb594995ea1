"""Which field of the desk cures a finding, by the beginning of the finding's code."""

from collections.abc import Mapping
from functools import lru_cache

from wattwright.core.findings import kinds
from wattwright.web.links import Links

CURED_BY: Mapping[str, tuple[str, str]] = {
    "record.zone": ("property", "site.zone"),
    "record.": ("meter-files", "file-0"),
    "demand.filled": ("meter-files", "repair.gaps"),
    "demand.incomplete": ("meter-files", "repair.gaps"),
    "demand.no-holidays": ("property", "site.country"),
    "demand.no-rating-of-supply": ("property", "supply.main_protection"),
    "demand.nominal-voltage": ("property", "supply.voltage"),
    "demand.no-nominal-voltage": ("property", "supply.voltage"),
    "demand.over-rating": ("property", "supply.main_protection"),
    "demand.peaks-by-usual": ("survey", "new-load"),
    "demand.survey-": ("survey", "new-load"),
    "handover.above-rating": ("property", "supply.main_protection"),
    "tariff.": ("tariff", "upload"),
    "job.far-weather": ("plan", "weather.air"),
    "job.sun-gaps": ("plan", "weather-file"),
    "job.no-weather": ("plan", "weather.air"),
    "job.no-sky": ("plan", "weather-file"),
    "job.odd-light": ("plan", "weather-file"),
    "job.sun-shift": ("plan", "weather-file"),
    "job.weather-summer-time": ("plan", "weather-file"),
    "job.not-planned": ("survey", "load-0"),
    "job.no-circuit": ("gear", "gear.earthing"),
    "job.no-switch": ("survey", "load-0"),
    "job.over-limit": ("property", "supply.main_protection"),
    "job.power-factor": ("property", "supply.power_factor"),
    "job.unknown-phase": ("survey", "load-0"),
    "plan.": ("plan", "plan.objective"),
    "gear.circuit-": ("gear", "gear.earthing"),
    "supply.": ("supply", "quote.purpose"),
    "supply.no-prices": ("supply", "quote.prices.pv_kw"),
    "supply.no-pv": ("supply", "new-roof"),
    "supply.no-tariff": ("tariff", "upload"),
    "supply.island-": ("supply", "island"),
    "supply.take-over-": ("supply", "inverter"),
    "supply.no-rating": ("supply", "inverter"),
    "generation.": ("supply", "strings-0"),
    "sky.": ("plan", "weather-file"),
    "proof.event": ("proof", "new-adjustment"),
    "proof.other-use": ("proof", "new-adjustment"),
    "proof.load-replaced": ("proof", "new-adjustment"),
    "proof.other-weather": ("proof", "measurement.weather"),
    "proof.weather-": ("proof", "measurement.weather"),
    "proof.no-prices": ("tariff", "upload"),
    "proof.no-money": ("tariff", "upload"),
    "proof.too-short": ("proof", "measurement.from"),
    "proof.part-of-year": ("proof", "measurement.from"),
    "proof.plan-proposed": ("proof", "measurement.responsible"),
}
"""Page and field by the beginning of a code; the longest that fits holds. A finding that only the site can cure has none."""


@lru_cache(maxsize=64)
def cures_for(job: str, links: Links) -> Mapping[str, str]:
    """The address of the field that cures each finding for which there is one, by the finding's code."""
    found = {}
    for kind in kinds():
        fits = [start for start in CURED_BY if kind.code.startswith(start)]
        if fits:
            found[kind.code] = links.sheet(job, *CURED_BY[max(fits, key=len)])
    return found
