"""Weather files whose sun cannot be believed: negative light, and hours by day without a value."""

from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pvlib
import pytest

from wattwright.core.errors import WeatherError
from wattwright.core.findings import Severity
from wattwright.core.show import Show
from wattwright.generation.array import Array
from wattwright.job.climate import climate, yields
from wattwright.job.spec import SiteSpec, WeatherSpec

SITE = SiteSpec.model_validate({"zone": "Europe/Athens", "latitude": 37.0, "longitude": 23.0})
FILE = WeatherSpec.model_validate({"file": "own.csv"})
SOUTH = Array.model_validate({"peak": "2 kW", "tilt_deg": 30.0, "azimuth_deg": 180.0})
FIRST = datetime(2025, 1, 6)
# 6 January, midnight in Athens, UTC+2.
START_S = 1_736_114_400
HEAD = "start,global irradiance [W/m2],direct normal irradiance [W/m2],diffuse horizontal irradiance [W/m2]"
DAYS = 7


def own(folder, changed):
    """A week of hours, an invented sun from ten to two; ``changed`` are rows by the hour of the week."""
    rows = []
    for hour in range(24 * DAYS):
        row = changed.get(hour, "420,700,80" if 10 <= hour % 24 < 14 else "0,0,0")
        rows.append(f"{FIRST + timedelta(hours=hour):%Y-%m-%d %H:%M},{row},8,2")
    (folder / "own.csv").write_text("\n".join([f"{HEAD},air temperature [degC],wind speed [m/s]", *rows]) + "\n")


def week(folder, arrays=(SOUTH,), depending=(), days=DAYS):
    """The climate of the first days of that week."""
    return climate(FILE, folder.joinpath, SITE, START_S + 60 * np.arange(1440 * days), depending, arrays, seed=1)


def codes(made):
    """The kinds of what is told."""
    return [one.code for one in made.findings]


def test_a_whole_week_says_nothing(tmp_path):
    """Nothing lacks, nothing is told, and it can be asked for its yield."""
    own(tmp_path, {})
    assert codes(week(tmp_path)) == []
    assert yields(FILE, tmp_path.joinpath, SITE, START_S, (SOUTH,), 1)[0][0] == pytest.approx(7.0)


def test_what_the_reader_of_the_file_found_is_told(tmp_path):
    """A quantity that lacks at night is told as the file's own gap, and darkens nothing; to nobody whom weather does not move."""
    own(tmp_path, {1: ",,"})
    assert set(codes(week(tmp_path))) == {"sky.missing"}
    assert codes(week(tmp_path, arrays=(), depending=("room",))).count("sky.missing") == 3
    assert codes(week(tmp_path, arrays=())) == []


def test_an_hour_by_day_is_taken_as_dark_and_told(tmp_path):
    """One noon of seven days of 9 or 10 hours of sun each (Athens in January) is under 2 %, two are over it."""
    own(tmp_path, {12: ",,"})
    (told,) = [one for one in week(tmp_path).findings if one.code == "job.sun-gaps"]
    assert "nothing in 1 of 6" in told.says(Show())
    assert codes(week(tmp_path, arrays=(), depending=("room",))).count("job.sun-gaps") == 0
    own(tmp_path, {12: ",,", 36: "420,,80"})
    with pytest.raises(WeatherError, match=r"2 of 6. intervals by day lack"):
        week(tmp_path)
    with pytest.raises(WeatherError, match=r"2 of 6. intervals by day lack"):
        yields(FILE, tmp_path.joinpath, SITE, START_S, (SOUTH,), 1)


def test_only_the_days_asked_for_count(tmp_path):
    """What lacks on the last day hinders nobody who asks for the first six."""
    own(tmp_path, {24 * 6 + 11: ",,", 24 * 6 + 12: ",,"})
    assert "job.sun-gaps" not in codes(week(tmp_path, days=6))


@pytest.mark.parametrize("row", ["-500,700,80", "420,-500,80", "420,700,-500"])
def test_a_negative_sun_is_refused(tmp_path, row):
    """Whichever it is, for PV as for loads in the open; where neither is, nobody asks."""
    own(tmp_path, {12: row})
    for arrays, depending in (((SOUTH,), ()), ((), ("room",))):
        with pytest.raises(WeatherError, match="irradiance of -500 W/m2"):
            week(tmp_path, arrays, depending)
    assert codes(week(tmp_path, ())) == []


