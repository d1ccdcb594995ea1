"""A weather file on the wrong clock is noticed by its light, and one on the right clock is left alone."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pvlib
import pytest

from tests.job.test_sound_sun import SITE, SOUTH, START_S, codes, own
from wattwright.core.show import Show
from wattwright.job.climate import climate
from wattwright.job.spec import SiteSpec, WeatherSpec
from wattwright.job.sun_clock import sun_shift
from wattwright.sky.door import read_weather
from wattwright.sky.weather import Element

DATA = Path(pvlib.__file__).parent / "data"
FILES = ("12839.tm2", "703165TY.csv", "723170TYA.CSV")
"""Every file of weather that pvlib brings: Miami, the Aleutians' end of Alaska, and Greensboro."""


def moved(weather, hours):
    """The weather with its light so many hours later than it came."""
    values = {**weather.values, Element.GHI: np.roll(weather.values[Element.GHI], hours)}
    return replace(weather, values=values)


@pytest.mark.parametrize("name", FILES)
@pytest.mark.parametrize("hours", [0, 1, -1, 3, -5, 6, -6, 11])
def test_weather_moved_by_hand_says_by_how_much(name, hours):
    """The light of a real typical year rolled by whole hours: each is told, early or late; as it came nothing is."""
    weather = read_weather(DATA / name, 2025)
    found = sun_shift(moved(weather, hours), weather.place)
    if not hours:
        assert found == ()
        return
    (told,) = found
    assert told.data["shift"] == 3600.0 * abs(hours)
    assert told.data["side"] == ("later" if hours > 0 else "earlier")
    # What was read as UTC-5 and comes 5 h late is of UTC: the head's zone and the shift together.
    zone = weather.place.offset_s / 3600.0
    if zone + hours < -12:
        # There is no such clock.
        assert told.do(Show()).startswith("No time zone moves it so far")
        return
    assert f"Its head says UTC{zone:+g}; by its light the clock is UTC{zone + hours:+g}" in told.do(Show())


def test_what_no_time_zone_explains_asks_for_another_cause():
    """Moved by half a day, morning and evening have changed places: no zone is named that there is none of."""
    weather = read_weather(DATA / "703165TY.csv", 2025)
    (told,) = sun_shift(moved(weather, -11), weather.place)
    assert told.do(Show()).startswith("No time zone moves it so far: look at the sign of its longitude")


@pytest.mark.parametrize(("minutes", "is_told"), [(40, False), (50, True)])
def test_what_mist_and_marks_explain_is_not_told(minutes, is_told):
    """Read 40 min east or west of where it stands, at four minutes a degree, nothing is said; 50 min are told."""
    weather = read_weather(DATA / "723170TYA.CSV", 2025)
    for sign in (1, -1):
        place = replace(weather.place, longitude_deg=weather.place.longitude_deg + sign * minutes / 4.0)
        assert bool(sun_shift(weather, place)) == is_told


def test_dull_weather_short_weather_and_weather_without_light_say_nothing():
    """Half of its light is no clear day, two days are too few, and a file without the level's light cannot say."""
    late = moved(read_weather(DATA / "723170TYA.CSV", 2025), 6)
    dull = {**late.values, Element.GHI: 0.5 * late.values[Element.GHI]}
    assert sun_shift(replace(late, values=dull), late.place) == ()
    two_days = {one: values[:60] for one, values in late.values.items()}
    assert sun_shift(replace(late, values=two_days), late.place) == ()
    bare = {one: values for one, values in late.values.items() if one is not Element.GHI}
    assert sun_shift(replace(late, values=bare), late.place) == ()
    assert sun_shift(replace(late, step_s=7 * 3600), late.place) == ()
    # A gap takes its day out and no other.
    gaps = {**late.values, Element.GHI: np.where(np.arange(8760) % 240 == 12, np.nan, late.values[Element.GHI])}
    assert sun_shift(replace(late, values=gaps), late.place)[0].data["shift"] == 6 * 3600.0


def delimited(folder, zone, site=True):
    """What is told of Greensboro's light as text with stamps of UTC and no offset, read on the clock of ``zone``."""
    weather = read_weather(DATA / "723170TYA.CSV", 2025)
    names = {
        Element.GHI: "global irradiance [W/m2]", Element.DNI: "direct normal irradiance [W/m2]",
        Element.DHI: "diffuse horizontal irradiance [W/m2]", Element.TEMPERATURE: "air temperature [degC]",
        Element.WIND: "wind speed [m/s]",
    }  # fmt: skip
    rows = ["start," + ",".join(names.values())]
    begins = np.datetime64(weather.start_s, "s")
    for k in range(24 * 60):
        rows.append(f"{begins + np.timedelta64(k, 'h')}," + ",".join(f"{weather.values[one][k]:g}" for one in names))
    (folder / "own.csv").write_text("\n".join(rows) + "\n")
    where = {"zone": zone, "latitude": 36.1, **({"longitude": -79.95} if site else {})}
    times_s = START_S + 60 * np.arange(1440 * 3)
    return climate(
        WeatherSpec.model_validate({"file": "own.csv"}),
        folder.joinpath,
        SiteSpec.model_validate(where),
        times_s,
        (),
        (SOUTH,),
        seed=1,
    )


def test_utc_taken_for_local_time_is_told_with_what_to_write(tmp_path):
    """Stamps of UTC read as UTC-5 put noon five hours late; read as UTC nothing is told, nor where nobody knows the place."""
    (told,) = [one for one in delimited(tmp_path, "Etc/GMT+5").findings if one.code == "job.sun-shift"]
    assert told.says(Show()).endswith("lies 5\u202fh later than the sun.")
    assert told.do(Show()).startswith("Write its stamps with their offset from UTC, 5 h more than they were read with")
    assert "job.sun-shift" not in codes(delimited(tmp_path, "Etc/UTC"))
    assert "job.sun-shift" not in codes(delimited(tmp_path, "Etc/GMT+5", site=False))


