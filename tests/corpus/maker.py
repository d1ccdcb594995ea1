"""A corpus of invented meter files, each made from one seed, with the truth about it: what it holds, and whether it can be known.

``python -m tests.corpus.maker FOLDER`` writes them with a file of truths beside each. Header words are everyday words of their
languages, chosen without looking at the reader's own list.
"""

import gzip
import io
import json
import sys
import zipfile
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import polars as pl

from tests.record.books import ods, xlsx
from wattwright.core.seeds import Streams

SEED = 31415
FILES = 120
ZONES = {
    "Europe/Athens": ["2025-03-30", "2024-10-27"], "America/Toronto": ["2025-03-09", "2024-11-03"],
    "Australia/Adelaide": ["2024-10-06", "2025-04-06"], "Asia/Kolkata": [], "UTC": [],
}  # fmt: skip
POWER = ["Power", "Leistung", "Puissance", "Potencia", "Potenza", "Wirkleistung", "Active power", "Ισχύς", "Vermogen"]
ENERGY = ["Energy", "Verbrauch", "Consommation", "Consumo", "Energia", "Import", "Usage", "Bezug", "Verbruik"]
STARTS = ["Start of interval", "Von", "Début", "From", "Interval start", "Desde"]
ENDS = ["End of interval", "Bis", "Fin", "Until", "Interval end", "Hasta"]
NEUTRAL = ["Time", "Zeitpunkt", "Date", "Fecha", "Data", "Stamp"]
NOTHING = ["", "-", "n/a", "NaN", "?"]
DATES = {
    "%Y-%m-%d": "", "%Y/%m/%d": "", "%d %B %Y": "", "%d.%m.%Y": "day first", "%d/%m/%Y": "day first", "%m/%d/%Y": "month first",
    "%d-%m-%y": "day first",
}  # fmt: skip


@dataclass(frozen=True)
class Truth:
    """What a file holds: starts (UTC seconds) on one step, watts (None where missing), and what of it the file shows itself."""

    name: str
    zone: str
    start_s: int
    step_s: int
    watts: list[float | None]
    mark: str
    shows_order: bool
    shows_mark: bool
    shows_decimal: bool
    shows_meter: bool = True

    @property
    def can_be_decided(self) -> bool:
        """Whether a careful person could read the file without asking."""
        return self.shows_order and self.shows_mark and self.shows_decimal and self.shows_meter


@dataclass(frozen=True)
class Plan:
    """The readings and how they are written."""

    truth: Truth
    numbers: list[float]
    missing: set[int]
    date: str
    clock: str
    decimals: int
    decimal: str
    delimiter: str
    unit: str
    late: bool
    stamp_name: str
    value_name: str
    nothing: str
    draws: np.random.Generator


def readings(draws: np.random.Generator, count: int, unit: str, decimals: int) -> list[float]:
    """Readings of an invented site: a base, a daily swing, something that cycles; in the unit written."""
    hours = np.arange(count)
    load = 0.3 + 0.2 * np.sin(hours / 7) ** 2 + 2.4 * (draws.random(count) < 0.2) + 0.1 * draws.random(count)
    scale = {"kW": 1.0, "W": 1000.0, "kWh": 0.5, "Wh": 500.0}[unit]
    return [round(float(one), decimals) for one in load * scale]