def test_the_offset_of_an_instrument_by_night_is_no_fault(tmp_path):
    """A class C pyranometer may read 30 W/m2 off by its own warmth (ISO 9060, from memory)."""
    own(tmp_path, {1: "-29,0,0"})
    assert codes(week(tmp_path)) == []
    own(tmp_path, {1: "-31,0,0"})
    with pytest.raises(WeatherError, match="-31 W/m2"):
        week(tmp_path)


TMY = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"


def year(folder, factor, arrays=(SOUTH,)):
    """What is told of three days of Greensboro's typical year, its irradiances times ``factor``."""
    rows = TMY.read_text().splitlines()
    heads = rows[1].split(",")
    lit = [place for place, head in enumerate(heads) if head in ("GHI (W/m^2)", "DNI (W/m^2)", "DHI (W/m^2)")]
    made = rows[:2]
    for row in rows[2:]:
        cells = row.split(",")
        made.append(",".join(str(round(float(one) * factor)) if place in lit else one for place, one in enumerate(cells)))
    (folder / "year.csv").write_text("\n".join(made) + "\n")
    site = SiteSpec.model_validate({"zone": "Etc/GMT+5", "latitude": 36.1, "longitude": -79.95})
    times_s = START_S + 60 * np.arange(1440 * 3)
    return climate(WeatherSpec.model_validate({"file": "year.csv"}), folder.joinpath, site, times_s, (), arrays, seed=1)


def test_a_year_of_light_above_a_clear_sky_or_far_under_it_is_doubted(tmp_path):
    """A typical year is believed; as its own double, or a tenth of it, it is not. Shares held against pvlib's clear sky."""
    assert "job.odd-light" not in codes(year(tmp_path, 1.0))
    import pandas as pd

    stamps = pd.date_range("2025-01-01 00:30", periods=8760, freq="h", tz="Etc/GMT+5")
    place = pvlib.location.Location(36.1, -79.95, altitude=273)
    sun = place.get_solarposition(stamps)
    extra = pvlib.irradiance.get_extra_radiation(stamps.day_of_year.to_numpy())
    relative = pvlib.atmosphere.get_relative_airmass(sun.apparent_zenith.to_numpy())
    air = pvlib.atmosphere.get_absolute_airmass(relative, pvlib.atmosphere.alt2pres(273.0))
    with np.errstate(divide="ignore"):  # at night pvlib divides by a sun that has no height
        clear = pvlib.clearsky.ineichen(sun.apparent_zenith.to_numpy(), air, 3.0, 273.0, extra)
    best = float(np.nansum(clear["ghi"])) / 1000.0
    # Pvlib's own numbers: the year has 73 % of a clear sky, its highest hour 80 % of what comes from outside the air.
    for factor in (1.38, 0.1):
        (told,) = [one for one in year(tmp_path, factor).findings if one.code == "job.odd-light"]
        assert told.data["light"] / best == pytest.approx(told.data["share"], rel=0.02)
        assert (told.data["share"] > 1.0) == (factor > 1.0)
    assert "job.odd-light" not in codes(year(tmp_path, 1.38, arrays=()))
    # A wall to the north has more light under clouds than under a clear sky: that is no fault of the file's.
    north = Array.model_validate({"peak": "2 kW", "tilt_deg": 90.0, "azimuth_deg": 0.0})
    assert "job.odd-light" not in codes(year(tmp_path, 1.0, arrays=(north,)))
    assert "job.odd-light" in codes(year(tmp_path, 1.38, arrays=(north,)))
    # Doubled, in kJ/m2 an hour (3.6 times) and in kW/m2 (a thousandth) it is no sky at all: that stops what would be quoted.
    for factor in (2.0, 3.6, 0.001):
        (told,) = [one for one in year(tmp_path, factor).findings if "light" in one.data]
        assert (told.code, told.severity) == ("job.no-sky", Severity.STOP)
