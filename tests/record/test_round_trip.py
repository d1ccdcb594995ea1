"""Random series in random layouts come back equal, stamp for stamp, or the reader asks; a wrong answer is never given."""

import gzip
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, currently_in_test_context, event, given, settings, strategies as st

from wattwright.core.errors import RecordError
from wattwright.core.quantity import Quantity
from wattwright.record.read import read_record
from wattwright.record.record import Form, Record
from wattwright.record.spec import ColumnSpec, LayoutSpec

ZONES = {
    "Europe/Athens": ("2025-03-30", "2025-10-26"),
    "America/Toronto": ("2025-03-09", "2025-11-02"),
    "America/St_Johns": ("2025-03-09", "2025-11-02"),
    "Australia/Adelaide": ("2025-10-05", "2025-04-06"),
    "Pacific/Auckland": ("2025-09-28", "2025-04-06"),
    "Asia/Kolkata": ("2025-05-05", "2025-12-12"),
}
DATES = {
    "%d.%m.%Y": "day first", "%d/%m/%Y": "day first", "%m/%d/%Y": "month first", "%d-%m-%y": "day first", "%Y-%m-%d": "",
    "%Y/%m/%d": "", "%Y%m%d": "", "%d %b %Y": "", "%b %d, %Y": "",
}  # fmt: skip
STEPS_MIN = (1, 2, 3, 4, 5, 6, 10, 12, 15, 20, 30, 60)
"""Every whole number of minutes that divides an hour."""
CLOCKS = ("%H:%M", "%H:%M:%S", "%I:%M %p", "%I:%M:%S%p", "%H.%M", "%Hh%M")


@dataclass(frozen=True)
class Layout:
    """One way of writing a file."""

    zone: str
    day: str
    step_min: int
    days: int
    skip: int
    end: str
    """Empty for start stamps; "plain", "24:00" or "late" (midnight dated by the ending day) for end stamps."""
    date: str
    clock: str
    offset: bool
    two_columns: bool
    delimiter: str
    decimal: str
    header: str
    encoding: str
    packed: bool
    newline: str
    backwards: bool
    form: str
    preamble: bool


