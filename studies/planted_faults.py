"""Faults planted in invented sites and in stretches of the real files: how often each is found, and what sound ones bring."""

import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import polars as pl
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.findings import Severity
from wattwright.core.seeds import Streams
from wattwright.record.faults import kinds
from wattwright.record.faults.sun import against_the_sun
from wattwright.record.read import read_record
from wattwright.record.record import Record

CASES = 200
SEED = 20256
STEPS = (900, 1800, 3600)
FOLDER = "../shared/data"
FILES = {"residential-hourly.csv": "America/Toronto", "household-minute.csv.gz": "Europe/Paris"}
DATA = [f"{FOLDER}/{name}" for name in FILES]
PLACES = {"Europe/Athens": (38.0, 23.7), "Europe/Paris": (48.9, 2.4), "America/Toronto": (43.7, -79.4),
          "Asia/Tokyo": (35.7, 139.7), "Africa/Johannesburg": (-26.2, 28.0), "Australia/Sydney": (-33.9, 151.2)}  # fmt: skip
EXACT = {one.code for one in vars(kinds).values() if hasattr(one, "code")}

Floats = NDArray[np.float64]
Draws = np.random.Generator


@dataclass(frozen=True)
class Site:
    """An invented site: interval starts in UTC (n,), and columns as they will stand in the file, shape (n,) each."""

    zone: str
    times_s: NDArray[np.int64]
    step_s: int
    columns: Mapping[str, Floats]

    @property
    def clock(self) -> SiteClock:
        """The clock the people keep."""
        return SiteClock(self.zone)

    def having(self, **columns: Floats) -> "Site":
        """The same site with columns exchanged; an underscore stands for a blank."""
        return replace(self, columns={**self.columns, **{name.replace("_", " "): held for name, held in columns.items()}})


