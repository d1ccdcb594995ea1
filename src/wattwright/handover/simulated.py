"""The picture of a simulated stretch of days, with its table of switchings."""

import datetime as dt
from dataclasses import replace
from functools import partial

import numpy as np

from wattwright.charts.peaks import Limit
from wattwright.charts.picture import Caption, Picture
from wattwright.charts.simulated import Contact, Store, Stretch, simulated_stretch
from wattwright.charts.table import Column, Table
from wattwright.charts.words import ENGLISH
from wattwright.control.rules import Control, in_unit
from wattwright.core.clock import SiteClock
from wattwright.core.show import THIN, Show
from wattwright.handover.context import chart_words
from wattwright.job.happenings import Did, Happening, did, happenings, highest
from wattwright.job.simulation import Simulated
from wattwright.job.spec import JobSpec
from wattwright.loads.columns import AIR, CHARGER, COLD_STORE, GREENHOUSE, PUMP, ROOM, SOIL, TANK

_ROLES = {
    TANK: "heat", ROOM: "heat", GREENHOUSE: "heat", PUMP: "pump", SOIL: "pump", COLD_STORE: "cold", AIR: "cold",
    CHARGER: "battery",
}  # fmt: skip
_STORES = (TANK, ROOM, COLD_STORE, AIR, SOIL, GREENHOUSE)
_TICKS = 8
_EVERY_MIN = (5, 15, 60, 120, 180, 240, 360, 720)
_HOUR_S = 3600.0
_LONG_DAYS = 2


def period_words(given: Simulated, show: Show) -> str:
    """Return the days in words."""
    first, last = show.day(given.begins), show.day(given.ends)
    return first if given.begins == given.ends else f"{first} to {last}"


def switchings_table(given: Simulated, show: Show, *, own: bool = False) -> Table:
    """Return who switched what, when and why; with ``own`` the loads' own controllers too."""
    rows = tuple(
        (str(number), show.time(int(one.at_s)), given.names.get(one.load, "the supply"), one.what, one.why)
        for number, one in _numbered(given, own=own)
    )
    columns = tuple(Column(head, align="left") for head in ("No.", "When", "What", "Does", "Why"))
    return Table(columns, rows, "Switchings", "simulated")


def _numbered(given: Simulated, *, own: bool) -> list[tuple[int, Happening]]:
    return list(enumerate((one for one in happenings(given) if own or not one.own), start=1))


def limits_of(spec: JobSpec, control: Control, show: Show) -> list[Limit]:
    """Return what the site's power is held against: the main protection, an inverter without a grid, where loads are shed."""
    found = []
    if control.shedding is not None and control.shedding.quantity == "site power":
        pick_up = in_unit(control.shedding.pick_up, "site power")
        found.append(Limit(f"loads go at {show.power(pick_up)}", pick_up))
    supply, inverter = spec.supply, spec.inverter
    if inverter is not None and inverter.role == "stand-alone":
        found.append(Limit(f"inverter {show.plain(inverter.rating_va / 1000)}{THIN}kVA", inverter.rating_va))
    if supply is not None and supply.main_protection_a is not None and supply.protection_w is not None:
        found.append(Limit(f"main protection {show.plain(supply.main_protection_a)}{THIN}A", supply.protection_w))
    return found


def simulated_picture(given: Simulated, spec: JobSpec, control: Control, show: Show) -> Picture:
    """Return the stretch as a picture: power, stores, contacts; its title says the highest power."""
    start_s = given.scenario.span.start_s
    peak, table = highest(given), switchings_table(given, show)
    title = f"The site reaches {show.power(peak.power_w)} over a minute at {show.time(peak.at_s)}"
    alt = (
        f"Power of the site over {period_words(given, show)}, simulated minute by minute, with what its stores held and when its "
        f"loads were fed and ran; {len(table.rows)} switchings."
    )
    source = f"Simulated; the rest of the site is the record less what is simulated of it. {period_words(given, show)}"
    loads = did(given)
    marks = {one.id: _marks(given, one.id, start_s) for one in loads}
    contacts = [
        Contact(one.name, _ROLES.get(one.kind, "other"), _hours(one.fed), _hours(one.runs), marks[one.id]) for one in loads
    ]
    stores = [_store(one, show) for one in loads if one.kind in _STORES]
    stretch = _stretch(given, show)
    # Of the rest of the site as much as was served: without supply it uses nothing.
    served_w = np.maximum(given.run.site_w - given.run.loads_w.sum(axis=0), 0.0)
    picture = simulated_stretch(
        Caption("simulated", title, alt, source, table, _step(given)), stretch, given.run.site_w,
        served_w, stores, contacts, limits_of(spec, control, show), chart_words(show),
    )  # fmt: skip
    times_h = tuple((one.at_s - start_s) / _HOUR_S for _, one in _numbered(given, own=False))
    return picture.with_figures(partial(_switchings_between, table, times_h))


