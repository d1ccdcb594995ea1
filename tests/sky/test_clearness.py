"""A sun made of monthly values: what each month must hold, and how it stands beside published years of weather."""

import re
import tomllib
from functools import lru_cache
from pathlib import Path

import numpy as np
import pvlib
import pytest
from hypothesis import given, settings, strategies as st
from pydantic import ValidationError

from wattwright.core.errors import InputError
from wattwright.core.show import Show
from wattwright.sky.clearness import MonthlySun, clearness_weather
from wattwright.sky.door import read_weather
from wattwright.sky.sun import sun_positions
from wattwright.sky.weather import Element, Weather, WeatherPlace

MONTHS = (np.datetime64("2023-01-01") + np.arange(365)).astype("datetime64[M]").astype(np.int64) % 12


def at(latitude: float) -> WeatherPlace:
    return WeatherPlace("invented", latitude, 10.0, 0.0, 3600)


def days(weather: Weather, element: Element = Element.GHI) -> np.ndarray:
    """kWh/m2 of each local day."""
    return weather.values[element].reshape(-1, 24).sum(axis=1) / 1000


def monthly(weather: Weather) -> np.ndarray:
    return np.bincount(MONTHS, days(weather)) / np.bincount(MONTHS)


@lru_cache(maxsize=3)
def published(name: str) -> Weather:
    return read_weather(Path(pvlib.__file__).parent / "data" / name, 2023)


@settings(max_examples=15)
@given(st.floats(-35, 35), st.integers(0, 99), st.floats(0.2, 0.55))
def test_months_hold_their_clearness(latitude: float, seed: int, clearness: float) -> None:
    """Light on level ground over that above the air is what was stated, in every month, whatever the days."""
    place = at(latitude)
    made = clearness_weather(MonthlySun(clearness=(clearness,) * 12), place, 2023, 15.0, seed)
    sun = sun_positions(made.times_s + 1800, place)
    above = np.maximum(np.cos(np.radians(sun.apparent_zenith_deg)), 0) * sun.extraterrestrial_w_m2
    assert np.bincount(MONTHS, days(made)) == pytest.approx(
        clearness * np.bincount(MONTHS, above.reshape(-1, 24).sum(axis=1) / 1000)
    )
    direct = made.values[Element.DNI] * np.cos(np.radians(sun.apparent_zenith_deg))
    assert made.values[Element.DHI] + direct == pytest.approx(made.values[Element.GHI], abs=1e-6)
    assert (made.values[Element.DNI] >= 0).all()
    assert made.values[Element.GHI].max() < 1100


def test_the_clear_sky_under_it() -> None:
    """At latitude 40 a clear 21 June has 8.43 kWh/m2, a 20 March 5.62, turbidity 3 (pvlib 0.16.1 in steps of a minute)."""
    place = WeatherPlace("", 40.0, -105.0, 0.0, -7 * 3600)
    made = clearness_weather(MonthlySun(), place, 2023, 15.0, 1)
    # The clearest of a month's days stands near the top of the law: it is nearly clear.
    assert 0.94 * 8.43 < days(made)[151:181].max() <= 8.46
    assert 0.90 * 5.62 < days(made)[69:89].max() <= 5.62 * 1.12


@pytest.mark.parametrize("name", ["723170TYA.CSV", "703165TY.csv", "12839.tm2"])
def test_days_are_spread_as_in_published_years(name: str) -> None:
    """From the months of a published year come its months again, and days as unlike each other as its own, within a fifth."""
    real = published(name)
    made = clearness_weather(MonthlySun(daily_kwh_m2=tuple(monthly(real))), real.place, 2023, 15.0, 1)
    assert monthly(made) == pytest.approx(monthly(real))
    parts = [0.25, 0.5, 0.75, 0.95]
    assert np.quantile(days(made), parts) == pytest.approx(np.quantile(days(real), parts), rel=0.2)
    assert days(made, Element.DHI).sum() == pytest.approx(days(real, Element.DHI).sum(), rel=0.2)