def made(number: int) -> tuple[Truth, bytes]:
    """Return the truth about file ``number`` and the file."""
    draws = Streams(SEED).stream(f"corpus/{number}")
    zone = str(draws.choice(sorted(ZONES)))
    step = int(draws.choice([60, 300, 900, 1800, 3600])) if zone != "Asia/Kolkata" else int(draws.choice([900, 1800]))
    days = 1 if number % 12 == 5 else int(draws.integers(2, 6))
    changes = ZONES[zone] if number % 3 == 0 else []
    day = str(draws.choice(changes)) if changes else f"2025-{draws.integers(1, 13):02d}-{draws.integers(1, 29):02d}"
    first = datetime.fromisoformat(day).replace(tzinfo=ZoneInfo(zone))
    last = (datetime.fromisoformat(day) + timedelta(days=days)).replace(tzinfo=ZoneInfo(zone))
    low, high = int(first.timestamp()), int(last.timestamp())
    whole = bool(draws.random() < 0.6)
    low += 0 if whole else step * int(draws.integers(1, 5))
    high -= 0 if whole else step * int(draws.integers(1, 5))
    starts = list(range(low, high, step))
    unit = str(draws.choice(["kW", "W", "kWh", "Wh"]))
    decimals = {"kW": 3 if draws.random() < 0.3 else 2, "W": 0, "kWh": 3 if draws.random() < 0.3 else 2, "Wh": 1}[unit]
    numbers = readings(draws, len(starts), unit, decimals)
    mark = str(draws.choice(["start", "end"]))
    named = bool(draws.random() < 0.5)
    # A day that need not be the first or the last is left out sometimes, and so are single readings.
    missing = set(draws.choice(len(starts), int(draws.integers(0, 4)), replace=False).tolist()) - {0, len(starts) - 1}
    delimiter = str(draws.choice([";", ",", "\t", "|"]))
    decimal = "." if delimiter == "," else str(draws.choice([".", ","]))
    date = str(draws.choice(sorted(DATES)))
    names = (STARTS if mark == "start" else ENDS) if named else NEUTRAL
    factor = {"kW": 1000.0, "W": 1.0, "kWh": 3.6e6 / step, "Wh": 3600 / step}[unit]
    watts = [None if i in missing else one * factor for i, one in enumerate(numbers)]
    truth = Truth(f"{number:03d}", zone, low, step, watts, mark, shows_order=True, shows_mark=named or whole, shows_decimal=True)
    plan = Plan(
        truth, numbers, missing, date, str(draws.choice(["%H:%M", "%H:%M:%S"])), decimals, decimal, delimiter, unit,
        late=mark == "end" and whole and bool(draws.random() < 0.3), stamp_name=str(draws.choice(names)),
        value_name=f"{draws.choice(POWER if unit in ('kW', 'W') else ENERGY)} [{unit}]",
        nothing=str(draws.choice(NOTHING)), draws=draws,
    )  # fmt: skip
    return KINDS[number % len(KINDS)](plan)


def local(plan: Plan, index: int) -> datetime:
    """The clock's digits of a stamp."""
    truth = plan.truth
    instant = truth.start_s + truth.step_s * (index + (truth.mark == "end"))
    return datetime.fromtimestamp(instant, UTC).astimezone(ZoneInfo(truth.zone))


def stamp(plan: Plan, index: int) -> str:
    """A stamp as this logger writes it."""
    at = local(plan, index)
    clock = at.strftime(plan.clock)
    if plan.late and at.strftime("%H%M%S") == "000000":
        at, clock = at - timedelta(days=1), clock.replace("00", "24", 1)
    return f"{at.strftime(plan.date)} {clock}"


def number_text(plan: Plan, index: int) -> str:
    """A reading as text, or the sign for none."""
    if index in plan.missing:
        return plan.nothing
    text = f"{plan.numbers[index]:.{plan.decimals}f}".replace(".", plan.decimal)
    return f'"{text}"' if plan.delimiter in text else text


def shown(plan: Plan) -> Truth:
    """The truth with what the dates and numbers of a text show by themselves."""
    truth, days = plan.truth, [local(plan, i) - timedelta(seconds=plan.late) for i in range(len(plan.numbers))]
    order = DATES[plan.date]
    dates = {(d.year, d.month, d.day) for d in days}
    settled = not order or any(d > 12 for _, _, d in dates) or len(dates) > 1 or all(m == d for _, m, d in dates)
    open_size = plan.decimals == 3 and all(1 <= n < 1000 for i, n in enumerate(plan.numbers) if i not in plan.missing)
    return replace(
        truth, shows_order=settled, shows_mark=truth.shows_mark or plan.late, shows_decimal=plan.delimiter == "," or not open_size
    )


def lines(plan: Plan) -> list[str]:
    """Header and rows of a delimited file."""
    extra = plan.draws.random() < 0.4
    head = [plan.stamp_name, plan.value_name] + (["Temperature °C"] if extra else [])
    rows = []
    for i in range(len(plan.numbers)):
        warm = f"{12 + i % 7}{plan.decimal}5"
        tail = [f'"{warm}"' if plan.delimiter in warm else warm] if extra else []
        rows.append(plan.delimiter.join([stamp(plan, i), number_text(plan, i), *tail]))
    return [plan.delimiter.join(head), *rows]


def plain_text(plan: Plan) -> tuple[Truth, bytes]:
    """Delimited text."""
    encoding = str(plan.draws.choice(["utf-8", "utf-8-sig", "utf-16"]))
    return shown(plan), ("\n".join(lines(plan)) + "\n").encode(encoding)


def framed_text(plan: Plan) -> tuple[Truth, bytes]:
    """Delimited text with lines above and a total below, packed by gzip."""
    total = plan.delimiter.join(["Total", "12" + plan.decimal + "5"])
    text = "\r\n".join(["Invented logger 12", "Serial number 0000", "", *lines(plan), total, ""])
    return shown(plan), gzip.compress(text.encode(), mtime=0)