def _switchings_between(table: Table, times_h: tuple[float, ...], low_h: float, high_h: float) -> Table:
    """Return the switchings from one hour to another, under the numbers that they have in the whole picture."""
    rows = zip(times_h, table.rows, strict=True)
    return replace(table, rows=tuple(row for at_h, row in rows if low_h <= at_h <= high_h))


def _step(given: Simulated) -> str:
    days = (given.ends - given.begins).days + 1
    return "Steps of one minute." if days <= _LONG_DAYS else "Steps of one minute, of each pixel's width the highest."


def _marks(given: Simulated, load: str, start_s: int) -> list[tuple[float, str, str]]:
    mine = [(number, one) for number, one in _numbered(given, own=False) if one.load == load]
    return [((one.at_s - start_s) / _HOUR_S, str(number), one.why.removeprefix("rule ")) for number, one in mine]


def _hours(spans: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    return [(a / _HOUR_S, b / _HOUR_S) for a, b in spans]


def _store(one: Did, show: Show) -> Store:
    celsius = one.sensed.unit == "degC"
    unit, turn = (("°F" if show.units == "US" else "°C") if celsius else one.sensed.unit), celsius and show.units == "US"
    values = one.values * 1.8 + 32.0 if turn else one.values
    wanted = [(words, value * 1.8 + 32.0 if turn else value) for words, value in one.sensed.wanted]
    return Store(f"{one.name}, {one.sensed.place}, {unit}", values, _ROLES[one.kind], wanted)


def _stretch(given: Simulated, show: Show) -> Stretch:
    """Return the clock of the picture, figured every few hours of the wall clock or at midnights; nights where they are known."""
    span = given.scenario.span
    length_h = (span.end_s - span.start_s) / _HOUR_S
    figured = partial(_figured, show.zone, span.start_s, span.end_s)
    return Stretch(length_h, figured(0.0, length_h), _nights(given), figured, partial(_named, show, span.start_s))


def _named(show: Show, start_s: int, at_h: float) -> str:
    return show.time(round(start_s + at_h * _HOUR_S))


def _figured(zone: str, start_s: int, end_s: int, low_h: float, high_h: float) -> list[tuple[float, str]]:
    """Return the figured places from one hour to another, in hours from the start."""
    clock, length_min = SiteClock(zone), 60 * (high_h - low_h)
    every_min = next((m for m in _EVERY_MIN if length_min / m <= _TICKS), 1440)
    first_s, last_s = (start_s + round(at * _HOUR_S) for at in (low_h, high_h))
    step_s = 60 * min(every_min, 15)
    times_s = np.arange(-(-first_s // step_s) * step_s, last_s + 1, step_s, dtype=np.int64)
    minutes = clock.parts(times_s).minute
    places = times_s[minutes % every_min == 0]
    whole = every_min == 1440
    return [((int(at) - start_s) / _HOUR_S, _tick(clock, int(at), start_s, end_s, whole)) for at in places]


def _tick(clock: SiteClock, at_s: int, start_s: int, end_s: int, whole_days: bool) -> str:
    local = clock.at(at_s)
    if whole_days:
        return f"{local.day} {ENGLISH.months[local.month - 1]}"
    midnight_at_end = at_s == end_s and local.time() == dt.time(0) and at_s != start_s
    return "24:00" if midnight_at_end else f"{local:%H:%M}"


def _nights(given: Simulated) -> list[tuple[float, float]]:
    span = given.scenario.span
    found = []
    for day in span.day_numbers():
        down_s, up_s = (events.get(number, np.nan) for events, number in ((span.set_s, day), (span.rise_s, day + 1)))
        begins, ends = max(down_s, span.start_s), min(up_s, span.end_s)
        if down_s < up_s and begins < ends:
            found.append(((begins - span.start_s) / _HOUR_S, (ends - span.start_s) / _HOUR_S))
    return found
