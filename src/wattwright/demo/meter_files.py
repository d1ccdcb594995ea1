"""Write the invented meter files and bills: what a person would be handed, faults included."""

import gzip
import io
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from wattwright.core.files import write_bytes, write_text
from wattwright.demo.bills import paid_bills
from wattwright.demo.faults import UNREADABLE, FaultKind, PlantedFault, planted_faults, rows_sent
from wattwright.demo.place import MAIN_METER_SERIAL, PROPERTY_NAME, YEAR
from wattwright.demo.supply import supply_of
from wattwright.demo.tariffs import tariff_today
from wattwright.demo.truth import Truth, truth
from wattwright.demo.year import DemoYear

SUBMETER_FIRST_DAY = date(YEAR, 3, 10)
SUBMETER_DAYS = 42
WATER_HEATERS = ("water_heater_guests", "water_heater_kitchen")


@dataclass(frozen=True, slots=True)
class MeterFiles:
    """The files written, and what is known to be wrong with the main meter's."""

    main: Path
    """Whole supply, every minute of the year, gzip."""
    water: Path
    """Both water heaters, every minute of six weeks."""
    bills: Path
    faults: tuple[PlantedFault, ...]
    main_rows: int
    """Rows of readings in the main file."""


def write_meter_files(folder: Path, seed: int) -> MeterFiles:
    """Write the year's files of the invented property into `folder`, made where missing.

    The same seed gives the same bytes. Raises FileError where the folder cannot be written to.
    """
    return write_files_of(truth(seed), folder)


def write_files_of(known: Truth, folder: Path) -> MeterFiles:
    """Write the files of a year already drawn into `folder`, as `write_meter_files` does."""
    faults = planted_faults(known.seed, known.year)
    main = folder / f"main-meter-{YEAR}.csv.gz"
    water = folder / f"water-heaters-{YEAR}.csv"
    bills = folder / f"bills-{YEAR}.csv"
    rows = _main_rows(known, faults)
    text = "".join(_preamble()) + "\n".join(rows) + "\n"
    write_bytes(main, gzipped(text.encode("utf-8")))
    write_text(water, "".join(_water_lines(known)))
    write_text(bills, "".join(_bill_lines(known)))
    return MeterFiles(main, water, bills, faults, len(rows))


def _preamble() -> Iterable[str]:
    yield "Invented meter at an invented place: no reading in this file was ever measured\n"
    yield f"Meter;{MAIN_METER_SERIAL};single phase, direct\n"
    yield f"Site;{PROPERTY_NAME}\n"
    yield "Clock;local time with daylight saving, start of interval, 1 min\n"
    yield "\n"
    yield "Date;Time;P mean [kW];U [V];I [A]\n"


def _main_rows(known: Truth, faults: tuple[PlantedFault, ...]) -> list[str]:
    """Return the rows of readings in the order in which the meter sent them."""
    seen = supply_of(known)
    power = _decimals(seen.power_w / 1000.0, 3)
    for fault in faults:
        if fault.kind is FaultKind.UNREADABLE:
            power[fault.first : fault.first + fault.minutes] = [UNREADABLE] * fault.minutes
    columns = zip(_stamps(known.year), power, _decimals(seen.voltage_v, 1), _decimals(seen.current_a, 2), strict=True)
    rows = [";".join(row) for row in columns]
    return [rows[index] for index in rows_sent(faults, len(rows)).tolist()]


def _stamps(year: DemoYear) -> list[str]:
    days = [(date(YEAR, 1, 1) + timedelta(days=day)).strftime("%d.%m.%Y") for day in range(year.days)]
    clocks = [f"{minute // 60:02d}:{minute % 60:02d}" for minute in range(1440)]
    pairs = zip(year.day.tolist(), year.minute.tolist(), strict=True)
    return [f"{days[day]};{clocks[minute]}" for day, minute in pairs]


def _decimals(values: NDArray[np.float64], digits: int, mark: str = ",") -> list[str]:
    """Return non-negative values as text; the few distinct numbers are written once and looked up."""
    scale = 10**digits
    counts = np.rint(values * scale).astype(np.int64)
    table = [f"{count // scale}{mark}{count % scale:0{digits}d}" for count in range(int(counts.max()) + 1)]
    return [table[count] for count in counts.tolist()]


def gzipped(content: bytes) -> bytes:
    """Return content packed by gzip, the same bytes for the same content."""
    buffer = io.BytesIO()
    # Neither a name nor a time in the header, so that the bytes depend on the content only.
    with gzip.GzipFile(filename="", mode="wb", fileobj=buffer, compresslevel=6, mtime=0) as packed:
        packed.write(content)
    return buffer.getvalue()


def _water_lines(known: Truth) -> Iterable[str]:
    """Yield the sub-meter file: energy of each minute in Wh, stamps with their offset from UTC."""
    year = known.year
    first_day = (SUBMETER_FIRST_DAY - date(YEAR, 1, 1)).days
    kept = np.flatnonzero((year.day >= first_day) & (year.day < first_day + SUBMETER_DAYS))
    energy = [_decimals(known.load_w(name)[kept] / 60.0, 2, ".") for name in WATER_HEATERS]
    yield "start," + ",".join(f"{name}_wh" for name in WATER_HEATERS) + "\n"
    for index, guests_wh, kitchen_wh in zip(kept.tolist(), *energy, strict=True):
        offset = timezone(timedelta(minutes=int(year.offset_min[index])))
        stamp = datetime.fromtimestamp(int(year.start_s[index]), UTC).astimezone(offset)
        yield f"{stamp.isoformat()},{guests_wh},{kitchen_wh}\n"


def _bill_lines(known: Truth) -> Iterable[str]:
    """Yield the bills; both days are included in the month billed."""
    yield "from,to,kwh,amount_eur\n"
    for bill in paid_bills(known.total_w, tariff_today(), known.year):
        yield f"{bill.first.isoformat()},{bill.last.isoformat()},{bill.energy_kwh},{bill.amount.amount}\n"