def twelve_hours(plan: Plan) -> tuple[Truth, bytes]:
    """A clock of twice twelve hours, month first."""
    plan = replace(plan, date="%m/%d/%Y", clock="%I:%M %p", late=False)
    return shown(plan), ("\n".join(lines(plan)) + "\n").encode()


def with_offset(plan: Plan) -> tuple[Truth, bytes]:
    """ISO 8601 stamps with their offset."""
    rows = [f"{local(plan, i).isoformat()};{number_text(replace(plan, delimiter=';'), i)}" for i in range(len(plan.numbers))]
    truth = replace(shown(replace(plan, date="%Y-%m-%d", delimiter=";")), shows_mark=plan.truth.shows_mark)
    return truth, "\n".join([f"{plan.stamp_name};{plan.value_name}", *rows, ""]).encode()


def from_and_to(plan: Plan) -> tuple[Truth, bytes]:
    """Both ends of each interval."""
    plan = replace(plan, late=False)
    ends = [replace(plan, truth=replace(plan.truth, mark=mark)) for mark in ("start", "end")]
    d = plan.delimiter
    rows = [f"{stamp(ends[0], i)}{d}{stamp(ends[1], i)}{d}{number_text(plan, i)}" for i in range(len(plan.numbers))]
    truth = replace(shown(ends[0]), shows_mark=True, mark="start")
    return truth, "\n".join([d.join(["Time 1", "Time 2", plan.value_name]), *rows, ""]).encode()


def day_and_clock(plan: Plan) -> tuple[Truth, bytes]:
    """Date and time of day in columns of their own, the time column naming the end."""
    names = STARTS if plan.truth.mark == "start" else ENDS
    d = plan.delimiter
    rows = [f"{stamp(plan, i)[::-1].replace(' ', d[::-1], 1)[::-1]}{d}{number_text(plan, i)}" for i in range(len(plan.numbers))]
    named = plan.stamp_name in names
    head = d.join(["Date", plan.stamp_name if named else "Clock", plan.value_name])
    return shown(plan), "\n".join([head, *rows, ""]).encode()


def register(plan: Plan) -> tuple[Truth, bytes]:
    """A running total read at each stamp: one reading more than there are intervals."""
    plan = replace(plan, missing=set(), late=False, date="%Y-%m-%d", unit="kWh")
    truth = plan.truth
    counts = np.round(np.abs(plan.numbers), 2) + 0.01
    counts = counts / max(1.0, counts.max()) * 3
    readings_ = np.round(np.cumsum(np.concatenate([[4711.0], counts])), 2)
    watts = [float(one) * 3.6e6 / truth.step_s for one in np.diff(readings_)]
    at = [
        datetime.fromtimestamp(truth.start_s + truth.step_s * i, UTC).astimezone(ZoneInfo(truth.zone))
        for i in range(len(readings_))
    ]
    rows = [f"{a.strftime('%Y-%m-%d %H:%M')};{r:.2f}" for a, r in zip(at, readings_, strict=True)]
    told = replace(truth, watts=watts, mark="", shows_mark=True)
    return told, "\n".join(["Zeitpunkt;Zählerstand kWh", *rows, ""]).encode()


def workbook(plan: Plan) -> tuple[Truth, bytes]:
    """A workbook with a notes sheet, stamps as dates and numbers as numbers."""
    plan = replace(plan, late=False)
    rows = [[local(plan, i).replace(tzinfo=None), None if i in plan.missing else n] for i, n in enumerate(plan.numbers)]
    sheets = {"Notes": [["Everything here is invented."]], "Data": [[plan.stamp_name, plan.value_name], *rows]}
    truth = replace(plan.truth, shows_order=True, shows_decimal=True)
    return truth, ods(sheets) if plan.draws.random() < 0.3 else xlsx(sheets)


def text_workbook(plan: Plan) -> tuple[Truth, bytes]:
    """A workbook whose stamps and numbers are stored as text, below merged lines."""
    plan = replace(plan, late=False, delimiter=";")
    rows = [[stamp(plan, i), number_text(plan, i)] for i in range(len(plan.numbers))]
    sheet = [["Invented readings", ""], ["", ""], [plan.stamp_name, plan.value_name], *rows]
    return shown(plan), xlsx({"Sheet1": sheet}, merged=["A1:B1"])


