"""Which field of the desk cures a finding, by the beginning of the finding's code."""

from collections.abc import Mapping
from functools import lru_cache

from wattwright.core.findings import kinds
from wattwright.core.wording import template
from wattwright.web.links import Links

_FIRST = "files.0."
"""How the fields of the first meter file begin: a finding of another file leads to the same field of that one."""
_LOAD = "load-0"
"""The form of the first load: a finding of another load leads to that one's."""
_OF_HOURS = "demand.survey-without-hours"
"""What is cured on the page of the load itself, where its hours stand."""
_TEXT = ("", "text")
"""An entry that no form holds is written in the job file as text."""
_NOTHING = "Nothing"
"""How the sentence begins that says what to do about a finding that nobody need cure."""

CURED_BY: Mapping[str, tuple[str, str]] = {
    "record.zone": ("property", "site.zone"),
    "record.": ("meter-files", "file-0"),
    "record.clock-": ("meter-files", f"{_FIRST}layout.clock"),
    "record.file-zone": ("meter-files", f"{_FIRST}layout.clock"),
    "record.repeated-hour-once": ("meter-files", f"{_FIRST}layout.clock"),
    "record.standard-time": ("meter-files", f"{_FIRST}layout.clock"),
    "record.hour-": ("property", "site.zone"),
    "record.other-zone": ("property", "site.zone"),
    "record.file-clock": ("property", "site.zone"),
    "record.sun-unchecked": ("property", "site.latitude"),
    "record.date-order": ("meter-files", f"{_FIRST}layout.date_order"),
    "record.stamps": ("meter-files", f"{_FIRST}layout.stamps"),
    "record.sheets": ("meter-files", f"{_FIRST}layout.part"),
    "record.unreadable": ("meter-files", f"{_FIRST}layout.unreadable"),
    "record.irregular-held": ("meter-files", f"{_FIRST}layout.step"),
    "record.current-only": ("meter-files", f"{_FIRST}layout.voltage"),
    "record.voltage-nominal": ("meter-files", f"{_FIRST}layout.voltage"),
    "record.power-factor-": ("meter-files", f"{_FIRST}layout.power_factor"),
    "record.reversed": ("meter-files", f"{_FIRST}layout.turned"),
    "record.turned": ("meter-files", f"{_FIRST}layout.turned"),
    "record.reversed-in-total": ("meter-files", f"{_FIRST}channel"),
    "record.rates-": ("meter-files", f"{_FIRST}channel"),
    "record.several-powers": ("meter-files", f"{_FIRST}channel"),
    "record.whole-by-name": ("meter-files", f"{_FIRST}channel"),
    "record.column-": _TEXT,
    "record.exchanged-columns": _TEXT,
    "record.impossible": _TEXT,
    "record.meaning": _TEXT,
    "record.negative-export": _TEXT,
    "record.no-use": _TEXT,
    "record.other-unit": _TEXT,
    "record.power-high": _TEXT,
    "record.register-back": _TEXT,
    "record.register-differs": _TEXT,
    "record.several-currents": _TEXT,
    "record.unit-guessed": _TEXT,
    "record.way-": _TEXT,
    "record.gaps": ("meter-files", "repair.gaps"),
    "demand.filled": ("meter-files", "repair.gaps"),
    "demand.incomplete": ("meter-files", "repair.gaps"),
    "demand.base-trend-or-season": ("plan", "weather-file"),
    "demand.no-temperature": ("plan", "weather-file"),
    "demand.temperature-of-other-days": ("plan", "weather-file"),
    "demand.bills-": ("tariff", "new-bill"),
    "demand.no-cooling-season": ("tariff", "new-bill"),
    "demand.no-heating-season": ("tariff", "new-bill"),
    "demand.no-such-season": ("tariff", "new-bill"),
    "demand.current-of-no-conductor": _TEXT,
    "demand.peaks-over-ceiling": ("survey", "new-load"),
    "demand.no-holidays": ("property", "site.country"),
    "demand.no-rating-of-supply": ("property", "supply.main_protection"),
    "demand.nominal-voltage": ("property", "supply.voltage"),
    "demand.no-nominal-voltage": ("property", "supply.voltage"),
    "demand.over-rating": ("property", "supply.main_protection"),
    "demand.peaks-by-usual": ("survey", "new-load"),
    "demand.survey-": ("survey", "new-load"),
    "demand.survey-over-explained": ("survey", "load-0"),
    "demand.survey-rating": ("survey", "load-0"),
    "demand.survey-without-hours": ("survey", "load-0"),
    "handover.above-rating": ("property", "supply.main_protection"),
    "tariff.": ("tariff", "upload"),
    "job.far-weather": ("plan", "weather.air"),
    "job.sun-gaps": ("plan", "weather-file"),
    "job.no-weather": ("plan", "weather.air"),
    "job.no-sky": ("plan", "weather-file"),
    "job.odd-light": ("plan", "weather-file"),
    "job.sun-shift": ("plan", "weather-file"),
    "job.weather-summer-time": ("plan", "weather-file"),
    "job.weather-lacks": ("plan", "weather-file"),
    "job.no-temperature": ("plan", "weather-file"),
    "job.no-tariff-frozen": ("tariff", "upload"),
    "job.no-bill-simulated": ("tariff", "upload"),
    "job.longest-stretch": ("meter-files", "repair.gaps"),
    "job.outages-outside": _TEXT,
    "job.survey-short": ("survey", "new-load"),
    "job.strings-apart": ("supply", "strings-0"),
    "job.not-planned": ("survey", "load-0"),
    "job.no-circuit": ("gear", "gear.earthing"),
    "job.no-switch": ("survey", "load-0"),
    "job.over-limit": ("property", "supply.main_protection"),
    "job.power-factor": ("property", "supply.power_factor"),
    "job.unknown-phase": ("survey", "load-0"),
    "plan.": ("plan", "plan.objective"),
    "simulate.comfort": ("survey", "load-0"),
    "simulate.short-cycling": ("survey", "load-0"),
    "simulate.min-on-cut": ("plan", "shedding"),
    "simulate.shed-often": ("plan", "shedding"),
    "simulate.overloaded": ("property", "supply.main_protection"),
    "simulate.nothing-to-carry": ("supply", "inverter"),
    "simulate.floor-above-reserve": ("supply", "battery.reserve"),
    "gear.circuit-": ("gear", "gear.earthing"),
    "supply.": ("supply", "quote.purpose"),
    "supply.at-edge": ("supply", "quote.battery_most"),
    "supply.half-of-own-share": ("supply", "quote.own_share"),
    "supply.no-own-draw": ("supply", "inverter.idle"),
    "supply.own-draw-scaled": _TEXT,
    "supply.generator-gap": _TEXT,
    "supply.sun-of-part-year": ("plan", "weather-file"),
    "supply.take-over-gap": _TEXT,
    "supply.outage-needs-sun": _TEXT,
    "supply.backup-no-rate": _TEXT,
    "supply.no-fuel-price": _TEXT,
    "supply.relays-no-price": _TEXT,
    "supply.loan-larger": _TEXT,
    "supply.own-left-out": _TEXT,
    "supply.take-over-unknown": ("supply", "inverter.takes_over_after"),
    "supply.backup-reserve": ("supply", "battery.reserve"),
    "supply.not-relied": _TEXT,
    "supply.no-plan": ("survey", "new-load"),
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
"""Page and field by the beginning of a code; the longest that fits holds. A finding that only the site can cure has none.

Without a page it is the job file as text."""


@lru_cache(maxsize=64)
def cures_for(job: str, links: Links, files: tuple[str, ...] = (), loads: tuple[tuple[str, str], ...] = ()) -> Mapping[str, str]:
    """The address of the field that cures each finding for which there is one, by the finding's code.

    Of findings about one of several meter files also by code and id of the file, with a blank between; ``files`` are their
    ids in the order of the job file. Of those about a load by code and its id, and by code and its name; ``loads`` are both of
    each. Where nothing is to be done there is none.
    """
    found = {}
    for kind in kinds():
        fits = [start for start in CURED_BY if kind.code.startswith(start)]
        if not fits or template(f"{kind.code}.do").startswith(_NOTHING):
            continue
        sheet, field = CURED_BY[max(fits, key=len)]
        found[kind.code] = links.sheet(job, sheet, field) if sheet else f"{links.text(job)}#{field}"
        if field == "file-0" or field.startswith(_FIRST):
            for at, id_ in enumerate(files):
                own = f"file-{at}" if field == "file-0" else f"files.{at}.{field.removeprefix(_FIRST)}"
                found[f"{kind.code} {id_}"] = links.sheet(job, sheet, own)
        elif field == _LOAD:
            for at, known_as in enumerate(loads):
                own = links.load(job, at, f"hours-{at}") if kind.code == _OF_HOURS else links.sheet(job, sheet, f"load-{at}")
                found |= dict.fromkeys((f"{kind.code} {one}" for one in known_as), own)
    return found
