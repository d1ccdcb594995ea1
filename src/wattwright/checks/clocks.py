"""The site's clock and calendar against laws, the almanac and other libraries."""

from datetime import UTC, date, datetime
from functools import partial

import numpy as np

from wattwright.checks.registry import Confidence, register
from wattwright.core.calendar import days_between, public_holidays
from wattwright.core.clock import SiteClock

_EU = "Directive 2000/84/EC, articles 2 to 3: last Sundays of March and October, 01:00 UTC"
_US = "Energy Policy Act of 2005 (US), section 110: second Sunday of March, first Sunday of November, 02:00 local"


def _utc(year: int, month: int, day: int, hour: int = 0) -> int:
    return int(datetime(year, month, day, hour, tzinfo=UTC).timestamp())


def _change_s(zone: str, around_s: int) -> float:
    """Return the UTC second near ``around_s`` at which the zone's offset changes, found on a grid of minutes."""
    times = np.arange(around_s - 86_400, around_s + 86_400, 60)
    offsets = SiteClock(zone).offsets_s(times)
    return float(times[np.flatnonzero(np.diff(offsets))[0] + 1])


def _offset_difference(zone: str) -> float:
    from zoneinfo import ZoneInfo

    times = np.arange(_utc(2024, 1, 1), _utc(2025, 1, 1), 21_600)
    stamps = [datetime.fromtimestamp(int(t), UTC).astimezone(ZoneInfo(zone)).utcoffset() for t in times]
    theirs = np.array([0.0 if one is None else one.total_seconds() for one in stamps])
    return float(np.abs(SiteClock(zone).offsets_s(times) - theirs).max())


def _weekday_differences() -> float:
    clock = SiteClock("UTC")
    days = days_between(clock, _utc(2000, 1, 1), _utc(2030, 1, 1))
    ours = clock.parts(days.starts_s[:-1]).weekday
    return float(sum(days.date(i).weekday() != ours[i] for i in range(len(days))))


def _day_length_h(day: date) -> float:
    return float(np.diff(SiteClock("Europe/Athens").midnights_s(day, 1))[0]) / 3600


def _is_holiday(day: date, country: str, subdivision: str | None) -> str:
    return "yes" if day in public_holidays(country, subdivision, day.year, day.year) else "no"


for _zone, _at, _source, _what in (
    ("Europe/Athens", _utc(2025, 3, 30, 1), _EU, "spring change of 2025"),
    ("Europe/Athens", _utc(2025, 10, 26, 1), _EU, "autumn change of 2025"),
    ("Europe/Paris", _utc(2007, 3, 25, 1), _EU, "spring change of 2007"),
    ("America/Toronto", _utc(2012, 3, 11, 7), _US, "spring change of 2012"),
    ("America/New_York", _utc(2024, 11, 3, 6), _US, "autumn change of 2024"),
):
    register(
        f"clock.change-{_zone.partition('/')[2].lower().replace('_', '-')}-{datetime.fromtimestamp(_at, UTC):%Y-%m}",
        f"{_what} in {_zone}, seconds UTC",
        unit="s",
        source=_source,
        confidence=Confidence.FROM_MEMORY,
        published=float(_at),
        ours=partial(_change_s, _zone, _at),
    )

for _day, _hours in ((date(2025, 3, 30), 23.0), (date(2025, 10, 26), 25.0), (date(2025, 6, 1), 24.0)):
    register(
        f"clock.day-length-{_day.isoformat()}",
        f"length of {_day.isoformat()} in Europe/Athens",
        unit="h",
        source=_EU,
        confidence=Confidence.FROM_MEMORY,
        published=_hours,
        ours=partial(_day_length_h, _day),
    )

register(
    "clock.espi-example",
    "1704085200 s on a clock five hours behind UTC",
    unit="",
    source="NAESB REQ.21 ESPI: start is seconds since 1970-01-01 00:00 UTC; 1704085200 = 2024-01-01T05:00:00Z",
    confidence=Confidence.PUBLISHED,
    published="2024-01-01 00:00",
    ours=lambda: SiteClock("America/Panama").text(1_704_085_200),
)

for _zone in ("Asia/Kathmandu", "Australia/Lord_Howe", "America/St_Johns"):
    register(
        f"clock.library-{_zone.partition('/')[2].lower().replace('_', '-')}",
        f"largest difference of the offset from the standard library's, {_zone}, each 6 h of 2024",
        unit="s",
        source="Python standard library, zoneinfo with the IANA data",
        confidence=Confidence.REFERENCE_LIBRARY,
        published=0.0,
        ours=partial(_offset_difference, _zone),
    )


for _day, _country, _name in (
    (date(2025, 4, 21), "GR", "the Monday after Orthodox Easter (20 April)"),
    (date(2025, 3, 3), "GR", "Clean Monday, 48 days before Orthodox Easter"),
    (date(2011, 12, 26), "CA", "Boxing Day, kept in Ontario"),
):
    register(
        f"calendar.holiday-{_country.lower()}-{_day.isoformat()}",
        f"{_name} {_day.isoformat()} is a holiday in {_country}",
        unit="",
        source="church almanac (Julian computus)" if _country == "GR" else "Employment Standards Act, 2000 (Ontario), section 1",
        confidence=Confidence.FROM_MEMORY,
        published="yes",
        ours=partial(_is_holiday, _day, _country, "ON" if _country == "CA" else None),
    )

register(
    "calendar.weekday-library",
    "days of 2000 to 2030 whose weekday differs from the standard library's",
    unit="d",
    source="Python standard library, datetime",
    confidence=Confidence.REFERENCE_LIBRARY,
    published=0.0,
    ours=_weekday_differences,
)