@st.composite
def layouts(draw: st.DrawFn) -> Layout:
    """A layout that a logger could write; what contradicts itself is not drawn."""
    zone = draw(st.sampled_from(sorted(ZONES)))
    changes = draw(st.sampled_from([*ZONES[zone], "2025-01-31", "2025-06-10", "2024-02-28"]))
    offset = draw(st.booleans())
    clock = draw(st.sampled_from(CLOCKS[:2] if offset else CLOCKS))
    delimiter = draw(st.sampled_from([";", ",", "\t", "|"]))
    date = draw(st.sampled_from(sorted(d for d in DATES if delimiter not in d and not (offset and "." in d))))
    ends = ["", "plain"] + (["24:00", "late"] if "I" not in clock and not offset else [])
    two = draw(st.booleans()) and not offset
    return Layout(
        zone, changes, draw(st.sampled_from(STEPS_MIN)), draw(st.integers(1, 3)), draw(st.integers(0, 30)),
        draw(st.sampled_from(ends)), date, clock, offset, (two and clock != "%H.%M"), delimiter,
        "." if delimiter == "," else draw(st.sampled_from([".", ","])), draw(st.sampled_from(["one row", "two rows", "none"])),
        draw(st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"])), draw(st.booleans()),
        draw(st.sampled_from(["\n", "\r\n", "\r"])), draw(st.booleans()), draw(st.sampled_from(["mean", "energy", "register"])),
        draw(st.booleans()),
    )  # fmt: skip


def starts_of(layout: Layout) -> list[int]:
    """UTC seconds of the interval starts: whole local days about the change of the clock, less some intervals at the head."""
    zone = ZoneInfo(layout.zone)
    first = datetime.fromisoformat(layout.day).replace(tzinfo=zone)
    last = datetime.fromisoformat(layout.day) + timedelta(days=layout.days)
    low, high = int(first.timestamp()), int(last.replace(tzinfo=zone).timestamp())
    step = layout.step_min * 60
    return list(range(low, high, step))[layout.skip % 12 :]


def stamp_of(layout: Layout, start: int) -> str:
    """The stamp as the logger of this layout writes it."""
    instant = start + (layout.step_min * 60 if layout.end else 0)
    local = datetime.fromtimestamp(instant, UTC).astimezone(ZoneInfo(layout.zone))
    clock, gap = local.strftime(layout.clock), layout.delimiter if layout.two_columns else " "
    if layout.end in ("24:00", "late") and local.strftime("%H%M%S") == "000000":
        clock = clock.replace("00", "24", 1) if layout.end == "24:00" else clock
        local -= timedelta(days=1)
    offset = local.strftime("%z") if layout.offset else ""
    return f"{local.strftime(layout.date)}{gap}{clock}{offset[:3] + ':' + offset[3:] if offset else ''}"


def write(layout: Layout, starts: list[int], numbers: np.ndarray, folder: Path) -> Path:
    """Write the file."""
    unit = {"mean": "kW", "energy": "kWh", "register": "kWh"}[layout.form]
    stamps = ["Day", "Clock"] if layout.two_columns else ["Stamp"]
    rows = [
        [stamp_of(layout, s), f"{n:.2f}".replace(".", layout.decimal), f"21{layout.decimal}5"]
        for s, n in zip(starts, numbers, strict=True)
    ]
    rows = rows[::-1] if layout.backwards else rows
    head = {
        "one row": [[*stamps, f"P {unit}" if layout.skip % 2 else f"P ({unit})", "T [°C]"]],
        "two rows": [[*stamps, "P", "T"], ["" for _ in stamps] + [unit, "°C"]],
        "none": [],
    }[layout.header]
    top = [["Invented logger 7"], ["Site", "none at all"], [""]] if layout.preamble and layout.header != "none" else []
    quoted = [
        [
            f'"{field}"' if layout.delimiter in field and i == 0 and not layout.two_columns else field
            for i, field in enumerate(row)
        ]
        for row in rows
    ]
    content = layout.newline.join(layout.delimiter.join(row) for row in [*top, *head, *quoted]) + layout.newline
    data = content.encode(layout.encoding)
    path = folder / "meter.csv"
    path.write_bytes(gzip.compress(data, 1) if layout.packed else data)
    return path


def said_of(layout: Layout) -> dict[str, object]:
    """What a person must say where the file has no names."""
    if layout.header != "none":
        return {}
    form = {"mean": Form.MEAN, "energy": Form.ENERGY, "register": Form.REGISTER}[layout.form]
    column = "3" if layout.two_columns else "2"
    unit = "kW" if form is Form.MEAN else "kWh"
    return {"columns": (ColumnSpec(column=column, quantity=Quantity.ACTIVE_POWER, form=form, unit=unit),)}


def noted(what: str) -> None:
    """Let Hypothesis count what the reader left open."""
    if currently_in_test_context():
        event(what)


def read(layout: Layout, path: Path) -> Record:
    """Read the file, answering what the reader asks."""
    said = said_of(layout)
    try:
        record = read_record(path, layout.zone, LayoutSpec(**said))
    except RecordError as error:
        if {f.code for f in error.faults} != {"record.date-order-open"} or not DATES[layout.date]:
            raise
        noted("asked for the order")
        said["date_order"] = DATES[layout.date]
        record = read_record(path, layout.zone, LayoutSpec(**said))
    if any(f.code == "record.stamps-assumed" for f in record.findings):
        noted("assumed the start")
        record = read_record(path, layout.zone, LayoutSpec(**said, stamps="end" if layout.end else "start"))
    return record


@settings(
    max_examples=250,
    deadline=None,
    phases=[Phase.explicit, Phase.reuse, Phase.generate, Phase.shrink],
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(layout=layouts(), seed=st.integers(0, 2**32 - 1))
def test_what_is_written_is_read_back(layout: Layout, seed: int, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Starts, step and every value come back equal: kW x 1000, kWh x 3600000 / step, register differences likewise."""
    starts = starts_of(layout)
    numbers = np.round(np.random.default_rng(seed).uniform(0.01, 9, len(starts)), 2)
    if layout.form == "register":
        numbers = 800 + np.cumsum(numbers)
    record = read(layout, write(layout, starts, numbers, tmp_path_factory.mktemp("round")))
    series, step_s = record.channels[0].series, layout.step_min * 60
    times, expected = np.array(starts), {"mean": 1000 * numbers, "energy": numbers * 3.6e6 / step_s}.get(layout.form)
    if expected is None:
        # A register is read at an instant: whichever end a stamp marks, what it counted lies between two readings.
        times, expected = (times + (step_s if layout.end else 0))[:-1], np.diff(numbers) * 3.6e6 / step_s
    assert series.step_s == step_s
    assert series.times_s[series.present].tolist() == times.tolist()
    np.testing.assert_allclose(series.values[series.present], expected, rtol=1e-9, atol=1e-6)
    assert record.gaps == ()
    assert record.duplicates == ()


@pytest.mark.parametrize("step_min", STEPS_MIN)
@pytest.mark.parametrize("zone", sorted(ZONES))
def test_days_on_which_the_clock_changes(zone: str, step_min: int, tmp_path: Path) -> None:
    """The shorter and the longer day of every zone at every step, stamped at either end without an offset, come back whole."""
    for day in ZONES[zone]:
        for end in ("", "plain"):
            layout = Layout(
                zone, day, step_min, 1, 0, end, "%d.%m.%Y", "%H:%M", False, False, ";", ",", "one row", "utf-8", False, "\n",
                False, "energy", False,
            )  # fmt: skip
            starts = starts_of(layout)
            numbers = np.round(np.random.default_rng(step_min).uniform(0.01, 9, len(starts)), 2)
            series = read(layout, write(layout, starts, numbers, tmp_path)).channels[0].series
            assert series.times_s.tolist() == starts
            np.testing.assert_allclose(series.values, numbers * 60_000 / step_min, rtol=1e-12)