def test_dull_days_come_in_runs() -> None:
    """From day to day about 0.29 of what is unusual stays (Graham et al. 1988, from memory), over many seeds."""
    memory = []
    for seed in range(12):
        made = days(clearness_weather(MonthlySun(), at(5.0), 2023, 15.0, seed))
        odd = made - (np.bincount(MONTHS, made) / np.bincount(MONTHS))[MONTHS]
        memory.append(float(np.corrcoef(odd[1:], odd[:-1])[0, 1]))
    assert np.mean(memory) == pytest.approx(0.26, abs=0.08)


def test_the_same_seed_gives_the_same_days() -> None:
    """Chance comes from the seed alone; another one gives other days in months that hold the same."""
    one, again, other = (clearness_weather(MonthlySun(), at(40.0), 2023, 15.0, seed) for seed in (7, 7, 8))
    assert np.array_equal(days(one), days(again))
    assert not np.array_equal(days(one), days(other))
    assert monthly(one) == pytest.approx(monthly(other))
    assert (one.values[Element.TEMPERATURE] == 15.0).all()


def test_a_leap_year_and_a_polar_night() -> None:
    """A leap year has its day; where the sun stays away a month is dark whatever was stated, and no error."""
    made = clearness_weather(MonthlySun(), at(75.0), 2024, 0.0, 1)
    assert len(made) == 366 * 24
    assert days(made)[340:360].max() == 0.0


@pytest.mark.parametrize("clearness", [0.02, 0.95])
def test_a_month_that_no_sky_gives_is_refused(clearness: float) -> None:
    """Duller than the dullest sky or clearer than a clear one: the month is named, and what could be."""
    with pytest.raises(InputError, match=r"January: found .* kWh/m2 a day; expected"):
        clearness_weather(MonthlySun(clearness=(clearness,) * 12), at(20.0), 2023, 15.0, 1)


@pytest.mark.parametrize("wrong", [{"clearness": (0.5,) * 11}, {"clearness": (0.5,) * 12, "daily_kwh_m2": (4.0,) * 12},
                                   {"clearness": (-0.1,) * 12}, {"daily_kwh_m2": (99.0,) * 12}])  # fmt: skip
def test_lists_that_are_none_are_refused(wrong) -> None:
    """Twelve values of one kind, none negative."""
    with pytest.raises(ValidationError, match="twelve values"):
        MonthlySun(**wrong)


def test_it_says_that_it_is_no_measured_weather() -> None:
    """Stated months are a thing to look at, none at all is grave; both say it plainly."""
    known = clearness_weather(MonthlySun(clearness=(0.5,) * 12), at(20.0), 2023, 15.0, 3).findings[0]
    unknown = clearness_weather(MonthlySun(), at(20.0), 2023, 15.0, 3).findings[0]
    assert (known.severity.value, unknown.severity.value) == ("look", "stop")
    assert all("no measured weather" in one.says(Show()) for one in (known, unknown))


def test_the_job_of_the_documentation_has_a_sun_that_a_sky_can_give() -> None:
    """What docs/pv.md writes as an example is taken, month by month, at the place it says."""
    page = (Path(__file__).parents[2] / "docs" / "pv.md").read_text(encoding="utf-8")
    jobs = map(tomllib.loads, re.findall(r"```toml\n(.*?)```", page, re.DOTALL))
    (job,) = [one for one in jobs if "sun" in one.get("weather", {})]
    sun, site = MonthlySun.model_validate(job["weather"]["sun"]), job["site"]
    made = clearness_weather(sun, WeatherPlace("", site["latitude"], site["longitude"], 0.0, 3600), 2026, 15.0, 1)
    assert np.bincount(MONTHS, days(made)) / np.bincount(MONTHS) == pytest.approx(sun.daily_kwh_m2)