def course(draws: Draws, times_s: NDArray[np.int64], clock: SiteClock, step_s: int) -> Floats:
    """Return the power in W of some circuits: base load, something that cycles, and appliances at the hours people keep."""
    local = clock.local_s(times_s)
    hour = local % DAY_S / 3600
    weekend = (local // DAY_S + 3) % 7 >= 5
    morning, evening = draws.uniform(6.5, 8.5), draws.uniform(18, 20.5)
    awake = np.exp(-0.5 * ((hour - morning - weekend) / 1.0) ** 2) + 1.6 * np.exp(-0.5 * ((hour - evening) / 2.0) ** 2) + 0.05
    begun = draws.random(len(hour)) < np.clip(awake * draws.uniform(0.25, 0.5) * (step_s / 900) ** 0.5, 0, 1)
    size = np.where(begun, draws.gamma(2.0, draws.uniform(250, 700), len(hour)), 0.0)
    running = np.convolve(size, [1.0, 0.6], "full")[: len(hour)]
    cycles = draws.uniform(40, 110) * (np.sin(times_s / draws.uniform(2500, 4500)) > 0)
    base = draws.uniform(40, 160)
    return (base + cycles + running) * (1 + 0.03 * draws.standard_normal(len(hour)))


def site(draws: Draws, days: int = 63, zone: str = "", first: str = "", steps: tuple[int, ...] = STEPS) -> Site:
    """Return a sound three-phase site: power, voltage and current of each conductor, the total and its register."""
    zone = zone or str(draws.choice(list(PLACES)))
    step_s = int(draws.choice(steps))
    day = np.datetime64(first or "2025-01-06", "D").astype(np.int64) + (0 if first else int(draws.integers(0, 300)))
    start_s = int(SiteClock(zone).resolve(np.array([day * DAY_S])).first_s[0])
    times_s = start_s + step_s * np.arange(days * DAY_S // step_s, dtype=np.int64)
    columns: dict[str, Floats] = {}
    decimals = int(draws.choice([2, 3]))
    total = np.zeros(len(times_s))
    for phase in ("L1", "L2", "L3"):
        power = course(draws, times_s, SiteClock(zone), step_s)
        volts = 231 + 2 * draws.standard_normal(len(power))
        factor = np.clip(draws.uniform(0.88, 0.99) + 0.01 * draws.standard_normal(len(power)), 0.7, 1)
        columns[f"{phase} kW"] = np.round(power / 1000, decimals)
        columns[f"{phase} V"] = np.round(volts, 1)
        columns[f"{phase} A"] = np.round(power / volts / factor, 2)
        total += power
    columns["Total kW"] = np.round(total / 1000, decimals)
    used = np.concatenate([[0.0], np.cumsum(total)[:-1]]) * step_s / 3.6e6
    columns["Register kWh"] = np.round(draws.uniform(1000, 9000) + used, 1)
    return Site(zone, times_s, step_s, columns)


def sunny(draws: Draws, hours_off: float = 0.0, steps: tuple[int, ...] = STEPS) -> tuple[Site, float, float]:
    """Return a site with import and export of a PV array, its file's clock ``hours_off``, and its latitude and longitude."""
    zone = str(draws.choice(list(PLACES)))
    lat, lon = (value + float(draws.uniform(-1, 1)) for value in PLACES[zone])
    held = site(draws, 42, zone, steps=steps)
    used = course(draws, held.times_s, held.clock, held.step_s) + 150
    # Spencer's series for the sun's place, 1971: the check itself goes by another algorithm.
    middle = held.times_s + held.step_s / 2
    year = 2 * np.pi * ((middle / DAY_S - 20089) % 365.25) / 365.25  # day 20,089 is 1 January 2025
    decl = (
        0.006918 - 0.399912 * np.cos(year) + 0.070257 * np.sin(year) - 0.006758 * np.cos(2 * year) + 0.000907 * np.sin(2 * year)
    )
    late = 229.18 * (
        7.5e-5 + 0.001868 * np.cos(year) - 0.032077 * np.sin(year) - 0.014615 * np.cos(2 * year) - 0.040849 * np.sin(2 * year)
    )
    angle = 2 * np.pi * ((middle / DAY_S + lon / 360 + late / 1440) % 1) - np.pi
    phi = np.radians(lat)
    high = np.maximum(np.sin(phi) * np.sin(decl) + np.cos(phi) * np.cos(decl) * np.cos(angle), 0)
    facing = 1 + draws.uniform(-0.35, 0.35) * np.sin(angle)
    day = (middle // DAY_S).astype(np.int64)
    sky = draws.beta(2.5, 1.2, day.max() - day.min() + 1)[day - day.min()]
    pv = (
        draws.uniform(3000, 9000) * (0.12 * high**0.5 + 0.85 * sky * high * facing) * (1 + 0.1 * draws.standard_normal(len(high)))
    )
    net = used - np.maximum(pv, 0)
    shifted = held.times_s + round(3600 * hours_off)
    columns = {"Import kW": np.round(np.maximum(net, 0) / 1000, 3), "Export kW": np.round(np.maximum(-net, 0) / 1000, 3)}
    return Site(zone, shifted, held.step_s, columns), lat, lon


class Desk:
    """Writes sites to a file and reads them back as a person's files are read."""

    def __init__(self, folder: Path) -> None:
        """Take a folder for the file."""
        self.path = folder / "meter.csv"

    def read(self, given: Site, *, offset: bool = False, zone: str | None = None) -> Record:
        """Return the record of a site, its stamps on the wall clock or, with ``offset``, in UTC; ``zone`` as a person says."""
        seconds = given.times_s if offset else given.clock.local_s(given.times_s)
        stamps = pl.Series("start", seconds * 1_000_000).cast(pl.Datetime("us"))
        frame = pl.DataFrame({"start": stamps, **given.columns}, strict=False)
        frame.write_csv(self.path, datetime_format="%Y-%m-%dT%H:%M:%SZ" if offset else "%Y-%m-%d %H:%M:%S")
        return read_record(self.path, given.zone if zone is None else zone)


def codes(record: Record) -> set[str]:
    """Return the codes of what was told of a record."""
    return {finding.code for finding in record.findings}


def alarms(record: Record) -> list[str]:
    """Return what the checks of faults say that is to be looked at."""
    return [f.code for f in record.findings if f.code in EXACT and f.severity is not Severity.NOTE]


def reversed_transformer(draws: Draws, desk: Desk) -> bool:
    """One conductor's transformer the wrong way round, also in the total."""
    held = site(draws)
    phase = str(draws.choice(["L1", "L2", "L3"]))
    column = f"{phase} kW"
    wrong = held.columns["Total kW"] - 2 * held.columns[column]
    found = desk.read(held.having(**{column: -held.columns[column], "Total kW": wrong}))
    return any(f.code == "record.reversed" and f.data["column"] == column for f in found.findings)


def reversed_for_weeks(draws: Draws, desk: Desk) -> bool:
    """One conductor's transformer the wrong way round for some weeks in the middle."""
    held = site(draws)
    column, per_day = "L2 kW", DAY_S // held.step_s
    first = int(draws.integers(10, 30)) * per_day + int(draws.integers(0, per_day))
    power = held.columns[column].copy()
    power[first : first + 14 * per_day] *= -1
    return "record.reversed-part" in codes(desk.read(held.having(**{column: power})))


def crossed_phases(draws: Draws, desk: Desk) -> bool:
    """The voltages of two conductors exchanged, so that each power is of a voltage a third of a turn off."""
    held = site(draws)
    one, other = draws.choice(["L1", "L2", "L3"], 2, replace=False)
    columns = dict(held.columns)
    for phase, turn in ((one, 2 * np.pi / 3), (other, -2 * np.pi / 3)):
        apparent = held.columns[f"{phase} V"] * held.columns[f"{phase} A"] / 1000
        lag = np.arccos(np.clip(held.columns[f"{phase} kW"] / apparent, -1, 1))
        columns[f"{phase} kW"] = np.round(apparent * np.cos(lag + turn), 3)
    return "record.crossed-phases" in codes(desk.read(replace(held, columns=columns)))


def exchanged_columns(draws: Draws, desk: Desk) -> bool:
    """The names of two conductors' powers exchanged, but not those of their currents."""
    held = site(draws)
    one, other = (f"{phase} kW" for phase in draws.choice(["L1", "L2", "L3"], 2, replace=False))
    return "record.exchanged-columns" in codes(desk.read(held.having(**{one: held.columns[other], other: held.columns[one]})))


def exchanged_later(draws: Draws, desk: Desk) -> bool:
    """Two conductors exchanged from some day on, power and current alike."""
    held = site(draws)
    one, other = draws.choice(["L1", "L2", "L3"], 2, replace=False)
    day = int(draws.integers(10, 53))
    first = day * DAY_S // held.step_s
    columns = dict(held.columns)
    for unit in ("kW", "V", "A"):
        a, b = held.columns[f"{one} {unit}"], held.columns[f"{other} {unit}"]
        columns[f"{one} {unit}"] = np.concatenate([a[:first], b[first:]])
        columns[f"{other} {unit}"] = np.concatenate([b[:first], a[first:]])
    found = desk.read(replace(held, columns=columns)).findings
    at = int(held.times_s[first])
    return any(f.code == "record.exchanged-from" and abs(int(f.data["start"]) - at) <= 2 * DAY_S for f in found)


def doubled_hour(draws: Draws, desk: Desk) -> bool:
    """The logger's clock put back by an hour on one night, on which the site's clock does not change, and forward later."""
    held = site(draws, zone="Asia/Tokyo")
    return _doubled(held, draws, desk)


def _doubled(held: Site, draws: Draws, desk: Desk, zone: str | None = None) -> bool:
    per_day = DAY_S // held.step_s
    first = int(draws.integers(5, len(held.times_s) // per_day - 5)) * per_day + 3 * 3600 // held.step_s
    shift = np.where(np.arange(len(held.times_s)) >= first, -3600, 0)
    return "record.hour-twice" in codes(desk.read(replace(held, times_s=held.times_s + shift), zone=zone))


def skipped_hour(draws: Draws, desk: Desk) -> bool:
    """A logger that keeps European daylight saving at a site that has none: an hour is missing in March."""
    held = site(draws, zone="Asia/Tokyo", first="2025-03-03")
    jump = int(SiteClock("Asia/Tokyo").resolve(np.array([np.datetime64("2025-03-30T02:00", "s").astype(np.int64)])).first_s[0])
    return "record.hour-skipped" in codes(desk.read(replace(held, times_s=held.times_s + 3600 * (held.times_s >= jump))))


def unfollowed_change(draws: Draws, desk: Desk) -> bool:
    """A logger whose clock is off by an hour from the change of the clock on."""
    zone = str(draws.choice(["Europe/Athens", "Europe/Paris", "America/Toronto"]))
    held = site(draws, zone=zone, first="2025-02-17" if draws.random() < 0.5 else "2025-09-29")
    offsets = held.clock.offsets_s(held.times_s)
    wrong = replace(held, times_s=held.times_s + (offsets[0] - offsets))
    unique = np.concatenate([[True], np.diff(np.maximum.accumulate(wrong.times_s)) > 0])
    kept = replace(wrong, times_s=wrong.times_s[unique], columns={k: v[unique] for k, v in wrong.columns.items()})
    return "record.clock-shift" in codes(desk.read(kept, offset=True))


def stuck_week(draws: Draws, desk: Desk) -> bool:
    """One reading sent again and again for a week."""
    return _stuck(site(draws), "Total kW", draws, desk)


def _stuck(held: Site, column: str, draws: Draws, desk: Desk) -> bool:
    power, week = held.columns[column].copy(), 7 * DAY_S // held.step_s
    first = int(draws.integers(1, len(power) - week))
    power[first : first + week] = power[first]
    found = desk.read(held.having(**{column: power})).findings
    return any(f.code == "record.stuck" and f.data["column"] == column for f in found)


def zone_wrong_by_an_hour(draws: Draws, desk: Desk) -> bool:
    """The file's clock an hour off, either way, at a site that exports, read every quarter or half hour."""
    return _zone_wrong(draws, desk, 1.0, (900, 1800))


def zone_wrong_by_two_hours(draws: Draws, desk: Desk) -> bool:
    """The file's clock two hours off, either way, at a site that exports."""
    return _zone_wrong(draws, desk, 2.0, STEPS)


def zone_wrong_hourly(draws: Draws, desk: Desk) -> bool:
    """The file's clock one of its own steps off: hourly readings, one hour."""
    return _zone_wrong(draws, desk, 1.0, (3600,))


def _zone_wrong(draws: Draws, desk: Desk, hours: float, steps: tuple[int, ...]) -> bool:
    held, lat, lon = sunny(draws, float(draws.choice([-hours, hours])), steps)
    return any(f.code == "record.sun-shift" for f in against_the_sun(desk.read(held, offset=True), lat, lon))


def scaled_copy(draws: Draws, desk: Desk) -> bool:
    """One conductor's power worked out from another's."""
    held = site(draws)
    ratio = float(draws.choice([0.5, 1.0, 1.7, 2.0]))
    return "record.scaled-copy" in codes(desk.read(held.having(L3_kW=np.round(ratio * held.columns["L1 kW"], 4))))


def cut_off(draws: Draws, desk: Desk) -> bool:
    """A current cut off at the end of its transformer's range, which one reading in a hundred or more passes."""
    held = site(draws)
    amps = held.columns["L1 A"]
    top = float(np.round(np.quantile(amps, draws.uniform(0.95, 0.99)), 1))
    return "record.clipped" in codes(desk.read(held.having(L1_A=np.minimum(amps, top))))


def wrong_ratio(draws: Draws, desk: Desk) -> bool:
    """Intervals that are too small by a transformer's ratio, or by a twentieth, beside a register that is right."""
    held = site(draws)
    factor = float(draws.choice([0.05, 0.5, 0.95, 1.1, 4.0]))
    return "record.register-differs" in codes(desk.read(held.having(Total_kW=np.round(factor * held.columns["Total kW"], 3))))


def drifting_clock(draws: Draws, desk: Desk) -> bool:
    """A logger whose clock gains or loses up to a second and a half a day."""
    held = site(draws)
    days = (held.times_s - held.times_s[0]) / DAY_S
    rate = float(draws.choice([-1, 1]) * draws.uniform(0.2, 1.4))
    return "record.clock-drift" in codes(desk.read(replace(held, times_s=held.times_s + np.rint(rate * days).astype(np.int64))))


def lone_spikes(draws: Draws, desk: Desk) -> bool:
    """Three to eight single readings far above all others."""
    held = site(draws)
    power = held.columns["Total kW"].copy()
    at = draws.choice(len(power) // 3, int(draws.integers(3, 9)), replace=False) * 3
    power[at] = power.max() * draws.uniform(3.2, 6.0, len(at))
    return "record.spikes" in codes(desk.read(held.having(Total_kW=np.round(power, 3))))


PLANTED: tuple[Callable[[Draws, Desk], bool], ...] = (
    reversed_transformer, reversed_for_weeks, crossed_phases, exchanged_columns, exchanged_later, doubled_hour, skipped_hour,
    unfollowed_change, stuck_week, zone_wrong_by_an_hour, zone_wrong_by_two_hours, zone_wrong_hourly, scaled_copy, cut_off,
    wrong_ratio, drifting_clock, lone_spikes,
)  # fmt: skip


def stretch(record: Record, draws: Draws, days: int) -> Site:
    """Return some weeks of a real record's power, as it stands in the file."""
    channel = record.main
    assert channel is not None  # both records hold active power
    series = channel.series
    length = days * DAY_S // series.step_s
    first = int(draws.integers(0, len(series) - length))
    kept = series.raw[first : first + length]
    return Site(record.zone, series.times_s[first : first + length], series.step_s, {"Power kW": kept})


def planted_in(record: Record, fault: str, draws: Draws, desk: Desk) -> bool:
    """Plant a fault into a stretch of a real record and return whether it is found."""
    held = stretch(record, draws, 42 if record.channels[0].series.step_s == 3600 else 21)
    if fault == "reversed transformer":
        return "record.reversed" in codes(desk.read(replace(held, columns={"Power kW": -held.columns["Power kW"]}), offset=True))
    if fault == "stuck week":
        whole = {"Power kW": np.nan_to_num(held.columns["Power kW"], nan=0.3)}
        return _stuck(replace(held, columns=whole), "Power kW", draws, desk)
    return _doubled(replace(held, zone="UTC"), draws, desk)


def share(name: str, found: Callable[[Draws], bool]) -> float:
    """Return in which share of the cases a fault was found; each case has a stream of its own."""
    streams = Streams(SEED)
    return round(sum(found(streams.stream(f"studies/planted-faults/{name}/{i}")) for i in range(CASES)) / CASES, 3)


def run() -> dict[str, Any]:
    """Return the share of cases in which each fault was found, and what is told of sound sites and of the real files."""
    result: dict[str, Any] = {"cases of each fault": CASES}
    root = Path(__file__).resolve().parents[1]
    streams = Streams(SEED)
    with tempfile.TemporaryDirectory() as folder:
        desk = Desk(Path(folder))
        for fault in PLANTED:
            name = fault.__name__.replace("_", " ")
            result[f"invented site, {name}: found in"] = share(name, partial(fault, desk=desk))
        told: list[str] = []
        sites = 0
        for i in range(CASES):
            draws = streams.stream(f"studies/planted-faults/sound/{i}")
            held, lat, lon = sunny(draws) if i % 4 == 0 else (site(draws, 91), 0.0, 0.0)
            record = desk.read(held)
            sun = [f.code for f in against_the_sun(record, lat, lon)] if i % 4 == 0 else []
            told += [*alarms(record), *sun]
            sites += bool(alarms(record) or sun)
        result["sound invented sites, a quarter of them with PV: share with a false alarm"] = round(sites / CASES, 3)
        result["sound invented sites: what was told"] = ", ".join(sorted(set(told))) or "nothing"
        for file, zone in FILES.items():
            record = read_record(root / FOLDER / file, zone)
            name = file.partition(".")[0]
            result[f"{name}, as it is: false alarms"] = len(alarms(record))
            for fault in ("reversed transformer", "stuck week", "doubled hour"):
                found = partial(planted_in, record, fault, desk=desk)
                result[f"{name}, {fault}: found in"] = share(f"{name}/{fault}", found)
    return result
