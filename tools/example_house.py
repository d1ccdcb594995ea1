"""Write examples/house/readings.csv: one week of an invented house in steps of 15 minutes.

Nothing in it was ever measured. The week ends with the night on which the clocks go back, so its Sunday has 25 hours, and an
hour of Thursday is missing, as after an interruption, so that there is something to find.
"""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from wattwright.core.seeds import Streams

ROOT = Path(__file__).parents[1]
FILE = ROOT / "examples" / "house" / "readings.csv"
ZONE = ZoneInfo("Europe/Athens")
STEP = timedelta(minutes=15)
FIRST, END = datetime(2025, 10, 20, tzinfo=ZONE), datetime(2025, 10, 27, tzinfo=ZONE)
MISSING_FROM, MISSING_TO = datetime(2025, 10, 23, 10, tzinfo=ZONE), datetime(2025, 10, 23, 11, tzinfo=ZONE)
HEAD = ("Invented house: no such place, and nothing here was measured", "Start of interval,Energy kWh")


def hours(text: str) -> tuple[float, float]:
    """Return "6.5-8" as its two hours of the day."""
    first, last = text.split("-")
    return float(first), float(last)


# What is on at which hours of the day, W; the dishwasher only on three days.
HABITS = (
    ("6.5-8", 2000.0),  # water heater, morning
    ("18-20.5", 1800.0),  # water heater, evening
    ("7-7.5", 900.0),  # breakfast
    ("19-20", 2200.0),  # cooker
    ("17.5-23.5", 260.0),  # lights and screens
)
DISHWASHER_DAYS, DISHWASHER, DISHWASHER_W = (1, 3, 5), "21-22.25", 1100.0
STANDING_W, REFRIGERATOR_W = 140.0, 90.0


def rows() -> Iterator[str]:
    """Yield the lines of the file: stamps on the local clock, energy in kWh with three decimals."""
    draws = Streams(20251020).stream("example house")
    yield from HEAD
    at = FIRST.astimezone(UTC)
    while at < END:
        local = at.astimezone(ZONE)
        power_w = _power_w(local) * draws.uniform(0.9, 1.1) + REFRIGERATOR_W * (draws.random() < 0.5)
        if not MISSING_FROM <= at < MISSING_TO:
            yield f"{local:%Y-%m-%d %H:%M},{power_w * STEP.total_seconds() / 3_600_000:.3f}"
        at += STEP


def _power_w(local: datetime) -> float:
    hour = local.hour + local.minute / 60
    habits = [*HABITS, (DISHWASHER, DISHWASHER_W)] if local.weekday() in DISHWASHER_DAYS else HABITS
    return STANDING_W + sum(power_w for span, power_w in habits if hours(span)[0] <= hour < hours(span)[1])


def main() -> None:
    """Write the file anew."""
    FILE.write_text("\n".join(rows()) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