def test_what_comes_too_early_is_to_be_read_with_less(tmp_path):
    """Read as UTC+3 the same stamps are three hours early; of weather that moves nothing nobody is told."""
    (told,) = [one for one in delimited(tmp_path, "Etc/GMT-3").findings if one.code == "job.sun-shift"]
    assert "3\u202fh earlier" in told.says(Show())
    assert "3 h less than" in told.do(Show())
    own(tmp_path, {hour: "900,1000,300" for hour in range(24 * 7) if hour % 24 < 5})
    times_s = START_S + 60 * np.arange(1440 * 7)
    told = [
        codes(climate(WeatherSpec(file="own.csv"), tmp_path.joinpath, SITE, times_s, (), one, seed=1)) for one in ((SOUTH,), ())
    ]
    assert ["job.sun-shift" in one for one in told] == [True, False]


def summer_moved(weather, hours, first, last):
    """The weather with its light so many hours later between two days of the year, counted from 0."""
    value = weather.values[Element.GHI].copy()
    part = slice(24 * first, 24 * last)
    value[part] = np.roll(value[part], hours)
    return replace(weather, values={**weather.values, Element.GHI: value})


@pytest.mark.parametrize("name", FILES)
@pytest.mark.parametrize(("hours", "side", "back"), [(1, "later", "earlier"), (-1, "earlier", "later")])
def test_a_file_that_keeps_summer_time_is_told_with_what_to_move(name, hours, side, back):
    """Moved by hand from the last Sunday of March 2025 to that of October (the IANA database): 30 March and 26 October."""
    weather = read_weather(DATA / name, 2025)
    (told,) = sun_shift(summer_moved(weather, hours, 88, 298), weather.place)
    assert told.code == "job.weather-summer-time"
    assert told.says(Show()).endswith(f"lies an hour {side} in the months of summer time.")
    assert told.do(Show()).startswith(f"Move its hours of summer time one hour {back}")


@pytest.mark.parametrize("hours", [2, 12])
def test_what_lies_more_than_an_hour_apart_is_no_summer_time(hours):
    """No clock goes forward by two hours in spring, and half a day is another fault."""
    weather = read_weather(DATA / "12839.tm2", 2025)
    found = sun_shift(summer_moved(weather, hours, 88, 298), weather.place)
    assert "job.weather-summer-time" not in [one.code for one in found]


def test_summer_time_on_a_wrong_zone_is_told_beside_it():
    """Five hours late all year and one more in summer: the zone to set is that of the months of standard time."""
    weather = read_weather(DATA / "723170TYA.CSV", 2025)
    whole, told = sun_shift(summer_moved(moved(weather, 5), 1, 88, 298), weather.place)
    assert (whole.code, told.code) == ("job.sun-shift", "job.weather-summer-time")
    assert "by its light the clock is UTC+0: mend the time zone there" in whole.do(Show())


def test_south_of_the_equator_summer_time_lies_over_new_year():
    """The same light half a year and the equator away, an hour late but from April to September: a clock of the south."""
    weather = read_weather(DATA / "12839.tm2", 2025)
    south = replace(weather.place, latitude_deg=-weather.place.latitude_deg)
    first = replace(weather, values={Element.GHI: np.roll(weather.values[Element.GHI], 24 * 182)})
    assert sun_shift(first, south) == ()
    (told,) = sun_shift(summer_moved(moved(first, 1), -1, 95, 275), south)
    assert (told.code, told.data["side"]) == ("job.weather-summer-time", "later")
    # The other way round the months of standard time are late, and those of summer time are not.
    whole, told = sun_shift(summer_moved(first, 1, 95, 275), south)
    assert (whole.data["side"], told.data["side"]) == ("later", "earlier")


def test_a_season_alone_cannot_tell_summer_time():
    """From the start of April to the end of August nothing of standard time is there to hold it against: a shift, no more."""
    weather = read_weather(DATA / "12839.tm2", 2025)
    late = summer_moved(weather, 1, 88, 298)
    part = {one: values[24 * 92 : 24 * 240] for one, values in late.values.items()}
    found = sun_shift(replace(late, start_s=late.start_s + 92 * 86400, values=part), late.place)
    assert [one.code for one in found] == ["job.sun-shift"]


def test_stamps_of_standard_time_read_with_summer_time_are_told(tmp_path):
    """Text without offsets keeps standard time all year, and the site's zone does not: in summer the light comes early."""
    weather = read_weather(DATA / "723170TYA.CSV", 2025)
    rows = ["start,global irradiance [W/m2]"]
    begins = np.datetime64(weather.start_s + weather.place.offset_s, "s")
    for k, light in enumerate(weather.values[Element.GHI]):
        stamp = begins + np.timedelta64(k, "h")
        # The hour that the clock of the zone leaves out in spring cannot be read, and is left out here too.
        if str(stamp) != "2025-03-09T02:00:00":
            rows.append(f"{stamp},{light:g}")
    (tmp_path / "own.csv").write_text("\n".join(rows) + "\n")
    found = read_weather(tmp_path / "own.csv", 2025, "America/New_York")
    (told,) = sun_shift(found, weather.place)
    assert told.says(Show()).endswith("lies an hour earlier in the months of summer time.")
    assert told.do(Show()).startswith("Write its stamps with their offset from UTC")
