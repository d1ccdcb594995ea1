"""Sun times against published ones."""

import numpy as np
import pytest

from wattwright.core.clock import SiteClock
from wattwright.sky.sun import sun_times

# Sunrise, noon and sunset by astral 3.2 (zenith 90.833 degrees), a reference library with an algorithm of its own; local time.
# Two algorithms differ by some 20 s; one minute is allowed, two above 60 degrees of latitude.
PLACES = [
    (51.4769, 0.0, "UTC", "2024-03-20", ("06:02:03", "12:07:26", "18:13:32"), 60),
    (51.4769, 0.0, "UTC", "2024-06-21", ("03:43:13", "12:01:48", "20:20:36"), 60),
    (40.4168, -3.7038, "Europe/Madrid", "2024-06-21", ("06:45:07", "14:16:37", "21:48:20"), 60),
    (40.4168, -3.7038, "Europe/Madrid", "2024-12-21", ("08:34:51", "13:12:53", "17:51:25"), 60),
    (-33.8688, 151.2093, "Australia/Sydney", "2024-03-20", ("06:58:32", "13:02:36", "19:06:04"), 60),
    (-33.8688, 151.2093, "Australia/Sydney", "2024-06-21", ("07:00:18", "11:56:58", "16:53:41"), 60),
    (69.6492, 18.9553, "Europe/Oslo", "2024-03-20", ("05:42:11", "11:51:37", "18:02:57"), 120),
]


def day_number(text: str) -> int:
    return int(np.datetime64(text, "D").astype(np.int64))


@pytest.mark.parametrize(("latitude", "longitude", "zone", "day", "times", "within_s"), PLACES)
def test_sun_times_are_the_published_ones(latitude, longitude, zone, day, times, within_s) -> None:
    """Rise, transit and set agree with the table within the difference between algorithms."""
    clock, number = SiteClock(zone), day_number(day)
    found = sun_times(np.array([number]), latitude, longitude, clock)
    for ours, text in zip((found.rise_s, found.transit_s, found.set_s), times, strict=True):
        hours, minutes, seconds = (int(part) for part in text.split(":"))
        wanted = 86_400 * number + 3600 * hours + 60 * minutes + seconds
        assert abs(clock.local_s(ours.astype(np.int64))[0] - wanted) <= within_s


@pytest.mark.parametrize("day", ["2024-06-21", "2024-12-21"])
def test_polar_days_have_no_rise_and_no_set(day: str) -> None:
    """At 69.6 degrees north the sun neither rises nor sets at the solstices, and noon is still there."""
    found = sun_times(np.array([day_number(day)]), 69.6492, 18.9553, SiteClock("Europe/Oslo"))
    assert np.isnan(found.rise_s).all()
    assert np.isnan(found.set_s).all()
    assert np.isfinite(found.transit_s).all()


@pytest.mark.parametrize(
    ("longitude", "zone"),
    [(174.76, "Pacific/Auckland"), (-157.4, "Pacific/Kiritimati"), (-157.86, "Pacific/Honolulu"), (2.35, "Europe/Paris")],
)
def test_noon_lies_on_the_local_day_asked_for(longitude: float, zone: str) -> None:
    """On both sides of the date line the transit of a day lies on that day of the site's clock, and between rise and set."""
    days = day_number("2024-01-01") + np.arange(366)
    clock = SiteClock(zone)
    found = sun_times(days, 10.0, longitude, clock)
    assert (clock.local_s(found.transit_s.astype(np.int64)) // 86_400 == days).all()
    assert (found.rise_s < found.transit_s).all()
    assert (found.transit_s < found.set_s).all()