def json_lines(plan: Plan) -> tuple[Truth, bytes]:
    """One object a line, or a list of objects."""
    plan = replace(plan, late=False)
    rows = [
        {plan.stamp_name: local(plan, i).isoformat(), plan.value_name: None if i in plan.missing else n}
        for i, n in enumerate(plan.numbers)
    ]
    truth = replace(plan.truth, shows_order=True, shows_decimal=True)
    if plan.draws.random() < 0.5:
        return truth, json.dumps({"site": "invented", "readings": rows}).encode()
    return truth, "\n".join(json.dumps(row) for row in rows).encode()


def parquet(plan: Plan) -> tuple[Truth, bytes]:
    """A columnar table with instants in UTC."""
    plan = replace(plan, late=False)
    at = [local(plan, i).astimezone(UTC) for i in range(len(plan.numbers))]
    values = [None if i in plan.missing else n for i, n in enumerate(plan.numbers)]
    held = io.BytesIO()
    pl.DataFrame({plan.stamp_name: at, plan.value_name: values}).write_parquet(held)
    return replace(plan.truth, shows_order=True, shows_decimal=True), held.getvalue()


def wide(plan: Plan) -> tuple[Truth, bytes]:
    """A row for each day, a column for each interval of it, of whole days without a change of the clock."""
    step = max(plan.truth.step_s, 900)
    per_day, days = 86_400 // step, 4
    first = datetime(2025, 1, 20, tzinfo=ZoneInfo("UTC"))
    numbers = readings(plan.draws, per_day * days, "kWh", 2)
    clocks = [f"{(i * step) // 3600:02d}:{(i * step) % 3600 // 60:02d}" for i in range(per_day)]
    d, p = ";", plan.decimal
    rows = [
        d.join([(first + timedelta(days=k)).strftime("%d.%m.%Y"),
                *(f"{n:.2f}".replace(".", p) for n in numbers[k * per_day : (k + 1) * per_day])])
        for k in range(days)
    ]  # fmt: skip
    watts = [n * 3.6e6 / step for n in numbers]
    truth = Truth(plan.truth.name, "UTC", int(first.timestamp()), step, watts, "start", True, True, True)
    return truth, "\n".join(["Energy kWh per interval", d.join(["Date", *clocks]), *rows, ""]).encode()


def long(plan: Plan) -> tuple[Truth, bytes]:
    """Two meters one below the other: which one is meant, nothing can show."""
    plan = replace(plan, late=False, date="%Y-%m-%d", delimiter=";")
    rows = [f"{stamp(plan, i)};{meter};{number_text(plan, i)}" for meter in ("north", "south") for i in range(len(plan.numbers))]
    truth = replace(shown(plan), shows_meter=False)
    return truth, "\n".join([f"{plan.stamp_name};Meter;{plan.value_name}", *rows, ""]).encode()


def zipped_days(plan: Plan) -> tuple[Truth, bytes]:
    """A zip archive with the rows in two files that overlap."""
    plan = replace(plan, late=False)
    every = lines(plan)
    half = len(every) // 2
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as packed:
        for name, part in (("a.csv", every[: half + 3]), ("b.csv", [every[0], *every[half:]])):
            packed.writestr(zipfile.ZipInfo(name, (2025, 1, 1, 0, 0, 0)), "\n".join([*part, ""]))
    return shown(plan), held.getvalue()


def counted_seconds(plan: Plan) -> tuple[Truth, bytes]:
    """Seconds or milliseconds since 1970."""
    scale = int(plan.draws.choice([1, 1000]))
    rows = [f"{int(local(plan, i).timestamp()) * scale},{number_text(replace(plan, delimiter=',', decimal='.'), i)}"
            for i in range(len(plan.numbers))]  # fmt: skip
    named = plan.stamp_name not in NEUTRAL
    truth = replace(plan.truth, shows_mark=named)
    return truth, "\n".join([f"{plan.stamp_name},{plan.value_name}", *rows, ""]).encode()


KINDS: tuple[Callable[[Plan], tuple[Truth, bytes]], ...] = (
    plain_text, framed_text, twelve_hours, with_offset, from_and_to, day_and_clock, register, workbook, text_workbook, json_lines,
    parquet, wide, long, zipped_days, counted_seconds, plain_text, framed_text,
)  # fmt: skip


def main(folder: Path) -> None:
    """Write every file and its truth."""
    folder.mkdir(parents=True, exist_ok=True)
    for number in range(FILES):
        truth, content = made(number)
        (folder / f"{truth.name}.meter").write_bytes(content)
        (folder / f"{truth.name}.truth.json").write_text(json.dumps(truth.__dict__, indent=1), encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
